"""The tests of one stage: do this, expect this, in the order that keeps people whole (booklet room).

Order, from common practice (no source): everything that can be done dead is done dead, the meter proved
before and after; the emergency stop is proved before any command counts, with the limit low; volts before
milliamperes; the motor uncoupled; full speed last.  Figures are those of the circuit's readings; what
happens when a supply goes is read off the solution; what neither says is a blank.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from doorsheet.booklet.dead_work import dead_work, swap_first
from doorsheet.booklet.probes import Probe, part_of, probes
from doorsheet.booklet.trial import Trial, TrialGroup, Trials, command_words
from doorsheet.circuit.parts import Part, PartKind
from doorsheet.circuit.reading_words import BLANK
from doorsheet.electrics import State
from doorsheet.electrics.events import Controller, Event
from doorsheet.mapping.controls import DriveContact, SwitchedControl

__all__ = ["Trials", "trials"]

_RUNS: Final = ("run-forward", "run-reverse", "jog")


def trials(of: Trials) -> tuple[TrialGroup, ...]:
    """Return the tests of one drive at one stage."""
    groups = (
        TrialGroup(
            "Power off and locked off",
            "Drive and controller off, unless a line says otherwise.",
            tuple(dead_work(of)),
        ),
        TrialGroup(
            "Emergency stop first, then a low limit: the first power",
            "Motor uncoupled, covers on. If one of these fails, go no further.",
            tuple(_emergency(of)),
        ),
        TrialGroup(
            "Readings at the drive's terminals, DC",
            "Clip the meter's leads on while the power is locked off and the drive proved dead; covers on; "
            "then power. Where that can't be done it is live work, for qualified persons only. Closing a "
            "contact may start the motor: one hand at the emergency stop.",
            tuple(_readings(of)),
        ),
        TrialGroup("Runs", "Motor uncoupled, covers on, low limit still set.", tuple(_runs(of))),
    )
    held = [group for group in groups if group.trials]
    return tuple(replace(group, title=f"{number}  {group.title}") for number, group in enumerate(held, 1))


# ---- Emergency stop ----


def _emergency(of: Trials) -> Iterator[Trial]:
    stop = of.mapping.stop
    hardware = stop.hardware if stop is not None else None
    acts = hardware if hardware and hardware.lower() not in ("none", "unknown") else f"its device ({BLANK})"
    run, dial = _run_words(of), part_of(of.circuit, "speed")
    low = f"{dial.name} at its low end" if dial is not None and dial.kind is PartKind.POTENTIOMETER else ""
    low = low or ("speed zero commanded" if dial is not None else "speed at its lowest")
    yield Trial(f"Emergency stop in, {low}. Power on.", f"motor stands; {acts} has acted")
    yield Trial("Maximum frequency set low, for these tests.", "the limit chosen", "Hz")
    yield from _held(run)
    if of.before is None:
        yield Trial("Commands off. Make the settings of the list; keypad in command.", "as listed")
        yield Trial("From the keypad: start, turn up a little.", "motor turns smoothly", "Hz")
    yield Trial("Run at lowest speed, then press the emergency stop.", "motor stops in", "s")


def _held(run: str) -> Iterator[Trial]:
    """Yield that a pressed emergency stop holds the motor, and that letting it out starts nothing."""
    yield Trial(f"Emergency stop in: {run}.", "motor stands")
    yield Trial(f"Still so ({run}): let the emergency stop out, no new command.", "motor stands")


def _run_words(of: Trials) -> str:
    for name in (*_RUNS, "enable", *of.mapping.control_names):
        if name in of.mapping.control_names and isinstance(of.mapping.control(name), SwitchedControl):
            part = part_of(of.circuit, name)
            if part is not None:
                return command_words(part, name, "{} closed", "{} commanded")
    return "speed commanded"


# ---- Readings ----


def _readings(of: Trials) -> Iterator[Trial]:
    last = "V"
    for probe in probes(of.mapping, of.circuit):
        if not of.touched & set(of.circuit.wire(probe.wire).controls):
            continue
        where = f"Red on {probe.red}, black on {probe.black}"
        if not probe.black:
            where = f"Meter for mA in wire {probe.wire} at {probe.red}"
            if last == "V":
                yield Trial(
                    "Power off, wait, prove dead. Red lead to the mA socket, meter in the wire.", "done"
                )
        last = probe.unit
        sign = f"; {_sign_words(of, probe)}" if probe.sign_open else ""
        yield Trial(
            f"{where}{f'; {probe.state}' if probe.state else ''}.", f"{probe.expect}{sign}", probe.unit
        )
    if last == "mA":
        yield Trial("Power off, wait, prove dead. Wires back on, red lead back to the volts socket.", "done")


def _sign_words(of: Trials, probe: Probe) -> str:
    """Say what is done about a sign that nobody has read yet."""
    name = of.circuit.wire(probe.wire).control
    control, part = of.mapping.control(name), part_of(of.circuit, name)
    assert isinstance(control, SwitchedControl) and part is not None
    first = swap_first(control, part, of.circuit)
    # an output that is the wrong way round conducts like a diode
    turned = first.replace("reads minus:", "reads minus, or near 0.7 V: power off,")
    return turned if first else "write its sign down"


# ---- Runs ----


def _runs(of: Trials) -> Iterator[Trial]:
    names = of.mapping.control_names
    if of.before is None and names:
        yield Trial("Command from the terminals now.", "the keypad's run key starts nothing")
        yield from _held(_run_words(of))
        yield Trial(f"{_run_words(of).capitalize()}; press the emergency stop.", "motor stops in", "s")
    for name in [name for name in names if name in of.touched]:
        control, part = of.mapping.control(name), part_of(of.circuit, name)
        if part is None:
            continue
        if isinstance(control, DriveContact):
            yield from _contact(name, control)
        elif isinstance(control, SwitchedControl):
            yield from _switched(of, name, part)
    if {"run-forward", "run-reverse"} <= of.touched or (
        {"run-forward", "run-reverse"} <= set(names) and of.is_last
    ):
        known = of.mapping.drive.both_directions or ""
        said = {"stops": "motor stops", "forward": "turns forward", "reverse": "turns in reverse"}.get(known)
        yield Trial("Forward and reverse together.", said or f"as the drive's manual says: {BLANK}")
    if "speed" in of.touched:
        yield from _speed(of)
    others = [name for name in names if name not in of.touched and part_of(of.circuit, name) is not None]
    if others:
        said = ", ".join(name.replace("-", " ") for name in others)
        yield Trial(f"Not moved at this stage: {said}. Try each.", "as at the stage before")
    yield from _supplies(of)
    if of.is_last:
        yield Trial("Maximum frequency back to its final value.", "as in the list of settings", "Hz")
        yield Trial("Run up to full speed; then stop.", "reaches it, stops in", "s")
    yield Trial("Power off, wait, power on again; read every setting back.", "as in the list of settings")


def _supplies(of: Trials) -> Iterator[Trial]:
    """Yield what happens when the controller restarts, and when its supply goes, as the solution has it."""
    if not any(part.block == "controller" for part in of.circuit.parts):
        return
    yield Trial(
        "Restart the controller with the drive under power, nothing commanded.", "motor stands throughout"
    )
    do = "Run at low speed; take the controller's supply away."
    runs = _states(of, Controller.OFF)
    if not runs:
        return
    if State.OFF in runs.values():
        yield Trial(do, "motor stops in", "s")
    elif set(runs.values()) == {State.ON}:
        by_hand = [
            part.name for name in runs if (part := part_of(of.circuit, name)) and part.kind is PartKind.SWITCH
        ]
        ends = (
            f"only {by_hand[0]} or a stop in hardware ends it"
            if by_hand
            else "only a stop in hardware ends it"
        )
        yield Trial(f"{do} One hand at the emergency stop.", f"motor runs on: {ends}")
    else:
        yield Trial(f"{do} One hand at the emergency stop.", f"not known: {BLANK}")


def _states(of: Trials, controller: Controller) -> dict[str, State]:
    """Return what run and enable are, each closed by what commands it, in a state of the controller.

    The motor moves while all of them are on: of the directions the first there is, and the enable.
    """
    there = [name for name in of.mapping.control_names if part_of(of.circuit, name) is not None]
    run = next((name for name in _RUNS if name in there), None)
    needed = [name for name in (run, "enable") if name in there]
    event = Event(frozenset((of.drive, name) for name in needed), controller=controller)
    return {name: of.solved.state((of.drive, name), event) for name in needed}


def _switched(of: Trials, name: str, part: Part) -> Iterator[Trial]:
    words = name.replace("-", " ")
    close = command_words(part, name, "Close {}", "Command {}")
    leave = command_words(part, name, "open {}", "take it away")
    chain = [
        each for each in of.circuit.parts if each.control == name and each.kind is PartKind.FIELD_CONTACT
    ]
    match name:
        case "run-forward" | "run-reverse":
            way = "forward" if name == "run-forward" else "in reverse"
            yield Trial(f"{close}, lowest speed.", f"motor turns {way}, as the machine needs it", "Hz")
            yield Trial(f"Then {leave}.", "motor stops in", "s")
        case "enable":
            yield Trial(f"{close}, run; then {leave}.", "runs only while enabled; stops in", "s")
        case "fault-reset":
            yield Trial(
                f"After a trip, no run command: {close[0].lower()}{close[1:]}.", "trip clears; motor stands"
            )
        case "jog":
            yield Trial(f"{close}; then {leave}.", "turns while closed", "Hz")
        case _:
            yield Trial(f"{close} alone, run.", f"speed of {words}", "Hz")
    for each in chain:
        what = f" ({each.caption})" if each.caption else ""
        opened = Event(frozenset({(of.drive, name)}), frozenset({(of.drive, each.name)}))
        off = of.solved.state((of.drive, name), opened) is State.OFF
        yield Trial(
            f"{close}; open {each.name}{what}.", f"{words} goes off" if off else f"not known: {BLANK}"
        )


def _contact(name: str, control: DriveContact) -> Iterator[Trial]:
    if name == "fault":
        yield Trial("Make the drive trip, the way its manual says.", "controller sees the fault")
    else:
        yield Trial("Run, then stop.", "controller sees running, then not")
    yield Trial(
        f"Take the wire at {control.terminals[0]} off (power off first), power on.",
        f"write down whether the controller now says {name}",
    )


def _speed(of: Trials) -> Iterator[Trial]:
    part = part_of(of.circuit, "speed")
    if part is None:
        return
    if part.kind is PartKind.POTENTIOMETER:
        yield Trial(f"Run; {part.name} from its low end up, slowly.", "speed rises evenly to the limit", "Hz")
        yield Trial(f"{part.name} back to its low end.", "lowest speed, as set", "Hz")
        return
    yield Trial("Run; command speeds from zero up, in five steps.", "speed rises evenly to the limit", "Hz")
    yield Trial("Command zero, run still on.", "lowest speed; standing still needs run taken away", "Hz")
