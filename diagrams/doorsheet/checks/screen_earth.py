"""Checks of the speed signal's screen (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import CAUTION, check
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Figure, Finding

__all__ = ["screen_at_both_ends", "screen_at_no_end"]


def _earthed(report: Report) -> Figure | None:
    """Return where the speed signal's screen is earthed; None when there is no screen."""
    speed = report.mapping.speed
    if speed is None or speed.screen is None:
        return None
    return Figure("screen earthed", speed.screen.earthed, report.origin("speed", "screen"))


@check(
    "S101",
    CAUTION,
    "The speed signal's screen is earthed at both ends",
    rule="The screen and earth form a loop: current in the screen adds to the signal.",
    formula="earthed ends(screen) = 1",
    source="a textbook on noise reduction (tests at 50 kHz), read in a public copy",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
cable  = "W2"
screen = "both"
""",
)
def screen_at_both_ends(report: Report) -> Iterator[Finding]:
    """An analog screen earthed at both ends carries current of its own."""
    earthed = _earthed(report)
    if earthed is not None and earthed.value == "both":
        yield report.finding(
            "S101",
            ("speed", "screen"),
            "the speed signal's screen is earthed at both ends: a loop, whose current adds to the signal",
            "earth it at the end that the drive's manual names, cut it back and insulate it at the other",
            wires=report.wires_of("speed", "signal", "common"),
            figures=(earthed,),
        )


@check(
    "S102",
    CAUTION,
    "The speed signal's screen is earthed nowhere",
    rule="A screen that is earthed nowhere picks up the noise and passes it on to the signal.",
    formula="earthed ends(screen) = 1",
    source=(
        "follows from how a screen works: it keeps an electric field out only where its own voltage is held"
    ),
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
cable  = "W2"
screen = "none"
""",
)
def screen_at_no_end(report: Report) -> Iterator[Finding]:
    """A screen that is earthed nowhere screens nothing."""
    earthed = _earthed(report)
    if earthed is not None and earthed.value == "none":
        yield report.finding(
            "S102",
            ("speed", "screen"),
            "the speed signal's screen is earthed nowhere, so it screens nothing",
            "earth it at one end, the one that the drive's manual names",
            wires=report.wires_of("speed", "signal", "common"),
            figures=(earthed,),
        )
