"""Screens: a ring round what is in one; a wire that two of them share is in the ring of the first."""

from __future__ import annotations

from itertools import pairwise

import pytest

from doorsheet import Sheet, draw_text
from doorsheet.circuit.join import join
from doorsheet.layout import order_circuit
from doorsheet.mapping import parse_mapping
from tests.judges.shapes import Shapes, read_shapes
from tests.sheets.test_generated import read

SHARED = """
machine = "Screens"
[drive]
[run-forward]
input = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q1", common = "0V" }
screen = { earthed = "EARTHED", terminal = "PE1" }
[run-reverse]
input = "DI2"
common = "COM"
output = { kind = "open-collector", signal = "Q2", common = "0V" }
screen = { earthed = "EARTHED", terminal = "PE2" }
"""
APART = SHARED.replace('common = "0V" }', 'common = "1V" }', 1)


def drawn(text: str, earthed: str, paper: str) -> Sheet:
    sheet = draw_text(text.replace("EARTHED", earthed), "final", paper)
    read(sheet)
    return sheet


def every_page(sheet: Sheet) -> list[Shapes]:
    return [read_shapes(sheet.to_svg(number)) for number in range(1, len(sheet.pages) + 1)]


def rings(sheet: Sheet) -> int:
    return sum(ring.rx != ring.ry for shapes in every_page(sheet) for ring in shapes.rounds)


def words(sheet: Sheet) -> str:
    return " ".join(text.content for shapes in every_page(sheet) for text in shapes.writings)


@pytest.mark.parametrize("paper", ["A4", "A3"])
@pytest.mark.parametrize("earthed", ["drive", "controller", "both", "none"])
def test_a_wire_in_two_screens_is_in_one_ring_and_a_note_says_the_rest(earthed: str, paper: str) -> None:
    shared, apart = drawn(SHARED, earthed, paper), drawn(APART, earthed, paper)
    assert rings(shared) * 2 == rings(apart) > 0
    said = words(shared)
    assert "Round wires 2 and 3, screen:" in said
    if earthed != "none":
        assert "(PE2)" in said


def screened(text: str) -> set[str]:
    """Return what the last screen is round: each wire's end at the drive or, of a loop, at the controller."""
    circuit = join(parse_mapping(text.replace("EARTHED", "drive"), "m.toml"), "final")
    return {circuit.wire(number).far.label for number in circuit.screens[-1].wires}


def test_a_screen_is_round_wires_of_its_own_cable_alone() -> None:
    """A return that both controls share runs in the first one's cable, and one that is looped in none."""
    first, second = SHARED.split("[run-reverse]")
    cables = f'{first}cable = "W1"\n[run-reverse]{second}cable = "W2"\n'
    assert screened(SHARED) == {"DI2", "COM"} and screened(cables) == {"DI2"}
    assert (
        screened(cables.replace("W2", "W1"))
        == screened(cables.replace('"0V" }', '"1V" }', 1))
        == {"DI2", "COM"}
    )
    looped = APART.replace("[drive]", '[drive]\n[controller]\nreturns = "looped"')
    assert screened(looped) == {"DI2"}


def ringed(text: str) -> list[tuple[bool, bool]]:
    sheet = draw_text(text.replace("EARTHED", "drive"), "final", "A4")
    return [(bool(near), bool(far)) for near, far in order_circuit(sheet.circuit).rings.values()]


def test_only_screens_that_share_a_wire_give_way() -> None:
    assert ringed(SHARED) == [(True, True), (False, False)]
    assert ringed(APART) == [(True, True), (True, True)]


ONE_CABLE = """
machine = "Cables"
[drive]
strip = ["DI1", "COM", "DI2", "COM2", "AI1", "AGND", "PE"]
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "Q1+", minus = "Q1-" }
cable = "W1"
screen = { earthed = "EARTHED", terminal = "PE" }
[run-reverse]
input = "DI2"
common = "COM2"
output = { plus = "Q2+", minus = "Q2-" }
cable = "W1"
screen = "EARTHED"
[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }
cable = "W1"
"""
TWO_CABLES = ONE_CABLE.replace('"W1"\nscreen = "EARTHED"', '"W2"').replace(
    '"0V" }\n', '"0V" }\nscreen = "EARTHED"\n'
)


