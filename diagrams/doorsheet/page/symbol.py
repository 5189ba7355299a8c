"""QR symbols on a finished page: the mapping itself, for whoever has only the paper.

They are put where the page has room and move nothing.  The mapping stands in one symbol or in up to
four parts; where it can't, the sheet's code does, alone.  Modules are 12 dots of a 600 dpi printer:
0.508 mm, three dots of a scan at 150 dpi, which an outside reader reads turned, grey and blurred by half
a dot; those of 10 it misses when blurred.  A telephone in the hand reads 0.4 mm and more (print guides, at
second hand), so the code alone, short as it is, may have 10 where room is short.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise, product
from typing import Final, Literal, TypeAlias

from doorsheet.mapping.code import without_log
from doorsheet.mapping.packed import code_alone, pack, parts_of
from doorsheet.page.boxes import LINE_MM, line, shifted
from doorsheet.page.display import Area, Group, Item, Oval, Page, Pattern, Role, Stroke, Text, leaves
from doorsheet.page.style import PENS
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL, text_width

__all__ = ["MODULE_MM", "QUIET", "symbol_side", "with_symbols"]

MODULE_MM: Final = 12 * 25.4 / 600
_SMALL_MM: Final = 10 * 25.4 / 600
QUIET: Final = 4
"""White modules round a symbol (ISO/IEC 18004)."""

_MOST_PARTS: Final = 4
_LARGEST: Final = 20
"""Versions above this are hard to hold a telephone to (common practice, no source)."""

_Level = Literal["M", "L"]
_BITS: Final[dict[_Level, tuple[int, ...]]] = {
    "M": (128, 224, 352, 512, 688, 864, 992, 1232, 1456, 1728,
          2032, 2320, 2672, 2920, 3320, 3624, 4056, 4504, 5016, 5352),
    "L": (152, 272, 440, 640, 864, 1088, 1248, 1552, 1856, 2192,
          2592, 2960, 3424, 3688, 4184, 4712, 5176, 5768, 6360, 6888),
}  # fmt: skip
"""Data bits of versions 1 to 20 (ISO/IEC 18004, table 7, seen in a library's constants)."""


def with_symbols(page: Page) -> Page:
    """Return the page with the symbols it has room for; a page without a label as it is."""
    label = page.label
    if label is None:
        return page
    room = _Room(page)
    # the log of a whole job is longer than what was wired: where there is no room for both, it stays out
    for text in dict.fromkeys((page.source_text, without_log(page.source_text))):
        packed = pack(label, page.source_name, text)
        name = tr("mapping") if text == page.source_text else tr("mapping, no log")
        for together, count, level in product((True, False), range(1, _MOST_PARTS + 1), _BITS):
            each = range(1, count + 1)
            words = [f"{name} {number}/{count}" if count > 1 else name for number in each]
            found = _placed(room, parts_of(label, packed, count), words, MODULE_MM, level, together)
            if found:
                return replace(page, items=(*page.items, *found), symbols="mapping")
    alone = (
        _placed(room, (code_alone(label),), [tr("code only")], module) for module in (MODULE_MM, _SMALL_MM)
    )
    found = next(filter(None, alone), ())
    return replace(page, items=(*page.items, *found), symbols="code" if found else "none")


def symbol_side(text: str, level: _Level) -> int | None:
    """Return the side of the symbol that holds a text, in modules without what is kept white round it.

    None where it would be larger than version 20.
    """
    for version, bits in enumerate(_BITS[level], 1):
        if 4 + (9 if version < 10 else 11) + (11 * len(text) + 1) // 2 <= bits <= _BITS[level][_LARGEST - 1]:
            return 17 + 4 * version
    return None


def _placed(
    room: "_Room",
    texts: Sequence[str],
    words: Sequence[str],
    module: float,
    level: _Level = "M",
    together: bool = False,
) -> tuple[Item, ...]:
    """Return the symbols of texts, all of one size, with a line under each; none when they have no room."""
    sides = [symbol_side(text, level) for text in texts]
    side = max((side for side in sides if side), default=0)
    if None in sides:
        return ()
    wide = max((side + 2 * QUIET) * module, *(text_width(one, CAP_SMALL) + 1.0 for one in words))
    high = (side + 2 * QUIET) * module + LINE_MM - 1.0
    places = sorted(_places(room, len(texts), wide, high, together), key=lambda place: (place[1], place[0]))
    if len(places) < len(texts):
        return ()
    found = zip(texts, words, places, strict=True)
    return tuple(_drawn(text, level, module, word, wide, place) for text, word, place in found)


def _places(
    room: "_Room", count: int, width: float, height: float, together: bool
) -> Iterator[tuple[float, float]]:
    """Yield a place for each of several: in a row, a column, a square, or each by itself."""
    for across in range(count, 0, -1):
        block = room.nearest_corner(across * width, -(-count // across) * height)
        if block is not None:
            for index in range(count):
                yield block[0] + index % across * width, block[1] + index // across * height
            return
    if together:
        return
    one = room.copy()
    for _ in range(count):
        place = one.nearest_corner(width, height)
        if place is None:
            return
        yield place
        one.take(place[0] + 1, place[1] + 1, place[0] + width - 1, place[1] + height - 1)


def _drawn(
    text: str, level: _Level, module: float, word: str, wide: float, place: tuple[float, float]
) -> Group:
    rows = _rows(text, level)
    side = len(rows) * module
    quiet = QUIET * module
    items = (
        Pattern((wide - side) / 2, quiet, module, rows),
        line(wide / 2, side + 2 * quiet + CAP_SMALL - 1.0, word, CAP_SMALL, anchor="middle"),
    )
    return Group("symbol", shifted(items, *place), tr("for a telephone: {symbol}", symbol=word))


@lru_cache(64)
def _rows(text: str, level: _Level) -> tuple[str, ...]:
    """Return the modules of a symbol.  The mask is given: to try all eight takes five times as long."""
    import segno

    made = segno.make_qr(text, error=level, boost_error=False, mode="alphanumeric", mask=0)
    return tuple("".join("1" if module else "0" for module in row) for row in made.matrix)


# --- where a page has room ------------------------------------------------

_CLEAR_MM: Final = 1.0
"""Air kept round what is on the page."""

_FRAMES: Final = 0.5
"""An area of more than this share of the page is a frame round others: only its edge is in the way."""


_Box: TypeAlias = tuple[float, float, float, float]
"""Left, top, right and bottom, mm."""


class _Room:
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

    def copy(self) -> "_Room":
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


def _extent(points: Iterable[tuple[float, float]]) -> _Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _boxes(item: Item, page_mm2: float) -> Iterator[_Box]:
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


def _legs(points: tuple[tuple[float, float], ...], half: float) -> Iterator[_Box]:
    for a, b in pairwise(points):
        left, top, right, bottom = _extent((a, b))
        yield left - half, top - half, right + half, bottom + half


def _text_box(text: Text) -> _Box:
    before = text.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    up, down = 1.1 * text.cap, 0.35 * text.cap  # accents, what hangs below
    if text.angle:  # a quarter turn, either way: the larger box of the two
        after = max(before, text.width - before)
        return text.x - up, text.y - after, text.x + up, text.y + after
    return text.x - before, text.y - up, text.x - before + text.width, text.y + down
