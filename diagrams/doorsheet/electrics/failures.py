"""What one fault at a time does: every wire open, on its neighbours, on earth, beside the same state without.

Plain data; `doorsheet.booklet` puts it into words.  Neighbours are the other wires of a cable, the wires at
the terminals beside, and both sides of supplies there, which are live without a wire.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from doorsheet.circuit.parts import BlockKind, PartKind, Terminal, Wire, cable_of
from doorsheet.electrics.events import (
    REST,
    Earthed,
    Event,
    Exchanged,
    Fault,
    Opened,
    Touching,
    Unfitted,
    Use,
    Whole,
    alone,
    commanded,
)
from doorsheet.electrics.fact import ROWS, Fact
from doorsheet.electrics.figures import INPUTS_V
from doorsheet.electrics.signal import Way
from doorsheet.electrics.solved import Level, Solved, State, over
from doorsheet.mapping.signals import RANGES
from doorsheet.network import Element

__all__ = [
    "SOURCES", "Bypass", "Change", "Consequence", "Overload", "Shift", "consequences", "faults_of",
    "neighbours", "overloads", "swaps",
]  # fmt: skip

_Shorts: TypeAlias = Callable[[Event], dict[tuple[str, str], bool]]

SOURCES = (
    "inputs' supply", "feed", "controller's supply", "converter's supply", "reference", "source", "pulses"
)  # fmt: skip
"""The kinds of element that give power, as a conflict names them."""

_WEAK = frozenset(("reference", "source", "pulses"))
"""Those of them that give no more than some milliamperes (common practice, no source)."""

_SHARES = (0.0, 0.5, 1.0)
"""Commands at which a speed signal is looked at, zero first and full last; see `_shares`."""

_STEADY = {"V": 0.25, "A": 0.0005}
"""A speed signal that moves by less than this, V or A, a fortieth of its usual range, stands still for a
person's eye (common practice, no source)."""

_FED_V = 1.0
"""No reference is harmed by this much, V, over its own (common practice, no source)."""

_HARMLESS_A = 0.1
"""What an input lets through is less, A, and what a supply gives more (common practice, no source)."""

_SHORTED_A = 1.0
"""No supply or output of control wiring gives so much, A: what would have to is shorted (common practice, no
source)."""


class Change(NamedTuple):
    """A switch input that a fault changes, in one state of the installation."""

    use: Use
    event: Event
    was: State
    now: State


class Shift(NamedTuple):
    """The speed signal of a drive that a fault moves, at one command."""

    drive: str
    event: Event
    was: Level
    now: Level

    @property
    def rises(self) -> bool:
        """Whether the signal surpasses what it was, either way round."""
        return _rises(self.was, self.now)


class Overload(NamedTuple):
    """What a fault drives past what it bears, the worst of all states: by `kind` an "analog input", an output
    by its control's name, else a kind of source.
    """

    kind: str
    drive: str
    level: Level  # V or A
    limit: Fact  # unknown where nobody gives it
    surely: bool


class Bypass(NamedTuple):
    """A contact on the machine that opens a control when all is well, and with a fault no longer does."""

    use: Use
    contact: str  # its name
    now: State  # what the control is with the contact open: on, or nobody can tell


@dataclass(frozen=True, slots=True)
class Consequence:
    """All that one fault does; nothing in it is a fault that no state shows."""

    fault: Fault
    changes: tuple[Change, ...]
    shifts: tuple[Shift, ...]
    conflict: tuple[str, ...]  # supplies and sources that the fault shorts or sets against each other
    perhaps: tuple[str, ...] = ()  # the same, but only if what nobody can tell is so
    bypassed: tuple[Bypass, ...] = ()
    overloads: tuple[Overload, ...] = ()

    @property
    def starts(self) -> tuple[Change, ...]:
        """Inputs that are on, or may be, while nobody commands them."""
        on = (one for one in self.changes if one.now is not State.OFF and one.was is not State.ON)
        return tuple(one for one in on if one.use not in one.event.closed)

    @property
    def stops(self) -> tuple[Change, ...]:
        """Inputs that don't surely come on when they are commanded."""
        off = (one for one in self.changes if one.now is not State.ON)
        return tuple(one for one in off if one.use in one.event.closed)


