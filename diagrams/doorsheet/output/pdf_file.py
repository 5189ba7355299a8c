"""matplotlib's PDF file and renderer, with letters embedded in our own way (output room).

Imports matplotlib, so import it inside functions.  matplotlib offers Type 3
letters, whose height viewers have to guess, so that some find words but not
sentences; or TrueType, for which fontTools takes the fonts apart anew in every
run, a quarter of its time.  Here the letters of a page go in as TrueType, one
code for each character, each as wide as it was measured, and fontTools isn't
even imported.
"""

from __future__ import annotations

from hashlib import sha256
from importlib import import_module
from math import cos, radians, sin
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Literal

from doorsheet.output.lean import put_off
from doorsheet.output.truetype import TrueType
from doorsheet.trade.advances import CAP_HEIGHT

if TYPE_CHECKING:
    from matplotlib.backend_bases import GraphicsContextBase
    from matplotlib.font_manager import FontProperties
    from matplotlib.text import Text


def _part_of_subset(name: str) -> object:
    part: object = getattr(import_module("fontTools.subset"), name)
    return part


with put_off({"fontTools.subset": {"__getattr__": _part_of_subset}}):
    from matplotlib.backends.backend_pdf import Name, Op, PdfFile, RendererPdf
    from matplotlib.font_manager import get_font

__all__ = ["SheetFile", "SheetRenderer"]

_UNICODE_TABLE = """/CIDInit /ProcSet findresource begin 12 dict begin begincmap
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def
/CMapName /Adobe-Identity-UCS def /CMapType 2 def
1 begincodespacerange <0000> <ffff> endcodespacerange
{blocks}
endcmap CMapName currentdict /CMap defineresource pop end end"""
_BLOCK = 100  # lines that one block of such a table may have


class SheetFile(PdfFile):
    """A PDF under way, whose fonts are those that `letters` was asked for."""

    def __init__(self, out: IO[bytes], words: dict[str, str | None]) -> None:
        super().__init__(out, metadata=words)  # type: ignore[no-untyped-call]
        self._letters: dict[str, _Letters] = {}

    def letters(self, path: str) -> _Letters:
        """Give the letters of one font file."""
        if path not in self._letters:
            self._letters[path] = _Letters(path, f"L{len(self._letters) + 1}")
        return self._letters[path]

    def writeFonts(self) -> None:  # noqa: N802  # matplotlib's name, called when the file is finished
        """Write all fonts and the table that the page finds them in."""
        file: Any = self
        file.writeObject(file.fontObject, {font.key: font.write(file) for font in self._letters.values()})


class SheetRenderer(RendererPdf):
    """Draws on a sheet's file; texts are single letters in a row, without kerning and ligatures."""

    def draw_text(
        self,
        gc: GraphicsContextBase,
        x: float,
        y: float,
        s: str,
        prop: FontProperties,
        angle: float,
        ismath: bool | Literal["TeX"] = False,
        mtext: Text | None = None,
    ) -> None:
        """Show one line of text from (x, y) on its baseline."""
        renderer: Any = self
        renderer.check_gc(gc, gc.get_rgb())
        letters = renderer.file.letters(prop.get_file())
        along, across = cos(radians(angle)), sin(radians(angle))
        renderer.file.output(
            Op.begin_text,
            *(_name(letters.key), prop.get_size_in_points(), Op.selectfont),
            *(along, across, -across, along, x, y, Op.textmatrix),
            *(letters.encode(s), Op.show),
            Op.end_text,
        )


class _Letters:
    """One font of a page: the characters met so far, whose codes are their numbers in order; 0 is unknown."""

    def __init__(self, path: str, key: str) -> None:
        self.key = key
        self._font = TrueType(Path(path).read_bytes())
        self._opened = get_font(path)
        self._codes: dict[str, int] = {}

    def encode(self, content: str) -> bytes:
        """Give the codes of a text, two bytes for each character."""
        codes = [self._codes.setdefault(char, len(self._codes) + 1) for char in content]
        return b"".join([code.to_bytes(2, "big") for code in codes])

    def write(self, file: Any) -> object:  # noqa: ANN401  # matplotlib has no types for it
        """Write the objects of a composite font (ISO 32000-1, 9.7) and give the reference to the first."""
        digest = sha256("".join(self._codes).encode()).digest()
        subset = "".join(chr(ord("A") + byte % 26) for byte in digest[:6])
        name = _name(f"{subset}+{self._opened.postscript_name}")
        font, inner, descriptor, program, table = (file.reserveObject(self.key) for _ in range(5))
        glyphs = [0, *(self._opened.get_char_index(ord(char)) for char in self._codes)]
        data = self._font.reduced(glyphs)
        file.outputStream(program, data, extra={"Length1": len(data)})
        file.outputStream(table, _unicode_table(self._codes).encode("ascii"))
        file.writeObject(descriptor, self._described() | {"FontName": name, "FontFile2": program})
        by_codes = {
            "Type": _name("Font"),
            "Subtype": _name("CIDFontType2"),
            "BaseFont": name,
            "CIDSystemInfo": {"Registry": b"Adobe", "Ordering": b"Identity", "Supplement": 0},
            "FontDescriptor": descriptor,
            "W": [0, [self._per_mille(self._font.advance(glyph)) for glyph in glyphs]],
            "CIDToGIDMap": _name("Identity"),
        }
        file.writeObject(inner, by_codes)
        whole = {
            "Type": _name("Font"),
            "Subtype": _name("Type0"),
            "BaseFont": name,
            "Encoding": _name("Identity-H"),
            "DescendantFonts": [inner],
            "ToUnicode": table,
        }
        file.writeObject(font, whole)
        return font

    def _described(self) -> dict[str, object]:
        font = self._font
        return {
            "Type": _name("FontDescriptor"),
            "Flags": 4,  # symbolic: has codes of its own
            "FontBBox": [self._per_mille(edge) for edge in font.box],
            "ItalicAngle": 0,
            "Ascent": self._per_mille(font.ascent),
            "Descent": self._per_mille(font.descent),
            "CapHeight": self._per_mille(CAP_HEIGHT),
            "StemV": 0,  # unknown; for viewers that would draw with another font
        }

    def _per_mille(self, length: int) -> float:
        return round(length * 1000 / self._font.units_per_em, 3)


def _unicode_table(codes: dict[str, int]) -> str:
    lines = [f"<{code:04x}> <{char.encode('utf-16-be').hex()}>" for char, code in codes.items()]
    blocks = [lines[start : start + _BLOCK] for start in range(0, len(lines), _BLOCK)]
    return _UNICODE_TABLE.format(
        blocks="\n".join("\n".join([f"{len(block)} beginbfchar", *block, "endbfchar"]) for block in blocks)
    )


def _name(word: str) -> object:
    return Name(word)  # type: ignore[no-untyped-call]
