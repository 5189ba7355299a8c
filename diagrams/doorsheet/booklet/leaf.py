"""The leaves of a booklet: frame, caution, title strip, and what flows between (booklet room).

A4 upright with a wider margin at the left to file it.  Chapters flow on: the next begins below the one
before.  What a chapter says belongs in the chapters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from doorsheet.booklet.grid import Cut, Grid, cut_columns
from doorsheet.circuit.units import discharge_of
from doorsheet.job.cautions import shock
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import LINE_MM, Block, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.fit import MARGIN_MM
from doorsheet.trade.lettering import CAP_SMALL, drawn, wrap
from doorsheet.trade.paper import A4

__all__ = [
    "COLUMN_MM", "FILING_MM", "WIDTH_MM", "Chapter", "InColumns", "Leaf", "Piece", "bound", "flow",
]  # fmt: skip

FILING_MM: Final = 20.0
"""Left margin, to file by: ISO 5457 keeps 20 mm there, border included (at second hand)."""

_INNER_MM: Final = 3.0
_GAP_MM: Final = 3.0
_PAD_MM: Final = 1.8
_CELL_MM: Final = 9.4
_HEAD_CAP: Final = 3.5

_PAPER: Final = A4.portrait()
_LEFT_MM: Final = FILING_MM + _INNER_MM
_TOP_MM: Final = MARGIN_MM + _INNER_MM
WIDTH_MM: Final = _PAPER.width_mm - FILING_MM - MARGIN_MM - 2 * _INNER_MM
"""Room for what a chapter says, from left to right."""
_APART_MM: Final = 4.0
COLUMN_MM: Final = (WIDTH_MM - _APART_MM) / 2
"""The width of one of two columns."""

_STRIP: Final = (48.0, 27.0, 21.0, 18.0, 34.0, 26.0)
"""Widths of the title strip's cells, mm."""


@dataclass(frozen=True, slots=True)
class InColumns:
    """A narrow table that fills two columns."""

    grid: Grid


Piece = str | Grid | InColumns | Block
"""What flows down a leaf: a paragraph, a table, one in two columns, or a block that stays whole."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter, and how deep its title stands in the table of contents."""

    title: str
    pieces: tuple[Piece, ...]
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Leaf:
    """What stands on one leaf: its items, the chapters that begin there, all that stand there."""

    items: tuple[Item, ...]
    begun: tuple[str, ...]
    titles: tuple[str, ...]


def bound(leaf: Leaf, read: ReadMapping, number: int, sheets: int, stopped: bool) -> Page:
    """Put what stands on a leaf into its frame, over caution and title strip."""
    foot, strip = _warning(read.mapping, stopped), _strip(read, number, sheets)
    bottom = _PAPER.height_mm - _TOP_MM - strip.height
    width, height = _PAPER.width_mm - FILING_MM - MARGIN_MM, _PAPER.height_mm - 2 * MARGIN_MM
    frame = rectangle(FILING_MM, MARGIN_MM, width, height, Role.SHEET_FRAME)
    warned = Group("caution", shifted(foot.items, _LEFT_MM, bottom - _GAP_MM - foot.height))
    return Page(
        width=_PAPER.width_mm,
        height=_PAPER.height_mm,
        items=(frame, *leaf.items, warned, *shifted(strip.items, _LEFT_MM, bottom)),
        title=f"{read.mapping.machine}: {', '.join(leaf.titles)}",
        description=f"{', '.join(leaf.titles)}, sheet {number} of {sheets}",
        source_name=read.source.name,
        source_text=read.source.text,
    )


def flow(chapters: Sequence[Chapter], read: ReadMapping, stopped: bool) -> tuple[Leaf, ...]:
    """Let chapters flow down one leaf after the other; a table's head and a chapter's title are repeated."""
    foot = _strip(read, 999, 999).height + _warning(read.mapping, stopped).height + 2 * _GAP_MM
    down = _Down(_TOP_MM, _PAPER.height_mm - _TOP_MM - foot)
    for chapter in chapters:
        down.begin(chapter.title)
        for piece in chapter.pieces:
            down.put(piece)
        down.settle()
    return tuple(down.leaves())


