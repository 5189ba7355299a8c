"""The papers of gallery machines and of made-up ones, read by a judge that knows the mapping alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from doorsheet.booklet.chapters import test_table as table_of_tests
from doorsheet.booklet.chapters import wire_failures
from doorsheet.booklet.grid import Band, Grid
from doorsheet.booklet.leaf import Chapter
from doorsheet.circuit.units import share, units_of
from doorsheet.job.stages import stage_circuits
from doorsheet.job.trials import Trials
from doorsheet.mapping import parse_mapping
from tests.judges.papers import Papers, Row, Stage, judge_papers
from tests.older import older
from tests.spice.mappings import random_mapping

TOP = Path(__file__).parents[2]
GALLERY = sorted((TOP / "gallery").glob("*.toml"))
SEEDS = range(40)


def cells(chapter: Chapter) -> list[list[str] | str]:
    """Give the rows of a chapter's first table, as what stands in their cells; bands as their words."""
    grid = next(piece for piece in chapter.pieces if isinstance(piece, Grid))
    return [row.content if isinstance(row, Band) else [cell.content for cell in row] for row in grid.rows]


def papers_of(text: str) -> dict[str, Papers]:
    """Give the papers of every drive of a mapping, as the booklet's chapters have them."""
    read = parse_mapping(text, "m.toml")
    solved = stage_circuits(read)
    told: dict[str, tuple[str, str, str]] = {}
    for row in cells(wire_failures((solved[-1],))):
        if isinstance(row, list):
            number = row[0].split(" ")[0]
            told[number] = (row[2], row[3], row[4])
    out = {}
    for drive, own in units_of(read):
        stages, before = [], None
        for one in solved:
            circuit = one.circuit
            if circuit.step.drive in ("", drive) or drive in circuit.drives_moved:
                was = share(before, drive, own.source) if before is not None else None
                of = Trials(own.mapping, share(circuit, drive, own.source), was, one, drive, None)
                rows = [Row(row[0], row[1]) for row in cells(table_of_tests(of)) if isinstance(row, list)]
                stages.append(Stage(circuit.step.name, tuple(rows)))
            before = circuit
        out[drive] = Papers(tuple(stages), told)
    return out


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_the_papers_of_the_gallery_say_what_their_mappings_do(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for drive, papers in papers_of(text).items():
        judge_papers(older(text), papers, drive)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_papers_of_made_up_machines_say_what_their_mappings_do(seed: int) -> None:
    text = random_mapping(seed)
    for drive, papers in papers_of(text).items():
        judge_papers(older(text), papers, drive)
