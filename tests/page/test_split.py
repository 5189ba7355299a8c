"""Several sheets: nothing is lost, nothing is cut, every reference leads somewhere."""

from __future__ import annotations

import re
from random import Random

import pytest

from doorsheet import draw_text
from doorsheet.circuit import Stage, join
from doorsheet.circuit.parts import Circuit, Terminal
from doorsheet.layout import Ordered, order_circuit
from doorsheet.mapping import parse_mapping
from doorsheet.page.split import part_sequence, split
from tests.plants import LOOPED_PUMPS
from tests.sheets.sheets import GALLERY, discs

NAMES = ("run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1", "preset-speed-2")


FITTED = [
    "+24V",
    "EXT",
    "DI7",
    "DI6",
    "DI5",
    "DI4",
    "COM",
    "DI3",
    "DI2",
    "DI1",
    "+10V",
    "AI1",
    "AGND",
    "FA",
    "FC",
]


def rig(outputs: str = "isolated", fitted: bool = False) -> str:
    lines = ['machine = "Rig"', "[drive]", 'links = [{ between = ["+24V", "EXT"] }]']
    if fitted:
        lines.append(f"strip = {FITTED}")
    for index, name in enumerate(NAMES, 1):
        lines += [f"[{name}]", f'input = "DI{index}"', 'common = "COM"', "meter = 24"]
        if outputs == "isolated":
            lines.append(f'output = {{ plus = "O{index}+", minus = "O{index}-" }}')
        else:
            lines.append(f'output = {{ kind = "open-collector", signal = "Q{index}", common = "M" }}')
    lines += ["[speed]", 'signal = "AI1"', 'common = "AGND"', 'supply = "+10V"']
    lines += ['source = { signal = "AO1", common = "0V" }', "[fault]", 'terminals = ["FA", "FC"]']
    lines += ['input = { signal = "IN1", common = "24V" }']
    return "\n".join(lines)


def at_most(count: int) -> object:
    def fits(ordered: Ordered) -> bool:
        return len([part for part in ordered.circuit.parts if part.block != "drive"]) <= count

    return fits


def cut(text: str, stage: Stage, count: int) -> tuple[Circuit, tuple[Ordered, ...]]:
    whole = join(parse_mapping(text, "rig.toml"), stage)
    sheets = split(order_circuit(whole), at_most(count))  # type: ignore[arg-type]
    assert sheets is not None
    return whole, sheets


@pytest.mark.parametrize("outputs", ["isolated", "open-collector"])
@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_every_wire_part_and_link_stands_on_exactly_one_sheet(outputs: str, stage: Stage, count: int) -> None:
    whole, sheets = cut(rig(outputs), stage, count)
    assert sorted(wire.number for sheet in sheets for wire in sheet.circuit.wires) == sorted(
        wire.number for wire in whole.wires
    )
    left = [part for sheet in sheets for part in sheet.circuit.parts if part.block != "drive"]
    assert sorted(map(repr, left)) == sorted(repr(part) for part in whole.parts if part.block != "drive")
    for link in whole.links:  # a bridge whose ends stand on two sheets is said on both
        on = [sheet for sheet in sheets if link in sheet.circuit.links]
        ends = [any(end in _pins(sheet) for sheet in on) for end in (link.a, link.b)]
        assert len(on) == 1 or (link.kind == "bridge" and len(on) == 2 and all(ends))
    assert sorted(wire.number for sheet in sheets for wire in sheet.circuit.free_wires) == sorted(
        wire.number for wire in whole.free_wires
    )
    assert {entry for sheet in sheets for entry in sheet.circuit.strip} == set(whole.strip)
    for index, sheet in enumerate(sheets, 1):
        assert (sheet.sheet, sheet.sheets) == (index, len(sheets))


def test_a_loop_that_is_not_fitted_yet_is_told_with_its_own_drive() -> None:
    _, sheets = cut(LOOPED_PUMPS, Stage.BENCH, 3)
    assert any(wire.far.block == "controller" for sheet in sheets for wire in sheet.circuit.free_wires)
    for sheet in sheets:
        assert {wire.drive for wire in sheet.circuit.free_wires} <= {*sheet.circuit.drives}


def _pins(sheet: Ordered) -> set[Terminal]:
    return {pin.terminal for part in sheet.circuit.parts for pin in part.pins}


def test_references_name_the_wires_of_the_other_sheets() -> None:
    _, sheets = cut(rig(), Stage.FINAL, 3)
    for sheet in sheets:
        for reference in (one for one in sheet.elsewhere if one.wires):
            other = sheets[reference.sheet - 1]
            ends = {
                wire.number for wire in other.circuit.wires if reference.terminal in (wire.near, wire.far)
            }
            assert set(reference.wires) == ends
            assert ends
    common = [ref for sheet in sheets for ref in sheet.elsewhere if ref.terminal.label == "COM"]
    assert common


def test_sheets_follow_the_order_of_the_layout() -> None:
    whole, sheets = cut(rig(), Stage.FINAL, 2)
    sequence = list(part_sequence(order_circuit(whole)))
    assert [part for sheet in sheets for part in sheet.circuit.parts if part.block != "drive"] == sequence


