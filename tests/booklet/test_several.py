"""The booklet of several drives: chapters for each, the drive at work on the sheet of each step."""

from __future__ import annotations

import re
from functools import cache

from doorsheet.booklet import Booklet
from doorsheet.booklet.chapters import titled
from doorsheet.booklet.facts import facts_of
from doorsheet.circuit.units import units_of
from doorsheet.job.sequence import stage_actions, stage_trials
from doorsheet.mapping import parse_mapping
from doorsheet.output.svg import to_svg
from tests.booklet.test_booklet import chapter, made, texts, words
from tests.judges.overlap import clashes
from tests.judges.shapes import read_shapes
from tests.papers import leaf_steps_of, stages_of
from tests.plants import TWO_PUMPS

DRIVES = ("pump-1", "pump-2")
WAIT = "wait 10 min at pump-1, 5 min at pump-2"
SMALL = """machine = "Two fans"
[drives.pump-1]
discharge = "10 min"
[drives.pump-1.run-forward]
input = "DI1"
common = "COM"
[drives.pump-2]
discharge = "5 min"
[drives.pump-2.run-forward]
input = "DI1"
common = "COM"
meter = 24.1
"""


@cache
def pumps() -> Booklet:
    return made(TWO_PUMPS)


def each(title: str) -> list[str]:
    return [f"{drive}: {title}" for drive in DRIVES]


def test_every_drive_has_its_chapters_and_every_step_its_leaf() -> None:
    read = parse_mapping(TWO_PUMPS, "m.toml")
    steps = leaf_steps_of(read)
    assert {step.of.drive for step in steps} == set(DRIVES)
    assert [mark.title for mark in pumps().bookmarks] == [
        "Work order",
        *(titled(number, step) for number, step in enumerate(steps, 1)),
        "Facts and blanks",
        *each("Facts and blanks"),
        *each("What was left out, and why"),
        *each("Settings"),
        "Controller's settings",
        *each("Speed, as found and as left"),
        "Wire list",
        "If a wire opens or touches",
        "Findings",
        "Revisions",
        "Photograph",
        "Door sheet",
    ]
    assert all(step.of.drive in titled(number, step) for number, step in enumerate(steps, 1))


def test_the_contents_give_every_chapter_its_sheet() -> None:
    said = " ".join(words(page) for page in chapter(pumps(), "Work order"))
    for mark in pumps().bookmarks[1:]:
        title = r" (?:.*? )?".join(map(re.escape, mark.title.split()))
        assert re.search(rf"{title} .*?\b{mark.page + 1}\b", said), mark


def test_the_controller_is_asked_for_once_and_each_drive_for_itself() -> None:
    told = {drive: {row.name for group in groups for row in group.rows}
            for drive, groups in facts_of(units_of(parse_mapping(TWO_PUMPS, "m.toml")))}  # fmt: skip
    assert "its 0 V" in told[""] and "serial number" not in told[""]
    for drive in DRIVES:
        assert "serial number" in told[drive] and "its 0 V" not in told[drive]
    assert "SN 0815" in " ".join(words(page) for page in chapter(pumps(), "pump-2: Facts and blanks"))
    assert "Station" in " ".join(words(page) for page in chapter(pumps(), "Facts and blanks"))


def test_every_move_of_every_wire_is_in_the_tests_of_its_drive_once() -> None:
    """Each end of each wire that differs from the step before is fitted, moved or taken off by one line."""
    read = parse_mapping(TWO_PUMPS, "m.toml")
    stages = stages_of(read)
    works = tuple(stage_trials(read, stages))
    before: dict[str, str] = {}
    for solved in stages:
        circuit = solved.circuit
        now = {wire.number: wire.near.full for wire in circuit.wires}
        drive_of = {wire.number: wire.drive for wire in (*circuit.wires, *circuit.free_wires)}
        for drive in DRIVES:
            wanted = {
                n for n in now.keys() | before.keys() if now.get(n) != before.get(n) and drive_of[n] == drive
            }
            own = [of for of in works if of.solved is solved and of.drive == drive]
            lines = [trial.do for of in own for action in stage_actions(of) for trial in action.lines]
            told = [
                line.split()[2]
                for line in lines
                if line.startswith(("Fit wire ", "Move wire ", "Take wire "))
            ]
            assert sorted(told) == sorted(wanted)
        before = now


def test_every_page_says_the_time_to_wait_of_all_drives() -> None:
    assert all(WAIT in words(page) for page in pumps().pages)
    for drive in DRIVES:
        (title,) = (
            mark.title for mark in pumps().bookmarks if mark.title.endswith(f"{drive} wire the bench")
        )
        first = " ".join(words(page) for page in chapter(pumps(), title))
        assert f"Lock off drive and controller, {WAIT}" in first
    unknown = made(SMALL.replace('discharge = "5 min"\n', ""))
    assert not any("10 min" in words(page) for page in unknown.pages if "Facts" not in page.title)


def test_the_wire_list_names_the_drive_of_each_terminal() -> None:
    said = [text for page in chapter(pumps(), "Wire list") for text in texts(page)]
    for drive in DRIVES:
        assert " ".join(said).count(f"{drive} DI1 ") == 1


def test_nothing_runs_over_anything_else_and_numbers_run_through() -> None:
    pages = pumps().pages
    for number, page in enumerate(pages, 1):
        assert f"{number} of {len(pages)}" in words(page)
        assert clashes(read_shapes(to_svg(page))) == []


def test_a_stop_of_one_drive_is_on_every_leaf() -> None:
    stopped = made(SMALL.replace("meter = 24.1", "meter = 230.0"))
    assert all("STOP" in words(page) for page in stopped.pages)
    (finding,) = {finding for finding in stopped.findings if finding.code == "P108"}
    said = " ".join(map(words, chapter(stopped, "Findings")))
    assert "P108, pump-2 run forward" in said and finding.drive == "pump-2"
