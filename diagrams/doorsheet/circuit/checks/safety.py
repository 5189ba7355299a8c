"""Checks of the drive's own facts and of stopping (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.circuit.checks.report import Report, listed
from doorsheet.circuit.findings import Figure, Finding

__all__ = [
    "both_directions",
    "discharge_unknown",
    "isolation_unknown",
    "not_isolated",
    "stop_path_unnamed",
    "stop_through_controller",
]


def discharge_unknown(report: Report) -> Iterator[Finding]:
    """F101: the wait before touching is printed on the drive, and nowhere here."""
    given = report.mapping.drive.discharge
    if given is None or given.lower() == "unknown":
        yield report.finding(
            "F101",
            ("drive",),
            "the drive's discharge time is not given, so the warning box has a blank for it",
            'copy it from the drive\'s label: discharge = "..."',
        )


def not_isolated(report: Report) -> Iterator[Finding]:
    """F102: control terminals at mains potential."""
    if report.mapping.drive.isolated == "no":
        figure = Figure("control terminals isolated", "no", report.origin("drive", "isolated"))
        yield report.finding(
            "F102",
            ("drive", "isolated"),
            f"the drive's control terminals are not isolated from the mains: {figure}; every wire of "
            "this sheet "
            "and the controller would be at mains potential",
            "connect nothing: use a drive with isolated control terminals, or have an electrician "
            "fit isolators",
            figures=(figure,),
        )


def isolation_unknown(report: Report) -> Iterator[Finding]:
    """F103: whether the control terminals are isolated, nobody knows."""
    if report.mapping.drive.isolated == "unknown":
        figure = Figure("control terminals isolated", "unknown", report.origin("drive", "isolated"))
        yield report.finding(
            "F103",
            ("drive", "isolated"),
            f"whether the drive's control terminals are isolated from the mains is {figure}",
            'look in the manual, or ask an electrician to prove it; then write isolated = "yes" or "no"',
            figures=(figure,),
        )


# --- stopping ------------------------------------------------------------


def stop_path_unnamed(report: Report) -> Iterator[Finding]:
    """X101: nobody wrote down which device stops the motor without the controller, and how."""
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
            f"nobody wrote down {listed(open_points)}",
            f"write [stop] {', '.join(keys)}; prove it with the run command closed before the first powered "
            "test",
        )


def stop_through_controller(report: Report) -> Iterator[Finding]:
    """X102: the stop acts on nothing but what the controller commands."""
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


def both_directions(report: Report) -> Iterator[Finding]:
    """X103: nothing keeps forward and reverse apart, and the drive does not stop with both."""
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
