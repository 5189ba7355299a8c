"""The changeover, step by step: which controls are on bench parts and which on the controller.

A step is a view of the same mapping; nothing is written twice.  It begins with
everything on the bench, then one control at a time moves to the controller in
the order of the file, the speed last, of several drives one drive after the other,
and ends with the contacts that report back.  At which steps the emergency stop's own
device stands in a drive's wiring is told here too.
"""

from doorsheet.choice import ChoiceError
from doorsheet.circuit.parts import Stage, Step, Use, of_drive
from doorsheet.circuit.sides import returning
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import Stop

__all__ = ["closes", "every_step", "is_fitted", "is_in_loop", "stage_names", "step_named", "steps"]


def steps(mapping: Mapping) -> tuple[Step, ...]:
    """Return the steps from bench to final; the move that completes the machine is the final step itself."""
    known = every_step(mapping)
    last, final = known[-2:]
    return (*known[:-2], final) if last.name != "bench" and last.moved == final.moved else known


def every_step(mapping: Mapping) -> tuple[Step, ...]:
    """Return the steps from bench to final, the last move and the finished machine each by itself.

    Controls that share one wire both on the bench and at the controller move together, since one
    wire can't be in two places.  Of several drives one changes over after the other.
    """
    out = [Step("bench", frozenset())]
    moved: frozenset[Use] = frozenset()
    for drive, own in mapping.units():
        groups = _moves(own)
        moving = {name for group in groups for name in group}
        # a switch or potentiometer that stays is in its place as soon as its drive's changeover begins
        moved |= {
            (drive, name)
            for name in own.control_names
            if name not in moving and not isinstance(own.control(name), DriveContact)
        }
        for group in groups:
            moved |= {(drive, name) for name in group}
            out.append(Step(group[0], moved, drive, tuple(group)))
    final = Step(
        "final", frozenset((drive, name) for drive, own in mapping.units() for name in own.control_names)
    )
    return (*out, final)


def stage_names(mapping: Mapping) -> tuple[str, ...]:
    """Return the names of the steps, as `--stage` takes them."""
    return tuple(step.called for step in every_step(mapping))


def step_named(mapping: Mapping, name: str) -> Step:
    """Return the step called `name`; "forward" will do for "run-forward", "pump-1 forward" for
    "pump-1.run-forward".

    Raises ValueError with the names there are.
    """
    known = every_step(mapping)
    wanted = name.strip().casefold()
    for step in known:
        short = step._replace(name=step.name.removeprefix("run-"))
        words = {step.called, short.called, of_drive(step.drive, step.name), of_drive(step.drive, short.name)}
        if wanted in {word.casefold() for word in words}:
            return step
    raise ChoiceError(f"no stage {name!r}: {', '.join(step.called for step in known)}")


def _moves(mapping: Mapping) -> list[list[str]]:
    """Return the controls that change over, those together that move together, in their order."""
    groups: dict[object, list[str]] = {}
    speed: list[str] = []
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, SpeedControl):
            speed = [name] if control.source is not None else []
        elif isinstance(control, SwitchedControl) and control.output is not None:
            groups.setdefault(_shared_return(mapping, control) or name, []).append(name)
    # the enable last of all: until then a hand holds the motor back
    return sorted(filter(None, (*groups.values(), speed)), key=lambda group: "enable" in group)


def _shared_return(mapping: Mapping, control: SwitchedControl) -> tuple[str, str] | None:
    """Return the ends of the wire that a control's return would share with others, if it may.

    Looped returns have one wire to the drive, so all that go by it move at once.
    """
    near = returning(control)
    if near is None or control.common is None or control.feed is not None:
        return None
    return "" if mapping.controller.returns == "looped" else near, control.common


def is_in_loop(stop: Stop, control: SwitchedControl, stage: Stage = Stage.FINAL) -> bool:
    """Whether the stop's device stands in a control's loop: as a contact of it, or as its switch."""
    chain = control.chain if stage is Stage.FINAL else ()
    by_hand = control.switch if stage is Stage.BENCH or control.output is None else None
    contacts = (label for part in chain for label in (part.name, part.what))
    return stop.is_called(*contacts, by_hand.name if by_hand is not None else None)


def closes(stop: Stop, control: SwitchedControl) -> bool:
    """Whether a control is closed in the end by the stop's device itself, as by a contact of a relay."""
    output = control.output
    return output is not None and stop.has_terminal(output.plus, output.signal, *(output.terminals or ()))


def is_fitted(mapping: Mapping, step: Step, drive: str = "") -> bool:
    """Whether the stop's device is in a drive's wiring at a step, wherever the mapping has it there.

    `mapping` is the drive's own. A device that it has nowhere may act elsewhere, as a contactor does, but
    not on an enable whose loop is mapped without it.
    """
    stop, switched = mapping.stop, mapping.switched
    if stop is None:
        return True

    def stands(control: SwitchedControl, stage: Stage) -> bool:
        return is_in_loop(stop, control, stage) or (stage is Stage.FINAL and closes(stop, control))

    own = {name: one for name, one in switched.items() if any(stands(one, stage) for stage in Stage)}
    if not own:
        return stop.acts != "enable" or "enable" not in switched
    return all(stands(one, step.stage_of(drive, name)) for name, one in own.items())
