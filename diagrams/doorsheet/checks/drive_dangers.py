"""Checks of the drive's own dangers: stored charge, mains on control terminals (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import CAUTION, NOTE, STOP, check
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Figure, Finding, Unknown

__all__ = ["discharge_unknown", "isolation_unknown", "not_isolated"]


@check(
    "F101",
    NOTE,
    "The discharge time is not given",
    rule=(
        "The wait before touching is printed on the drive. It is never guessed: the warning box has a "
        "blank for it."
    ),
    source="durable warning with the delay: IEC 60204-1:2016 6.2.4, seen at second hand",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def discharge_unknown(report: Report) -> Iterator[Finding]:
    """The wait before touching is printed on the drive, and nowhere here."""
    given = report.mapping.drive.discharge
    if given is None or given.lower() == "unknown":
        yield report.finding(
            "F101",
            ("drive",),
            "the drive's discharge time is not given, so the warning box has a blank for it",
            'copy it from the drive\'s label⟨: discharge = "..."⟩',
            unknowns=(Unknown("the time to wait after switch-off", "the drive's label", first=True),),
        )


@check(
    "F102",
    STOP,
    "The control terminals are not isolated from the mains",
    rule=(
        "Some simple speed boards have their control terminals at mains potential. Every wire on this "
        "sheet would be at mains potential too, and the controller with them."
    ),
    formula="isolated = yes",
    source=(
        "follows from the joint: without isolation a control wire has the mains' potential; control "
        "circuits of extra-low voltage: EN 60204-1 6.4.1, seen at second hand"
    ),
    example="""\
[drive]
isolated = "no"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def not_isolated(report: Report) -> Iterator[Finding]:
    """Control terminals at mains potential."""
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


@check(
    "F103",
    CAUTION,
    "It is not known whether the control terminals are isolated from the mains",
    rule=(
        "Until the manual says so, or an electrician has proved it, each of them counts as live. Not written "
        'down is as unknown as "unknown".'
    ),
    formula="isolated = yes",
    source="unproved counts as live: common practice, no source",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def isolation_unknown(report: Report) -> Iterator[Finding]:
    """Whether the control terminals are isolated, nobody has written down."""
    said = report.mapping.drive.isolated
    if said not in (None, "unknown"):
        return
    origin = report.origin("drive", "isolated") if said else "not written down"
    figure = Figure("control terminals isolated", "unknown", origin)
    yield report.finding(
        "F103",
        ("drive", "isolated") if said else ("drive",),
        f"whether the drive's control terminals are isolated from the mains is {figure}",
        "look in the manual, or ask an electrician to prove it; then write it down"
        '⟨: isolated = "yes" or "no"⟩',
        figures=(figure,),
    )
