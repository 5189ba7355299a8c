"""On and off levels of inputs."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, RUN, Neighbour, codes, found, prove, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "O205": ('saturation = "1.2 V"', 'saturation = "1 V"'),  # 24 - 1 = 23
    "O206": ('leakage = "2 mA"', 'leakage = "1.5 mA"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("O206", '"2 mA"', '"1.51 mA"'),
    ],
)
def test_just_outside_the_bound(code: str, old: str, new: str) -> None:
    assert old in tripping(code)
    assert code in codes(tripping(code).replace(old, new))


def test_thresholds_in_milliamperes() -> None:
    """On from 2.6 mA, off below 1.1 mA: a published example in the survey of practice."""
    inputs = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "{} mA"\non = "2.6 mA"\noff = "1.1 mA"\n'
    text = HEAD + inputs + RUN.replace('minus = "Y1-"', 'minus = "Y1-", leakage = "{} mA"')
    assert "O205" in codes(text.replace("{}", "2.6", 1).replace("{}", "1.0"))  # 0.4 V lost of 24 V
    assert not codes(text.replace("{}", "2.7", 1).replace("{}", "1.1")) & {"O205", "O206"}
    assert "O206" in codes(text.replace("{}", "2.7", 1).replace("{}", "1.2"))


def test_the_wires_take_their_part_of_the_on_level() -> None:
    """0.5 mm2 class 5 has 39 ohm/km: 2 km there and back are 156 ohm, at 5 mA about 0.7 V."""
    base = tripping("O205").replace('saturation = "1.2 V"', 'saturation = "0.4 V"')
    long = base.replace(
        "[run-forward]", '[[cables]]\nlength = "2000 m"\nconductor = "0.5 mm2"\n\n[run-forward]'
    )
    assert "O205" not in codes(base)
    assert "O205" in codes(long)
    assert "O205" not in codes(long.replace("2000 m", "900 m"))


def test_a_default_leakage_stops_nothing() -> None:
    assert "O206" not in codes(tripping("O206").replace(', leakage = "2 mA"', ""))


def test_hot_leakage_on_the_input_types() -> None:
    """0.5 mA is below the 1.5 mA of type 3, and the whole 0.5 mA of type 1 (V, M): safe, and no margin."""
    text = tripping("O206").replace("2 mA", "{} mA")
    assert not [f for f in found(text.replace("{}", "0.5")) if f.code == "O206"]
    first = text.replace("type    = 3", "type    = 1").replace('current = "5 mA"', 'current = "2 mA"')
    assert not [f for f in found(first.replace("{}", "0.5")) if f.code == "O206"]
    assert "standard: IEC 61131-2 type 1" in reason("O206", first.replace("{}", "0.51"))


def test_on_level_of_type_three_through_a_transistor() -> None:
    """24 V less 0.4 V is 23.6 V, above the 11 V of type 3 (V); with 13.1 V lost it is not."""
    text = tripping("O205").replace('on = "23 V"\noff = "5 V"', "type = 3")
    assert not [f for f in found(text.replace("1.2 V", "0.4 V")) if f.code == "O205"]
    assert "10.9 V" in reason("O205", text.replace("1.2 V", "13.1 V"))
