"""The laid-out schematic as one schemdraw drawing, flattened into display items (page room).

With `doorsheet.symbols` the only importer of schemdraw.  Turns grid steps into
millimetres, once; decides nothing about where things stand.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from doorsheet.circuit.parts import Circuit, Part, PartKind, Sign, StripTerminal, Terminal, Wire, is_drive
from doorsheet.layout.clusters import GAP_STEPS
from doorsheet.layout.place import LABEL_INSET_MM, has_ring, inner_pitch
from doorsheet.layout.plan import GRID_MM, MeasureText, PlacedCluster, PlacedTerminal, Plan, WireRoute
from doorsheet.layout.words import (
    CAP_NAME_MM,
    CAP_SMALL_MM,
    CAP_TERMINAL_MM,
    SIGN_STEPS,
    caption_lines,
    function_lines,
    left_out_words,
    plate_text,
    reading_text,
    screen_text,
)
from doorsheet.page.boxes import rectangle
from doorsheet.page.display import Anchor, Area, Group, Item, Oval, Point, Role, Stroke, Text
from doorsheet.page.left_parts import caption_row, left_symbols, source_centre
from doorsheet.page.rail import rail_items, through_rail

if TYPE_CHECKING:
    from doorsheet.symbols import Piece, Symbol

__all__ = ["Margins", "draw_schematic", "frame_margins"]

PLATE_HEIGHT_MM: Final = 4.6
READING_LIFT_MM: Final = 1.9
SIGN_INSET_MM: Final = 3.2
CELL_HALF_MM: Final = 3.0
LINE_MM: Final = 4.2
NAME_LINE_MM: Final = 4.7  # under a name, which reaches lower
FUNCTION_LINE_MM: Final = 3.5  # two lines stand between neighbours at the tightest spacing
TITLE_LINE_MM: Final = 5.0


@dataclass(frozen=True, slots=True)
class Margins:
    """Room a frame needs above its first and below its last row, steps; how high its title's letters are."""

    top: int
    bottom: int
    title_cap_mm: float = CAP_NAME_MM


def frame_margins(
    titles: Iterable[tuple[str, ...]], selectors: int, screened: bool, title_cap_mm: float = CAP_NAME_MM
) -> Margins:
    """Return the margins that hold the longest title, the drive's selectors, an earth below the last row."""
    lines = max((len(title) for title in titles), default=1)
    around = 6.5 if title_cap_mm >= CAP_NAME_MM else 5.8
    top = math.ceil((_title_line(title_cap_mm) * (lines - 1) + around + title_cap_mm) / GRID_MM - 1e-9)
    bottom = 3 if screened else 2  # the earth of a screen hangs below its wires
    if selectors:
        bottom = max(bottom, math.ceil((5.0 + selectors * LINE_MM) / GRID_MM))
    return Margins(top, bottom, title_cap_mm)


def _title_line(cap_mm: float) -> float:
    return TITLE_LINE_MM if cap_mm >= CAP_NAME_MM else LINE_MM


