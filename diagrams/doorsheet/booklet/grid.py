"""Tables to write in: cells with text, a line to write on, a box to tick, a colour sample.

Each row is a block of its own, so that a table can go on overleaf.  What the
rows say belongs in the chapters.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate
from typing import Final, NamedTuple, TypeAlias, TypeVar

from doorsheet.page.boxes import Block, Stack, line, rectangle, rule
from doorsheet.page.display import Item, Role
from doorsheet.trade.lettering import CAP_SMALL, text_width, wrap

__all__ = [
    "TICK", "Band", "Cell", "Column", "Cut", "Grid", "Row", "cut_columns", "say_or_write", "write",
]  # fmt: skip

T = TypeVar("T")
Cut: TypeAlias = tuple[Block | Stack | None, T | None]
"""What of something has room, and the rest of it."""

PAD_MM: Final = 1.8
_PITCH_MM: Final = 3.8
"""From line to line within a cell: 1.5 cap heights, ISO 3098-2's least."""

_ROW_MM: Final = 5.4
_HAND_MM: Final = 6.3
"""A row to write in: about the ruling of narrow note paper (common practice, no source)."""

_TICK_MM: Final = 3.6
_SAMPLE_MM: Final = 7.0
BESIDE_MM: Final = _SAMPLE_MM + 1.5
"""What a colour's sample takes beside its letters."""


class Column(NamedTuple):
    """A column: its heading, its width in mm."""

    heading: str
    width: float


class Cell(NamedTuple):
    """What stands in one cell; with `write`, the content is the unit behind the line."""

    content: str = ""
    bold: bool = False
    role: Role = Role.TEXT
    write: bool = False
    tick: bool = False
    inks: tuple[str, ...] = ()


class Band(NamedTuple):
    """A row across the table: words that hold for the rows below."""

    content: str


Row = tuple[Cell, ...] | Band


def write(unit: str = "") -> Cell:
    """Return a cell with a line to write on, and perhaps the unit behind it."""
    return Cell(unit, write=True)


def say_or_write(content: str | None, bold: bool = False) -> Cell:
    """Return the words, or a line to write on where there are none."""
    return Cell(content, bold) if content else write()


