"""Checks of the speed signal's range against the input's; what all checks of the speed signal share."""

from collections.abc import Iterator
from dataclasses import dataclass
from operator import itemgetter
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import MOVES, Figure, Found, Report, Shown, called, exceeds, listed, of_level
from doorsheet.checks.example import LOOP, LOSS, driving
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import PartKind, Stage
from doorsheet.circuit.reading_words import show, show_value
from doorsheet.electrics import Level
from doorsheet.electrics.events import REST, Event, commanded
from doorsheet.electrics.signal import FULL, Way
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.signals import RANGES, Signal
from doorsheet.network import Figure as Span

__all__ = [
    "LARGEST_GAIN", "LOOK", "behind", "dials", "fed_v", "fitted", "is_alike", "of_range", "percent", "shown",
    "sources", "ways",
]  # fmt: skip

LEAST_TOP: Final = 0.98  # share of top speed below which it is worth a word (common practice, no source)
_RANGE: Final = ("speed", "range")
SAME_SHARE: Final = 1e-3  # two signals as near as this, a share of the range, are one

LARGEST_GAIN: Final = 2.0
"""How far the drive's scale may be asked to make up for what is missing of the signal: 0-5 V into 0-10 V is
twice (chosen here, no source).  Of a bridged signal it would make full speed of some millivolts of noise."""

LOOK: Final = (
    "look for what joins, feeds or loads the signal: a bridge or link, a short in the cable, a resistor or "
    "another input; leave the drive's range and gain alone until it is found"
)
"""What to do where no range and no sane gain makes the signal right."""


def ways(report: Report) -> tuple[tuple[Way], ...]:
    """Return the speed signal's way; none where the mapping has no speed, or no way back for it."""
    return ((Way(report.solved, report.drive),),) if report.speed.common is not None else ()


def sources(report: Report) -> Iterator[tuple[Way, AnalogSource]]:
    """Yield the way and its source; none where there is no source at this stage."""
    for (way,) in ways(report):
        if way.speed.source is not None and report.stage_of("speed") is not Stage.BENCH:
            yield way, way.speed.source


def fed_v(way: Way, source: AnalogSource) -> Level | None:
    """Return what the drive feeds a loop of milliamperes with, V, against the input's common; None where it
    doesn't.
    """
    feed = source.feed and way.solved.at_drive(source.feed, way.drive)
    return way.solved.volts(feed, way.ends[1], FULL) if feed else None


def behind(way: Way, source: AnalogSource) -> tuple[str, Shown]:
    """Return the volts behind a loop of milliamperes, the source's own or what feeds it; first in words."""
    level = fed_v(way, source)
    if level is None or source.feed is None:
        push = way.figures.compliance()
        return f"what it can push, {push}", push
    most = way.figures.feed_voltage(source.feed)
    if level.is_known or not most.is_known:
        feed: Shown = of_level("feed of the loop", level, level.high)
        return f"what {source.feed} feeds it with{f', {feed}' if level.is_known else ''}", feed
    return f"what {source.feed} feeds it with, at most {most}", most  # if it comes back at all


def is_alike(way: Way) -> bool:
    """Whether source and input can be compared: the other case is a mistake of its own, A202."""
    given, taken = way.given, way.taken
    if given is None or taken is None:
        return False
    return given.unit == taken.unit or (given.unit == "A" and way.speed.burden is not None)


def fitted(report: Report) -> bool:
    """Whether the speed comes from a potentiometer at this stage."""
    return any(part.kind is PartKind.POTENTIOMETER for part in report.circuit.parts)


def dials(report: Report) -> Iterator[tuple[Way]]:
    """Yield the way of a potentiometer on an input of volts, fed by the reference; none at other stages."""
    for (way,) in ways(report):
        in_volts = way.read_as is None or way.read_as.unit == "V"
        if way.speed.supply is not None and fitted(report) and in_volts:
            yield (way,)


def shown(value: float, signal: Signal) -> str:
    """Return a value of a signal in words: "2 V", "4 mA"."""
    return show_value(round(value, 6), signal.unit)


