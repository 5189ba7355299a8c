"""QR symbols on a finished page: the mapping itself, for whoever has only the paper.

They are put where the page has room and move nothing.  The mapping stands in one symbol or in up to
four parts; where it can't, the sheet's code does, alone.  Modules are 12 dots of a 600 dpi printer:
0.508 mm, three dots of a scan at 150 dpi, which an outside reader reads turned, grey and blurred by half
a dot; those of 10 it misses when blurred.  A telephone in the hand reads 0.4 mm and more (print guides, at
second hand), so the code alone, short as it is, may have 10 where room is short.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import product
from typing import Final, Literal

from doorsheet.mapping.code import without_log
from doorsheet.mapping.packed import code_alone, pack, parts_of
from doorsheet.page.boxes import LINE_MM, line, shifted
from doorsheet.page.display import Group, Item, Page, Pattern
from doorsheet.page.room import Room
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
    room = Room(page)
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
    room: Room,
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
    room: Room, count: int, width: float, height: float, together: bool
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