def in_rings(sheet: Sheet) -> list[int]:
    """Return how many wires go through each ring, from left to right."""
    (shapes,) = every_page(sheet)
    legs = [leg for one in shapes.strokes for leg in pairwise(one.points) if leg[0].y == leg[1].y]
    found = sorted((one for one in shapes.rounds if one.rx != one.ry), key=lambda one: one.centre)
    return [
        len({a.y for a, b in legs if a.x < at.x < b.x and abs(a.y - at.y) < ring.ry})
        for ring in found
        for at in (ring.centre,)
    ]


@pytest.mark.parametrize("earthed", ["drive", "controller", "both", "none"])
def test_a_cable_has_one_screen_whichever_controls_lie_in_it(earthed: str) -> None:
    """One that says nothing of a screen lies in it too; the earths are those of one screen."""
    sheet = drawn(ONE_CABLE, earthed, "A4")
    assert in_rings(sheet) == [6, 6]
    assert words(sheet).count("screen:") == 1 and "W1, screen" not in words(sheet)
    assert ("PE: not used" in words(sheet)) is (earthed in ("controller", "none"))
    other = ONE_CABLE.replace('screen = "EARTHED"', 'screen = "none"')
    if earthed != "none":  # one cable's screen can't be both: each says its own, as it is written
        assert in_rings(drawn(other, earthed, "A4")) == [2, 2, 2, 2]


def test_rings_of_one_cable_that_another_parts_carry_its_name_and_one_earth() -> None:
    sheet = drawn(TWO_CABLES, "drive", "A4")
    assert in_rings(sheet) == [2, 2]
    said = words(sheet)
    assert said.count("W1, screen: drive end only (PE)") == said.count("screen:") == 1
    (shapes,) = every_page(sheet)
    assert [one.content for one in shapes.writings].count("W1") == 2
    at = {ring.centre.x for ring in shapes.rounds if ring.rx != ring.ry}
    bars = [one.box for one in shapes.outlines if not one.closed and one.box.top == one.box.bottom]
    widths = [box.right - box.left for box in bars if any(abs(box.centre.x - x) < 0.05 for x in at)]
    assert len([wide for wide in widths if wide < 8.0]) == 3  # an earth is three bars


BESIDE = """
machine = "Two screens"
[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }
screen = { earthed = "EARTHED", terminal = "PE1" }
[fault]
terminals = ["Y1", "Y2"]
normally = "open"
input = { signal = "IN7", common = "1V" }
screen = "none"
"""
NAMES = ("run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1")
AIR_MM = 1.5
"""Between an earth and a screen that it is not of: common practice, no source."""


def airs(shapes: Shapes) -> list[float]:
    """Return from each earth's lowest bar how far it is to the next ring under it."""
    rings = [ring for ring in shapes.rounds if ring.rx != ring.ry]
    found = []
    for ring in rings:
        lines = (outline.box for outline in shapes.outlines if not outline.closed)
        low = ring.centre.y + ring.ry
        bars = [
            box.bottom
            for box in lines
            if box.top == box.bottom and low < box.top < low + 8.0
            if abs(box.centre.x - ring.centre.x) < 0.05 and box.right - box.left < 6.0
        ]
        under = [
            other.centre.y - other.ry
            for other in rings
            if abs(other.centre.x - ring.centre.x) < 0.05 and other.centre.y > ring.centre.y
        ]
        found += [min(under) - max(bars)] if bars and under else []
    return found


@pytest.mark.parametrize("paper", ["Letter", "A4"])
@pytest.mark.parametrize(("earthed", "earths"), [("controller", 1), ("drive", 1), ("both", 2), ("none", 0)])
@pytest.mark.parametrize("controls", [0, 5, 6])
def test_an_earth_keeps_clear_of_the_next_screen(
    controls: int, earthed: str, earths: int, paper: str
) -> None:
    """Or one would earth the wrong one, which is to be earthed nowhere."""
    text = BESIDE + "".join(
        f'[{name}]\ninput = "DI{n}"\ncommon = "COM"\noutput = {{ plus = "Q{n}+", minus = "Q{n}-" }}\n'
        for n, name in enumerate(NAMES[:controls], 1)
    )
    air = [mm for shapes in every_page(drawn(text, earthed, paper)) for mm in airs(shapes)]
    assert len(air) == earths
    assert all(mm >= AIR_MM for mm in air)