def percent(share: float) -> str:
    """Return a share in per cent with three digits: "6.67 %".

    >>> percent(0.06672556)
    '6.67 %'
    """
    return f"{100 * share:.3g} %"


def _of_source(report: Report, source: AnalogSource) -> Figure:
    """Return the range of a source, across its burden if it has one, as a figure."""
    burden = report.figures.of("burden")
    across = f" across {burden}" if burden.is_known and RANGES[source.range].unit == "A" else ""
    said = report.origin("speed", "source", "gives")
    where = "default: 0-10 V" if source.range_is_default else said
    return Figure("range of the source", source.range + across, where)


def of_range(report: Report) -> Figure:
    """Return the range that the speed input is set to, as a figure."""
    return Figure("range of the input", report.speed.range or "", report.origin("speed", "range"))


def _found(report: Report, way: Way, source: AnalogSource, more: str, do: str, *figures: Shown) -> Finding:
    """Return a finding that says what the source gives, what the input is set to, and what follows."""
    given, entry = _of_source(report, source), of_range(report)
    said = f"source {source.signal} gives {given}, input {way.speed.signal} is set to {entry}"
    return report.of_signal(_RANGE, given, entry, *figures)(f"{said}: {more}", do)


@dataclass(frozen=True, slots=True)
class _Match:
    """What the source gives at no and at full command, against the range that the input is set to."""

    way: Way
    source: AnalogSource
    entry: Signal
    rest: Span
    full: Span

    def share(self, signal: float) -> float:
        """Return the share of top speed that a signal asks for: (s - start)/(end - start)."""
        return (signal - self.entry.rest) / (self.entry.full - self.entry.rest)

    def is_scalable(self, top: float) -> bool:
        """Whether a drive may sanely be told to take this signal for full command."""
        return (self.share(top) + SAME_SHARE) * LARGEST_GAIN >= 1


def _matches(report: Report) -> Iterator[tuple[_Match]]:
    for way, source in sources(report):
        entry = way.taken
        if entry is None or not is_alike(way) or (entry.unit == "A" and way.speed.burden is not None):
            continue  # A202, A308
        yield (_Match(way, source, entry, way.nominal(0.0), way.nominal(1.0)),)


def _speeds(report: Report, share: float) -> tuple[str, tuple[Figure, ...]]:
    said, top = f"{percent(share)} of top speed", report.figures.of("top speed")
    if not top.is_known:
        return said, ()
    low, high = sorted((top.low * share, top.high * share))
    reached = Figure("speed", show(low, high, top.unit, 5), f"computed: {said} of {top}")
    return f"{said}, {reached.value}", (reached,)


def _has_top(match: _Match) -> bool:
    """Whether the source's real top was given, and says other than its range."""
    top = match.way.figures.of("source top")
    nominal = RANGES[match.source.range]
    return top.is_known and top.unit == nominal.unit and not top.low == top.high == nominal.full


@stop.each(sources, "A202", driving(LOOP, "0-10 V"))
def _milliamperes_against_volts(report: Report, way: Way, source: AnalogSource) -> Found:
    """Milliamperes on one side, volts on the other.
    A current source on a voltage input drives it to the source's own supply, whatever is commanded; a voltage
    source on a current input is nearly shorted. Across a burden resistor a current becomes a voltage.
    Formula: unit of source = unit of range, or a burden resistor
    Source: follows from Ohm's law: current into many kilohm, voltage across a few hundred ohm"""
    if way.taken is None or is_alike(way):
        return
    more, extra = "a current input nearly shorts a source of volts", list[Shown]()
    if way.taken.unit == "V":
        (drives, push), limit = behind(way, source), way.limit
        extra = [push, limit] if limit.is_known else [push]  # what it pushes has a default
        stands = f"it can take {limit}" if limit.is_known else "how much it can take is not written down"
        more = (
            f"no resistor turns it into volts, so the source drives {way.speed.signal} up to {drives}, at "
            f"any command; {stands}"
        )
    do = (
        "set both to the same, by the input's range switch and setting, with the power off; or fit a burden "
        "resistor across a voltage input"
    )
    yield _found(report, way, source, more, do, *extra)