def neighbours(solved: Solved, wire: Wire) -> tuple[Terminal, ...]:
    """Return the terminals that a wire can touch: those of its cable's other wires, and those beside its own.

    Beside are those that a wire is at, and both sides of supplies, which are live without one; so may be the
    plus of the inputs, of which nobody says where it stands.
    """
    if not wire.in_cable:
        return ()  # a loop: it runs in no cable, and nobody says how the controller's terminals stand
    cable, beside = cable_of(wire.cable, wire.drive), _beside(solved, wire)
    wired = (
        other.far
        for other in solved.circuit.wires
        if other.in_cable and (cable_of(other.cable, other.drive) == cable or other.far in beside)
    )
    at_drive = wire.far.block is BlockKind.DRIVE
    live = [terminal for terminal in beside if terminal in _powered(solved, wire.drive)]
    live += _unplaced(solved, wire.drive) if at_drive else []
    return tuple(terminal for terminal in dict.fromkeys((*wired, *live)) if terminal != wire.far)


def _beside(solved: Solved, wire: Wire) -> tuple[Terminal, ...]:
    pairs = pairwise(_row(solved, wire.drive))
    return tuple(dict.fromkeys(other for pair in pairs if wire.far in pair for other in pair))


def swaps(solved: Solved, wires: Iterable[Wire]) -> Iterator[Exchanged]:
    """Yield how wires may land wrong at their drives, each way once: two for each other, one on a supply.

    Which two: of one control, of one job, of one colour, or that could touch (common practice, no source).
    """
    at_drive = [wire for wire in solved.circuit.wires if wire.far.block is BlockKind.DRIVE]
    told = set[str]()
    for wire in wires:
        near = neighbours(solved, wire)
        for other in at_drive if wire in at_drive else ():
            alike = wire.control == other.control or wire.role == other.role or wire.colour == other.colour
            beside = wire.drive == other.drive and wire.far != other.far and (alike or other.far in near)
            if beside and other.number not in told:
                yield Exchanged(wire.number, other.number, unsaid=True)
        for terminal in _row(solved, wire.drive) if wire in at_drive else ():
            if terminal in solved.installation.live and terminal != wire.far:
                yield Exchanged(wire.number, terminal, unsaid=True)
        told.add(wire.number)


def _row(solved: Solved, drive: str) -> list[Terminal]:
    """Return a drive's terminals as they stand beside each other; of those without a job the supplies."""
    own = [entry.terminal for entry in solved.circuit.strip if entry.terminal.drive == drive]
    strip = solved.installation.figures[drive].mapping.drive.strip
    fitted = [solved.at_drive(label, drive) for label in strip]
    there = [terminal for terminal in fitted if terminal in own or terminal in _powered(solved, drive)]
    return there + [terminal for terminal in own if terminal not in fitted]


def _powered(solved: Solved, drive: str) -> frozenset[Terminal]:
    """Return what is live without a wire: what gives a voltage, and the other side of it."""
    figures, controls = solved.installation.figures[drive], solved.installation.controls.items()
    commons = (control.common for use, control in controls if use[0] == drive)
    labels = filter(None, (figures.inputs.supply_minus, figures.speed.common, *commons))
    return solved.installation.live.union(solved.at_drive(label, drive) for label in labels)


def _unplaced(solved: Solved, drive: str) -> list[Terminal]:
    """Return the plus that feeds a drive's inputs, of which nobody says where it stands."""
    own = solved.installation
    placed, controls = own.figures[drive].mapping.drive.strip, own.controls.items()
    feeds = dict.fromkeys(control.feed for use, control in controls if use[0] == drive)
    return [solved.at_drive(label, drive) for label in feeds if label is not None and label not in placed]


def faults_of(solved: Solved, wire: Wire) -> Iterator[Fault]:
    """Yield what can go wrong with one wire, each terminal that it can touch once."""
    yield Opened(wire.number, unsaid=True)
    if joined := solved.installation.carried(wire.number):
        yield Opened(wire.number, unsaid=True, joined=joined)
    for part in solved.circuit.parts if wire.role == "signal" else ():
        burden = part.kind is PartKind.RESISTOR and part.block is BlockKind.DRIVE
        if burden and wire.far in {pin.terminal for pin in part.pins}:
            yield Unfitted(("resistor", part.drive, part.name))
    for terminal in neighbours(solved, wire):
        yield Touching(wire.far, terminal, unsaid=True)
    yield Earthed(wire.far, unsaid=True)


