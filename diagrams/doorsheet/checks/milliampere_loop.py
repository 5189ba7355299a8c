"""Checks of who powers a milliampere loop (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Report
from doorsheet.checks.example import SIGNAL_LOSS, SPEED, put, table
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.speed_way import driven, signal_finding
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import AnalogSource

__all__: list[str] = []


def _loop(report: Report) -> tuple[Way, AnalogSource] | None:
    """Return the way of a source of milliamperes; None at other stages and of other sources."""
    found = driven(report)
    return found if found is not None and found[0].given is not None and found[0].given.unit == "A" else None


def _said(report: Report, source: AnalogSource) -> Figure:
    return Figure(
        "loop powered by", source.powered_by or "unknown", report.origin("speed", "source", "powered-by")
    )


@stop(
    "A501",
    "Two supplies in the milliampere loop",
    formula="supplies in the loop = 1",
    source="follows from Kirchhoff's voltage law: the difference of two supplies drives current of its own",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "0-20 mA", powered-by = "drive", '
        'compliance = "15 V" }',
        'range  = "0-20 mA"',
        "reference",
    ),
)
def _powered_twice(report: Report) -> Iterator[Finding]:
    """An active output pushes its current by a supply of its own. Where the drive powers the loop as well,
    the two supplies stand against each other or add up: the current is that of neither."""
    found, push = _loop(report), report.figures.of("source compliance")
    if found is None or found[1].powered_by != "drive" or not push.is_known:
        return
    said = _said(report, found[1])
    yield signal_finding(
        report,
        ("speed", "source", "powered-by"),
        f"the loop is powered by the {said}, and source {found[1].signal} pushes {of_fact(push)} by itself",
        "look up whether the output is active (pushes by itself) or passive, and let one side power the loop",
        (said, of_fact(push)),
    )


@stop(
    "A502",
    "Nothing powers the milliampere loop",
    formula="supplies in the loop = 1",
    source="follows from Kirchhoff's voltage law: without a supply no current",
    example=(
        SIGNAL_LOSS,
        table("drive.analog", 'resistance = "100 kohm"'),
        put(
            SPEED,
            'source = { signal = "AO1", common = "0V", gives = "4-20 mA", powered-by = "drive" }',
            'range  = "2-10 V"',
            'burden = "500 ohm"',
            "reference",
        ),
    ),
)
def _powered_by_none(report: Report) -> Iterator[Finding]:
    """A passive output only limits the current that another supply drives. A voltage input with a burden
    resistor drives none, and no reference is in the loop: the signal stays at zero."""
    found = _loop(report)
    if found is None or found[1].powered_by != "drive" or found[0].speed.burden is None:
        return
    if report.figures.of("source compliance").is_known:
        return
    burden, said = report.figures.of("burden"), _said(report, found[1])
    yield signal_finding(
        report,
        ("speed", "source", "powered-by"),
        f"the loop is to be powered by the {said}, and at input {found[0].speed.signal} there is only the "
        f"burden of {of_fact(burden)}, which drives nothing",
        "use an output that pushes by itself, or a supply in the loop as the controller's manual shows it",
        (said, of_fact(burden)),
    )


@caution(
    "A503",
    "Who powers the milliampere loop is not known",
    formula="powered-by, or the output's compliance, is written down",
    source="follows from Kirchhoff's voltage law: one supply in a loop",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "0-20 mA" }',
        'range  = "0-20 mA"',
        "reference",
    ),
)
def _power_unknown(report: Report) -> Iterator[Finding]:
    """An active output pushes its current by itself, a passive one needs a supply in the loop. With none
    there is no signal, with two the current is that of neither and an input may be damaged."""
    found = _loop(report)
    if found is None or found[1].powered_by in ("controller", "drive"):
        return
    if report.figures.of("source compliance").is_known:
        return  # it pushes by itself
    yield signal_finding(
        report,
        ("speed", "source"),
        f"whether source {found[1].signal} pushes its milliamperes by itself, or the drive is to, is not "
        "written down",
        "look it up in the controller's manual under analog output (active or passive), and write it down"
        '⟨: powered-by = "controller" or "drive"⟩',
    )
