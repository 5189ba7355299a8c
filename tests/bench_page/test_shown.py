"""What the page asks for is what the logbook understands, for every kind of action."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from doorsheet.bench_page import Bench
from doorsheet.bench_page.shown import _terminals, asked, shown
from doorsheet.job.action import Action, DoneAsked, KeyAsked, ReadingAsked, SettingAsked, SpeedAsked
from doorsheet.job.sequence import plan
from doorsheet.logbook.heard import understood
from doorsheet.mapping import parse_mapping
from tests.bench_page.served import BENCH_READY
from tests.job.test_whole_job import job

FULL = (
    BENCH_READY
    + """
[speeds]
full-scale = "3000 rpm"

[[drive.settings]]
number = "P0-03"
meaning = "who says run"
set = "1"
"""
)
TYPED = {KeyAsked: "10 min", SpeedAsked: "1490", SettingAsked: "1", DoneAsked: "1.4 s"}


def one_of_each_kind() -> list[Action]:
    found = {type(action.asked): action for action in plan(parse_mapping(FULL, "grinder.toml"))}
    return list(found.values())


@pytest.mark.parametrize("action", one_of_each_kind(), ids=lambda action: action.id)
def test_what_the_page_sends_is_understood(action: Action) -> None:
    read, when, of = parse_mapping(FULL, "grinder.toml"), datetime(2026, 11, 27, 14, 5), asked(action)
    if of.kind == "reading":
        words = [f"red on {of.red}, black on {of.black}: 24.1 {of.unit}, {of.state}"]
        words = [f"{words[0]} at {of.command} %"] if of.command else words
    else:
        typed = TYPED[type(action.asked)]
        gap = ": " if of.failed else ""
        words = [f"{of.before}{gap}{typed}{of.after}", *filter(None, (of.failed, of.unknown))]
    for line in words:
        if not (isinstance(action.asked, KeyAsked) and line.startswith(of.before)):  # that one is given
            assert understood(line, read, when).changes


def test_every_kind_is_asked_for_somewhere() -> None:
    kinds = {KeyAsked, ReadingAsked, DoneAsked, SpeedAsked, SettingAsked}
    assert {type(action.asked) for action in one_of_each_kind()} == kinds


def test_a_fault_of_our_own_is_said_and_ends_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "grinder.toml"
    file.write_text(BENCH_READY)
    bench = Bench(file)
    before = bench.after(0, 0)

    def broken(*_: object) -> object:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr("doorsheet.bench_page.bench.shown", broken)
    file.write_text(BENCH_READY + "\n")
    bench.look()
    bench.look()
    assert before is not None
    after = bench.after(before.number, 0)
    assert after is not None
    assert b"a fault of Doorsheet itself" in after.json and b"by nought" in after.json
    assert b"Bench grinder 4" in after.json  # the last good one


def test_a_file_is_read_when_it_stands_still(tmp_path: Path) -> None:
    file = tmp_path / "grinder.toml"
    file.write_text(BENCH_READY)
    bench = Bench(file)
    stood = bench.after(0, 0)
    assert stood is not None
    file.write_text("")  # an editor is about to write
    bench.look()
    file.write_text(BENCH_READY.replace("white", "green"))
    bench.look()
    assert bench.after(stood.number, 0) is None
    bench.look()
    state = bench.after(stood.number, 0)
    assert state is not None and b'"problems": []' in state.json and b"green" in state.json


def test_the_common_has_the_readings_of_no_input(tmp_path: Path) -> None:
    text = BENCH_READY.replace("[drive]", 'readings = ["red on DI1, black on COM: 24.1 V, open"]\n\n[drive]')
    *_, told = shown(parse_mapping(text, "grinder.toml"))
    assert told.readings["wire-1"] == ("Read 24.1 V, open.",) and told.readings["wire-2"] == ()


def test_the_newest_is_told_first() -> None:
    lines = (
        '"red on DI1, black on COM: 24.1 V, 2026-11-25 14:05", '
        '"red on DI1, black on COM: 24.2 V, 2026-11-25 14:05"'
    )
    text = BENCH_READY.replace("[drive]", f"readings = [{lines}]\n\n[drive]")
    *_, whole = shown(parse_mapping(text.replace('stage = "bench"', "", 1), "grinder.toml"))
    told = whole.history
    assert [line.split(": ")[-1] for line in told[:2]] == ["24.2 V, open.", "24.1 V, open. Replaced since."]
    assert told[-3:] == (
        "Prove the emergency stop, at the bench stage.", "Wire the bench, at the bench stage.", "prove-dead.",
    )  # fmt: skip


def test_the_next_action_does_not_wait_for_the_rest() -> None:
    (*_, before) = shown(parse_mapping(BENCH_READY, "grinder.toml"))
    line = 'readings = ["red on DI1, black on COM: 24.1 V, open"]'
    after = parse_mapping(BENCH_READY.replace("[drive]", f"{line}\n\n[drive]"), "grinder.toml")
    first, whole = shown(after, before)
    assert first.action == whole.action != before.action and first.sheets == whole.sheets != before.sheets
    assert first.history == before.history != whole.history
    assert [one.name for one in first.phases if one.now] == [one.name for one in whole.phases if one.now]


def test_the_meter_can_stand_where_every_action_of_a_job_puts_it() -> None:
    """In the wire between AO and II too, for milliamperes: one of these is no terminal of the drive."""
    person, _ = job("press")
    for step in person.steps:
        if isinstance(asked := step.action.asked, ReadingAsked):
            assert {asked.red, asked.black} <= set(_terminals(None, step.action))
