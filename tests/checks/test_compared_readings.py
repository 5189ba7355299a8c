"""Checks of readings against each other: round three points, of two inputs, plugged, running."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, SPEED, Neighbour, codes
from tests.checks.meter_lines import OPEN, Line, potentials, reading_codes, readings

NEIGHBOURS: dict[str, Neighbour] = {
    "R104": ("25.5 V", "25.2 V"),  # 24.2 V and 5 % of the largest: 25.47 V; and less than 1 V from 24.3 V
    "R105": ("19.4 V", "19.5 V"),  # 24.3 V less a fifth is 19.44 V
    "R106": ("23.2 V", "23.3 V"),
    "R107": ("9.89 V", "9.9 V"),
    "R108": ("9.79 V", "9.8 V"),
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


@pytest.mark.parametrize(
    ("lines", "more", "expected"),
    [
        # two inputs of one common
        ([OPEN, ("DI2", "COM", 19.4, "open")], "", ["R105"]),
        ([OPEN, ("COM", "DI2", -19.5, "open")], "", []),
        ([OPEN, ("DI2", "COM", 0.9, "open")], "", []),  # P105 says what that is
        ([OPEN, ("DI2", "COM", 12.0, "closed")], "", []),
        # another common
        ([OPEN, ("DI1", "AGND", 23.2, "open")], "", ["R106"]),
        ([OPEN, ("DI1", "AGND", 23.3, "open")], "", []),
        ([OPEN, ("AGND", "DI1", -23.2, "open")], "", ["R106"]),
        ([OPEN, ("DI1", "AGND", 0.0, "closed")], "", []),
        ([OPEN, ("DI1", "+10V", 14.0, "open")], "", []),  # no common
        # sagging
        ([("AI1", "AGND", 10.0, "unplugged"), ("AI1", "AGND", 9.89, "plugged")], "", ["R107"]),
        ([("AI1", "AGND", 10.0, "unplugged"), ("AGND", "AI1", -9.9, "plugged")], "", []),
        ([("AI1", "AGND", 0.0, "unplugged"), ("AI1", "AGND", 0.05, "plugged")], "", []),
        ([("AI1", "AGND", 0.0, "unplugged"), ("AI1", "AGND", 0.06, "plugged")], "", ["R107"]),
        ([("DI1", "COM", 24.0, "unplugged"), ("DI1", "COM", 20.0, "plugged")], "", ["R107"]),
        ([("AI1", "AGND", 10.0, "stopped"), ("AI1", "AGND", 9.79, "running")], "", ["R108"]),
        ([("AI1", "AGND", 10.0, "stopped"), ("AGND", "AI1", -9.8, "running")], "", []),
        ([("AI1", "AGND", 0.9, "stopped"), ("AI1", "AGND", 10.0, "running")], "", []),  # nothing commanded
        ([("AI1", "AGND", 10.0, "stopped"), ("AI1", "AGND", 5.0, "plugged")], "", []),
    ],
)
def test_what_trips_and_what_does_not(lines: list[Line], more: str, expected: list[str]) -> None:
    assert reading_codes(lines, more) == expected


OTHER: tuple[Line, ...] = (("DI1", "COM", 24.0, "open"), ("DI1", "AGND", 21.0, "open"))
TWIN: tuple[Line, ...] = (("DI1", "COM", 24.0, "open"), ("DI2", "COM", 12.0, "open"))


@pytest.mark.parametrize(
    ("lines", "code", "do"),
    [
        # the other common by what is between the commons, the other input by what is between the inputs
        (OTHER, "R106", "measure DC volts, red on AGND, black on COM, open: about 3 V means"),
        ((*OTHER, ("AGND", "COM", 3.1, "open")), "R106",
         "nothing to measure, red on AGND, black on COM, open, reads 3.1 V (measured, line 5)"),
        ((*OTHER, ("AGND", "COM", 0.0, "open")), "R106",
         "measure once more: DC volts, red on DI1, black on AGND, open"),
        (TWIN, "R105", "measure DC volts, red on DI1, black on DI2, open: about 12 V means"),
        ((*TWIN, ("DI2", "DI1", -12.1, "open")), "R105",
         "nothing to measure, red on DI1, black on DI2, open, reads 12.1 V (measured, line 5)"),
        ((*TWIN, ("DI2", "DI1", -0.0, "open")), "R105",
         "measure once more: DC volts, red on DI2, black on COM, open"),
    ],
)  # fmt: skip
def test_what_settles_it(lines: tuple[Line, ...], code: str, do: str) -> None:
    (finding,) = [finding for finding in readings(lines) if finding.code == code]
    assert finding.do.startswith(do)


def test_readings_at_other_commands_are_not_compared() -> None:
    lines = """readings = [
    "red on AI1, black on AGND: 10.0 V, unplugged at 100 %",
    "red on AI1, black on AGND: 5.0 V, plugged at 50 %",
]
"""
    text = HEAD + lines + SPEED
    assert not codes(text) & {"R107", "R102"}
    assert "R107" in codes(text.replace("5.0 V, plugged at 50 %", "9.5 V, plugged at 100 %"))


def test_what_the_figures_lose_is_no_finding() -> None:
    """500 ohm before 10 kohm take 0.476 V of 10 V, as the mapping says itself (A302)."""
    lines = """readings = [
    "red on AI1, black on AGND: 10.0 V, unplugged",
    "red on AI1, black on AGND: 9.5 V, plugged",
]
[drive.analog]
resistance = "10 kohm"
"""
    text = HEAD + lines + SPEED.replace('common = "0V"', 'common = "0V", resistance = "500 ohm"')
    assert "R107" not in codes(text)
    assert "R107" in codes(text.replace("500 ohm", "50 ohm"))