class _Schematic:
    """Collects symbols and items for one plan at one place on the page."""

    def __init__(
        self,
        circuit: Circuit,
        plan: Plan,
        left: float,
        top: float,
        measure: MeasureText,
    ) -> None:
        self.circuit = circuit
        self.plan = plan
        self.left = left
        self.top = top
        self.measure = measure

    def x(self, col: float) -> float:
        return self.left + col * GRID_MM

    def y(self, row: float) -> float:
        return self.top + row * GRID_MM

    @property
    def rail_x(self) -> float:
        return self.x(self.plan.columns.rail or 0)

    def text(
        self,
        x: float,
        y: float,
        content: str,
        cap: float,
        anchor: Anchor = "start",
        bold: bool = False,
        role: Role = Role.TEXT,
    ) -> Text:
        return Text(x, y, content, cap, self.measure(content, cap, bold), anchor, bold, role)

    # --- symbols, as schemdraw elements ----------------------------------

    def symbols(self) -> Iterator[Symbol]:
        columns = self.plan.columns
        for placed in self.plan.left:
            yield from left_symbols(placed, self.x(columns.left_cell), self.top)
        yield from self._inside_drive()
        yield from self._screens()
        for route in self.plan.routes:
            yield from self._wire(route)
        for placed in (*self.plan.left, *self.plan.right):
            for terminal in placed.terminals:
                yield self._cell(terminal)

    def _cell(self, placed: PlacedTerminal) -> Symbol:
        from doorsheet.symbols import TerminalCell

        columns = self.plan.columns
        at_drive = is_drive(placed.terminal.block)
        col = columns.far if at_drive else columns.near
        width = (columns.right_cell - columns.far) if at_drive else (columns.near - columns.left_cell)
        holes = tuple((placed.rows[0] - row) * GRID_MM for row in placed.rows)
        cell = TerminalCell(
            width * GRID_MM,
            holes,
            "right" if at_drive else "left",
            origin=f"terminal {_key(placed.terminal)}",
        )
        return cell.at((self.x(col), -self.y(placed.rows[0])))

    def _wire(self, route: WireRoute) -> Iterator[Symbol]:
        from doorsheet.symbols import WirePath

        points = tuple((self.x(corner.col), -self.y(corner.row)) for corner in route.corners)
        parts = self.circuit.wire(route.wire).colour.parts
        tracer = parts[1] if len(parts) > 1 else ""
        for piece in through_rail(points, self.circuit.rail, self.rail_x, self.measure):
            yield WirePath(piece, parts[0], tracer, origin=f"wire {route.wire}").at((0.0, 0.0))

    def _inside_drive(self) -> Iterator[Symbol]:
        from doorsheet.symbols import Bus, DriveContact, LinkBracket

        columns = self.plan.columns
        back = self.x(columns.right_cell)
        rows = {
            terminal.terminal: self.y(terminal.middle)
            for placed in self.plan.right
            for terminal in placed.terminals
        }
        pitch = inner_pitch(self.circuit)
        for link in self.circuit.links:
            track = self.plan.inner_tracks.get((link.a, link.b))
            if track is None:
                continue
            top, bottom = sorted((rows[link.a], rows[link.b]))
            depth = (1 + track * pitch) * GRID_MM
            yield LinkBracket(round(bottom - top, 3), depth, origin=f"link {link.a.full} {link.b.full}").at(
                (back, -top)
            )
        for part in self.circuit.parts:
            if part.kind is not PartKind.DRIVE_CONTACT:
                continue
            a, b = part.pins[0].terminal, part.pins[1].terminal
            top, bottom = sorted((rows[a], rows[b]))
            shift = self.plan.inner_tracks[(a, b)] * pitch * GRID_MM
            origin = f"part {part.control}"
            yield DriveContact(round(bottom - top, 3), part.normally, origin=origin).at((back + shift, -top))
            if shift:
                for row in (top, bottom):
                    yield Bus(((0.0, 0.0), (shift, 0.0)), origin=origin).at((back, -row))

    def _screens(self) -> Iterator[Symbol]:
        from doorsheet.symbols import Earth, ScreenRing

        for screen in self.circuit.screens:
            for col, at_drive in ((self.plan.columns.near_ring, False), (self.plan.columns.far_ring, True)):
                span = self.screened_rows(screen.wires, at_drive)
                if col is None or span is None or not has_ring(screen, at_drive):
                    continue
                top, bottom = self.y(span[0]) - 2.5, self.y(span[1]) + 2.5
                origin = f"screen {screen.control}"
                ring = ScreenRing(round(bottom - top, 3), origin=origin)
                yield ring.at((self.x(col), -(top + bottom) / 2))
                if screen.earthed in ("both", "drive" if at_drive else "controller"):
                    yield Earth(origin=origin).at((self.x(col), -bottom))

    def screened_rows(self, wires: tuple[str, ...], at_drive: bool) -> tuple[int, int] | None:
        """Return first and last row of screened wires on one side; None when others stand between."""
        end = -1 if at_drive else 0
        rows = [route.corners[end].row for route in self.plan.routes if route.wire in wires]
        others = [route.corners[end].row for route in self.plan.routes if route.wire not in wires]
        if not rows or any(min(rows) < row < max(rows) for row in others):
            return None
        return min(rows), max(rows)

    def signs(self, wire: Wire) -> tuple[Sign, Sign]:
        """Return the polarity marks at a wire's near and far end."""
        pins = (pin for part in self.circuit.parts if not is_drive(part.block) for pin in part.pins)
        near = next((pin.sign for pin in pins if pin.terminal == wire.near), Sign.NONE)
        far = next((entry.sign for entry in self.circuit.strip if entry.terminal == wire.far), Sign.NONE)
        return near, far

    # --- texts -----------------------------------------------------------

    def wire_items(self, wire: Wire, route: WireRoute, signs: tuple[Sign, Sign]) -> Iterator[Item]:
        """Yield number plates, polarity marks at both ends, and reading of one wire."""
        columns = self.plan.columns
        yield from self._plate(wire, columns.label, route.corners[0].row)
        if not route.straight and columns.far_label is not None:
            yield from self._plate(wire, columns.far_label, route.corners[-1].row)
        text = reading_text(wire, self.circuit.reading_of(wire.number))
        if text:
            baseline = self.y(route.corners[-1].row) - READING_LIFT_MM
            yield self.text(self.x(columns.far - SIGN_STEPS), baseline, text, CAP_SMALL_MM, "end")
        yield from self._sign(self.x(columns.near) + SIGN_INSET_MM, route.corners[0].row, signs[0])
        yield from self._sign(self.x(columns.far) - SIGN_INSET_MM, route.corners[-1].row, signs[1])

    def _sign(self, x: float, row: int, sign: Sign) -> Iterator[Item]:
        if sign is Sign.UNKNOWN:  # a box to write + or − into
            yield rectangle(x - 1.5, self.y(row) - 4.6, 3.0, 3.0, Role.BOX)
        elif sign is not Sign.NONE:
            yield self.text(x, self.y(row) - 1.5, sign.value, CAP_TERMINAL_MM, "middle", True)

    def _plate(self, wire: Wire, col: int, row: int) -> Iterator[Item]:
        content = plate_text(wire, self.circuit)
        width = self.measure(content, CAP_SMALL_MM, True) + 2.4
        x, y = self.x(col), self.y(row)
        yield rectangle(x - width / 2, y - PLATE_HEIGHT_MM / 2, width, PLATE_HEIGHT_MM, Role.WIRE_LABEL)
        yield self.text(x, y + CAP_SMALL_MM / 2, content, CAP_SMALL_MM, "middle", True)

    def label(self, placed: PlacedTerminal) -> Item:
        """Return the label of one terminal."""
        columns = self.plan.columns
        at_drive = is_drive(placed.terminal.block)
        x = self.x(columns.far) + LABEL_INSET_MM if at_drive else self.x(columns.near) - LABEL_INSET_MM
        y = self.y(placed.middle) + CAP_TERMINAL_MM / 2
        return self.text(x, y, placed.terminal.label, CAP_TERMINAL_MM, "start" if at_drive else "end", True)

    def captions(self, placed: PlacedCluster) -> Iterator[Item]:
        """Yield what stands beside and in the symbols of a cluster."""
        x = self.x(self.plan.columns.left_caption)
        for part in placed.parts:
            lines = caption_lines(part, len(placed.parts) > 1)
            pitches = [NAME_LINE_MM if name else LINE_MM for _, name in lines[:-1]]
            middle = self.y(caption_row(part, placed)) - sum(pitches) / 2
            for (line, name), pitch in zip(lines, (*pitches, 0.0)[: len(lines)], strict=True):
                cap = CAP_NAME_MM if name else CAP_SMALL_MM
                yield self.text(x, middle + cap / 2, line, cap, bold=name)
                middle += pitch
            yield from self._source_text(part, placed)

    def _source_text(self, part: Part, placed: PlacedCluster) -> Iterator[Item]:
        row = source_centre(part, placed)
        if row is None:
            return
        x = self.x(self.plan.columns.left_cell) - 12.5
        for index, word in enumerate(part.rating.split(" ", 1)):
            yield self.text(x, self.y(row) - 0.5 + index * 3.6, word, CAP_SMALL_MM, "middle")

    def left_out(self, placed: PlacedTerminal, entry: StripTerminal) -> Iterator[Item]:
        """Yield the words about terminals of the strip as fitted that stand above this one unshown."""
        beyond = self.plan.left_out.get(placed.terminal)
        if beyond is not None:
            words, columns, y = left_out_words(entry), self.plan.columns, self.y(placed.rows[0])
            x = self.x(columns.function) if beyond else self.x(columns.far) + LABEL_INSET_MM
            # in the middle of the room that layout kept above the cell
            yield self.text(
                x, y - CELL_HALF_MM - GAP_STEPS * GRID_MM / 2, words, CAP_SMALL_MM, role=Role.TEXT_SOFT
            )

    def functions(self, placed: PlacedTerminal, entry: StripTerminal) -> Iterator[Item]:
        """Yield what a terminal of the strip is for."""
        lines = function_lines(entry, self.circuit)
        first = self.y(placed.middle) - (len(lines) - 1) * FUNCTION_LINE_MM / 2 + CAP_SMALL_MM / 2
        for index, line in enumerate(lines):
            yield self.text(
                self.x(self.plan.columns.function), first + index * FUNCTION_LINE_MM, line, CAP_SMALL_MM
            )

    def screen_texts(self) -> Iterator[Item]:
        """Yield the words that say where a screen is earthed; a screen without a ring has a footnote."""
        x = self.x(self.plan.columns.far - SIGN_STEPS)
        for screen in self.circuit.screens:
            span = self.screened_rows(screen.wires, True)
            if screen.ringed and not screen.footnoted and span is not None:
                yield self.text(x, self.y(span[1]) + 5.4, screen_text(screen), CAP_SMALL_MM, "end")

    def frames(
        self, margins: Margins, titles: dict[str, tuple[str, ...]], selectors: tuple[str, ...]
    ) -> Iterator[Item]:
        """Yield the frames of controller, bench parts and drive with their titles."""
        columns = self.plan.columns
        lowest = max(frame.bottom for frame in self.plan.frames)
        sides = [
            [frame for frame in self.plan.frames if is_drive(frame.block) is right] for right in (False, True)
        ]
        for frame in self.plan.frames:
            at_drive = is_drive(frame.block)
            first, last = sides[at_drive][0] is frame, sides[at_drive][-1] is frame
            x0 = self.x(columns.far if at_drive else columns.left_frame)
            x1 = self.x(columns.right_frame if at_drive else columns.near)
            top = self.y((0 if first else frame.top) - margins.top)
            bottom = self.y(lowest + margins.bottom) if last else self.y(frame.bottom + 3)
            yield rectangle(x0, top, x1 - x0, bottom - top, Role.DEVICE)
            yield from self._title(titles[frame.block], x0, x1, top, at_drive, margins.title_cap_mm)
            if at_drive:
                for index, line in enumerate(reversed(selectors)):
                    yield self.text(x0 + 3, bottom - 1.8 - index * LINE_MM, line, CAP_SMALL_MM)

    def _title(
        self, lines: tuple[str, ...], x0: float, x1: float, top: float, at_drive: bool, cap: float
    ) -> Iterator[Item]:
        inset = 2.1 if cap >= CAP_NAME_MM else 1.6
        for index, line in enumerate(lines):
            x, anchor = (x1 - 2.5, "end") if at_drive else (x0 + 2.5, "start")
            side: Anchor = "end" if anchor == "end" else "start"
            y = top + inset + cap + index * _title_line(cap)
            yield self.text(x, y, line, cap, side, True)


