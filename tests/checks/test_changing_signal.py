"""A signal that changes when plugged in or running."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, SPEED, Neighbour, codes
from tests.checks.meter_lines import Line, reading_codes

NEIGHBOURS: dict[str, Neighbour] = {"R107": ("9.89 V", "9.9 V"), "R108": ("9.79 V", "9.8 V")}


@pytest.mark.parametrize(
    ("lines", "more", "expected"),
    [
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