@caution.each(_matches, "A201", driving('gives = "0-5 V"', "0-10 V"))
def _never_full_speed(report: Report, match: _Match) -> Found:
    """Full speed is never reached.
    The source ends below the input's range (5 V into 10 V gives half speed).
    Formula: top of source / top of range >= 0.98
    Source: straight line through two points, computed; the limit of 2 % is common practice, no source"""
    if _has_top(match) or not exceeds(LEAST_TOP, match.share(match.full.high) + SAME_SHARE):
        return
    said, extra = _speeds(report, match.share(match.full.high))
    do = f"the drive's gain so that {shown(match.full.high, match.entry)} is top speed"
    other = match.source.range != match.way.speed.range
    do = f"set the input to {_range_of(match)}, or {do}" if other else f"set {do}"
    do = _other_burden(match) or (do if match.is_scalable(match.full.high) else LOOK)
    yield _found(report, match.way, match.source, f"at full command the motor reaches {said}", do, *extra)


def _range_of(match: _Match) -> str:
    """Name the range that an input needs for a source: over a burden it is one of volts.

    One resistor of a tolerance makes one pair of ends, and which is for the meter.
    """
    if match.way.speed.burden is None:
        return "the source's range"
    if match.way.figures.of("burden").low < match.way.figures.of("burden").high:
        return "what the meter shows over the burden at zero and at full command"
    ends = (shown(end, match.entry) for end in (match.rest.low, match.full.high))
    return " to ".join(ends) + ", which the burden makes"


def _other_burden(match: _Match) -> str:
    """Say which burden makes the input's range of milliamperes; "" where it has that one, or none does."""
    burden, given = match.way.figures.of("burden"), RANGES[match.source.range]
    ohm = match.entry.full / given.full
    fits = abs(given.rest * ohm - match.entry.rest) <= SAME_SHARE * match.entry.full
    if not (burden.is_known and fits) or burden.low <= ohm <= burden.high:
        return ""
    makes = f"of {match.source.range} it makes {match.way.speed.range}"
    return f"power off, fit a burden of {show_value(ohm, 'ohm')}: {makes}"


@caution.each(_matches, "A203", LOSS, driving('gives = "0-10 V"', "2-10 V"))
def _live_zero_missing(report: Report, match: _Match) -> Found:
    """The input expects a live zero that the source lacks.
    Below the start of its range (2 V, 4 mA) the drive holds zero, or trips because the signal seems lost.
    Formula: start of source >= start of range; speed = (signal - start)/(end - start)
    Source: straight line through two points, computed; 3.6 mA and less counts as a failure: NAMUR NE 43, seen
    at second hand; what a drive then does is for its manual"""
    if not match.share(match.rest.low) < -SAME_SHARE:
        return
    half = match.way.nominal(0.5)
    speed = percent(max(match.share((half.low + half.high) / 2), 0.0))
    reason = (
        f"below {shown(match.entry.rest, match.entry)} the drive holds zero, or trips because the signal "
        f"seems lost; half the command gives {speed} of top speed"
    )
    do = _other_burden(match) or f"set the input to {_range_of(match)}"
    yield _found(report, match.way, match.source, reason, do)


