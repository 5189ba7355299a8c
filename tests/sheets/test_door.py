"""The gallery on A5: read back by the judges that know nothing of us, no text in the way of another."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import assume, event, given
from hypothesis import strategies as st

import doorsheet
from doorsheet import PaperError, Sheet
from tests.judges.overlap import chromium_texts, clashes
from tests.judges.shapes import read_shapes
from tests.sheets.sheets import GALLERY, SHEETS
from tests.sheets.test_generated import few, read
from tests.strategies import Data, small_mappings, toml_text


@cache
def door_sheet(name: str) -> Sheet:
    stem, _, stage = name.rpartition("-")
    return doorsheet.draw(GALLERY / f"{stem}.toml", stage, "A5")


@pytest.mark.parametrize("name", SHEETS)
def test_the_drawing_says_what_the_circuit_says(name: str) -> None:
    read(door_sheet(name))


def test_texts_stand_clear_in_a_browser(tmp_path_factory: pytest.TempPathFactory) -> None:
    svgs = [
        door_sheet(name).to_svg(number)
        for name in SHEETS
        for number in range(1, len(door_sheet(name).pages) + 1)
    ]
    painted = chromium_texts(svgs, tmp_path_factory.mktemp("browser"))
    for svg, found in zip(svgs, painted, strict=True):
        assert len(found) > 20
        assert clashes(read_shapes(svg), [text.box for text in found]) == []


@few
@given(small_mappings(), st.sampled_from(("bench", "final")))
def test_what_fits_a_door_sheet_can_be_read(data: Data, stage: str) -> None:
    try:
        sheet = doorsheet.draw_text(toml_text(data), stage, "A5")
    except PaperError:
        event("fits on no A5")
        assume(False)
    event(f"pages: {len(sheet.pages)}")
    read(sheet)