def consequences(solved: Solved, wire: Wire) -> tuple[Consequence, ...]:
    """Return what each fault of one wire does."""
    return tuple(consequence(solved, fault) for fault in faults_of(solved, wire))


def consequence(solved: Solved, fault: Fault) -> Consequence:
    """Return what one fault does in the states that a machine is in: at rest, each control alone, speeds."""
    changes: list[Change] = []
    uses = solved.installation.controls
    for event in _states(solved):
        for use in uses:
            if _does(fault, partial(_changes, solved, use, event)):
                changes.append(Change(use, event, solved.state(use, event), solved.state(use, event, fault)))
    shorts = cache(lambda event: _shorts(solved, event, fault))
    shifts = [shift for way in _ways(solved) for shift in _shifts(way, fault, shorts)]
    shorted: dict[str, bool] = {}
    for event in (*_states(solved), *_one_fast(solved, fault)):
        for (kind, _), surely in shorts(event).items():
            shorted[kind] = shorted.get(kind, False) or surely
    for event in _running(solved, fault):
        shorted |= {kind: True for (kind, _), surely in shorts(event).items() if surely}
    sure = tuple(kind for kind, surely in shorted.items() if surely)
    perhaps = tuple(kind for kind, surely in shorted.items() if not surely)
    found = Consequence(fault, tuple(changes), tuple(shifts), sure, perhaps)
    past = tuple(_past(solved, fault, shifts))
    return replace(found, bypassed=tuple(_bypassed(solved, found)), overloads=past)


def overloads(solved: Solved, fault: Fault) -> tuple[Overload, ...]:
    """Return what a fault drives past what it bears, and nothing else of what it does."""
    shorts = cache(lambda event: _shorts(solved, event, fault))
    return tuple(_past(solved, fault, [one for way in _ways(solved) for one in _shifts(way, fault, shorts)]))


def _states(solved: Solved) -> tuple[Event, ...]:
    shares = {share: None for way in _ways(solved) for share in _shares(way)} or dict.fromkeys(_SHARES)
    return REST, *map(alone, solved.installation.controls), *(commanded(one) for one in shares if one)


def _running(solved: Solved, fault: Fault) -> Iterator[Event]:
    """Yield each control at full speed, for a fault at a signal, which an output that closes shorts then.

    Where nobody can tell, the row says already that the control may come on.
    """
    at = _ends(solved, fault)
    if any(way.ends[0] in at for way in _ways(solved)):
        for use in solved.installation.controls:
            yield replace(commanded(1.0), closed=frozenset({use}))


def _bypassed(solved: Solved, found: Consequence) -> Iterator[Bypass]:
    """Yield the contacts that no longer open a control, be it alone or beside one that brings it on."""
    contacts = (part for part in solved.circuit.parts if part.kind is PartKind.FIELD_CONTACT)
    for drive, control, name in dict.fromkeys((part.drive, part.control, part.name) for part in contacts):
        use, opened = (drive, control), frozenset({(drive, name)})
        beside = [change.event for change in found.starts if change.use == use]
        commands = (replace(one, closed=one.closed | {use}) for one in dict.fromkeys([REST, *beside]))
        states = (
            solved.state(use, event, found.fault)
            for one in commands
            if solved.state(use, event := replace(one, opened=opened)) is State.OFF
            and _does(found.fault, partial(_changes, solved, use, event))
        )
        if stays := set(states):
            yield Bypass(use, name, State.ON if State.ON in stays else State.UNSURE)


def _does(fault: Fault, differs: Callable[[Fault | None, Fault], bool]) -> bool:
    """Whether a fault makes a difference; of an open wire none that is there with the wire whole too.

    What nobody says is taken to be the same before and after: not so, or anything.
    """
    if not differs(None, fault) or not isinstance(fault, Opened):
        return differs(None, fault)
    return differs(Whole(fault.wire), fault) or differs(None, replace(fault, unsaid=False))


def _changes(solved: Solved, use: Use, event: Event, past: Fault | None, fault: Fault) -> bool:
    """Whether an input changes; one that nobody knows the levels of where it surely gets more, or may lose
    half of what it had.
    """
    before, after = solved.state(use, event, past), solved.state(use, event, fault)
    if before is not State.UNSURE or after is not State.UNSURE:
        return before is not after
    was, now = solved.input_v(use, event, past), solved.input_v(use, event, fault)
    return now.low < was.low / 2 if use in event.closed else now.low > was.high


