"""The gallery is whole, and what is committed there is what its mappings draw today."""

from __future__ import annotations

from pathlib import Path

import pytest

from doorsheet import draw, recover
from gallery.redraw import GALLERY, MORE, PAPERS, SHEETS, STAGES, Paper, file_name, index, mappings, sheets

ENDINGS = ("svg", "pdf", "png")
REDRAW = "run: python gallery/redraw.py"


def test_six_machines() -> None:
    assert len(mappings()) == 6


def test_every_sheet_is_there_and_no_other() -> None:
    wanted = {
        file_name(mapping, stage, ending)
        for mapping in mappings()
        for stage in ("bench", "final")
        for ending in ENDINGS
    }
    assert len(wanted) == 6 * 2 * 3
    assert {path.name for path in SHEETS.iterdir()} == wanted, REDRAW


@pytest.mark.parametrize("mapping", mappings(), ids=lambda path: path.stem)
def test_svg_sheets_are_current(mapping: Path) -> None:
    for stage, sheet in sheets(mapping):
        committed = SHEETS / file_name(mapping, stage, "svg")
        assert committed.read_bytes() == sheet.to_svg().encode(), REDRAW


@pytest.mark.parametrize("paper", MORE, ids=lambda paper: paper.name)
def test_other_papers_are_current(paper: Paper) -> None:
    assert (PAPERS / f"{paper.name}.svg").read_bytes() == paper.svg(GALLERY / paper.mapping), REDRAW


def test_every_other_mapping_is_shown() -> None:
    assert {path.name for path in (GALLERY / "more").iterdir()} <= {Path(one.mapping).name for one in MORE}
    assert {path.stem for path in PAPERS.iterdir()} == {one.name for one in MORE}, REDRAW
    assert [path.name for path in sorted((GALLERY / "more").iterdir()) if draw(path).stops] == [
        "press.toml"
    ], "only the one that is to show a stop has one"


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("mapping", mappings(), ids=lambda path: path.stem)
def test_sheets_carry_the_mapping_as_it_is(mapping: Path, ending: str) -> None:
    for stage in STAGES:
        carried = recover(SHEETS / file_name(mapping, stage, ending))
        assert (carried.name, carried.text) == (mapping.name, mapping.read_bytes().decode()), REDRAW


@pytest.mark.parametrize("mapping", mappings(), ids=lambda path: path.stem)
def test_sheets_are_fit_to_be_shown(mapping: Path) -> None:
    for stage, sheet in sheets(mapping):
        assert not sheet.stops, f"{stage}: {sheet.stops}"


def test_index_is_current() -> None:
    assert (GALLERY / "README.md").read_bytes() == index().encode(), REDRAW


def test_index_says_a_sentence_and_links_every_file() -> None:
    page = index()
    for part in page.split("\n## ")[1:]:
        if part.startswith("At a glance"):
            continue
        assert part.splitlines()[2].partition(" Mapping: ")[0].endswith("."), part
    for mapping in mappings():
        assert f"({mapping.name})" in page
        for stage in STAGES:
            for ending in ENDINGS:
                assert f"(sheets/{file_name(mapping, stage, ending)})" in page
