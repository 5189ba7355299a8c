"""The leaves of a chapter: frame, heading, caution, title strip, and what flows between (booklet room).

A4 across, as the sheets are, with a wider margin at the left to file it.  What
a chapter says belongs in the chapters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from doorsheet.booklet.grid import Grid
from doorsheet.circuit.units import discharge_of
from doorsheet.job.cautions import shock
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import LINE_MM, Block, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.fit import MARGIN_MM
from doorsheet.trade.lettering import CAP_SMALL, CAP_TITLE, drawn, text_width, wrap
from doorsheet.trade.paper import A4

__all__ = ["FILING_MM", "WIDTH_MM", "Chapter", "Piece", "leaves"]

FILING_MM: Final = 20.0
"""Left margin, to file by: ISO 5457 keeps 20 mm there, border included (at second hand)."""

_INNER_MM: Final = 3.5
_GAP_MM: Final = 3.0
_PAD_MM: Final = 1.8
_CELL_MM: Final = 9.4

_PAPER: Final = A4.landscape()
_LEFT_MM: Final = FILING_MM + _INNER_MM
_TOP_MM: Final = MARGIN_MM + _INNER_MM
WIDTH_MM: Final = _PAPER.width_mm - FILING_MM - MARGIN_MM - 2 * _INNER_MM
"""Room for what a chapter says, from left to right."""

_STRIP: Final = (58.0, 38.0, 38.0, 25.0, 19.0, 27.0, 31.0, 24.0)
"""Widths of the title strip's cells, mm."""


Piece = str | Grid | Block
"""What flows down a leaf: a paragraph, a table, or a block that stays whole."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter on leaves of its own."""

    title: str
    pieces: tuple[Piece, ...]


def leaves(
    chapter: Chapter, read: ReadMapping, first: int, sheets: int, stopped: bool = False
) -> tuple[Page, ...]:
    """Lay a chapter out; its leaves are numbered from `first` of `sheets`, and say when something stops."""
    mapping = read.mapping
    strip_mm = _strip(read, sheets, sheets).height
    warning = _warning(mapping, stopped)
    bottom = _PAPER.height_mm - _TOP_MM
    room = bottom - strip_mm - _GAP_MM - warning.height - _GAP_MM
    pages = []
    for index, body in enumerate(_flowed(chapter, mapping, room)):
        strip = _strip(read, first + index, sheets)
        frame = rectangle(
            FILING_MM,
            MARGIN_MM,
            _PAPER.width_mm - FILING_MM - MARGIN_MM,
            _PAPER.height_mm - 2 * MARGIN_MM,
            Role.SHEET_FRAME,
        )
        foot = shifted(warning.items, _LEFT_MM, bottom - strip_mm - _GAP_MM - warning.height)
        items = (frame, *body, Group("caution", foot), *shifted(strip.items, _LEFT_MM, bottom - strip_mm))
        title = f"{mapping.machine}: {chapter.title}"
        pages.append(
            Page(
                width=_PAPER.width_mm,
                height=_PAPER.height_mm,
                items=items,
                title=title,
                description=f"{chapter.title}, sheet {first + index} of {sheets}",
                source_name=read.source.name,
                source_text=read.source.text,
            )
        )
    return tuple(pages)


def _warning(mapping: Mapping, stopped: bool) -> Block:
    """Return the caution at the foot of a leaf, under a stop where there is one."""
    words = paragraph(shock(discharge_of(mapping), bool(mapping.drives)), WIDTH_MM, bold=True)
    if not stopped:
        return words
    stop = paragraph("STOP: do not connect. See the findings.", WIDTH_MM, bold=True, role=Role.TEXT_ALERT)
    under = shifted(words.items, 0.0, LINE_MM)
    return Block((*stop.items, *under), WIDTH_MM, words.height + LINE_MM)


# ---- What flows ----


