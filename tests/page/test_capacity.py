"""What one sheet holds: 14 wires one A4, 40 one A3, whatever stands beside them, and every rule kept."""

from __future__ import annotations

import os

import pytest

import doorsheet
from tests.bench.sheets import WIRES, Case, cases, mapping_text, of_wires
from tests.sheets.test_generated import read

A4_MM2, A3_MM2 = 210.0 * 297.0, 297.0 * 420.0
HARDEST = (
    (14, "bench", Case(True, True, True, True)),
    (14, "final", Case(True, True, True, True)),
    (40, "bench", Case(True, True, True, True)),
    (40, "final", Case(False, True, True, False)),
)
ALL = [(wires, stage, case) for wires in WIRES for stage in ("bench", "final") for case in cases()]


def _turn(case: Case) -> int:
    first, second, third, fourth = case
    return (first + second + third) % 2 + 2 * ((second + third + fourth) % 2)


USUAL = [
    one
    for one in ALL
    if one in HARDEST or _turn(one[2]) == (WIRES.index(one[0]) + 2 * (one[1] == "final")) % 4
]
"""A quarter of each full factorial, by turns each of the four: every combination at four sizes and stages."""


@pytest.mark.parametrize(
    ("wires", "stage", "case"),
    (ALL if "DOORSHEET_CASES" in os.environ else USUAL) if os.environ.get("DOORSHEET_LONG") else HARDEST,
    ids=str,
)
def test_an_installation_has_one_sheet(wires: int, stage: str, case: Case) -> None:
    sheet = doorsheet.draw_text(mapping_text(of_wires(wires), case), stage)
    assert len(sheet.pages) == 1
    page = sheet.page
    assert page.width * page.height <= (A4_MM2 if wires <= 14 else A3_MM2)
    assert len({wire.number for wire in sheet.circuit.wires}) >= wires - 4  # the bench has no fault contacts
    drawn = read(sheet)
    if drawn[0].schematics > 1 and (case.rail or stage == "final"):  # bench frames are each drive's own
        assert "One, drawn in two places" in sheet.to_svg()
