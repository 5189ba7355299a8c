"""Readings as lines of a mapping, and what the checks say about them."""

from __future__ import annotations

from collections.abc import Sequence

from doorsheet.checks import Finding
from tests.checks.cases import found

__all__ = ["OPEN", "POINTS", "STATES", "Line", "potentials", "reading_codes", "readings", "said", "swapped"]

POINTS = ("DI1", "DI2", "COM", "AI1", "AGND", "+10V")

STATES = ("open", "closed", "unplugged", "plugged", "stopped", "running")


MACHINE = """machine = "Example"
readings = [
{lines}]

[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "Y1+", minus = "Y1-" }}
{more}
[run-reverse]
input = "DI2"
common = "COM"
output = {{ plus = "Y2+", minus = "Y2-" }}

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "0-10 V"
source = {{ signal = "AO1", common = "0V" }}
"""


Line = tuple[str, str, float, str]

"""Red, black, volts, state."""

OPEN: Line = ("DI1", "COM", 24.3, "open")


def written(line: Line) -> str:
    red, black, volts, state = line
    return f"red on {red}, black on {black}: {volts!r} V, {state}"


def swapped(line: Line) -> Line:
    red, black, volts, state = line
    return black, red, -volts, state


def said(lines: Sequence[Line], more: str = "") -> tuple[Finding, ...]:
    text = MACHINE.format(lines="".join(f'"{written(line)}",\n' for line in lines), more=more)
    return found(text)


def readings(lines: Sequence[Line], more: str = "") -> list[Finding]:
    """Return the findings about readings against each other."""
    return [finding for finding in said(lines, more) if finding.code.startswith("R")]


def reading_codes(lines: Sequence[Line], more: str = "") -> list[str]:
    return sorted(finding.code for finding in readings(lines, more))


def potentials(lines: Sequence[tuple[str, str]], at: dict[str, float], state: str = "open") -> list[Line]:
    return [(red, black, round(at[red] - at[black], 2), state) for red, black in lines]