def _shorts(solved: Solved, event: Event, fault: Fault) -> dict[tuple[str, str], bool]:
    found: dict[tuple[str, str], bool] = {}
    for element in solved.network(event, fault).elements:
        key = element.key
        if not (isinstance(key, tuple) and key[0] in SOURCES) or _gives_current(solved, key):
            continue
        kind = str(key[0]), str(key[1])
        level = solved.amps(key, event, fault)
        # shorted before is what checks say
        if level is not None and _does(fault, partial(_shorted, solved, key, event)):
            least = min(abs(level.low), abs(level.high))
            always = level.low * level.high > 0 and least > _gives_a(solved, key)
            found[kind] = found.get(kind, False) or always or not level.asked
    return found


def _shorted(solved: Solved, key: tuple[object, ...], event: Event, past: Fault | None, fault: Fault) -> bool:
    most = _gives_a(solved, key)
    was, now = (_beyond(solved.amps(key, event, one), str(key[0]), most) for one in (past, fault))
    return now and not was


def _gives_a(solved: Solved, key: tuple[object, ...]) -> float:
    """Return what a source gives at most, A: of a reference what somebody gave, else what none gives."""
    given = (
        solved.installation.figures[str(key[1])].of("reference current") if key[0] == "reference" else None
    )
    return given.high if given is not None and given.is_known else _SHORTED_A


def _gives_current(solved: Solved, key: tuple[object, ...]) -> bool:
    """Whether a source gives milliamperes, which a short does no harm."""
    source = solved.installation.figures[str(key[1])].speed.source if key[0] == "source" else None
    return source is not None and RANGES[source.range].unit == "A"


def _beyond(level: Level | None, kind: str, most: float) -> bool:
    """Whether a source of this kind is shorted; in conflict may be another one beside it."""
    return level is not None and (kind in level.conflict or over(max(abs(level.low), abs(level.high)), most))


def _ways(solved: Solved) -> Iterator[Way]:
    """Yield the speed signals that something gives; what gives one may give another drive's too."""
    dials = {part.drive for part in solved.circuit.parts if part.kind is PartKind.POTENTIOMETER}
    for drive, figures in solved.installation.figures.items():
        if figures.speed.common is not None:
            way = Way(solved, drive)
            if drive in dials or way.source_part() is not None:
                yield way


def _giver(way: Way) -> str:
    """Return the drive whose command gives a signal: that of its source, which others may share, or dial."""
    part = way.source_part()
    return way.drive if part is None else part.drive


def _one_fast(solved: Solved, fault: Fault) -> list[Event]:
    """Return the states in which one drive at a fault is commanded full speed, and every other one zero."""
    givers = {_giver(way) for way in _ways(solved)}
    at = dict.fromkeys(end.drive for end in _ends(solved, fault)) if len(givers) > 1 else ()
    return [replace(commanded(1.0), only=drive) for drive in at if drive in givers]


def _shifts(way: Way, fault: Fault, shorts: _Shorts) -> Iterator[Shift]:
    """Yield what moves with nothing closed; of what a control at the fault adds, where the signal rises.

    What a supply that is shorted drops along wires elsewhere takes more amperes than it gives: no figure.
    """
    found = _every_shift(way, fault, shorts)
    beside = isinstance(fault, Earthed | Touching) and not {*way.ends} & {*_ends(way.solved, fault)}
    for one in found:
        weak = not beside or all(kind in _WEAK for kind, _ in shorts(one.event))
        if weak or (isinstance(fault, Touching) and one.now.high - one.was.high > _STEADY[one.now.unit]):
            yield one


def _shares(way: Way) -> tuple[float, ...]:
    """Return the commands at which a signal is looked at: of one with a sign, full reverse too."""
    signed = way.source_part() is not None and way.given is not None and way.given.reverse is not None
    return (0.0, -1.0, *_SHARES[1:]) if signed else _SHARES


