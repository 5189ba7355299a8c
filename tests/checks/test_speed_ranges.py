"""The source's range against the input's."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, SPEED, Neighbour, codes, found, prove, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A201": (', range = "0-5 V"', ', range = "0-10 V"'),
    "A202": ('range = "4-20 mA"', 'range = "0-10 V"'),
    "A203": ('range  = "2-10 V"', 'range  = "0-10 V"'),
    "A204": ('range  = "0-20 mA"', 'range  = "4-20 mA"'),
    "A205": ('range  = "0-5 V"', 'range  = "0-10 V"'),
    "A305": ('top = "9.5 V"', 'top = "9.8 V"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("A305", '"9.5 V"', '"9.79 V"'),
    ],
)
def test_just_outside_the_bound(code: str, old: str, new: str) -> None:
    assert old in tripping(code)
    assert code in codes(tripping(code).replace(old, new))


def test_volts_into_milliamperes() -> None:
    assert "nearly shorts" in reason("A202", HEAD + SPEED + 'range = "4-20 mA"\n')


def test_a_burden_makes_volts_of_milliamperes() -> None:
    text = tripping("A202") + 'burden = "500 ohm"\n'
    assert "A202" not in codes(text)
    assert {"A204", "A106"} <= codes(text)  # 2 V at zero; and the bench potentiometer finds the burden


def test_ranges_say_the_speed_that_comes_of_them() -> None:
    """f = f_max (V - 2)/8 for 2-10 V: half of 10 V gives 37.5 %; 4 of 20 mA is 20 %; 5 of 10 V is half."""
    assert "37.5 % of top speed" in reason("A203", tripping("A203"))
    assert "20 % of top speed" in reason("A204", tripping("A204"))
    fast = tripping("A201") + 'top-speed = "24000 rpm"\n'
    assert "50 % of top speed, 12000 rpm" in reason("A201", fast).replace("1.2e+04", "12000")
    assert "50 % of the command" in reason("A205", tripping("A205"))


def test_burden_makes_a_live_zero_of_two_volts() -> None:
    """4-20 mA in 500 ohm is 2-10 V (C): on 0-10 V it creeps at 20 %, on 2-10 V it fits."""
    text = tripping("A303").replace("10 kohm", "10 Mohm")
    assert not [f for f in found(text) if f.code in ("A201", "A202", "A203", "A204", "A205", "A303")]
    creeping = text.replace('range  = "2-10 V"', 'range  = "0-10 V"')
    assert "at zero command 2 V asks for 20 % of top speed" in reason("A204", creeping)
