"""The emergency stop, proved before any command counts (job room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.parts import PartKind
from doorsheet.circuit.reading_words import BLANK
from doorsheet.job.context import Trials, command_words
from doorsheet.job.probes import part_of
from doorsheet.job.trial import Trial, live
from doorsheet.mapping.controls import SwitchedControl

__all__ = ["RUNS", "emergency_stop", "held", "run_words"]

RUNS: Final = ("run-forward", "run-reverse", "jog")
"""Controls that make the motor turn."""


def emergency_stop(of: Trials) -> Iterator[Trial]:
    """Yield the proof of the emergency stop of one drive at one stage: the first power."""
    stop = of.mapping.stop
    hardware = stop.hardware if stop is not None else None
    acts = hardware if hardware and hardware.lower() not in ("none", "unknown") else f"its device ({BLANK})"
    run, dial = run_words(of), part_of(of.circuit, "speed")
    low = f"{dial.name} at its low end" if dial is not None and dial.kind is PartKind.POTENTIOMETER else ""
    low = low or ("speed zero commanded" if dial is not None else "speed at its lowest")
    yield live(f"Emergency stop in, {low}. Power on.", f"motor stands; {acts} has acted")
    yield live("Maximum frequency set low, for these tests.", "the limit chosen", "Hz")
    yield from held(run)
    if of.before is None:
        yield live("Commands off. Make the settings of the list; keypad in command.", "as listed")
        yield live("From the keypad: start, turn up a little.", "motor turns smoothly", "Hz")
    yield live("Run at lowest speed, then press the emergency stop.", "motor stops in", "s")


def held(run: str) -> Iterator[Trial]:
    """Yield that a pressed emergency stop holds the motor, and that letting it out starts nothing."""
    yield live(f"Emergency stop in: {run}.", "motor stands")
    yield live("Still so: let the emergency stop out, no new command.", "motor stands")


def run_words(of: Trials) -> str:
    """Say what makes the motor turn at a stage: "S1 closed", "run forward commanded"."""
    for name in (*RUNS, "enable", *of.mapping.control_names):
        if name in of.mapping.control_names and isinstance(of.mapping.control(name), SwitchedControl):
            part = part_of(of.circuit, name)
            if part is not None:
                return command_words(part, name, "{} closed", "{} commanded")
    return "speed commanded"
