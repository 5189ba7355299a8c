"""The laid-out schematic as one schemdraw drawing, flattened into display items (page room).

With `doorsheet.symbols` the only importer of schemdraw.  Decides nothing about where things stand; what is
written beside the symbols is in `doorsheet.page.schematic_texts`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from doorsheet.circuit.parts import BlockKey, BlockKind, Circuit, PartKind, Terminal, of_drive
from doorsheet.layout.place import has_ring, inner_pitch
from doorsheet.layout.plan import GRID_MM, MeasureText, PlacedTerminal, Plan, WireRoute
from doorsheet.layout.words import reading_text
from doorsheet.page.display import Area, Group, Item, Oval, Point, Role, Stroke
from doorsheet.page.frames import Margins, frames
from doorsheet.page.left_parts import left_symbols
from doorsheet.page.places import Places
from doorsheet.page.rail import rail_items, through_rail
from doorsheet.page.schematic_texts import captions, functions, label, left_out, screen_texts, wire_items

if TYPE_CHECKING:
    from doorsheet.symbols import Piece, Symbol

__all__ = ["draw_schematic"]


def _symbols(at: Places) -> Iterator[Symbol]:
    columns = at.plan.columns
    for placed in at.plan.left:
        yield from left_symbols(placed, at.x(columns.left_cell), at.top)
    yield from _inside_drive(at)
    yield from _screens(at)
    for route in at.plan.routes:
        yield from _wire(at, route)
    for placed in (*at.plan.left, *at.plan.right):
        for terminal in placed.terminals:
            yield _cell(at, terminal)


def _cell(at: Places, placed: PlacedTerminal) -> Symbol:
    from doorsheet.symbols import TerminalCell

    columns = at.plan.columns
    at_drive = placed.terminal.block is BlockKind.DRIVE
    col = columns.far if at_drive else columns.near
    width = (columns.right_cell - columns.far) if at_drive else (columns.near - columns.left_cell)
    holes = tuple((placed.rows[0] - row) * GRID_MM for row in placed.rows)
    cell = TerminalCell(
        width * GRID_MM,
        holes,
        "right" if at_drive else "left",
        origin=f"terminal {_key(placed.terminal)}",
    )
    return cell.at((at.x(col), -at.y(placed.rows[0])))


def _wire(at: Places, route: WireRoute) -> Iterator[Symbol]:
    from doorsheet.symbols import WirePath

    points = tuple((at.x(corner.col), -at.y(corner.row)) for corner in route.corners)
    parts = at.circuit.wire(route.wire).colour.parts
    tracer = parts[1] if len(parts) > 1 else ""
    for piece in through_rail(points, at.circuit.rail, at.rail_x, at.measure):
        yield WirePath(piece, parts[0], tracer, origin=f"wire {route.wire}").at((0.0, 0.0))


def _inside_drive(at: Places) -> Iterator[Symbol]:
    from doorsheet.symbols import Bus, DriveContact, LinkBracket

    columns = at.plan.columns
    back = at.x(columns.right_cell)
    rows = {
        terminal.terminal: at.y(terminal.middle) for placed in at.plan.right for terminal in placed.terminals
    }
    pitch = inner_pitch(at.circuit)
    for link in at.circuit.links:
        track = at.plan.inner_tracks.get((link.a, link.b))
        if track is None:
            continue
        top, bottom = sorted((rows[link.a], rows[link.b]))
        depth = (1 + track * pitch) * GRID_MM
        yield LinkBracket(round(bottom - top, 3), depth, origin=f"link {link.a.full} {link.b.full}").at(
            (back, -top)
        )
    for part in at.circuit.parts:
        if part.kind is not PartKind.DRIVE_CONTACT:
            continue
        a, b = part.pins[0].terminal, part.pins[1].terminal
        top, bottom = sorted((rows[a], rows[b]))
        shift = at.plan.inner_tracks[(a, b)] * pitch * GRID_MM
        origin = f"part {of_drive(part.drive, part.control)}"
        yield DriveContact(round(bottom - top, 3), part.normally, origin=origin).at((back + shift, -top))
        if shift:
            for row in (top, bottom):
                yield Bus(((0.0, 0.0), (shift, 0.0)), origin=origin).at((back, -row))


def _screens(at: Places) -> Iterator[Symbol]:
    from doorsheet.symbols import Earth, ScreenRing

    for screen in at.circuit.screens:
        for col, at_drive in ((at.plan.columns.near_ring, False), (at.plan.columns.far_ring, True)):
            span = at.screened_rows(screen.wires, at_drive)
            if col is None or span is None or not has_ring(screen, at_drive):
                continue
            top, bottom = at.y(span[0]) - 2.5, at.y(span[1]) + 2.5
            origin = f"screen {of_drive(screen.drive, screen.control)}"
            ring = ScreenRing(round(bottom - top, 3), origin=origin)
            yield ring.at((at.x(col), -(top + bottom) / 2))
            if screen.earthed in ("both", "drive" if at_drive else "controller"):
                yield Earth(origin=origin).at((at.x(col), -bottom))


def _key(terminal: Terminal) -> str:
    return f"{terminal.block} {terminal.full}"


def draw_schematic(
    circuit: Circuit,
    plan: Plan,
    left: float,
    top: float,
    measure: MeasureText,
    margins: Margins,
    titles: dict[BlockKey, tuple[str, ...]],
    selectors: tuple[str, ...],
) -> tuple[Item, ...]:
    """Return the items of the schematic; `top` is the y of row 0, `left` the x of column 0, mm."""
    from doorsheet.symbols import assemble, flatten

    at = Places(circuit, plan, left, top, measure)
    pieces: dict[str, list[Item]] = {}
    for piece in flatten(assemble(_symbols(at))):
        pieces.setdefault(piece.origin, []).append(_item(piece))
    items: list[Item] = list(frames(at, margins, titles, selectors))
    items += _other_groups(pieces)
    for placed in plan.left:
        items += captions(at, placed)
    for route in plan.routes:
        items.append(_wire_group(at, route, pieces))
    items += rail_items(circuit.rail, plan.routes, at.rail_x, at.y, measure)
    items += _terminal_groups(at, pieces)
    items += screen_texts(at)
    return tuple(items)


def _other_groups(pieces: dict[str, list[Item]]) -> Iterator[Item]:
    for origin, own in pieces.items():
        kind = origin.split(" ", 1)[0]
        if kind not in ("wire", "terminal"):
            yield Group(origin.replace(" ", "-"), tuple(own), origin)


def _wire_group(at: Places, route: WireRoute, pieces: dict[str, list[Item]]) -> Group:
    from doorsheet.trade.colours import display_name

    wire = at.circuit.wire(route.wire)
    reading = at.circuit.reading_of(wire.number)
    text = reading_text(wire, reading)
    ends = f"{wire.far.full} to {wire.near.full}{at.circuit.through(wire.number)}"
    title = f"wire {wire.number} {display_name(wire.colour)}: {ends}, {wire.job}"
    items = (*pieces[f"wire {route.wire}"], *wire_items(at, wire, route, at.signs(wire)))
    described = f"{title}. Meter: {text}." if text else f"{title}."
    return Group(f"wire-{wire.number}", items, f"{title}, {text}" if text else title, described)


def _terminal_groups(at: Places, pieces: dict[str, list[Item]]) -> Iterator[Item]:
    entries = {entry.terminal: entry for entry in at.circuit.strip}
    for placed in (*at.plan.left, *at.plan.right):
        for terminal in placed.terminals:
            entry = entries.get(terminal.terminal)
            own = [*pieces[f"terminal {_key(terminal.terminal)}"], label(at, terminal)]
            if entry is not None:
                own += functions(at, terminal, entry)
                own += left_out(at, terminal, entry)
            yield Group(
                f"terminal-{_key(terminal.terminal)}", tuple(own), f"terminal {terminal.terminal.full}"
            )


def _item(piece: Piece) -> Item:
    role = Role(piece.role)
    points = tuple(Point(x, y) for x, y in piece.points)
    match piece.kind:
        case "stroke":
            return Stroke(points, role, piece.ink)
        case "area":
            return Area(points, role, piece.ink)
        case "oval":
            return Oval(points[0].x, points[0].y, piece.rx, piece.ry, role)
