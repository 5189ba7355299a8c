"""Parts in a wire's way: each conductor, terminal and symbol read off the drawing is the mapping's."""

from __future__ import annotations

import random
import re
from itertools import pairwise

import pytest

from doorsheet.output.svg import to_svg
from doorsheet.sheet import draw_text
from tests.judges.geometry import Drawn, judge
from tests.judges.shapes import JudgeError

Contact = tuple[str, str, str, str]  # name, its two terminals, what it is with nothing done to it
UNSAID = ', normally = "unknown"'


def mapping(chain: list[Contact], way: str, top: str = "", screen: str = "") -> str:
    """Return an installation with a chain for running, and `way` for the speed signal."""
    entries = ", ".join(
        f'{{ name = "{name}", terminals = ["{a}", "{b}"], normally = "{normally}" }}'.replace(UNSAID, "")
        for name, a, b, normally in chain
    )
    source = {
        "plain": 'source = { signal = "AO1", common = "0V" }',
        "series": 'series = "1 kohm"\nsource = { signal = "AO1", common = "0V" }',
        "converter": """
[speed.source]
kind = "pulse"
signal = "AO1"
common = "0V"
frequency = "5 kHz"
level = "24 V"
gives = "0-10 V"
[speed.source.converter]
input = "IN"
input-common = "GND"
output = "OUT"
output-common = "0"
supply-terminal = "V+"
supply-from = "24P"
""",
    }[way]
    return f"""
machine = "Made up"
{top}
[drive]
isolated = "yes"
[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "OUT1+", minus = "OUT1-" }}
meter = 24.1
chain = [{entries}]
[run-reverse]
input = "DI2"
common = "COM"
output = {{ plus = "OUT2+", minus = "OUT2-" }}
meter = 24.1
[speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
{screen}
{source}
"""


def wanted(chain: list[Contact], way: str) -> tuple[set[tuple[str, str]], list[tuple[str, str]]]:
    """Return which ends wires join, and parts with what their symbols must say; by the mapping alone."""
    ends = ["OUT1+"]
    for name, a, b, _ in chain:
        ends += [f"{name}:{a}", f"{name}:{b}"]
    ends.append("DI1")
    ways = [ends, ["OUT1-", "COM"], ["OUT2+", "DI2"], ["OUT2-", "COM"]]
    parts = [(name, normally) for name, _, _, normally in chain]
    if way == "plain":
        ways += [["AO1", "AI1"], ["0V", "AGND"]]
    elif way == "series":
        ways += [["AO1", "R1", "R1:1 kohm", "AI1"], ["0V", "AGND"]]
        parts.append(("R1", "resistor"))
    else:
        ways += [["AO1", "U1:IN", "U1:OUT", "AI1"], ["0V", "U1:GND", "U1:0", "AGND"], ["24P", "U1:V+"]]
        parts += [("U1", "converter")] * 2
    return {(one, other) for ends in ways for one, other in list(pairwise(ends))[::2]}, sorted(parts)


def read(text: str, paper: str | None = None) -> Drawn:
    sheet = draw_text(text, paper=paper)
    assert len(sheet.pages) == 1
    return judge(to_svg(sheet.pages[0]))


@pytest.mark.parametrize("seed", range(24))
def test_each_conductor_and_part_is_drawn_as_the_mapping_says(seed: int) -> None:
    dice = random.Random(seed)
    names = dice.sample(["B1", "B2", "F3", "S9", "Q4"], 3)
    chain = [
        (name, str(10 * n + 1), str(10 * n + 2), dice.choice(("open", "closed", "unknown")))
        for n, name in enumerate(names[: dice.choice((0, 1, 1, 2, 2, 3))], 1)
    ]
    way = dice.choice(("plain", "series", "converter"))
    top = dice.choice(("", 'rail = "X1"', '[controller]\nreturns = "looped"'))
    screen = dice.choice(("", 'screen = { earthed = "drive", terminal = "PE" }'))
    drawn = read(mapping(chain, way, top, screen), "A3" if len(chain) > 2 else None)
    joins, parts = wanted(chain, way)
    found = {(one.left, one.right) for one in drawn.connections}
    if "looped" in top:  # the second return goes to the first
        joins.remove(("OUT2-", "COM"))
    assert found == joins
    assert list(drawn.parts) == parts
    assert len({one.number for one in drawn.connections}) == len(found)


def test_where_a_paper_has_no_room_the_plate_names_what_is_in_the_way() -> None:
    chain = [("B1", "11", "12", "closed"), ("B2", "21", "22", "open"), ("F3", "95", "96", "closed")]
    text = to_svg(draw_text(mapping(chain, "plain"), paper="A5").pages[0])
    assert "[B1]" in text and "[B2]" in text and "[F3]" in text
    assert "to B2:21" in text


def test_a_wrong_symbol_or_terminal_is_read_so() -> None:
    chain = [("B1", "11", "12", "closed")]
    svg = to_svg(draw_text(mapping(chain, "plain")).pages[0])
    assert list(judge(svg).parts) == [("B1", "closed")]
    other = judge(svg.replace(">11</text>", ">13</text>"))
    assert any(one.right == "B1:13" for one in other.connections)


def test_a_part_between_conductors_of_one_number_is_a_stray_drawing() -> None:
    svg = to_svg(draw_text(mapping([("B1", "11", "12", "open")], "plain")).pages[0])
    with pytest.raises(JudgeError, match="stray"):
        judge(re.sub(r">2 [A-Z]+</text>", ">1 WH</text>", svg))
