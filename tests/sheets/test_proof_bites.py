"""What the proof over made-up installations must find: faults put into sheets, and into what is said of them.

Faults of single wires are put in by `test_wiring`, faults of texts by `test_overlap`.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from dataclasses import replace
from typing import cast

import pytest

import doorsheet
from doorsheet import Sheet
from doorsheet.layout.plan import Crossings
from tests.installations import Installation
from tests.judges.geometry import JudgeError, judge
from tests.judges.names import plain_names
from tests.plants import TWO_PUMPS
from tests.sheets.sheets import gallery_sheet
from tests.sheets.test_generated import read
from tests.sheets.test_installations import as_asked_for
from tests.strategies import Data, toml_text
from tests.wanted import final_ways

BLACK = 'fill="none" stroke="#000000" stroke-width="0.5"'


@pytest.fixture
def svg() -> str:
    text = plain_names(gallery_sheet("lathe-final").to_svg())
    judge(text)
    return text


def with_shape(svg: str, shape: str) -> str:
    return svg.replace("</svg>", f"{shape}</svg>")


def channel(svg: str) -> tuple[float, float, float]:
    """Return both ends of wire 1, which is straight, and its height."""
    group = re.search(r'<g id="wire-1">.*?</g>', svg, flags=re.S)
    assert group is not None
    way = re.search(r'<polyline[^>]* points="([^" ]*) ([^" ]*)"', group[0])
    assert way is not None
    (x0, y), (x1, _) = (tuple(float(part) for part in point.split(",")) for point in way.groups())
    return x0, x1, y


# --- the page ------------------------------------------------------------


@pytest.mark.parametrize(
    "shape",
    [
        f'<line x1="5" y1="50" x2="5" y2="60" {BLACK} />',
        f'<line x1="200" y1="195" x2="200" y2="205" {BLACK} />',
        f'<circle cx="290" cy="20" r="1" {BLACK} />',
        f'<rect x="0" y="50" width="8" height="8" {BLACK} />',
        f'<rect x="9.9" y="50" width="8" height="8" {BLACK} />',
        '<text x="100" y="206" font-size="3.4" textLength="9">note</text>',
    ],
)
def test_whatever_leaves_the_page_is_found(svg: str, shape: str) -> None:
    with pytest.raises(JudgeError, match=r"not inside the page's frame|cut each other"):
        judge(with_shape(svg, shape))


def test_a_stroke_too_wide_for_its_place_is_found(svg: str) -> None:
    line = '<line x1="10.3" y1="50" x2="10.3" y2="60" fill="none" stroke="#000000" stroke-width="{}" />'
    judge(with_shape(svg, line.format(0.5)))
    with pytest.raises(JudgeError, match="not inside the page's frame"):
        judge(with_shape(svg, line.format(0.8)))


# --- frames --------------------------------------------------------------


def test_a_wire_through_a_frame_is_found(svg: str) -> None:
    x0, x1, y = channel(svg)
    middle = (x0 + x1) / 2
    for left, right in ((x0 - 20, middle), (middle, x1 + 20), (middle - 5, middle + 5)):
        frame = f'<rect x="{left}" y="{y - 20}" width="{right - left}" height="120" {BLACK} />'
        with pytest.raises(JudgeError, match=r"runs into a shape|cut each other"):
            judge(with_shape(svg, frame))


def test_boxes_that_cut_each_other_are_found(svg: str) -> None:
    box = '<rect x="{}" y="{}" width="20" height="10" ' + f"{BLACK} />"
    apart = box.format(100, 20) + box.format(120, 20) + box.format(100, 30)
    judge_of_boxes = with_shape(EMPTY, apart)
    judge(judge_of_boxes)
    judge(with_shape(EMPTY, box.format(100, 20) + box.format(100, 20)))
    for x, y in ((110, 25), (119.9, 20), (95, 29)):
        with pytest.raises(JudgeError, match="two boxes cut each other"):
            judge(with_shape(judge_of_boxes, box.format(x, y)))


def test_rings_that_overlap_are_found() -> None:
    ring = '<ellipse cx="{}" cy="60" rx="1.5" ry="6" fill="none" stroke="#000000" stroke-width="0.25" />'
    judge(with_shape(EMPTY, ring.format(50) + ring.format(53)))
    with pytest.raises(JudgeError, match="two rings overlap"):
        judge(with_shape(EMPTY, ring.format(50) + ring.format(52.9)))
    svg = plain_names(gallery_sheet("pump-final").to_svg())
    own = re.search(r"<ellipse[^>]*/>", svg)
    assert own is not None
    with pytest.raises(JudgeError, match="two rings overlap"):
        judge(svg.replace(own[0], own[0] * 2))


EMPTY = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="297mm" height="210mm" viewBox="0 0 297 210">'
    f'<rect x="10" y="10" width="277" height="190" {BLACK} /></svg>'
)


def test_a_wire_that_is_painted_over_is_found(svg: str) -> None:
    x0, x1, y = channel(svg)
    cover = f'<rect x="{x0 - 1}" y="{y - 2}" width="{x1 - x0 + 2}" height="4" fill="#ffffff" stroke="none" />'
    with pytest.raises(JudgeError, match=r"painted over"):
        judge(with_shape(svg, cover))
    # under the wire it does no harm
    start = svg.index('<g id="wire-1">')
    judge(svg[:start] + cover + svg[start:])


def test_a_wire_in_the_frame_of_another_drive_is_found() -> None:
    sheet = doorsheet.draw_text(TWO_PUMPS, paper="A3")
    text = plain_names(sheet.to_svg())
    homes = judge(text).homes
    assert {right for _, _, right in homes} == {"pump-1:1.5kWdrive", "pump-2:0.75kWdrive"}
    one, other = (re.search(rf">({name}: [^<]*)</text>", text) for name in ("pump-1", "pump-2"))
    assert one is not None and other is not None
    swapped = text.replace(one[0], ">@</text>").replace(other[0], one[0]).replace(">@</text>", other[0])
    assert {number: right for number, _, right in judge(swapped).homes} != {
        number: right for number, _, right in homes
    }
    ends = {wire.number: wire.drive for wire in sheet.circuit.wires}
    assert all(right.startswith(f"{ends[number]}:") for number, _, right in homes)


# --- what a page says of its crossings -----------------------------------


def told(sheet: Sheet, change: Callable[[Crossings], Crossings]) -> Sheet:
    page = sheet.pages[0]
    return replace(sheet, pages=(replace(page, crossings=change(page.crossings)),))


@pytest.mark.parametrize(
    "change",
    [
        lambda was: was._replace(needed=was.drawn + 1),
        lambda was: was._replace(drawn=was.drawn + 1),
        lambda was: was._replace(extra=1),
    ],
)
def test_a_page_that_says_something_wrong_about_crossings_is_found(
    change: Callable[[Crossings], Crossings],
) -> None:
    sheet = gallery_sheet("conveyor-final")
    read(told(sheet, lambda was: was))
    with pytest.raises(AssertionError):
        read(told(sheet, change))


# --- what the mapping asks for -------------------------------------------

SAW: Data = {
    "machine": "Saw",
    "controller": {"name": "Saw controller"},
    "drives": {
        "saw": {
            "name": "2 kW drive",
            "run-forward": {
                "input": "DI1",
                "common": "COM",
                "meter": -24.1,
                "output": {"plus": "Q1+", "minus": "Q1-"},
                "wires": {"input": {"number": "7", "colour": "green/yellow"}, "common": "white"},
            },
            "speed": {"signal": "AI1", "common": "AGND", "source": {"signal": "AO1", "common": "0V"}},
            "fault": {"terminals": ["RA", "RC"], "input": {"signal": "IN1", "common": "0V"}},
        },
        "feed": {
            "run-forward": {
                "input": "DI1",
                "common": "COM",
                "switch": {"name": "S7", "terminals": ["13", "14"]},
            },
            "enable": {
                "input": "DI2",
                "common": "COM",
                "output": {"kind": "contact", "terminals": ["K1:11", "K1:14"]},
            },
        },
    },
}


def as_drawn(data: Data, stage: str) -> tuple[Installation, Sheet]:
    return Installation(data, None, None, None), doorsheet.draw_text(toml_text(SAW), stage, "A3")


def put(*path: str, to: object) -> tuple[tuple[str, ...], object]:
    return path, to


SAW_RUN, FEED = ("drives", "saw", "run-forward"), ("drives", "feed")
OTHER_FINAL = [
    put(*SAW_RUN, "meter", to=24.1),  # the output's terminals change places
    put(*SAW_RUN, "input", to="DI9"),
    put(*SAW_RUN, "output", "plus", to="Q2+"),
    put(*SAW_RUN, "wires", "input", to={"number": "8", "colour": "green/yellow"}),
    put(*SAW_RUN, "wires", "common", to="brown"),
    put("drives", "saw", "fault", "terminals", to=["RC", "RA"]),
    put("drives", "saw", "speed", "source", "common", to="1V"),
    put(*FEED, "run-forward", "switch", to={"name": "S7", "terminals": ["14", "13"]}),
    put(*FEED, "enable", "output", "terminals", to=["K1:14", "K1:11"]),
    put(*FEED, "jog", to={"input": "DI3", "common": "COM"}),
]
OTHER_BENCH = [
    put(*SAW_RUN, "input", to="DI9"),
    put(*FEED, "jog", to={"input": "DI3", "common": "COM"}),
    put("drives", "saw", "speed", "supply", to="+10V"),
]


def changed(path: tuple[str, ...], to: object) -> Data:
    data = copy.deepcopy(SAW)
    inner = data
    for key in path[:-1]:
        inner = cast("Data", inner[key])
    inner[path[-1]] = to
    return data


@pytest.mark.parametrize("stage", ["bench", "final"])
def test_a_sheet_shows_what_its_mapping_asks_for(stage: str) -> None:
    one, sheet = as_drawn(SAW, stage)
    as_asked_for(one, stage, "bench", "final", read(sheet))


@pytest.mark.parametrize(
    ("stage", "path", "to"),
    [("final", *one) for one in OTHER_FINAL] + [("bench", *one) for one in OTHER_BENCH],
)
def test_a_sheet_that_shows_something_else_is_found(stage: str, path: tuple[str, ...], to: object) -> None:
    one, sheet = as_drawn(changed(path, to), stage)
    with pytest.raises(AssertionError):
        as_asked_for(one, stage, "bench", "final", read(sheet))


def test_the_wires_of_a_drive_are_not_another_s() -> None:
    drives = cast("Data", SAW["drives"])
    one, sheet = as_drawn({**SAW, "drives": {"saw": drives["feed"], "feed": drives["saw"]}}, "final")
    with pytest.raises((AssertionError, KeyError)):
        as_asked_for(one, "final", "bench", "final", read(sheet))


def test_wires_asked_for_twice_are_one() -> None:
    both = {"common": "COM", "output": {"kind": "logic-level", "signal": "D1", "common": "GND"}}
    other = {**both, "output": {"kind": "logic-level", "signal": "D2", "common": "GND"}}
    ways = final_ways({"jog": {"input": "1", **both}, "enable": {"input": "2", **other}})
    assert sorted((way.near, way.far.label) for way in ways) == [("D1", "1"), ("D2", "2"), ("GND", "COM")]
