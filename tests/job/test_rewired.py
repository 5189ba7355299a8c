"""Wires of a mapping that change after they were noted as fitted are asked for, and proved again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from doorsheet.job.action import Action
from doorsheet.job.done import judge
from doorsheet.job.sequence import next_action, plan
from doorsheet.logbook import NoteError, note
from doorsheet.mapping.reading import ReadMapping, parse_mapping

MACHINE = """\
machine = "Stirrer"
[drive]
isolated = "yes"
discharge = "5 min"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "O1+", minus = "O1-" }
meter = 24.0
[jog]
input = "DI2"
common = "COM"
output = { plus = "O2+", minus = "O2-" }
meter = 24.0
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
source = { signal = "AO1", common = "0V", gives = "0-10 V" }
"""


STAGES = ("bench", "run-forward", "jog", "final")


def read(text: str) -> ReadMapping:
    return parse_mapping(text, "stirrer.toml")


def entry(action: Action, with_wires: bool = True) -> str:
    wires = f"wires = {json.dumps(action.wires, ensure_ascii=False)}\n" if action.wires and with_wires else ""
    return f'[[done]]\nwhat = "{action.id}"\nstage = "{action.stage}"\n{wires}'


def worked(until: str, with_wires: bool = True) -> str:
    """Return the machine with everything logged up to the end of a stage."""
    return MACHINE + "".join(entry(one, with_wires) for one in reached(read(MACHINE), until))


def reached(own: ReadMapping, until: str) -> list[Action]:
    """Return the actions of the stages up to one."""
    stages = STAGES[: STAGES.index(until) + 1]
    return [one for one in plan(own) if one.stage in stages]


def undone(text: str, until: str) -> list[str]:
    """Return what is asked for again, of the stages that were gone through."""
    own = read(text)
    return [f"{one.id} at {one.stage}" for one in reached(own, until) if not judge(own, one).done]


def test_the_log_keeps_the_wires_that_were_fitted(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    path.write_text(worked("bench"), encoding="utf-8")
    note(path, "done prove-dead: 0 V")
    move = read(note(path, "done move:run-forward").text).mapping.done[-1]
    assert move.wires == (
        "run-forward: DI1 – O1+", "run-forward: COM – O1-", "jog: DI2 – S2:1", "jog: COM – S2:2",
        "speed: AI1 – RV1:2", "speed: AGND – RV1:1", "speed: +10V – RV1:3",
    )  # fmt: skip


def test_a_move_that_failed_fits_nothing(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    path.write_text(worked("bench"), encoding="utf-8")
    note(path, "done prove-dead: 0 V")
    assert read(note(path, "done move:run-forward: failed, screw torn").text).mapping.done[-1].wires == ()


OTHER_OUTPUT = ('"O1+", minus = "O1-"', '"O5+", minus = "O5-"')
AGAIN = [
    "rewire:run-forward at jog",
    "emergency-stop at jog",
    "read:run-forward:open at jog",
    "read:run-forward:closed at jog",
    "test:run-forward at jog",
]


def test_another_output_is_wired_and_proved_again_where_the_job_is() -> None:
    assert undone(worked("jog"), "jog") == []
    assert undone(worked("jog").replace(*OTHER_OUTPUT), "jog") == AGAIN
    swapped = worked("jog").replace('"O1+", minus = "O1-"', '"O1-", minus = "O1+"')
    assert undone(swapped, "jog") == AGAIN


def test_the_wires_are_named_and_the_power_is_off_first() -> None:
    action = next(one for one in plan(read(worked("jog").replace(*OTHER_OUTPUT))) if "rewire" in one.id)
    lines = [trial.do for trial in action.trials]
    assert "prove dead" in lines[0]
    assert {line.partition(". ")[0].rstrip(".") for line in lines if " – " in line} == {
        "Take off: DI1 – O1+", "Take off: COM – O1-", "Fit: DI1 – O5+", "Fit: COM – O5-",
    }  # fmt: skip


def test_it_is_over_when_it_is_done_or_the_file_is_as_before(tmp_path: Path) -> None:
    text = worked("jog").replace(*OTHER_OUTPUT)
    assert undone(text.replace(*OTHER_OUTPUT[::-1]), "jog") == []
    path = tmp_path / "stirrer.toml"
    path.write_text(text, encoding="utf-8")
    for what in AGAIN:
        following = next_action(read(path.read_text(encoding="utf-8")))
        assert following is not None
        assert f"{following.id} at {following.stage}" == what
        state = {"read:run-forward:open": "24 V open", "read:run-forward:closed": "0.2 V closed"}
        reading = state.get(following.id)
        note(path, f"red on DI1, black on COM: {reading}" if reading else f"done {following.id}: passed")
    assert undone(path.read_text(encoding="utf-8"), "jog") == []
    # and once more: what was rewired can be changed again
    assert undone(path.read_text(encoding="utf-8").replace(*OTHER_OUTPUT[::-1]), "jog") == AGAIN


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('meter = 24.0\n[jog]', 'meter = 24.1\n[jog]'),
        ('[run-forward]\n', '[run-forward]\nwires = { input = "white", common = "brown" }\n'),
        ("discharge", 'name = "Drive"\ndischarge'),
        ('machine = "Stirrer"', 'machine = "Stirrer 2"\nrail = "X1"'),
    ],
    ids=["a reading", "a colour", "a name", "a rail"],
)  # fmt: skip
def test_what_moves_no_wire_asks_for_nothing(old: str, new: str) -> None:
    text = worked("jog")
    assert old in text
    assert undone(text.replace(old, new, 1), "jog") == []


def test_of_a_log_without_wires_nobody_can_say_so() -> None:
    assert undone(worked("jog", with_wires=False).replace(*OTHER_OUTPUT), "jog") == []


def test_a_part_that_the_mapping_gains_is_fitted() -> None:
    text = worked("final").replace('gives = "0-10 V"', 'gives = "4-20 mA"').replace(
        'reference = "+10V"', 'reference = "+10V"\nburden = "500 ohm"'
    )  # fmt: skip
    action = next(one for one in plan(read(text)) if "rewire" in one.id)
    assert (action.id, action.stage) == ("rewire:speed", "final")
    assert any("Fit: R1 500 ohm, " in trial.do for trial in action.trials)


def test_a_control_that_goes_is_taken_off() -> None:
    text = worked("jog")
    begin, end = text.index("[jog]"), text.index("[speed]")
    action = next_action(read(text[:begin] + text[end:].replace('stage = "jog"', 'stage = "run-forward"')))
    assert action is not None and action.id == "rewire:jog"
    assert {trial.do for trial in action.trials if " – " in trial.do} == {
        "Take off: DI2 – O2+.", "Take off: COM – O2-.",
    }  # fmt: skip


def test_a_control_that_comes_is_wired_where_the_machine_is() -> None:
    """Never at a stage that is gone, and not tried before the stop is proved again."""
    new = '[fault-reset]\ninput = "DI3"\ncommon = "COM"\noutput = { plus = "O3+", minus = "O3-" }\n'
    asked = undone(worked("run-forward").replace("[speed]", f"{new}[speed]", 1), "run-forward")
    assert asked[:2] == ["rewire:fault-reset at run-forward", "emergency-stop at run-forward"]
    assert "test:fault-reset at run-forward" in asked
    assert not [one for one in asked if one.endswith("at bench")]


def test_a_wire_that_another_control_needs_stays() -> None:
    to_minus = MACHINE
    for number in "12":
        old = f'output = {{ plus = "O{number}+", minus = "O{number}-" }}'
        new = f'output = {{ kind = "open-collector", signal = "Q{number}", common = "M" }}'
        to_minus = to_minus.replace(old, new)
    log = "".join(entry(one) for one in reached(read(to_minus), "jog"))
    begin, end = to_minus.index("[jog]"), to_minus.index("[speed]")
    without = to_minus[:begin] + to_minus[end:] + log.replace('stage = "jog"', 'stage = "run-forward"')
    action = next_action(read(without))
    assert action is not None and action.id == "rewire:jog"
    assert [trial.do for trial in action.trials if " – " in trial.do] == ["Take off: DI2 – Q2."]


def test_another_value_of_a_part_is_fitted() -> None:
    burden = MACHINE.replace('gives = "0-10 V" }', 'gives = "4-20 mA" }\nburden = "500 ohm"')
    log = "".join(entry(one) for one in reached(read(burden), "final"))
    assert undone(burden + log, "final") == []
    asked = undone(burden.replace("500 ohm", "250 ohm") + log, "final")
    assert asked[:2] == ["rewire:speed at final", "emergency-stop at final"]


def test_it_cannot_be_put_off(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    path.write_text(worked("jog").replace(*OTHER_OUTPUT), encoding="utf-8")
    with pytest.raises(NoteError, match="can't be put off"):
        note(path, "can't do this now: no screwdriver")
