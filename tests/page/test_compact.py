"""Small sheets: what a door format leaves out, and what it never does."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from doorsheet import Sheet, draw, draw_text
from doorsheet.circuit.parts import Expected, Reading, Terminal
from doorsheet.layout.words import short_reading
from doorsheet.page.display import Area, Group, Item, Page, Role, Stroke, Text
from doorsheet.page.warning import warning_box
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes

GALLERY = Path(__file__).parents[2] / "gallery"
LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")
SHEETS = [(path, stage) for path in sorted(GALLERY.glob("*.toml")) for stage in ("bench", "final")]
SINGLE = [(name, stage) for name in ("lathe", "engraver") for stage in ("bench", "final")]


def flat(items: tuple[Item, ...]) -> Iterator[Item]:
    for item in items:
        if isinstance(item, Group):
            yield from flat(item.items)
        else:
            yield item


def texts(page: Page) -> list[Text]:
    return [item for item in flat(page.items) if isinstance(item, Text)]


def words(page: Page) -> str:
    return " ".join(text.content for text in texts(page))


def door(path: Path, stage: str) -> Sheet:
    return draw(path, stage, "A5")


@pytest.mark.parametrize(("name", "stage"), SINGLE)
def test_six_wires_stand_on_one_sheet_that_lies(name: str, stage: str) -> None:
    sheet = door(GALLERY / f"{name}.toml", stage)
    assert [(page.width, page.height) for page in sheet.pages] == [(210.0, 148.0)]  # A5, ISO 216


@pytest.mark.parametrize(("path", "stage"), SHEETS, ids=lambda value: getattr(value, "stem", value))
def test_every_page_has_the_warning_and_the_cautions(path: Path, stage: str) -> None:
    for page in door(path, stage).pages:
        said = words(page)
        for caution in (
            "WARNING: electric shock can kill", "lethal voltage", "prove dead", "live work",
            "qualified person", "drive's manual", "local code", "validates no safety function",
        ):  # fmt: skip
            assert caution in said
        assert any(isinstance(item, Area) and item.role is Role.SIGN_YELLOW for item in flat(page.items))


def test_the_warning_has_the_same_words_as_on_a_full_sheet() -> None:
    for discharge in ("10 min", None):
        full = " ".join(
            item.content for item in flat(warning_box(discharge, 156.0).items) if isinstance(item, Text)
        )
        text = LATHE if discharge else LATHE.replace("discharge =", "# discharge =")
        assert full in words(draw_text(text, paper="A5").page)


@pytest.mark.parametrize(("path", "stage"), SHEETS, ids=lambda value: getattr(value, "stem", value))
def test_letters_are_as_high_as_on_a_full_sheet(path: Path, stage: str) -> None:
    sheet = door(path, stage)
    labels = {entry.terminal.label for entry in sheet.circuit.strip}
    for page in sheet.pages:
        assert min(text.cap for text in texts(page)) >= 2.5
        assert max(text.cap for text in texts(page)) == 5.0
        bold = [text for text in texts(page) if text.bold and text.content in labels]
        assert bold
        assert {text.cap for text in bold} == {3.5}


def test_captions_and_wire_table_go_and_function_words_stay() -> None:
    full, small = draw_text(LATHE).page, draw_text(LATHE, paper="A5").page
    for function in ("run forward", "run reverse", "switch common", "speed signal"):
        assert function in words(small)
    assert [text.content for text in texts(full)].count("run forward") > 1
    assert [text.content for text in texts(small)].count("run forward") == 1
    assert "wire-table" not in {item.ident for item in small.items if isinstance(item, Group)}
    assert {"S1", "S2", "RV1"} <= {text.content for text in texts(draw_text(LATHE, "bench", "A5").page)}


def test_short_readings_stand_over_the_wires_and_the_rest_below() -> None:
    page = draw_text(LATHE, paper="A5").page
    said = [text.content for text in texts(page)]
    assert said.count("24.3 V open") == 2
    assert "0 to 10 V" in said
    assert "Closed: wires 1, 3: 0 to 0.4 V*." in words(page)
    assert "* by default" in words(page)  # so the mark leads somewhere
    assert "Off: wire 7 BU." in words(page)


def test_a_closed_reading_that_nobody_knows_is_a_blank_for_each_wire() -> None:
    page = door(GALLERY / "conveyor.toml", "final").page
    blanks = [wire.number for wire in door(GALLERY / "conveyor.toml", "final").circuit.wires][:1]
    assert f"wire {blanks[0]}: ______ V" in words(page)


def test_chosen_colours_are_named_by_wire_as_there_is_no_table() -> None:
    text = LATHE.replace('wires  = { signal = "grey", common = "pink", supply = "blue" }', "")
    page = draw_text(text, paper="A5").page
    assert "Colour chosen by this sheet, not given: wires 5 and 6." in words(page)
    assert "†" not in words(page)


def test_the_title_row_has_values_blanks_and_the_scale_bar() -> None:
    page = draw_text(LATHE, paper="A5").page
    row = next(item for item in page.items if isinstance(item, Group) and item.ident == "title-block")
    inside = list(flat(row.items))
    said = [item.content for item in inside if isinstance(item, Text)]
    for label in ("source", "date", "revision", "drawn by", "sheet", "1 of 1", "50 mm"):
        assert label in said
    assert len([item for item in inside if isinstance(item, Stroke) and item.role is Role.BLANK]) == 3
    filled = LATHE + '\n[sheet]\ndrawn-by = "Workshop"\ndate = 2026-11-25\nrevision = "B"\n'
    page = draw_text(filled, paper="A5").page
    assert not [item for item in flat(page.items) if isinstance(item, Stroke) and item.role is Role.BLANK]
    bars = [item for item in flat(page.items) if isinstance(item, Stroke) and item.role is Role.SCALE]
    assert max(abs(bar.points[1].x - bar.points[0].x) for bar in bars) == pytest.approx(50.0, abs=1e-9)


def test_blanks_are_long_enough_for_a_hand() -> None:
    page = draw_text(LATHE, paper="A5").page
    blanks = [item for item in flat(page.items) if isinstance(item, Stroke) and item.role is Role.BLANK]
    assert min(blank.points[1].x - blank.points[0].x for blank in blanks) >= 15.0


def test_a_stop_marks_a_small_sheet_across_between_the_devices() -> None:
    text = LATHE.replace("meter  = 24.3 ", "meter  = 24.3\nmeter-closed = 24.2 ", 1).replace(
        '{ plus = "OUT1+", minus = "OUT1-" }', '{ kind = "logic-level", signal = "D1", common = "G" }'
    )
    sheet = draw_text(text, paper="A5")
    assert sheet.stops
    for page in sheet.pages:
        marks = [item for item in flat(page.items) if isinstance(item, Area) and item.role is Role.STOP_MARK]
        frames = [item for item in flat(page.items) if isinstance(item, Area) and item.role is Role.DEVICE]
        assert len(marks) == 1
        left, right = (bound(point.x for point in marks[0].points) for bound in (min, max))
        for frame in frames:
            assert (
                max(point.x for point in frame.points) <= left
                or min(point.x for point in frame.points) >= right
            )
    assert sheet.stops[0].code in " ".join(words(page) for page in sheet.pages)


def test_full_papers_keep_the_full_sheet() -> None:
    for paper in (None, "A4", "A3", "Letter"):
        idents = {item.ident for item in draw_text(LATHE, paper=paper).page.items if isinstance(item, Group)}
        assert "wire-table" in idents


def reading(text: str, *values: Expected) -> Reading:
    return Reading("1", Terminal("drive", "DI1"), None, text, "rule", values)


COMPUTED = Expected("stopped", 0.0, 0.0, "V", "computed", "")


@pytest.mark.parametrize(
    ("said", "short", "rest"),
    [
        (reading("open 24.3 V, closed 0 V"), "24.3 V open", "0 V"),
        (reading("open −12.2 V, closed 0 to −0.4 V*"), "−12.2 V open", "0 to −0.4 V*"),
        (reading("open ______ V, closed ______ V"), "______ V open", "______ V"),
        (reading("0 V stopped, 10 V full speed"), "0 to 10 V", ""),
        (reading("4 mA stopped, 20 mA full speed"), "4 to 20 mA", ""),
        (reading("0 V low end, ______ V high end"), "0 to ______ V", ""),
        (reading("contact closed at rest"), "closed at rest", ""),
        (reading("______ V"), "______ V", ""),
        (reading("stop 0, half 4.97, full 9.94 V", COMPUTED), "0 to 9.94 V", ""),
        (reading("low 0, top 9.7–9.9 V", COMPUTED), "low 0, top 9.7–9.9 V", ""),
    ],
    ids=lambda value: value.text if isinstance(value, Reading) else "",
)
def test_short_forms_of_readings(said: Reading, short: str, rest: str) -> None:
    assert short_reading(said) == (short, rest)


@pytest.mark.parametrize("name", ["W" * 40, "W" * 60])
@pytest.mark.parametrize("final", ["final", "bench"])
def test_a_long_name_in_the_title_row_leaves_the_other_cells_their_labels(name: str, final: str) -> None:
    text = LATHE.replace("[drive]\n", f'[sheet]\ndrawn-by = "{name}"\n[drive]\n', 1)
    sheet = draw_text(text, final, "A5")
    for number, page in enumerate(sheet.pages, 1):
        assert {"source", "date", "revision", "drawn by", "sheet"} <= {one.content for one in texts(page)}
        assert clashes(read_shapes(sheet.to_svg(number))) == []
