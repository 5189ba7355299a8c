"""Parts in a wire's way: contacts of a chain, a series resistor, a converter.

Each is a cell between two clamps, as on a rail; the conductors before, between and behind have their own
numbers and colours.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, Final, NamedTuple

from doorsheet.circuit.parts import OnWay, PartKind, Wire
from doorsheet.layout.plate_words import PLATE_PAD_MM, WAY_GAP_MM, WayCell, plate_text, way_cell, way_mm
from doorsheet.page.boxes import line
from doorsheet.page.display import Item
from doorsheet.page.places import Places, Way
from doorsheet.trade.lettering import text_width

if TYPE_CHECKING:
    from doorsheet.symbols import Symbol
    from doorsheet.symbols.terminals import InLineKind

__all__ = ["cells", "cut", "plates_at", "way_end", "words"]


class _Placed(NamedTuple):
    on: OnWay
    cell: WayCell
    x: float  # of its left edge, mm
    plate: float  # middle of the plate behind it


def _placed(at: Places, wire: Wire) -> Iterator[_Placed]:
    if not at.circuit.in_line:
        return
    x, cap = at.x(at.plan.columns.way), at.plan.size.text
    for on, (_, behind) in zip(wire.way, pairwise(wire.conductors), strict=True):
        cell = way_cell(on, cap)
        wide = text_width(plate_text(behind, at.circuit, at.plan.size), cap, True) + PLATE_PAD_MM
        plate = x + cell.width + WAY_GAP_MM
        yield _Placed(on, cell, x, plate + wide / 2)
        x = plate + wide + WAY_GAP_MM


def way_end(at: Places, wire: Wire) -> float:
    """Return where what is drawn in a wire's way ends, mm; where it would begin if there is nothing."""
    return at.x(at.plan.columns.way) + way_mm(wire, at.circuit, at.plan.size)


def plates_at(at: Places, wire: Wire) -> Iterator[tuple[Wire, float]]:
    """Yield the conductors behind the first, each with the middle of its plate, mm."""
    yield from zip(wire.conductors[1:], (placed.plate for placed in _placed(at, wire)), strict=False)


def cut(at: Places, wire: Wire, points: Way) -> Iterator[tuple[Wire, Way]]:
    """Yield each conductor of a wire with its piece of the way `points`, mm, y up.

    Where its plate names what is on the way, the first conductor's colour leads up to the plate, and the
    last one's from there on: at either end the colour that lands there.
    """
    row = points[0][1]
    if wire.way and not at.circuit.in_line:
        under = (at.x(at.plan.columns.label), row)
        yield wire._replace(colour=wire.way[0].wire.colour), (points[0], under)
        yield wire, (under, *points[1:])
        return
    conductors = iter(wire.conductors)
    for _, cell, x, _ in _placed(at, wire):
        yield next(conductors), (points[0], (x, row))
        points = ((x + cell.width, row), *points[1:])
    yield next(conductors), points


def cells(at: Places, wire: Wire, row_mm: float) -> "Iterator[Symbol]":
    """Yield the parts' cells; `row_mm` is the wire's row."""
    from doorsheet.symbols import InLine

    for on, cell, x, _ in _placed(at, wire):
        kind = _KINDS.get(on.part.kind, on.part.normally)
        yield InLine(cell.width, cell.symbol, kind, origin=_origin(on)).at((x, -row_mm))


def words(at: Places, wire: Wire, row_mm: float) -> Iterator[tuple[str, tuple[Item, ...]]]:
    """Yield what is written in each, after the `origin` of its symbol."""
    cap = at.plan.size.text
    for on, cell, x, _ in _placed(at, wire):
        items = (line(x + left, row_mm + cap / 2, said, cap, bold=bold) for left, said, bold in cell.words)
        yield _origin(on), tuple(items)


def _origin(on: OnWay) -> str:
    return f"on-way {on.part.name} {on.wire.number}"


_KINDS: "Final[dict[PartKind, InLineKind]]" = {PartKind.RESISTOR: "resistor", PartKind.CONVERTER: "converter"}
