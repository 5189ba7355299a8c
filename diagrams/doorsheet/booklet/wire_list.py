"""The wire list: every conductor of every stage, and what else is fitted, to tick off."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from doorsheet.booklet.chapters import columns_of
from doorsheet.booklet.grid import TICK, Band, Cell, Grid, Row, say_or_write
from doorsheet.booklet.leaf import Chapter, Piece
from doorsheet.circuit.parts import BlockKind, Circuit, PartKind, Wire, of_drive
from doorsheet.layout.arrange import part_words
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr, tr_later

__all__ = ["Between", "between", "earthed", "wire_list"]


class Between(NamedTuple):
    """Something fitted that is no wire: its name, where it is fitted, what it is."""

    name: str
    near: str  # the end away from the drive
    far: str
    what: str


def between(circuit: Circuit) -> Iterator[Between]:
    """Yield links, bridges, resistors, contacts on the machine and converters of a stage, each once."""
    for link in circuit.links:
        at = tr(_WHERE[link.a.block]) if link.a.block in _WHERE else ""  # the bench has a heading of its own
        said = ", ".join(filter(None, (at, link.note)))
        yield Between(tr(_KINDS[link.kind]), link.a.full, link.b.full, said)
    here = {wire.number for wire in circuit.wires}
    if (rail := circuit.rail) is not None:
        for group in rail.bridges:
            for one, other in pairwise(number for number in group if number in here):
                yield Between(tr(_KINDS["bridge"]), rail.label(one), rail.label(other), tr("on the rail"))
    for part in circuit.parts:
        match part.kind:
            case PartKind.RESISTOR | PartKind.FIELD_CONTACT:
                near, far = (pin.terminal.full for pin in part.pins)
            case PartKind.CONVERTER:
                sides = [(pin.role in _GIVEN, pin.terminal.full) for pin in part.pins]
                near, far = (", ".join(end for out, end in sides if out is gives) for gives in (False, True))
            case _:
                continue
        yield Between(of_drive(part.drive, part.name), near, far, part_words(part))


_GIVEN = frozenset(("output", "output-common"))
_KINDS = {"link": tr_later("link"), "bridge": tr_later("bridge")}
_WHERE = {
    BlockKind.CONTROLLER: tr_later("at the controller"),
    BlockKind.OPERATOR: tr_later("between operator controls"),
    BlockKind.FIELD: tr_later("on the machine"),
    BlockKind.DRIVE: tr_later("on the drive's strip"),
}


def wire_list(mapping: Mapping, circuits: Sequence[Circuit]) -> Chapter:
    """List every wire of every stage once, with both ends, to tick off as it is fitted and checked."""
    final = circuits[-1]
    railed = final.rail is not None
    end = 34.0 if mapping.drives else 17.0  # with the drive's name before it
    seen: dict[str, Wire] = {wire.number: wire for wire in final.wires}
    off: list[Wire] = []
    for circuit in circuits:
        off += [wire for wire in circuit.wires if wire.number not in seen and wire not in off]
        seen |= {wire.number: wire for wire in off}
    rows: list[Row] = [_wire_row(mapping, final, wire) for wire in final.wires]
    if off:
        rows.append(Band(tr("Fitted for the bench only; off, and kept safe, in the final stage")))
        rows += [_wire_row(mapping, circuits[0], wire) for wire in off]
    rows += _between_rows(circuits, railed)
    columns = columns_of(
        (tr("wire"), 12.0), (tr("colour"), 19.0), (tr("one end"), end),
        *([(tr("rail"), 14.0)] if railed else []),
        (tr("other end"), 17.0), (tr("job"), 28.0 if railed or mapping.drives else 42.0), (tr("cable"), 12.0),
        (tr("length"), 12.0), (tr("screen"), 14.0), (tr("fitted"), 12.0), (tr("checked"), 16.0),
        rows=rows,
    )  # fmt: skip
    intro = tr("The number stands on a ferrule at both ends. Numbers and colours hold through every stage.")
    pieces: tuple[Piece, ...] = (intro, Grid(columns, tuple(rows)))
    if not all(wire.colour_given for wire in seen.values()):
        pieces = (*pieces, tr("† after a colour: chosen by Doorsheet, not given."))
    return Chapter(tr("Wire list"), pieces)


def _wire_row(mapping: Mapping, circuit: Circuit, wire: Wire) -> Row:
    number, letters = wire.number, wire.colour.letters
    cable = next((cable for cable in mapping.cables if (cable.name or "") == wire.cable), None)
    return (
        Cell(number, bold=True),
        Cell(letters + ("" if wire.colour_given else "†"), inks=wire.colour.parts),
        Cell(circuit.lands(wire), bold=True),
        *((Cell(circuit.on_rail(wire)),) if circuit.rail is not None else ()),
        Cell(wire.near.full),
        Cell(wire.job),
        say_or_write(wire.cable) if wire.in_cable else Cell(tr("none")),
        say_or_write(cable.length if cable is not None else None) if wire.in_cable else Cell(tr("none")),
        Cell(earthed(circuit, wire) or tr("none")),
        TICK,
        TICK,
    )


def earthed(circuit: Circuit, wire: Wire) -> str:
    """Say at which end the screen round a wire is earthed, nothing where it has none."""
    return next((tr(_EARTHED[one.earthed]) for one in circuit.screens if wire.number in one.wires), "")


_EARTHED = {
    "none": tr_later("not earthed"),
    "both": tr_later("both ends"),
    "drive": tr_later("at drive"),
    "controller": tr_later("at controller"),
}


def _between_rows(circuits: Sequence[Circuit], railed: bool) -> Iterator[Row]:
    """Yield what is no wire: first what the machine has in the end, then what only the bench has."""
    final, told, none = circuits[-1], set(between(circuits[-1])), Cell("")
    rail = (none,) if railed else ()
    bench = dict.fromkeys(one for circuit in circuits for one in between(circuit) if one not in told)
    for heading, found in (
        (tr("Links, bridges and what is fitted between"), between(final)),
        (tr("Bridges between bench parts; off in the final stage"), bench),
    ):
        for one in found:
            if heading:
                yield Band(heading)
                heading = ""
            place = (Cell(one.far, bold=True), *rail, Cell(one.near), Cell(one.what), none, none, none)
            yield (Cell(one.name, bold=True), none, *place, TICK, TICK)
