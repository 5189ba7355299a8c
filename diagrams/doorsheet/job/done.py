"""What of the job is done, as the mapping says it, and what may be put off until later.

The order of the job keeps people whole: dead before live, stop before command, read before run, a control
tried where it stands before it moves.  Who can't do an action may do what does not rest on it, nothing else.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

from doorsheet.checks.dangers import dangerous_in
from doorsheet.checks.written_facts import agree
from doorsheet.circuit.units import units_of
from doorsheet.job.action import (
    REWIRE,
    Action,
    KeyAsked,
    Outcome,
    Phase,
    ReadingAsked,
    SettingAsked,
    SpeedAsked,
    Trial,
)
from doorsheet.job.results import UNKNOWN, missing, passed
from doorsheet.mapping.meter import Taken
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import Done
from doorsheet.mapping.quantities import QuantityError, read_quantity
from doorsheet.mapping.reading import ReadMapping

__all__ = [
    "Judged", "came_of", "is_about", "is_logged", "is_of", "judge", "may_wait", "needs", "said_again",
    "value_at", "why_not",
]  # fmt: skip

_ONCE: Final = (Phase.IDENTIFY, Phase.BENCH, Phase.MOVE, Phase.SPEED, Phase.SETTINGS, Phase.RECORD)
"""Phases whose actions come once in a job, so that their log needs no stage."""

_FIGURE: Final = re.compile(r"[-−+]?\s?[0-9]*[.,]?[0-9]+\s*(?:V(?:\s*AC)?|volts?|mA)\b", re.IGNORECASE)

_NEAR: Final = 0.05
"""A measured command so near to the one asked for, as a share of it, is that one."""


class Judged(NamedTuple):
    """Whether an action is done; where it was tried in vain, what came of it, and what that would mean.

    `put_off` is why nobody could do it yet, `turn` the place in the log where that stands last; `missing` are
    the lines of one done so far, whose figures are still to come.
    """

    done: bool
    result: str = ""
    outcome: Outcome | None = None
    put_off: str = ""
    turn: int = 0
    missing: tuple[Trial, ...] = ()


def judge(read: ReadMapping, action: Action) -> Judged:
    """Return what the mapping says of an action."""
    log = enumerate(read.mapping.done)
    entries = [(turn, entry) for turn, entry in log if turn > action.since and is_about(entry, action)]
    found = _came_of(read, action, [one for _, one in entries if one.put_off is None])
    if action.never:
        return Judged(True)
    if action.gone and not (found.outcome and found.outcome.dangerous):  # it is proved where it stands now
        return Judged(True, found.result)
    if found.done or not entries:
        return found
    turn, last = entries[-1]
    return found._replace(put_off=last.put_off or "", turn=turn)


def _came_of(read: ReadMapping, action: Action, entries: Sequence[Done]) -> Judged:
    entry = entries[-1] if entries else None
    own = dict(units_of(read)).get(action.drive, read).mapping
    if isinstance(action.asked, ReadingAsked):
        return _reading(read.mapping.done, own, action, action.asked, entry)
    value = value_at(own, *action.asked.path) if isinstance(action.asked, KeyAsked) else None
    is_known = value not in (None, "unknown")
    if action.phase is Phase.READ and isinstance(value, str) and is_known:
        return _weighed(action, value, "mA")  # what the file says, whatever was logged beside it
    if entry is not None and not is_known:
        return came_of(action, entry.result or "", entries)
    match action.asked:
        case KeyAsked():
            return Judged(is_known)
        case SpeedAsked(commanded, nth):
            pairs = own.speeds.measured if own.speeds is not None else ()
            if commanded is None:  # nobody knows which is which: three speeds make a line
                return Judged(len({pair[0] for pair in pairs}) >= nth)
            return Judged(any(abs(pair[0] - commanded) <= _NEAR * abs(commanded) for pair in pairs))
        case SettingAsked(number):
            one = next(one for one in own.drive.settings if one.number == number)
            if one.read is not None and one.set is not None and not agree(one.set, one.read):
                return Judged(False, f"it reads {one.read}, and was set to {one.set}")
            return Judged(one.read is not None)
        case _:
            return Judged(False)


def is_logged(read: ReadMapping, action: Action) -> bool:
    """Whether the log has an action, whatever came of it: somebody did it, and not only knew its answer."""
    return any(entry.put_off is None and is_about(entry, action) for entry in read.mapping.done)


def is_about(entry: Done, action: Action) -> bool:
    """Whether an entry of the log is about an action; one that puts off may name all of a kind: "read"."""
    named = entry.what == action.id or (entry.put_off is not None and action.id.startswith(f"{entry.what}:"))
    at_stage = entry.stage == action.stage or (entry.stage is None and action.phase in _ONCE)
    return named and at_stage and (entry.drive or "") == action.drive


def said_again(action: Action, log: Sequence[Done]) -> Iterator[int]:
    """Yield which entries of the log say once more that wires are fitted, with nothing rewired since.

    They don't count: all that was proved since the first would be of other wires.
    """
    done, wires, before = action.never, frozenset[str](), list[Done]()
    for at, entry in enumerate(log):
        moved = bool(entry.wires) and wires != {*entry.wires}
        if at > action.since and entry.put_off is None and is_about(entry, action):
            said = entry.result or ""
            before.append(entry)
            well = came_of(action, said, before).done
            if well and done and not moved and "rewired" not in said.casefold():
                yield at
            done = well
        if moved and (entry.drive or "") == action.drive:
            wires = frozenset(entry.wires)


def came_of(action: Action, said: str, before: Iterable[Done] = ()) -> Judged:
    """Return what a result in the log says of an action: of a reading its figures, and nothing but those, the
    most dangerous first, then one that is wrong.

    A tick is one, but says no sign; a current may stay unknown where nobody can open the loop.  Of several
    figures that are wanted, those count too that were noted `before`, since the last that was wrong; with its
    wires an entry was whole.
    """
    if action.phase is not Phase.READ:
        since: list[Done] = []
        for one in before:
            since = [*since, one] if passed(action, one.result or "") else []
        well = passed(action, said)
        is_whole = not well or any(one.wires for one in since)
        left = () if is_whole else missing(action, (*(one.result or "" for one in since), said))
        return Judged(well and not left, said, missing=left)
    unit = action.asked.unit if isinstance(action.asked, ReadingAsked) else "mA"
    every = [_weighed(action, figure, unit) for figure in _FIGURE.findall(said)]
    if every:
        return min(every, key=lambda one: (one.outcome is None or not one.outcome.dangerous, one.done))
    unknown = isinstance(action.asked, KeyAsked) and UNKNOWN.fullmatch(said.lower().strip(" ."))
    has_sign = not (isinstance(action.asked, ReadingAsked) and action.asked.sign_open)
    return Judged((not said and has_sign) or bool(unknown), said)


def _reading(
    log: Sequence[Done], own: Mapping, action: Action, asked: ReadingAsked, entry: Done | None
) -> Judged:
    if entry is not None:
        return came_of(action, entry.result or "")
    every = own.taken if action.since < 0 else _after(own.taken, log[action.since :])
    taken = next((one for one in reversed(every) if is_of(one, asked)), None) if asked.kept else None
    if taken is not None:
        return _weighed(action, taken.shown, asked.unit, taken.red != asked.red)
    if action.since >= 0:
        return Judged(False)
    key, control = {"open": "meter", "closed": "meter-closed"}.get(asked.state), action.controls[0]
    # a control's own reading is of its input, and says nothing of what feeds it
    is_own = asked.red == value_at(own, control, "input") and asked.kept and asked.unit == "V"
    value = value_at(own, control, key) if key and is_own else None
    return _weighed(action, f"{value:g} V", "V") if isinstance(value, float) else Judged(False)


def _after(taken: Sequence[Taken], log: Sequence[Done]) -> list[Taken]:
    """Return the readings taken after the first of some entries; none where nobody wrote when."""
    begin = log[0].when if log else None
    return [one for one in taken if begin is not None and one.when is not None and one.when >= begin]


def is_of(taken: Taken, asked: ReadingAsked) -> bool:
    """Whether a reading of the mapping is the one that is asked for."""
    same = {taken.red, taken.black} == {asked.red, asked.black}
    if not same or taken.unit != {"mA": "A"}.get(asked.unit, asked.unit) or taken.command != asked.command:
        return False
    return taken.state == asked.state or (asked.command is not None and taken.state != "unplugged")


def _weighed(action: Action, figure: str, unit: str, turned: bool = False) -> Judged:
    """Hold a figure against what it would mean; where nobody can say what is right, it is as good as any."""
    if dangerous_in(figure):  # of alternating current less kills
        return Judged(False, figure, next((one for one in action.weigh() if one.dangerous), None))
    number = re.sub(rf"\s*(?:{unit}|volts?)$", "", figure.strip(), flags=re.IGNORECASE)
    try:
        value = read_quantity(f"{number.replace('−', '-').replace(' ', '')} V", "V").low
    except QuantityError:  # another unit
        return Judged(False, figure)
    value = -value if turned else value
    found, is_known = None, False
    for outcome in action.weigh():  # as far as it has to go: to what is right no mistake is tried
        is_known |= outcome.right
        if outcome.holds(value):
            if outcome.right:
                return Judged(True, figure)
            found = found or outcome
    return Judged(found is None and not is_known, figure, found)


def value_at(of: object, *path: str) -> object:
    """Return what a mapping, or its data, has at a path; None for nothing."""
    for key in path:
        of = of.get(key) if isinstance(of, AbstractMapping) else getattr(of, key.replace("-", "_"), None)
    return of


_WORK: Final = (Phase.DEAD, Phase.BENCH, Phase.STOP, Phase.MOVE)


def why_not(action: Action, found: Judged) -> str:
    """Say why an action can't be put off; "" where it may be."""
    if action.mends:
        return "nothing is connected or tried before it is mended"
    if action.id == "prove-dead" or action.phase is Phase.STOP or action.id.startswith(REWIRE):
        return "nothing goes on without it"
    if found.outcome is not None and found.outcome.stop:
        return f"{found.result} was read: {found.outcome.meaning}"
    return ""


def may_wait(action: Action, found: Judged) -> bool:
    """Whether an action has been put off, and may be."""
    return bool(found.put_off) and not why_not(action, found)


def needs(action: Action, earlier: Action) -> bool:
    """Whether an action rests on an earlier one of the job, so that it waits until that is done."""
    if earlier.phase is Phase.IDENTIFY:
        return action.phase in (earlier.holds_up, Phase.RECORD)
    if action.phase is Phase.RECORD:
        return True
    if action.drive != earlier.drive or action.phase is Phase.IDENTIFY:
        return False
    if earlier.phase in _WORK:
        return True
    if action.phase is Phase.SPEED:
        return not earlier.controls or "speed" in earlier.controls
    if action.stage != earlier.stage:
        return not earlier.controls or bool({*earlier.controls} & {*action.moves})
    if action.phase is not Phase.TEST:
        return False
    if earlier.phase is Phase.TEST:  # how commands from the terminals stop comes before all other runs
        return not earlier.controls
    # what runs was measured before; its milliamperes may wait until it moves
    in_volts = any(trial.unit == "V" for trial in earlier.trials)
    return in_volts and (not action.controls or bool({*earlier.controls} & {*action.controls}))
