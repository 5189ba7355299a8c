"""Whole jobs, from the name to the record: a person does what is said and answers from how things are."""

from __future__ import annotations

import re
from functools import cache

import pytest

from doorsheet.circuit.parts import Use
from doorsheet.electrics.events import Exchanged, Fault, Opened, Reversed
from doorsheet.job.action import Phase, Power
from doorsheet.job.sequence import outlook
from doorsheet.mapping.reading import ReadMapping
from tests.job.machines import (
    HOIST,
    HOIST_TRUTH,
    PRESS,
    PRESS_TRUTH,
    PUMPS,
    PUMPS_TRUTH,
    ROLLS,
    ROLLS_TRUTH,
    SAW,
    SAW_TRUTH,
)
from tests.job.person import Person

FORWARD: Use = ("", "run-forward")
JOBS: dict[str, tuple[str, str, Fault, str, str, str]] = {
    # what is known, how it is, what is wrong since which stage, where it must be found, by which name
    "saw": (SAW, SAW_TRUTH, Exchanged("1", "3"), "bench", "read:run-forward:closed", "1 and 3"),
    "press": (PRESS, PRESS_TRUTH, Reversed(FORWARD, diode=True), "run-forward", "read:run-forward:open",
              "reversed"),
    "hoist": (HOIST, HOIST_TRUTH, Opened("2"), "bench", "read:run-forward:closed", "wire 1 or 2"),
    "rolls": (ROLLS, ROLLS_TRUTH, Opened("1"), "final", "read:run-forward:closed", "wire 1"),
    "pumps": (PUMPS, PUMPS_TRUTH, Opened("3"), "final", "read:run-forward:closed", "wire 3"),
}  # fmt: skip
HANDS_ON = re.compile(r"\b(clip|fit wire|move wire|take .* off|bridge|meter in wire|wires? back on)\b", re.I)


@cache
def job(name: str) -> tuple[Person, ReadMapping]:
    text, truth, fault, since, _, named = JOBS[name]
    person = Person(text, truth, fault, since, named)
    return person, person.work()


@pytest.mark.parametrize("name", JOBS)
def test_a_job_ends_and_the_file_is_right(name: str) -> None:
    person, read = job(name)
    assert all(done == of for _, done, of in outlook(read).progress)
    assert read.mapping.stop is not None and read.mapping.stop.hardware
    assert person.steps[-1].action.phase is Phase.RECORD


@pytest.mark.parametrize("name", JOBS)
def test_the_one_thing_wrong_is_named_at_the_step_that_can_find_it(name: str) -> None:
    person, _ = job(name)
    _, _, _, since, where, named = JOBS[name]
    assert person.found == (where, since)
    told = [step.action for step in person.steps if named in step.action.title]
    assert len(told) == 1, "it is said once, then found and mended"
    assert told[0].trials[0].power is Power.OFF
    assert "Lock off, wait, prove dead" in told[0].trials[0].do


@pytest.mark.parametrize("name", JOBS)
def test_nothing_right_is_called_wrong(name: str) -> None:
    person, _ = job(name)
    wrong = [step.action.title for step in person.steps if "is not what it should be" in step.action.title]
    assert len(wrong) == 1


@pytest.mark.parametrize("name", JOBS)
def test_power_comes_after_proof_of_dead_and_commands_after_that_of_the_stop(name: str) -> None:
    for step in job(name)[0].steps:
        at = (step.action.stage, step.action.drive)
        if step.action.phase in (Phase.BENCH, Phase.MOVE, Phase.STOP):
            assert ("prove-dead", *at) in step.log
        if step.action.phase in (Phase.READ, Phase.TEST):
            assert ("emergency-stop", *at) in step.log


@pytest.mark.parametrize("name", JOBS)
def test_no_hand_on_live_parts(name: str) -> None:
    lines = [trial for step in job(name)[0].steps for trial in step.action.lines]
    assert [trial.do for trial in lines if trial.power is Power.ON and HANDS_ON.search(trial.do)] == []
    clipped = [trial for trial in lines if trial.power is Power.OFF and "clip red" in trial.do]
    assert clipped


@pytest.mark.parametrize("name", JOBS)
def test_the_leads_of_a_reading_stand_before_the_power_comes(name: str) -> None:
    """The last place where the meter was put, with the power off, is that of the reading."""
    last = ""
    for step in job(name)[0].steps:
        for trial in step.action.lines:
            if trial.power is Power.OFF and ("clip red" in trial.do or "meter in wire" in trial.do):
                last = trial.do
            if trial.power is Power.ON and step.action.phase is Phase.READ:
                if reds := re.match(r"Red on (\S+), black on (\S+?)[;.]", trial.do):
                    assert f"red on {reds[1]}, black on {reds[2]}." in last
                else:
                    assert "meter in wire" in last


def test_every_phase_has_its_turn_in_order() -> None:
    person, _ = job("saw")
    phases = [step.action.phase for step in person.steps]
    first = [phases.index(phase) for phase in Phase]
    order = [Phase.IDENTIFY, Phase.DEAD, Phase.BENCH, Phase.STOP, Phase.READ, Phase.TEST, Phase.MOVE]
    order += [Phase.SPEED, Phase.SETTINGS, Phase.RECORD]
    assert [phase for _, phase in sorted(zip(first, Phase, strict=True))] == order
