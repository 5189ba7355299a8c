"""Where on a finished page there is room for something more, without moving anything."""

import math
from collections.abc import Iterable, Iterator
from copy import copy
from itertools import pairwise
from typing import Final

from doorsheet.page.display import Area, Item, Oval, Page, Pattern, Role, Stroke, Text, leaves
from doorsheet.page.style import PENS

__all__ = ["Room"]

_CLEAR_MM: Final = 1.0
"""Air kept round what is on the page."""

_FRAMES: Final = 0.5
"""An area of more than this share of the page is a frame round others: only its edge is in the way."""


class Room:
    """A page in squares of a millimetre: a row is a number with a bit set for each square that is taken."""

    def __init__(self, page: Page) -> None:
        self._across, self._down = int(page.width), int(page.height)
        self._rows = [0] * self._down
        left, top, right, bottom = 0.0, 0.0, page.width, page.height
        for item in leaves(page.items):
            if isinstance(item, Area) and item.role is Role.SHEET_FRAME:
                left, top, right, bottom = _extent(item.points)
        self._inside = (left, top, right, bottom)
        for item in leaves(page.items):
            for box in _boxes(item, page.width * page.height):
                self.take(*box)

    def copy(self) -> "Room":
        """Return the same room, to be filled without changing this."""
        other = copy(self)
        other._rows = self._rows[:]
        return other

    def take(self, left: float, top: float, right: float, bottom: float) -> None:
        """Note that there is something in a rectangle, mm."""
        first = max(0, math.floor(left - _CLEAR_MM))
        last = min(self._across, math.ceil(right + _CLEAR_MM))
        mask = ((1 << max(0, last - first)) - 1) << first
        for row in range(max(0, math.floor(top - _CLEAR_MM)), min(self._down, math.ceil(bottom + _CLEAR_MM))):
            self._rows[row] |= mask

    def nearest_corner(self, width: float, height: float) -> tuple[float, float] | None:
        """Return where a rectangle has room, nearest to a corner of the frame, mm; None when nowhere."""
        left, top, right, bottom = self._inside
        wide, high = math.ceil(width), math.ceil(height)
        best: tuple[float, float, float] | None = None
        within = ((1 << max(0, math.floor(right) - wide - math.ceil(left) + 1)) - 1) << math.ceil(left)
        rows = self._rows
        for step in _doublings(wide):  # a bit then says that one of `wide` squares from there on is taken
            rows = [row | row >> step for row in rows]
        for step in _doublings(high):  # the same downwards, but for the last rows, from which it'd leave
            rows = [a | b for a, b in zip(rows, rows[step:], strict=False)]
        for y, taken in enumerate(rows):
            free = within & ~taken
            if not free or y < top or y + high > bottom:
                continue
            aside = min(y - top, bottom - y - high)
            first, last = (free & -free).bit_length() - 1, free.bit_length() - 1
            for x, off in ((first, first - left), (last, right - last - wide)):
                if best is None or off + aside < best[0]:
                    best = (off + aside, float(x), float(y))
        return None if best is None else best[1:]


def _doublings(length: int) -> Iterator[int]:
    """Yield the shifts that spread one bit over `length` places."""
    done = 1
    while done < length:
        step = min(done, length - done)
        yield step
        done += step


def _extent(points: Iterable[tuple[float, float]]) -> tuple[float, float, float, float]:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _boxes(item: Item, page_mm2: float) -> Iterator[tuple[float, float, float, float]]:
    """Yield the rectangles that an item takes up: a line leg by leg, anything else as a whole."""
    match item:
        case Stroke(points, role):
            yield from _legs(points, PENS[role].width_mm / 2)
        case Area(points, role):
            left, top, right, bottom = _extent(points)
            if (right - left) * (bottom - top) > _FRAMES * page_mm2:
                yield from _legs((*points, points[0]), PENS[role].width_mm / 2)
            else:
                yield left, top, right, bottom
        case Oval(x, y, rx, ry):
            yield x - rx, y - ry, x + rx, y + ry
        case Pattern():
            yield item.x, item.y, item.x + item.side, item.y + item.side
        case Text():
            yield _text_box(item)


def _legs(
    points: tuple[tuple[float, float], ...], half: float
) -> Iterator[tuple[float, float, float, float]]:
    for a, b in pairwise(points):
        left, top, right, bottom = _extent((a, b))
        yield left - half, top - half, right + half, bottom + half


def _text_box(text: Text) -> tuple[float, float, float, float]:
    before = text.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    up, down = 1.1 * text.cap, 0.35 * text.cap  # accents, what hangs below
    if text.angle:  # a quarter turn, either way: the larger box of the two
        after = max(before, text.width - before)
        return text.x - up, text.y - after, text.x + up, text.y + after
    return text.x - before, text.y - up, text.x - before + text.width, text.y + down
