"""Texts where renderers really put them: a browser and poppler, on the gallery and on made-up installations.

No text overlaps a text or a line, none leaves the page.  DOORSHEET_RENDERED=100 in the environment takes so
many made-up installations, always the same ones.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from shutil import copy

import pytest
from hypothesis import assume, given, seed, settings
from matplotlib import get_data_path

from doorsheet import Sheet
from doorsheet.circuit import stage_names
from doorsheet.mapping import parse_mapping
from tests.installations import Installation, installations
from tests.judges.geometry import seen_through
from tests.judges.overlap import chromium_texts, clashes, gathered, poppler_words
from tests.judges.shapes import JudgeError, Shapes, read_shapes
from tests.sheets.sheets import SHEETS, gallery_sheet
from tests.sheets.test_generated import usual
from tests.sheets.test_installations import drawn
from tests.strategies import toml_text

MADE = int(os.environ.get("DOORSHEET_RENDERED", "6"))
AT_ONCE = 20  # sheets that one start of the browser lays out
CHOSEN = [*SHEETS, *(f"made-{number}" for number in range(MADE))]
LOTS = [CHOSEN[start : start + AT_ONCE] for start in range(0, len(CHOSEN), AT_ONCE)]


@cache
def sheet_named(name: str) -> Sheet:
    """Draw a sheet of the gallery, or the made-up installation of a number."""
    kind, _, number = name.partition("-")
    if kind != "made":
        return gallery_sheet(name)
    last: list[Sheet] = []

    def keep(one: Installation) -> None:
        text = toml_text(one.data)
        sheet = drawn(one, text, one.stage(stage_names(parse_mapping(text, "mapping.toml").mapping)))
        assume(sheet is not None)
        assert sheet is not None
        last[:] = [sheet]

    # the first of two is the least there is, the same for each number
    two = settings(usual, derandomize=False, max_examples=2)
    seed(-1 - int(number))(two(given(installations())(keep)))()
    return last[0]


def pages(name: str) -> list[tuple[str, Shapes]]:
    """Return each page as SVG and as the shapes of it; a mark across it is meant to be in the way."""
    sheet = sheet_named(name)
    svgs = [sheet.to_svg(number) for number in range(1, len(sheet.pages) + 1)]
    return [(svg, seen_through(read_shapes(svg))) for svg in svgs]


@pytest.mark.parametrize("lot", range(len(LOTS)))
def test_texts_stand_clear_in_a_browser(lot: int, tmp_path: Path) -> None:
    whole = [(name, *page) for name in LOTS[lot] for page in pages(name)]
    painted = chromium_texts([svg for _, svg, _ in whole], tmp_path)
    for (name, _, shapes), texts in zip(whole, painted, strict=True):
        assert [text.content for text in texts] == [text.content for text in shapes.writings], name
        assert clashes(shapes, [text.box for text in texts]) == [], name
        wrong = [text for text in texts if text.given is None or abs(text.natural / text.given - 1) > 0.02]
        assert wrong == [], name


@pytest.mark.parametrize("other", ["DejaVuSerif", "DejaVuSansMono"])
def test_texts_stand_clear_where_the_font_is_missing(
    other: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever has only another font sees each text in the same place, as wide as it should be."""
    fonts = tmp_path / "fonts"
    fonts.mkdir()
    for weight in ("", "-Bold"):
        copy(Path(get_data_path(), "fonts", "ttf", f"{other}{weight}.ttf"), fonts)
    settings_file = tmp_path / "fonts.conf"
    settings_file.write_text(f"<fontconfig><dir>{fonts}</dir><cachedir>{tmp_path}</cachedir></fontconfig>")
    monkeypatch.setenv("FONTCONFIG_FILE", str(settings_file))
    whole = [(name, *page) for name in SHEETS for page in pages(name)]
    painted = chromium_texts([svg for _, svg, _ in whole], tmp_path)
    for (name, _, shapes), texts in zip(whole, painted, strict=True):
        assert clashes(shapes, [text.box for text in texts]) == [], name
        foreign = [text for text in texts if text.given and abs(text.natural / text.given - 1) > 0.02]
        assert len(foreign) > 10, "another font, whose letters are not as wide"


@pytest.mark.parametrize("name", CHOSEN)
def test_texts_stand_clear_in_poppler(name: str, tmp_path: Path) -> None:
    found = poppler_words(sheet_named(name).to_pdf(), tmp_path)
    for words, (_, shapes) in zip(found, pages(name), strict=True):
        assert clashes(shapes, gathered(words, shapes.writings)) == []


# --- what the judge must find --------------------------------------------


@pytest.fixture
def shapes() -> Shapes:
    return pages("lathe-final")[0][1]


def test_a_word_out_of_its_place_is_found(shapes: Shapes, tmp_path: Path) -> None:
    (words,) = poppler_words(gallery_sheet("lathe-final").to_pdf(), tmp_path)
    (index,) = [index for index, (word, _) in enumerate(words) if word == "Lathe"]
    word, box = words[index]
    for dx, dy in ((300.0, 0.0), (0.0, 30.0)):
        moved = box._replace(
            left=box.left + dx, right=box.right + dx, top=box.top + dy, bottom=box.bottom + dy
        )
        with pytest.raises(JudgeError, match=r"stands in|is written"):
            gathered([*words[:index], (word, moved), *words[index + 1 :]], shapes.writings)
    with pytest.raises(JudgeError, match="is written"):
        gathered([*words[:index], ("Lathc", box), *words[index + 1 :]], shapes.writings)


def test_words_larger_than_they_should_be_are_found(shapes: Shapes, tmp_path: Path) -> None:
    (words,) = poppler_words(gallery_sheet("lathe-final").to_pdf(), tmp_path)
    large = [(word, box._replace(top=box.top - 1.2, bottom=box.bottom + 1.2)) for word, box in words]
    assert clashes(shapes, gathered(large, shapes.writings))
