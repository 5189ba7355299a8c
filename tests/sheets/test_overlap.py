"""No text of the gallery's sheets is in the way of another: by our measure, in a browser and in the PDF."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.judges.overlap import Painted, chromium_texts, clashes, outside, pdf_texts, text_clashes
from tests.judges.shapes import Box, read_shapes
from tests.sheets.sheets import SHEETS, gallery_sheet, gallery_svgs


@pytest.fixture(scope="module")
def painted(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Painted]]:
    """Every page of the gallery, by its SVG, as a browser lays its texts out, all in one start of it."""
    svgs = [svg for name in SHEETS for svg in gallery_svgs(name)]
    return dict(zip(svgs, chromium_texts(svgs, tmp_path_factory.mktemp("browser")), strict=True))


@pytest.mark.parametrize("name", SHEETS)
def test_texts_stand_clear_by_our_own_measure(name: str) -> None:
    for svg in gallery_svgs(name):
        assert clashes(read_shapes(svg)) == []


@pytest.mark.parametrize("name", SHEETS)
def test_texts_stand_clear_in_a_browser(name: str, painted: dict[str, list[Painted]]) -> None:
    for svg in gallery_svgs(name):
        shapes = read_shapes(svg)
        assert [text.content for text in painted[svg]] == [text.content for text in shapes.writings]
        assert len(painted[svg]) > 50
        assert clashes(shapes, [text.box for text in painted[svg]]) == []


@pytest.mark.parametrize("name", SHEETS)
def test_a_browser_needs_the_widths_that_we_give(name: str, painted: dict[str, list[Painted]]) -> None:
    wrong = [
        (text.content, text.natural, text.given)
        for svg in gallery_svgs(name)
        for text in painted[svg]
        if text.given is None or abs(text.natural / text.given - 1) > 0.02
    ]
    assert wrong == []


@pytest.mark.parametrize("name", SHEETS)
def test_texts_stand_clear_in_the_pdf(name: str) -> None:
    pages = pdf_texts(gallery_sheet(name).to_pdf())
    for found, svg in zip(pages, gallery_svgs(name), strict=True):
        shapes = read_shapes(svg)
        assert sorted(text for text, _ in found) == sorted(text.content for text in shapes.writings)
        assert text_clashes(found) + outside(found, shapes.frame) == []


# --- what the judge must find --------------------------------------------


def moved_text(svg: str, content: str, dx: float, dy: float) -> str:
    match = re.search(rf'<text ([^>]*)x="([^"]*)" y="([^"]*)"([^>]*)>{re.escape(content)}</text>', svg)
    assert match is not None
    x, y = float(match[2]) + dx, float(match[3]) + dy
    return svg.replace(match[0], f'<text {match[1]}x="{x:g}" y="{y:g}"{match[4]}>{content}</text>')


@pytest.fixture
def svg() -> str:
    text = gallery_sheet("lathe-final").to_svg()
    assert clashes(read_shapes(text)) == []
    return text


def test_a_text_on_a_text_is_found(svg: str) -> None:
    words = {
        text.content: text.box for text in read_shapes(svg).writings if text.content in ("date", "number")
    }
    dx = words["date"].left - words["number"].left
    found = clashes(read_shapes(moved_text(svg, "number", dx, 0.5)))
    assert any('"date" and "number" overlap' in one or '"number" and "date" overlap' in one for one in found)


def test_a_text_on_a_wire_is_found(svg: str) -> None:
    assert any("a line runs over" in one for one in clashes(read_shapes(moved_text(svg, "COM", -40, 8.0))))


def test_a_text_off_the_page_is_found(svg: str) -> None:
    assert any(
        "leaves the frame" in one for one in clashes(read_shapes(moved_text(svg, "run forward", 60, 0)))
    )


def test_a_text_too_long_for_what_it_stands_in_is_found_in_a_browser(svg: str, tmp_path: Path) -> None:
    without = re.sub(r' textLength="[^"]*"', "", svg).replace(
        ">DI1</text>", ">DI1 and much more than fits</text>"
    )
    shapes = read_shapes(without)
    texts = chromium_texts([without], tmp_path)[0]
    assert clashes(shapes, [text.box for text in texts])


def test_boxes_that_only_touch_do_not_overlap() -> None:
    one, other = Box(0, 0, 10, 3), Box(10, 0, 20, 3)
    assert text_clashes([("a", one), ("b", other)]) == []
    assert len(text_clashes([("a", one), ("b", Box(9.9, 0, 20, 3))])) == 1
    assert outside([("a", Box(0, 0, 10, 3.1))], one) == ['"a" leaves the frame at 0.00, 0.00']
