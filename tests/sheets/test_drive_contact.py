"""The drive's contact on the sheet: its symbol and its words say how it is without power, or ask it."""

from __future__ import annotations

from itertools import pairwise

import pytest

from doorsheet.output.svg import to_svg
from doorsheet.sheet import draw_text
from tests.judges.plane import Leg, lines_meet
from tests.judges.shapes import Box, read_shapes

WORDS = {"open": "fault contact, open at rest", "closed": "fault contact, closed at rest"}
MAPPING = """
machine = "Made up"
[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "OUT1+", minus = "OUT1-" }}
[fault]
terminals = ["RA", "RC"]
{}
input = {{ signal = "IN1", common = "0V" }}
"""


@pytest.mark.parametrize("normally", ["open", "closed", "unknown"])
def test_the_symbol_and_the_words_are_the_mappings(normally: str) -> None:
    said = "" if normally == "unknown" else f'normally = "{normally}"'
    shapes = read_shapes(to_svg(draw_text(MAPPING.format(said)).pages[0]))
    texts = [one.content for one in shapes.writings]
    labels = [one.box.centre for one in shapes.writings if one.content in ("RA", "RC")]
    boxes = [one.box for one in shapes.rectangles]
    cells = [min((box for box in boxes if box.has(label)), key=lambda box: box.area) for label in labels]
    beside = Box(cells[0].right, cells[0].top, cells[0].right + 15, cells[1].bottom)
    legs = [Leg(a, b) for one in shapes.strokes if beside.holds(one.box) for a, b in pairwise(one.points)]
    blades = [leg for leg in legs if leg.a.x != leg.b.x and leg.a.y != leg.b.y]
    ticks = [leg for leg in legs if leg.a.y == leg.b.y and abs(leg.a.x - leg.b.x) < 4]
    asked = "Two dots: " in " ".join(texts)
    assert (len(blades), asked) == ((0, True) if normally == "unknown" else (1, False))
    assert any(lines_meet(blade, tick) for blade in blades for tick in ticks) == (normally == "closed")
    assert any(text == WORDS.get(normally, "fault contact, at rest ______") for text in texts)
