"""The ways in which a circuit may be drawn, before any paper is chosen: what is drawn, and who stands where.

Between a frame and the drive stand contacts on the machine, resistors, converters, in the wire.  A layout
knows wires that go from a frame to the drive.  So the conductors on the way to one drive's terminal become
one strand, with each conductor and each part in their order: drawn in line, or where a paper has no room for
that named on its plate.  A converter's supply ends there, in a cell of its own; in words where the ways are.

The terminal rail is numbered as it is drawn in the final stage, and drawn so at every stage: a strip is made
once, in an order that nobody changes from stage to stage.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import Final

from doorsheet.circuit import join
from doorsheet.circuit.parts import (
    BlockKind,
    Circuit,
    OnWay,
    Part,
    PartKind,
    Rail,
    ScreenRound,
    Terminal,
    Wire,
)
from doorsheet.circuit.reading_words import normally
from doorsheet.layout import Ordered, order_circuit
from doorsheet.layout.spines import joins_of, without
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.language import tr

__all__ = ["arrange", "named", "numbered", "on_ways", "part_words", "strands", "ways"]

_INTO: Final = {"out": "in", "output": "input", "output-common": "input-common"}
"""Which pin of a part on the way a conductor goes on from, and which it comes in by."""


def arrange(circuit: Circuit, mapping: Mapping) -> tuple[Ordered, ...]:
    """Return the ways to draw a circuit, each with the fewest crossings, the one that draws most first.

    What a paper has no room to draw in a wire's way or at the frames' edge it may still say in words.
    """
    strips = {name: own.drive.strip for name, own in mapping.units() if own.drive.strip}
    return tuple(replace(order_circuit(one), strips=strips) for one in ways(strands(circuit)))


def ways(whole: Circuit) -> list[Circuit]:
    """Return a circuit of strands, or a part of it, and what may be drawn of it where room is scarce."""
    out = [whole]
    if whole.in_line and any(wire.way for wire in whole.wires):
        out.append(named(whole))
    if whole.joins:
        out += [without(one, one.joins) for one in out]
    return out


def numbered(circuit: Circuit, read: ReadMapping) -> Circuit:
    """Return a circuit of a mapping's stage whose rail is numbered from top to bottom as it is drawn."""
    if circuit.rail is None:
        return circuit
    return replace(circuit, rail=_as_drawn(read))


def _as_drawn(read: ReadMapping) -> Rail | None:
    final = join(read, "final")
    rail = final.rail
    if rail is None or not rail.terminals:
        return rail
    first = min(number for _, number in rail.terminals)
    order = list(_with_free(list(_drawn(final)), final))
    order += [wire for wire, _ in rail.terminals if wire not in order]
    terminals = tuple((wire, place) for place, wire in enumerate(order, first))
    return rail._replace(terminals=terminals, is_numbered=True)


def _drawn(final: Circuit) -> Iterator[str]:
    """Yield the wires over the rail from top to bottom."""
    own = dict(final.rail.terminals) if final.rail is not None else {}
    for end in order_circuit(replace(strands(final), rail=None)).ends[0]:
        if end.number in own:
            yield end.number


def _with_free(order: list[str], final: Circuit) -> list[str]:
    """Put wires that only other stages have beside their control's signal, away from its common: a
    potentiometer has its wiper in the middle.
    """
    for free in final.free_wires:
        own = {w.role: w.number for w in final.wires if (free.drive, free.control) in w.uses}
        near = own.get("signal") or own.get("input")
        at = len(order)
        if near in order:
            common = own.get("common")
            at = order.index(near) + (common not in order or order.index(common) < order.index(near))
        order.insert(at, free.number)
    return order


# --- what stands in the wires ---------------------------------------------


def strands(circuit: Circuit) -> Circuit:
    """Return the circuit with one wire for each way to the drive, and words for what that leaves out.

    Parts on the way are drawn in line; `named` says them in words instead.  Returns that are
    joined on the rail end there.
    """
    if not circuit.stubs:
        stubs = tuple(_ending_on_the_way(circuit))
        circuit = replace(circuit, stubs=stubs, wires=tuple(w for w in circuit.wires if w not in stubs))
    circuit = replace(
        circuit, screens=tuple(dict.fromkeys(map(partial(_of_cable, circuit), circuit.screens)))
    )
    parts = [part for part in circuit.parts if part.block is BlockKind.FIELD]
    elsewhere = [wire for wire in circuit.wires if wire.far.block is not BlockKind.DRIVE]
    joins = joins_of(circuit)
    if not parts and not elsewhere:
        return replace(circuit, joins=joins)
    ways = [_way(circuit, parts, wire) for wire in circuit.wires if wire.far.block is BlockKind.DRIVE]
    at = {pin.terminal: part for part in parts for pin in part.pins}
    # of each way what stands on it before the last conductor
    on = [tuple(OnWay(wire, at[wire.far], after.near) for wire, after in pairwise(way)) for way in ways]
    drawn = [join.wire for join in joins] + [wire for way in ways for wire in way]
    elsewhere = [wire for wire in elsewhere if wire not in drawn]
    return replace(
        circuit,
        blocks=tuple(block for block in circuit.blocks if block.kind is not BlockKind.FIELD),
        parts=tuple(part for part in circuit.parts if part not in parts),
        wires=tuple(way[-1]._replace(near=way[0].near, way=own) for way, own in zip(ways, on, strict=True)),
        joins=joins,
        aside=tuple(elsewhere),
    )