def _flowed(chapter: Chapter, mapping: Mapping, room: float) -> Iterator[tuple[Item, ...]]:
    """Yield what each leaf holds: blocks from the top down, a table's head repeated overleaf."""
    items: list[Item] = []
    heading = _heading(chapter.title, mapping)
    items += shifted(heading.items, _LEFT_MM, _TOP_MM)
    y = top = _TOP_MM + heading.height + _GAP_MM
    for block, gap, keep, head in _runs(chapter.pieces):
        if y > top and y + block.height + keep > room:
            yield tuple(items)
            heading = _heading(f"{chapter.title} (continued)", mapping)
            items = list(shifted(heading.items, _LEFT_MM, _TOP_MM))
            y = top = _TOP_MM + heading.height + _GAP_MM
            if head is not None:
                items += shifted(head.items, _LEFT_MM, y)
                y += head.height
        items += shifted(block.items, _LEFT_MM, y)
        y += block.height + gap
    yield tuple(items)


def _runs(pieces: Sequence[Piece]) -> Iterator[tuple[Block, float, float, Block | None]]:
    """Yield each block with the gap below it, the height that must stay with it, its table's head."""
    for piece in pieces:
        if isinstance(piece, Grid):
            head, rows = piece.head(), piece.blocks()
            yield head, 0.0, sum(row.height for row in rows[:2]), None
            for index, row in enumerate(rows):
                last = index == len(rows) - 1
                # a band is not left alone at the bottom
                keep = (
                    rows[index + 1].height if not last and not isinstance(piece.rows[index], tuple) else 0.0
                )
                yield row, _GAP_MM + 1.0 if last else 0.0, keep, head
        elif isinstance(piece, Block):
            yield piece, _GAP_MM, 0.0, None
        else:
            yield paragraph(piece, WIDTH_MM), LINE_MM - CAP_SMALL + 1.2, 0.0, None


def _heading(title: str, mapping: Mapping) -> Block:
    """Return the chapter's title, and the machine at the right."""
    lines = wrap(mapping.machine, 3.5, WIDTH_MM * 0.42, bold=True)
    room = WIDTH_MM - max(text_width(words, 3.5, bold=True) for words in lines) - 6.0
    left = paragraph(title, room, CAP_TITLE, bold=True)
    right = [
        line(WIDTH_MM, CAP_TITLE + row * 6.0, words, 3.5, bold=True, anchor="end")
        for row, words in enumerate(lines)
    ]
    height = max(left.height, CAP_TITLE + (len(lines) - 1) * 6.0) + 2.2
    under = rule(0.0, height, WIDTH_MM, height)
    return Block((Group("heading", (*left.items, *right, under)),), WIDTH_MM, height)


def _strip(read: ReadMapping, number: int, sheets: int) -> Block:
    """Return the title strip: the title block's fields (after ISO 7200) in one row."""
    sheet = read.mapping.sheet
    cells = (
        ("machine", read.mapping.machine),
        ("drawn by", sheet.drawn_by),
        ("approved by", sheet.approved_by),
        ("date", sheet.date.isoformat() if sheet.date else None),
        ("revision", sheet.revision),
        ("number", sheet.number),
        ("source", drawn(read.source.name)),
        ("sheet", f"{number} of {sheets}"),
    )
    scale = WIDTH_MM / sum(_STRIP)
    wrapped = [
        wrap(value, CAP_SMALL, width * scale - 2 * _PAD_MM) if value else ()
        for (_, value), width in zip(cells, _STRIP, strict=True)
    ]
    height = _CELL_MM + LINE_MM * (max(1, *(len(lines) for lines in wrapped)) - 1)
    items: list[Item] = [rectangle(0.0, 0.0, WIDTH_MM, height, Role.BOX)]
    x = 0.0
    for (label, _), lines, share in zip(cells, wrapped, _STRIP, strict=True):
        width = share * scale
        if x > 0:
            items.append(rule(x, 0.0, x, height))
        items.append(line(x + _PAD_MM, 3.7, label, role=Role.TEXT_SOFT))
        items += [line(x + _PAD_MM, 7.9 + row * LINE_MM, words) for row, words in enumerate(lines)]
        if not lines:
            items.append(rule(x + _PAD_MM, 8.3, x + width - _PAD_MM, 8.3, Role.BLANK))
        x += width
    return Block((Group("title-strip", tuple(items), "title strip"),), WIDTH_MM, height)
