"""Bridges and looped returns are drawn where they sit: read off the drawing, beside the mapping's words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from doorsheet import Sheet, draw_text
from doorsheet.electrics import solve
from doorsheet.mapping import parse_mapping
from doorsheet.page import surroundings
from tests.judges.geometry import Drawn, JudgeError, judge
from tests.judges.names import plain_names
from tests.judges.shapes import read_shapes
from tests.older import older
from tests.sheets.sheets import nowhere
from tests.wanted import bench_bridges, loops, rail_returns

CONVEYOR = (Path(__file__).parents[2] / "gallery" / "conveyor.toml").read_text(encoding="utf-8")
NAMES = ("run-forward", "run-reverse", "fault-reset", "preset-speed-1")


def looped(count: int, extra: str = "", strip: str = "") -> str:
    lines = ['machine = "Kiln fan"', "[controller]", 'returns = "looped"', "[drive]", strip]
    for n, name in enumerate(NAMES[:count], 1):
        lines += [f"[{name}]", f'input = "DI{n}"', 'common = "COM"', "meter = 24.3"]
        lines.append(f'output = {{ plus = "DO{n}+", minus = "DO{n}-" }}')
    return "\n".join([*lines, extra])


def pages(text: str, stage: str, paper: str | None = None) -> tuple[Drawn, ...]:
    sheet = draw_text(text, stage, paper)
    return tuple(judge(sheet.to_svg(number)) for number in range(1, len(sheet.pages) + 1))


def written(sheet: Sheet, page: int) -> str:
    return " ".join(text.content for text in read_shapes(sheet.to_svg(page)).writings)


def joined(pairs: set[frozenset[str]]) -> set[frozenset[str]]:
    """Put together what pairs join."""
    groups: set[frozenset[str]] = set()
    for pair in pairs:
        touching = {group for group in groups if group & pair}
        groups = (groups - touching) | {pair.union(*touching)}
    return groups


def read_off(drawn: Drawn) -> tuple[set[frozenset[str]], set[frozenset[str]]]:
    return {frozenset(pair) for pair in drawn.links}, {frozenset((w.left, w.right)) for w in drawn.loops}


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize("strip", ["", 'strip = ["COM", "DI4", "DI3", "DI2", "DI1"]'])
def test_looped_returns_are_wires_down_the_frames_side(count: int, strip: str) -> None:
    text = looped(count, strip=strip)
    (drawn,) = pages(text, "final")
    asked = {frozenset(pair) for pair in loops(older(text))}
    assert len(asked) == count - 1
    assert read_off(drawn)[1] == asked
    assert len([wire for wire in drawn.connections if wire.right == "COM"]) == 1


@pytest.mark.parametrize(
    ("text", "paper"), [(CONVEYOR, None), (CONVEYOR, "A5"), (looped(4), None)], ids=["feed", "A5", "returns"]
)
def test_switches_that_share_a_wire_are_bridged_on_the_bench(text: str, paper: str | None) -> None:
    asked = joined({frozenset(pair) for pair in bench_bridges(older(text))})
    sheet = draw_text(text, "bench", paper)
    drawn = {pair for page in pages(text, "bench", paper) for pair in read_off(page)[0]}
    words = [written(sheet, number) for number in range(1, len(sheet.pages) + 1)]
    said = {
        frozenset(pair) for each in words for pair in re.findall(r"Bridge between (\S+) and (\S+?)\.", each)
    }
    assert len(said) == (len(sheet.pages) - 1)  # of a bridge that is cut, on both sheets
    assert all(
        sum(f"Bridge between {a} and {b}." in each for each in words) == 2 for a, b in map(sorted, said)
    )
    assert joined(drawn | said) == asked
    assert len(next(iter(asked))) == text.count("output =")


def drop(svg: str, ident: str) -> str:
    """Take a group out of a drawing."""
    start = svg.index(f'id="{ident}"')
    start = svg.rindex("<g", 0, start)
    return svg[:start] + svg[svg.index("</g>", start) + 4 :]


def test_a_bridge_left_out_is_missed() -> None:
    svg = plain_names(draw_text(CONVEYOR, "bench").to_svg())
    with pytest.raises(JudgeError, match="left over"):  # the head's slot
        judge(drop(svg, "link-S1_3a2-S2_3a2"))
    whole, less = judge(svg), judge(drop(svg, "link-S3_3a2-S4_3a2"))
    assert len(joined(read_off(whole)[0])) == 1
    assert joined(read_off(less)[0]) != joined(read_off(whole)[0])


def test_a_loop_left_out_is_missed() -> None:
    svg = plain_names(draw_text(looped(3)).to_svg())
    with pytest.raises(JudgeError):  # its slots are left over
        judge(drop(svg, "wire-4"))


COILER = """
machine = "Strip coiler"
sheet.paper = "A5"
controller.returns = "looped"
[drive]
name = "1.1 kW drive"
discharge = "8 min"
strip = ["+24V", "DI1", "DI2", "DI3", "DI4", "COM", "+10V", "AI1", "AGND"]
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "O1+", minus = "O1-" }
meter = 24
[run-reverse]
input = "DI2"
common = "COM"
output = { plus = "O2+", minus = "O2-" }
meter = 24
[enable]
input = "DI3"
common = "COM"
output = { plus = "O3+", minus = "O3-" }
meter = 24
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = { signal = "AO", common = "AC" }
"""


def test_a_loop_between_two_sheets_is_said_on_both_and_one_on_a_sheet_is_drawn() -> None:
    """Without the first a sheet shows an end that nothing joins, and its command never closes."""
    sheet = draw_text(COILER)
    drawn = pages(COILER, "final")
    assert len(drawn) == 2 and nowhere(sheet, drawn) == []
    on = {label: number for number, page in enumerate(drawn, 1) for label, _ in page.signs}
    for wire in (wire for wire in sheet.circuit.wires if wire.far.block == "controller"):
        one, other = on[wire.near.label], on[wire.far.label]
        if one == other:
            ends = {frozenset((loop.left, loop.right)) for loop in drawn[one - 1].loops}
            assert {wire.near.label, wire.far.label} in ends
        else:
            ends = f"{wire.number} {wire.colour.letters}: {wire.near} to {wire.far}"
            assert f"{ends} (sheet {other})." in written(sheet, one)
            assert f": {wire.near} (sheet {one}) to {wire.far}." in written(sheet, other)
    assert len(set(on.values())) == 2


def test_what_of_a_strip_stands_on_another_sheet_is_said_where_it_belongs() -> None:
    """Terminal by terminal as fitted; the black lead of a row whose common isn't here has its place too."""
    sheet = draw_text(COILER)
    first, other = (read_shapes(sheet.to_svg(number)).writings for number in (1, 2))
    order = [[one.content for one in sorted(page, key=lambda one: one.box.top)] for page in (first, other)]
    between = [
        " ".join(line[line.index(a) : line.index(b)])
        for line, a, b in zip(order, ("DI2", "DI3"), ("COM", "+10V"), strict=True)
    ]
    assert [re.findall(r"\w+: (?:not used|sheet \d)", line) for line in between] == [
        ["DI3: sheet 2", "DI4: not used"], ["DI4: not used", "COM: sheet 1"],
    ]  # fmt: skip
    assert "Black lead for DI3: on COM (sheet 1)." in written(sheet, 2)
    assert "Black lead for" not in written(sheet, 1)


