"""What a meter would show with one thing wrong at a time, what it means, what to do.

Every figure is solved from the same network as the one to expect.  Mistakes that give the same figures
stand in one row, likeliest first; those that can't be told from what is right show nothing and have none.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from enum import Enum
from functools import partial
from typing import Final, NamedTuple, TypeAlias

from doorsheet.checks.reading_against_given import CLOSED_V
from doorsheet.checks.signal_readings import ABOVE_SHARE
from doorsheet.checks.taken_readings import REPEAT_SHARE
from doorsheet.circuit.parts import Expected, PartKind
from doorsheet.electrics import Level
from doorsheet.electrics.events import REST, Event, Fault, Touching
from doorsheet.electrics.fact import Origin
from doorsheet.electrics.failures import SOURCES
from doorsheet.electrics.figures import DANGEROUS_V, NEAR_ZERO_V, PLAUSIBLE_V, USUAL_REFERENCE_V
from doorsheet.electrics.installation import Behind
from doorsheet.electrics.readings import expected
from doorsheet.job.action import Outcome
from doorsheet.job.context import Trials
from doorsheet.job.mistakes import WARNED, Kind, Mistake, do_words, mistakes, says
from doorsheet.job.probes import COMMANDS, Probe, event_of, signed
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.same_reading import (
    LOGIC_V,
    MISSED_SHARE,
    REFERENCE_TOLERANCE,
    SAME_V,
    SUPPLY_TOLERANCE,
)  # fmt: skip
from doorsheet.mapping.signals import RANGES
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["STOP_FIRST", "Row", "Span", "Table", "believed", "outcomes", "rows", "spread", "tables"]

STOP_FIRST: Final = tr_later("Emergency stop!")

_WIDE_V: Final = 4.0
"""A known figure anywhere within more than this, V, tells nothing."""

Span: TypeAlias = tuple[float, float]
"""The figures that count as one reading, in V or mA."""

_Spans: TypeAlias = tuple[Span | None, ...]

_DIALLED: Final = ("low", "mid", "high")
"""The states of a potentiometer, which shares out what the reference gives."""

_FULL_MA: Final = 20.0

_MIDDLE_SHARE: Final = 0.6
"""Of what its high end gives, the most at a dial in the middle by hand (common practice, no source)."""

_METER_MA: Final = 1000.0
"""A meter's socket for milliamperes takes no more (common practice, no source)."""


_RARE: Final = Kind.EXCHANGED, Kind.TOUCHING
"""What is not named where nobody can tell its figure, but that there may be another: opens are likelier."""


class _Sure(Enum):
    """Whether a row's figures are those of its mistakes: they are, they are or end sooner, or they may be
    anywhere within, for want of a figure that nobody gave.  Each kind has rows of its own.
    """

    YES, WIDE, NO = range(3)


class Row(NamedTuple):
    """What the meter shows in each of several readings (None: anything), what it means, what to do.

    Unless it is right, that is done locked off and proved dead.
    """

    spans: _Spans
    meaning: str
    do: str
    right: bool = False
    stop: bool = False
    of_any: tuple[str, str] = ("", "")  # meaning and what to do in words that hold for any input


class Table(NamedTuple):
    """Readings taken alike, one place of the leads after the other: what each figure means at all of them."""

    places: tuple[tuple[Probe, ...], ...]
    rows: tuple[Row, ...]


def tables(of: Trials, probes: Sequence[Probe]) -> tuple[Table, ...]:
    """Return what readings of a stage mean; places where the same figures mean alike share a table."""
    by_leads: dict[tuple[str, str], list[Probe]] = {}
    for probe in probes:
        by_leads.setdefault((probe.red, probe.black), []).append(probe)
    found: list[Table] = []
    for place in map(tuple, by_leads.values()):
        own = tuple(rows(of, place))
        alike = next((at for at, table in enumerate(found) if _same(table, place, own)), None)
        if alike is None:
            found.append(Table((place,), own))
            continue
        places, shared = found[alike]
        both = tuple(
            Row(tuple(map(_both, one.spans, other.spans)), *one.of_any, one.right, one.stop, one.of_any)
            for one, other in zip(shared, own, strict=True)
        )  # in words that hold at either place
        found[alike] = Table((*places, place), both)
    return tuple(found)


