"""What is written in a schematic: plates, labels, signs, jobs, readings, names."""

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.parts import Part, Sign, Terminal, Wire
from doorsheet.layout.plan import GRID_MM, PlacedCluster, PlacedTerminal
from doorsheet.layout.plate_words import PLATE_PAD_MM, name_lines, plate_text
from doorsheet.layout.strip import (
    HANGING,
    JOB_PITCH,
    LABEL_INSET_MM,
    Heads,
    Line,
    Plain,
    over_label,
    words_mm,
)
from doorsheet.page.boxes import line, rectangle, rule
from doorsheet.page.display import Item, Role
from doorsheet.page.findings import disc
from doorsheet.page.left_parts import SOURCE_CAP_MM, SOURCE_RISE_MM, name_row, source_centre, source_lines
from doorsheet.page.places import Places
from doorsheet.trade.lettering import text_width

__all__ = ["burden_name", "controller_row", "edge_row", "names", "plate", "strip_row"]

_PLATE_MM: Final = 4.6
"""Height of a plate."""
_BURDEN_MM: Final = 5.0
"""Where a burden's name begins: `Burden.COLUMN`, half the box, and air."""


def plate(at: Places, wire: Wire, x: float, y: float) -> Iterator[Item]:
    """Yield one plate with its middle at (x, y)."""
    cap = at.plan.size.text
    content = plate_text(wire, at.circuit, at.plan.size)
    width = text_width(content, cap, True) + PLATE_PAD_MM
    # as high as lets two wires of one terminal have theirs above each other
    high = _PLATE_MM if cap == 2.5 else 2 * GRID_MM - 0.02
    yield rectangle(x - width / 2, y - high / 2, width, high, Role.WIRE_LABEL)
    yield line(x, y + cap / 2 - (0.0 if cap == 2.5 else 0.3), content, cap, True, anchor="middle")


def _sign(at: Places, x: float, y: float, sign: Sign) -> Iterator[Item]:
    """Yield a polarity mark, its left edge at `x`: filled plus, open minus, an empty square to write into."""
    size = at.plan.size
    if sign is Sign.NONE:
        return
    filled = sign is Sign.PLUS
    yield rectangle(x, y - size.sign / 2, size.sign, size.sign, Role.SIGN_FILLED if filled else Role.CELL)
    if sign is not Sign.UNKNOWN:
        role = Role.TEXT_INVERSE if filled else Role.TEXT
        # both signs stand on the font's middle line, not on the capitals'
        cap = size.label
        yield line(x + size.sign / 2, y + 0.45 * cap, sign.value, cap, True, role, anchor="middle")


def controller_row(at: Places, placed: PlacedTerminal) -> Iterator[Item]:
    """Yield label and sign of one terminal left of the channel."""
    size = at.plan.size
    if placed.wires == (None,) and placed.terminal in at.ordered.spine.through:
        yield from edge_row(at, placed.terminal)
        return
    x, y, cap = at.x(at.plan.columns.near), at.y(placed.middle), size.label
    sign = at.sign(placed.terminal)
    yield from _sign(at, x - LABEL_INSET_MM - size.sign + 0.4, y, sign)
    inset = LABEL_INSET_MM + (size.sign + 0.8 if sign is not Sign.NONE else 0.0)
    yield line(x - inset, y + cap / 2, placed.terminal.label, cap, True, anchor="end")


def edge_row(at: Places, terminal: Terminal) -> Iterator[Item]:
    """Yield the same of one at the outer edge."""
    size, y = at.plan.size, at.y(at.edge_row(terminal))
    x, sign = at.x(at.plan.columns.left_frame), at.sign(terminal)
    yield from _sign(at, x + LABEL_INSET_MM - 0.4, y, sign)
    inset = LABEL_INSET_MM + (size.sign + 1.1 if sign is not Sign.NONE else 0.0)
    yield line(x + inset, y + size.label / 2, terminal.label, size.label, bold=True)


