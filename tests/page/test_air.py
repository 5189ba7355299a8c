"""What a reader needs round words and frames, where rows are not at their closest."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from doorsheet import Sheet, draw, draw_text
from doorsheet.page.display import Area, Group, Item, Page, Pattern, Role, Text, leaves
from tests.bench.sheets import Case, mapping_text
from tests.test_gallery import GALLERY

MACHINES = ("Glasshouse fan 2", "Kartoffelwaschanlage 12", "Sägeblattschleifmaschine")
SMALL = (GALLERY / "more" / "blower.toml").read_text(encoding="utf-8")
SHEETS = [(name, stage) for name in ("engraver", "drill", "fan", "lathe") for stage in ("bench", "final")]
AIR_MM = 0.65


def group(page: Page, ident: str) -> Iterator[Item]:
    return leaves([item for item in page.items if isinstance(item, Group) and item.ident == ident])


def gallery(name: str, stage: str) -> Sheet:
    return draw(GALLERY / f"{name}.toml", stage)


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("paper", ["A5", "A4"])
def test_no_word_of_a_heading_is_broken(machine: str, paper: str) -> None:
    text = SMALL.replace("Glasshouse fan 2", machine)
    assert machine in text
    lines = [i.content for i in group(draw_text(text, "final", paper).page, "heading") if isinstance(i, Text)]
    assert set(machine.split()) <= {word for line in lines for word in line.split()}


@pytest.mark.parametrize(("name", "stage"), SHEETS)
def test_a_label_keeps_off_the_rules_of_its_row(name: str, stage: str) -> None:
    page = gallery(name, stage).page
    (schematic,) = (i for i in page.items if isinstance(i, Group) and i.ident == "schematic")
    rows = [i for i in schematic.items if isinstance(i, Group) and i.ident.startswith("terminal-drive")]
    assert len(rows) > 4
    for row in rows:
        cells = [i for i in leaves(row.items) if isinstance(i, Area) and i.role is Role.CELL]
        top, bottom = (
            f(p.y for p in max(cells, key=lambda c: c.points[2].x - c.points[0].x).points) for f in (min, max)
        )
        for words in (i for i in leaves(row.items) if isinstance(i, Text) and i.role is Role.TEXT):
            if top < words.y < bottom:
                assert words.y - words.cap - top > AIR_MM, words
                assert bottom - words.y > AIR_MM, words


@pytest.mark.parametrize("stage", ["bench", "run-forward", "fault-reset", "jog", "final"])
def test_a_sheet_says_where_its_rail_is_not_drawn_in_order(stage: str) -> None:
    """At a step, what has moved stands in one frame and the rest in another: numbers may not rise."""
    page = draw_text(mapping_text((5,), Case(True, False, False, True)), stage).page
    numbers = [i for i in leaves(page.items) if isinstance(i, Text) and i.bold and i.anchor == "middle"]
    order = [int(i.content) for i in sorted(numbers, key=lambda i: i.y) if i.content.isdigit()]
    order = list(dict.fromkeys(order))  # discs of findings have small numbers, and stand lower
    said = any("not drawn in their order" in i.content for i in leaves(page.items) if isinstance(i, Text))
    assert len(order) > 10
    assert said is (order != sorted(order)) is (stage in ("fault-reset", "jog"))


@pytest.mark.parametrize(("name", "stage"), SHEETS)
def test_symbols_stand_together(name: str, stage: str) -> None:
    places = [item for item in leaves(gallery(name, stage).page.items) if isinstance(item, Pattern)]
    whole = max(p.x + p.side for p in places) - min(p.x for p in places)
    high = max(p.y + p.side for p in places) - min(p.y for p in places)
    side = max(p.side for p in places)
    assert whole * high < 1.9 * len(places) * side * side


@pytest.mark.parametrize(("name", "stage"), SHEETS)
def test_a_frame_ends_below_what_it_holds(name: str, stage: str) -> None:
    items = list(leaves(gallery(name, stage).page.items))
    frames = [i for i in items if isinstance(i, Area) and i.role is Role.DEVICE]
    cells = [i for i in items if isinstance(i, Area) and i.role is Role.CELL]
    assert len(frames) > 1
    for frame in frames:
        (left, top), (right, bottom) = frame.points[0], frame.points[2]
        held = [
            max(point.y for point in cell.points)
            for cell in cells
            if all(left - 1 < x < right + 1 and top < y < bottom + 1 for x, y in cell.points)
        ]
        assert bottom - max(held) > 0.5
