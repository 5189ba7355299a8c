"""What two revisions wire and read otherwise at one stage (compare room)."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from typing import Final, TypeVar

from doorsheet.circuit.parts import Circuit, Part, PartKind, Sign, Terminal, Use, Wire, of_drive
from doorsheet.circuit.reading_words import at_rest, figure_text, listed, normally
from doorsheet.circuit.sides import words as control_words
from doorsheet.compare.change import Change, Kind, Spot
from doorsheet.trade.language import tr, tr_later

__all__ = ["changes_at", "pairs_of_wires", "uses_at"]

_T = TypeVar("_T")


def changes_at(old: Circuit, new: Circuit) -> Iterator[Change]:
    """Yield what differs between the circuits of two revisions at the same stage."""
    yield from _wires(old, new)
    yield from _terminals(old, new)
    yield from _polarity(old, new)
    yield from _parts(old, new)
    yield from _links(old, new)
    yield from _screens(old, new)
    yield from _readings(old, new)


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


def _ends(wire: Wire) -> str:
    return tr("{one} to {other}", one=wire.near.full, other=wire.far.full)


def _whole(circuit: Circuit, wire: Wire) -> str:
    return f"{_ends(wire)}{circuit.through(wire.number)}, {wire.colour.letters}, {wire.job}"


_ASPECTS: tuple[tuple[str, Callable[[Circuit, Wire], str]], ...] = (
    ("", lambda _, wire: _ends(wire)),
    (tr_later("{wire}, its number"), lambda _, wire: wire.number),
    (tr_later("{wire}, its colour"), lambda _, wire: wire.colour.letters),
    (tr_later("{wire}, its job"), lambda _, wire: wire.job),
    (tr_later("{wire}, its cable"), lambda _, wire: wire.cable),
    (
        tr_later("{wire}, on the rail"),
        lambda circuit, wire: circuit.rail.label(wire.number) if circuit.rail else "",
    ),
)


def _spot_of_wire(before: Wire | None, after: Wire | None) -> Spot:
    both = [wire for wire in (before, after) if wire is not None]
    uses = frozenset(use for wire in both for use in wire.uses)
    labels = tuple(dict.fromkeys(wire.far.label for wire in reversed(both)))
    return Spot(both[-1].drive, labels, (after.number,) if after else (), uses)


# --- terminals, parts ----------------------------------------------------


def _terminals(old: Circuit, new: Circuit) -> Iterator[Change]:
    none = tr("no function of its own")
    before, after = ({one.terminal: one.function or none for one in each.strip} for each in (old, new))
    yield from _differing(Kind.TERMINAL, before, after, lambda terminal: terminal.full, _spot_at(old, new))


def _polarity(old: Circuit, new: Circuit) -> Iterator[Change]:
    def name(terminal: Terminal) -> str:
        return tr("{terminal}, polarity", terminal=terminal.full)

    before, after = dict(_signs(old)), dict(_signs(new))
    both = before.keys() & after.keys()  # a sign that comes or goes with its terminal is no change of it
    before, after = ({key: one[key] for key in one if key in both} for one in (before, after))
    yield from _differing(Kind.POLARITY, before, after, name, _spot_at(old, new))


def _signs(circuit: Circuit) -> Iterator[tuple[Terminal, str]]:
    words = {Sign.PLUS: "+", Sign.MINUS: "−", Sign.UNKNOWN: tr("not proved"), Sign.NONE: tr("none")}
    for part in circuit.parts:
        for pin in part.pins:
            yield pin.terminal, words[pin.sign]
    for entry in circuit.strip:
        yield entry.terminal, words[entry.sign]


def _differing(
    kind: Kind, old: dict[_T, str], new: dict[_T, str], name: Callable[[_T], str], spot: Callable[[_T], Spot]
) -> Iterator[Change]:
    for key in dict.fromkeys((*new, *old)):
        if old.get(key) != new.get(key):
            yield Change(kind, name(key), old.get(key, ""), new.get(key, ""), spot(key))


def _spot_at(*circuits: Circuit) -> Callable[[Terminal], Spot]:
    """Return where a terminal is, with all controls that use it in any of the circuits."""

    def spot(terminal: Terminal) -> Spot:
        uses = frozenset(use for circuit in circuits for use in uses_at(circuit, terminal))
        wires = tuple(w.number for w in circuits[-1].wires if terminal in (w.near, w.far))
        own = (terminal.label,) if terminal.block == "drive" else ()
        return Spot(terminal.drive, own, wires, uses)

    return spot


def uses_at(circuit: Circuit, terminal: Terminal) -> Iterator[Use]:
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


def _links(old: Circuit, new: Circuit) -> Iterator[Change]:
    def said(circuit: Circuit) -> dict[tuple[str, frozenset[Terminal]], str]:
        return {(link.kind, frozenset((link.a, link.b))): link.note or tr("fitted") for link in circuit.links}

    def spot(key: tuple[str, frozenset[Terminal]]) -> Spot:
        each = [_spot_at(old, new)(terminal) for terminal in sorted(key[1])]
        labels = tuple(label for one in each for label in one.terminals)
        return Spot(each[0].drive, labels, (), frozenset().union(*(one.uses for one in each)))

    def name(key: tuple[str, frozenset[Terminal]]) -> str:
        ends = " – ".join(terminal.full for terminal in sorted(key[1]))
        return tr("link {ends}", ends=ends) if key[0] == "link" else tr("bridge {ends}", ends=ends)

    yield from _differing(Kind.PART, said(old), said(new), name, spot)


def _screens(old: Circuit, new: Circuit) -> Iterator[Change]:
    def said(circuit: Circuit) -> dict[Use, str]:
        each = ((one, tr(_EARTHED[one.earthed])) for one in circuit.screens)
        return {
            (one.drive, one.control): ", ".join(filter(None, (place, one.terminal))) for one, place in each
        }

    def spot(use: Use) -> Spot:
        wires = next((s.wires for s in new.screens if (s.drive, s.control) == use), ())
        return Spot(use[0], (), wires, frozenset({use}))

    def name(use: Use) -> str:
        return of_drive(use[0], tr("{control}, screen", control=control_words(use[1])))

    yield from _differing(Kind.PART, said(old), said(new), name, spot)


_EARTHED: Final = {
    "none": tr_later("not earthed"),
    "both": tr_later("earthed at both ends"),
    "drive": tr_later("earthed at the drive's end"),
    "controller": tr_later("earthed at the controller's end"),
}


# --- readings ------------------------------------------------------------


_Figure = tuple[Terminal, str]

_STATES: Final = {
    "open": tr_later("{terminal}, open"), "closed": tr_later("{terminal}, closed"),
    "current": tr_later("{terminal}, current"), "low": tr_later("{terminal}, low end"),
    "mid": tr_later("{terminal}, middle"), "high": tr_later("{terminal}, high end"),
    "rest": tr_later("{terminal}, stopped"), "half": tr_later("{terminal}, half speed"),
    "full": tr_later("{terminal}, full speed"), "reverse": tr_later("{terminal}, full reverse"),
}  # fmt: skip


def _readings(old: Circuit, new: Circuit) -> Iterator[Change]:
    before, after = dict(_figures(old)), dict(_figures(new))
    names = {key: words for figures in (before, after) for key, (words, _) in figures.items()}
    was, now = ({key: figure for key, (_, figure) in found.items()} for found in (before, after))
    at = _spot_at(old, new)
    yield from _differing(Kind.READING, was, now, lambda key: names[key], lambda key: at(key[0]))


def _figures(circuit: Circuit) -> Iterator[tuple[_Figure, tuple[str, str]]]:
    """Yield each figure to expect by its terminal and its state, with the words for both."""
    for reading in circuit.readings:
        terminal, against = reading.terminal, reading.against
        full = place = terminal.full
        if against is not None and against != terminal:
            place = tr("{red} against {black}", red=full, black=against.label)
            yield (terminal, "black lead"), (tr("{terminal}, black lead", terminal=full), against.label)
        if reading.contact:
            named = tr("{terminal}, contact", terminal=place)
            yield (terminal, "contact"), (named, at_rest(reading.contact))
        for value in reading.values:
            named = tr(_STATES[value.state], terminal=place) if value.state in _STATES else place
            yield (terminal, value.state), (named, figure_text(value))
