"""A meter with its red lead in the mA socket is a short across any volts: it comes back first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

import pytest

from doorsheet.job.action import Action, Outcome, Phase, Trial
from doorsheet.job.sequence import next_action, plan
from doorsheet.mapping.reading import parse_mapping
from tests.job.machines import HOIST_TRUTH, PRESS_TRUTH, PUMPS_TRUTH, ROLLS_TRUTH, SAW_TRUTH
from tests.job.person import Person
from tests.job.test_plan import done
from tests.job.test_put_off import put_off

MACHINES = {"saw": SAW_TRUTH, "press": PRESS_TRUTH, "pumps": PUMPS_TRUTH, "hoist": HOIST_TRUTH,
            "rolls": ROLLS_TRUTH}  # fmt: skip
VOLTS = re.compile(r"prove dead|\bohms\b|Continuity|Meter to volts|known live source|meter for V")
BACK = re.compile(r"volts socket")
AMPS = re.compile(r"to the mA socket|mA, red lead in its socket")


def words(lines: Iterable[Trial]) -> Iterator[str]:
    return (line.do for line in lines)


def shorted(said: Iterable[str], in_ma: bool = False) -> list[str]:
    """Return the lines that put a meter set to milliamperes across volts, in the order they are done in."""
    wrong = []
    for line in said:
        found = [(one.start(), kind) for kind in (VOLTS, BACK, AMPS) for one in kind.finditer(line)]
        for _, kind in sorted(found, key=lambda one: one[0]):
            if kind is VOLTS and in_ma:
                wrong.append(line)
            in_ma = kind is AMPS or (in_ma and kind is not BACK)
    return wrong


def test_a_short_is_seen() -> None:
    assert shorted(["Red lead to the mA socket.", "Lock off, prove dead; red lead to the volts socket."])
    assert not shorted(["Red lead to the mA socket.", "Red lead to the volts socket: prove dead."])


@pytest.mark.parametrize("name", MACHINES)
def test_the_meter_is_back_at_volts_before_whatever_asks_for_them(name: str) -> None:
    every = [line for action in plan(parse_mapping(MACHINES[name], "m")) for line in words(action.lines)]
    assert any(AMPS.search(line) for line in every)
    assert shorted(every) == []


def first(text: str) -> Action:
    action = next_action(parse_mapping(text, "m"))
    assert action is not None
    return action


@pytest.fixture(scope="module")
def final() -> tuple[list[Action], str]:
    """The bender's job, and its log up to the readings in milliamperes at the end."""
    person = Person(PRESS_TRUTH, PRESS_TRUTH, None, "", "none")
    person.work()
    every = [step.action for step in person.steps]
    at = next(at for at, one in enumerate(every) if one.id == "read:speed:rest")
    head, *log = person.text.split("\n[[done]]")
    until = next(at for at, one in enumerate(log) if '"read:speed:rest"' in one)
    head = re.sub(r"readings = \[.*?\]\n", "", head, flags=re.S)
    return every[at:], "\n[[done]]".join((head, *log[:until]))


def test_a_reading_in_milliamperes_that_is_wrong_is_looked_into_in_volts(
    final: tuple[list[Action], str],
) -> None:
    every, log = final
    reads = [one for one in every if one.phase is Phase.READ and one.id.startswith("read:speed")]
    assert len(reads) > 2 and first(log).id == reads[0].id
    for action in reads:
        wrong: list[Outcome] = [one for one in action.outcomes if not one.right]
        assert wrong
        assert shorted([one.do for one in wrong[:1]], in_ma=True) == []
        assert all(shorted([one.do], in_ma=True) == [] for one in wrong)
    for figure in ("0 mA", "7.3 mA"):
        page = first(log + done(("read:speed:rest", "speed", figure)))
        assert figure in page.title
        assert shorted(words(page.lines), in_ma=True) == []
        assert any("Red lead to the mA socket" in line for line in words(page.lines))  # for the next try


@pytest.mark.parametrize("left", [0, 1, 2])
def test_a_meter_left_in_a_wire_is_taken_out_by_the_step_that_follows(
    final: tuple[list[Action], str], left: int
) -> None:
    """Also where the last reading, whose page would say so, is put off; said once."""
    _, log = final
    for one in ("rest", "half", "full")[:left]:
        log += done((f"read:speed:{one}", "speed", {"rest": "4", "half": "12", "full": "20"}[one] + " mA"))
    for one in ("rest", "half", "full")[left:]:
        log += put_off(f"read:speed:{one}", "speed")
    after = first(log)
    assert after.phase is Phase.TEST
    assert BACK.search(after.trials[0].do) and "Wires back on" in after.trials[0].do
    later = first(log + done((after.id, after.stage, "passed")))
    assert later.id != after.id and not any(BACK.search(line) for line in words(later.trials[:1]))


def test_who_comes_back_to_milliamperes_has_the_leads_put_there(final: tuple[list[Action], str]) -> None:
    _, log = final
    log += "".join(put_off(f"read:speed:{one}", "speed") for one in ("rest", "half", "full"))
    for _ in range(30):
        action = first(log)
        if action.id == "read:speed:rest":
            break
        log += done((action.id, action.stage, next(iter(action.choices), "passed")))
    assert action.id == "read:speed:rest"
    assert "prove dead. Red lead to the mA socket" in action.trials[0].do


@pytest.mark.parametrize("read", ["", "run-forward", "run-forward enable"])
def test_a_current_that_nobody_knows_takes_no_meter_out(read: str) -> None:
    """The last reading's page says to take it out; who notes that nobody knows it never did that page."""
    person = Person(ROLLS_TRUTH, ROLLS_TRUTH, None, "", "none")
    person.work()
    head, *log = person.text.split("\n[[done]]")
    at = next(at for at, one in enumerate(log) if '"read:enable:current"' in one)
    for name in read.split():
        head = head.replace(f"[{name}]\n", f'[{name}]\nmeter-current = "5.0 mA"\n')
        log = [one for one in log if f"read:{name}:current" not in one]
    after = first("\n[[done]]".join((head, *log[: at + 1 - len(read.split())])))
    assert after.id == "test:terminals"
    assert bool(BACK.search(after.trials[0].do)) is (read == "run-forward")


def test_from_one_wire_to_the_next_dead_is_proved_once() -> None:
    person = Person(ROLLS_TRUTH, ROLLS_TRUTH, None, "", "none")
    person.work()
    head, *log = person.text.split("\n[[done]]")
    at = next(at for at, one in enumerate(log) if '"read:run-forward:current"' in one)
    head = head.replace("[run-forward]\n", '[run-forward]\nmeter-current = "5.0 mA"\n')
    after = first("\n[[done]]".join((head, *log[:at])))
    assert after.id == "read:enable:current"
    proofs = [at for at, line in enumerate(words(after.trials)) if VOLTS.search(line)]
    assert proofs == [0, 2] and "Wires back on" in after.trials[0].do  # and when it has been read
    assert re.search("volts socket.*prove dead.*to the mA socket", after.trials[0].do)
