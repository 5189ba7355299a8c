"""The actions of one stage in the order that keeps people whole (job room).

Order, from common practice (no source): everything that can be done dead is done dead, the meter proved
before and after; the emergency stop is proved before any command counts, with the limit low; volts before
milliamperes; the motor uncoupled; full speed last.  Figures are those of the circuit's readings; what
happens when a supply goes is read off the solution; what neither says is a blank.
"""

from collections.abc import Iterator

from doorsheet.circuit.sides import words
from doorsheet.job.action import Action, Phase
from doorsheet.job.context import Trials
from doorsheet.job.dead_work import dead_work, proof
from doorsheet.job.emergency import emergency_stop
from doorsheet.job.probes import part_of
from doorsheet.job.reads import reads
from doorsheet.job.runs import runs
from doorsheet.trade.language import tr

__all__ = ["Trials", "stage_actions"]


def stage_actions(of: Trials) -> Iterator[Action]:
    """Yield the actions of one drive at one stage."""
    yield of.action("prove-dead", Phase.DEAD, tr("Prove dead"), proof(of))
    yield _dead(of)
    yield of.action("emergency-stop", Phase.STOP, tr("Prove the emergency stop"), emergency_stop(of))
    yield from reads(of)
    yield from runs(of)


def _dead(of: Trials) -> Action:
    """Return what is wired at a stage, all of it on dead parts."""
    if of.before is None:
        names = of.mapping.control_names
        return of.action("bench", Phase.BENCH, tr("Wire the bench"), dead_work(of), controls=names)
    names = of.moving or tuple(name for name in of.mapping.control_names if name in of.touched)
    if not names:
        return of.action("close-up", Phase.DEAD, tr("Close up: nothing of this drive moves"), dead_work(of))
    moved = names[0]
    return of.action(f"move:{moved}", Phase.MOVE, _move_title(of, names), dead_work(of), controls=names)


def _move_title(of: Trials, names: tuple[str, ...]) -> str:
    """Name the controls that move, and from what to what: "Run forward: from S1 to the controller"."""
    said = ", ".join(words(name) for name in names)
    said = f"{said[:1].upper()}{said[1:]}"
    was = [part_of(of.before, name) for name in names] if of.before is not None else []
    hands = ", ".join(dict.fromkeys(part.name for part in was if part is not None and part.name))
    if not hands:
        return tr("{controls}: to the controller", controls=said)
    return tr("{controls}: from {switches} to the controller", controls=said, switches=hands)