def _same(table: Table, place: Sequence[Probe], own: Sequence[Row]) -> bool:
    """Whether the readings at a place mean what those of a table do, but for the wires and switches named."""
    first, other = ((each[0].black, *(probe.key for probe in each)) for each in (table.places[0], place))
    if first != other or len(own) != len(table.rows):
        return False
    return all(
        (one.of_any, one.right) == (other.of_any, other.right) and all(map(_nearly, one.spans, other.spans))
        for one, other in zip(table.rows, own, strict=True)
    )


def _nearly(one: Span | None, other: Span | None) -> bool:
    """Whether two spans differ by no more than the same reading taken again."""
    if one is None or other is None:
        return one is other
    slack = max(CLOSED_V, REPEAT_SHARE * max(map(abs, one)))
    return all(abs(mine - its) <= slack for mine, its in zip(one, other, strict=True))


def outcomes(of: Trials, probe: Probe) -> Iterator[Outcome]:
    """Yield what each figure would mean: what may kill first, then what is right, then single mistakes."""
    if probe.unit == "V":
        means, do = tr("mains may be on it"), tr("Hands off. Isolate, ask a qualified person.")
        for low, high in ((DANGEROUS_V, None), (None, -DANGEROUS_V)):
            yield Outcome(low, high, "V", means, do, stop=True, dangerous=True)
    first = tr("Lock off, wait, prove dead.")
    if probe.unit == "mA":
        first = tr("Lock off, wait. Red lead back to the volts socket, meter to V: prove dead.")
    for row in rows(of, (probe,)):
        dead = row.do if row.right else f"{first} {row.do}"
        do = f"{tr(STOP_FIRST)} {dead}" if row.stop else dead
        for span in (span for span in row.spans if span is not None):
            yield Outcome(*span, probe.unit, row.meaning, do, row.right, row.stop)
    if (most := _bears(of, probe)) is not None:
        means = tr("Two supplies in series, or wires changed over: the input and its output may be destroyed")
        do = tr("Lock off, wait, prove dead. Undo the last change, compare every wire with the sheet.")
        yield Outcome(most, DANGEROUS_V, "V", means, do, stop=True)
        yield Outcome(-DANGEROUS_V, -most, "V", means, do, stop=True)


def _bears(of: Trials, probe: Probe) -> float | None:
    """Return the most that a switch input bears, V; None at anything else."""
    at_input = probe.unit == "V" and probe.control in of.mapping.switched
    return of.figures.input_bears_v if at_input else None


def rows(of: Trials, probes: tuple[Probe, ...]) -> Iterator[Row]:
    """Yield the rows for readings taken with the same leads, what is right first.

    None where nothing says what is right, so that nothing can be held against it.  No mistake is tried
    before what comes after the right rows is asked for.
    """
    probes = tuple(believed(of, probe) for probe in probes)
    right = tuple(_right(of, probe) for probe in probes)
    if not any(right):
        return
    good = tuple(_right_rows(of, probes, right))
    yield from good
    known_good = [row.spans for row in good if row.right]
    if PLAUSIBLE_V in right and probes[0].sign_open:
        lower = tuple(_lower_supply(probes, right))
        yield from lower
        known_good += [row.spans for row in lower]  # with a lower supply that is right, and no mistake
    groups: list[tuple[_Spans, list[Mistake], _Sure]] = []
    for mistake in mistakes(of, probes[0]):
        shown = tuple(map(partial(_shown, of, mistake), probes, right))
        spans = tuple(map(partial(_withstood, of, mistake), probes, right, shown))
        sure = _Sure.WIDE if spans != shown else _Sure.YES
        if any(not any(map(_apart, spans, known)) for known in known_good):  # nothing certain shows it
            spans, sure = tuple(map(partial(_perhaps, of, mistake), probes, right, spans)), _Sure.NO
            if mistake.kind in _RARE or any(not any(map(_apart, spans, known)) for known in known_good):
                continue
        for index, (known, own, how) in enumerate(groups):
            pairs = zip(known, spans, strict=True)
            if how is sure and not any(
                (one is None) is not (two is None) or _apart(one, two) for one, two in pairs
            ):
                groups[index] = tuple(map(_both, known, spans)), [*own, mistake], sure
                break
        else:
            groups.append((spans, [mistake], sure))
    most = _bears(of, probes[0])
    for spans, own, sure in groups:
        beyond = most is not None and any(span and min(map(abs, span)) > most for span in spans)
        yield _row(of, probes, spans, own, beyond, sure)
    yield from _beyond(of, probes, right)


