"""Checks of stopping: by hardware, and with both directions commanded (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import CAUTION, NOTE, STOP, check
from doorsheet.checks.examined import Report, listed
from doorsheet.checks.finding import Figure, Finding

__all__ = ["both_directions", "stop_path_unnamed", "stop_through_controller"]


# --- stopping ------------------------------------------------------------


@check(
    "X101",
    NOTE,
    "The stop in hardware is not written down",
    rule=(
        "The emergency stop takes torque or power away without the controller. The mapping does not "
        "say by which device, or of which category it is. A run input is not an emergency stop."
    ),
    formula="path: stop device to enable or contactor, past the controller",
    source="emergency stop of category 0 or 1 only: ISO 13850, read in a public summary",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def stop_path_unnamed(report: Report) -> Iterator[Finding]:
    """Nobody wrote down which device stops the motor without the controller, and how."""
    stop = report.mapping.stop
    hardware = stop.hardware if stop is not None else None
    category = stop.category if stop is not None else None
    open_points, keys = [], []
    if hardware is None or hardware.lower() == "unknown":
        open_points.append("which device stops the motor without the controller")
        keys.append('hardware = "..."')
    if category is None or category == "unknown":
        open_points.append("whether it cuts power at once (category 0) or brakes first (category 1)")
        keys.append('category = "0" or "1"')
    if open_points:
        yield report.finding(
            "X101",
            ("stop",) if stop is not None else (),
            f"not written down: {listed(open_points)}",
            f"write [stop] {', '.join(keys)}; prove it with the run command closed before the first powered "
            "test",
        )


@check(
    "X102",
    STOP,
    "The stop goes through the controller only",
    rule="A controller that hangs leaves the motor running.",
    formula="path: stop device to enable or contactor, past the controller",
    source=(
        "follows from the path: a controller that hangs commands nothing; emergency stop of category 0 or 1 "
        "only: ISO 13850, read in a public summary"
    ),
    example="""\
[stop]
hardware = "none"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def stop_through_controller(report: Report) -> Iterator[Finding]:
    """The stop acts on nothing but what the controller commands."""
    stop = report.mapping.stop
    if stop is None or stop.hardware is None:
        return
    named = stop.hardware.strip().lower()
    control = next((name for name, _, _ in report.driven() if name == named.replace(" ", "-")), None)
    if named not in ("none", "no") and control is None:
        return
    figure = Figure("stop device", stop.hardware, report.origin("stop", "hardware"))
    why = (
        f"that is control {control}, which the controller closes"
        if control
        else "a run input alone is no stop"
    )
    yield report.finding(
        "X102",
        ("stop", "hardware"),
        f"the stop goes through the controller only: its device is {figure}; {why}",
        "lead the emergency stop to a contactor or to the drive's own safe input, past the controller",
        figures=(figure,),
    )


@check(
    "X103",
    CAUTION,
    "Both directions can be commanded at once",
    rule=(
        "The mapping says that the drive does not stop with both inputs closed, or that it is not "
        "known; then something must keep them apart. Truth table: 00 stop, 10 forward, 01 reverse, 11 "
        "stop."
    ),
    formula="both-directions = stops, or an interlock is named",
    source=(
        "what a drive does with both closed is for its manual; that both must mean stop is common "
        "practice, no source"
    ),
    example="""\
[drive]
both-directions = "forward"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3

[run-reverse]
input  = "DI2"
common = "COM"
output = { plus = "Y2+", minus = "Y2-" }
meter  = 24.3
""",
)
def both_directions(report: Report) -> Iterator[Finding]:
    """Nothing keeps forward and reverse apart, and the drive does not stop with both."""
    answer = report.mapping.drive.both_directions
    driven = {name: control for name, control, _ in report.driven()}
    if answer in (None, "stops") or report.mapping.controller.interlock is not None:
        return
    if not {"run-forward", "run-reverse"} <= driven.keys():
        return
    figure = Figure("drive with both inputs closed", answer or "", report.origin("drive", "both-directions"))
    forward, reverse = driven["run-forward"].input, driven["run-reverse"].input
    yield report.finding(
        "X103",
        ("run-reverse", "output"),
        f"{forward} and {reverse} can be closed together, and what the drive does then is {figure}: "
        "10 forward, 01 reverse, 00 stop, 11 must be stop",
        'lock them against each other, and write how: [controller] interlock = "..."',
        wires=report.wires_of("run-forward", "input") + report.wires_of("run-reverse", "input"),
        terminals=(forward, reverse),
        figures=(figure,),
    )
