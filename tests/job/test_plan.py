"""What comes next, what forbids it, and what counts as done."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from doorsheet.job.action import Action, KeyAsked, Phase, Power, note_words
from doorsheet.job.sequence import next_action, outlook, place_of, plan
from doorsheet.logbook import note
from doorsheet.mapping.reading import ReadMapping, parse_mapping
from tests.job.machines import PRESS_TRUTH, PUMPS_TRUTH, SAW, SAW_TRUTH

MACHINES = {"saw": SAW_TRUTH, "press": PRESS_TRUTH, "pumps": PUMPS_TRUTH, "bare": SAW}


def read(text: str) -> ReadMapping:
    return parse_mapping(text, "m.toml")


def done(*entries: tuple[str, str, str]) -> str:
    out = ""
    for entry in entries:
        lines = zip(("what", "stage", "result"), entry, strict=True)
        out += "\n[[done]]\n" + "".join(f'{key} = "{value}"\n' for key, value in lines if value)
    return out


def following(text: str) -> Action:
    action = next_action(read(text))
    assert action is not None
    return action


READY = done(("prove-dead", "bench", "0 V"), ("bench", "bench", ""), ("emergency-stop", "bench", "1.2 s"))


@pytest.mark.parametrize("text", MACHINES.values(), ids=MACHINES)
def test_the_stop_is_proved_between_the_work_and_the_first_command_of_every_stage(text: str) -> None:
    last: dict[tuple[str, str], list[Phase]] = {}
    for action in plan(read(text)):
        last.setdefault((action.stage, action.drive), []).append(action.phase)
    wanted = [Phase.DEAD, Phase.STOP]
    for phases in last.values():
        work = [one for one in phases if one in (*wanted, Phase.READ, Phase.TEST, Phase.BENCH, Phase.MOVE)]
        if not work:
            continue
        stop = work.index(Phase.STOP)
        assert work[0] is Phase.DEAD
        assert not {Phase.READ, Phase.TEST} & {*work[:stop]}
        assert not {Phase.DEAD, Phase.BENCH, Phase.MOVE} & {*work[stop:]}


@pytest.mark.parametrize("text", MACHINES.values(), ids=MACHINES)
def test_ids_tell_every_action_from_every_other(text: str) -> None:
    keys = [(one.id, one.stage, one.drive) for one in plan(read(text))]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("text", MACHINES.values(), ids=MACHINES)
def test_what_has_power_says_so_and_what_may_kill_is_said_first(text: str) -> None:
    for action in plan(read(text)):
        if action.phase in (Phase.STOP, Phase.READ, Phase.TEST, Phase.SPEED):
            assert action.power is Power.ON
            assert any("emergency stop" in words for words in action.cautions)
        if action.phase in (Phase.DEAD, Phase.BENCH, Phase.MOVE):
            assert action.power is Power.OFF
            assert any("prove dead" in words for words in action.cautions)
        if action.phase is Phase.READ:
            assert action.cautions[0].startswith("Above 60 V DC or 25 V AC")
            volts = [one for one in action.outcomes if one.unit == "V"]
            assert all(one.stop for one in volts[:2])
            assert all(one.holds(325.0) or one.holds(-325.0) for one in volts[:2])


@pytest.mark.parametrize("text", MACHINES.values(), ids=MACHINES)
def test_settings_are_read_off_a_drive_that_has_power(text: str) -> None:
    """A display without power is dark: common practice, no source."""
    settings = [one for one in plan(read(text)) if one.phase is Phase.SETTINGS]
    assert settings and {trial.power for one in settings for trial in one.trials} == {Power.ON}


@pytest.mark.parametrize(("said", "warned"), [("yes", False), ("no", True), (None, True)])
def test_terminals_that_may_be_mains_are_said_to_be(said: str | None, warned: bool) -> None:
    text = SAW_TRUTH.replace('isolated = "yes"\n', f'isolated = "{said}"\n' if said else "")
    for action in plan(read(text)):
        if action.phase is Phase.READ:
            assert any("count as mains" in words for words in action.cautions) == warned


def test_several_drives_wait_for_the_longest_of_them() -> None:
    for action in plan(read(PUMPS_TRUTH)):
        if action.id == "prove-dead":
            words = action.cautions[-1] + action.trials[1].do
            assert "5 min at pump-1" in words and "10 min at pump-2" in words


def test_an_unknown_waiting_time_stays_a_blank() -> None:
    dead = next(action for action in plan(read(SAW)) if action.id == "prove-dead")
    assert "wait __________" in dead.trials[1].do
    assert "from the drive's label" in dead.cautions[-1]


def test_a_fact_asked_after_in_vain_is_not_asked_again() -> None:
    first = following(SAW)
    assert isinstance(first.asked, KeyAsked)
    assert note_words(first) == ("drive.discharge: ___ min", "done identify:discharge: not known")
    second = following(SAW + done((first.id, "bench", "not known")))
    assert second.id != first.id


UNSET = SAW_TRUTH.replace('range = "0-10 V"\n', "")
"""Nobody has looked at the drive's range switch, which often is under its cover."""


