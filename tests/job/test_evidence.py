"""What is proved counts for the wires that it was proved of: by the order of the log, and the stage."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import takewhile
from pathlib import Path

import pytest

from doorsheet import check
from doorsheet.job.action import Phase
from doorsheet.job.sequence import next_action, outlook, plan
from doorsheet.logbook import NoteError, note
from doorsheet.mapping.reading import parse_mapping
from tests.job.test_rewired import MACHINE, entry, reached, read, undone, worked


def noted(path: Path, *words: str) -> str:
    for one in words:
        note(path, one)
    return path.read_text(encoding="utf-8")


@pytest.fixture
def bench_done(tmp_path: Path) -> Path:
    path = tmp_path / "stirrer.toml"
    path.write_text(worked("bench"), encoding="utf-8")
    return path


STOP = "done emergency-stop: stops in 1.1 s"
OPEN = "red on DI1, black on COM: 24 V open"


def test_before_a_control_moves_what_is_noted_is_of_the_stage_before(bench_done: Path) -> None:
    text = noted(bench_done, STOP, OPEN)
    assert [one.stage for one in read(text).mapping.done[-1:]] == ["bench"]
    text = noted(bench_done, "done prove-dead: 0 V", STOP, "done move:run-forward")
    asked = undone(text, "run-forward")
    assert {"emergency-stop at run-forward", "read:run-forward:open at run-forward"} <= {*asked}
    text = noted(bench_done, STOP, OPEN)
    asked = undone(text, "run-forward")
    assert "emergency-stop at run-forward" not in asked
    assert "read:run-forward:open at run-forward" not in asked


def test_what_was_said_before_its_stage_was_wired_is_asked_again(bench_done: Path) -> None:
    early = '[[done]]\nwhat = "emergency-stop"\nstage = "run-forward"\n'
    bench_done.write_text(worked("bench") + early, encoding="utf-8")
    text = noted(bench_done, "done prove-dead: 0 V", "done move:run-forward")
    assert "emergency-stop at run-forward" in undone(text, "run-forward")


def test_a_stop_proved_before_anything_was_wired_is_proved_again(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    path.write_text(MACHINE, encoding="utf-8")
    text = noted(path, STOP, "done prove-dead: 0 V", "done bench")
    assert "emergency-stop at bench" in undone(text, "bench")
    assert "emergency-stop at bench" not in undone(noted(path, STOP), "bench")


def test_a_move_counts_only_after_the_proof_that_all_is_dead(bench_done: Path) -> None:
    text = noted(bench_done, "done move:run-forward", "done prove-dead: 0 V")
    following = next_action(read(text))
    assert following is not None and following.id == "move:run-forward"


def test_who_goes_back_to_the_bench_begins_there_again() -> None:
    bench = next(one for one in reached(read(MACHINE), "bench") if one.id == "bench")
    asked = undone(worked("jog") + entry(bench), "jog")  # its wires are others than those at jog
    assert asked[0] == "emergency-stop at bench"
    assert {"test:run-forward at bench", "move:run-forward at run-forward", "move:jog at jog"} <= {*asked}


@pytest.mark.parametrize("until", ["bench", "run-forward", "jog"])
@pytest.mark.parametrize("words", ["done bench", "done bench: ok"])
def test_a_bench_said_again_throws_nothing_away_unless_it_was_rewired(
    tmp_path: Path, until: str, words: str
) -> None:
    path = tmp_path / "stirrer.toml"
    path.write_text(worked(until), encoding="utf-8")
    with pytest.raises(NoteError, match="done already"):
        note(path, words)
    assert path.read_text(encoding="utf-8") == worked(until)
    assert "emergency-stop at bench" in undone(noted(path, "done bench: rewired"), until)


@pytest.mark.parametrize(
    ("again", "result", "with_wires", "counts"),
    [
        ("bench", "", False, False),
        ("bench", "ok", False, False),
        ("bench", "ok", True, False),  # the same wires
        ("bench", "rewired", False, True),
        ("bench", "failed, screw torn", False, True),
        ("move:run-forward", "ok", False, False),
        ("move:run-forward", "rewired", False, True),
    ],
)
def test_wires_typed_into_the_file_once_more_throw_nothing_away_unless_rewired(
    again: str, result: str, with_wires: bool, counts: bool
) -> None:
    until = "bench" if with_wires else "jog"
    action = next(one for one in reached(read(MACHINE), until) if one.id == again)
    said = f'result = "{result}"\n' if result else ""
    text = worked(until) + entry(action, with_wires) + said
    assert (f"emergency-stop at {action.stage}" in undone(text, until)) is counts
    assert [*outlook(read(text)).doubted] == ([] if counts else [text.count("[[done]]") - 1])
    assert counts or undone(text, until) == []


def test_a_bench_that_failed_is_said_again(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    path.write_text(worked("bench"), encoding="utf-8")
    text = noted(path, "done bench: failed, screw torn", "done bench")
    assert undone(text, "bench")[0] == "emergency-stop at bench"


@pytest.mark.parametrize(("until", "again"), [("bench", True), ("run-forward", False), ("jog", False)])
def test_what_stands_elsewhere_is_not_measured_where_it_stood(until: str, again: bool) -> None:
    """5 mA may flow through 4.8 kohm at 24 V, Ohm; 900 mA never."""
    facts = '[drive.inputs]\nvoltage = "24 V"\nresistance = "4.8 kohm"\n'
    read_wrong = MACHINE.replace("meter = 24.0", 'meter = 24.0\nmeter-current = "900 mA"', 1)
    text = read_wrong.replace("[run-forward]", f"{facts}[run-forward]", 1)
    own = reached(parse_mapping(text, "m"), until)
    log = "".join(entry(one) for one in own if one.id != "read:run-forward:current")
    asked = undone(text + log, until)
    assert ("read:run-forward:current at bench" in asked) == again


@pytest.mark.parametrize(
    ("measured", "left"),
    [("", 3), ("[300, 300]", 2), ("[300, 300], [300, 301]", 2), ("[300, 300], [600, 601], [1200, 1202]", 0)],
)
def test_where_nobody_knows_full_speed_three_different_ones_are_asked_for(measured: str, left: int) -> None:
    log = "".join(entry(one) for one in reached(read(MACHINE), "final") if not one.id.startswith("speed:"))
    asked = undone(f"{MACHINE}{log}[speeds]\nmeasured = [{measured}]\n", "final")
    assert len([one for one in asked if one.startswith("speed:")]) == left


def test_controls_that_move_together_are_all_gone_from_the_bench() -> None:
    """The second of them too is not measured where its switch is no more."""
    looped = MACHINE.replace("[run-forward]", '[controller]\nreturns = "looped"\n[run-forward]', 1)
    wrong = looped.replace("meter = 24.0\n[speed]", 'meter = 24.0\nmeter-current = "900 mA"\n[speed]')
    text = wrong.replace(
        "[controller]", '[drive.inputs]\nvoltage = "24 V"\nresistance = "4.8 kohm"\n[controller]'
    )
    own = [one for one in plan(read(text)) if one.stage in ("bench", "run-forward")]
    moves = [one for one in own if one.id.startswith("move:")]
    assert [one.controls for one in moves] == [("run-forward", "jog")]
    log = "".join(entry(one) for one in own if one.id != "read:jog:current")
    assert "read:jog:current at bench" not in undone(text + log, "run-forward")


PROVED = datetime(2026, 11, 26, 9, 30)


@pytest.mark.parametrize(
    ("since", "minutes", "again"),
    [
        ("remark: cover cracked", 5, False),
        (OPEN, 0, True),  # in the same minute
        (OPEN, 5, True),
        (OPEN, -5, False),
        ("red on +10V, black on COM: 10 V open", 5, True),  # nobody asked for it
        ("red on +10V, black on COM: 0.2 V open", 5, False),
        ("done test:jog at bench: passed", 5, True),
        ("done emergency-stop at bench: stops in 1 s", 5, True),
        ("can't do test:jog at bench now: no time", 5, False),
    ],
)
def test_a_proof_of_dead_ends_with_what_is_taken_under_power(
    bench_done: Path, since: str, minutes: int, again: bool
) -> None:
    """A proof after it counts, and what was wired on it stands whatever is measured later."""
    said = [("done prove-dead: 0 V", PROVED), (since, PROVED + timedelta(minutes=minutes))]
    for words, when in said if minutes >= 0 else said[::-1]:
        note(bench_done, words, when)
    work = "prove-dead" if again else "move:run-forward"
    own = read(bench_done.read_text(encoding="utf-8"))
    following = next_action(own)
    assert following is not None and following.id == work
    assert any("counts no longer" in one for one in following.cautions) is again
    note(bench_done, "done prove-dead: 0 V", PROVED + timedelta(minutes=9))
    text = note(bench_done, "done move:run-forward", PROVED + timedelta(minutes=10)).text
    text = note(bench_done, OPEN, PROVED + timedelta(minutes=11)).text
    assert "prove-dead at run-forward" not in undone(text, "run-forward")


def test_a_proof_of_dead_is_of_its_day(bench_done: Path) -> None:
    own = read(note(bench_done, "done prove-dead: 0 V", PROVED).text)
    for now, work in (
        (None, "move:run-forward"),
        (PROVED.replace(hour=23), "move:run-forward"),
        (PROVED + timedelta(days=1), "prove-dead"),
        (PROVED.replace(year=2027), "prove-dead"),
    ):
        following = next_action(own, now)
        assert following is not None and following.id == work
    following = next_action(read(note(bench_done, "remark: back again", PROVED + timedelta(days=1)).text))
    assert following is not None and following.id == "prove-dead"  # by the log alone


@pytest.mark.parametrize(
    ("words", "refused"),
    [
        ("done prove-dead", True),
        ("done prove-dead:", True),
        ("done prove-dead: 0 V", False),
        ("done emergency-stop", True),
        ("done emergency-stop: stops in 1 s", False),
        ("done test:terminals at bench:", True),
        ("done test:terminals at bench: stops in 2 s", False),
        ("done read:run-forward:closed at bench", True),
        ("done read:run-forward:closed at bench: 0.1 V", False),
        ("done test:both-directions at bench", None),  # none here
        ("done bench: rewired", False),
    ],
)
def test_a_proof_or_a_reading_needs_what_was_seen(bench_done: Path, words: str, refused: bool | None) -> None:
    before = bench_done.read_text(encoding="utf-8")
    if refused is False:
        assert noted(bench_done, words) != before
        return
    with pytest.raises(NoteError, match="what was seen" if refused else "no action"):
        note(bench_done, words)
    assert bench_done.read_text(encoding="utf-8") == before


def test_what_comes_first_is_said_and_what_moved_is_not_tested_where_it_stood(tmp_path: Path) -> None:
    own = [one for one in reached(read(MACHINE), "bench") if one.phase is not Phase.TEST]
    path = tmp_path / "stirrer.toml"
    path.write_text(MACHINE + "".join(map(entry, own)), encoding="utf-8")
    assert "comes first" not in note(path, "done test:terminals: stops in 1 s").written
    note(path, "done prove-dead at run-forward: 0 V")
    noted = note(path, "done move:run-forward")
    assert "test:run-forward at the bench stage comes first" in noted.written
    asked = undone(noted.text, "bench")
    assert "test:run-forward at bench" not in asked  # its wires are on the controller
    assert "test:jog at bench" in asked


def test_the_stage_ends_after_all_its_tests_and_what_is_coupled_is_said_to_be(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    last = [one for one in reached(read(MACHINE), "final") if one.stage == "final"]
    tests = [one.id for one in last if one.phase is Phase.TEST]
    assert tests[-1] == "test:end"
    kept = [one for one in last if one.phase in (Phase.DEAD, Phase.MOVE, Phase.STOP, Phase.READ)]
    path.write_text(worked("jog") + "".join(map(entry, kept)), encoding="utf-8")

    def hand() -> str:
        action = next_action(read(path.read_text(encoding="utf-8")))
        assert action is not None and action.id == tests[0]
        return next(one for one in action.cautions if "hand at the emergency stop" in one)

    assert "uncoupled" in hand()
    assert f"{tests[0]} at the final stage comes first" in note(path, "done test:end: 2 s").written
    assert "uncoupled" not in hand() and "machine may move" in hand()
    speed = next(one for one in last if one.phase is Phase.SPEED)
    assert not any("uncoupled" in one for one in speed.cautions)
    *others, end = (one for one in last if one.phase is Phase.TEST)
    assert [any("uncoupled until a line" in words for words in one.cautions) for one in (*others, end)] == [
        False for _ in others
    ] + [True]
    before = worked("jog") + "".join(map(entry, [*kept, *others]))
    for failed, words in (
        (end, "Belt, coupling or tool off, maximum frequency low: prove"),
        (others[-1], ""),
    ):
        result = 'result = "failed, motor starts when emergency stop let out"\n'
        again = next_action(read(before.replace(entry(failed), "") + entry(failed) + result))
        assert again is not None and again.id == failed.id
        assert ("Belt" in again.trials[0].do) is bool(words) and words in again.trials[0].do


def test_a_controller_that_has_power_before_hands_go_in_is_proved_dead() -> None:
    (move,) = (one for one in plan(read(MACHINE)) if one.id == "move:speed")
    (off,) = (line.do for line in move.trials if "Controller off" in line.do)
    assert "prove dead" in off and "controller is on" in move.cautions[0]
    assert not any("controller is on" in one for one in reached(read(MACHINE), "bench")[1].cautions)


NOW = "red on DI1, black on COM: {} V {}"


@pytest.mark.parametrize(
    ("volts", "state", "means"),
    [
        (0.0, "open", "Output is closed"),
        (24.0, "closed", "Output stays open, or wire 1 or 2 off"),
        (24.1, "open", ""),  # as it must
        (0.2, "closed", ""),
    ],
)
def test_what_stands_since_a_stage_before_is_read_as_it_is_now(
    tmp_path: Path, volts: float, state: str, means: str
) -> None:
    """Nobody asks for it any more: it is weighed by what is wired now, and what is wrong is mended first."""
    path = tmp_path / "stirrer.toml"
    path.write_text(worked("final"), encoding="utf-8")
    before = check(path)
    found = note(path, NOW.format(volts, state))
    told, following = "\n".join(found.lines), found.next
    assert "the switch of" not in told
    if not means:
        assert "agrees" in told and following is None
        return
    assert f"it would mean: {means}" in told
    assert ("motor may run at once\n  do: Emergency stop!" in told) is (state == "open")
    assert following is not None and following.place == (f"read:run-forward:{state}", "final", "")
    assert means in following.title
    if state == "open":  # what was read before it is no worse for it: the input is known
        assert [one.code for one in check(path)] == [one.code for one in before]
    good = {"open": 24.0, "closed": 0.1}[state]
    assert note(path, NOW.format(good, state)).next is None


def test_an_open_reading_of_the_finished_machine_is_kept_where_none_says_the_polarity(tmp_path: Path) -> None:
    path = tmp_path / "stirrer.toml"
    unread = worked("final").replace("meter = 24.0\n", "", 1)
    path.write_text(unread, encoding="utf-8")
    note(path, NOW.format(24.0, "open"))
    assert len(read(path.read_text(encoding="utf-8")).mapping.taken) == 1
    note(path, NOW.format(23.9, "open"))
    assert len(read(path.read_text(encoding="utf-8")).mapping.taken) == 1


def test_what_comes_next_is_what_is_not_done() -> None:
    """The range that the mapping gives is looked up nowhere: after the proof of dead the wires are fitted."""
    for given, after in (('range = "0-10 V"\n', "Wire the bench"), ("", "The range that AI1 is set to")):
        text = MACHINE.replace("[speed]\n", f"[speed]\n{given}")
        known = takewhile(lambda one: one.id != "prove-dead", plan(read(text)))
        action = next_action(read(text + "".join(f'{entry(one)}result = "not known"\n' for one in known)))
        assert action is not None and (action.id, action.unlocks) == ("prove-dead", after)
