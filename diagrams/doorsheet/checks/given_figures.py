"""The check of figures that the mapping gives of one thing and that can't all be true (room: checks)."""

from collections.abc import Iterator
from typing import Final, NamedTuple

from doorsheet.checks.check import caution
from doorsheet.checks.examined import Path, Report, exceeds
from doorsheet.checks.example import RUN, table
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Finding
from doorsheet.electrics.fact import Fact
from doorsheet.trade.input_classes import INPUT_CLASSES

__all__: list[str] = []

_SHARE: Final = 0.2
"""How far figures of one thing may be apart (common practice, no source)."""


class _Pair(NamedTuple):
    """Two facts that can't both be true, and why."""

    path: Path
    one: Fact
    other: Fact
    why: str


@caution(
    "F106",
    "Figures contradict each other",
    formula="off < on; R x I within 20 % of V; I <= limit; measured current within 20 % of the one given",
    source="follows from Ohm's law, and from what on and off mean; the 20 % are common practice, no source",
    example=(table("drive.inputs", 'on = "8 V"', 'off = "12 V"'), RUN),
)
def _figures_contradict(report: Report) -> Iterator[Finding]:
    """The mapping gives figures of the switch inputs that can't all be true: on below off, a resistance that
    does not go with voltage and current, a current above the limit, another measured one."""
    for pair in (*_of_inputs(report), *_of_type(report), *_measured(report)):
        figures = (of_fact(pair.one), of_fact(pair.other))
        yield report.finding(
            pair.path,
            f"{figures[0].name} {figures[0]} and {figures[1].name} {figures[1]}: {pair.why}",
            "read both in the manual again, with their units",
            figures=figures,
        )


def _of_inputs(report: Report) -> Iterator[_Pair]:
    of, at = report.figures.of, ("drive", "inputs")
    on, off, limit = of("input on"), of("input off"), of("input limit")
    if on.is_known and off.is_known and on.unit == off.unit and not exceeds(on.low, off.high):
        yield _Pair((*at, "on"), on, off, "an input that is on can't be off")
    volts, amps, ohm = of("input voltage"), of("input current"), of("input resistance")
    if volts.is_known and amps.is_known and ohm.is_known and not limit.is_known:
        low, high = amps.low * ohm.low, amps.high * ohm.high
        if exceeds(low * (1 - _SHARE), volts.high) or exceeds(volts.low, high * (1 + _SHARE)):
            yield _Pair((*at, "resistance"), ohm, amps, f"at {volts.value} another current flows")
    if amps.is_known and limit.is_known and exceeds(amps.low, limit.high):
        yield _Pair((*at, "limit"), limit, amps, "more than the limit never flows")
    if on.is_known and volts.is_known and on.unit == "V" and exceeds(on.low, volts.high):
        yield _Pair((*at, "on"), on, volts, "an input that its own supply does not reach is never on")


def _of_type(report: Report) -> Iterator[_Pair]:
    kind, amps = report.figures.input_type, report.figures.of("input current")
    if kind is None or not amps.is_known:
        return
    entry, limit = INPUT_CLASSES[kind], report.figures.threshold("on", "A")
    if limit.is_known and exceeds(entry.on_a, amps.high):
        why = f"an input of type {kind} draws at least {entry.on_a * 1000:g} mA when on"
        yield _Pair(("drive", "inputs", "type"), amps, limit, why)


def _measured(report: Report) -> Iterator[_Pair]:
    given = report.figures.of("input current")
    for name, _ in report.switched:
        measured = report.figures.closed_a(name)
        if not (given.is_known and measured.is_known):
            continue
        far = exceeds(measured.low, given.high * (1 + _SHARE)) or exceeds(
            given.low * (1 - _SHARE), measured.high
        )
        if far:
            yield _Pair((name, "meter-current"), measured, given, "one of them is of another input or drive")