def _every_shift(way: Way, fault: Fault, shorts: _Shorts) -> Iterator[Shift]:
    bare = [_shift(way, commanded(share), fault, shorts) for share in _shares(way)]
    at = _ends(way.solved, fault)
    moved = [shift for shift in bare if _does(fault, partial(_shifted, way, shift.event, shorts))]
    sound = (shift for shift in bare if way.ends[0] in at or not shorts(shift.event))
    yield from moved or (shift for shift in sound if _does(fault, partial(_hidden, way, shift.event)))
    drives = {end.drive for end in at}
    beside: list[tuple[list[Event], tuple[int, ...]]] = [
        ([replace(commanded(share), closed=frozenset({use})) for share in _shares(way)], (0, -1))
        for use in way.solved.installation.controls
        if use[0] in drives
    ]
    beside += [([one], (0,)) for one in _one_fast(way.solved, fault) if one.only != _giver(way)]
    for events, ends in beside:
        if any(_adds(way.reads(bare[i].event, fault), way.reads(events[i], fault)) for i in ends):
            closed = [_shift(way, event, fault, shorts) for event in events]
            # a short beside the signal takes its supply down; what wires of no resistance leave is no figure
            rises = [one for one in closed if one.rises]
            rises = [one for one in rises if not one.now.conflict or way.ends[0] in at]
            yield from (one for one in rises if _does(fault, partial(_shifted, way, one.event, shorts)))


def _ends(solved: Solved, fault: Fault) -> list[Terminal]:
    """Return the terminals at which a fault is."""
    match fault:
        case Opened():
            return [solved.circuit.wire(fault.wire).far]
        case Touching():
            return [fault.one, fault.other]
        case Earthed():
            return [fault.at]
        case Exchanged(one, other):
            at = other if isinstance(other, Terminal) else solved.circuit.wire(other).far
            return [solved.circuit.wire(one).far, at]
        case _:
            return []


def _shift(way: Way, event: Event, fault: Fault, shorts: _Shorts) -> Shift:
    was, now = way.reads(event), way.reads(event, fault)
    # what a shorted source still gives is its own affair; the reference gives where it feeds a potentiometer
    gives = "source" if way.source_part() is not None else "reference"
    # so is what is left of any supply that the fault shorts by way of the signal's terminal
    at = way.ends[0] in _ends(way.solved, fault)
    own = (kind for kind, of in shorts(event) if at or (of == way.drive and kind == gives))
    return Shift(way.drive, event, was, replace(now, conflict=(*now.conflict, *own)))


def _shifted(way: Way, event: Event, shorts: _Shorts, past: Fault | None, fault: Fault) -> bool:
    return _moved(way.reads(event, past), _shift(way, event, fault, shorts).now)


def _hidden(way: Way, event: Event, past: Fault | None, fault: Fault) -> bool:
    """Whether a signal moves that nobody is sure of without the fault either: it would if it is as meant."""
    was, meant = way.reads(event, past), Way(way.solved.meant, way.drive)
    unsure = was.high - was.low > _STEADY[was.unit]
    return unsure and _moved(meant.reads(event, past), meant.reads(event, fault))


def _rises(was: Level, now: Level) -> bool:
    return max(now.high - was.high, was.low - now.low) > _STEADY[now.unit]


def _past(solved: Solved, fault: Fault, shifts: Sequence[Shift]) -> Iterator[Overload]:
    """Yield the speed inputs past their limit, the outputs that carry a short, and the sources that are fed
    more than their own volts; what an input lets through is no supply.
    """
    for way in _ways(solved):
        limit = way.limit if way.limit.is_known else replace(way.limit, low=INPUTS_V, high=INPUTS_V, unit="V")
        read = way.amps if limit.unit == "A" else partial(_unheld, way)
        sound = {shift.event: not shift.now.conflict for shift in shifts if shift.drive == way.drive}
        found = _overload("analog input", way.drive, limit, sound, read, fault)
        yield from (one for one in found if not _is_own(way, one.level))
    of = solved.installation
    for use in of.controls:
        if of.acting(use) is not None and of.parts[use].kind is not PartKind.SWITCH:
            rated = of.figures[use[0]].rating(use[1], "output current")
            limit = rated if rated.is_known else replace(rated, low=_SHORTED_A, high=_SHORTED_A)
            amps = partial(_carried, solved, use)
            yield from _overload(use[1], use[0], limit, {alone(use): True}, amps, fault)
    for element in solved.network(REST, fault).elements:
        if isinstance(element.key, tuple) and (own := _own_v(solved, element)) is not None:
            bears = own.high + _FED_V if own.is_known else INPUTS_V
            volts = partial(solved.fed_v, element)
            sound = {event: not volts(event, fault).conflict for event in _states(solved)}
            limit = replace(own, low=bears, high=bears)
            past = [*_overload(str(element.key[0]), element.key[1], limit, sound, volts, fault)]
            if past and any(over(solved.fed_a(element, event, fault).high, _HARMLESS_A) for event in sound):
                yield from past


