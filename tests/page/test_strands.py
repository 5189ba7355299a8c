"""Everything between controller and drive is on the sheet: in the wire, or said with both its ends."""

from __future__ import annotations

import math
import re

import pytest

from doorsheet import draw_text
from doorsheet.electrics import solve
from doorsheet.layout.arrange import arrange, named, strands
from doorsheet.mapping import parse_mapping
from doorsheet.output.svg import to_svg
from doorsheet.page.compose import compose
from doorsheet.page.style import ink_colour
from tests.judges.geometry import judge
from tests.judges.names import plain_names
from tests.judges.shapes import read_shapes

HEAD = 'machine = "Kiln fan"\n'
CHAIN = """
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "DO1+", minus = "DO1-" }
chain = [{ name = "B1", what = "door", terminals = ["13", "14"] }, "B2"]
meter = 24.3
"""
SERIES = """
[speed]
signal = "AI1"
common = "AGND"
series = "560 ohm"
source = { signal = "AO1", common = "0V" }
"""
PULSES = """
[speed]
signal = "AI1"
common = "AGND"
[speed.source]
kind = "pulse"
signal = "P1"
common = "0V"
converter.input = "IN"
converter.input-common = "GND"
converter.output = "OUT"
converter.output-common = "OC"
converter.supply = "V+"
converter.supply-from = "+24V"
"""


@pytest.mark.parametrize("text", [CHAIN, SERIES, PULSES], ids=["chain", "series", "pulses"])
def test_where_there_is_no_room_in_line_every_conductor_is_said_with_its_ends(text: str) -> None:
    read = parse_mapping(HEAD + text, "m.toml")
    circuit = solve(read, "final").circuit
    svg = to_svg(compose(arrange(named(strands(circuit)), read.mapping), read.mapping, ())[0])
    words = " ".join(re.sub(r"\s+", " ", part) for part in re.findall(r"<text[^>]*>([^<]*)</text>", svg))
    for wire in circuit.wires:
        plate = f"{wire.number} {wire.colour.letters}"
        assert plate in words
        if wire.near.block == "field" or wire.far.block != "drive":
            assert f"Wire {plate}: {wire.near} to {wire.far}." in words, wire
    for part in circuit.parts:
        if part.block == "field":
            assert f"[{part.name}]" in words and part.name in words


@pytest.mark.parametrize("text", [CHAIN, SERIES, PULSES], ids=["chain", "series", "pulses"])
def test_a_way_in_words_ends_in_the_colours_that_land_there(text: str) -> None:
    """The line stands for several conductors: at each of its clamps it has the colour of that one."""
    read = parse_mapping(HEAD + text, "m.toml")
    circuit = named(strands(solve(read, "final").circuit))
    svg = plain_names(to_svg(compose(arrange(circuit, read.mapping), read.mapping, ())[0]))
    judge(svg)
    ways = [wire for wire in circuit.wires if wire.way]
    for wire in ways:
        group = re.search(rf'<g id="wire-{wire.number}">.*?</g>', svg, flags=re.S)
        assert group is not None
        cores = re.findall(r'<polyline class="ds-wire-core" points="([^",]+)[^>]* stroke="(#\w+)"', group[0])
        ends = [ink for _, ink in sorted(cores, key=lambda core: float(core[0]))]
        own = [ink_colour(each.colour.parts[0]) for each in wire.conductors]
        assert (ends[0], ends[-1]) == (own[0], own[-1]) and own[0] != own[-1]
    assert ways


def test_conductors_of_a_way_are_said_on_its_own_sheet_alone() -> None:
    other = (
        CHAIN.replace("forward", "reverse").replace("DI1", "DI2").replace("DO1", "DO2").replace('"B', '"C')
    )
    sheet = draw_text(HEAD + CHAIN + other, "final", "A5")
    pages = [sheet.to_svg(number) for number in range(1, len(sheet.pages) + 1)]
    words = [re.sub(r"\s+", " ", " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", svg))) for svg in pages]
    assert [re.findall(r"Wire \w+ \w+: (DO\S+) to", said) for said in words] == [["DO1+"], ["DO2+"]]


def test_letters_of_conductors_said_in_words_are_in_the_legend() -> None:
    svg = draw_text(HEAD + CHAIN).to_svg()
    circuit = solve(parse_mapping(HEAD + CHAIN, "m.toml"), "final").circuit
    assert len(circuit.wires) == 4  # three on the way to DI1, and the return
    for wire in circuit.wires:
        assert svg.count(f">{wire.colour.letters}<") or f"{wire.colour.letters} " in svg


def test_what_moves_on_the_way_marks_the_wire() -> None:
    step = draw_text(HEAD + CHAIN, "run-forward")
    assert "◆" in step.to_svg()


def test_a_contact_that_is_not_fitted_yet_has_its_terminals_where_its_device_stands_already() -> None:
    jog = CHAIN.replace("run-forward", "jog").replace("DI1", "DI2").replace("DO1", "DO2")
    jog = jog.replace('["13", "14"]', '["21", "22"]').replace('"B2"', '"B3"')
    step = draw_text(HEAD + CHAIN + jog, "run-forward").to_svg()
    words = re.sub(r"\s+", " ", " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", step)))
    assert "Not fitted at this stage: B1:21 – B1:22 (door), B3." in words


