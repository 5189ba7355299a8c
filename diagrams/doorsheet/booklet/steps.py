"""The steps of a job, each a leaf of its own (booklet room).

A stage is one step, if one side of a leaf holds it.  Else it is two: what is wired dead with the emergency
stop proved, then what is read and tried.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from doorsheet.booklet.leaf import Bit
from doorsheet.booklet.step_rows import meanings
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.sides import words as control_words
from doorsheet.job.action import Action, Phase
from doorsheet.job.context import Trials
from doorsheet.job.trials import stage_actions
from doorsheet.trade.language import tr

__all__ = ["WIRED", "Step", "index_of", "steps_of"]

WIRED = frozenset((Phase.DEAD, Phase.BENCH, Phase.MOVE, Phase.STOP))
"""What is done dead, and the emergency stop."""

_READ, _TRIED = frozenset((Phase.READ,)), frozenset((Phase.TEST,))
_ALL = WIRED | _READ | _TRIED
_SHARES = ((_ALL,), (WIRED, _READ | _TRIED), (WIRED, _READ, _TRIED))
"""How the work of a stage may be shared out; the first whose every part fits a leaf, else the last."""


@dataclass(frozen=True, slots=True)
class Step:
    """A stage of one drive, which parts of its work the step has, what its readings mean."""

    of: Trials
    phases: frozenset[Phase]
    known: tuple[Bit, ...] = field(repr=False)

    @property
    def goes_on(self) -> bool:
        """Whether the power may still be on from the step before."""
        return Phase.DEAD not in self.phases

    def actions(self) -> tuple[Action, ...]:
        """Return what is done at the step, in order."""
        return tuple(action for action in stage_actions(self.of) if action.phase in self.phases)

    def title(self) -> str:
        """Name the step, of several drives with the drive's: "Run forward: from S1 to the controller"."""
        of = self.of
        if of.before is None or self.goes_on:
            words = self._words() if self.goes_on else tr("wire the bench")
            return of_drive(of.drive, words) if of.drive else f"{words[:1].upper()}{words[1:]}"
        moves = (action.title for action in self.actions() if action.phase is Phase.MOVE)
        return of_drive(of.drive, next(moves, tr("Nothing moves: the last tests")))

    def short(self) -> str:
        """Name the step in a word or two."""
        return of_drive(self.of.drive, self._words())

    def _words(self) -> str:
        of = self.of
        moved = ", ".join(map(control_words, of.moving)) or (
            tr("final") if of.circuit.step.name == "final" else control_words(of.circuit.step.name)
        )
        if not self.goes_on:
            return tr("bench") if of.before is None else moved
        what = tr("the bench") if of.before is None else moved
        if Phase.TEST not in self.phases:
            return tr("read {what}", what=what)
        return (
            tr("read and try {what}", what=what) if Phase.READ in self.phases else tr("try {what}", what=what)
        )


def steps_of(works: Sequence[Trials], fits: Callable[[Step], bool]) -> tuple[Step, ...]:
    """Return the steps of all stages; what doesn't fit a leaf of its own is shared out to several."""
    return tuple(step for of in works for step in _steps(of, fits))


def _steps(of: Trials, fits: Callable[[Step], bool]) -> tuple[Step, ...]:
    known = tuple(meanings(of))
    shared = (tuple(Step(of, phases, known) for phases in shares) for shares in _SHARES)
    whole, *parts = (tuple(step for step in steps if step.actions()) for steps in shared)
    return next((steps for steps in (whole, *parts) if all(map(fits, steps))), parts[-1])


def index_of(steps: Sequence[Step], of: Trials, action: Action | None) -> int:
    """Return which step of a stage has an action; without one its last, and its first where none has it."""
    own = [at for at, step in enumerate(steps) if step.of is of]
    if action is None:
        return own[-1]
    return next((at for at in own if action.phase in steps[at].phases), own[0])
