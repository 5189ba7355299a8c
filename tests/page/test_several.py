"""Sheets of several drives: every wire once, read back from the drawing, each drive in a frame of its own."""

from __future__ import annotations

import re
import time
from collections import Counter
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import HealthCheck, Phase, assume, event, given, settings
from hypothesis import strategies as st

from doorsheet import PaperError, Sheet, draw_text
from doorsheet.circuit import join
from doorsheet.electrics import solve
from doorsheet.layout import order_circuit
from doorsheet.mapping import parse_mapping
from doorsheet.page.display import Item, Text, leaves
from doorsheet.page.split import part_sequence, split
from tests.judges.geometry import Connection, Drawn, judge, judge_shapes, seen_through
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes
from tests.plants import TWO_PUMPS, plant
from tests.sheets.test_generated import EXAMPLES
from tests.strategies import CONTROLS, Data, mappings, toml_text

STAGES = ("bench", "final")
STEPS = ("bench", "pump-1.run-forward", "pump-1.speed", "pump-2.run-forward", "pump-2.speed", "final")


def read_back(sheet: Sheet) -> list[Drawn]:
    """Read every page with the judge that knows nothing of us; nothing on it may touch anything else."""
    pages = []
    for number in range(1, len(sheet.pages) + 1):
        shapes = read_shapes(sheet.to_svg(number))
        assert clashes(seen_through(shapes)) == []
        pages.append(judge_shapes(shapes))
    return pages


def wanted(sheet: Sheet) -> Counter[Connection]:
    """Count the connections of the circuit by what a reader sees: labels repeat from drive to drive."""
    return Counter(
        Connection(wire.near.label, wire.number, wire.colour.letters, wire.far.label)
        for wire in sheet.circuit.wires
    )


def words(items: Sequence[Item]) -> Iterator[str]:
    return (item.content for item in leaves(items) if isinstance(item, Text))


def said(sheet: Sheet, number: int = 1) -> str:
    return " ".join(words(sheet.pages[number - 1].items))


@pytest.mark.parametrize("stage", STEPS)
@pytest.mark.parametrize("paper", [None, "A3"])
@pytest.mark.parametrize("head", ["", 'rail = "X1"\n'])
def test_two_pumps_with_a_shared_0v_are_drawn_as_they_are_joined(
    stage: str, paper: str | None, head: str
) -> None:
    sheet = draw_text(head + TWO_PUMPS, stage, paper)
    assert ("X1" in said(sheet, len(sheet.pages))) is bool(head)
    drive, _, control = stage.partition(".")
    words = f"changeover, {drive} {control.replace('-', ' ')} moved to the controller"
    assert (words in said(sheet)) is bool(control)
    pages = read_back(sheet)
    assert Counter(one for page in pages for one in page.connections) == wanted(sheet)
    if paper == "A3":
        assert len(pages) == 1
        assert pages[0].crossings == order_circuit(sheet.circuit).ordering.crossings


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize(("drives", "wires"), [(6, 60)])
def test_a_large_installation_is_sheets_of_a4_with_every_wire_once(
    drives: int, wires: int, stage: str
) -> None:
    start = time.perf_counter()
    sheet = draw_text(plant(drives), stage, "A4")
    took_s = time.perf_counter() - start
    counts = f"{len(sheet.circuit.wires)} wires, {len(sheet.pages)} sheets"
    print(f"{drives} drives, {stage}: {counts}, {took_s:.2f} s")
    assert len(sheet.circuit.wires) == (wires if stage == "final" else wires - drives)
    assert {tuple(sorted((page.width, page.height))) for page in sheet.pages} == {(210.0, 297.0)}
    pages = read_back(sheet)
    assert Counter(one for page in pages for one in page.connections) == wanted(sheet)
    for number in range(1, len(pages) + 1):
        text = said(sheet, number)
        assert f"sheet {number} of {len(pages)}" in text
        assert "WARNING: electric shock can kill" in text
        assert "wait 10 min (as given for these drives)" in text


@pytest.mark.parametrize("stage", STAGES)
def test_frames_stand_one_under_the_other_in_the_order_of_the_file(stage: str) -> None:
    sheet = draw_text(plant(3), stage, "A3")
    frames = [
        title
        for page in sheet.pages
        for title in words(page.items)
        if title.startswith("pump-") and title.endswith("kW drive")
    ]
    assert frames == ["pump-1: 2.5 kW drive", "pump-2: 3.5 kW drive", "pump-3: 1.5 kW drive"]