def _key(terminal: Terminal) -> str:
    return f"{terminal.block} {terminal.label}"


def draw_schematic(
    circuit: Circuit,
    plan: Plan,
    left: float,
    top: float,
    measure: MeasureText,
    margins: Margins,
    titles: dict[str, tuple[str, ...]],
    selectors: tuple[str, ...],
) -> tuple[Item, ...]:
    """Return the items of the schematic; `top` is the y of row 0, `left` the x of column 0, mm."""
    from doorsheet.symbols import assemble, flatten

    sheet = _Schematic(circuit, plan, left, top, measure)
    pieces: dict[str, list[Item]] = {}
    for piece in flatten(assemble(sheet.symbols())):
        pieces.setdefault(piece.origin, []).append(_item(piece))
    items: list[Item] = list(sheet.frames(margins, titles, selectors))
    items += _other_groups(pieces)
    for placed in plan.left:
        items += sheet.captions(placed)
    for route in plan.routes:
        items.append(_wire_group(sheet, route, pieces))
    items += rail_items(circuit.rail, plan.routes, sheet.rail_x, sheet.y, measure)
    items += _terminal_groups(sheet, pieces)
    items += sheet.screen_texts()
    return tuple(items)


def _other_groups(pieces: dict[str, list[Item]]) -> Iterator[Item]:
    for origin, own in pieces.items():
        kind = origin.split(" ", 1)[0]
        if kind not in ("wire", "terminal"):
            yield Group(origin.replace(" ", "-"), tuple(own), origin)


