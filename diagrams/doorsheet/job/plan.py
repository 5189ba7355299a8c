"""The whole job in order, what of it is done, and what comes next (job room).

What is done stands in the mapping: keys that are filled in, and its log.  A stage is gone through from
proving dead to its tests before the next one begins; what a finding stops is mended first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TypeAlias

from doorsheet.checks import run_checks
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.units import discharge_of, share, units_of
from doorsheet.electrics import Solved
from doorsheet.job.action import Action, KeyAsked, Phase, ReadingAsked
from doorsheet.job.context import Trials
from doorsheet.job.end import end
from doorsheet.job.identify import identify
from doorsheet.job.stages import stage_circuits
from doorsheet.job.trial import Trial
from doorsheet.job.trials import stage_actions
from doorsheet.mapping.reading import ReadMapping

__all__ = ["Progress", "is_done", "next_action", "plan", "progress"]

Progress: TypeAlias = tuple[Phase, int, int]
"""A phase of the job: how many of its actions are done, of how many."""


def plan(read: ReadMapping) -> tuple[Action, ...]:
    """Return the whole job in order, for all drives."""
    return _unlocking(_plan(read, stage_circuits(read)))


def _plan(read: ReadMapping, stages: tuple[Solved, ...]) -> Iterator[Action]:
    units = units_of(read)
    for drive, own in units:
        yield from identify(own.mapping, drive)
    for of in stage_trials(read, stages):
        yield from stage_actions(of)
    for drive, own in units:
        yield from end(own, drive)


def stage_trials(read: ReadMapping, stages: tuple[Solved, ...]) -> Iterator[Trials]:
    """Yield what the actions of each stage and drive are made from.

    At both ends of the way all drives take part, between them those at work.
    """
    wait, before = discharge_of(read.mapping), None
    for solved in stages:
        circuit = solved.circuit
        for drive, own in units_of(read):
            if circuit.step.drive in ("", drive) or drive in circuit.drives_moved:
                was = share(before, drive, own.source) if before is not None else None
                yield Trials(own.mapping, share(circuit, drive, own.source), was, solved, drive, wait)
        before = circuit


def _unlocking(actions: Iterator[Action]) -> tuple[Action, ...]:
    """Return actions that each name what comes after them."""
    found = tuple(actions)
    after = (*(action.title for action in found[1:]), "")
    return tuple(replace(action, unlocks=title) for action, title in zip(found, after, strict=True))


def next_action(read: ReadMapping) -> Action | None:
    """Return the first action that is not done; where a finding stops it, the mending of that.

    None when all is done.
    """
    stages = stage_circuits(read)
    first = next((action for action in _unlocking(_plan(read, stages)) if not is_done(read, action)), None)
    if first is None or first.phase is Phase.IDENTIFY:
        return first
    solved = next((one for one in stages if one.circuit.step.called == first.stage), stages[-1])
    stop = next((one for one in run_checks(read, solved) if one.severity is Severity.STOP), None)
    return _mending(stop, first) if stop is not None else first


def _mending(stop: Finding, action: Action) -> Action:
    """Return what has to be mended before an action."""
    lines = (Trial(f"{stop.reason}.", "no stop any more"), Trial(f"{stop.do}.", "no stop any more"))
    where = (stop.control,) if stop.control else ()
    return Action(
        f"mend:{stop.code}",
        action.phase,
        action.stage,
        action.drive,
        f"Mend {stop.code} first: {stop.subject or 'the installation'}",
        lines,
        KeyAsked(where, ""),
        unlocks=action.title,
    )


def progress(read: ReadMapping) -> tuple[Progress, ...]:
    """Return how far each phase is."""
    actions = plan(read)
    out = []
    for phase in Phase:
        own = [action for action in actions if action.phase is phase]
        out.append((phase, sum(is_done(read, action) for action in own), len(own)))
    return tuple(out)


def is_done(read: ReadMapping, action: Action) -> bool:
    """Whether the mapping says that an action is done: by its log, or by the key that it would fill."""
    own = dict(units_of(read))[action.drive].mapping
    for entry in getattr(read.mapping, "done", ()):
        if (entry.what, entry.stage or action.stage, entry.drive or "") == (
            action.id,
            action.stage,
            action.drive,
        ):
            return True
    match action.asked:
        case KeyAsked(path):
            return _at(own, path) not in (None, "unknown")
        case ReadingAsked(state="open", kept=True):
            name = action.controls[0]
            return _at(own, (name, "meter")) not in (None, "unknown")
        case _:
            return False


def _at(of: object, path: tuple[str, ...]) -> object:
    """Return what stands at a key; None where nothing does."""
    for key in path:
        of = getattr(of, key.replace("-", "_"), None)
    return of