def _beyond(of: Trials, probes: tuple[Probe, ...], right: _Spans) -> Iterator[Row]:
    """Yield what a speed signal, or the reference, means that lies above its range; below it where its
    figure is not given.
    """
    bounds = [_range(of, probe) if probe.value.low is None else None for probe in probes]
    most = bounds if any(bounds) else [_range(of, probe) for probe in probes]
    above = tr("Out of its range: another supply on it, or a wrong common")
    if probes[0].key == "supply" and probes[0].control == "speed":
        most = [*right]
    elif probes[0].key in _DIALLED:
        above = tr("Out of its range: another supply on it, a wrong common, or a reference that gives more")
    elif probes[0].unit == "V":
        above = tr("Out of its range: another supply on it, a wrong common, or a source set to milliamperes")
    if not any(most):
        return
    top = DANGEROUS_V if probes[0].unit == "V" else _METER_MA
    do = tr("Take its wire off the drive, find what is on it.")
    pairs = zip(most, right, strict=True)
    spans = tuple(one and (max(one[1], good[1] if good else 0.0), top) for one, good in pairs)
    yield Row(spans, above, do, of_any=(above, do))
    if probes[0].unit == "mA":
        yield from _less(probes[0].red, right)
    if not any(bounds):
        return  # red and black changed over is a mistake like any
    below = tr("Out of its range: its two wires, or red and black, changed over")
    do = tr("Look at the clips, then at its two wires.")
    yield Row(tuple(one and (-DANGEROUS_V, one[0]) for one in bounds), below, do, of_any=(below, do))


def _less(red: str, right: _Spans) -> Iterator[Row]:
    """Yield what milliamperes mean that flow, and are fewer than commanded."""
    least = MISSED_SHARE * _FULL_MA
    spans = tuple((least, one[0]) if one and one[0] > least else None for one in right)
    below = tr("Less than commanded: {red} set to volts, or too many ohms in the loop", red=red)
    do = tr("Look at the setting of {red}; else measure the ohms of the loop.", red=red)
    if any(spans):
        yield Row(spans, below, do, of_any=(below, do))


def _range(of: Trials, probe: Probe) -> Span | None:
    """Return what a speed signal may read at all, whatever is commanded; None for any other reading."""
    speed = of.mapping.speed
    if probe.key not in COMMANDS or speed is None:
        return None
    full = _FULL_MA if probe.unit == "mA" else _full_v(of)
    ranges = (speed.in_the_end, speed.source.range if speed.source is not None else None)
    turns = any(one is not None and RANGES[one].reverse is not None for one in ranges)
    return -ABOVE_SHARE * full if turns else -SAME_V, ABOVE_SHARE * full


def _row(
    of: Trials, probes: tuple[Probe, ...], spans: _Spans, own: list[Mistake], beyond: bool, sure: _Sure
) -> Row:
    """Return the row of some mistakes."""
    stop, harmful = any(mistake.moves(of, probes) for mistake in own), [one for one in own if one.harms(of)]
    more = WARNED.get((stop, beyond), "")
    told, of_any = (
        (tr(more, mistakes=said) if more else said, do_words(own, harmful, general))
        for general in (False, True)
        for said in (says(own, harmful, general, perhaps=sure is _Sure.NO),)
    )
    return Row(spans, *told, stop=stop, of_any=of_any)


# ---- What is right ----


