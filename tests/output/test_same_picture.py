"""SVG, PDF and PNG are one drawing: four renderers that share no code must show the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from doorsheet.page.display import Group, Item, Page, Role, Stroke, Text
from doorsheet.page.style import PENS, WIRE_CORE_MM, WIRE_EDGE_MM, ink_colour
from tests.output.pixels import RENDERERS, Pixels, along, drawn, misplaced, render, share_of
from tests.output.sample import line, sample_page

# Pixels of the worst square of 1600.  Measured: below 10 in Chromium and poppler; the smallest item of the
# sample, left out, makes 42; see the tests of the comparison below.
TOLERANCE = 20


def without_texts(items: Iterable[Item]) -> Iterator[Item]:
    for item in items:
        match item:
            case Text():
                pass
            case Group():
                yield replace(item, items=tuple(without_texts(item.items)))
            case _:
                yield item


@pytest.mark.parametrize("how", ["chromium", "poppler"])
def test_whole_sheet_agrees(how: str, tmp_path: Path) -> None:
    page = sample_page()
    assert misplaced(drawn(page), render(page, how, tmp_path)) < TOLERANCE


def test_lines_agree_in_an_engine_that_fits_texts_its_own_way(tmp_path: Path) -> None:
    # librsvg knows neither textLength nor font-kerning: letter pairs such as AV stand closer there
    page = replace(sample_page(), items=tuple(without_texts(sample_page().items)))
    assert misplaced(drawn(page), render(page, "rsvg", tmp_path)) < TOLERANCE


@pytest.mark.parametrize("role", [Role.WIRE_FREE, Role.SYMBOL_SOLID, Role.SCREEN])
def test_the_comparison_sees_what_is_missing(role: Role) -> None:
    page = sample_page()
    lacking = replace(page, items=tuple(item for item in page.items if getattr(item, "role", None) != role))
    assert len(lacking.items) < len(page.items)
    assert misplaced(drawn(page), drawn(lacking)) > TOLERANCE


def test_the_comparison_sees_a_moved_wire_and_a_wrong_colour() -> None:
    way, moved = ((50, 50), (100, 50)), ((50, 50.5), (100, 50.5))

    def picture(points: tuple[tuple[float, float], ...], ink: str) -> Pixels:
        items = (line(Role.WIRE_EDGE, *points), line(Role.WIRE_CORE, *points, ink=ink))
        return drawn(replace(sample_page(), items=items))

    assert misplaced(picture(way, "BN"), picture(moved, "BN")) > TOLERANCE
    assert misplaced(picture(way, "WH"), picture(way, "BN")) > TOLERANCE


@pytest.fixture(scope="module")
def wire_page() -> Page:
    ways = {"GN": 40.0, "WH": 60.0, "BU": 80.0}
    tracers = {"GN": "YE", "WH": "BN", "BU": "RD"}
    items: list[Stroke] = []
    for ink, y in ways.items():
        way = ((50.0, y), (150.0, y))
        items += [
            line(Role.WIRE_EDGE, *way),
            line(Role.WIRE_CORE, *way, ink=ink),
            line(Role.WIRE_TRACER, *way, ink=tracers[ink]),
        ]
    items += [line(Role.WIRE_FREE, (50, 100), (150, 100)), line(Role.LINK, (50, 120), (150, 120))]
    return replace(sample_page(), items=tuple(items))


@pytest.mark.parametrize("how", RENDERERS)
def test_strokes_look_as_the_table_says(how: str, wire_page: Page, tmp_path: Path) -> None:
    picture = render(wire_page, how, tmp_path)
    for first, second, y_mm in (("GN", "YE", 40), ("WH", "BN", 60), ("BU", "RD", 80)):
        core = along(picture, y_mm, 50, 150)
        # dashes are 16 pixels long at 200 dpi, of which the two at the joints are mixed
        assert share_of(core, ink_colour(first)) == pytest.approx(0.5, abs=0.08)
        assert share_of(core, ink_colour(second)) == pytest.approx(0.5, abs=0.08)
        edge = (WIRE_EDGE_MM + WIRE_CORE_MM) / 4  # from the wire's middle to that of its edge
        for side in (-1, 1):
            offsets = (edge - 0.1, edge, edge + 0.1)
            rows = [along(picture, y_mm + side * off, 50, 150).max(axis=-1).mean() for off in offsets]
            assert min(rows) < 80, "a dark edge on both sides"
    free = along(picture, 100, 50, 150).max(axis=-1)
    assert 0.35 < (free > 250).mean() < 0.65, "a wire that is free is dashed"
    column = picture[:, round(100 / 25.4 * 200)].max(axis=-1)
    link = column[round(118 / 25.4 * 200) : round(122 / 25.4 * 200)]
    inked_dots = float((255 - link).sum()) / (255 - 0x1A)
    assert inked_dots == pytest.approx(PENS[Role.LINK].width_mm / 25.4 * 200, abs=0.6)
    assert np.array_equal(picture[5, 5], [255, 255, 255])


@pytest.mark.parametrize("how", RENDERERS)
def test_later_items_cover_earlier_ones(how: str, tmp_path: Path) -> None:
    picture = render(sample_page(), how, tmp_path)
    assert share_of(along(picture, 60, 110.6, 112), "#ffffff") == 1, "the plate lies on its wire"