def test_nobody_looks_into_a_drive_before_it_is_proved_dead() -> None:
    assert following(UNSET).id == "prove-dead"
    look = following(UNSET + done(("prove-dead", "bench", "0 V")))
    assert (look.id, look.power) == ("identify:range", Power.OFF)
    assert "prove dead" in look.trials[0].do
    assert any("lock off, wait 8 min" in words for words in look.cautions)
    assert following(SAW_TRUTH + done(("prove-dead", "bench", "0 V"))).id == "bench"


@pytest.mark.parametrize(("result", "goes_on"), [("12 V", False), ("0 V", True)])
def test_nothing_is_looked_up_where_dead_was_not_proved(result: str, goes_on: bool) -> None:
    text = UNSET.replace('[stop]\nhardware = "contactor K1"\n', "")
    assert following(text).id == "identify:stop"
    action = following(text + done(("prove-dead", "bench", result)))
    assert action.id == ("identify:stop" if goes_on else "prove-dead")
    assert ("touch nothing" in action.trials[0].do) is not goes_on


def test_a_proof_of_another_stage_is_none() -> None:
    text = SAW_TRUTH + '\n[[done]]\nwhat = "prove-dead"\n'  # of which stage nobody says
    assert following(text).id == "prove-dead"
    assert following(SAW_TRUTH + done(("prove-dead", "run-forward", ""))).id == "prove-dead"


def test_what_failed_is_done_again_before_anything_else() -> None:
    action = following(
        SAW_TRUTH
        + done(("prove-dead", "bench", ""), ("bench", "bench", ""))
        + done(("emergency-stop", "bench", "failed, motor turned"))
    )
    assert action.id == "emergency-stop"
    assert "failed, motor turned" in action.trials[0].do
    assert action.trials[0].power is Power.OFF


def test_a_finding_that_stops_is_mended_before_anything_is_touched() -> None:
    text = SAW_TRUTH.replace("meter = 24.1", "meter = 325", 1)
    action = following(text)
    assert action.id == "mend:P108"
    assert "325 V" in action.title
    assert action.trials[0].do.startswith("Switch off")
    assert note_words(action) == ()
    assert following(SAW_TRUTH).id == "prove-dead"


def test_what_a_measurement_mends_is_measured_with_power_and_clipped_on_without() -> None:
    """A dead input reads about 0 V, whatever feeds it; that an output bears too little no meter mends."""
    text = SAW_TRUTH.replace("meter = 24.1", "meter = -24.1", 1)
    action = following(text + READY)
    assert action.id == "mend:P102" and "measure" in action.trials[-1].do.casefold()
    assert [trial.power for trial in action.trials] == [Power.OFF, Power.ON]
    assert "clips" in action.trials[0].do and any("covers on" in one for one in action.cautions)
    destroyed = following(SAW_TRUTH.replace("meter = 24.1", "meter = 47", 1) + READY)
    assert (destroyed.id, destroyed.power) == ("mend:P113", Power.OFF)


LETHAL = 'readings = ["red on DI1, black on COM: {}, open"]'


@pytest.mark.parametrize("reading", ["230 V AC", "325 V", "24 V"])
@pytest.mark.parametrize("state", ["nothing known", "no stop in hardware", "all done"])
def test_a_reading_that_kills_comes_before_preparation_and_after_the_last_action(
    reading: str, state: str
) -> None:
    """25 V AC and 60 V DC are the most that a control circuit may have; 24 V DC holds nothing up."""
    text = LETHAL.format(reading) + SAW_TRUTH
    if state == "nothing known":
        text = text.replace("discharge", "# discharge")
    if state == "no stop in hardware":
        text = f'{text.partition("[stop]")[0]}[stop]\nhardware = "none"\n'
    if state == "all done":
        text += done(*((one.id, one.stage, "") for one in plan(read(text))))
    action = next_action(read(text))
    kills = reading != "24 V"
    assert (action is not None and action.id == "mend:P108") is kills
    if action is not None and kills:
        assert action.power is Power.OFF and action.trials[0].do.startswith("Switch off")