class _Down:
    """Goes down a leaf, and over to the next; headings and words wait for the table that they belong to."""

    def __init__(self, top: float, bottom: float) -> None:
        self._top, self._bottom, self._y = top, bottom, top
        self._waiting: list[Block] = []
        self._done: list[Leaf] = []
        self._leaf = Leaf((), (), ())
        self._title, self._begins = "", False

    def begin(self, title: str) -> None:
        """Let the title of a chapter wait for its first piece."""
        self._title, self._begins = title, True
        self._waiting = [_heading(title)]

    def put(self, piece: Piece) -> None:
        """Put a piece down, on as many leaves as it takes."""
        if isinstance(piece, str):
            self._waiting.append(paragraph(piece, WIDTH_MM))
            return
        rest: Piece | None = piece
        while rest is not None:
            block, rest = _cut(rest, self._bottom - self._y - self._wanted())
            if block is None and self._y == self._top:
                raise AssertionError(f"{self._title}: a row is higher than a leaf")
            if block is None or rest is not None:
                self._place(block)
                self._turn()
            else:
                self._place(block)

    def settle(self) -> None:
        """Put down the words that no table follows."""
        if self._waiting:
            if self._y + self._wanted() > self._bottom:
                self._turn()
            self._place(Block((), WIDTH_MM, 0.0))

    def leaves(self) -> Iterator[Leaf]:
        """Yield the leaves as they are now."""
        yield from self._done
        if self._leaf.items:
            yield self._leaf

    def _wanted(self) -> float:
        return sum(block.height + _GAP_MM for block in self._waiting)

    def _place(self, block: Block | None) -> None:
        """Place what waits, and a block under it; nothing where the block has no room."""
        if block is None:
            return
        items = list(self._leaf.items)
        for each in (*self._waiting, block):
            items += shifted(each.items, _LEFT_MM, self._y)
            self._y += each.height + _GAP_MM
        self._waiting = []
        begun, titles = self._leaf.begun, self._leaf.titles
        if self._begins:
            begun, self._begins = (*begun, self._title), False
        if self._title not in titles:
            titles = (*titles, self._title)
        self._leaf = Leaf(tuple(items), begun, titles)

    def _turn(self) -> None:
        """Begin the next leaf; a chapter that goes on says so."""
        self._done.append(self._leaf)
        self._leaf, self._y = Leaf((), (), ()), self._top
        if not self._begins:
            self._waiting = [_heading(f"{self._title} (continued)"), *self._waiting]


def _cut(piece: Piece, room: float) -> Cut[Piece]:
    """Return what of a piece has room, and the rest of it."""
    match piece:
        case Grid():
            return piece.cut(room)
        case InColumns(grid):
            block, rest = cut_columns(grid, room, _APART_MM)
            return block, InColumns(rest) if rest is not None else None
        case Block():
            return (piece, None) if piece.height <= room else (None, piece)
        case _:
            raise TypeError(piece)


def _heading(title: str) -> Block:
    """Return a chapter's title over a line."""
    words = paragraph(title, WIDTH_MM, _HEAD_CAP, bold=True)
    height = words.height + 1.6
    items = (*words.items, rule(0.0, height, WIDTH_MM, height))
    return Block((Group("heading", items),), WIDTH_MM, height - 1.0)


def _warning(mapping: Mapping, stopped: bool) -> Block:
    """Return the caution at the foot of a leaf, under a stop where there is one."""
    words = paragraph(shock(discharge_of(mapping), bool(mapping.drives)), WIDTH_MM, bold=True)
    if not stopped:
        return words
    stop = paragraph("STOP: do not connect. See the findings.", WIDTH_MM, bold=True, role=Role.TEXT_ALERT)
    under = shifted(words.items, 0.0, LINE_MM)
    return Block((*stop.items, *under), WIDTH_MM, words.height + LINE_MM)


def _strip(read: ReadMapping, number: int, sheets: int) -> Block:
    """Return the title strip in one row; who drew and approved stands in the sheets' title blocks."""
    sheet = read.mapping.sheet
    cells = (
        ("machine", read.mapping.machine),
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