TICK: Final = Cell(tick=True)
"""A cell with a box to tick."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: its columns, and rows that each have a cell for every column."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    def __post_init__(self) -> None:
        for row in self.rows:
            if not isinstance(row, Band) and len(row) != len(self.columns):
                raise ValueError(f"{len(row)} cells in a table of {len(self.columns)} columns")

    @property
    def width(self) -> float:
        """Width of the whole table, mm."""
        return sum(column.width for column in self.columns)

    @property
    def height(self) -> float:
        """Height of its rows, mm, without the head."""
        return sum(block.height for block in self.blocks())

    def head(self) -> Block:
        """Return the row of headings, which is repeated overleaf."""
        return _row(self.columns, tuple(Cell(column.heading, bold=True) for column in self.columns))

    def blocks(self) -> tuple[Block, ...]:
        """Return a block for each row."""
        each = (self._band(row) if isinstance(row, Band) else _row(self.columns, row) for row in self.rows)
        return tuple(each)

    def cut(self, room: float) -> "Cut[Grid]":
        """Return the rows that have room under their head, and a table of the others.

        A band is not left alone at the bottom, nor is a head.
        """
        blocks = (self.head(), *self.blocks())
        ends = tuple(accumulate(block.height for block in blocks))
        taken = sum(end <= room for end in ends) - 1
        if 2 < taken == len(self.rows) - 1:
            taken -= 1  # nor is the last row left alone overleaf
        while 0 < taken < len(self.rows) and isinstance(self.rows[taken - 1], Band):
            taken -= 1
        if taken < 1 <= len(self.rows):
            return None, self
        placed = zip(blocks[: taken + 1], ends, strict=False)
        rest = replace(self, rows=self.rows[taken:]) if taken < len(self.rows) else None
        stack = tuple((block, 0.0, end - block.height) for block, end in placed)
        return Stack(stack, self.width, ends[taken]), rest

    def _band(self, band: Band) -> Block:
        words = wrap(band.content, CAP_SMALL, self.width - 2 * PAD_MM, bold=True)
        base, height = (_ROW_MM + CAP_SMALL) / 2, _ROW_MM + (len(words) - 1) * _PITCH_MM
        items = (line(PAD_MM, base + at * _PITCH_MM, text, bold=True) for at, text in enumerate(words))
        return Block((rectangle(0.0, 0.0, self.width, height, Role.BOX), *items), self.width, height)


def cut_columns(grid: Grid, room: float, apart: float) -> Cut[Grid]:
    """Return what of a table has room in two columns of its width, as level as they can be."""

    def filled(height: float) -> tuple[Block | Stack | None, Block | Stack | None, Grid | None]:
        left, rest = grid.cut(height)
        right, rest = rest.cut(height) if left is not None and rest is not None else (None, rest)
        return left, right, rest

    low, high = 0.0, room
    while filled(room)[2] is None and high - low > 0.5:
        middle = (low + high) / 2
        low, high = (low, middle) if filled(middle)[2] is None else (middle, high)
    left, right, rest = filled(high)
    if left is None:
        return None, grid
    beside = ((right, grid.width + apart, 0.0),) if right is not None else ()
    height = max(left.height, right.height if right is not None else 0.0)
    return Stack(((left, 0.0, 0.0), *beside), 2 * grid.width + apart, height), rest


@lru_cache(1024)
def _row(columns: tuple[Column, ...], cells: tuple[Cell, ...]) -> Block:
    """Return one row; a table is cut many times over to find where, and its rows stay as they are."""
    least = _HAND_MM if any(cell.write or cell.tick for cell in cells) else _ROW_MM
    width = sum(column.width for column in columns)
    texts = [
        wrap(
            cell.content, CAP_SMALL, column.width - 2 * PAD_MM - (BESIDE_MM if cell.inks else 0.0), cell.bold
        )
        for cell, column in zip(cells, columns, strict=True)
    ]
    tallest = max(1, *(len(lines) for lines in texts))
    height = max(least, _ROW_MM + (tallest - 1) * _PITCH_MM)
    baseline = ((least if tallest == 1 else _ROW_MM) + CAP_SMALL) / 2
    items: list[Item] = [rectangle(0.0, 0.0, width, height, Role.BOX)]
    x = 0.0
    for cell, column, lines in zip(cells, columns, texts, strict=True):
        if x > 0:
            items.append(rule(x, 0.0, x, height))
        items += _items(cell, lines, x, column.width, baseline, height)
        x += column.width
    return Block(tuple(items), width, height)


def _items(
    cell: Cell, lines: Sequence[str], x: float, width: float, baseline: float, height: float
) -> Iterator[Item]:
    left, right = x + PAD_MM, x + width - PAD_MM
    if cell.tick:
        corner = x + (width - _TICK_MM) / 2
        yield rectangle(corner, (height - _TICK_MM) / 2, _TICK_MM, _TICK_MM, Role.BOX)
        return
    if cell.write:
        y = height - 1.5
        room = text_width(cell.content, CAP_SMALL) + 1.0 if cell.content else 0.0
        yield rule(left, y, right - room, y, Role.BLANK)
        if cell.content:
            yield line(right, y - 0.6, cell.content, anchor="end")
        return
    for index, text in enumerate(lines):
        yield line(left, baseline + index * _PITCH_MM, text, bold=cell.bold, role=cell.role)
    start = left + max((text_width(text, CAP_SMALL, cell.bold) for text in lines), default=0.0) + 1.5
    for index, ink in enumerate(cell.inks):
        each = _SAMPLE_MM / len(cell.inks)
        top = baseline - CAP_SMALL / 2 - 1.5
        yield rectangle(start + index * each, top, each, 3.0, Role.SWATCH, ink)
