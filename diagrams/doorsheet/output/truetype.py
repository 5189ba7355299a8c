"""Reduces a TrueType font to the letters that a sheet uses (output room); knows no pages and no PDF.

The result has the tables that ISO 32000-1, 9.9 asks for in a font embedded by
glyph numbers: outlines, widths and hinting.  Layouts of tables and fields are
those of ISO/IEC 14496-22 (OpenType).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from struct import pack, pack_into, unpack, unpack_from
from typing import Final

__all__ = ["TrueType"]

_AS_THEY_ARE: Final = ("cvt ", "fpgm", "prep")  # hinting, where a font has it

# flags of one part of a composite glyph
_WORDS, _SCALE, _MORE, _TWO_SCALES, _MATRIX = 0x0001, 0x0008, 0x0020, 0x0040, 0x0080


class TrueType:
    """One font file, its glyphs by number; raises KeyError or struct.error for what is no TrueType font."""

    def __init__(self, data: bytes) -> None:
        (count,) = unpack_from(">H", data, 4)
        entries = [unpack_from(">4sIII", data, 12 + 16 * entry) for entry in range(count)]
        self._tables = {tag.decode("latin-1"): data[start : start + size] for tag, _, start, size in entries}
        head, hhea, loca = (self._tables[tag] for tag in ("head", "hhea", "loca"))
        self.units_per_em: int = unpack_from(">H", head, 18)[0]
        self.box: tuple[int, int, int, int] = unpack_from(">4h", head, 36)
        self.ascent: int = unpack_from(">h", hhea, 4)[0]
        self.descent: int = unpack_from(">h", hhea, 6)[0]
        self._advances: int = unpack_from(">H", hhea, 34)[0]
        long = unpack_from(">h", head, 50)[0]
        starts = unpack(f">{len(loca) // 4}I" if long else f">{len(loca) // 2}H", loca)
        self._starts = starts if long else tuple(2 * half for half in starts)

    def advance(self, glyph: int) -> int:
        """Give the width of a glyph, font units."""
        width: int = unpack_from(">H", self._tables["hmtx"], 4 * min(glyph, self._advances - 1))[0]
        return width

    def reduced(self, glyphs: Sequence[int]) -> bytes:
        """Make a font of these glyphs, numbered as they stand here; the first shall be 0, the unknown."""
        outlines, order = self._outlines(glyphs)
        starts = [0]
        for outline in outlines:
            starts.append(starts[-1] + len(outline))
        head, hhea, maxp = (bytearray(self._tables[tag]) for tag in ("head", "hhea", "maxp"))
        pack_into(">I", head, 8, 0)  # the sum of the whole, filled in at the end
        pack_into(">h", head, 50, 1)  # long offsets in loca
        pack_into(">H", hhea, 34, len(order))
        pack_into(">H", maxp, 4, len(order))
        tables = {tag: self._tables[tag] for tag in _AS_THEY_ARE if tag in self._tables}
        tables |= {"head": bytes(head), "hhea": bytes(hhea), "maxp": bytes(maxp), "glyf": b"".join(outlines)}
        tables["hmtx"] = b"".join(pack(">Hh", self.advance(glyph), self._bearing(glyph)) for glyph in order)
        tables["loca"] = pack(f">{len(starts)}I", *starts)
        return _font_file(tables)

    def _outlines(self, glyphs: Sequence[int]) -> tuple[list[bytes], list[int]]:
        """Take the outlines out, those of the parts of composite glyphs behind them, with the new numbers."""
        order = list(glyphs)
        numbers = {glyph: number for number, glyph in enumerate(order)}
        outlines = []
        for glyph in order:  # grows on the way
            start, end = self._starts[glyph : glyph + 2]
            outline = bytearray(self._tables["glyf"][start:end])
            for place in _parts(outline):
                part = unpack_from(">H", outline, place)[0]
                if part not in numbers:
                    numbers[part] = len(order)
                    order.append(part)
                pack_into(">H", outline, place, numbers[part])
            outlines.append(_padded(outline))
        return outlines, order

    def _bearing(self, glyph: int) -> int:
        beyond = glyph - self._advances
        place = 4 * glyph + 2 if beyond < 0 else 4 * self._advances + 2 * beyond
        bearing: int = unpack_from(">h", self._tables["hmtx"], place)[0]
        return bearing


def _parts(outline: bytearray) -> Iterator[int]:
    """Say where the numbers of a composite glyph's parts stand; a simple glyph has none."""
    if not outline or unpack_from(">h", outline)[0] >= 0:
        return
    place, flags = 10, _MORE
    while flags & _MORE:
        flags = unpack_from(">H", outline, place)[0]
        yield place + 2
        place += 4 + (4 if flags & _WORDS else 2)
        place += 2 if flags & _SCALE else 4 if flags & _TWO_SCALES else 8 if flags & _MATRIX else 0


def _font_file(tables: dict[str, bytes]) -> bytes:
    count, power = len(tables), len(tables).bit_length() - 1
    directory = pack(">IHHHH", 0x00010000, count, 16 << power, power, 16 * count - (16 << power))
    place, body = 12 + 16 * count, b""
    for tag, table in sorted(tables.items()):
        directory += pack(">4sIII", tag.encode(), _sum(table), place + len(body), len(table))
        body += _padded(table)
    whole = bytearray(directory + body)
    at_head = unpack_from(">I", whole, whole.index(b"head") + 8)[0]
    pack_into(">I", whole, at_head + 8, (0xB1B0AFBA - _sum(whole)) & 0xFFFFFFFF)
    return bytes(whole)


def _sum(data: bytes | bytearray) -> int:
    padded = _padded(data)
    total: int = sum(unpack(f">{len(padded) // 4}I", padded))
    return total & 0xFFFFFFFF


def _padded(data: bytes | bytearray) -> bytes:
    return bytes(data) + bytes(-len(data) % 4)
