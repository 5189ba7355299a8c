"""Checks of the speed signal's screen (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.circuit.checks.report import Report
from doorsheet.circuit.findings import Figure, Finding

__all__ = ["screen_at_both_ends", "screen_at_no_end"]


def _earthed(report: Report) -> Figure | None:
    """Return where the speed signal's screen is earthed; None when there is no screen."""
    speed = report.mapping.speed
    if speed is None or speed.screen is None:
        return None
    return Figure("screen earthed", speed.screen.earthed, report.origin("speed", "screen"))


def screen_at_both_ends(report: Report) -> Iterator[Finding]:
    """S101: an analog screen earthed at both ends carries current of its own."""
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


def screen_at_no_end(report: Report) -> Iterator[Finding]:
    """S102: a screen that is earthed nowhere screens nothing."""
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
