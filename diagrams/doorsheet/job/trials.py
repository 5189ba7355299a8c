"""The actions of one stage in the order that keeps people whole; their lines as tests (job room).

Order, from common practice (no source): everything that can be done dead is done dead, the meter proved
before and after; the emergency stop is proved before any command counts, with the limit low; volts before
milliamperes; the motor uncoupled; full speed last.  Figures are those of the circuit's readings; what
happens when a supply goes is read off the solution; what neither says is a blank.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.job.action import Action, Phase
from doorsheet.job.context import Trials
from doorsheet.job.dead_work import dead_work, proof
from doorsheet.job.emergency import emergency_stop
from doorsheet.job.probes import part_of
from doorsheet.job.reads import reads
from doorsheet.job.runs import runs
from doorsheet.job.trial import Trial

__all__ = ["TrialGroup", "Trials", "stage_actions", "trials"]


@dataclass(frozen=True, slots=True)
class TrialGroup:
    """Actions that belong together, and what holds for all of them."""

    title: str
    note: str
    actions: tuple[Action, ...]

    @property
    def trials(self) -> tuple[Trial, ...]:
        """Their lines, in order."""
        return tuple(trial for action in self.actions for trial in action.trials)


_GROUPS: Final = (
    (
        (Phase.DEAD, Phase.BENCH, Phase.MOVE),
        "Power off and locked off",
        "Drive and controller off, unless a line says otherwise.",
    ),
    (
        (Phase.STOP,),
        "Emergency stop first, then a low limit: the first power",
        "Motor uncoupled, covers on. If one of these fails, go no further.",
    ),
    (
        (Phase.READ,),
        "Readings at the drive's terminals, DC",
        "Clip the meter's leads on while the power is locked off and the drive proved dead; covers on; "
        "then power. Where that can't be done it is live work, for qualified persons only. Closing a "
        "contact may start the motor: one hand at the emergency stop.",
    ),
    ((Phase.TEST,), "Runs", "Motor uncoupled, covers on, low limit still set."),
)
"""Phases that stand together on paper: their heading, and what holds for them."""


def trials(of: Trials) -> tuple[TrialGroup, ...]:
    """Return the tests of one drive at one stage: the lines of its actions, under numbered headings."""
    found = tuple(stage_actions(of))
    sorted_in = [
        (title, note, tuple(action for action in found if action.phase in phases))
        for phases, title, note in _GROUPS
    ]
    held = [(title, note, actions) for title, note, actions in sorted_in if actions]
    return tuple(
        TrialGroup(f"{number}  {title}", note, actions)
        for number, (title, note, actions) in enumerate(held, 1)
    )


def stage_actions(of: Trials) -> Iterator[Action]:
    """Yield the actions of one drive at one stage."""
    yield of.action("prove-dead", Phase.DEAD, "Prove dead", proof(of))
    yield _dead(of)
    yield of.action("emergency-stop", Phase.STOP, "Prove the emergency stop", emergency_stop(of))
    yield from reads(of)
    yield from runs(of)


def _dead(of: Trials) -> Action:
    """Return what is wired at a stage, all of it on dead parts."""
    if of.before is None:
        names = of.mapping.control_names
        return of.action("bench", Phase.BENCH, "Wire the bench", dead_work(of), controls=names)
    names = of.moving or tuple(name for name in of.mapping.control_names if name in of.touched)
    if not names:
        return of.action("close-up", Phase.DEAD, "Close up: nothing of this drive moves", dead_work(of))
    moved = names[0]
    return of.action(f"move:{moved}", Phase.MOVE, _move_title(of, names), dead_work(of), controls=names)


def _move_title(of: Trials, names: tuple[str, ...]) -> str:
    """Name the controls that move, and from what to what: "Run forward: from S1 to the controller"."""
    words = ", ".join(name.replace("-", " ") for name in names)
    was = [part_of(of.before, name) for name in names] if of.before is not None else []
    hands = ", ".join(dict.fromkeys(part.name for part in was if part is not None and part.name))
    return f"{words.capitalize()}: {f'from {hands} ' if hands else ''}to the controller"
