"""The laid-out schematic as one schemdraw drawing, flattened into display items.

Whoever imports this imports schemdraw, so it is imported where a sheet is drawn.  Decides nothing about where
things stand; what is written beside the symbols is in `doorsheet.page.schematic_texts`.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from doorsheet import symbols as s
from doorsheet.circuit.parts import BlockKind, Part, PartKind, Terminal, Wire
from doorsheet.circuit.reading_words import phrase
from doorsheet.layout.place import lies_between
from doorsheet.layout.plan import GRID_MM, PlacedTerminal, WireRoute, wire_rows
from doorsheet.page.boxes import line
from doorsheet.page.display import Area, Group, Item, Oval, Point, Role, Stroke
from doorsheet.page.frame_boxes import frames
from doorsheet.page.in_line import cells, cut, fed, plates_at, rail_items, through_rail, words
from doorsheet.page.left_parts import back_cell, back_mm, bars, left_symbols, loops, slot
from doorsheet.page.places import Places, terminal_group
from doorsheet.page.schematic_texts import burden_name, controller_row, edge_row, names, plate, strip_row
from doorsheet.trade.colours import display_name
from doorsheet.trade.language import tr, tr_later

__all__ = ["draw_schematic"]


def draw_schematic(at: Places) -> tuple[Item, ...]:
    """Return the items of the schematic, before it is enlarged and put at its place."""
    pieces: dict[str, list[Item]] = {}
    for piece in s.flatten(s.assemble(_symbols(at))):
        pieces.setdefault(piece.origin, []).append(_item(piece))
    for part, origin, shift, ends in _between(at):
        pieces[origin] += burden_name(at, part, shift, sum(ends) / 2)
    items: list[Item] = [*frames(at), *_ring_names(at)]
    others = (key for key in pieces if not key.startswith(("wire ", "terminal-", "on-way ")))
    items += [_other(origin, pieces[origin]) for origin in others]
    for placed in at.plan.left:
        items += names(at, placed)
    for route in at.plan.routes:
        items += _wire_groups(at, route, pieces)
    for wire, way in loops(at):  # its plate in the middle of its upright leg
        middle = (way[2][0], (way[1][1] + way[2][1]) / 2)
        items.append(_wire_group(at, wire, wire.far.full, middle, pieces))
    rows = wire_rows(at.plan.left)
    for wire in at.circuit.stubs:
        y = at.y(rows[wire.number])
        cell, middle = fed(at, wire, y), (at.x(at.plan.columns.label), y)
        items.append(_wire_group(at, wire, wire.far.full if cell else _on_rail(at, wire), middle, pieces))
        if cell is not None:
            origin = cell[0].origin
            items.append(_other(origin.rsplit(" ", 1)[0], (*pieces[origin], *cell[1]), origin))
    items += rail_items(at, rows)
    items += _terminal_groups(at, pieces)
    for bar in (*_neighbour_links(at), *bars(at)):
        items.append(_other(bar.origin, map(_item, s.flatten(s.assemble([bar])))))
    return tuple(items)


def _symbols(at: Places) -> Iterator[s.Symbol]:
    columns = at.plan.columns
    for placed in at.plan.left:
        yield from left_symbols(at, placed)
    yield from _inside_drive(at)
    yield from _screens(at)
    for route in at.plan.routes:
        yield from _wire(at, route)
    for wire, way in loops(at):
        yield _path(wire, tuple((x, -y) for x, y in way))
    for wire in at.circuit.stubs:
        y = at.y(wire_rows(at.plan.left)[wire.number])
        cell = fed(at, wire, y)
        whole = ((at.x(columns.near), -y), (at.x(columns.way if cell else columns.far), -y))
        yield from () if cell is None else (cell[0],)
        yield _path(wire, whole if cell else through_rail(at, whole)[0])
    for placed in (*at.plan.left, *at.plan.right):
        for terminal in placed.terminals:
            yield from _cell(at, terminal)
    placed_at = {terminal.terminal: terminal for placed in at.plan.left for terminal in placed.terminals}
    width = back_mm(at) - at.x(columns.left_frame)
    for back, row in at.ordered.spine.backs.items():
        yield back_cell(at, back, placed_at[row], width, terminal_group(back))


def _cell(at: Places, placed: PlacedTerminal) -> Iterator[s.Symbol]:
    columns, origin = at.plan.columns, terminal_group(placed.terminal)
    at_drive = placed.terminal.block is BlockKind.DRIVE
    col = columns.far if at_drive else columns.near
    width = (columns.right_cell - columns.far) if at_drive else (columns.near - columns.left_cell)
    if placed.terminal in at.ordered.spine.through:
        width = columns.near - columns.left_frame
        if placed.wires == (None,):
            yield back_cell(at, placed.terminal, placed, width * GRID_MM, origin)
            return
    above, below = placed.rows[0] - placed.top, placed.bottom - placed.rows[-1]
    span, margins = (placed.rows[-1] - placed.rows[0]) * GRID_MM, (above * GRID_MM, below * GRID_MM)
    cell = s.TerminalCell(width * GRID_MM, span, margins, "right" if at_drive else "left", origin=origin)
    yield cell.at((at.x(col), -at.y(placed.rows[0])))
    if placed.terminal in at.ordered.spine.through:
        yield slot(at, placed.terminal, origin)


def _wire(at: Places, route: WireRoute) -> Iterator[s.Symbol]:
    points = tuple((at.x(corner.col), -at.y(corner.row)) for corner in route.corners)
    wire = at.circuit.wire(route.wire)
    first, *others = through_rail(at, points)
    for conductor, piece in cut(at, wire, first):
        yield _path(conductor, piece)
    for piece in others:
        yield _path(wire, piece)
    yield from cells(at, wire, at.y(route.corners[0].row))


def _path(wire: Wire, points: Sequence[tuple[float, float]]) -> s.Symbol:
    return s.WirePath(points, *wire.colour.parts, origin=f"wire {wire.number}").at((0.0, 0.0))


def _rows(at: Places) -> dict[Terminal, float]:
    return {t.terminal: at.y(t.middle) for placed in at.plan.right for t in placed.terminals}


def _between(at: Places) -> Iterator[tuple[Part, str, float, tuple[float, float]]]:
    """Yield what lies between two terminals of a drive: part, origin, how far right of them, their rows."""
    rows = _rows(at)
    for part in filter(lies_between, at.circuit.parts):
        a, b = part.pins[0].terminal, part.pins[1].terminal
        if a != b:  # nothing lies between a terminal and itself; the checks stop it
            origin = " ".join(("part", *filter(None, (part.drive,)), part.name or part.control))
            first, last = sorted((rows[a], rows[b]))
            yield part, origin, at.plan.beyond_cells[(a, b)] * GRID_MM, (first, last)


def _inside_drive(at: Places) -> Iterator[s.Symbol]:
    back, rows = at.x(at.plan.columns.right_cell), _rows(at)
    for link in at.circuit.links:
        steps = at.plan.beyond_cells.get((link.a, link.b))
        if steps is None:
            continue
        top, bottom = sorted((rows[link.a], rows[link.b]))
        depth = (1 + steps) * GRID_MM
        bracket = s.LinkBracket(round(bottom - top, 3), depth, origin=f"link {link.a.full} {link.b.full}")
        yield bracket.at((back, -top))
    for part, origin, shift, ends in _between(at):
        span, at_first = round(ends[1] - ends[0], 3), (back + shift, -ends[0])
        if part.kind is PartKind.RESISTOR:
            yield s.Burden(span, origin=origin).at(at_first)
        else:
            yield s.DriveContact(span, part.normally, origin=origin).at(at_first)
        for row in ends if shift else ():
            yield s.Bus(((0.0, 0.0), (shift, 0.0)), origin=origin).at((back, -row))


def _neighbour_links(at: Places) -> Iterator[s.LinkBar]:
    """Yield links between neighbours: a solid bar from clamp to clamp, over the cells' edges."""
    ends = {t.terminal: t for placed in (*at.plan.left, *at.plan.right) for t in placed.terminals}
    for link in at.circuit.links:
        joined = (link.a, link.b) in at.plan.beyond_cells or at.ordered.joined(link.a, link.b)
        if joined or not at.ordered.neighbours(link.a, link.b):
            continue
        upper, lower = sorted((ends[link.a], ends[link.b]), key=lambda placed: placed.rows)
        span = (lower.rows[0] - upper.rows[-1]) * GRID_MM
        col = at.plan.columns.far if link.a.block is BlockKind.DRIVE else at.plan.columns.near
        bar = s.LinkBar(span, origin=f"link {link.a.full} {link.b.full}")
        yield bar.at((at.x(col), -at.y(upper.rows[-1])))


