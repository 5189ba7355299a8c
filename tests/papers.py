"""Papers that several tests look at, made once in a process: they are values, the same for the same text."""

from __future__ import annotations

from functools import cache

from doorsheet.booklet import Booklet, make_booklet
from doorsheet.booklet.step_leaf import Step, leaf_steps
from doorsheet.electrics.solved import Solved
from doorsheet.job.context import each_stage
from doorsheet.job.sequence import stage_trials
from doorsheet.mapping.reading import ReadMapping

__all__ = ["booklet_of", "leaf_steps_of", "stages_of"]


@cache
def stages_of(read: ReadMapping) -> tuple[Solved, ...]:
    """Solve every stage of a mapping; what was asked of it once is answered."""
    return tuple(each_stage(read))


@cache
def leaf_steps_of(read: ReadMapping) -> tuple[Step, ...]:
    """Give the steps of a mapping's booklet."""
    return leaf_steps(tuple(stage_trials(read, stages_of(read))), read)


@cache
def booklet_of(read: ReadMapping) -> Booklet:
    """Make the booklet of a mapping."""
    return make_booklet(read)
