"""Contacts on the sheet: their symbol, and the drive's words, say how they are at rest, or ask it."""

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


BY_HAND = """
machine = "Made up"
[stop]
hardware = "{}"
acts = "enable"
[enable]
input = "EN"
common = "COM"
switch = {{ name = "S0", terminals = ["11", "12"] }}
[jog]
input = "JG"
common = "COM"
switch = {{ name = "{}", terminals = ["21", "12"] }}
"""


@pytest.mark.parametrize("other", ["S8", "S0"], ids=["upright", "in rows"])
@pytest.mark.parametrize(("device", "ticks"), [("button S0", True), ("contactor K1", False)])
def test_an_emergency_stop_is_drawn_as_a_break_contact(device: str, ticks: bool, other: str) -> None:
    """Its blade crosses the fixed side's tick; as a make contact it would enable where it is pressed."""
    shapes = read_shapes(to_svg(draw_text(BY_HAND.format(device, other)).pages[0]))
    label = next(one.box.centre for one in shapes.writings if one.content == "S0:11")
    cell = min((one.box for one in shapes.rectangles if one.box.has(label)), key=lambda box: box.area)
    down = 4.0 if other == "S0" else 18.0
    beside = Box(cell.left - 25, cell.top - 4.0, cell.left, cell.bottom + down)
    legs = [Leg(a, b) for one in shapes.strokes if beside.holds(one.box) for a, b in pairwise(one.points)]
    blades = [leg for leg in legs if min(abs(leg.a.x - leg.b.x), abs(leg.a.y - leg.b.y)) > 1.5]
    (blade,) = blades
    straight = [leg for leg in legs if leg is not blade and not {blade.a, blade.b} & {leg.a, leg.b}]
    # the tick begins where the fixed side's lead ends, square to it; the actuator's line begins at no lead
    corners = ((tick, lead) for tick in straight for lead in straight if {tick.a, tick.b} & {lead.a, lead.b})
    square = [tick for tick, lead in corners if (tick.a.x == tick.b.x) != (lead.a.x == lead.b.x)]
    assert any(lines_meet(blade, tick) for tick in square) == ticks