def believed(of: Trials, probe: Probe) -> Probe:
    """Return a reading to take, whose figure is the computed one, or of what nothing computes that measured.

    Of a control the mapping keeps what was last read, right or wrong, perhaps of a hand switch on the bench:
    it is no witness for itself.
    """
    value = probe.value
    if value.low is None and probe.control == "speed" and probe.key not in _DIALLED:
        return replace(probe, value=_of_loop(of, probe))
    if value.origin != "measured" and probe.key != "current":
        return probe
    if probe.key == "open" and probe.control in of.mapping.switched:
        return _of_open(of, probe)
    if probe.key not in ("closed", "current"):
        return probe
    level = _level(of, probe, None, event_of(probe.key, (of.drive, probe.control)))
    if level is None or value.low is None or value.high is None:
        return probe
    scale = 1000.0 if value.unit == "A" else 1.0
    read, unread = (value.low * scale, value.high * scale), replace(probe, value=expected(probe.key, level))
    return unread if level.is_known or _apart(read, _right(of, unread)) else probe


def _of_loop(of: Trials, probe: Probe) -> Expected:
    """Return what a loop with its way back reads; of milliamperes that nobody can tell those commanded."""
    level = _level(of, probe, None, event_of(probe.key, (of.drive, probe.control)))
    value = expected(probe.key, level) if level is not None else probe.value
    if value.low is None and probe.unit == "mA":
        given, unit, _ = of.figures.source_level(COMMANDS[probe.key])
        value = Expected(probe.key, given.low, given.high, unit, "computed")
    return value


def _has_way_back(of: Trials, probe: Probe) -> bool:
    """Whether a reading of a loop that the drive feeds rests on its way back, which nobody spoke of."""
    return probe.control == "speed" and of.returned is not of.alike and probe.key not in _DIALLED


def _of_open(of: Trials, probe: Probe) -> Probe:
    """Return a reading of an open input, as believed; else which way round it reads is open still."""
    control = of.mapping.switched[probe.control]
    read, fed = probe.value.low or 0.0, _is_fed(of, control)
    span = (0.0, 0.0) if fed else _supply(of, probe, control)
    value = Expected("open", *span, "V", "computed", either_sign=not fed)
    if fed and control.sign_v is None:  # leakage is all there is
        level = _level(of, probe, None, REST)
        span = (level.low, level.high) if level is not None and not level.floating else span
    good = span if span == PLAUSIBLE_V else _with_slack(of, replace(probe, value=value), span)
    if not _apart((abs(read), abs(read)), good):
        return probe
    value = signed(of.mapping, control, value)
    return replace(probe, value=value, sign_open=value.either_sign)


def _is_fed(of: Trials, control: SwitchedControl) -> bool:
    """Whether by the mapping plus is fed to an input, whatever was read there."""
    unread = control.model_copy(update={"meter": None})
    return of.solved.installation.built(of.drive, unread) is Behind.FED


def _supply(of: Trials, probe: Probe, control: SwitchedControl) -> Span:
    """Return what an open input reads by what is given or by its sisters, either way round.

    Those that were read later are held against it: the one that differs is the one to read again.
    """
    sisters = tuple(
        name
        for name, other in of.mapping.switched.items()
        if name != probe.control
        and other.common == control.common
        and other.sign_v is not None
        and _read_at(of, name) <= _read_at(of, probe.control)
    )
    supply = of.figures.input_supply(sisters)
    if not supply.is_known:
        return PLAUSIBLE_V
    level = _level(of, probe, None, REST)
    if supply.origin is Origin.MEASURED or level is None or not level.is_known:
        return supply.low, supply.high
    low, high = sorted((abs(level.low), abs(level.high)))
    return low, high


def _read_at(of: Trials, control: str) -> tuple[datetime, int]:
    """Return when an input's open reading was taken: before all that have a date where nobody says."""
    index = of.mapping.metered.get((control, "meter"), -1)
    when = (one.when for one in of.mapping.taken if one.index == index)
    return next(when, None) or datetime.min, index


