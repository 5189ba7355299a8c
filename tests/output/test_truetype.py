"""The reduced font: read by fontTools, which shares no code with it."""

from __future__ import annotations

import string
from io import BytesIO
from pathlib import Path

import matplotlib
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.output.truetype import TrueType

FOLDER = Path(matplotlib.get_data_path(), "fonts", "ttf")
DATA = {name: (FOLDER / name).read_bytes() for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")}
WHOLE = {name: TTFont(BytesIO(data)) for name, data in DATA.items()}
COMPOSITE = "éÅüǻ½Ώї≠Ǖ"  # made of parts, some of them of parts in turn


def outline(font: TTFont, glyph: str) -> object:
    pen = DecomposingRecordingPen(font.getGlyphSet())
    font.getGlyphSet()[glyph].draw(pen)
    return pen.value


def assert_same(name: str, glyphs: list[int]) -> None:
    reduced = TTFont(BytesIO(TrueType(DATA[name]).reduced(glyphs)), checkChecksums=2)  # 2: wrong sums raise
    whole = WHOLE[name]
    for number, glyph in enumerate(glyphs):
        ours, original = reduced.getGlyphName(number), whole.getGlyphName(glyph)
        assert outline(reduced, ours) == outline(whole, original)
        assert reduced["hmtx"][ours] == whole["hmtx"][original]
        assert TrueType(DATA[name]).advance(glyph) == whole["hmtx"][original][0]
    for table in ("cvt ", "fpgm", "prep"):
        assert reduced.reader[table] == whole.reader[table]


@pytest.mark.parametrize("name", DATA)
def test_letters_keep_shape_width_and_hints(name: str) -> None:
    characters = WHOLE[name].getBestCmap()
    glyphs = [WHOLE[name].getGlyphID(characters[ord(char)]) for char in string.printable.strip() + COMPOSITE]
    composites = [WHOLE[name]["glyf"][characters[ord(char)]].isComposite() for char in COMPOSITE]
    assert sum(composites) >= 5
    assert_same(name, [0, *glyphs])


@settings(max_examples=25, deadline=None)
@given(glyphs=st.lists(st.integers(0, 5000), max_size=12), name=st.sampled_from(sorted(DATA)))
def test_any_glyphs_survive_even_twice(glyphs: list[int], name: str) -> None:
    assert_same(name, [0, *glyphs])


def test_it_is_small() -> None:
    assert len(TrueType(DATA["DejaVuSans.ttf"]).reduced(range(100))) < len(DATA["DejaVuSans.ttf"]) / 10


def test_what_is_measured_is_what_the_font_says() -> None:
    font, whole = TrueType(DATA["DejaVuSans.ttf"]), WHOLE["DejaVuSans.ttf"]
    assert font.units_per_em == whole["head"].unitsPerEm
    assert font.box == tuple(getattr(whole["head"], edge) for edge in ("xMin", "yMin", "xMax", "yMax"))
    assert (font.ascent, font.descent) == (whole["hhea"].ascent, whole["hhea"].descent)
