"""A change between two revisions, a plain value; what they wire and read otherwise at one stage."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from enum import StrEnum
from functools import partial
from typing import Final, NamedTuple, TypeAlias, TypeVar

from doorsheet.circuit.parts import Circuit, Part, PartKind, Sign, Terminal, Use, Wire, of_drive
from doorsheet.circuit.reading_words import at_rest, figure_text, listed, normally
from doorsheet.circuit.sides import words as control_words
from doorsheet.trade.language import tr, tr_later

__all__ = ["Change", "Kind", "Spot", "changes_at", "pairs_of_wires"]

_T = TypeVar("_T")


class Kind(StrEnum):
    """What a change is about."""

    KEY = "key"  # what is written, as a person wrote it
    SETTING = "setting"
    WIRE = "wire"
    TERMINAL = "terminal"
    POLARITY = "polarity"
    PART = "part"
    READING = "reading"
    FINDING = "finding"


class Spot(NamedTuple):
    """Where a change is on a sheet of the new revision."""

    drive: str = ""
    terminals: tuple[str, ...] = ()  # labels at that drive
    wires: tuple[str, ...] = ()
    uses: frozenset[Use] = frozenset()  # the controls that it can touch


class Change(NamedTuple):
    """What was and what is; an empty word on one side: nothing there."""

    kind: Kind
    what: str  # "wire 3", "DI1 against COM, open", "run-forward.meter"
    old: str
    new: str
    spot: Spot = Spot()
    stop: str = ""  # of a finding that came and forbids connecting: its reason
    stage: str = ""  # "bench" or "final" where it is so at one of them only

    @property
    def words(self) -> str:
        """Say it in one line: "wire 3: OUT3+ to DI2, was OUT2+ to DI2"."""
        what = tr(_AT[self.stage], what=self.what) if self.stage else self.what
        return tr(_SAID[bool(self.old), bool(self.new)], what=what, now=self.new, old=self.old)


_AT = {"bench": tr_later("{what} (bench stage)"), "final": tr_later("{what} (final stage)")}
_SAID = {  # by whether something was, and whether something is
    (True, True): tr_later("{what}: {now}, was {old}"),
    (True, False): tr_later("{what}: no more, was {old}"),
    (False, True): tr_later("{what}: new, {now}"),
    (False, False): tr_later("{what}: new"),
}


def changes_at(old: Circuit, new: Circuit) -> Iterator[Change]:
    """Yield what differs between the circuits of two revisions at the same stage."""
    at = partial(_spot_at, old, new)
    rings = {(one.drive, one.control): one.wires for one in new.screens}
    yield from _wires(old, new)
    yield from _differing(Kind.TERMINAL, _functions(old), _functions(new), at)
    before, after = [*_signs(old)], [*_signs(new)]
    both = {key for key, *_ in before} & {key for key, *_ in after}
    # a sign that comes or goes with its terminal is no change of it
    was, now = ([sign for sign in each if sign[0] in both] for each in (before, after))
    yield from _differing(Kind.POLARITY, was, now, at)
    yield from _parts(old, new)
    yield from _differing(Kind.PART, _links(old), _links(new), lambda ends: _spot_of_link(ends, at))
    yield from _differing(
        Kind.PART, _screens(old), _screens(new),
        lambda use: Spot(use[0], (), rings.get(use, ()), frozenset({use})),
    )  # fmt: skip
    yield from _differing(Kind.READING, _figures(old), _figures(new), lambda key: at(key[0]))


# --- wires ---------------------------------------------------------------


def pairs_of_wires(old: Circuit, new: Circuit) -> Iterator[tuple[Wire | None, Wire | None]]:
    """Yield each wire with what it was: the one with its number and ends, its ends, its number, its job."""
    keys: tuple[Callable[[Wire], Hashable], ...] = (
        lambda wire: (wire.number, wire.near, wire.far),
        lambda wire: (wire.near, wire.far),
        lambda wire: wire.number,
        lambda wire: (wire.drive, wire.control, wire.role),
    )
    yield from _paired(old.wires, new.wires, keys)


def _paired(
    old: Iterable[_T], new: Iterable[_T], keys: Sequence[Callable[[_T], Hashable]]
) -> Iterator[tuple[_T | None, _T | None]]:
    """Pair what has a key in common, by the first key that serves; what is left over stands alone."""
    before, after = list(old), list(new)
    found: dict[int, _T] = {}
    for key in keys:
        for one in [one for one in after if id(one) not in found]:
            other = next((other for other in before if key(other) == key(one)), None)
            if other is not None:
                found[id(one)] = other
                before = [left for left in before if left is not other]
    for one in after:
        yield found.get(id(one)), one
    for other in before:
        yield other, None


def _wires(old: Circuit, new: Circuit) -> Iterator[Change]:
    for before, after in pairs_of_wires(old, new):
        either = after or before
        assert either is not None
        spot = _spot_of_wire(before, after)
        what = tr("wire {number}", number=either.number)
        if before is None or after is None:
            was, now = (_whole(old, before) if before else ""), (_whole(new, after) if after else "")
            yield Change(Kind.WIRE, what, was, now, spot)
            continue
        for aspect, say in _ASPECTS:
            was, now, named = say(old, before), say(new, after), tr(aspect, wire=what) if aspect else what
            if was != now:
                yield Change(Kind.WIRE, named, was or tr("none"), now or tr("none"), spot)


def _ends(circuit: Circuit, wire: Wire) -> str:
    return tr("{one} to {other}", one=wire.near.full, other=circuit.lands(wire))


def _whole(circuit: Circuit, wire: Wire) -> str:
    return f"{_ends(circuit, wire)}{circuit.through(wire)}, {wire.colour.letters}, {wire.job}"


_ASPECTS: tuple[tuple[str, Callable[[Circuit, Wire], str]], ...] = (
    ("", _ends),
    (tr_later("{wire}, its number"), lambda _, wire: wire.number),
    (tr_later("{wire}, its colour"), lambda _, wire: wire.colour.letters),
    (tr_later("{wire}, its job"), lambda _, wire: wire.job),
    (tr_later("{wire}, its cable"), lambda _, wire: wire.cable),
    (tr_later("{wire}, on the rail"), lambda circuit, wire: circuit.on_rail(wire)),
)


def _spot_of_wire(before: Wire | None, after: Wire | None) -> Spot:
    both = [wire for wire in (before, after) if wire is not None]
    uses = frozenset(use for wire in both for use in wire.uses)
    labels = tuple(dict.fromkeys(wire.far.label for wire in reversed(both)))
    return Spot(both[-1].drive, labels, (after.number,) if after else (), uses)


# --- terminals, parts ----------------------------------------------------

_Said: TypeAlias = Iterable[tuple[_T, str, str]]
"""Things of one circuit: what tells each from the others, its name, and what is said of it."""


def _differing(kind: Kind, old: _Said[_T], new: _Said[_T], spot: Callable[[_T], Spot]) -> Iterator[Change]:
    was, now = ({key: (name, said) for key, name, said in each} for each in (old, new))
    for key in dict.fromkeys((*now, *was)):
        before, after = was.get(key, ("", "")), now.get(key, ("", ""))
        if before[1] != after[1] or (key in was) is not (key in now):
            yield Change(kind, after[0] or before[0], before[1], after[1], spot(key))


def _functions(circuit: Circuit) -> _Said[Terminal]:
    for entry in circuit.strip:
        yield entry.terminal, entry.terminal.full, entry.function or tr("no function of its own")


def _signs(circuit: Circuit) -> _Said[Terminal]:
    words = {Sign.PLUS: "+", Sign.MINUS: "−", Sign.UNKNOWN: tr("not proved"), Sign.NONE: tr("none")}
    signs = [(pin.terminal, pin.sign) for part in circuit.parts for pin in part.pins]
    for terminal, sign in (*signs, *((entry.terminal, entry.sign) for entry in circuit.strip)):
        yield terminal, tr("{terminal}, polarity", terminal=terminal.full), words[sign]


def _spot_at(old: Circuit, new: Circuit, terminal: Terminal) -> Spot:
    """Return where a terminal is, with all controls that use it in either circuit."""
    uses = frozenset(use for circuit in (old, new) for use in _uses_at(circuit, terminal))
    wires = tuple(w.number for w in new.wires if terminal in (w.near, w.far))
    own = (terminal.label,) if terminal.block == "drive" else ()
    return Spot(terminal.drive, own, wires, uses)


def _uses_at(circuit: Circuit, terminal: Terminal) -> Iterator[Use]:
    """Yield the controls whose wires or parts are at a terminal."""
    for wire in circuit.wires:
        if terminal in (wire.near, wire.far):
            yield from wire.uses
    for part in circuit.parts:
        if any(pin.terminal == terminal for pin in part.pins):
            yield part.drive, part.control


def _parts(old: Circuit, new: Circuit) -> Iterator[Change]:
    keys: tuple[Callable[[Part], Hashable], ...] = (
        lambda part: (part.drive, part.control, part.home, part.kind, part.name),
        lambda part: (part.drive, part.control, part.home, part.kind),
        lambda part: (part.drive, part.control, part.home),
    )
    for before, after in _paired(old.parts, new.parts, keys):
        either = after or before
        assert either is not None
        uses = frozenset({(either.drive, either.control)})
        what = of_drive(either.drive, control_words(either.control))
        spot = Spot(either.drive, (), (), uses)
        was, now = ("" if part is None else _part_words(part) for part in (before, after))
        if was != now:
            yield Change(Kind.PART, what, was, now, spot)


def _part_words(part: Part) -> str:
    pins = listed([pin.terminal.full for pin in part.pins])
    rest = normally(part) if part.kind is PartKind.FIELD_CONTACT else ""
    name = f"{tr(part.kind)} {part.name}".strip()
    placed = tr("{part} at {terminals}", part=name, terminals=pins) if pins else name
    return ", ".join(word for word in (placed, part.rating, rest) if word)


_Link: TypeAlias = tuple[str, frozenset[Terminal]]


def _links(circuit: Circuit) -> _Said[_Link]:
    for link in circuit.links:
        ends = " – ".join(terminal.full for terminal in sorted((link.a, link.b)))
        name = tr("link {ends}", ends=ends) if link.kind == "link" else tr("bridge {ends}", ends=ends)
        yield (link.kind, frozenset((link.a, link.b))), name, link.note or tr("fitted")


def _spot_of_link(link: _Link, at: Callable[[Terminal], Spot]) -> Spot:
    each = [at(terminal) for terminal in sorted(link[1])]
    labels = tuple(label for one in each for label in one.terminals)
    return Spot(each[0].drive, labels, (), frozenset().union(*(one.uses for one in each)))


def _screens(circuit: Circuit) -> _Said[Use]:
    for one in circuit.screens:
        name = of_drive(one.drive, tr("{control}, screen", control=control_words(one.control)))
        place = ", ".join(filter(None, (tr(_EARTHED[one.earthed]), one.terminal)))
        yield (one.drive, one.control), name, place


_EARTHED: Final = {
    "none": tr_later("not earthed"),
    "both": tr_later("earthed at both ends"),
    "drive": tr_later("earthed at the drive's end"),
    "controller": tr_later("earthed at the controller's end"),
}


# --- readings ------------------------------------------------------------

_STATES: Final = {
    "open": tr_later("{terminal}, open"), "closed": tr_later("{terminal}, closed"),
    "current": tr_later("{terminal}, current"), "low": tr_later("{terminal}, low end"),
    "mid": tr_later("{terminal}, middle"), "high": tr_later("{terminal}, high end"),
    "rest": tr_later("{terminal}, stopped"), "half": tr_later("{terminal}, half speed"),
    "full": tr_later("{terminal}, full speed"), "reverse": tr_later("{terminal}, full reverse"),
}  # fmt: skip


def _figures(circuit: Circuit) -> _Said[tuple[Terminal, str]]:
    """Yield each figure to expect by its terminal and its state."""
    for reading in circuit.readings:
        terminal, against = reading.terminal, reading.against
        full = place = terminal.full
        if against is not None and against != terminal:
            place = tr("{red} against {black}", red=full, black=against.label)
            yield (terminal, "black lead"), tr("{terminal}, black lead", terminal=full), against.label
        if reading.contact:
            named = tr("{terminal}, contact", terminal=place)
            yield (terminal, "contact"), named, at_rest(reading.contact)
        for value in reading.values:
            named = tr(_STATES[value.state], terminal=place) if value.state in _STATES else place
            yield (terminal, value.state), named, figure_text(value._replace(read=None))  # what is expected
