"""Checks of the speed signal's range against the input's (room: checks)."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.example import SIGNAL_LOSS, SPEED, put
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.speed_way import driven, percent, ranges_of, shown, signal_finding
from doorsheet.circuit.ranges import Interval, show
from doorsheet.electrics import Level
from doorsheet.electrics.events import commanded
from doorsheet.electrics.signal import FULL, Way
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.signals import RANGES, Signal

__all__: list[str] = []

LEAST_TOP: Final = 0.98
"""Share of top speed below which it is worth a word (common practice, no source)."""

SAME_SHARE: Final = 1e-3
"""Two signals as near as this, a share of the range, are one."""


# --- a source and a range ------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Match:
    """What the input reads at no and at full command if it drew nothing, against the range it is set to."""

    way: Way
    source: AnalogSource
    entry: Signal
    rest: Level
    full: Level
    figures: tuple[Figure, Figure]

    def share(self, signal: float) -> float:
        """Return the share of top speed that a signal asks for: (s - start)/(end - start)."""
        return (signal - self.entry.rest) / (self.entry.full - self.entry.rest)

    @property
    def said(self) -> str:
        source, entry = self.figures
        return f"source {self.source.signal} gives {source}, input {self.way.speed.signal} is set to {entry}"


def _alike(way: Way) -> bool:
    given, taken = way.given, way.taken
    if given is None or taken is None:
        return False
    return given.unit == taken.unit or (given.unit == "A" and way.speed.burden is not None)


def _match(report: Report) -> _Match | None:
    """Return the two ranges; None without a source at this stage, or where they can't be compared."""
    found = driven(report)
    if found is None or found[0].taken is None or not _alike(found[0]):
        return None
    way, source = found
    entry = way.taken
    assert entry is not None
    if entry.unit == "A" and way.speed.burden is not None:
        return None  # A308
    rest, full = way.unloaded(commanded(0.0), entry.unit), way.unloaded(FULL, entry.unit)
    if not (rest.is_known and full.is_known):
        return None
    return _Match(way, source, entry, rest, full, ranges_of(report, way, source))


def _speeds(report: Report, share: float) -> tuple[str, tuple[Figure, ...]]:
    """Return a share of top speed in words, in rpm too where the top speed is given."""
    said, top = f"{percent(share)} of top speed", report.figures.of("top speed")
    if not top.is_known:
        return said, ()
    ends = Interval(*sorted((top.low * share, top.high * share)))
    reached = Figure("speed", show(ends, top.unit, 5), f"computed: {said} of {top}")
    return f"{said}, {reached.value}", (reached,)


def _found(report: Report, match: _Match, more: str, do: str, extra: tuple[Figure, ...] = ()) -> Finding:
    return signal_finding(report, ("speed", "range"), f"{match.said}: {more}", do, (*match.figures, *extra))


def _has_top(match: _Match) -> bool:
    """Whether the source's real top was given, and says other than its range."""
    top = match.way.figures.of("source top")
    nominal = RANGES[match.source.range]
    return top.is_known and top.unit == nominal.unit and not top.low == top.high == nominal.full


@stop(
    "A202",
    "Milliamperes on one side, volts on the other",
    formula="unit of source = unit of range, or a burden resistor",
    source="follows from Ohm's law: current into many kilohm, voltage across a few hundred ohm",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "4-20 mA", powered-by = "controller" }',
        'range  = "0-10 V"',
    ),
)
def _milliamperes_against_volts(report: Report) -> Iterator[Finding]:
    """A current source on a voltage input drives it to the source's own supply, whatever is commanded; a
    voltage source on a current input is nearly shorted. Across a burden resistor a current becomes a
    voltage."""
    found = driven(report)
    if found is None or found[0].taken is None or _alike(found[0]):
        return
    way, source = found
    figures = ranges_of(report, way, source)
    more, extra = "a current input nearly shorts a source of volts", tuple[Figure, ...]()
    if way.taken is not None and way.taken.unit == "V":
        push, bears = report.figures.compliance(), report.figures.of("analog limit")
        extra = (of_fact(push), *((of_fact(bears),) if bears.is_known else ()))
        stands = f"it bears {extra[1]}" if bears.is_known else "how much it bears is not written down"
        more = (
            f"no resistor makes volts of it, so the source drives {way.speed.signal} up to what it can push, "
            f"{extra[0]}, at any command; {stands}"
        )
    yield signal_finding(
        report,
        ("speed", "range"),
        f"source {source.signal} gives {figures[0]}, input {way.speed.signal} is set to {figures[1]}: {more}",
        "set both to the same, by the input's range switch and setting, with the power off; or fit a burden "
        "resistor across a voltage input",
        (*figures, *extra),
    )


@caution(
    "A201",
    "Full speed is never reached",
    formula="top of source / top of range >= 0.98",
    source="straight line through two points, computed; the limit of 2 % is common practice, no source",
    example=put(SPEED, 'source = { signal = "AO1", common = "0V", gives = "0-5 V" }', 'range  = "0-10 V"'),
)
def _never_full_speed(report: Report) -> Iterator[Finding]:
    """The source ends below the input's range (5 V into 10 V gives half speed)."""
    match = _match(report)
    if match is None or _has_top(match) or not exceeds(LEAST_TOP, match.share(match.full.high) + SAME_SHARE):
        return
    said, extra = _speeds(report, match.share(match.full.high))
    yield _found(
        report,
        match,
        f"at full command the motor reaches {said}",
        "set the input to the source's range, or the drive's gain so that "
        f"{shown(match.full.high, match.entry)} is top speed",
        extra,
    )


