"""The table of 79 ways in which it goes wrong: complete, and true of codes, sheets, report and booklet."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

import doorsheet
from doorsheet.booklet import step_leaf
from doorsheet.booklet.failure_table import failures
from doorsheet.checks import every_code
from doorsheet.circuit.parts import Stage
from doorsheet.electrics import solve
from doorsheet.job.decisions import decisions
from doorsheet.job.sequence import Trials, stage_actions
from doorsheet.mapping.reading import parse_mapping, read_mapping
from doorsheet.speed import as_text, speed_report

ROOT = Path(__file__).resolve().parents[2]
ROWS = [
    tuple(cell.strip() for cell in line.strip("|").split("|"))
    for line in (ROOT / "gallery" / "coverage.md").read_text(encoding="utf-8").splitlines()
    if re.match(r"\| \d+ \|", line)
]
KINDS = ("finding", "line", "speeds", "booklet", "left out")


def rows(kind: str) -> list[tuple[str, ...]]:
    return [row for row in ROWS if row[2] == kind]


def quoted(row: tuple[str, ...]) -> str:
    """Return the words that a row promises, which stand first in its last cell."""
    found = re.match(r'"([^"]+)"', row[3])
    assert found is not None
    return found[1]


def test_every_row_is_there_once_and_answered() -> None:
    assert [int(row[0]) for row in ROWS] == list(range(1, 80))
    assert {row[2] for row in ROWS} == set(KINDS)
    assert all(len(row) == 4 and row[1] and row[3] for row in ROWS)


def test_how_many_rows_are_answered() -> None:
    """Where this stands; fewer would be a loss."""
    count = Counter(row[2] for row in ROWS)
    assert sum(count.values()) - count["left out"] >= 60
    assert count["finding"] >= 34


@pytest.mark.parametrize("row", rows("finding"), ids=lambda row: row[0])
def test_findings_named_are_codes(row: tuple[str, ...]) -> None:
    """Each code of the table is proved by a mapping in its subject's test, so naming it is enough."""
    named = re.findall(r"\b[A-Z]\d{3}\b", row[3])
    assert named
    assert set(named) <= set(every_code())


@cache
def sheet_words() -> str:
    sheets = "".join(
        doorsheet.draw(ROOT / "gallery" / f"{name}.toml", stage).to_svg()
        for name in ("pump", "lathe")
        for stage in ("bench", "final")
    )
    return " ".join(re.findall(r">([^<>]+)</text>", sheets))


@pytest.mark.parametrize("row", rows("line"), ids=lambda row: row[0])
def test_lines_named_stand_on_a_sheet(row: tuple[str, ...]) -> None:
    assert quoted(row) in sheet_words()


SPEED = """
machine = "Example"

[speed]
signal = "AI1"
common = "AGND"
range  = "0-10 V"
source = {{ signal = "AO1", common = "0V" }}

[motor]
poles = {poles}
frequency = "400 Hz"
speed = "23400 rpm"
max-frequency = "{highest} Hz"
ratio = {ratio}

[speeds]
full-scale = "24000 rpm"
{more}
"""


def measured(*pairs: tuple[int, int]) -> str:
    return f"measured = {[list(pair) for pair in pairs]}"


STEPS = (6000, 12000, 18000, 22000)
MADE = {
    # row: what differs from a machine with nothing wrong
    "52": {"poles": "4"},
    "53": {"highest": "450"},
    "59": {"more": measured(*((step, step * 105 // 100) for step in STEPS))},
    "60": {"more": 'offset = "0.05 V"'},
    "61": {"more": measured((6000, 5000), (9000, 8900), (12000, 13200), (18000, 19000), (24000, 23000))},
    "62": {"ratio": "0.5", "more": measured(*((step, step // 2) for step in STEPS))},
    "63": {"more": measured(*((step, step // 10) for step in STEPS))},
    "64": {},
    "66": {"more": 'ramp-up = "6 s"\nwait-start = "3 s"'},
    "67": {"more": 'ramp-up = "30 s"\nwait-start = "20 s"\nwait-cap = "20 s"'},
}


@pytest.mark.parametrize("row", rows("speeds"), ids=lambda row: row[0])
def test_the_report_of_speeds_says_it(row: tuple[str, ...]) -> None:
    values = {"poles": "2", "highest": "400", "ratio": "1.0", "more": ""} | MADE[row[0]]
    text = as_text(speed_report(parse_mapping(SPEED.format(**values), "example.toml")))
    assert quoted(row) in text
    if MADE[row[0]]:
        fine = {"poles": "2", "highest": "400", "ratio": "1.0", "more": ""}
        assert quoted(row) not in as_text(speed_report(parse_mapping(SPEED.format(**fine), "example.toml")))


@cache
def booklet_words() -> str:
    read = read_mapping(ROOT / "gallery" / "lathe.toml")
    solved = solve(read, Stage.BENCH)
    bench, final = solved.circuit, solve(read, Stage.FINAL)
    actions = (
        *stage_actions(Trials(read.mapping, bench, None, solved, "", None)),
        *stage_actions(Trials(read.mapping, final.circuit, bench, final, "", None)),
    )
    words = [f"{trial.do} {trial.expect}" for action in actions for trial in action.lines]
    words += [note for _, note in step_leaf._SECTIONS.values()]
    words += [f"{one.meaning} {one.needs}" for one in decisions(read.mapping)]
    words += [f"{one.opens} {one.touches} {one.earth}" for one in failures(solved)]
    return "\n".join(words)


@pytest.mark.parametrize("row", rows("booklet"), ids=lambda row: row[0])
def test_the_booklet_says_it(row: tuple[str, ...]) -> None:
    assert quoted(row) in booklet_words()


@pytest.mark.parametrize("row", rows("left out"), ids=lambda row: row[0])
def test_what_is_left_out_has_a_reason(row: tuple[str, ...]) -> None:
    assert len(row[3].split()) >= 4
