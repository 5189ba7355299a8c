"""What can't be done now is put off: it comes back in time, nothing rests on it; danger never waits."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pytest

from doorsheet.job.action import Action, Phase
from doorsheet.job.sequence import next_action, outlook
from doorsheet.logbook import NoteError, note
from doorsheet.mapping.reading import ReadMapping, parse_mapping
from tests.bench_page.served import BENCH_READY
from tests.job.person import Person
from tests.job.test_plan import READY, done, following
from tests.job.test_whole_job import JOBS

WORK = (Phase.BENCH, Phase.MOVE)


def put_off(what: str, stage: str, why: str = "no meter") -> str:
    return f'\n[[done]]\nwhat = "{what}"\nstage = "{stage}"\nput-off = "{why}"\n'


@dataclass
class PutsOff(Person):
    """Somebody who can do nothing at the first attempt, but what nobody may put off."""

    tried: set[tuple[str, str, str]] = field(default_factory=set)
    done: list[Action] = field(default_factory=list)

    def _answer(self, action: Action) -> None:
        never = action.id == "prove-dead" or action.phase is Phase.STOP or "mains" in action.title
        if action.place in self.tried or never:
            self.done.append(action)
            super()._answer(action)
            return
        self.tried.add(action.place)
        drive = f'drive = "{action.drive}"\n' if action.drive else ""
        self.text = f"{self.text.rstrip()}\n{put_off(action.id, action.stage)}{drive}"


@cache
def job(name: str) -> tuple[PutsOff, ReadMapping]:
    text, truth, fault, since, _, named = JOBS[name]
    person = PutsOff(text, truth, fault, since, named)
    return person, person.work(400)


@pytest.mark.parametrize("name", ["press"])  # some ten seconds each
def test_a_job_of_which_everything_is_put_off_once_is_done_whole(name: str) -> None:
    person, read = job(name)
    assert all(done == of for _, done, of in outlook(read).progress)
    assert person.found is not None  # the thing that was wrong
    came_back = [one for one in person.done if one.put_off]
    assert len(came_back) == len(person.tried)
    assert person.done[-1].phase is Phase.RECORD


@pytest.mark.parametrize("name", ["press"])  # some ten seconds each
def test_nothing_is_done_before_what_it_rests_on(name: str) -> None:
    person, _ = job(name)
    at = {one.place: index for index, one in enumerate(person.done)}
    for action in person.done:
        here = at[action.place]
        mates = [one for one in person.done if (one.stage, one.drive) == (action.stage, action.drive)]
        if action.phase in (Phase.READ, Phase.TEST):
            assert all(at[one.place] < here for one in mates if one.phase in (*WORK, Phase.DEAD, Phase.STOP))
        if action.phase is Phase.MOVE:
            bench = [one for one in person.done if (one.stage, one.drive) == ("bench", action.drive)]
            own = [one for one in bench if one.phase in (Phase.READ, Phase.TEST)]
            for one in own:
                if not one.controls or set(one.controls) & set(action.controls):
                    assert at[one.place] < here, (one.id, action.id)
        if action.phase is Phase.RECORD:
            assert all(at[one.place] < here for one in person.done if one.phase is not Phase.RECORD)


def test_the_next_possible_action_is_named_and_the_other_comes_back() -> None:
    first = following(BENCH_READY)
    assert first.id == "read:run-forward:open"
    text = BENCH_READY + put_off("read:run-forward:open", "bench")
    ahead = outlook(parse_mapping(text, "m"))
    assert ahead.next is not None and ahead.next.id == "read:run-forward:closed"
    assert "clip red on DI1, black on COM" in ahead.next.trials[0].do  # nobody has put the leads on yet
    assert [(one.id, one.put_off) for one in ahead.put_off] == [("read:run-forward:open", "no meter")]
    back = following(text + put_off("read", "bench") + put_off("test", "bench", "motor locked"))
    assert (back.id, back.put_off) == ("read:run-forward:open", "no meter")
    assert "clip red on DI1" in back.trials[0].do


def test_who_puts_off_again_is_given_the_one_that_waits_longest() -> None:
    text = BENCH_READY + put_off("read", "bench") + put_off("test", "bench")
    names = []
    for _ in range(7):
        names.append(following(text).id)
        text += put_off(names[-1], "bench")
    assert len(set(names)) == 6 and names[-1] == names[0] == "read:run-forward:open"


@pytest.mark.parametrize("what", ["prove-dead", "emergency-stop"])
def test_what_keeps_people_whole_is_never_passed_over(what: str) -> None:
    text = BENCH_READY.replace(f'[[done]]\nwhat = "{what}"\nstage = "bench"\n', "") + put_off(what, "bench")
    assert following(text).id == what


def test_a_reading_that_may_kill_is_never_put_off(tmp_path: Path) -> None:
    text = BENCH_READY + done(("read:run-forward:open", "bench", "325 V"))
    assert "mains may be on it" in following(text + put_off("read", "bench")).title
    path = tmp_path / "m.toml"
    path.write_text(BENCH_READY + put_off("read", "bench").replace("no meter", "it shows 325 V"))
    with pytest.raises(NoteError, match="DANGER: 230 V AC"):
        note(path, "can't do read:run-forward:closed now: it shows 230 V AC")
    note(path, "red on DI1, black on COM: 325 V open")
    with pytest.raises(NoteError, match="can't be put off"):
        note(path, "can't do this now: afraid")
    assert "afraid" not in path.read_text()


@pytest.mark.parametrize(
    ("words", "refused"),
    [
        ("can't do this now", "say why"),
        ("can't do emergency-stop now: no button", "can't be put off: nothing goes on without it"),
        ("can't do prove-dead at run-forward now: no meter", "can't be put off"),
        ("can't do the dishes: no soap", "which action"),
        ("can't do speed now: no meter", "the next action is read:run-forward:open"),
        ("can't do read:run-forward:open now: ___", "blank"),
    ],
)
def test_what_is_not_put_off_says_why(words: str, refused: str, tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text(BENCH_READY)
    with pytest.raises(NoteError, match=refused):
        note(path, words)
    assert path.read_text() == BENCH_READY


@pytest.mark.parametrize(
    "words",
    [
        "can't do this now: no meter",
        "Cannot do it - no meter",
        "put off read:run-forward:open: no meter",
        "can’t do read:run forward:open at bench now: no meter",
        "can't do read now: no meter",
    ],
)
def test_ways_to_say_so(words: str, tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text(BENCH_READY)
    noted = note(path, words)
    entry = parse_mapping(noted.text, "m").mapping.done[-1]
    assert (entry.put_off, entry.stage) == ("no meter", "bench")
    assert "comes back before: Command from the terminals, at the bench stage" in noted.lines[0]
    assert noted.next is not None
    assert (noted.next.id == "read:run-forward:open") == ("do read now" in words)  # all others wait for it
    taken = note(path, "red on DI1, black on COM: 24.1 V open")  # taken all the same: that is the end of it
    assert all(one.id != "read:run-forward:open" for one in outlook(parse_mapping(taken.text, "m")).put_off)


def test_what_is_said_done_at_a_step_is_that_of_the_step() -> None:
    """The test of a stage that was put off comes back: "done" means that one, not the next stage's."""
    text = BENCH_READY + put_off("read", "bench") + put_off("test", "bench")
    action = next_action(parse_mapping(text, "m"))
    assert action is not None and action.stage == "bench"