@caution.each(_matches, "A204", driving(LOOP, "0-20 mA"))
def _creeps_at_zero(report: Report, match: _Match) -> Found:
    """The motor creeps at zero command.
    The source's live zero (4 mA, 2 V) is already a speed on a range that begins at zero; or the current of
    the switches that are closed while the motor runs goes through the signal's return and adds its volts.
    Formula: start of source <= start of range; signal at zero command with run closed, alone and with all
    that may be, <= start of range + 1 %
    Source: straight line through two points, computed; the return solved by Kirchhoff's laws; the limit of
    1 % is common practice, no source"""
    if match.share(match.rest.high) > SAME_SHARE:
        rest = shown(match.rest.high, match.entry)
        said, extra = _speeds(report, match.share(match.rest.high))
        slack = SAME_SHARE * match.entry.full
        begins = any(
            one.unit == match.entry.unit and one.rest and abs(one.rest - match.rest.high) <= slack
            for one in RANGES.values()
        )
        do = f"set the input to a range that begins at {rest}" if begins else LOOK
        if match.rest.low < match.rest.high:
            do = f"set the input to {_range_of(match)}"
        do += f"; {_NEVER_BY_ZERO}"
        yield _found(report, match.way, match.source, f"at zero command {rest} asks for {said}", do, *extra)
        return
    worst = max(_at_zero(report, match), key=itemgetter(0), default=None)
    if worst is None:
        return
    share, event, level = worst
    (said, extra), most = _speeds(report, share), of_level("signal", level, level.high)
    closed, together = sorted(called(name) for _, name in event.closed), " together" * (len(event.closed) > 1)
    yield report.of_signal(("speed", "common"), most, *extra, *level.facts)(
        f"with {listed(closed)} closed{together}, switch current flows through the return of input "
        f"{match.way.speed.signal}: at zero command up to {most.value} asks for {said}",
        "give the switches a return of their own as far as the drive's terminal, or use thicker or shorter "
        f"wires; {_NEVER_BY_ZERO}",
    )


_NEVER_BY_ZERO: Final = "stop by opening the run input, never by zero speed"

LARGEST_CREEP: Final = 0.01
"""Share of top speed that switches may command by their current (common practice, no source)."""


def _at_zero(report: Report, match: _Match) -> Iterator[tuple[float, Event, Level]]:
    """Yield what zero command asks for while a run input is closed, a share of top speed, if worth a word."""
    unit = match.entry.unit
    rest = match.way.signal(REST, unit)
    for name in set(MOVES) & set(report.mapping.switched):
        for event in report.closing(name):
            level = match.way.signal(event, unit)
            moved = match.share(match.entry.rest + level.high - rest.high)
            if level.is_known and rest.is_known and exceeds(moved, LARGEST_CREEP):
                yield match.share(level.high), event, level


@caution.each(_matches, "A205", driving('gives = "0-10 V"', "0-5 V"))
def _full_speed_too_early(report: Report, match: _Match) -> Found:
    """Full speed comes too early.
    The source goes beyond the input's range, by its own range or by the top that it really gives, so the
    upper part of the command changes nothing.
    Formula: top of source / top of range <= 1.02
    Source: straight line through two points, computed; the limit of 2 % is common practice, no source"""
    if not match.share(match.full.high) > 2 - LEAST_TOP + SAME_SHARE:
        return
    share = (match.entry.full - match.rest.high) / (match.full.high - match.rest.high)
    tops = [match.way.figures.of("source top")] if _has_top(match) else []
    really = "".join(f" (the source really reaches {top} at most)" for top in tops)
    reason = f"top speed is reached at {percent(share)} of the command{really}, and nothing changes above"
    do = f"set the input to {_range_of(match)}, or limit the source's top in the controller"
    yield _found(report, match.way, match.source, reason, do, *tops)


@caution.each(_matches, "A305", driving('top = "9.5 V"', "0-10 V"))
def _source_falls_short(report: Report, match: _Match) -> Found:
    """The source does not reach the end of its range.
    What it really gives at full command, as measured or given, is below the end of the input's range.
    Formula: top reached / top of range >= 0.98
    Source: straight line through two points, computed; the limit of 2 % is common practice, no source"""
    if not _has_top(match) or not exceeds(LEAST_TOP, match.share(match.full.low) + 1e-6):
        return
    top = match.way.figures.of("source top")
    (said, extra), entry = _speeds(report, match.share(match.full.low)), of_range(report)
    yield report.of_signal(("speed", "source", "top"), top, entry, *extra)(
        f"source {match.source.signal} really reaches {top} at most, input {match.way.speed.signal} is "
        f"set to {entry}: full command gives {said}",
        "trim the source's top, or set the drive's gain so that this is top speed"
        if match.is_scalable(match.full.low)
        else LOOK,
    )