def test_as_few_sheets_as_can_be() -> None:
    for count in (1, 2, 3, 4, 9):
        whole, sheets = cut(rig(), Stage.FINAL, count)
        parts = sum(part.block != "drive" for part in whole.parts)
        assert len(sheets) == -(-parts // count)


def test_a_part_that_fits_nowhere_is_said() -> None:
    whole = join(parse_mapping(rig(), "rig.toml"), Stage.FINAL)
    assert split(order_circuit(whole), lambda _: False) is None


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_a_large_installation_is_drawn_on_one_a3_or_several_a4_sheets(stage: str) -> None:
    whole = draw_text(rig(fitted=True), stage)
    assert {len(whole.pages), whole.page.width * whole.page.height} == {1, 297.0 * 420.0}
    sheet = draw_text(rig(fitted=True), stage, "A4")
    assert len(sheet.pages) > 1
    assert len({(page.width, page.height) for page in sheet.pages}) == 1
    assert {sheet.page.width, sheet.page.height} == {210.0, 297.0}
    for number, page in enumerate(sheet.pages, 1):
        svg = sheet.to_svg(number)
        assert f"sheet {number} of {len(sheet.pages)}" in svg
        assert "WARNING: electric shock can kill" in svg
        assert page.source_text == rig(fitted=True)


@pytest.mark.parametrize(("paper", "count", "least"), [("A4", 20, 2), ("A5", 20, 3), ("A3", 20, 1)])
def test_links_that_no_wire_meets_find_room_on_more_sheets(paper: str, count: int, least: int) -> None:
    """Each on one sheet, those that share a terminal on the same one."""
    lines = [f'{{ between = ["X{3 * n}", "X{3 * n + 1}"] }}' for n in range(count - 1)]
    lines.append('{ between = ["X1", "X2"] }')
    text = rig().replace('{ between = ["+24V", "EXT"] }', ", ".join(lines))
    sheet = draw_text(text, "final", paper)
    assert len(sheet.pages) >= least
    said = [" ".join(svg.split()) for svg in map(sheet.to_svg, range(1, len(sheet.pages) + 1))]
    for link in sheet.circuit.links:
        assert sum(f"link to {link.b.label}<" in one for one in said) == 1
        assert [n for n, one in enumerate(said) if f">{link.a.label}<" in one] == [
            n for n, one in enumerate(said) if f">{link.b.label}<" in one
        ]
    assert [one.count(">WARNING: electric shock") for one in said] == [1] * len(said)


@pytest.mark.parametrize("links", [0, 20])
def test_findings_links_and_notes_always_find_room_on_a4(links: int) -> None:
    rng, labels = Random(3), ["DI1", "DI2", "COM", "AI1", "AGND", "+10V"]
    pairs = [rng.sample(labels, 2) for _ in range(100)]
    volts = rng.choices(["5", "-5", "9", "-9", "0.1"], k=100)  # one that destroys leaves nothing else to say
    read = [f'"red on {a}, black on {b}: {v} V, open"' for (a, b), v in zip(pairs, volts, strict=True)]
    linked = [f'{{ between = ["X{n}a", "X{n}b"], note = "' + "fitted " * 30 + '" }' for n in range(links)]
    lathe = (GALLERY / "lathe.toml").read_text(encoding="utf-8")
    links_of = f"[drive]\nlinks = [{', '.join(linked)}]\n"
    text = f"readings = [{', '.join(read)}]\n" + lathe.replace("[drive]\n", links_of, 1)
    text += "\n[sheet]\nnotes = [" + ", ".join(f'"{n} {"a long note " * 24}"' for n in range(20)) + "]\n"
    sheet = draw_text(text, "final", "A4")
    assert len(sheet.findings) > 100 and sheet.stops
    said = [" ".join(sheet.to_svg(n).split()) for n in range(1, len(sheet.pages) + 1)]
    more = re.search(r"\d+ more findings, see the check: ([^.]+)\.", re.sub(r"<[^>]+>\s*", "", said[0]))
    assert more
    codes = {one.code for one in sheet.findings if one.severity != "note"}
    assert set(re.findall(r"[A-Z]\d{3}", more[1])) <= codes
    assert all("shock can kill" in one and "STOP: do not connect" in one for one in said)
    assert sum(one.count("link to X") for one in said) == 2 * links


REEL = """
machine = "Reel"
[drive]
isolated = "yes"
[run-forward]
input = "FWD"
common = "CM"
output = { plus = "A+", minus = "A-" }
meter = 24
[run-reverse]
input = "REV"
common = "CM"
output = { plus = "B+", minus = "B-" }
meter = 24
[fault-reset]
input = "RST"
common = "CM"
output = { plus = "C+", minus = "C-" }
meter = 24
[speed]
signal = "AI"
common = "AG"
reference = "+10V"
potentiometer = { value = "10 kohm", taper = "logarithmic" }
source = { signal = "AO", common = "0V", gives = "0-10 V" }
"""


def test_a_finding_of_a_control_stands_on_the_sheet_with_that_control() -> None:
    """A track that is logarithmic is said where the potentiometer is, and marked at its wiper's row."""
    sheet = draw_text(REEL, "bench", "A5")
    said = [" ".join(sheet.to_svg(n).split()) for n in range(1, len(sheet.pages) + 1)]
    assert len(said) > 1
    assert ["track is" in one for one in said] == [">RV1:2<" in one for one in said]
    with_dial = next(page for page, one in zip(sheet.pages, said, strict=True) if ">RV1:2<" in one)
    assert discs(with_dial)["AI"] == ["1"]
    assert "X101" in [one.code for one in sheet.findings]  # of no control: what it is about is on every sheet