def test_a_loop_that_is_on_no_sheet_is_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(surroundings, "_end", lambda *_: "somewhere")
    sheet = draw_text(COILER)
    lost = nowhere(sheet, pages(COILER, "final"))
    assert lost and all(sheet.circuit.wire(number).far.block == "controller" for number in lost)


def test_a_potentiometer_shares_its_end_with_a_switch() -> None:
    text = """
machine = "Mixer"
[run-forward]
input = "DI1"
common = "COM"
switch = "S1"
output = { kind = "open-collector", signal = "Q1", common = "M" }
[speed]
signal = "AI1"
common = "COM"
supply = "+10V"
potentiometer = { name = "RP", terminals = ["a", "w", "e"] }
source = { signal = "AO1", common = "M" }
"""
    (drawn,) = pages(text, "bench")
    assert drawn.links == (("S1:2", "RP:a"),) or drawn.links == (("RP:a", "S1:2"),)
    assert {wire.left for wire in drawn.connections} >= {"RP:w", "RP:e", "S1:1"}


RAILED = (
    looped(4).replace('returns = "looped"', 'returns = "rail"').replace("machine", 'rail = "X1"\nmachine', 1)
)


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_returns_joined_on_the_rail_end_there(stage: str) -> None:
    asked = rail_returns(older(RAILED))
    assert asked == [["DO1-", "DO2-", "DO3-", "DO4-"]]
    drawn = pages(RAILED, stage)
    assert len(drawn) == 1
    count = len(asked[0])
    assert len(drawn[0].stubs) == count - 1
    if stage == "final":
        assert {label for _, label in drawn[0].stubs} == set(asked[0][1:])
    assert [len(group) for group in drawn[0].bridged] == [count]
    assert len([wire for wire in drawn[0].connections if wire.right == "COM"]) == 1
    through = dict(drawn[0].passed)
    head = next(wire.number for wire in drawn[0].connections if wire.right == "COM")
    assert through[head] in drawn[0].bridged[0]