def _screens(at: Places) -> Iterator[s.Symbol]:
    sides = ((at.plan.columns.near_ring, at.plan.left), (at.plan.columns.far_ring, at.plan.right))
    for at_drive, (col, placed) in enumerate(sides):
        rows = wire_rows(placed)
        for screen, ends in at.ordered.ringed_ends(at_drive):
            if col is None:
                break
            own = [at.y(rows[end.number]) for end in ends if end.number is not None]
            top, bottom = min(own) - 2.5, max(own) + 2.5
            origin = f"screen {screen.control}"
            ring = s.ScreenRing(round(bottom - top, 3), origin=origin)
            yield ring.at((at.x(col), -(top + bottom) / 2))
            last = dict(at.ordered.ringed_ends(at_drive))[screen] == ends
            if last and screen.earthed in ("both", "drive" if at_drive else "controller"):
                yield s.Earth(origin=origin).at((at.x(col), -bottom))


def _ring_names(at: Places) -> Iterator[Item]:
    """Yield the cable's name at each of its rings, over the first wire, where other wires part them."""
    rows, ring = wire_rows(at.plan.right), at.plan.columns.far_ring
    for name, end in at.ordered.named_rings:
        if ring is not None and end.number is not None:
            x, y = at.x(ring) + _BESIDE_RING_MM, at.y(rows[end.number]) - _OVER_WIRE_MM
            yield Group(f"cable-{end.number}", (line(x, y, name, at.plan.size.job),), name)