@caution.each(sources, "A206", driving('gives = "0-10 V", top = "20 mA"', "0-10 V"))
def _top_contradicts_range(report: Report, way: Way, source: AnalogSource) -> Found:
    """The source's top and its range contradict each other.
    What the source really gives at full command is in another unit than its range, or farther from the
    range's end than any output is: one of the two was read off the wrong line.
    Formula: unit of top = unit of range; 0.5 <= top / end of range <= 1.2
    Source: follows from what the two figures are; the bounds are common practice, no source"""
    top, nominal = way.figures.of("source top"), RANGES[source.range]
    if not top.is_known:
        return
    ends = (top.low / nominal.full, top.high / nominal.full)
    if top.unit == nominal.unit and ends[0] >= 0.5 and ends[1] <= 1.2:
        return
    said = Figure("range of the source", source.range, report.origin("speed", "source", "gives"))
    reason = f"source {source.signal} is said to give {said} and to reach {top} at most"
    do = "measure it at full command with nothing connected, and correct the one that is wrong"
    yield report.of_signal(("speed", "source", "top"), top, said)(reason, do)


@stop.each(sources, "A207", driving('gives = "+-10 V"', "0-10 V", "reference"))
def _sign_not_taken(report: Report, way: Way, source: AnalogSource) -> Found:
    """The source gives both signs, the input takes one.
    A ±10 V source gives a negative voltage for reverse. An input of 0-10 V reads that as zero at best:
    reverse can't work, and an input not made for it may suffer.
    Formula: lowest of source >= lowest of range
    Source: follows from what the two ranges are; what the input makes of it is for its manual"""
    if way.given is None or way.taken is None or way.given.reverse is None or way.taken.reverse is not None:
        return
    if way.taken.unit == "A":
        return  # A202
    lowest = way.volts(commanded(-1.0))
    low = Figure("signal at full reverse", shown(lowest.low, way.given), "computed: solved at full reverse")
    reason = f"full reverse brings {low}, which it doesn't take"
    do = "set the input to ±10 V, or the source to 0-10 V with the direction on a switch input"
    yield _found(report, way, source, reason, do, low)


@caution.each(sources, "A208", driving('gives = "0-10 V"', "+-10 V", "reference"))
def _one_sign_only(report: Report, way: Way, source: AnalogSource) -> Found:
    """The input takes both signs, the source gives one.
    An input set to ±10 V reverses where the voltage changes sign. A source of 0-10 V never does, and no
    switch input commands reverse; noise about zero turns the motor either way.
    Formula: lowest of source = lowest of range, or a run-reverse
    Source: follows from what the two ranges are"""
    if way.given is None or way.taken is None or way.taken.reverse is None or way.given.reverse is not None:
        return
    if way.given.unit == "A" or report.mapping.run_reverse is not None:
        return
    given, entry = _of_source(report, source), of_range(report)
    yield report.of_signal(_RANGE, given, entry)(
        f"input {way.speed.signal} is set to {entry}, source {source.signal} gives {given}: reverse is never "
        "commanded",
        "set the input to 0-10 V, or the source to ±10 V",
    )


@caution.each(sources, "A209", driving(LOOP, "4-20 mA"))
def _loss_not_decided(report: Report, way: Way, source: AnalogSource) -> Found:
    """What the drive does when the signal is lost is not known.
    A live zero (4 mA, 2 V) shows a broken wire only if the drive is set to act on it: 3.6 mA and less is a
    failure, 3.8 to 20.5 mA a signal. Otherwise the motor runs on at its lowest, or at the last, speed.
    Formula: a setting of topic signal-loss is written down
    Source: NAMUR NE 43, seen at second hand, for what counts as lost; what follows is a setting of the drive,
    for its manual"""
    entry, settings = way.taken, report.mapping.drive.settings
    if entry is None or entry.rest <= 0:
        return
    if any(one.topic == "signal-loss" and (one.set or one.read) for one in settings):
        return
    said = of_range(report)
    lost = "3.6 mA" if entry.unit == "A" else "1.8 V"
    yield report.of_signal(_RANGE, said)(
        f"input {way.speed.signal} is set to {said}: below {lost} the signal is lost, and what "
        "the drive then does is not written down",
        'look up its setting, and write it down⟬: [[drive.settings]] with topic = "signal-loss"⟭; then prove '
        "it at low speed: power off, take the signal's wire off, power on and run",
    )