def test_a_bar_that_crosses_foreign_terminals_is_said_in_words_too() -> None:
    """Only a missing dot tells what it joins from what it crosses."""
    said = (
        "Bridged on the rail, not by a comb: X1:2, X1:4, X1:6 and X1:8, without X1:3, X1:5 and X1:7 between;"
    )
    assert f"{said} wire 2 goes on to the drive." in written(draw_text(RAILED), 1)


def test_bridges_of_a_rail_that_is_cut_are_said_on_each_sheet() -> None:
    sheet = draw_text(RAILED, "final", "A5")
    words = [written(sheet, number) for number in range(1, len(sheet.pages) + 1)]
    cut = [each for each in words if "not by a comb: X1:2, X1:4, X1:6 and X1:8, without X1:3" in each]
    drawn = pages(RAILED, "final", "A5")
    assert len(cut) == sum(bool(page.stubs or dict(page.passed).get("2")) for page in drawn) > 1


@pytest.mark.parametrize("returns", ["own", "looped", "rail"])
def test_no_colour_that_the_sheet_chose_is_taken_for_given(returns: str) -> None:
    """Loops, what ends on the rail, and what is said in words are wires as well."""
    supply = 'converter = { input = "P", output = "V", supply-from = "24P", supply-terminal = "+" }'
    speed = f'[speed]\nsignal = "AI"\n[speed.source]\nkind = "pulse"\nsignal = "F"\n{supply}'
    text = looped(4, speed).replace('"looped"', f'"{returns}"\nconductors-per-terminal = 2')
    text = text.replace("meter", 'wires = { input = { colour = "white" } }\nmeter', 1)
    sheet = draw_text(text.replace("machine", 'rail = "X1"\nmachine', 1))
    (told,) = re.findall(r"Colour chosen by this sheet, not given: wires ([^.]*)\.", written(sheet, 1))
    every = solve(parse_mapping(sheet.circuit.source.text, "m.toml"), "final").circuit.wires
    assert re.findall(r"\d+", told) == [wire.number for wire in every if not wire.colour_given]


def test_a_rail_without_its_bridge_is_missed() -> None:
    svg = plain_names(draw_text(RAILED).to_svg())
    bar = drop(svg, "bridge-2")
    with pytest.raises(JudgeError):
        judge(bar)


@pytest.mark.parametrize("name", ["lathe", "pump", "conveyor", "engraver", "fan", "drill"])
@pytest.mark.parametrize("stage", ["bench", "final"])
def test_a_rail_is_numbered_from_top_to_bottom(name: str, stage: str) -> None:
    text = (Path(__file__).parents[2] / "gallery" / f"{name}.toml").read_text(encoding="utf-8")
    sheet = draw_text(f'rail = "X1"\n{text}', stage)
    for number in range(1, len(sheet.pages) + 1):
        drawn = judge(sheet.to_svg(number))
        through = dict(drawn.passed)
        order = [int(through[wire]) for wire in drawn.left_order]
        assert order == sorted(order) and order
