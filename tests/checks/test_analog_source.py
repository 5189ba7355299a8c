"""The analog output: its load, and what is lost on the way."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, SPEED, Neighbour, codes, found, prove, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A301": ('load = "6 kohm"', 'load = "5 kohm"'),  # two of 10 kohm in parallel
    "A302": ('resistance = "200 ohm"', 'resistance = "101 ohm"'),  # 101/10101 = 0.99990 %
    "A303": ('resistance = "10 kohm"', 'resistance = "49.5 kohm"'),  # 500/50000
    "A304": ('length    = "4000 m"', 'length    = "1940 m"'),  # 2 x 1.94 x 26 = 100.9 ohm
    "A306": ('series = "10 kohm"', 'series = "202 ohm"'),  # 202/20202 = 0.99990 %
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("A304", '"4000 m"', '"1945 m"'),  # 2 x 50.57 ohm before 10 kohm
        ("A302", '"200 ohm"', '"102 ohm"'),
    ],
)
def test_just_outside_the_bound(code: str, old: str, new: str) -> None:
    assert old in tripping(code)
    assert code in codes(tripping(code).replace(old, new))


def test_current_source_and_what_it_can_push() -> None:
    """20 mA through 500 ohm need 10 V (C)."""
    loop = HEAD + '[drive.analog]\nresistance = "500 ohm"\n' + SPEED.replace(
        'common = "0V"', 'common = "0V", range = "4-20 mA", {}'
    ) + 'range = "4-20 mA"\n'  # fmt: skip
    assert "can push 9.9 V" in reason("A301", loop.replace("{}", 'compliance = "9.9 V"'))
    assert "A301" not in codes(loop.replace("{}", 'compliance = "10 V"'))
    assert "at most" in reason("A301", loop.replace("{}", 'load = "499 ohm"'))
    assert "A301" not in codes(loop.replace("{}", 'load = "500 ohm"'))


def test_two_inputs_on_fifty_ohm_lose_one_per_cent_less_a_hair() -> None:
    """10 x 5000/5050 = 9.90099 V: 0.990 % (C)."""
    two = tripping("A302").replace('"200 ohm"', '"{} ohm", other-inputs = ["10 kohm"]')
    assert not [f for f in found(two.replace("{}", "50")) if f.code == "A302"]
    assert "1.01 %" in reason("A302", two.replace("{}", "51"))  # 51/5051


def test_ten_inputs_are_the_limit_and_eleven_too_many() -> None:
    """Ten of 10 kohm are 1.000 kohm exactly, eleven 909.1 ohm, on a source for 1 kohm (V, C)."""
    text = tripping("A301").replace('load = "6 kohm"', 'load = "1 kohm"')
    others = ", ".join(['"10 kohm"'] * 9)
    nine = text.replace('["10 kohm"]', f"[{others}]")
    assert not [f for f in found(nine) if f.code == "A301"]
    assert "909.1 ohm" in reason("A301", text.replace('["10 kohm"]', f'[{others}, "10 kohm"]'))


def test_burden_beside_an_input() -> None:
    """500 ohm beside 10 kohm reads 4.762 % low, 250 ohm beside it 2.439 % (C)."""
    text = tripping("A303")
    assert "4.76 %" in reason("A303", text)
    assert "2.44 %" in reason("A303", text.replace("500 ohm", "250 ohm"))


def test_filter_resistor_takes_a_third() -> None:
    """10 kohm into 20 kohm leaves 0.67 (V)."""
    assert "33.3 %" in reason("A306", tripping("A306"))
