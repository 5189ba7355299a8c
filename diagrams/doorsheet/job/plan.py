"""The whole job in order, what of it is done, and what comes next (job room).

A stage is gone through from proving dead to its tests before the next one begins.  What a finding stops is
mended first; a reading that says that something is wrong is followed by the finding of that, and is taken
again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TypeAlias

from doorsheet.checks import run_checks
from doorsheet.checks.finding import Severity
from doorsheet.circuit.units import discharge_of, share, units_of
from doorsheet.electrics import Solved
from doorsheet.job.action import Action, Phase
from doorsheet.job.context import Trials
from doorsheet.job.done import Judged, judge
from doorsheet.job.end import end, record
from doorsheet.job.identify import identify
from doorsheet.job.mend import again, mending
from doorsheet.job.stages import stage_circuits
from doorsheet.job.trials import stage_actions
from doorsheet.mapping.reading import ReadMapping

__all__ = ["Progress", "next_action", "outlook", "place_of", "plan", "progress", "stage_trials"]

Progress: TypeAlias = tuple[Phase, int, int]
"""A phase of the job: how many of its actions are done, of how many."""


def plan(read: ReadMapping) -> tuple[Action, ...]:
    """Return the whole job in order, for all drives."""
    return _planned(read, stage_circuits(read))


def _planned(read: ReadMapping, stages: tuple[Solved, ...]) -> tuple[Action, ...]:
    """Return the job's actions, each with the name of what comes after it."""
    found = tuple(_actions(read, stages))
    after = (*(action.title for action in found[1:]), "")
    return tuple(replace(action, unlocks=title) for action, title in zip(found, after, strict=True))


def _actions(read: ReadMapping, stages: tuple[Solved, ...]) -> Iterator[Action]:
    units = units_of(read)
    for drive, own in units:
        yield from identify(own.mapping, drive, is_first=drive == units[0][0])
    for of in stage_trials(read, stages):
        yield from stage_actions(of)
    for drive, own in units:
        yield from end(read, own, drive)
    yield from record(read)


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


def next_action(read: ReadMapping) -> Action | None:
    """Return the first action that is not done; where something stops it, the mending of that.

    None when all is done.
    """
    stages = stage_circuits(read)
    return _next(read, stages, ((action, judge(read, action)) for action in _planned(read, stages)))


def outlook(read: ReadMapping) -> tuple[Action | None, tuple[Progress, ...]]:
    """Return the next action and how far each phase is, for what one plan of the job costs."""
    stages = stage_circuits(read)
    judged = tuple((action, judge(read, action)) for action in _planned(read, stages))
    return _next(read, stages, judged), tuple(_progress(judged))


def progress(read: ReadMapping) -> tuple[Progress, ...]:
    """Return how far each phase is."""
    return tuple(_progress([(action, judge(read, action)) for action in plan(read)]))


def _next(
    read: ReadMapping, stages: tuple[Solved, ...], judged: Iterable[tuple[Action, Judged]]
) -> Action | None:
    action, found = next(((action, found) for action, found in judged if not found.done), (None, None))
    if action is None or found is None or action.phase is Phase.IDENTIFY:
        return action
    solved = next((one for one in stages if one.circuit.step.called == action.stage), stages[-1])
    stop = next((one for one in run_checks(read, solved) if one.severity is Severity.STOP), None)
    if stop is not None:
        return mending(stop, action, read.mapping)
    return again(action, found) if found.result else action


def _progress(judged: Sequence[tuple[Action, Judged]]) -> Iterator[Progress]:
    for phase in Phase:
        done = [found.done for action, found in judged if action.phase is phase]
        yield phase, sum(done), len(done)


def place_of(read: ReadMapping, action: Action) -> tuple[int, int]:
    """Return which of its phase an action is, and of how many: of readings and tests, at its stage."""
    own = [one for one in plan(read) if one.phase is action.phase]
    if action.phase in (Phase.READ, Phase.TEST):
        own = [one for one in own if (one.stage, one.drive) == (action.stage, action.drive)]
    keys = [(one.id, one.stage, one.drive) for one in own]
    key = (action.id, action.stage, action.drive)
    return (keys.index(key) + 1 if key in keys else 0), len(keys)
