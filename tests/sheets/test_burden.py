"""A burden across two terminals of a drive: its box and its name beside it, read off the sheet."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from doorsheet.output.svg import to_svg
from doorsheet.sheet import draw_text
from tests.judges.geometry import judge
from tests.judges.shapes import Shapes, read_shapes

CONTACT = (
    '[{0}fault]\nterminals = ["RA", "RC"]\nnormally = "open"\ninput = {{ signal = "I{1}", common = "M" }}\n'
)
DRIVE = """
[{drive}]
{links}
[{prefix}run-forward]
input = "DI1"
common = "COM"
meter = 24.2
output = {{ plus = "OUT{at}+", minus = "OUT{at}-" }}
{contact}
[{prefix}speed]
signal = "AI1"
common = "AGND"
burden = "500 ohm"
{series}
source = {{ signal = "AO{at}", common = "0V", gives = "4-20 mA", powered-by = "controller" }}
"""
LINK = 'links = [{ between = ["DI1", "AI1"] }]'


def mapping(drives: int, series: bool, contact: bool, link: bool) -> str:
    out = ['machine = "Made up"']
    for at in range(1, drives + 1):
        prefix = f"drives.d{at}." if drives > 1 else ""
        out.append(
            DRIVE.format(
                drive=prefix[:-1] or "drive",
                prefix=prefix,
                at=at,
                links=LINK if link else "",
                contact=CONTACT.format(prefix, at) if contact else "",
                series='series = "100 ohm"' if series else "",
            )
        )
    return "\n".join(out)


def named(shapes: Shapes) -> list[tuple[str, str]]:
    """Return what is written right beside each upright box of 1 to 2.5, and what the row left of it says."""
    found = []
    for box in (one.box for one in shapes.rectangles):
        wide, high = box.right - box.left, box.bottom - box.top
        if wide > 6 or high != pytest.approx(2.5 * wide, rel=0.01):
            continue
        beside = [
            text.content
            for text in shapes.writings
            if 0.3 < text.box.left - box.right < 1.8 and text.box.top < box.centre.y < text.box.bottom
        ]
        above = [t for t in shapes.writings if t.box.right < box.left and t.box.top < box.centre.y]
        fitted = re.findall(r"fit (R\d)", " ".join(text.content for text in above))
        found.append((" ".join(beside), fitted[-1] if fitted else ""))
    return found


@pytest.mark.parametrize(
    ("drives", "series", "contact", "link", "paper"),
    [
        (1, False, False, False, "A5"), (1, False, False, False, "A4"), (1, False, False, False, "A3"),
        (1, True, True, False, "A5"), (1, True, True, False, "A3"),
        (1, False, False, True, "A4"), (2, False, True, False, "A5"), (2, False, True, False, "A4"),
    ],
)  # fmt: skip
def test_a_burden_has_its_name_beside_it(
    drives: int, series: bool, contact: bool, link: bool, paper: str
) -> None:
    sheet = draw_text(mapping(drives, series, contact, link), paper=paper)
    found = []
    for page in sheet.pages:
        svg = to_svg(page)
        judge(svg)  # no two drawings and no two words lie over each other
        found += named(read_shapes(svg))
    assert found == [("R1", "R1")] * drives


def test_a_burden_without_its_name_is_read_so() -> None:
    svg = to_svg(draw_text(mapping(1, False, False, False)).pages[0])
    shapes = read_shapes(svg)
    assert named(shapes) == [("R1", "R1")]
    bare = replace(shapes, writings=tuple(text for text in shapes.writings if text.content != "R1"))
    assert named(bare) == [("", "R1")]
