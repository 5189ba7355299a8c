"""Checks of who powers a milliampere loop (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import CAUTION, STOP, check
from doorsheet.checks.examined import Report
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.speed_way import driven, signal_finding
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import AnalogSource

__all__ = ["power_unknown", "powered_by_none", "powered_twice"]


def _loop(report: Report) -> tuple[Way, AnalogSource] | None:
    """Return the way of a source of milliamperes; None at other stages and of other sources."""
    found = driven(report)
    return found if found is not None and found[0].given is not None and found[0].given.unit == "A" else None


def _said(report: Report, source: AnalogSource) -> Figure:
    return Figure(
        "loop powered by", source.powered_by or "unknown", report.origin("speed", "source", "powered-by")
    )


@check(
    "A501",
    STOP,
    "Two supplies in the milliampere loop",
    rule=(
        "An active output pushes its current by a supply of its own. Where the drive powers the loop as "
        "well, the two supplies stand against each other or add up: the current is that of neither."
    ),
    formula="supplies in the loop = 1",
    source="follows from Kirchhoff's voltage law: the difference of two supplies drives current of its own",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V", gives = "0-20 mA", powered-by = "drive", compliance = "15 V" }
range  = "0-20 mA"
""",
)
def powered_twice(report: Report) -> Iterator[Finding]:
    """The drive powers the loop, and the output pushes by itself."""
    found, push = _loop(report), report.figures.of("source compliance")
    if found is None or found[1].powered_by != "drive" or not push.is_known:
        return
    said = _said(report, found[1])
    yield signal_finding(
        report,
        "A501",
        ("speed", "source", "powered-by"),
        f"the loop is powered by the {said}, and source {found[1].signal} pushes {of_fact(push)} by itself",
        "look up whether the output is active (pushes by itself) or passive, and let one side power the loop",
        (said, of_fact(push)),
    )


@check(
    "A502",
    STOP,
    "Nothing powers the milliampere loop",
    rule=(
        "A passive output only limits the current that another supply drives. A voltage input with a "
        "burden resistor drives none, and no reference is in the loop: the signal stays at nothing."
    ),
    formula="supplies in the loop = 1",
    source="follows from Kirchhoff's voltage law: without a supply no current",
    example="""\
[[drive.settings]]
number  = "P12"
meaning = "what follows when the signal is lost"
topic   = "signal-loss"
set     = "stop"

[drive.analog]
resistance = "100 kohm"

[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V", gives = "4-20 mA", powered-by = "drive" }
range  = "2-10 V"
burden = "500 ohm"
""",
)
def powered_by_none(report: Report) -> Iterator[Finding]:
    """The drive is to power the loop, by an input of volts that drives nothing."""
    found = _loop(report)
    if found is None or found[1].powered_by != "drive" or found[0].speed.burden is None:
        return
    if report.figures.of("source compliance").is_known:
        return
    burden, said = report.figures.of("burden"), _said(report, found[1])
    yield signal_finding(
        report,
        "A502",
        ("speed", "source", "powered-by"),
        f"the loop is to be powered by the {said}, and at input {found[0].speed.signal} there is "
        "only the burden "
        f"of {of_fact(burden)}, which drives nothing",
        "use an output that pushes by itself, or a supply in the loop as the controller's manual shows it",
        (said, of_fact(burden)),
    )


@check(
    "A503",
    CAUTION,
    "Who powers the milliampere loop is not known",
    rule=(
        "An active output pushes its current by itself, a passive one needs a supply in the loop. With "
        "none there is no signal, with two the current is that of neither and an input may be lost."
    ),
    formula="powered-by, or the output's compliance, is written down",
    source="follows from Kirchhoff's voltage law: one supply in a loop",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V", gives = "0-20 mA" }
range  = "0-20 mA"
""",
)
def power_unknown(report: Report) -> Iterator[Finding]:
    """Nobody said which side powers the loop."""
    found = _loop(report)
    if found is None or found[1].powered_by in ("controller", "drive"):
        return
    if report.figures.of("source compliance").is_known:
        return  # it pushes by itself
    yield signal_finding(
        report,
        "A503",
        ("speed", "source"),
        f"whether source {found[1].signal} pushes its milliamperes by itself, or the drive is to, is "
        "not written "
        "down",
        "look it up in the controller's manual under analog output (active or passive), and write it down"
        '⟨: powered-by = "controller" or "drive"⟩',
    )
