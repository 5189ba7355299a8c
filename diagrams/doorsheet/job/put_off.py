"""What may be put off, and what waits until it is done (job room).

The order of the job keeps people whole: dead before live, stop before command, read before run, a control
tried where it stands before it moves.  Who can't do an action may do what does not rest on it, nothing else.
"""

from typing import Final

from doorsheet.job.action import Action, Phase
from doorsheet.job.done import Judged

__all__ = ["may_wait", "needs", "why_not"]

_NEEDED_FOR: Final = {
    "control": Phase.DEAD,
    "discharge": Phase.DEAD,
    "manual": Phase.DEAD,
    "common": Phase.DEAD,
    "stop": Phase.STOP,
    "isolated": Phase.READ,
    "output-voltage": Phase.MOVE,
    "output-current": Phase.MOVE,
    "range": Phase.MOVE,
}
"""Which part of the job a blank holds up as long as nobody has even looked for it."""

_WORK: Final = (Phase.DEAD, Phase.BENCH, Phase.STOP, Phase.MOVE)


def why_not(action: Action, found: Judged) -> str:
    """Say why an action can't be put off; "" where it may be."""
    if action.id.startswith("mend:"):
        return "nothing is connected or tried before it is mended"
    if action.id == "prove-dead" or action.phase is Phase.STOP:
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
        return action.phase in (_NEEDED_FOR[earlier.id.split(":")[1]], Phase.RECORD)
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
    return (not action.controls or bool({*earlier.controls} & {*action.controls})) and _is_volts(earlier)


def _is_volts(reading: Action) -> bool:
    return any(trial.unit == "V" for trial in reading.trials)