def test_blanks_are_put_off_until_something_rests_on_them() -> None:
    text = BENCH_READY.replace(READY, "").partition("[[done]]")[0].replace('isolated = "yes"\n', "")
    assert following(text).id == "identify:isolated"
    text += put_off("identify:isolated", "bench", "manual at home")
    assert following(text).id == "prove-dead"
    assert following(text + READY).id == "identify:isolated"  # before the first reading


def test_work_out_of_its_turn_is_proved_dead_again() -> None:
    """One drive's bench is put off, the other's has power meanwhile."""
    text = JOBS["pumps"][1]
    for what in ("prove-dead", "emergency-stop"):
        text += f'\n[[done]]\nwhat = "{what}"\nstage = "bench"\ndrive = "pump-1"\n'
    text += put_off("bench", "bench", "no wire") + 'drive = "pump-1"\n'
    for what in ("prove-dead", "bench", "emergency-stop"):
        text += f'\n[[done]]\nwhat = "{what}"\nstage = "bench"\ndrive = "pump-2"\n'
    for what in ("read", "test"):
        text += put_off(what, "bench", "no time") + 'drive = "pump-2"\n'
    first = following(text)  # what its stop did was under power: the proof is over
    assert (first.id, first.drive) == ("prove-dead", "pump-1")
    back = following(text + '\n[[done]]\nwhat = "prove-dead"\nstage = "bench"\ndrive = "pump-1"\n')
    assert (back.id, back.drive, back.put_off) == ("bench", "pump-1", "no wire")
    assert back.trials[0].do == "Power off, lock off, wait, prove dead." and back.trials[0].unit == "V"
