"""Few leaves, and nothing lost: a booklet's PDF is held against what is known of the machine."""

from __future__ import annotations

import re
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from doorsheet.booklet.facts import facts
from doorsheet.booklet.failure_table import failures
from doorsheet.checks import run_checks
from doorsheet.job.action import Phase
from doorsheet.job.decisions import decisions
from doorsheet.job.outcomes import tables
from doorsheet.job.sequence import stage_trials
from doorsheet.mapping.reading import ReadMapping, parse_mapping, read_mapping
from doorsheet.output.pdf import to_pdf
from tests.papers import booklet_of, leaf_steps_of, stages_of

MACHINES = {
    "lathe": read_mapping(Path(__file__).parents[2] / "gallery" / "lathe.toml"),
    "two": parse_mapping('machine = "M"\n[run-forward]\ninput = "DI1"\ncommon = "COM"\n', "two.toml"),
    "wrong": parse_mapping(
        """machine = "M"
[run-forward]
input = "DI1"
common = "COM"
meter = 4.2
[fault]
terminals = ["RA", "RC"]
normally = "closed"
input = { signal = "IN1", common = "0V" }
[motor]
poles = 4
""",
        "wrong.toml",
    ),
}
MOST = {"lathe": 14, "two": 8, "wrong": 9}
each_machine = pytest.mark.parametrize("name", MACHINES)


@cache
def leaves(name: str) -> tuple[str, ...]:
    """Give the text of each leaf of a booklet as a reader of PDF finds it, without blanks."""
    made = booklet_of(MACHINES[name])
    pages = PdfReader(BytesIO(to_pdf(*made.pages, bookmarks=made.bookmarks))).pages
    return tuple(bare(page.extract_text()) for page in pages)


def bare(words: str) -> str:
    return "".join(words.split())


def wanted(read: ReadMapping) -> list[str]:
    """Give all that is known: facts, settings, wires and what they do, findings, what figures mean."""
    stages = stages_of(read)
    said = [row.name for group in facts(read) for row in group.rows]
    said += [row.value for group in facts(read) for row in group.rows if row.value]
    said += [row.where for group in facts(read) for row in group.rows if row.where]
    said += [words for one in decisions(read.mapping) for words in (one.meaning, one.needs)]
    said += [f"{wire.number} {wire.colour.letters}" for wire in stages[0].circuit.wires]
    said += [words for solved in (stages[0], stages[-1]) for one in failures(solved) for words in one[1:]]
    for solved in stages:
        for finding in run_checks(read, solved):
            said += (
                [finding.code]
                if finding.severity == "note"
                else [finding.reason_on_paper, finding.do_on_paper]
            )
    for of in stage_trials(read, stages):
        said += [words for table in tables(of, of.probes) for row in table.rows if len(table.rows) > 1
                 for words in (row.meaning, row.do)]  # fmt: skip
    return said


@each_machine
def test_few_leaves(name: str) -> None:
    assert len(leaves(name)) <= MOST[name]


@each_machine
def test_no_language_of_the_file(name: str) -> None:
    """Who holds the paper needs no line of the mapping, and no name of its tables."""
    assert re.findall(r"\blines?\d+|\[+[a-z.-]+\]+|.{20}[⟬⟭]", "".join(leaves(name))) == []


@each_machine
def test_nothing_is_lost(name: str) -> None:
    text = "".join(leaves(name))
    assert [words for words in wanted(MACHINES[name]) if bare(words) not in text] == []


@each_machine
def test_each_step_is_one_leaf_with_all_its_parts(name: str) -> None:
    read = MACHINES[name]
    steps = leaf_steps_of(read)
    heads = {
        Phase.DEAD: "Make it dead",
        Phase.STOP: "Emergency stop first",
        Phase.READ: "Measure",
        Phase.TEST: "Try it",
    }
    for number, step in enumerate(steps, 1):
        (leaf,) = [leaf for leaf in leaves(name) if leaf.startswith(f"STEP{number}/{len(steps)}")]
        for phase in {action.phase for action in step.actions} & heads.keys():
            assert bare(heads[phase]) in leaf
        assert "Doneby" in leaf


def test_room_for_what_is_found_at_the_cabinet() -> None:
    text = "".join(leaves("two"))
    for words in ("torque of its control terminals, Nm", "ambient °C", "ambient ______ °C", "Photograph"):
        assert bare(words) in text