def strip_row(at: Places, placed: PlacedTerminal) -> Iterator[Item]:
    """Yield what one terminal of a drive says: label, sign, job, figures, marks, lines above and below."""
    row, columns, size = at.strip.rows[placed.terminal], at.strip.columns, at.plan.size
    x = at.x(at.plan.columns.far)
    pitch = size.job * JOB_PITCH
    # in the middle of its cell, but no further from the wire than eyes follow
    middle, centre = placed.middle, (placed.top + placed.bottom) / 2
    y = at.y(middle + min(max(centre - middle, -0.5), 0.5))
    first = y - (len(row.jobs) - 1) * pitch / 2 + size.job / 2
    if len(row.jobs) > 1:  # as much room over the first line as under what hangs from the last
        first -= HANGING * size.job / 2
    if size.under and row.jobs:
        y += (size.label + over_label(row.label, size) - words_mm(len(row.jobs), row.gap, size)) / 2
        first = y + size.label / 2 + row.gap + size.job
    yield from _sign(at, x + LABEL_INSET_MM - 0.4, at.y(placed.middle), row.sign)
    label_at = columns.label if row.sign is not Sign.NONE else LABEL_INSET_MM
    yield line(x + label_at, y + size.label / 2, row.label, size.label, bold=True)
    for index, words in enumerate(row.jobs):
        job_at = columns.job if not size.under or row.sign is not Sign.NONE else label_at
        yield line(x + job_at, first + index * pitch, words, size.job)
    yield from _figures(at, placed, y)
    right = at.x(at.plan.columns.right_cell)
    for index, mark in enumerate(row.marks):
        yield from disc(right - 3.4 - 5.4 * (len(row.marks) - 1 - index), y, mark, 2.5 * size.small)
    high = size.line * GRID_MM
    for index, told in enumerate(row.above):
        yield from _line(at, x, at.y(placed.top) - (len(row.above) - index) * high, told)
    for index, told in enumerate(row.below):
        yield from _line(at, x, at.y(placed.bottom) + index * high, told)


def _figures(at: Places, placed: PlacedTerminal, y: float) -> Iterator[Item]:
    """Yield the figures of one row; what is to be written has a box."""
    cells, columns, size = at.strip.rows[placed.terminal].cells, at.strip.columns, at.plan.size
    if cells is None:
        return
    x = at.x(at.plan.columns.far)
    for edge, room, figure in zip(columns.figures, columns.figure_rooms, cells.figures, strict=True):
        if figure:
            said = figure if cells.heads[0] else f"{figure} {cells.unit}"
            yield line(x + edge - 0.8, y + size.text / 2, said, size.text, True, anchor="end")
        elif figure is not None:
            half = min(3.1, (placed.bottom - placed.top) * GRID_MM / 2 - 0.7)
            middle = min(max(y, at.y(placed.top) + half + 0.5), at.y(placed.bottom) - half - 0.5)
            left = x + edge - room + 0.8
            yield rectangle(left, middle - half, room - 1.6, 2 * half, Role.CELL)
            if not cells.heads[0]:
                yield line(x + edge - 1.4, middle + half - 0.8, cells.unit, size.job, anchor="end")


def _line(at: Places, x: float, top: float, told: Line) -> Iterator[Item]:
    """Yield a line between rows."""
    columns, size = at.strip.columns, at.plan.size
    right = at.x(at.plan.columns.right_cell)
    high = size.line * GRID_MM
    baseline = top + min((high + size.job) / 2, high - 0.33 * size.job - 0.3)  # letters hang below it
    if isinstance(told, Heads):
        yield rule(x, top + high, right, top + high)
        yield line(x + LABEL_INSET_MM, baseline, told.words, size.job, role=Role.TEXT_SOFT)
        for edge, head in zip(columns.figures, told.heads, strict=True):
            yield line(x + edge - 0.8, baseline, head, size.job, role=Role.TEXT_SOFT, anchor="end")
    elif isinstance(told, Plain):
        yield line(x + LABEL_INSET_MM, baseline, told.words, size.job)
    else:
        yield rectangle(x, top, right - x, high, Role.UNUSED)
        yield line(x + LABEL_INSET_MM, baseline, told, size.job, role=Role.TEXT_SOFT)


def names(at: Places, placed: PlacedCluster) -> Iterator[Item]:
    """Yield the names beside the symbols of a cluster, and what stands in its sources."""
    x, size = at.x(at.plan.columns.left_name), at.plan.size
    for part in placed.cluster.parts:
        behind = any(pin.terminal in at.ordered.spine.backs for pin in part.pins)
        lines = () if behind else name_lines(part)  # its terminals' labels say the name
        high = sum((size.label if name else size.job) * 1.45 for _, name in lines)
        y = at.y(name_row(part, placed, at.ordered.spine)) - high / 2
        for words, name in lines:
            cap = size.label if name else size.job
            yield line(x, y + cap, words, cap, bold=name)
            y += cap * 1.45
        yield from _source_text(at, part, placed)


def burden_name(at: Places, part: Part, shift: float, middle: float) -> Iterator[Item]:
    """Yield the name beside a burden, so far right of its terminals; a contact of the drive has none."""
    if part.name:
        x, cap = at.x(at.plan.columns.right_cell) + shift + _BURDEN_MM, at.plan.size.text
        yield line(x, middle + cap / 2, part.name, cap, bold=True)


def _source_text(at: Places, part: Part, placed: PlacedCluster) -> Iterator[Item]:
    row = source_centre(part, placed, at.ordered.spine)
    if row is None:
        return
    x, size = at.x(at.plan.columns.left_cell) - 12.5, SOURCE_CAP_MM * at.plan.size.small
    for index, word in enumerate(source_lines(part)):
        yield line(x, at.y(row) - SOURCE_RISE_MM + index * 1.3 * size, word, size, anchor="middle")