def _of_cable(circuit: Circuit, screen: ScreenRound) -> ScreenRound:
    """Return the one screen of a cable with a name, round all that lies in it of a drive; where its controls
    agree on it.
    """
    alike = [one for one in circuit.screens if (one.drive, one.cable) == (screen.drive, screen.cable)]
    places = {one.terminal for one in alike} - {""}
    if not screen.cable or len({one.earthed for one in alike}) > 1 or len(places) > 1:
        return screen
    own = (wire for wire in circuit.shown if (wire.drive, wire.cable) == (screen.drive, screen.cable))
    inside = tuple(wire.number for wire in own if wire.in_cable)
    return alike[0]._replace(wires=inside, terminal="".join(places))


def _ending_on_the_way(circuit: Circuit) -> Iterator[Wire]:
    rail, parts = circuit.rail, (part for part in circuit.parts if part.kind is PartKind.CONVERTER)
    fed = {pin.terminal for part in parts for pin in part.pins if pin.role == "supply"}
    for wire in circuit.wires:
        if wire.far in fed or (rail is not None and rail.onward(wire.number)):
            yield wire


def _way(circuit: Circuit, parts: list[Part], last: Wire) -> tuple[Wire, ...]:
    """Return the conductors from a frame to the drive that end in one, in their order."""
    way = [last]
    while way[0].near.block is BlockKind.FIELD:
        into = _into(parts, way[0].near)
        before = next((wire for wire in circuit.wires if wire.far == into), None)
        if before is None or before in way:
            break
        way.insert(0, before)
    return tuple(way)


def _into(parts: list[Part], terminal: Terminal) -> Terminal | None:
    """Return where a conductor comes into the part that another leaves at a terminal."""
    for part in parts:
        # a terminal can be two pins of a part, as the common of both sides of a converter is
        role = next((pin.role for pin in part.pins if pin.terminal == terminal and pin.role in _INTO), None)
        if role is not None:
            return next((pin.terminal for pin in part.pins if pin.role == _INTO[role]), None)
    return None


def named(circuit: Circuit) -> Circuit:
    """Return a circuit of strands with what is on the way in words, where a drawing has no room for it."""
    ways = [wire for wire in circuit.wires if wire.way]
    moved = {way.number for way in ways if any(wire.number in circuit.moved for wire in way.conductors)}
    feeds = tuple(wire for wire in circuit.stubs if circuit.fed_by(wire) is not None)
    told = (*(wire for way in ways for wire in way.conductors), *feeds)
    return replace(
        circuit, in_line=False, moved=circuit.moved | moved, aside=(*circuit.aside, *told),
        stubs=tuple(wire for wire in circuit.stubs if wire not in feeds),
    )  # fmt: skip


def on_ways(circuit: Circuit) -> Iterator[str]:
    """Yield in words what each part is that stands in the way of the wires shown."""
    said: dict[str, None] = {}  # of two contacts of one device the same is said once
    for part in dict.fromkeys(on.part for wire in circuit.wires for on in wire.way):
        what = ", ".join(filter(None, (part_words(part), _unfed(circuit, part))))
        said[f"{part.name}: {what}." if what else f"{part.name}."] = None
    yield from said


def _unfed(circuit: Circuit, part: Part) -> str:
    """Leave a blank for what feeds a converter, where nobody wrote it down."""
    supply = next((pin.terminal for pin in part.pins if pin.role == "supply"), None)
    wires = (*circuit.stubs, *circuit.aside)
    if part.kind is not PartKind.CONVERTER or any(wire.far == supply for wire in wires):
        return ""
    return tr("{terminal} fed from ____________ (write it down)", terminal=supply or part.name)


def part_words(part: Part) -> str:
    """Say what a part on the way is; of a contact too how it stands while nothing acts on it."""
    rest = normally(part) if part.kind is PartKind.FIELD_CONTACT else ""
    return ", ".join(filter(None, (part.caption, part.rating, rest)))