@caution(
    "A203",
    "The input expects a live zero that the source lacks",
    formula="start of source >= start of range; speed = (signal - start)/(end - start)",
    source=(
        "straight line through two points, computed; 3.6 mA and less counts as a failure: NAMUR NE 43, "
        "seen at second hand; what a drive then does is for its manual"
    ),
    example=(
        SIGNAL_LOSS,
        put(SPEED, 'source = { signal = "AO1", common = "0V", gives = "0-10 V" }', 'range  = "2-10 V"'),
    ),
)
def _live_zero_missing(report: Report) -> Iterator[Finding]:
    """Below the start of its range (2 V, 4 mA) the drive holds zero, or trips because the signal seems
    lost."""
    match = _match(report)
    if match is None or not match.share(match.rest.low) < -SAME_SHARE:
        return
    half = match.way.unloaded(commanded(0.5), match.entry.unit)
    speed = percent(max(match.share((half.low + half.high) / 2), 0.0))
    yield _found(
        report,
        match,
        f"below {shown(match.entry.rest, match.entry)} the drive holds zero, or trips because the signal "
        f"seems lost; half the command gives {speed} of top speed",
        "set the input to the source's range",
    )


@caution(
    "A204",
    "The motor creeps at zero command",
    formula="start of source <= start of range",
    source="straight line through two points, computed",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "4-20 mA", powered-by = "controller" }',
        'range  = "0-20 mA"',
    ),
)
def _creeps_at_zero(report: Report) -> Iterator[Finding]:
    """The source's live zero (4 mA, 2 V) is already a speed on a range that begins at zero."""
    match = _match(report)
    if match is None or not match.share(match.rest.high) > SAME_SHARE:
        return
    rest = shown(match.rest.high, match.entry)
    said, extra = _speeds(report, match.share(match.rest.high))
    yield _found(
        report,
        match,
        f"at zero command {rest} asks for {said}",
        f"set the input to a range that begins at {rest}; stop by opening the run input, never by zero speed",
        extra,
    )


@caution(
    "A205",
    "Full speed comes too early",
    formula="top of source / top of range <= 1.02",
    source="straight line through two points, computed; the limit of 2 % is common practice, no source",
    example=put(SPEED, 'source = { signal = "AO1", common = "0V", gives = "0-10 V" }', 'range  = "0-5 V"'),
)
def _full_speed_too_early(report: Report) -> Iterator[Finding]:
    """The source goes beyond the input's range, by its own range or by the top that it really gives, so the
    upper part of the command changes nothing."""
    match = _match(report)
    if match is None or not match.share(match.full.high) > 2 - LEAST_TOP + SAME_SHARE:
        return
    share = (match.entry.full - match.rest.high) / (match.full.high - match.rest.high)
    top, figures = match.way.figures.of("source top"), tuple[Figure, ...]()
    really = ""
    if _has_top(match):
        figures, really = (of_fact(top),), f", and really reaches {top} at most"
    yield _found(
        report,
        match,
        f"top speed is reached at {percent(share)} of the command{really}, and nothing changes above",
        "set the input to the source's range, or limit the source's top in the controller",
        figures,
    )


@caution(
    "A305",
    "The source does not reach the end of its range",
    formula="top reached / top of range >= 0.98",
    source="straight line through two points, computed; the limit of 2 % is common practice, no source",
    example=put(SPEED, 'source = { signal = "AO1", common = "0V", top = "9.5 V" }', 'range  = "0-10 V"'),
)
def _source_falls_short(report: Report) -> Iterator[Finding]:
    """What it really gives at full command, as measured or given, is below the end of the input's range."""
    match = _match(report)
    if match is None or not _has_top(match) or not exceeds(LEAST_TOP, match.share(match.full.low) + 1e-6):
        return
    figure = of_fact(match.way.figures.of("source top"))
    said, extra = _speeds(report, match.share(match.full.low))
    yield signal_finding(
        report,
        ("speed", "source", "top"),
        f"source {match.source.signal} really reaches {figure} at most, input {match.way.speed.signal} is "
        f"set to {match.figures[1]}: full command gives {said}",
        "trim the source's top, or set the drive's gain so that this is top speed",
        (figure, match.figures[1], *extra),
    )


@caution(
    "A206",
    "The source's top and its range contradict each other",
    formula="unit of top = unit of range; 0.5 <= top / end of range <= 1.2",
    source="follows from what the two figures are; the bounds are common practice, no source",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "0-10 V", top = "20 mA" }',
        'range  = "0-10 V"',
    ),
)
def _top_contradicts_range(report: Report) -> Iterator[Finding]:
    """What the source really gives at full command is in another unit than its range, or farther from the
    range's end than any output is: one of the two was read off the wrong line."""
    found, top = driven(report), report.figures.of("source top")
    if found is None or not top.is_known:
        return
    source = found[1]
    nominal = RANGES[source.range]
    ends = (top.low / nominal.full, top.high / nominal.full)
    if top.unit == nominal.unit and ends[0] >= 0.5 and ends[1] <= 1.2:
        return
    said = Figure("range of the source", source.range, report.origin("speed", "source", "gives"))
    yield signal_finding(
        report,
        ("speed", "source", "top"),
        f"source {source.signal} is said to give {said} and to reach {of_fact(top)} at most",
        "measure it at full command with nothing connected, and correct the one that is wrong",
        (of_fact(top), said),
    )
