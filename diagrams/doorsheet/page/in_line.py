"""What stands in a wire's way: contacts of a chain, a series resistor, a converter; the terminal rail.

Each is a cell between two clamps: a wire ends in the left one and begins again right of the other.  Behind a
part, not behind the rail, it has another number and colour.  Ways and rows are layout's.
"""

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Final, NamedTuple

from doorsheet import symbols as s
from doorsheet.circuit.parts import OnWay, PartKind, Rail, Wire
from doorsheet.layout.plate_words import (
    PLATE_PAD_MM,
    RAIL_BRIDGE_MM,
    WAY_GAP_MM,
    WayCell,
    feed_cell,
    plate_text,
    rail_cell_mm,
    way_cell,
)
from doorsheet.page.boxes import line, rectangle
from doorsheet.page.display import Group, Item, Oval, Point, Role, Stroke
from doorsheet.page.places import Places, Way
from doorsheet.symbols.terminals import InLineKind
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import text_width

__all__ = ["cells", "cut", "fed", "plates_at", "rail_items", "through_rail", "words"]

_KINDS: Final[dict[PartKind, InLineKind]] = {PartKind.RESISTOR: "resistor", PartKind.CONVERTER: "converter"}

_HALF_MM: Final = 2.4  # of a cell's height
_CLAMP_MM: Final = 1.1
_AIR_MM: Final = 1.4
_BRIDGE_MM: Final = 2.7  # from a cell's right edge to the middle of bridges
_DOT_MM: Final = 1.1
_NAME_MM: Final = 1.7  # from a cell up to the name's baseline
_TICK_MM: Final = 2.0


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


def cells(at: Places, wire: Wire, row_mm: float) -> Iterator[s.Symbol]:
    """Yield the parts' cells; `row_mm` is the wire's row."""
    for on, cell, x, _ in _placed(at, wire):
        kind = "stop" if on.part.is_stop else _KINDS.get(on.part.kind, on.part.normally)
        yield s.InLine(cell.width, cell.symbol, kind, origin=_origin(on)).at((x, -row_mm))


def words(at: Places, wire: Wire, row_mm: float) -> Iterator[tuple[str, tuple[Item, ...]]]:
    """Yield what is written in each, after the `origin` of its symbol."""
    cap = at.plan.size.text
    for on, cell, x, _ in _placed(at, wire):
        items = (line(x + left, row_mm + cap / 2, said, cap, bold=bold) for left, said, bold in cell.words)
        yield _origin(on), tuple(items)


def fed(at: Places, stub: Wire, row_mm: float) -> tuple[s.Symbol, tuple[Item, ...]] | None:
    """Return the cell where a wire ends that feeds a part on a way, and what is written in it."""
    x, cap = at.x(at.plan.columns.way), at.plan.size.text
    cell = feed_cell(stub, at.circuit, cap)
    if cell is None:
        return None
    symbol = s.InLine(cell.width, cell.symbol, "end", origin=f"on-way {stub.far.label} {stub.number}")
    words = (line(x + left, row_mm + cap / 2, said, cap, bold=bold) for left, said, bold in cell.words)
    return symbol.at((x, -row_mm)), tuple(words)


def _origin(on: OnWay) -> str:
    return f"on-way {on.part.name} {on.wire.number}"


# --- the rail ------------------------------------------------------------


def rail_items(at: Places, ends: Mapping[str, int]) -> Iterator[Item]:
    """Yield the rail's cells, its name and its frame; `ends` are the rows of wires left of it."""
    rail, x, cap = at.circuit.rail, at.rail_x, at.plan.size.text
    there = dict(rail.terminals) if rail is not None else {}
    rows = [(row, wire) for wire, row in ends.items() if wire in there]
    if rail is None or not rows:
        return
    half = rail_cell_mm(rail, cap) / 2
    left = RAIL_BRIDGE_MM / 2 if rail.bridges else 0.0
    frame = tuple(_frame(at, rail, at.y(min(rows)[0]), at.y(max(rows)[0]), half))
    yield Group("rail", frame, tr("rail {rail}", rail=rail.name))
    for row, wire in sorted(rows):
        number, middle = str(rail.number(wire)), at.y(row)
        cell = (
            rectangle(x - half, middle - _HALF_MM, 2 * half, 2 * _HALF_MM, Role.CELL),
            Oval(x - half, middle, _CLAMP_MM, _CLAMP_MM, Role.HOLE),
            Oval(x + half, middle, _CLAMP_MM, _CLAMP_MM, Role.HOLE),
            line(x - left, middle + cap / 2, number, cap, True, anchor="middle"),
        )
        yield Group(f"rail-{number}", cell, tr("terminal {label}", label=rail.label(wire)))
    yield from _bridges(rail, {wire: at.y(row) for row, wire in rows}, x + half - _BRIDGE_MM)


def _bridges(rail: Rail, at: Mapping[str, float], x: float) -> Iterator[Item]:
    """Yield each bridge: a bar over the cells right of their numbers, a dot on each that it joins."""
    for group in rail.bridges:
        own = [at[wire] for wire in group if wire in at]
        if own:  # one alone is bridged to another sheet's
            bar = [rectangle(x - 0.5, min(own), 1.0, max(own) - min(own), Role.LINK_BAR)] * (len(own) > 1)
            dots = (Oval(x, row, _DOT_MM, _DOT_MM, Role.DISC) for row in own)
            names = " ".join(rail.label(wire) for wire in group if wire in at)
            yield Group(
                f"bridge-{rail.number(group[0])}", (*bar, *dots), tr("bridge {terminals}", terminals=names)
            )


def through_rail(at: Places, points: Way) -> tuple[Way, ...]:
    """Return the pieces of a wire's way, mm: it ends in the clamp left of its cell and begins right of it."""
    rail, x = at.circuit.rail, at.rail_x
    if rail is None:
        return (points,)
    half, row = rail_cell_mm(rail, at.plan.size.text) / 2, points[0][1]
    return (points[0], (x - half, row)), ((x + half, row), *points[1:])


def _frame(at: Places, rail: Rail, first: float, last: float, half: float) -> Iterator[Item]:
    """Yield name and frame, which is open at its sides, where the wires go through."""
    x, cap = at.rail_x, at.plan.size.text
    baseline = first - _HALF_MM - _NAME_MM
    yield line(x, baseline, rail.name, cap, True, anchor="middle")
    reach = max(half + _CLAMP_MM, text_width(rail.name, cap, True) / 2) + 1.0
    for edge, inward in ((baseline - cap - _AIR_MM, 1), (last + _HALF_MM + _AIR_MM, -1)):
        tick = edge + inward * _TICK_MM
        corners = ((x - reach, tick), (x - reach, edge), (x + reach, edge), (x + reach, tick))
        yield Stroke(tuple(Point(*corner) for corner in corners), Role.RULE)