def test_strips_of_drives_never_mix() -> None:
    ordering = order_circuit(join(parse_mapping(plant(6), "m.toml"), "final")).ordering
    blocks = [cluster.block for cluster in ordering.right]
    assert blocks == sorted(blocks)
    assert len(set(blocks)) == 6


def test_a_strip_as_fitted_stands_as_it_is_given() -> None:
    strip = ["+10V", "AGND", "AI1", "DI1", "DI2", "COM", "RC", "RA"]
    text = TWO_PUMPS.replace('discharge = "10 min"', f'discharge = "10 min"\nstrip = {strip}')
    sheet = draw_text(text, "final", "A3")
    order = [
        terminal.label
        for cluster in order_circuit(sheet.circuit).ordering.right
        for terminal in cluster.terminals
        if terminal.home == ("drive", "pump-1")
    ]
    assert order == [label for label in strip if label != "DI2"]
    (page,) = read_back(sheet)
    assert Counter(page.connections) == wanted(sheet)


def test_the_sheet_says_which_drive_a_frame_is() -> None:
    text = said(draw_text(TWO_PUMPS, "final", "A3"))
    assert "pump-1: 1.5 kW drive" in text and "pump-2: 0.75 kW drive" in text
    assert "pump-1: SW1: set to down." in text
    assert "pump-2: serial: SN 0815." in text


# --- the time to wait ----------------------------------------------------


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ('discharge = "10 min"', 'discharge = "10 min"', "wait 10 min (as given for these drives)"),
        (
            'discharge = "10 min"',
            'discharge = "5 min"',
            "wait 10 min at pump-1, 5 min at pump-2 (as given for these drives)",
        ),
        ('discharge = "10 min"', "", "wait __________ (copy the longest time from the drives' labels)"),
        ('discharge = "unknown"', 'discharge = "5 min"', "wait __________ (copy the longest"),
    ],
)
def test_the_warning_is_for_all_drives_on_every_sheet(first: str, second: str, expected: str) -> None:
    text = TWO_PUMPS.replace('discharge = "5 min"', second).replace('discharge = "10 min"', first)
    if second.startswith('discharge = "10'):
        text = TWO_PUMPS.replace('discharge = "5 min"', second)
    sheet = draw_text(text)
    for number in range(1, len(sheet.pages) + 1):
        assert expected in said(sheet, number)
        if "____" in expected:
            assert "min" not in said(sheet, number).partition("prove dead")[0].partition("wait")[2]


# --- cutting -------------------------------------------------------------


def test_drives_are_cut_apart_before_a_drive_is_cut() -> None:
    ordered = order_circuit(join(parse_mapping(plant(4), "m.toml"), "final"))
    sequence = [part.drive for part in part_sequence(ordered)]
    assert sequence == sorted(sequence)
    parts_of_a_drive = sequence.count("pump-1")
    most = 2 * parts_of_a_drive + 1
    sheets = split(ordered, lambda cut: sum(part.block != "drive" for part in cut.circuit.parts) <= most)
    assert sheets is not None
    for sheet in sheets:
        drives = {wire.drive for wire in sheet.circuit.wires}
        assert {wire.number for wire in sheet.circuit.wires} == {
            wire.number for wire in ordered.circuit.wires if wire.drive in drives
        }


def test_a_shared_terminal_names_its_other_wires_and_their_sheet() -> None:
    more = [
        f'[drives.pump-2.{name}]\ninput = "DI{n}"\ncommon = "COM"\n'
        f'output = {{ plus = "R{n}+", minus = "R{n}-" }}'
        for n, name in enumerate(("jog", "preset-speed-1", "preset-speed-2"), 4)
    ]
    first, second = cut = draw_text("\n".join([plant(2), *more]), paper="A4").pages
    sheet = draw_text("\n".join([plant(2), *more]), paper="A4")
    of_1l = {drive: [w.number for w in sheet.circuit.wires if w.near.label == "1L" and w.drive == drive]
             for drive in ("pump-1", "pump-2")}  # fmt: skip
    assert f"1L: also wires {', '.join(of_1l['pump-2'])} on sheet 2." in " ".join(words(first.items))
    assert f"1L: also wires {', '.join(of_1l['pump-1'])} on sheet 1." in " ".join(words(second.items))
    # no drive is cut: what its own terminals hold is all on one sheet
    assert not any("COM: also wire" in " ".join(words(page.items)) for page in cut)


