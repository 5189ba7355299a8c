"""Ten mappings with several mistakes planted in each, written before the checks: n of n, nothing else."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from doorsheet.checks import Severity
from tests.checks.cases import found

PLANTED = sorted((Path(__file__).parent / "planted").glob("*.toml"))
GALLERY = sorted((Path(__file__).parents[2] / "gallery").glob("*.toml"))


def expected(text: str) -> list[str]:
    """Return "CODE control" of each planted mistake, from the file's own header."""
    mark = "# expect: "
    return sorted(line.removeprefix(mark).strip() for line in text.splitlines() if line.startswith(mark))


def test_there_are_ten() -> None:
    assert len(PLANTED) == 10
    assert all(len(expected(path.read_text(encoding="utf-8"))) >= 3 for path in PLANTED)


@pytest.mark.parametrize("path", PLANTED, ids=lambda path: path.stem)
def test_every_planted_mistake_is_found_and_nothing_else(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    claimed = [f for f in found(text) if f.severity is not Severity.NOTE]
    assert sorted(f"{finding.code} {finding.control}" for finding in claimed) == expected(text)


def shuffled_tables(text: str, seed: int) -> str:
    """Return the mapping with its tables in another order; what stands before the first stays there."""
    blocks: list[list[str]] = [[]]
    for line in text.splitlines():
        if line.startswith("["):
            blocks.append([])
        blocks[-1].append(line)
    head, *tables = blocks
    random.Random(seed).shuffle(tables)
    return "\n".join("\n".join(block) for block in (head, *tables)) + "\n"


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("path", [*PLANTED, *GALLERY], ids=lambda path: path.stem)
def test_the_order_of_tables_changes_no_finding(path: Path, seed: int) -> None:
    def said(text: str) -> Counter[tuple[str, str, tuple[str, ...]]]:
        return Counter((f.code, f.control, tuple(sorted(f.terminals))) for f in found(text))

    text = path.read_text(encoding="utf-8")
    assert said(shuffled_tables(text, seed)) == said(text)


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_the_gallery_stays_quiet(path: Path) -> None:
    """At most three notes; above them only what a reader of that machine needs to know."""
    known = {
        "drill": {"T103"},
        "fan": {"A106", "F105"},
        "conveyor": {"L104"},
    }  # three returns on one terminal; bench and final differ in range; no run input is known
    findings = found(path.read_text(encoding="utf-8"))
    loud = {f.code for f in findings if f.severity is not Severity.NOTE}
    assert loud == known.get(path.stem, set())
    assert sum(f.severity is Severity.NOTE for f in findings) <= 3
