"""What is written in a schematic: plates, signs, readings, labels, captions, functions (page room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.parts import BlockKind, Part, Sign, StripTerminal, Wire
from doorsheet.layout.clusters import GAP_STEPS
from doorsheet.layout.place import LABEL_INSET_MM
from doorsheet.layout.plan import GRID_MM, PlacedCluster, PlacedTerminal, WireRoute
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
from doorsheet.page.display import Item, Role
from doorsheet.page.left_parts import caption_row, source_centre
from doorsheet.page.places import LINE_MM, Places

__all__ = ["captions", "functions", "label", "left_out", "screen_texts", "wire_items"]

PLATE_HEIGHT_MM: Final = 4.6
READING_LIFT_MM: Final = 1.9
SIGN_INSET_MM: Final = 3.2
CELL_HALF_MM: Final = 3.0
NAME_LINE_MM: Final = 4.7  # under a name, which reaches lower
FUNCTION_LINE_MM: Final = 3.5  # two lines stand between neighbours at the tightest spacing


def wire_items(at: Places, wire: Wire, route: WireRoute, signs: tuple[Sign, Sign]) -> Iterator[Item]:
    """Yield number plates, polarity marks at both ends, and reading of one wire."""
    columns = at.plan.columns
    yield from _plate(at, wire, columns.label, route.corners[0].row)
    if not route.straight and columns.far_label is not None:
        yield from _plate(at, wire, columns.far_label, route.corners[-1].row)
    text = reading_text(wire, at.circuit.reading_of(wire.number))
    if text:
        baseline = at.y(route.corners[-1].row) - READING_LIFT_MM
        yield at.text(at.x(columns.far - SIGN_STEPS), baseline, text, CAP_SMALL_MM, "end")
    yield from _sign(at, at.x(columns.near) + SIGN_INSET_MM, route.corners[0].row, signs[0])
    yield from _sign(at, at.x(columns.far) - SIGN_INSET_MM, route.corners[-1].row, signs[1])


def _sign(at: Places, x: float, row: int, sign: Sign) -> Iterator[Item]:
    if sign is Sign.UNKNOWN:  # a box to write + or − into
        yield rectangle(x - 1.5, at.y(row) - 4.6, 3.0, 3.0, Role.BOX)
    elif sign is not Sign.NONE:
        yield at.text(x, at.y(row) - 1.5, sign.value, CAP_TERMINAL_MM, "middle", True)


def _plate(at: Places, wire: Wire, col: int, row: int) -> Iterator[Item]:
    content = plate_text(wire, at.circuit)
    width = at.measure(content, CAP_SMALL_MM, True) + 2.4
    x, y = at.x(col), at.y(row)
    yield rectangle(x - width / 2, y - PLATE_HEIGHT_MM / 2, width, PLATE_HEIGHT_MM, Role.WIRE_LABEL)
    yield at.text(x, y + CAP_SMALL_MM / 2, content, CAP_SMALL_MM, "middle", True)


def label(at: Places, placed: PlacedTerminal) -> Item:
    """Return the label of one terminal."""
    columns = at.plan.columns
    at_drive = placed.terminal.block is BlockKind.DRIVE
    x = at.x(columns.far) + LABEL_INSET_MM if at_drive else at.x(columns.near) - LABEL_INSET_MM
    y = at.y(placed.middle) + CAP_TERMINAL_MM / 2
    return at.text(x, y, placed.terminal.label, CAP_TERMINAL_MM, "start" if at_drive else "end", True)


def captions(at: Places, placed: PlacedCluster) -> Iterator[Item]:
    """Yield what stands beside and in the symbols of a cluster."""
    x = at.x(at.plan.columns.left_caption)
    for part in placed.parts:
        lines = caption_lines(part, len(placed.parts) > 1)
        pitches = [NAME_LINE_MM if name else LINE_MM for _, name in lines[:-1]]
        middle = at.y(caption_row(part, placed)) - sum(pitches) / 2
        for (line, name), pitch in zip(lines, (*pitches, 0.0)[: len(lines)], strict=True):
            cap = CAP_NAME_MM if name else CAP_SMALL_MM
            yield at.text(x, middle + cap / 2, line, cap, bold=name)
            middle += pitch
        yield from _source_text(at, part, placed)


def _source_text(at: Places, part: Part, placed: PlacedCluster) -> Iterator[Item]:
    row = source_centre(part, placed)
    if row is None:
        return
    x = at.x(at.plan.columns.left_cell) - 12.5
    for index, word in enumerate(part.rating.split(" ", 1)):
        yield at.text(x, at.y(row) - 0.5 + index * 3.6, word, CAP_SMALL_MM, "middle")


def left_out(at: Places, placed: PlacedTerminal, entry: StripTerminal) -> Iterator[Item]:
    """Yield the words about terminals of the strip as fitted that stand above this one unshown."""
    beyond = at.plan.left_out.get(placed.terminal)
    if beyond is not None:
        words, columns, y = left_out_words(entry), at.plan.columns, at.y(placed.rows[0])
        x = at.x(columns.function) if beyond else at.x(columns.far) + LABEL_INSET_MM
        # in the middle of the room that layout kept above the cell
        yield at.text(x, y - CELL_HALF_MM - GAP_STEPS * GRID_MM / 2, words, CAP_SMALL_MM, role=Role.TEXT_SOFT)


def functions(at: Places, placed: PlacedTerminal, entry: StripTerminal) -> Iterator[Item]:
    """Yield what a terminal of the strip is for."""
    lines = function_lines(entry, at.circuit)
    first = at.y(placed.middle) - (len(lines) - 1) * FUNCTION_LINE_MM / 2 + CAP_SMALL_MM / 2
    for index, line in enumerate(lines):
        yield at.text(at.x(at.plan.columns.function), first + index * FUNCTION_LINE_MM, line, CAP_SMALL_MM)


def screen_texts(at: Places) -> Iterator[Item]:
    """Yield the words that say where a screen is earthed; a screen without a ring has a footnote."""
    x = at.x(at.plan.columns.far - SIGN_STEPS)
    for screen in at.circuit.screens:
        span = at.screened_rows(screen.wires, True)
        if screen.ringed and not screen.footnoted and span is not None:
            yield at.text(x, at.y(span[1]) + 5.4, screen_text(screen), CAP_SMALL_MM, "end")
