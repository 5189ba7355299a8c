"""Building blocks of a page: lines of text, paragraphs, tables.

Each gives its items together with the height it took, so that what follows
can be placed under it; nothing is measured twice.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from doorsheet.page.display import Anchor, Area, Group, Item, Oval, Pattern, Point, Role, Stroke, Text
from doorsheet.trade.lettering import CAP_SMALL, text_width, wrap

__all__ = [
    "LINE_MM", "Block", "Stack", "column", "levelled", "line", "paragraph", "rectangle", "rule", "shifted",
]  # fmt: skip

LINE_MM: Final = 4.3
"""From baseline to baseline of the smallest text, mm: 1.7 cap heights, wider than ISO 3098-2's 1.5."""


class Block(NamedTuple):
    """Items that start at (0, 0), and the size they take, mm."""

    items: tuple[Item, ...]
    width: float
    height: float


class Stack(NamedTuple):
    """Blocks at their places, mm; moved there only when the items are asked for.

    Most papers that are tried are given up, and all that is wanted of them is a height.
    """

    placed: "tuple[tuple[Block | Stack, float, float], ...]"
    width: float
    height: float
    name: str = ""  # of the group that they make, if they make one

    @property
    def items(self) -> tuple[Item, ...]:
        """The items of all, each where it stands."""
        items = tuple(item for block, x, y in self.placed for item in shifted(block.items, x, y))
        return (Group(self.name, items),) if self.name else items


def column(blocks: Sequence[Block | Stack], width: float, gap: float) -> Stack:
    """Return blocks under one another, a gap between them, mm."""
    placed = []
    y = 0.0
    for block in blocks:
        placed.append((block, 0.0, y))
        y += block.height + gap
    return Stack(tuple(placed), width, max(0.0, y - gap))


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
    # where no line may break is known now: whoever searches for words types plain blanks
    lines = [words.replace("\u00a0", " ") for words in wrap(content, cap, width, bold)]
    items = tuple(line(0.0, cap + index * pitch, words, cap, bold, role) for index, words in enumerate(lines))
    return Block(items, width, max(0.0, cap + (len(lines) - 1) * pitch) if lines else 0.0)


def levelled(wants: Sequence[float], least: Sequence[float], width: float) -> list[float]:
    """Take what is missing from the widest columns alone, so that few lines of the others break."""

    def shares(level: float) -> list[float]:
        return [min(want, max(own, level)) for want, own in zip(wants, least, strict=True)]

    low, high = 0.0, width
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if sum(shares(middle)) <= width else (low, middle)
    return shares(low)


def shifted(items: Sequence[Item], dx: float, dy: float, zoom: float = 1.0) -> tuple[Item, ...]:
    """Return items enlarged about (0, 0), then moved by (dx, dy), mm."""
    return tuple([_moved(item, dx, dy, zoom) for item in items])


def _moved(item: Item, dx: float, dy: float, k: float) -> Item:
    match item:
        case Stroke(points, role, ink) | Area(points, role, ink):
            return type(item)(tuple([Point(k * x + dx, k * y + dy) for x, y in points]), role, ink)
        case Oval(x, y, rx, ry, role):
            return Oval(k * x + dx, k * y + dy, k * rx, k * ry, role)
        case Pattern(x, y, module, rows, role):
            return Pattern(k * x + dx, k * y + dy, k * module, rows, role)
        case Text(x, y, content, cap, width, anchor, bold, role, angle):
            high = round(k * cap, 2)  # it was rounded before it was enlarged
            return Text(k * x + dx, k * y + dy, content, high, k * width, anchor, bold, role, angle)
        case Group(ident, items, title, description):
            return Group(ident, shifted(items, dx, dy, k), title, description)
