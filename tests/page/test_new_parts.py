"""Parts that a circuit may hold beside switches and outputs: built by hand, drawn, found again by judges."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from doorsheet import draw_text
from doorsheet.circuit import Circuit, join
from doorsheet.circuit.parts import BlockKind, Link, Part, PartKind, Pin, Terminal
from doorsheet.layout.arrange import arrange
from doorsheet.mapping import parse_mapping
from doorsheet.output.svg import to_svg
from doorsheet.page.compose import compose
from tests.judges.geometry import judge, judge_shapes
from tests.judges.shapes import Shapes, read_shapes

LATHE = (Path(__file__).parents[2] / "gallery" / "lathe.toml").read_text(encoding="utf-8")


def drawn(change: Circuit) -> Shapes:
    read = parse_mapping(LATHE, "lathe.toml")
    pages = compose(arrange(change, read.mapping), read.mapping, ())
    return read_shapes(to_svg(pages[0]))


def test_a_burden_stands_between_its_two_terminals() -> None:
    circuit = join(parse_mapping(LATHE, "lathe.toml"), "final")
    ends = [Terminal(BlockKind.DRIVE, label) for label in ("AI1", "AGND")]
    pins = tuple(Pin("end", end) for end in ends)
    burden = Part(PartKind.RESISTOR, BlockKind.DRIVE, "R1", pins, "speed", "", rating="500 Ω")
    shapes = drawn(replace(circuit, parts=(*circuit.parts, burden)))
    judge_shapes(shapes)
    assert any("R1 500 Ω to AGND" in text.content for text in shapes.writings)
    # a box, and a lead from each end of it to the height of a terminal's row
    rows = {
        text.content: text.box.centre.y
        for text in shapes.writings
        if text.content in ("AI1", "AGND") and text.bold
    }
    leads = [
        line
        for line in shapes.strokes
        if len(line.points) == 3
        and any(
            abs(line.points[0].x - box.box.centre.x) < 0.01
            and line.points[0].y in (box.box.top, box.box.bottom)
            for box in shapes.rectangles
        )
    ]
    reached = sorted(line.points[-1].y for line in leads if line.points[-1].x > 200)
    assert len(reached) == 2
    for at, label in zip(reached, ("AI1", "AGND"), strict=True):
        assert abs(at - rows[label]) < 5.0


def test_a_bridge_between_bench_switches_is_a_bar_or_is_said() -> None:
    circuit = join(parse_mapping(LATHE, "lathe.toml"), "bench")
    one, other = (next(wire.near for wire in circuit.wires if wire.number == number) for number in ("2", "4"))
    wires = tuple(wire for wire in circuit.wires if wire.number != "4")
    shapes = drawn(replace(circuit, wires=wires, links=(Link(one, other, "", "bridge"),)))
    barred = judge_shapes(shapes).links
    said = " ".join(text.content for text in shapes.writings)
    assert barred == ((one.label, other.label),) or f"Bridge between {one.label} and {other.label}" in said


def test_links_of_neighbours_are_read_as_bars() -> None:
    pump = (Path(__file__).parents[2] / "gallery" / "pump.toml").read_text(encoding="utf-8")
    read = parse_mapping(pump, "pump.toml")
    circuit = join(read, "final")
    svg = to_svg(compose(arrange(circuit, read.mapping), read.mapping, ())[0])
    assert judge(svg).links == (("+24V", "EXT"),)


def test_the_end_of_a_potentiometer_that_nobody_named_is_a_blank_on_the_bench() -> None:
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\nsource = { signal = "AO1", common = "0V" }\n'
    for text, stage, wanted in (
        (speed, "bench", 1), (speed, "final", 0), (f'{speed}reference = "+10V"\n', "bench", 0),
    ):  # fmt: skip
        sheet = draw_text(f'machine = "M"\n{text}', stage)
        said = " ".join(one.content for one in read_shapes(sheet.to_svg()).writings)
        assert said.count("RV1:3 to the drive's reference supply, terminal ________.") == wanted
        missing = [one.what for finding in sheet.findings for one in finding.unknowns]
        assert ("which terminal of the drive feeds a potentiometer on the bench" in missing) == bool(wanted)


@pytest.mark.parametrize("returns", ["own", "looped", "rail"])
@pytest.mark.parametrize(
    ("given", "blanks"),
    [
        ('common = "COM"\nreference = "+10V"', []),
        ('common = "COM"', ["RV1:3 to the drive's reference supply"]),
        ('reference = "+10V"', ["RV1:1 to the common of the drive's speed input"]),
    ],
)
def test_an_end_of_a_potentiometer_that_is_joined_already_is_no_blank(
    returns: str, given: str, blanks: list[str]
) -> None:
    """Its low end is bridged, or ends on the rail: a wire from there to the supply would be a short."""
    text = (
        f'machine = "M"\nrail = "X1"\n[controller]\nreturns = "{returns}"\n'
        '[run-forward]\ninput = "DI1"\ncommon = "COM"\noutput = { plus = "Q1+", minus = "Q1-" }\nmeter = 24\n'
        f'[speed]\nsignal = "AI1"\n{given}\nsource = {{ signal = "AO1", common = "0V" }}\n'
    )
    said = " ".join(one.content for one in read_shapes(draw_text(text, "bench").to_svg()).writings)
    assert re.findall(r"(RV1:[^.]*), terminal ________", said) == blanks
