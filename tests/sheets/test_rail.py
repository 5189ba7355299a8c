"""A terminal rail between controller and drive: every wire goes through its own terminal, at every stage."""

from __future__ import annotations

import csv
import re
from functools import cache
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import doorsheet
from doorsheet import MappingError, Sheet
from doorsheet.circuit import join
from doorsheet.compare import compare
from doorsheet.mapping import parse_mapping
from doorsheet.page.display import Group, Item, Text
from tests.cli.inside import invoke as run
from tests.judges.geometry import JudgeError, judge
from tests.judges.overlap import chromium_texts, clashes
from tests.judges.shapes import read_shapes
from tests.sheets.sheets import GALLERY, SHEETS
from tests.sheets.test_generated import drawn_somewhere, few, read
from tests.strategies import Data, mappings, toml_text

LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")


def railed(text: str, rail: str = '"X1"') -> str:
    return f"rail = {rail}\n{text}"


@cache
def sheet_of(name: str, paper: str | None = None) -> Sheet:
    stem, _, stage = name.rpartition("-")
    return doorsheet.draw_text(railed((GALLERY / f"{stem}.toml").read_text(encoding="utf-8")), stage, paper)


def passed(sheet: Sheet) -> list[tuple[str, str]]:
    """Return which wire goes through which terminal, as the judge reads it off the drawing."""
    return sorted(
        one for number in range(1, len(sheet.pages) + 1) for one in judge(sheet.to_svg(number)).passed
    )


@pytest.mark.parametrize("name", SHEETS)
def test_every_wire_goes_through_its_terminal(name: str) -> None:
    sheet = sheet_of(name)
    rail = sheet.circuit.rail
    assert rail is not None
    read(sheet)
    assert passed(sheet) == sorted(
        (wire.number, str(rail.number(wire.number))) for wire in sheet.circuit.wires
    )


def test_terminals_count_in_the_order_of_the_wires_and_stay_through_the_stages() -> None:
    text = railed((GALLERY / "fan.toml").read_text(encoding="utf-8"), '{ name = "X2", first = 9 }')
    bench, final = (join(parse_mapping(text, "fan.toml"), stage) for stage in ("bench", "final"))
    assert bench.rail is not None
    assert bench.rail == final.rail
    assert [number for _, number in bench.rail.terminals] == list(range(9, 9 + len(bench.rail.terminals)))
    assert {wire.number for wire in (*bench.wires, *final.wires)} == {
        wire for wire, _ in bench.rail.terminals
    }
    assert {wire.number for wire in bench.wires} != {wire.number for wire in final.wires}
    with pytest.raises(ValueError, match="as it is drawn"):
        bench.rail.label("1")
    drawn = doorsheet.draw_text(text, "bench").circuit.rail
    assert drawn is not None and drawn.label("1") == "X2:9"


LOOPED = (
    'machine = "Shears"\nrail = "X2"\ncontroller.returns = "looped"\n'
    '[run-forward]\ninput = "D1"\ncommon = "DC"\noutput = { plus = "A1", minus = "B1" }\n'
    '[run-reverse]\ninput = "D2"\ncommon = "DC"\noutput = { plus = "A2", minus = "B2" }\n'
    '[speed]\nsignal = "AI"\ncommon = "AC"\nsource = { signal = "AO", common = "M" }\n'
    '[fault]\nterminals = ["R1", "R2"]\ninput = { signal = "E2", common = "P24" }\n'
)
OTHERWISE = (  # drawn in another order than that of the file
    'machine = "Shears"\nrail = "X5"\n'
    '[speed]\nsignal = "AI"\ncommon = "AC"\nsource = { signal = "AO", common = "M" }\n'
    '[drive]\nstrip = ["D1", "D2", "DC", "AI", "AC"]\n'
    '[run-forward]\ninput = "D1"\ncommon = "DC"\noutput = { plus = "A1", minus = "B1" }\n'
    '[run-reverse]\ninput = "D2"\ncommon = "DC"\noutput = { plus = "A2", minus = "B2" }\n'
)


@pytest.mark.parametrize("text", [LOOPED, OTHERWISE], ids=["looped", "otherwise"])
@pytest.mark.parametrize("stage", ["bench", "run-forward", "final"])
def test_lists_give_the_rails_terminals_that_the_sheet_has(tmp_path: Path, text: str, stage: str) -> None:
    """The wire list for spreadsheets, and what a comparison says, against the drawing as a judge reads it."""
    path = tmp_path / "m.toml"
    path.write_text(text)
    said = run("wires", path, "--stage", stage).stdout
    listed = [(row["number"], row["rail"].partition(":")[2]) for row in csv.DictReader(StringIO(said))]
    drawn = passed(doorsheet.draw_text(text, stage))
    assert drawn and sorted(one for one in listed if one[1]) == drawn
    if stage == "final":
        bare = parse_mapping(text.replace("rail =", "#"), "m.toml")
        told = compare(bare, parse_mapping(text, "m.toml"))
        got = {(found[1], found[2]) for change in told.changes
               if (found := re.search(r"wire (\d+), on the rail.*: X\d:(\d+)", change.words))}  # fmt: skip
        assert got == set(drawn)
        tried = {test.what for test in told.retest}
        assert all(any(f"wire {wire}: through from" in one for one in tried) for wire, _ in drawn)


