"""Checks of the drive's own dangers: stored charge, mains on control terminals (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import Report
from doorsheet.checks.example import RUN, table
from doorsheet.checks.finding import Figure, Finding, Unknown

__all__: list[str] = []


@note(
    "F101",
    "The discharge time is not given",
    source="durable warning with the delay: IEC 60204-1:2016 6.2.4, seen at second hand",
    example=RUN,
)
def _discharge_unknown(report: Report) -> Iterator[Finding]:
    """The wait before touching is printed on the drive. It is never guessed: the warning box has a blank for
    it."""
    given = report.mapping.drive.discharge
    if given is None or given.lower() == "unknown":
        yield report.finding(
            ("drive",),
            "the drive's discharge time is not given, so the warning box has a blank for it",
            'copy it from the drive\'s label⟨: discharge = "..."⟩',
            unknowns=(Unknown("the time to wait after switch-off", "the drive's label", first=True),),
        )


@stop(
    "F102",
    "The control terminals are not isolated from the mains",
    formula="isolated = yes",
    source=(
        "follows from the joint: without isolation a control wire has the mains' potential; control "
        "circuits of extra-low voltage: EN 60204-1 6.4.1, seen at second hand"
    ),
    example=(table("drive", 'isolated = "no"'), RUN),
)
def _not_isolated(report: Report) -> Iterator[Finding]:
    """Some simple speed boards have their control terminals at mains potential. Every wire on this sheet
    would be at mains potential too, and the controller with them."""
    if report.mapping.drive.isolated == "no":
        figure = Figure("control terminals isolated", "no", report.origin("drive", "isolated"))
        yield report.finding(
            ("drive", "isolated"),
            f"the drive's control terminals are not isolated from the mains: {figure}; every wire of this "
            "sheet and the controller would be at mains potential",
            "connect nothing: use a drive with isolated control terminals, or have an electrician "
            "fit isolators",
            figures=(figure,),
        )


@caution(
    "F103",
    "It is not known whether the control terminals are isolated from the mains",
    formula="isolated = yes",
    source="unproved counts as live: common practice, no source",
    example=RUN,
)
def _isolation_unknown(report: Report) -> Iterator[Finding]:
    """Until the manual says so, or an electrician has proved it, each of them counts as live. Not written
    down is as unknown as "unknown"."""
    said = report.mapping.drive.isolated
    if said not in (None, "unknown"):
        return
    origin = report.origin("drive", "isolated") if said else "not written down"
    figure = Figure("control terminals isolated", "unknown", origin)
    yield report.finding(
        ("drive", "isolated") if said else ("drive",),
        f"whether the drive's control terminals are isolated from the mains is {figure}",
        "look in the manual, or ask an electrician to prove it; then write it down"
        '⟨: isolated = "yes" or "no"⟩',
        figures=(figure,),
    )