def _right(of: Trials, probe: Probe) -> Span | None:
    """Return the figures that count as right; None where nobody can tell."""
    value = probe.value
    if (value.low, value.high) == PLAUSIBLE_V:
        return PLAUSIBLE_V  # that is a bound, and no figure of one meter
    if value.low is not None and value.high is not None:
        scale = 1000.0 if value.unit == "A" else 1.0
        low = -value.high if value.either_sign and probe.key != "open" else value.low
        return _with_slack(of, probe, (low * scale, value.high * scale))
    if probe.key == "closed" and _is_fed(of, of.mapping.switched[probe.control]):
        return of.mapping.switched[probe.control].supply_v  # whatever it is that the closed switch brings
    if probe.key == "supply":
        if probe.red == of.figures.speed.feed:
            return PLAUSIBLE_V  # it feeds a loop, not a potentiometer
        most = min(of.figures.bears_v(probe.red, probe.black), USUAL_REFERENCE_V)
        return (NEAR_ZERO_V, most) if probe.control == "speed" else None
    if probe.key in ("mid", "high"):
        return _dialled(of, probe)
    if probe.key != "open" or not probe.black:
        return _range(of, probe)
    level = _level(of, probe, None, REST)
    if level is not None and not level.floating and max(-level.low, level.high) < NEAR_ZERO_V:
        return _with_slack(of, probe, (level.low, level.high))  # plus is fed to it: leakage is all there is
    return of.mapping.switched[probe.control].supply_v  # what nobody has read yet: any control supply


def _dialled(of: Trials, probe: Probe) -> Span | None:
    """Return what a dial's reading may be that nobody gave: something at the high end, in the middle about
    half of that, less under load.

    References are of 5 V or 10 V (common practice, no source).
    """
    span, high = _range(of, probe), next((one for one in of.probes if one.key == "high"), None)
    if span is None or high is None:
        return span
    if probe.key == "high":
        return NEAR_ZERO_V, span[1]
    most, dial = _right(of, believed(of, high)), of.figures.speed.potentiometer
    share = 1.0 if dial is not None and dial.taper == "logarithmic" else _MIDDLE_SHARE
    return SAME_V, share * (most or span)[1]


def _right_rows(of: Trials, probes: tuple[Probe, ...], right: _Spans) -> Iterator[Row]:
    first = probes[0]
    if not first.sign_open:
        said = tr("As expected"), tr("Go on.")
        if all(probe.value.low is None for probe in probes):
            said = tr("Plausible: nothing says more closely what it should be"), said[1]
        elif _has_way_back(of, first):
            said = tr("As expected: {way} are joined", way=of.way_back_words), said[1]
        yield Row(right, *said, right=True, of_any=said)
        if first.key == "current":
            said = tr("As expected, the meter the other way round"), said[1]
            yield Row(_turned(probes, right), *said, right=True, of_any=said)
        return
    turned = _turned(probes, right)
    do = tr("Write it down with its sign: it says which side of an output is plus.")
    black, names = first.black, (first.red, tr("the input"))
    means, general = (tr("{red} is plus, {black} is minus", red=red, black=black) for red in names)
    yield Row(right, means, do, right=True, of_any=(capital(general), do))
    part = of.part(first.control)
    means, general = (tr("{black} is plus, {red} is minus", black=black, red=red) for red in names)
    is_right = part is None or part.kind in (PartKind.SWITCH, PartKind.CONTACT)
    if not is_right:
        words, do = tr_later("{means}: the output is the wrong way round"), tr("Turn the output round.")
        if part is None or part.kind is not PartKind.ISOLATED:  # one side is tied inside
            words = tr_later("{means}: this output can't close it")
            do = tr("Leave it off: use an isolated output or a relay contact.")
        means, general = (tr(words, means=one) for one in (means, general))
    yield Row(turned, means, do, right=is_right, of_any=(capital(general), do))


def _lower_supply(probes: tuple[Probe, ...], right: _Spans) -> Iterator[Row]:
    """Yield what reads less than a usual supply of inputs, of which nobody gave the voltage."""
    means = tr("Perhaps a supply of 5 V, or a wrong terminal or common")
    do = tr("Look the inputs' voltage up: if so, write it down, read again; else find the right terminals.")
    below = LOGIC_V, PLAUSIBLE_V[0]
    for span in (below, (-below[1], -below[0])):
        spans = (span if one == PLAUSIBLE_V else one for one in right)
        yield Row(tuple(spans), means, do, of_any=(means, do))


def _turned(probes: tuple[Probe, ...], right: _Spans) -> _Spans:
    """Return what is right with the meter the other way round, where that is right too."""
    return tuple(
        (-span[1], -span[0]) if span and (probe.value.either_sign or probe.key == "current") else span
        for probe, span in zip(probes, right, strict=True)
    )