@pytest.mark.parametrize("step", ["bench", "run-forward", "run-reverse", "final"])
def test_texts_stand_clear_on_a_small_sheet_at_every_step(step: str) -> None:
    sheet = doorsheet.draw_text(railed(LATHE), step, "A5")
    for number in range(1, len(sheet.pages) + 1):
        assert clashes(read_shapes(sheet.to_svg(number))) == []


@pytest.mark.parametrize("name", SHEETS)
def test_a_door_sheet_has_room_for_the_rail(name: str) -> None:
    sheet = sheet_of(name, "A5")
    assert {frozenset((page.width, page.height)) for page in sheet.pages} == {frozenset((210.0, 148.0))}
    rail = sheet.circuit.rail
    assert rail is not None
    read(sheet)  # every wire once, nothing over anything else
    assert passed(sheet) == sorted(
        (wire.number, str(rail.number(wire.number))) for wire in sheet.circuit.wires
    )


def test_a_sheet_without_a_rail_has_none() -> None:
    assert passed(doorsheet.draw_text(LATHE)) == []


def flat(items: tuple[Item, ...]) -> list[Item]:
    return [inner for item in items for inner in (flat(item.items) if isinstance(item, Group) else [item])]


def test_the_rails_name_stands_over_its_cells_and_clear_of_the_words_of_a_stop() -> None:
    text = railed(LATHE).replace(
        '{ plus = "OUT1+", minus = "OUT1-" }', '{ kind = "logic-level", signal = "D1", common = "G" }'
    )
    sheet = doorsheet.draw_text(text)
    assert sheet.stops
    items = flat(sheet.page.items)
    name = next(item for item in items if isinstance(item, Text) and item.content == "X1")
    words = next(item for item in items if isinstance(item, Text) and item.content.startswith("STOP: do"))
    first = min(
        item.y for item in items if isinstance(item, Text) and item.content == "1" and item.x == name.x
    )
    assert words.y < name.y - name.cap
    assert name.y < first


def test_texts_stand_clear_in_a_browser(tmp_path_factory: pytest.TempPathFactory) -> None:
    sheets = [sheet_of(name) for name in SHEETS] + [sheet_of("lathe-final", "A5")]
    svgs = [sheet.to_svg(number) for sheet in sheets for number in range(1, len(sheet.pages) + 1)]
    painted = chromium_texts(svgs, tmp_path_factory.mktemp("browser"))
    for svg, found in zip(svgs, painted, strict=True):
        assert clashes(read_shapes(svg), [text.box for text in found]) == []


@few
@given(mappings(most=6), st.sampled_from(("bench", "final")))
def test_generated_wires_go_through_their_terminals(data: Data, stage: str) -> None:
    sheet = drawn_somewhere(railed(toml_text(data)), stage)
    assume(sheet is not None)
    assert sheet is not None and sheet.circuit.rail is not None
    read(sheet)
    rail = sheet.circuit.rail
    assert passed(sheet) == sorted(
        (wire.number, str(rail.number(wire.number))) for wire in sheet.circuit.wires
    )


@pytest.mark.parametrize(
    "rail", ['""', "7", "{ first = 3 }", '{ name = "X1", first = -1 }', '{ name = "X1", last = 9 }']
)
def test_a_rail_that_means_nothing_is_refused(rail: str) -> None:
    with pytest.raises(MappingError, match="rail"):
        parse_mapping(railed(LATHE, rail), "lathe.toml")


# --- what the judge must find --------------------------------------------


@pytest.fixture
def svg() -> str:
    return sheet_of("lathe-final").to_svg()


def rail_cell(svg: str, number: str) -> str:
    match = re.search(rf'<g[^>]*-rail-{number}".*?</g>', svg, flags=re.S)
    assert match is not None
    return match[0]


def test_swapped_rail_numbers_are_read_so(svg: str) -> None:
    before = judge(svg).passed
    one, other = rail_cell(svg, "1"), rail_cell(svg, "2")
    swapped = svg.replace(one, one.replace(">1</text>", ">@</text>")).replace(
        other, other.replace(">2</text>", ">1</text>")
    )
    after = judge(swapped.replace(">@</text>", ">2</text>")).passed
    assert ("1", "1") in before and ("2", "2") in before
    assert ("1", "2") in after and ("2", "1") in after


def test_a_wire_that_goes_past_its_cell_is_seen(svg: str) -> None:
    with pytest.raises(JudgeError):
        judge(svg.replace(rail_cell(svg, "3"), ""))


def test_a_missing_clamp_of_a_cell_is_seen(svg: str) -> None:
    cell = rail_cell(svg, "3")
    circle = re.search(r"<(circle|ellipse)[^>]*?/>", cell)
    assert circle is not None
    with pytest.raises(JudgeError):
        judge(svg.replace(cell, cell.replace(circle[0], "")))


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_who_listens_to_the_sheet_hears_the_rails_terminals(stage: str) -> None:
    sheet = sheet_of(f"lathe-{stage}")
    rail = sheet.circuit.rail
    assert rail is not None
    (drawn,) = (item for item in sheet.page.items if isinstance(item, Group) and item.ident == "schematic")
    groups = {item.ident: item for item in drawn.items if isinstance(item, Group)}
    for wire in sheet.circuit.wires:
        through = f" through X1:{rail.number(wire.number)}, {wire.job}"
        group = groups[f"wire-{wire.number}"]
        assert f"{wire.far.full} to {wire.near.full}{through}" in group.title
        assert through in group.description
        assert f"from {wire.near.full} to {wire.far.full}{through}" in sheet.page.description
    assert "through" not in doorsheet.draw_text(LATHE, stage).page.description
