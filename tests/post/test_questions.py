"""Questions about gallery machines and made-up ones, read by a judge that knows the mapping alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from doorsheet.checks import run_checks
from doorsheet.circuit.units import units_of
from doorsheet.electrics import solve
from doorsheet.mapping import parse_mapping
from doorsheet.post import public, twin
from doorsheet.post.markup import Section, written
from tests.judges.papers import PaperError
from tests.judges.questions import judge_question
from tests.older import older
from tests.plants import TWO_PUMPS
from tests.spice.mappings import random_mapping

TOP = Path(__file__).parents[2]
FILES = (*sorted((TOP / "gallery").glob("*.toml")), TOP / "tests" / "booklet" / "full.toml")


def question(text: str, change: Callable[[Section], Section] = lambda one: one) -> str:
    """Write the words of a question, without its picture."""
    read = public(parse_mapping(text, "m.toml"))
    solved = solve(read, "final")
    found = run_checks(read, solved)
    said = twin.sections(read.mapping, units_of(read), solved.circuit, solved, found, private=False)
    return written("text", "A question", [], [change(one) for one in said])


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_questions_about_the_gallery_say_what_their_mappings_do(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    judge_question(older(text), question(text))


@pytest.mark.parametrize("seed", range(25))
def test_questions_about_made_up_machines_say_what_their_mappings_do(seed: int) -> None:
    text = random_mapping(seed)
    judge_question(older(text), question(text))


def test_a_question_about_two_drives_is_read_too() -> None:
    judge_question(older(TWO_PUMPS), question(TWO_PUMPS))


FULL = FILES[-1].read_text(encoding="utf-8")


def without_row(red: str) -> Callable[[Section], Section]:
    def change(section: Section) -> Section:
        if section.table is None:
            return section
        rows = tuple(row for row in section.table.rows if row[0] != red)
        return section._replace(table=replace(section.table, rows=rows))

    return change


MISTAKES: dict[str, Callable[[Section], Section]] = {
    "a reading lost": without_row("DI1"),
    "the source not asked for": without_row("AO9"),
    "a setting lost": without_row("fan always on"),
    "speeds lost": lambda one: one._replace(lines=tuple(line for line in one.lines if "→" not in line)),
    "no caution": lambda one: one._replace(lines=tuple(line for line in one.lines if "kill" not in line)),
    "a line named": lambda one: one._replace(lines=(*one.lines, "given, line 9")),
    "an owner": lambda one: one._replace(lines=(*one.lines, "Ostrich Works")),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_in_a_question_is_found(name: str) -> None:
    judge_question(older(FULL), question(FULL))
    with pytest.raises(PaperError):
        judge_question(older(FULL), question(FULL, MISTAKES[name]))