def _is_own(way: Way, level: Level) -> bool:
    """Whether nothing but the drive's own reference, which nobody gave, makes a signal as high as that.

    Its input gets all of that at the potentiometer's high end anyway.
    """
    full, own = way.volts(commanded(1.0)), ROWS["reference voltage"].path
    foreign = any(fact.unit == "V" and fact.path != own for fact in (*level.facts, *level.missing))
    more = over(_most(level), _most(full)) or {*level.asked} - {*full.asked}
    return not (full.is_known or full.conflict or level.is_known or level.conflict or foreign or more)


def _unheld(way: Way, event: Event, fault: Fault | None = None) -> Level:
    """Return the volts at a speed input; of a source that holds out against a supply, what gets past it."""
    held, part = way.volts(event, fault), way.source_part()
    if fault is None or part is None or "source" not in held.conflict:
        return held
    elements = way.solved.network(event, fault).elements
    source = next(element for element in elements if element.key == ("source", part.drive))
    past = way.solved.fed_v(source, event, fault, way.ends)
    return past if _most(past) > _most(held) else held


def _carried(solved: Solved, use: Use, event: Event, fault: Fault | None = None) -> Level:
    """Return what an output carries, A: more than some milliamperes only of what can give more."""
    level = solved.output_a(use, event, fault)
    assert level is not None  # it is closed
    if fault is None or _most(level) <= _HARMLESS_A:
        return level
    keys = (element.key for element in solved.network(event, fault).elements)
    strong = [key for key in keys if isinstance(key, tuple) and key[0] in SOURCES and key[0] not in _WEAK]
    gives = (found for key in strong if (found := solved.amps(key, event, fault)) is not None)
    most = max(map(_most, gives), default=0.0)
    return replace(level, low=min(level.low, most), high=min(level.high, most))


def _own_v(solved: Solved, element: Element) -> Fact | None:
    """Return what a source gives at most, V, which must not be fed more; None of what is no such source."""
    kind, drive, *_ = (*element.key, "") if isinstance(element.key, tuple) else ("", "")
    figures = solved.installation.figures.get(str(drive))
    if figures is None or kind not in ("reference", "source", "pulses"):
        return None
    if kind == "reference":
        return solved.installation.facts[element.figures[0].name]
    if kind == "pulses":
        return figures.of("pulse level")
    most, unit, _ = figures.source_level(1.0)
    usual = figures.compliance()
    return usual if unit == "A" else usual.told(most.high, most.high, usual.origin)


def _overload(
    kind: str, drive: str, limit: Fact, sound: Mapping[Event, bool], read: Callable[..., Level], fault: Fault
) -> Iterator[Overload]:
    """Yield the worst of some states, where it is past a limit that it wasn't past before."""

    def gets(event: Event, before: Fault | None, after: Fault) -> bool:
        was, now = read(event, before), read(event, after)
        return not now.floating and over(_most(now), limit.low) and not over(_most(was), limit.low)

    past = {event: read(event, fault) for event in sound if _does(fault, partial(gets, event))}
    if past:
        surely = any(sound[event] and over(_least(now), limit.high) for event, now in past.items())
        yield Overload(kind, drive, max(past.values(), key=_most), limit, surely)


def _most(level: Level) -> float:
    return max(abs(level.low), abs(level.high))


def _least(level: Level) -> float:
    return max(level.low, -level.high, 0.0)


def _turned(was: Level, now: Level) -> bool:
    return was.floating != now.floating or bool(was.conflict) != bool(now.conflict)


def _adds(was: Level, now: Level) -> bool:
    return _turned(was, now) or _rises(was, now)


def _moved(was: Level, now: Level) -> bool:
    return _turned(was, now) or max(abs(was.low - now.low), abs(was.high - now.high)) > _STEADY[now.unit]
