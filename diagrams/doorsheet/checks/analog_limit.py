"""Checks of what could come to the analog input, against what it can take (room: checks)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.example import DIAL, put, table
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.speed_way import driven, signal_finding, way_of
from doorsheet.circuit.ranges import show_value
from doorsheet.electrics import Level
from doorsheet.electrics.events import REST, Controller, Event, commanded
from doorsheet.electrics.signal import Way

__all__: list[str] = []

USUAL_LIMIT_V: Final = 12.0
"""What a speed input of volts bears at least; others bear 15 V (common practice, no source)."""

_EVENTS: Final = (REST, *map(commanded, (0.5, 1.0, -1.0)), Event(controller=Controller.UNPLUGGED))


def _worst(way: Way, unit: str) -> Level:
    """Return the level of the event that brings most to the input, of either sign."""
    levels = [way.signal(event, unit) for event in _EVENTS]
    return max(levels, key=lambda level: (_size(level), level.high))


def _size(level: Level) -> float:
    """Return the size that surely comes at some corner of what is known."""
    if level.floating or level.conflict:
        return 0.0
    if level.is_known:
        return max(abs(level.low), abs(level.high))
    return max(level.low, -level.high, 0.0)


def _figure(level: Level, value: float) -> Figure:
    said = "; ".join(f"{fact.name} {fact}" for fact in level.facts)
    return Figure("at the input", show_value(value, level.unit), f"computed: {said}" if said else "computed")


@stop(
    "A401",
    "More can reach the analog input than it can take",
    formula="most at the input, over all commands <= its limit",
    source="follows from Ohm's law, solved at every command; the limit is the mapping's own",
    example=(
        table("drive.reference", 'voltage = "24 V"'),
        table("drive.analog", 'limit = "12 V"', 'resistance = "20 kohm"'),
        put(DIAL, 'reference = "VREF"', "range"),
    ),
)
def _too_much_reaches_input(report: Report) -> Iterator[Finding]:
    """At some command the installation as mapped brings more to the speed input than its limit: by the source
    and what it can push, the reference, a link to another supply."""
    way, limit = way_of(report), report.figures.of("analog limit")
    if way is None or not limit.is_known:
        return
    level = _worst(way, limit.unit)
    if not exceeds(_size(level), limit.low * (1 + 1e-4)):
        return
    figures = (_figure(level, _size(level)), of_fact(limit), *map(of_fact, level.facts))
    yield signal_finding(
        report,
        ("speed", "signal"),
        f"{figures[0]} can come to input {way.speed.signal}, which bears {figures[1]}",
        "take that connection off, or fit a limiter that the drive's manual allows",
        figures,
    )


def _mismatched(report: Report, way: Way) -> bool:
    """Whether volts are no measure here: an input of milliamperes, or A202, which asks by itself."""
    read_as = way.taken or way.given
    if read_as is None or read_as.unit == "A":
        return read_as is not None
    meets_current = driven(report) is not None and way.given is not None and way.given.unit == "A"
    return meets_current and way.speed.burden is None


@caution(
    "A402",
    "Whether the analog input bears what can reach it is not known",
    formula="most at the input, over all commands <= 12 V",
    source="common practice, no source; what this input bears is for its manual",
    example=(
        table("drive.reference", 'voltage = "15 V"'),
        table("drive.analog", 'resistance = "20 kohm"'),
        put(DIAL, 'reference = "VREF"', "range"),
    ),
)
def _limit_not_known(report: Report) -> Iterator[Finding]:
    """More than 12 V can come to the speed input at some command, and nobody wrote down what it bears. Inputs
    for 0-10 V bear 12 V or 15 V in the manuals seen."""
    way = way_of(report)
    if way is None or report.figures.of("analog limit").is_known or _mismatched(report, way):
        return
    level = _worst(way, "V")
    if exceeds(_size(level), USUAL_LIMIT_V * (1 + 1e-4)):
        figure = _figure(level, _size(level))
        yield signal_finding(
            report,
            ("speed", "signal"),
            f"{figure} can come to input {way.speed.signal}, and what it bears is not written down",
            'look it up in the drive\'s manual, and write it down⟨: [drive.analog] limit = "... V"⟩',
            (figure, *map(of_fact, level.facts)),
        )
