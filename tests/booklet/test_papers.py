"""The papers of gallery machines and of made-up ones, read by a judge that knows the mapping alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

from doorsheet.booklet.chapters import wire_failures
from doorsheet.booklet.grid import Band, Grid
from doorsheet.booklet.leaf import Chapter
from doorsheet.circuit.units import units_of
from doorsheet.electrics.solved import Solved
from doorsheet.job.sequence import stage_actions, stage_trials
from doorsheet.mapping import parse_mapping
from doorsheet.mapping.reading import ReadMapping
from tests.judges.papers import Papers, Row, Stage, judge_papers
from tests.layout.how_many import cases
from tests.older import older
from tests.papers import stages_of
from tests.spice.mappings import random_mapping

TOP = Path(__file__).parents[2]
GALLERY = sorted((TOP / "gallery").glob("*.toml"))
SEEDS = range(cases(25))


def cells(chapter: Chapter) -> list[list[str] | str]:
    """Give the rows of a chapter's first table, as what stands in their cells; bands as their words."""
    grid = next(piece for piece in chapter.pieces if isinstance(piece, Grid))
    return [row.content if isinstance(row, Band) else [cell.content for cell in row] for row in grid.rows]


def papers_of(text: str, solve: Callable[[ReadMapping], Iterable[Solved]] = stages_of) -> dict[str, Papers]:
    """Give the papers of every drive of a mapping, as the booklet's chapters have them."""
    read = parse_mapping(text, "m.toml")
    solved = tuple(solve(read))
    told: dict[str, tuple[str, str, str]] = {}
    for row in cells(wire_failures((solved[-1],))):
        if isinstance(row, list):
            number = row[0].split(" ")[0]
            told[number] = (row[1], row[2], row[3])
    stages: dict[str, list[Stage]] = {drive: [] for drive, _ in units_of(read)}
    for of in stage_trials(read, solved):
        rows = [Row(trial.do, trial.expect) for action in stage_actions(of) for trial in action.trials]
        stages[of.drive].append(Stage(of.circuit.step.name, tuple(rows)))
    return {drive: Papers(tuple(own), told) for drive, own in stages.items()}


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.stem)
def test_the_papers_of_the_gallery_say_what_their_mappings_do(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for drive, papers in papers_of(text).items():
        judge_papers(older(text), papers, drive)


def test_nobody_is_sent_to_look_for_a_sign_that_an_open_input_never_shows() -> None:
    """Plus is fed to it, so open it reads 0 V whatever is done (Ohm's law)."""
    text = 'machine = "M"\n[enable]\ninput = "D3"\ncommon = "0V"\noutput = { plus = "E+", minus = "E-" }\n'
    for more, asked in (('feed = "24V"\nmeter = 0\n', False), ("meter = 24\n", False), ("", True)):
        (papers,) = papers_of(text + more).values()
        lines = [row.do for stage in papers.stages for row in stage.rows]
        assert any(line.startswith("Polarity of enable") for line in lines) is asked


@pytest.mark.parametrize("seed", SEEDS)
def test_the_papers_of_made_up_machines_say_what_their_mappings_do(seed: int) -> None:
    text = random_mapping(seed)
    for drive, papers in papers_of(text).items():
        judge_papers(older(text), papers, drive)
