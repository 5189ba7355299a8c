"""Building blocks of a page: lines of text, paragraphs, tables (page room).

Each gives its items together with the height it took, so that what follows
can be placed under it; nothing is measured twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from doorsheet.page.display import Anchor, Area, Group, Item, Oval, Point, Role, Stroke, Text
from doorsheet.trade.lettering import CAP_SMALL, text_width, wrap

__all__ = [
    "LINE_MM",
    "Block",
    "Column",
    "levelled",
    "line",
    "paragraph",
    "rectangle",
    "rule",
    "shifted",
    "table",
]

LINE_MM: Final = 4.3
"""From baseline to baseline of the smallest text, mm: 1.7 cap heights, wider than ISO 3098-2's 1.5."""

ROW_MM: Final = 5.2
_PAD_MM: Final = 1.8


class Block(NamedTuple):
    """Items that start at (0, 0), and the size they take, mm."""

    items: tuple[Item, ...]
    width: float
    height: float


class Column(NamedTuple):
    """A table's column: its heading, its cells, its width in mm, the colour letters of its samples."""

    heading: str
    cells: tuple[str, ...]
    bold: bool = False
    samples: tuple[tuple[str, ...], ...] = ()


def rectangle(x: float, y: float, width: float, height: float, role: Role, ink: str = "") -> Area:
    """Return an upright rectangle from its top left corner, mm."""
    corners = (Point(x, y), Point(x + width, y), Point(x + width, y + height), Point(x, y + height))
    return Area(corners, role, ink)


def line(
    x: float,
    y: float,
    content: str,
    cap: float = CAP_SMALL,
    bold: bool = False,
    role: Role = Role.TEXT,
    anchor: Anchor = "start",
) -> Text:
    """Return one line of text with its baseline at `y`."""
    return Text(x, y, content, cap, text_width(content, cap, bold), anchor, bold, role)


def rule(x0: float, y0: float, x1: float, y1: float, role: Role = Role.RULE) -> Stroke:
    """Return one straight line."""
    return Stroke((Point(x0, y0), Point(x1, y1)), role)


@lru_cache(1024)
def paragraph(
    content: str, width: float, cap: float = CAP_SMALL, bold: bool = False, role: Role = Role.TEXT
) -> Block:
    """Wrap text to `width`; the first baseline lies one cap height down."""
    pitch = LINE_MM * cap / CAP_SMALL
    lines = wrap(content, cap, width, bold)
    items = tuple(line(0.0, cap + index * pitch, words, cap, bold, role) for index, words in enumerate(lines))
    return Block(items, width, max(0.0, cap + (len(lines) - 1) * pitch) if lines else 0.0)


def table(columns: Sequence[Column], width: float) -> Block:
    """Lay a table out over `width` mm; cells too wide for their share are wrapped.

    Every column gets what its longest word needs, and what its longest cell
    wants as far as there is room; the widest columns give way first.
    """
    shares = _shares(columns, width)
    lefts = [sum(shares[:index]) for index in range(len(columns))]
    items: list[Item] = []
    baseline = (ROW_MM + CAP_SMALL) / 2
    for column, x in zip(columns, lefts, strict=True):
        if column.heading:
            items.append(line(x + _PAD_MM, baseline, column.heading, bold=True))
    y = ROW_MM
    rules = [(y, Role.BOX)]
    for row in range(len(columns[0].cells)):
        tallest = 1
        for column, x, share in zip(columns, lefts, shares, strict=True):
            room = share - 2 * _PAD_MM - (_SAMPLE_MM + 1.5 if column.samples else 0.0)
            words = wrap(column.cells[row], CAP_SMALL, room, column.bold)
            tallest = max(tallest, len(words))
            for index, text in enumerate(words):
                items.append(line(x + _PAD_MM, y + baseline + index * LINE_MM, text, bold=column.bold))
            if column.samples:
                letters = max(text_width(cell, CAP_SMALL, column.bold) for cell in column.cells)
                items += _sample(
                    x + _PAD_MM + min(letters, room) + 1.5, y + (ROW_MM - 3.0) / 2, column.samples[row]
                )
        y += ROW_MM + (tallest - 1) * LINE_MM
        rules.append((y, Role.RULE))
    for height, _ in rules[:-1]:
        items.append(rule(0.0, height, width, height))
    return Block((rectangle(0.0, 0.0, width, y, Role.BOX), *items), width, y)


_SAMPLE_MM: Final = 7.0


def _sample(x: float, y: float, parts: tuple[str, ...]) -> list[Item]:
    if not parts:
        return []
    each = _SAMPLE_MM / len(parts)
    return [rectangle(x + index * each, y, each, 3.0, Role.SWATCH, part) for index, part in enumerate(parts)]


def _shares(columns: Sequence[Column], width: float) -> list[float]:
    wants: list[float] = []
    needs: list[float] = []
    least: list[float] = []
    for column in columns:
        extra = 2 * _PAD_MM + (_SAMPLE_MM + 1.5 if column.samples else 0.0)
        whole = [text_width(cell, CAP_SMALL, column.bold) for cell in column.cells]
        words = [
            text_width(word, CAP_SMALL, column.bold)
            for cell in column.cells
            for word in cell.split(" ")
            if word
        ]
        heading = text_width(column.heading, CAP_SMALL, True) if column.heading else 0.0
        wants.append(max([heading, *whole]) + extra + 0.2)
        needs.append(max([heading, *words]) + extra + 0.2)
        least.append(heading + extra + 0.2)
    spare = width - sum(wants)
    if spare >= 0:  # what is over goes where the words are
        return [want + spare * want / sum(wants) for want in wants]
    if sum(needs) <= width:
        return levelled(wants, needs, width)
    return levelled(needs, least, width)  # the longest words are broken, a heading never is


def levelled(wants: Sequence[float], least: Sequence[float], width: float) -> list[float]:
    """Take what is missing from the widest columns alone, so that few lines of the others break."""

    def shares(level: float) -> list[float]:
        return [min(want, max(own, level)) for want, own in zip(wants, least, strict=True)]

    low, high = 0.0, width
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if sum(shares(middle)) <= width else (low, middle)
    return shares(low)


def shifted(items: Sequence[Item], dx: float, dy: float) -> tuple[Item, ...]:
    """Return items moved by (dx, dy), mm."""
    return tuple(_moved(item, dx, dy) for item in items)


def _moved(item: Item, dx: float, dy: float) -> Item:
    match item:
        case Stroke(points, role, ink):
            return Stroke(tuple(Point(x + dx, y + dy) for x, y in points), role, ink)
        case Area(points, role, ink):
            return Area(tuple(Point(x + dx, y + dy) for x, y in points), role, ink)
        case Oval(x, y, rx, ry, role):
            return Oval(x + dx, y + dy, rx, ry, role)
        case Text(x, y, content, cap, width, anchor, bold, role, angle):
            return Text(x + dx, y + dy, content, cap, width, anchor, bold, role, angle)
        case Group(ident, items, title, description):
            return Group(ident, shifted(items, dx, dy), title, description)