def _with_slack(of: Trials, probe: Probe, span: Span) -> Span:
    """Widen a figure by what a reading may differ and still be the same."""
    size = max(map(abs, span))
    if probe.key in COMMANDS:
        slack = _of_signal(of, probe.unit, probe.value, size)
        if probe.key in _DIALLED:
            slack = max(slack, REFERENCE_TOLERANCE * size)
    elif probe.unit == "mA":
        slack = SUPPLY_TOLERANCE * size
    else:
        share = REFERENCE_TOLERANCE if probe.control == "speed" else SUPPLY_TOLERANCE
        slack = max(CLOSED_V, (REPEAT_SHARE if probe.value.origin == "measured" else share) * size)
    return span[0] - slack, span[1] + slack


def _of_signal(of: Trials, unit: str, value: Expected, size: float) -> float:
    """Return how far a signal, in V or mA, may be from what its command gives."""
    slack = MISSED_SHARE * _FULL_MA if unit == "mA" else max(CLOSED_V, MISSED_SHARE * _full_v(of))
    return max(slack, REPEAT_SHARE * size) if value.origin == "default" else slack


def spread(of: Trials, unit: str, value: Expected) -> Span | None:
    """Return the figures that count as a signal's at a command, with the drive off it; None if unknown."""
    if value.low is None or value.high is None:
        return None
    scale = 1000.0 if value.unit == "A" else 1.0
    low, high = value.low * scale, value.high * scale
    slack = _of_signal(of, unit, value, max(abs(low), abs(high)))
    return low - slack, high + slack


def _full_v(of: Trials) -> float:
    speed = of.mapping.speed
    said = speed and speed.in_the_end
    return RANGES[said].full if said and RANGES[said].unit == "V" else 10.0


# ---- What a mistake shows ----


def _shown(of: Trials, mistake: Mistake, probe: Probe, right: Span | None) -> Span | None:
    """Return what the meter shows with a mistake; None where it may be anything."""
    if right is None:
        return None
    if mistake.kind is Kind.UNFED:
        return _with_slack(of, probe, (0.0, 0.0)) if probe.key == "open" else None
    if mistake.kind in (Kind.FUSE, Kind.IN_VOLTS):  # an input of volts takes next to nothing
        return _with_slack(of, probe, (0.0, 0.0))
    of = _as_set(of, mistake)
    level = _level(of, probe, mistake.fault, mistake.event(event_of(probe.key, (of.drive, probe.control))))
    if probe.black and mistake.fault == Touching(of.at(probe.red), of.at(probe.black)):
        return _with_slack(of, probe, (0.0, 0.0))  # both leads are on one, whatever it shorts
    if level is not None and probe.key == "supply" and len({*level.conflict} & {*SOURCES}) == 1:
        return _with_slack(of, probe, (0.0, 0.0))  # it alone is shorted
    if level is None or (level.floating and mistake.kind in (Kind.POWER, Kind.NO_WAY_BACK)):
        return _with_slack(of, probe, (0.0, 0.0))  # nothing flows, nothing drives it
    if level.conflict:
        return None
    scale = mistake.sign * (1000.0 if level.unit == "A" else 1.0)
    low, high = sorted((level.low * scale, level.high * scale))
    span = _with_slack(of, probe, (low, high))
    if mistake.kind is Kind.IN_AMPS and high - low <= _WIDE_V:
        # whatever feeds the dial, it leaves so little of it, and nothing else so near to what may be right
        return (span[0], min(span[1], right[0])) if low < right[0] else span
    if level.is_known:
        return span if high - low <= _WIDE_V else None
    control = of.mapping.switched.get(probe.control)
    if probe.key in ("open", "closed") and control is not None and _is_fed(of, control):
        brought = _level(of, probe, None, event_of("closed", (of.drive, probe.control)))
        if brought is not None and _nearly((level.low, level.high), (brought.low, brought.high)):
            low, high = sorted(mistake.sign * end for end in control.supply_v)
            return low, high  # as right: whatever supply it is that a closed switch brings
    closed = mistake.kind is Kind.STAYS_CLOSED and probe.key == "open"
    if closed and not level.floating and _apart(span, right):
        return span  # whatever nobody knows of it, closed it can't give what is right
    # where nobody has read the open input or the high end, and so knows the supply: all above what is right
    key = "high" if probe.key == "low" else "open"
    own = (one for one in of.probes if one.control == probe.control and one.key == key)
    most = (_range(of, probe) or (0.0, _bears(of, probe) or DANGEROUS_V))[1]
    above = max(right[1], NEAR_ZERO_V), min(span[1], most)
    unread = probe.key not in ("mid", "high") and any(one.value.low is None for one in own)
    return above if unread and span[0] < above[0] < above[1] - NEAR_ZERO_V else None


