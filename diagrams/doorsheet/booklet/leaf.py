"""The leaves of a booklet: frame, caution, title strip, and what flows between.

A4 upright with a wider margin at the left to file it.  Chapters flow on: the next begins below the one
before.  What a chapter says belongs in the chapters.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from doorsheet.booklet.grid import Cut, Grid, cut_columns
from doorsheet.circuit.units import discharge_of
from doorsheet.job.cautions import shock
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import LINE_MM, Block, Stack, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.fit import MARGIN_MM
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL, drawn
from doorsheet.trade.paper import A4

__all__ = [
    "COLUMN_MM", "FILING_MM", "INNER_MM", "LEFT_MM", "WIDTH_MM", "Chapter", "InColumns", "Leaf", "Piece",
    "Rest", "bound", "flow", "framed",
]  # fmt: skip

FILING_MM: Final = 20.0
"""Left margin, to file by: ISO 5457 keeps 20 mm there, border included (at second hand)."""

INNER_MM: Final = 3.0
_GAP_MM: Final = 2.4
_HEAD_CAP: Final = 3.5
_WORTH_MM: Final = 25.0
_LEAST_ROWS: Final = 2

_PAPER: Final = A4.portrait()
LEFT_MM: Final = FILING_MM + INNER_MM
_TOP_MM: Final = MARGIN_MM + INNER_MM
WIDTH_MM: Final = _PAPER.width_mm - FILING_MM - MARGIN_MM - 2 * INNER_MM
"""Room for what a chapter says, from left to right."""
_APART_MM: Final = 4.0
COLUMN_MM: Final = (WIDTH_MM - _APART_MM) / 2
"""The width of one of two columns."""


@dataclass(frozen=True, slots=True)
class InColumns:
    """A narrow table that fills two columns."""

    grid: Grid


@dataclass(frozen=True, slots=True)
class Rest:
    """A frame round what is left of a leaf, where that is worth framing."""


Piece = str | Grid | InColumns | Block | Rest
"""What flows down a leaf: a paragraph, a table, one in two columns, or a block that stays whole."""


class Chapter(NamedTuple):
    """A chapter; `headed` unless its first piece says already what it is."""

    title: str
    pieces: tuple[Piece, ...]
    headed: bool = True


class Leaf(NamedTuple):
    """What stands on one leaf: its items, the chapters that begin there, all that stand there."""

    items: tuple[Item, ...] = ()
    begun: tuple[str, ...] = ()
    titles: tuple[str, ...] = ()


def bound(leaf: Leaf, read: ReadMapping, number: int, sheets: int, stopped: bool) -> Page:
    """Put what stands on a leaf into its frame, over caution and title strip."""
    foot, strip = _warning(read.mapping, stopped), _strip(read, number, sheets)
    bottom = _PAPER.height_mm - _TOP_MM - strip.height
    warned = Group("caution", shifted(foot.items, LEFT_MM, bottom - _GAP_MM - foot.height))
    items = (*leaf.items, warned, *shifted(strip.items, LEFT_MM, bottom))
    titles = ", ".join(leaf.titles)
    said = tr("{titles}, sheet {number} of {sheets}", titles=titles, number=number, sheets=sheets)
    return framed(items, read, titles, said)


def framed(items: Sequence[Item], read: ReadMapping, title: str, said: str) -> Page:
    """Return an upright leaf with a frame round what is on it, and a margin to file it."""
    width, height = _PAPER.width_mm - FILING_MM - MARGIN_MM, _PAPER.height_mm - 2 * MARGIN_MM
    frame = rectangle(FILING_MM, MARGIN_MM, width, height, Role.SHEET_FRAME)
    named, source = f"{read.mapping.machine}: {title}", read.source
    return Page(
        _PAPER.width_mm, _PAPER.height_mm, (frame, *items), named, said, source.name, source.text
    )  # fmt: skip


def flow(chapters: Sequence[Chapter], read: ReadMapping, stopped: bool) -> tuple[Leaf, ...]:
    """Let chapters flow down one leaf after the other; a table's head and a chapter's title are repeated."""
    foot = _strip(read, 999, 999).height + _warning(read.mapping, stopped).height + 2 * _GAP_MM
    down = _Down(_TOP_MM, _PAPER.height_mm - _TOP_MM - foot)
    for chapter in chapters:
        down.begin(chapter)
        for piece in chapter.pieces:
            down.put(piece)
        down.settle()
    return (*down.done, down.leaf) if down.leaf.items else tuple(down.done)


class _Down:
    """Goes down a leaf, and over to the next; headings and words wait for the table that they belong to."""

    def __init__(self, top: float, bottom: float) -> None:
        self._top, self._bottom, self._y = top, bottom, top
        self._waiting: list[Block] = []
        self.done: list[Leaf] = []
        self.leaf = Leaf()
        self._title, self._begins = "", False

    def begin(self, chapter: Chapter) -> None:
        self._title, self._begins = chapter.title, True
        self._waiting = [_heading(chapter.title)] if chapter.headed else []

    def put(self, piece: Piece) -> None:
        if isinstance(piece, str):
            self._waiting.append(paragraph(piece, WIDTH_MM))
            return
        rest: Piece | None = piece
        while rest is not None:
            whole = rest
            block, rest = _cut(whole, self._bottom - self._y - self._wanted())
            cut = isinstance(whole, Grid) and isinstance(rest, Grid) and len(whole.rows) - len(rest.rows)
            if self._y > self._top and cut is not False and cut < _LEAST_ROWS:
                block, rest = None, whole  # so few rows at a leaf's foot had better begin overleaf
            if block is not None:
                self._place(block)
            elif self._y == self._top:
                raise AssertionError(f"{self._title}: a row is higher than a leaf")
            if rest is not None:
                self._turn()

    def settle(self) -> None:
        """Put down the words that no table follows."""
        if self._waiting:
            if self._y + self._wanted() > self._bottom:
                self._turn()
            self._place()
        self._y += _GAP_MM / 2

    def _wanted(self) -> float:
        return sum(block.height + _GAP_MM for block in self._waiting)

    def _place(self, *blocks: Block | Stack) -> None:
        items = list(self.leaf.items)
        for block in (*self._waiting, *blocks):
            items += shifted(block.items, LEFT_MM, self._y)
            self._y += block.height + _GAP_MM
        self._waiting = []
        _, begun, titles = self.leaf
        if self._begins:
            begun, self._begins = (*begun, self._title), False
        if self._title not in titles:
            titles = (*titles, self._title)
        self.leaf = Leaf(tuple(items), begun, titles)

    def _turn(self) -> None:
        """Begin the next leaf; a chapter that goes on says so."""
        self.done.append(self.leaf)
        self.leaf, self._y = Leaf(), self._top
        if not self._begins:
            self._waiting.insert(0, _heading(tr("{chapter} (continued)", chapter=self._title)))


def _cut(piece: Piece, room: float) -> Cut[Piece]:
    """Return what of a piece has room, and the rest of it."""
    match piece:
        case Grid():
            return piece.cut(room)
        case InColumns(grid):
            block, rest = cut_columns(grid, room, _APART_MM)
            return block, InColumns(rest) if rest is not None else None
        case Rest() if room < 0.0:
            return None, piece  # not even the words over it have room
        case Rest():
            worth = room >= _WORTH_MM
            frame = rectangle(0.0, 0.0, WIDTH_MM, room, Role.BOX)
            return Block((frame,), WIDTH_MM, room) if worth else Block((), WIDTH_MM, 0.0), None
        case Block():
            return (piece, None) if piece.height <= room else (None, piece)
        case _:
            raise TypeError(piece)


def _heading(title: str) -> Block:
    words = paragraph(title, WIDTH_MM, _HEAD_CAP, bold=True)
    height = words.height + 1.6
    items = (*words.items, rule(0.0, height, WIDTH_MM, height))
    return Block((Group("heading", items),), WIDTH_MM, height - 1.0)


def _warning(mapping: Mapping, stopped: bool) -> Block:
    """Return the caution at the foot of a leaf, under a stop where there is one."""
    words = paragraph(shock(discharge_of(mapping), bool(mapping.drives)), WIDTH_MM, bold=True)
    if not stopped:
        return words
    stop = paragraph(tr("STOP: do not connect. See the findings."), WIDTH_MM, bold=True, role=Role.TEXT_ALERT)
    under = shifted(words.items, 0.0, LINE_MM)
    return Block((*stop.items, *under), WIDTH_MM, words.height + LINE_MM)


def _strip(read: ReadMapping, number: int, sheets: int) -> Block:
    """Return what the leaf belongs to, and its number; blanks to sign stand in the sheets' title blocks."""
    sheet = read.mapping.sheet
    dated = [tr("number {number}", number=sheet.number)] if sheet.number else []
    dated += [tr("revision {revision}", revision=sheet.revision)] if sheet.revision else []
    dated += [tr("date {date}", date=sheet.date)] if sheet.date else []
    words = (read.mapping.machine, *dated, drawn(read.source.name))
    place = tr("{number} of {sheets}", number=number, sheets=sheets)
    counted = line(WIDTH_MM, CAP_SMALL, place, bold=True, anchor="end")
    told = paragraph(" · ".join(word for word in words if word), WIDTH_MM - counted.width - 4.0)
    return Block((Group("title-strip", (*told.items, counted), tr("title strip")),), WIDTH_MM, told.height)