def test_a_stop_of_a_later_stage_does_not_forbid_the_bench() -> None:
    text = SAW_TRUTH.replace('voltage = "30 V"', 'voltage = "20 V"')
    assert following(text).id == "prove-dead"
    bench = [one for one in plan(read(text)) if one.stage == "bench" and one.phase is not Phase.IDENTIFY]
    results = {
        "open": "24 V",
        "current": "5.1 mA",
        "closed": "0 V",
        "low": "0 V",
        "mid": "5 V",
        "high": "10 V",
        "supply": "10 V",
    }
    noted = [(one.id, "bench", results.get(one.id.rpartition(":")[2], "")) for one in bench]
    later = following(text + done(*noted))
    assert later.stage == "run-forward"
    assert later.id == "mend:O201"


def test_a_reading_that_can_kill_sends_nobody_back_to_it() -> None:
    action = following(SAW_TRUTH + READY + done(("read:run-forward:closed", "bench", "230 V")))
    assert len(action.trials) == 1
    assert action.trials[0].do.startswith("Hands off")
    assert action.power is Power.OFF


def test_a_wrong_reading_names_what_would_give_it_and_is_taken_again() -> None:
    action = following(SAW_TRUTH + READY + done(("read:run-forward:closed", "bench", "24.0 V")))
    assert action.id == "read:run-forward:closed"
    assert "24.0 V is not what it should be: S1 stays open, or wire 1 or 2 off" in action.title
    assert [trial.power for trial in action.trials] == [Power.OFF, Power.OFF, Power.ON]
    assert "clip red on DI1, black on COM" in action.trials[1].do
    again = READY + done(("read:run-forward:closed", "bench", "24.0 V"))
    assert following(SAW_TRUTH + again + done(("read:run-forward:closed", "bench", "0.01 V"))).id != action.id


def test_where_we_are_is_counted() -> None:
    whole = read(SAW_TRUTH)
    actions = plan(whole)
    moves = [action for action in actions if action.phase is Phase.MOVE]
    assert [place_of(actions, action) for action in moves] == [(1, 3), (2, 3), (3, 3)]
    counted = {phase: of for phase, _, of in outlook(whole).progress}
    assert counted[Phase.MOVE] == 3 and counted[Phase.STOP] == 4


def test_a_mapping_without_a_control_takes_notes(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text('machine = "M"\n[drive]\nstrip = ["DI1", "COM"]\n')
    assert note(path, "discharge: 5 min").next is not None
    assert note(path, "red on DI1, black on COM: 24 V").contradicted == ()
    assert note(path, "red on DI1, black on COM: 230 V AC").danger


def test_a_mapping_without_a_control_asks_for_one() -> None:
    actions = plan(read('machine = "M"\n'))
    assert actions[-1].id == "identify:control"
    assert all(action.phase is Phase.IDENTIFY for action in actions)


WITH_ALL = SAW_TRUTH + (
    '[enable]\ninput = "DI3"\ncommon = "COM"\noutput = { plus = "OUT3+", minus = "OUT3-" }\n'
    '[preset-speed-1]\ninput = "DI4"\ncommon = "COM"\noutput = { plus = "OUT4+", minus = "OUT4-" }\n'
    'chain = [{ name = "B1" }]\n'
)


@pytest.mark.parametrize("text", [*MACHINES.values(), WITH_ALL], ids=[*MACHINES, "with all"])
def test_every_test_ends_at_rest(text: str) -> None:
    """The next step may switch the power off and on: nothing may be commanded then, no button pressed in."""
    for action in plan(read(text)):
        last, said = action.trials[-1], " ".join(line.do for line in action.trials)
        if action.phase in (Phase.TEST, Phase.STOP):
            is_off = last.power is Power.OFF or re.search(r"then (open|take it away)|\boff\b", last.do)
            assert is_off or "motor st" in last.expect, (action.id, last)
            presses, lets_out = (said.rfind(words) for words in ("ress the emergency", "let it out"))
            assert presses <= lets_out, action.id
        if action.phase is Phase.SPEED:
            assert "commands off" in last.do
        assert "wait, on;" not in said or "No command: power off" in said


def test_both_directions_are_tried_slowly() -> None:
    (both,) = (one for one in plan(read(SAW_TRUTH)) if one.place == ("test:both-directions", "bench", ""))
    assert "low speed" in both.trials[0].do
