"""Some two hundred mappings with one mistake each: found, at its place; its neighbour silent."""

from __future__ import annotations

import pytest

from doorsheet.checks import Severity
from tests.checks.cases import HEAD, found
from tests.checks.planted_switches import PLANTED, Planted
from tests.checks.speed_plants import PLANTS

EVERY = (*PLANTED, *PLANTS)


def line_of(text: str, table: str, key: str) -> int | None:
    """Return the line of a table, or of the first in it that starts with a key; None where there is none."""
    lines = text.split("\n")
    start = 0
    if table:
        heads = [at for at, line in enumerate(lines, 1) if line == f"[{table}]"]
        if not heads:
            return None
        start = heads[0]
    if not key:
        return start or None
    return next(at for at, line in enumerate(lines[start:], start + 1) if line.lstrip().startswith(key))


def test_there_are_enough() -> None:
    assert len(PLANTED) >= 110 and len(PLANTS) >= 50
    assert len({row[1:4] for row in EVERY}) == len(EVERY)
    assert len({row.code for row in PLANTED}) >= 60


@pytest.mark.parametrize("row", EVERY, ids=lambda row: f"{row.code}-{row.mistake.replace(' ', '-')}")
def test_the_mistake_is_found_at_its_place_and_its_neighbour_is_silent(row: Planted) -> None:
    right = HEAD + row.right
    assert right.count(row.good) >= 1, "nothing to replace"
    wrong = right[::-1].replace(row.good[::-1], row.bad[::-1], 1)[::-1]  # the last such words
    mine = [finding for finding in found(wrong) if finding.code == row.code]
    assert mine, f"found only {sorted({finding.code for finding in found(wrong)})}"
    assert line_of(wrong, row.table, row.key) in {finding.line for finding in mine}
    assert row.code not in {finding.code for finding in found(right)}


@pytest.mark.parametrize("right", sorted({row.right for row in PLANTS}))
def test_a_right_speed_signal_is_silent(right: str) -> None:
    """But for A106: with milliamperes in the end, the dial of the bench sheet needs another range first."""
    loud = [f for f in found(HEAD + right) if f.code[0] in "ASNR" and f.severity is not Severity.NOTE]
    assert {f.code for f in loud} <= ({"A106"} if "mA" in right else set())
