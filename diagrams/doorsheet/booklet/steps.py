"""The steps of a job, each a leaf of its own.

A stage is one step, if one side of a leaf holds it.  Else it is several: what is wired dead and the
emergency stop proved, then what is read, in as many steps as that takes, and tried.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain, groupby

from doorsheet.booklet.step_rows import Bit, meanings
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.sides import words as control_words
from doorsheet.job.action import Action, Phase
from doorsheet.job.context import Trials
from doorsheet.job.dead_work import clip_words
from doorsheet.job.probes import Probe
from doorsheet.job.sequence import stage_actions
from doorsheet.trade.language import capital, tr

__all__ = ["WIRED", "Step", "index_of", "steps_of"]

WIRED = frozenset((Phase.DEAD, Phase.BENCH, Phase.MOVE, Phase.STOP))
"""What is done dead, and the emergency stop."""

_READ, _TRIED = frozenset((Phase.READ,)), frozenset((Phase.TEST,))


@dataclass(frozen=True, slots=True)
class Step:
    """A stage of one drive, which parts of its work the step has, which readings and what they mean."""

    of: Trials
    phases: frozenset[Phase]
    actions: tuple[Action, ...]
    probes: tuple[Probe, ...] = ()
    known: tuple[Bit, ...] = ()

    @property
    def goes_on(self) -> bool:
        """Whether the power may still be on from the step before."""
        return Phase.DEAD not in self.phases

    def title(self) -> str:
        """Name the step, of several drives with the drive's: "Run forward: from S1 to the controller"."""
        of = self.of
        if of.before is None or self.goes_on:
            words = self._words() if self.goes_on else tr("wire the bench")
            return of_drive(of.drive, words) if of.drive else capital(words)
        moves = (action.title for action in self.actions if action.phase is Phase.MOVE)
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
        if Phase.TEST not in self.phases and self.probes != self.of.probes:
            at = ", ".join(dict.fromkeys(probe.red for probe in self.probes))
            return tr("read {what}: {terminals}", what=what, terminals=at)
        if Phase.TEST not in self.phases:
            return tr("read {what}", what=what)
        reads = Phase.READ in self.phases
        return tr("read and try {what}", what=what) if reads else tr("try {what}", what=what)


def steps_of(works: Sequence[Trials], fits: Callable[[Step], bool]) -> tuple[Step, ...]:
    """Return the steps of all stages; what doesn't fit a leaf of its own is shared out to several."""
    return tuple(step for of in works for step in _steps(of, fits))


def _steps(of: Trials, fits: Callable[[Step], bool]) -> tuple[Step, ...]:
    steps: tuple[Step, ...] = ()
    for shared in _shared(of):
        steps = tuple(step for step in shared if step.actions)
        if all(map(fits, steps)):
            break
    return steps


def _shared(of: Trials) -> Iterator[tuple[Step, ...]]:
    """Share the work of a stage out: all in one, then ever more steps to read in."""
    every, known = tuple(stage_actions(of)), cache(lambda probes: tuple(meanings(of, probes)))
    reads = tuple(zip(of.probes, (one for one in every if one.phase is Phase.READ), strict=True))

    def step(phases: frozenset[Phase], probes: tuple[Probe, ...] = ()) -> Step:
        left = {action.id for probe, action in reads if probe not in probes}
        own = tuple(one for one in every if one.phase in phases and one.id not in left)
        return Step(of, phases, own, probes, known(probes))

    yield (step(WIRED | _READ | _TRIED, of.probes),)
    yield step(WIRED), step(_READ | _TRIED, of.probes)
    places = [tuple(own) for _, own in groupby(of.probes, clip_words)]
    for count in range(1, len(places) + 1):
        share = -(-len(places) // count)
        parts = (tuple(chain(*places[at : at + share])) for at in range(0, len(places), share))
        yield step(WIRED), *(step(_READ, part) for part in parts), step(_TRIED)


def index_of(steps: Sequence[Step], of: Trials, action: Action | None) -> int:
    """Return which step of a stage has an action; without one its last, and its first where none has it."""
    own = [at for at, step in enumerate(steps) if step.of is of]
    if action is None:
        return own[-1]
    with_it = (at for at in own if any(one.id == action.id for one in steps[at].actions))
    return next(with_it, next((at for at in own if action.phase in steps[at].phases), own[0]))