def test_the_bench_has_none_of_it() -> None:
    svg = draw_text(HEAD + CHAIN, "bench").to_svg()
    assert "[B1]" not in svg and "S1:1" in svg


def test_the_range_of_pulses_is_their_converters_and_its_supply_is_asked_for() -> None:
    unfed = "\n".join(line for line in PULSES.splitlines() if "supply-from" not in line) + '\nlevel = "5 V"\n'
    read = parse_mapping(HEAD + unfed, "m.toml")
    ratings = {part.name or part.block: part.rating for part in solve(read, "final").circuit.parts}
    assert ratings == {"controller": "pulses 5 V", "U1": "0–10 V*"}
    words = re.sub(
        r"\s+", " ", " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", draw_text(HEAD + unfed).to_svg()))
    )
    assert re.search(r"U1:V\+ fed from _+ \(write it down\)", words)
    assert "range of the converter's output 0–10 V" in words and "controller's speed output" not in words
    assert "fed from" not in draw_text(HEAD + PULSES).to_svg()
    nameless = draw_text(HEAD + PULSES.replace('converter.supply = "V+"', "")).to_svg()
    assert "fed from" not in nameless  # its terminal alone is not known
    assert ("+24V", "U1:? supply") in {(one.left, one.right) for one in judge(nameless).connections}


@pytest.mark.parametrize(
    ("isolated", "says"),
    [
        (
            '"yes"',
            "U1:OC is isolated from U1:GND: black lead on U1:OC for U1:OUT, on U1:GND for U1:IN and U1:V+.",
        ),
        ('"no"', "U1:GND and U1:OC are one inside U1: black lead on either."),
        (
            '"unknown"',
            "Not written down: whether U1:OC is isolated from U1:GND. Black lead on U1:OC for U1:OUT, on "
            "U1:GND for U1:IN and U1:V+.",
        ),
    ],
)
def test_a_converter_says_against_which_of_its_commons_is_measured(isolated: str, says: str) -> None:
    def words(text: str) -> str:
        said = re.findall(r"<text[^>]*>([^<]*)</text>", draw_text(text).to_svg())
        return re.sub(r"\s+", " ", " ".join(said))

    text = HEAD + PULSES + f"converter.isolated = {isolated}\n"
    assert says in words(text)
    if isolated == '"unknown"':  # nothing written is as unknown
        assert says in words(HEAD + PULSES)
    assert "lead on U1" not in words(text.replace('"OC"', '"GND"')) and "one inside" not in words(
        HEAD + SERIES
    )
    two = text.replace("[speed", "[drives.Left.speed") + text.removeprefix(HEAD).replace(
        "[speed", "[drives.Right.speed"
    ).replace("P1", "P2").replace(isolated, '"yes"')
    assert "Right U1:OC is isolated from Right U1:GND" in words(two)


@pytest.mark.parametrize("paper", ["A5", "A4"])
@pytest.mark.parametrize(("source", "word", "round_"), [(PULSES, "pulses", False), (SERIES, "0–10", True)])
def test_what_stands_in_a_source_is_inside_its_outline(
    source: str, word: str, round_: bool, paper: str
) -> None:
    crowd = "".join(
        f'[{name}]\ninput = "DI{n}"\ncommon = "COM"\noutput = {{ plus = "Q{n}+", minus = "Q{n}-" }}\n'
        for n, name in enumerate(("run-forward", "run-reverse", "enable"), 1)
    )
    sheet = draw_text(HEAD + crowd + source, "final", paper)
    pages = (read_shapes(sheet.to_svg(number)) for number in range(1, len(sheet.pages) + 1))
    ((shapes, text),) = ((p, one) for p in pages for one in p.writings if one.content == word)
    middle = text.box.centre
    about = (o for o in shapes.rounds if o.rx > 4 and math.dist(o.centre, middle) < 4)
    (oval,) = about
    corner = (text.box.right - oval.centre.x) / oval.rx, (text.box.top - oval.centre.y) / oval.ry
    assert math.hypot(*corner) < 1
    assert not round_ or oval.rx == oval.ry


@pytest.mark.parametrize(("common", "told"), [("0V", True), ("1V", False)])
def test_the_range_of_a_source_that_shares_its_return_is_told(common: str, told: bool) -> None:
    """There it is one row high, and has no circle to write it in."""
    fault = f'[fault]\nterminals = ["RA", "RC"]\ninput = {{ signal = "IN1", common = "{common}" }}\n'
    svg = draw_text(HEAD + SERIES.replace('"0V"', '"0V", gives = "4-20 mA"') + fault).to_svg()
    words = re.sub(r"\s+", " ", " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", svg)))
    assert ("AO1 gives 4–20 mA." in words) is told


def test_of_a_source_that_the_drive_feeds_its_signal_is_told() -> None:
    """Two share the terminal that is fed: it is not what gives the signal."""
    loops = "".join(
        f'[drives.{name}.speed]\nsignal = "AI1"\ncommon = "AGND"\n'
        f'source = {{ plus = "AO+", signal = "{output}", feed = "+24V", gives = "4-20 mA" }}\n'
        for name, output in (("North", "AO1-"), ("South", "AO2-"))
    )
    svg = draw_text(HEAD + loops).to_svg()
    words = re.sub(r"\s+", " ", " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", svg)))
    assert "AO1- gives 4–20 mA. AO2- gives 4–20 mA." in words
