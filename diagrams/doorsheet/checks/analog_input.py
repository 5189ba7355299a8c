"""Checks of what comes to the analog input: too much, or milliamperes that nothing powers (room: checks)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Report, exceeds, of_fact
from doorsheet.checks.example import DIAL, SIGNAL_LOSS, analog, driving, put, table
from doorsheet.checks.speed_way import driven, sources, ways
from doorsheet.circuit.ranges import show_value
from doorsheet.electrics import Level
from doorsheet.electrics.events import REST, Controller, Event, commanded
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import AnalogSource

__all__: list[str] = []


USUAL_LIMIT_V: Final = 12.0
"""What a speed input of volts can take at least; others take 15 V (common practice, no source)."""

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


@stop.each(
    ways,
    "A401",
    table("drive.reference", 'voltage = "24 V"'),
    table("drive.analog", 'limit = "12 V"', 'resistance = "20 kohm"'),
    put(DIAL, 'reference = "VREF"', "range"),
)
def _too_much_reaches_input(report: Report, way: Way) -> Found:
    """More can reach the analog input than it can take.
    At some command the installation as mapped brings more to the speed input than its limit: by the source
    and what it can push, the reference, a link to another supply.
    Formula: most at the input, over all commands <= its limit
    Source: follows from Ohm's law, solved at every command; the limit is the mapping's own"""
    limit = report.figures.of("analog limit")
    if not limit.is_known:
        return
    level = _worst(way, limit.unit)
    if not exceeds(_size(level), limit.low * (1 + 1e-4)):
        return
    figures = (_figure(level, _size(level)), of_fact(limit), *map(of_fact, level.facts))
    reason = f"{figures[0]} can reach input {way.speed.signal}, which can take {figures[1]}"
    do = "take that connection off, or fit a limiter that the drive's manual allows"
    yield report.of_signal(("speed", "signal"), *figures)(reason, do)


def _mismatched(report: Report, way: Way) -> bool:
    """Whether volts are no measure here: an input of milliamperes, or A202, which asks by itself."""
    read_as = way.taken or way.given
    if read_as is None or read_as.unit == "A":
        return read_as is not None
    meets_current = driven(report) is not None and way.given is not None and way.given.unit == "A"
    return meets_current and way.speed.burden is None


@caution.each(
    ways,
    "A402",
    table("drive.reference", 'voltage = "15 V"'),
    analog("20 kohm"),
    put(DIAL, 'reference = "VREF"', "range"),
)
def _limit_not_known(report: Report, way: Way) -> Found:
    """Whether the analog input can take what can reach it is not known.
    More than 12 V can reach the speed input at some command, and nobody wrote down what it can take. In the
    manuals seen, inputs for 0-10 V can take 12 V or 15 V.
    Formula: most at the input, over all commands <= 12 V
    Source: common practice, no source; what this input can take is for its manual"""
    if report.figures.of("analog limit").is_known or _mismatched(report, way):
        return
    level = _worst(way, "V")
    if exceeds(_size(level), USUAL_LIMIT_V * (1 + 1e-4)):
        figure = _figure(level, _size(level))
        reason = f"{figure} can reach input {way.speed.signal}, and what it can take is not written down"
        do = 'look it up in the drive\'s manual, and write it down⟬: [drive.analog] limit = "... V"⟭'
        yield report.of_signal(("speed", "signal"), figure, *map(of_fact, level.facts))(reason, do)


def _loops(report: Report) -> Iterator[tuple[Way, AnalogSource]]:
    """Yield the way of a source of milliamperes; none at other stages and of other sources."""
    yield from (one for one in sources(report) if one[0].given is not None and one[0].given.unit == "A")


def _said(report: Report, source: AnalogSource) -> Figure:
    origin = report.origin("speed", "source", "powered-by")
    return Figure("loop powered by", source.powered_by or "unknown", origin)


@stop.each(
    _loops,
    "A501",
    driving('gives = "0-20 mA", powered-by = "drive", compliance = "15 V"', "0-20 mA", "reference"),
)
def _powered_twice(report: Report, way: Way, source: AnalogSource) -> Found:
    """Two supplies in the milliampere loop.
    An active output pushes its current by a supply of its own. Where the drive powers the loop as well, the
    two supplies stand against each other or add up: the current is that of neither.
    Formula: supplies in the loop = 1
    Source: follows from Kirchhoff's voltage law: the difference of two supplies drives current of its own"""
    push, said = report.figures.of("source compliance"), _said(report, source)
    if source.powered_by != "drive" or not push.is_known:
        return
    reason = f"the loop is powered by the {said}, and source {source.signal} pushes {of_fact(push)} by itself"
    do = "look up whether the output is active (pushes by itself) or passive, and let one side power the loop"
    yield report.of_signal(("speed", "source", "powered-by"), said, of_fact(push))(reason, do)


@stop.each(
    _loops,
    "A502",
    SIGNAL_LOSS,
    analog("100 kohm"),
    driving('gives = "4-20 mA", powered-by = "drive"', "2-10 V", 'burden = "500 ohm"', "reference"),
)
def _powered_by_none(report: Report, way: Way, source: AnalogSource) -> Found:
    """Nothing powers the milliampere loop.
    A passive output only limits the current that another supply drives. A voltage input with a burden
    resistor drives none, and no reference is in the loop: the signal stays at zero.
    Formula: supplies in the loop = 1
    Source: follows from Kirchhoff's voltage law: without a supply no current"""
    if source.powered_by != "drive" or way.speed.burden is None:
        return
    if report.figures.of("source compliance").is_known:
        return
    burden, said = report.figures.of("burden"), _said(report, source)
    yield report.of_signal(("speed", "source", "powered-by"), said, of_fact(burden))(
        f"the loop is to be powered by the {said}, but at input {way.speed.signal} there is only the "
        f"burden of {of_fact(burden)}, which drives nothing",
        "use an output that pushes by itself, or a supply in the loop as the controller's manual shows it",
    )


@caution.each(_loops, "A503", driving('gives = "0-20 mA"', "0-20 mA", "reference"))
def _power_unknown(report: Report, way: Way, source: AnalogSource) -> Found:
    """Who powers the milliampere loop is not known.
    An active output pushes its current by itself, a passive one needs a supply in the loop. With none there
    is no signal, with two the current is that of neither and an input may be damaged.
    Formula: powered-by, or the output's compliance, is written down
    Source: follows from Kirchhoff's voltage law: one supply in a loop"""
    if source.powered_by in ("controller", "drive") or report.figures.of("source compliance").is_known:
        return  # one is named, or it pushes by itself
    yield report.of_signal(("speed", "source"))(
        f"whether source {source.signal} pushes its milliamperes by itself, or the drive does, is not "
        "written down",
        "look it up in the controller's manual under analog output (active or passive), and write it down"
        '⟬: powered-by = "controller" or "drive"⟭',
    )
