"""The emergency stop, proved before any command counts (job room)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.parts import PartKind
from doorsheet.circuit.reading_words import BLANK
from doorsheet.job.action import Trial, live
from doorsheet.job.context import Trials, command_words
from doorsheet.job.probes import part_of
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.trade.language import tr, tr_later

__all__ = ["RUNS", "emergency_stop", "held", "run_words"]

RUNS: Final = ("run-forward", "run-reverse", "jog")
"""Controls that make the motor turn."""


def emergency_stop(of: Trials) -> Iterator[Trial]:
    """Yield the proof of the emergency stop of one drive at one stage: the first power."""
    stop = of.mapping.stop
    acts = (stop.hardware or "") if stop is not None else ""
    if acts.lower() in ("", "none", "unknown"):
        acts = tr("its device ({blank})", blank=BLANK)
    dial = part_of(of.circuit, "speed")
    low = tr("speed zero commanded") if dial is not None else tr("speed at its lowest")
    if dial is not None and dial.kind is PartKind.POTENTIOMETER:
        low = tr("{dial} at its low end", dial=dial.name)
    first = tr("Emergency stop in, {low}. Power on.", low=low)
    yield live(first, tr("motor stands; {acts} has acted", acts=acts))
    yield live(tr("Maximum frequency set low, for these tests."), tr("the limit chosen"), "Hz")
    yield from held(run_words(of))
    if of.before is None:
        yield live(tr("Commands off. Make the settings of the list; keypad in command."), tr("as listed"))
        yield live(tr("From the keypad: start, turn up a little."), tr("motor turns smoothly"), "Hz")
    yield live(tr("Run at lowest speed, then press the emergency stop."), tr("motor stops in"), "s")


def held(run: str) -> Iterator[Trial]:
    """Yield that a pressed emergency stop holds the motor, and that letting it out starts nothing."""
    yield live(tr("Emergency stop in: {run}.", run=run), tr("motor stands"))
    yield live(tr("Still so: let the emergency stop out, no new command."), tr("motor stands"))


def run_words(of: Trials) -> str:
    """Say what makes the motor turn at a stage: "S1 closed", "run forward commanded"."""
    there = [name for name in (*RUNS, "enable") if name in of.mapping.control_names]
    for name in (*there, *of.mapping.control_names):
        part = part_of(of.circuit, name)
        if part is not None and isinstance(of.mapping.control(name), SwitchedControl):
            return command_words(part, name, tr_later("{what} closed"), tr_later("{what} commanded"))
    return tr("speed commanded")
