"""The tests of a stage: what moves, stops and reports as it should (job room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from doorsheet.circuit.parts import Part, PartKind
from doorsheet.circuit.reading_words import BLANK
from doorsheet.electrics import State
from doorsheet.electrics.events import Controller, Event
from doorsheet.job.action import Action, Phase
from doorsheet.job.context import Trials, command_words
from doorsheet.job.emergency import RUNS, held, run_words
from doorsheet.job.probes import part_of
from doorsheet.job.trial import Trial, live
from doorsheet.mapping.controls import DriveContact, SwitchedControl

__all__ = ["runs"]


def runs(of: Trials) -> Iterator[Action]:
    """Yield the tests of one drive at one stage."""
    for what, title, lines, controls in _groups(of):
        found = tuple(lines)
        if found:
            yield of.action(f"test:{what}", Phase.TEST, title, found, controls=controls)


_Group: TypeAlias = tuple[str, str, Iterator[Trial], tuple[str, ...]]
"""A test: the end of its id, its title, its lines, the controls that it is about."""


def _groups(of: Trials) -> Iterator[_Group]:
    names = of.mapping.control_names
    if of.before is None and names:
        yield "terminals", "Command from the terminals", _terminals(of), ()
    for name in [name for name in names if name in of.touched]:
        control, part = of.mapping.control(name), part_of(of.circuit, name)
        title = f"Test {name.replace('-', ' ')}"
        if part is None:
            continue
        if isinstance(control, DriveContact):
            yield name, title, _contact(name, control), (name,)
        elif isinstance(control, SwitchedControl):
            yield name, title, _switched(of, name, part), (name,)
    yield "both-directions", "Test both directions together", _both(of), ("run-forward", "run-reverse")
    if "speed" in of.touched:
        yield "speed", "Test speed", _speed(of), ("speed",)
    others = tuple(name for name in names if name not in of.touched and part_of(of.circuit, name) is not None)
    yield "others", "Test what has not moved", _others(others), others
    yield "supplies", "Test a restart and a lost supply", _supplies(of), ()
    yield "end", "Run up, and read the settings again", _end(of), ()


def _terminals(of: Trials) -> Iterator[Trial]:
    yield live("Command from the terminals now.", "the keypad's run key starts nothing")
    yield from held(run_words(of))
    yield live(f"{run_words(of).capitalize()}; press the emergency stop.", "motor stops in", "s")


def _both(of: Trials) -> Iterator[Trial]:
    both = {"run-forward", "run-reverse"}
    if both <= of.touched or (both <= set(of.mapping.control_names) and of.is_last):
        known = of.mapping.drive.both_directions or ""
        said = {"stops": "motor stops", "forward": "turns forward", "reverse": "turns in reverse"}.get(known)
        yield live("Forward and reverse together.", said or f"as the drive's manual says: {BLANK}")


def _others(names: tuple[str, ...]) -> Iterator[Trial]:
    if names:
        said = ", ".join(name.replace("-", " ") for name in names)
        yield live(f"Not moved at this stage: {said}. Try each.", "as at the stage before")


def _end(of: Trials) -> Iterator[Trial]:
    if of.is_last:
        yield live("Maximum frequency back to its final value.", "as in the list of settings", "Hz")
        yield live("Run up to full speed; then stop.", "reaches it, stops in", "s")
    yield live("Power off, wait, power on again; read every setting back.", "as in the list of settings")


def _supplies(of: Trials) -> Iterator[Trial]:
    """Yield what happens when the controller restarts, and when its supply goes, as the solution has it."""
    if not any(part.block == "controller" for part in of.circuit.parts):
        return
    yield live("Restart the controller with the drive on, no command.", "motor stands throughout")
    do = "Run at low speed; take the controller's supply away."
    runs = _states(of, Controller.OFF)
    if not runs:
        return
    if State.OFF in runs.values():
        yield live(do, "motor stops in", "s")
    elif set(runs.values()) == {State.ON}:
        by_hand = [
            part.name for name in runs if (part := part_of(of.circuit, name)) and part.kind is PartKind.SWITCH
        ]
        ends = (
            f"only {by_hand[0]} or a stop in hardware ends it"
            if by_hand
            else "only a stop in hardware ends it"
        )
        yield live(f"{do} One hand at the emergency stop.", f"motor runs on: {ends}")
    else:
        yield live(f"{do} One hand at the emergency stop.", f"not known: {BLANK}")


def _states(of: Trials, controller: Controller) -> dict[str, State]:
    """Return what run and enable are, each closed by what commands it, in a state of the controller.

    The motor moves while all of them are on: of the directions the first there is, and the enable.
    """
    there = [name for name in of.mapping.control_names if part_of(of.circuit, name) is not None]
    run = next((name for name in RUNS if name in there), None)
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
            yield live(f"{close}, lowest speed.", f"turns {way}, as the machine needs", "Hz")
            yield live(f"Then {leave}.", "motor stops in", "s")
        case "enable":
            yield live(f"{close}, run; then {leave}.", "runs only while enabled; stops in", "s")
        case "fault-reset":
            yield live(
                f"After a trip, no run command: {close[0].lower()}{close[1:]}.", "trip clears; motor stands"
            )
        case "jog":
            yield live(f"{close}; then {leave}.", "turns while closed", "Hz")
        case _:
            yield live(f"{close} alone, run.", f"speed of {words}", "Hz")
    for each in chain:
        what = f" ({each.caption})" if each.caption else ""
        opened = Event(frozenset({(of.drive, name)}), frozenset({(of.drive, each.name)}))
        off = of.solved.state((of.drive, name), opened) is State.OFF
        yield live(f"{close}; open {each.name}{what}.", f"{words} goes off" if off else f"not known: {BLANK}")


def _contact(name: str, control: DriveContact) -> Iterator[Trial]:
    if name == "fault":
        yield live("Make the drive trip, the way its manual says.", "controller sees the fault")
    else:
        yield live("Run, then stop.", "controller sees running, then not")
    off = "Power off, lock off, wait, prove dead."
    yield Trial(f"{off} Take the wire at {control.terminals[0]} off.", "off")
    yield live("Power on.", f"write down whether the controller now says {name}")
    yield Trial(f"{off} The wire back on.", "tight")


def _speed(of: Trials) -> Iterator[Trial]:
    part = part_of(of.circuit, "speed")
    if part is None:
        return
    if part.kind is PartKind.POTENTIOMETER:
        yield live(f"Run; {part.name} from its low end up, slowly.", "speed rises evenly to the limit", "Hz")
        yield live(f"{part.name} back to its low end.", "lowest speed, as set", "Hz")
        return
    yield live("Run; command speeds from zero up, in five steps.", "speed rises evenly to the limit", "Hz")
    yield live("Command zero, run still on.", "lowest speed; standing still needs run taken away", "Hz")