_BESIDE_RING_MM: Final = 2.2
_OVER_WIRE_MM: Final = 1.2
"""Where a cable's name begins, right of a ring's middle, and over the wire that it stands at."""

_OTHERS: Final = {
    "part": tr_later("part {name}"),
    "screen": tr_later("screen {name}"),
    "link": tr_later("link {name}"),
    "bus": tr_later("bus"),
    "on-way": tr_later("on-way {name}"),
}
"""What groups that are no wire's and no terminal's are called, by the first word of their origin."""


def _other(origin: str, items: Iterable[Item], ident: str = "") -> Group:
    kind, _, name = origin.partition(" ")
    return Group((ident or origin).replace(" ", "-"), tuple(items), tr(_OTHERS[kind], name=name))


def _titled(wire: Wire, one: str, other: str) -> str:
    named = f"{wire.number} {display_name(wire.colour)}"
    return tr("wire {wire}: {one} to {other}, {job}", wire=named, one=one, other=other, job=wire.job)


def _wire_groups(at: Places, route: WireRoute, pieces: dict[str, list[Item]]) -> Iterator[Group]:
    """Yield a wire as a group, or each conductor of its way and each part there as one."""
    whole, row = at.circuit.wire(route.wire), at.y(route.corners[0].row)
    own = whole.conductors if at.circuit.in_line else (whole,)
    middles = [at.x(at.plan.columns.label), *(x for _, x in plates_at(at, whole))]
    for wire, x in zip(own, middles, strict=True):
        last = wire is own[-1]
        reading = at.circuit.reading_of(wire.number) if last else None
        text = phrase(reading) if reading is not None and reading.against != wire.far else ""
        title = _titled(wire, wire.far.full, f"{wire.near.full}{at.circuit.through(wire)}")
        items = (*pieces[f"wire {wire.number}"], *plate(at, wire, x, row))
        if last and not route.straight and at.plan.columns.far_label is not None:  # its number at both ends
            items += tuple(plate(at, wire, at.x(at.plan.columns.far_label), at.y(route.corners[-1].row)))
        described = f"{title}. " + tr("Meter: {readings}.", readings=text) if text else f"{title}."
        yield Group(f"wire-{wire.number}", items, f"{title}, {text}" if text else title, described)
    for origin, texts in words(at, whole, row):
        yield _other(origin.rsplit(" ", 1)[0], (*pieces[origin], *texts), origin)


def _wire_group(
    at: Places, wire: Wire, to: str, middle: tuple[float, float], pieces: dict[str, list[Item]]
) -> Group:
    """Return a wire that doesn't go to the drive, the middle of its plate where it is given."""
    title, own = _titled(wire, wire.near.full, to), plate(at, wire, *middle)
    return Group(f"wire-{wire.number}", (*pieces[f"wire {wire.number}"], *own), title, f"{title}.")


def _on_rail(at: Places, wire: Wire) -> str:
    rail = at.circuit.rail
    assert rail is not None
    onward = tr("bridged to {terminal}", terminal=rail.label(rail.onward(wire.number)))
    return f"{rail.label(wire.number)}, {onward}"


def _terminal_groups(at: Places, pieces: dict[str, list[Item]]) -> Iterator[Item]:
    written: list[tuple[Terminal, Iterator[Item]]] = []
    for placed in (*at.plan.left, *at.plan.right):
        for one in placed.terminals:
            row = strip_row if one.terminal.block is BlockKind.DRIVE else controller_row
            written.append((one.terminal, row(at, one)))
    written += [(back, edge_row(at, back)) for back in at.ordered.spine.backs]
    for terminal, texts in written:
        ident = terminal_group(terminal)
        yield Group(ident, (*pieces[ident], *texts), tr("terminal {label}", label=terminal.full))


def _item(piece: s.Piece) -> Item:
    role = Role(piece.role)
    points = tuple(Point(x, y) for x, y in piece.points)
    match piece.kind:
        case "stroke":
            return Stroke(points, role, piece.ink)
        case "area":
            return Area(points, role, piece.ink)
        case "oval":
            return Oval(points[0].x, points[0].y, piece.rx, piece.ry, role)