def _as_set(of: Trials, mistake: Mistake) -> Trials:
    """Return the stage with an end of the speed signal set to what a mistake says."""
    if mistake.kind is Kind.GIVES_VOLTS:
        return of.in_volts
    return of.in_amps if mistake.kind is Kind.IN_AMPS else of


def _perhaps(
    of: Trials, mistake: Mistake, probe: Probe, right: Span | None, span: Span | None
) -> Span | None:
    """Return where the meter's figure may lie with a mistake, by what nobody gave, clear of what is right;
    None where it tells nothing, or no more than without the mistake.
    """
    event, as_set = event_of(probe.key, (of.drive, probe.control)), _as_set(of, mistake)
    level, none = _level(as_set, probe, mistake.fault, mistake.event(event)), _level(of, probe, None, event)
    if span is not None or right is None or level is None:
        return span
    if level.floating or level.conflict or level.is_known:
        return None
    scale = mistake.sign * (1000.0 if level.unit == "A" else 1.0)
    low, high = sorted((level.low * scale, level.high * scale))
    if none is not None and _nearly((low, high), (none.low * abs(scale), none.high * abs(scale))):
        return None
    bears = _bears(of, probe) or DANGEROUS_V
    least, most = _range(of, probe) or (-bears, bears)
    low, high = max(least, _with_slack(of, probe, (low, low))[0]), _with_slack(of, probe, (high, high))[1]
    below, above = (low, min(high, right[0])), (max(low, right[1]), min(high, most))
    span = max(below, above, key=lambda part: part[1] - part[0])
    return span if span[1] - span[0] > NEAR_ZERO_V else None


def _withstood(
    of: Trials, mistake: Mistake, probe: Probe, right: Span | None, span: Span | None
) -> Span | None:
    """Widen what rests on what a reversed output surely withstands, to one that withstands all there is."""
    reverses = mistake.kind in (Kind.REVERSED, Kind.EXCHANGED) and probe.control in of.mapping.switched
    if right is None or span is None or not reverses:
        return span
    state = event_of(probe.key, (of.drive, probe.control))
    level, none = _level(of, probe, mistake.fault, state), _level(of, probe, None, REST)
    if level is None or not any(fact.path[-1:] == ("reverse",) for fact in level.facts):
        return span
    scale, clear = (1.0, CLOSED_V) if probe.unit == "V" else (1000.0, 0.0)
    nothing = (
        _with_slack(of, probe, (none.low * scale, none.high * scale)) if none is not None else (0.0, 0.0)
    )
    if _apart(span, nothing):  # clear of what says that nothing gets through
        span = (span[0], nothing[0] - clear) if nothing[0] > span[0] else (nothing[1] + clear, span[1])
    return (span[0], min(span[1], right[0])) if span[0] < right[0] else (max(span[0], right[1]), span[1])


def _level(of: Trials, probe: Probe, fault: Fault | None, event: Event) -> Level | None:
    """Solve what the meter shows; None where nothing flows since the meter's wire is off."""
    if probe.black:
        return of.returned.volts(of.at(probe.red), of.at(probe.black), event, fault)
    if probe.key != "current":
        return of.returned.amps(("wire", probe.wire), event, fault)
    read = of.figures.closed_a(probe.control).is_known
    solved = of.unread(probe.control) if read else of.alike
    return solved.amps(("input", of.drive, probe.red), event, fault)


def _apart(span: Span | None, right: Span | None) -> bool:
    if span is None or right is None or span == right:  # also where both are a single figure
        return False
    return span[1] <= right[0] or right[1] <= span[0]


def _both(one: Span | None, other: Span | None) -> Span | None:
    if one is None or other is None:
        return None
    return min(one[0], other[0]), max(one[1], other[1])
