"""Three readings between three points."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour
from tests.checks.meter_lines import Line, potentials, reading_codes, readings

NEIGHBOURS: dict[str, Neighbour] = {
    "R104": ("25.5 V", "25.2 V")  # 24.2 V and 5 % of the largest: 25.47 V; and less than 1 V from 24.3 V
}


def test_three_readings_that_do_not_add_up() -> None:
    lines: list[Line] = [("DI1", "COM", 24.0, "open"), ("AGND", "COM", 0.0, "open")]
    assert reading_codes([*lines, ("DI1", "AGND", 25.2, "open")]) == ["R106"]  # 5 % of 25.2 V is 1.26 V
    assert "R104" in reading_codes([*lines, ("DI1", "AGND", 25.3, "open")])
    small: list[Line] = [("AI1", "AGND", 3.0, "open"), ("AGND", "COM", 0.0, "open")]
    assert reading_codes([*small, ("AI1", "COM", 3.5, "open")]) == []
    (finding,) = readings([*small, ("COM", "AI1", -3.6, "open")])
    assert finding.code == "R104"
    assert "but 0.6 V is left over" in finding.reason
    for line in (3, 4, 5):
        assert f"(measured, line {line})" in finding.reason
    assert "red on AI1, black on AGND, open; all three are as likely" in finding.do


PAIRS = (("DI1", "COM"), ("DI2", "COM"), ("AGND", "COM"), ("DI1", "DI2"), ("DI1", "AGND"), ("DI2", "AGND"))


AT = {"DI1": 24.3, "DI2": 24.1, "COM": 0.0, "AGND": 0.1}


@pytest.mark.parametrize("wrong", range(len(PAIRS)))
def test_the_reading_in_most_triangles_is_taken_again(wrong: int) -> None:
    """Of all six readings between four points one is out by 5 V: two triangles break, both blame that one."""
    lines = potentials(PAIRS, AT)
    red, black, volts, state = lines[wrong]
    lines[wrong] = (red, black, volts + 5, state)
    triangles = [finding for finding in readings(lines) if finding.code == "R104"]
    assert len(triangles) == 2
    for finding in triangles:
        again = f"take this one again: DC volts, red on {red}, black on {black}, open; "
        assert finding.do == again + "it stands in 2 of the 2 sets of three that don't add up"


def test_two_inputs_each_closed_by_itself_make_no_triangle() -> None:
    lines: list[Line] = [
        ("DI1", "COM", 0.2, "closed"),
        ("DI2", "COM", 0.2, "closed"),
        ("DI1", "DI2", 24.0, "closed"),  # one of them closed: which is not said
    ]
    assert reading_codes(lines) == []
    assert reading_codes([(red, black, volts, "plugged") for red, black, volts, _ in lines]) == ["R104"]
