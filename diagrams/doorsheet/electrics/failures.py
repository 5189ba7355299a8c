"""What one fault at a time does: every wire open, on its neighbours, on earth, beside the same state without.

Plain data; `doorsheet.booklet` puts it into words.  Neighbours are the other wires of a cable and the
wires at the terminals beside.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from doorsheet.circuit.parts import PartKind, Terminal, Wire, cable_of
from doorsheet.electrics.events import REST, Earthed, Event, Fault, Opened, Touching, Use, alone, commanded
from doorsheet.electrics.solved import Level, Solved, State
from doorsheet.mapping.signals import RANGES

__all__ = [
    "SOURCES", "Bypass", "Change", "Consequence", "Shift", "consequences", "faults_of", "neighbours",
]  # fmt: skip

SOURCES = ("inputs' supply", "feed", "controller's supply", "reference", "source")
"""The kinds of element that give power, as a conflict names them."""

_STEADY_V = 0.25
"""A speed signal that moves by less than this, V, or by less than a fortieth of its range, stands still for a
person's eye (common practice, no source)."""

_SHORTED_A = 1.0
"""No supply or output of control wiring gives so much, A: what would have to is shorted (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Change:
    """A switch input that a fault changes, in one state of the installation."""

    use: Use
    event: Event
    was: State
    now: State


@dataclass(frozen=True, slots=True)
class Shift:
    """The speed signal of a drive that a fault moves, at one command."""

    drive: str
    event: Event
    was: Level
    now: Level


@dataclass(frozen=True, slots=True)
class Bypass:
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


def neighbours(solved: Solved, wire: Wire) -> tuple[Wire, ...]:
    """Return the wires that one can touch: those of its cable, and those at the terminals beside its own."""
    beside, cable = set[Terminal](), cable_of(wire.cable, wire.drive)
    labels = [entry.terminal for entry in solved.circuit.strip]
    for one, other in pairwise(labels):
        beside |= {other} if one == wire.far else {one} if other == wire.far else set()
    return tuple(
        other
        for other in solved.circuit.wires
        if other.number != wire.number
        and other.far != wire.far
        and (cable_of(other.cable, other.drive) == cable or other.far in beside)
    )


def faults_of(solved: Solved, wire: Wire) -> Iterator[Fault]:
    """Yield what can go wrong with one wire, each terminal that it can touch once."""
    yield Opened(wire.number, commons_unsaid=True)
    for terminal in dict.fromkeys(other.far for other in neighbours(solved, wire)):
        yield Touching(wire.far, terminal, commons_unsaid=True)
    yield Earthed(wire.far)


def consequences(solved: Solved, wire: Wire) -> tuple[Consequence, ...]:
    """Return what each fault of one wire does."""
    return tuple(consequence(solved, fault) for fault in faults_of(solved, wire))


def consequence(solved: Solved, fault: Fault) -> Consequence:
    """Return what one fault does in the states that a machine is in: at rest, each control alone, speeds."""
    changes: list[Change] = []
    shorted: dict[str, bool] = {}
    uses = solved.installation.controls
    for event in (REST, *(alone(use) for use in uses)):
        for use in uses:
            before, after = solved.state(use, event), solved.state(use, event, fault)
            unsure = before is State.UNSURE
            if before is not after or (unsure and _surely_moves(solved, use, event, fault)):
                changes.append(Change(use, event, before, after))
        _add(shorted, _shorts(solved, event, fault))
    shifts: list[Shift] = []
    for drive, event, was, now in _signals(solved, fault):
        short = _shorts(solved, event, fault)
        _add(shorted, short)
        # what a shorted source still gives is its own affair
        own = tuple(kind for kind, of in short if of == drive and kind in ("source", "reference"))
        now = replace(now, conflict=(*now.conflict, *own))
        if _moved(was, now):
            shifts.append(Shift(drive, event, was, now))
    sure = tuple(kind for kind, surely in shorted.items() if surely)
    perhaps = tuple(kind for kind, surely in shorted.items() if not surely)
    found = Consequence(fault, tuple(changes), tuple(shifts), sure, perhaps)
    return replace(found, bypassed=tuple(_bypassed(solved, found)))


def _bypassed(solved: Solved, found: Consequence) -> Iterator[Bypass]:
    """Yield the contacts that no longer open a control, be it alone or beside one that brings it on."""
    contacts = (part for part in solved.circuit.parts if part.kind is PartKind.FIELD_CONTACT)
    for drive, control, name in dict.fromkeys((part.drive, part.control, part.name) for part in contacts):
        use, opened = (drive, control), frozenset({(drive, name)})
        beside = [change.event.closed for change in found.starts if change.use == use]
        states = (
            solved.state(use, event, found.fault)
            for closed in dict.fromkeys([frozenset[Use](), *beside])
            if solved.state(use, event := Event(closed | {use}, opened)) is State.OFF
        )
        if stays := set(states) - {State.OFF}:
            yield Bypass(use, name, State.ON if State.ON in stays else State.UNSURE)


def _surely_moves(solved: Solved, use: Use, event: Event, fault: Fault) -> bool:
    was, now = solved.input_v(use, event), solved.input_v(use, event, fault)
    return now.high < was.low if use in event.closed else now.low > was.high


def _add(shorted: dict[str, bool], short: dict[tuple[str, str], bool]) -> None:
    for (kind, _), surely in short.items():
        shorted[kind] = shorted.get(kind, False) or surely


def _shorts(solved: Solved, event: Event, fault: Fault) -> dict[tuple[str, str], bool]:
    found: dict[tuple[str, str], bool] = {}
    for element in solved.network(event, fault, False).elements:
        key = element.key
        if not (isinstance(key, tuple) and key[0] in SOURCES) or _gives_current(solved, key):
            continue
        if _beyond(solved.amps(key, event)):
            continue  # shorted before, which checks say
        level = solved.amps(key, event, fault)
        if level is not None and _beyond(level):
            kind = str(key[0]), str(key[1])
            found[kind] = found.get(kind, False) or not level.asked
    return found


def _gives_current(solved: Solved, key: tuple[object, ...]) -> bool:
    """Whether a source gives milliamperes, which a short does no harm."""
    source = solved.installation.figures[str(key[1])].source if key[0] == "source" else None
    return source is not None and RANGES[source.range].unit == "A"


def _beyond(level: Level | None) -> bool:
    return level is not None and (bool(level.conflict) or max(abs(level.low), abs(level.high)) > _SHORTED_A)


def _signals(solved: Solved, fault: Fault) -> Iterator[tuple[str, Event, Level, Level]]:
    for drive, figures in solved.installation.figures.items():
        speed = figures.speed
        given = any(
            part.drive == drive
            and part.kind in (PartKind.POTENTIOMETER, PartKind.ANALOG_SOURCE, PartKind.CONVERTER)
            for part in solved.circuit.parts
        )
        if speed.common is None or not given:
            continue
        ends = solved.at_drive(speed.signal, drive), solved.at_drive(speed.common, drive)
        for share in (0.0, 0.5, 1.0):
            event = commanded(share)
            yield drive, event, solved.volts(*ends, event), solved.volts(*ends, event, fault)


def _moved(was: Level, now: Level) -> bool:
    if was.floating != now.floating or bool(was.conflict) != bool(now.conflict):
        return True
    return max(abs(was.low - now.low), abs(was.high - now.high)) > _STEADY_V