def _wire_group(sheet: _Schematic, route: WireRoute, pieces: dict[str, list[Item]]) -> Group:
    from doorsheet.trade.colours import display_name

    wire = sheet.circuit.wire(route.wire)
    reading = sheet.circuit.reading_of(wire.number)
    text = reading_text(wire, reading)
    title = f"wire {wire.number} {display_name(wire.colour)}: {wire.far.full} to {wire.near.full}, {wire.job}"
    items = (*pieces[f"wire {route.wire}"], *sheet.wire_items(wire, route, sheet.signs(wire)))
    described = f"{title}. Meter: {text}." if text else f"{title}."
    return Group(f"wire-{wire.number}", items, f"{title}, {text}" if text else title, described)


def _terminal_groups(sheet: _Schematic, pieces: dict[str, list[Item]]) -> Iterator[Item]:
    entries = {entry.terminal: entry for entry in sheet.circuit.strip}
    for placed in (*sheet.plan.left, *sheet.plan.right):
        for terminal in placed.terminals:
            entry = entries.get(terminal.terminal)
            own = [*pieces[f"terminal {_key(terminal.terminal)}"], sheet.label(terminal)]
            if entry is not None:
                own += sheet.functions(terminal, entry)
                own += sheet.left_out(terminal, entry)
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