PUMPS = """
machine = "Two pumps"
[drives.p1.run-forward]
input = "F"
common = "C"
output = { plus = "2+", minus = "2-" }
[drives.p1.speed]
signal = "A"
common = "G"
source = { signal = "AO1", common = "M", gives = "0-10 V" }
[drives.p2.run-forward]
input = "F"
common = "C"
output = { plus = "3+", minus = "3-" }
[drives.p2.speed]
signal = "A"
common = "G"
[drives.p2.speed.source]
kind = "pulse"
signal = "P2"
common = "M"
[drives.p2.speed.source.converter]
name = "U1"
input = "I"
input-common = "IC"
output = "O"
output-common = "OC"
supply-terminal = "V"
supply-from = "L+"
"""


def test_a_shared_terminal_names_the_conductor_that_sits_there_not_the_one_behind_a_converter() -> None:
    """And the wire that feeds the converter is drawn where the converter is, on no other sheet."""
    joined = solve(parse_mapping(PUMPS, "m.toml"), "final").circuit.wires
    at_m = {wire.number for wire in joined if wire.near.label == "M"}
    (fed,) = (wire.number for wire in joined if wire.near.label == "L+")
    sheet = draw_text(PUMPS, "final", "A5")
    pages = [said(sheet, n) for n in range(1, len(sheet.pages) + 1)]
    named = [number for page in pages for number in re.findall(r"M: also wires (\w+) on sheet", page)]
    assert len(named) == 2 and set(named) == at_m
    drawn = [judge(sheet.to_svg(n)).connections for n in range(1, len(sheet.pages) + 1)]
    feeds = [[(one.left, one.right) for one in page if one.number == fed] for page in drawn]
    assert feeds == [[("L+", "U1:V")] if "U1" in page else [] for page in pages]
    assert sum("U1" in page for page in pages) == 1 < len(pages)


def test_a_finding_stands_on_the_sheet_of_its_drive() -> None:
    text = plant(6).replace(
        'name = "1.5 kW drive"\ndischarge = "10 min"\nconductors-per-terminal = 4',
        'name = "1.5 kW drive"\ndischarge = "10 min"\nconductors-per-terminal = 2',
    )
    sheet = draw_text(text)
    crowded = [finding for finding in sheet.findings if finding.code == "T103"]
    assert [finding.drive for finding in crowded] == ["pump-3", "pump-6"]
    pages = [said(sheet, n) for n in range(1, len(sheet.pages) + 1)]
    for finding in crowded:
        name = finding.drive
        (own,) = (page for page in pages if f"{name}: 1.5 kW drive" in page)
        others = [page for page in pages if page != own]
        # what has no room is counted, never left out without a word
        assert f"{name}: 3 wires" in own or "more finding" in own
        assert not any(f"{name}: 3 wires" in other for other in others)
    assert any("pump-3: 3 wires" in page for page in pages)


# --- drives made up at random --------------------------------------------


@settings(
    max_examples=max(4, EXAMPLES // 8),
    deadline=None,
    derandomize=True,
    database=None,
    phases=(Phase.generate,),
    suppress_health_check=list(HealthCheck),
)
@given(st.lists(mappings(most=3), min_size=2, max_size=4), st.sampled_from(STAGES))
def test_whatever_the_drives_every_sheet_says_what_the_circuit_says(datas: list[Data], stage: str) -> None:
    shared = ("machine", "sheet", "controller", "cables", "stop", "region")
    whole: Data = {key: value for key, value in datas[0].items() if key in shared}
    drives: Data = {}
    for name, data in zip(("a", "pump-1", "extruder-left-16", "B_2"), datas, strict=False):
        drive = data.get("drive", {})
        assert isinstance(drive, dict)
        drives[name] = drive | {key: value for key, value in data.items() if key in CONTROLS}
    whole["drives"] = drives
    assume(all(set(data) & set(CONTROLS) for data in datas))
    try:
        sheet = draw_text(toml_text(whole), stage)
    except PaperError:
        assume(False)
    event(f"pages: {len(sheet.pages)}")
    assert Counter(one for page in read_back(sheet) for one in page.connections) == wanted(sheet)
