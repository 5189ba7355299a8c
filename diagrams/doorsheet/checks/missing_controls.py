"""Checks of what a drive's controls lack beside each other (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution
from doorsheet.checks.examined import MOVES, Report, listed
from doorsheet.checks.example import table
from doorsheet.checks.finding import Figure, Finding

__all__: list[str] = []


@caution(
    "L104",
    "Preset speeds, and nothing that starts the motor",
    source=(
        "what starts a drive is for its manual; that a preset alone does not is common practice, no source"
    ),
    example=table(
        "preset-speed-1",
        'input  = "DI1"',
        'common = "COM"',
        'output = { plus = "Y1+", minus = "Y1-" }',
        "meter  = 24.3",
    ),
)
def _nothing_starts(report: Report) -> Iterator[Finding]:
    """A preset speed chooses how fast; with most drives it starts nothing. The mapping has preset speeds and
    no run input, so the run command is missing, or it comes from elsewhere."""
    presets = [name for name in report.names if name.startswith("preset-speed")]
    if presets and not set(MOVES) & set(report.names):
        yield report.finding(
            (presets[0],),
            f"{listed(presets)} choose{'s' * (len(presets) == 1)} a speed, and no run input is named: "
            "nothing starts the motor",
            "name the run input⟨: add [run-forward]⟩; or write "
            "in the sheet's notes where the run command comes from",
        )


@caution(
    "F105",
    "The fault contact may hide a broken wire",
    formula='[fault] normally = "open", held closed while all is well',
    source=(
        "follows from what an open wire does; closed while all is well: a public textbook on fail-safe design"
    ),
    example=table(
        "fault",
        'terminals = ["RA", "RC"]',
        'normally  = "closed"',
        'input     = { signal = "IN1", common = "0V" }',
    ),
)
def _fault_hides_broken_wire(report: Report) -> Iterator[Finding]:
    """A contact that is closed without power is closed after a fault too, with a drive that holds its fault
    relay while all is well. A broken wire then looks as if all were well."""
    fault = report.mapping.fault
    if fault is None or fault.normally != "closed":
        return
    figure = Figure("fault contact without power", "closed", report.origin("fault", "normally"))
    yield report.finding(
        ("fault", "normally"),
        f"the fault contact {listed(list(fault.terminals))} is {figure}: if it closes on a fault, a broken "
        "wire shows no fault",
        "use the contact that opens on a fault and on loss of power; read in the manual which that is, and "
        "prove it: take one wire off, the controller must show a fault",
        terminals=fault.terminals,
        figures=(figure,),
    )
