"""The changeover, step by step: which controls are on bench parts and which on the controller.

A step is a view of the same mapping; nothing is written twice.  It begins with
everything on the bench, then one control at a time moves to the controller in
the order of the file, the speed last, and ends with the contacts that report back.
"""

from __future__ import annotations

from doorsheet.circuit.parts import Step
from doorsheet.circuit.sides import returning
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["stage_names", "step_named", "steps"]


def steps(mapping: Mapping) -> tuple[Step, ...]:
    """Return the steps from bench to final.

    Controls that share one wire both on the bench and at the controller move together, since one
    wire can't be in two places.  The move that completes the machine is the final step itself.
    """
    if mapping.drives:  # each drive's changeover would be one of its own
        names = frozenset(f"{unit} {name}" for unit, own in mapping.units() for name in own.control_names)
        return Step("bench", frozenset()), Step("final", names)
    groups = [group for group in _moves(mapping) if group]
    out = [Step("bench", frozenset())]
    contacts = {name for name in mapping.control_names if isinstance(mapping.control(name), DriveContact)}
    # a switch or potentiometer that stays is in its place as soon as the changeover begins
    moved = frozenset(mapping.control_names) - contacts - {name for group in groups for name in group}
    for group in groups:
        moved |= frozenset(group)
        out.append(Step(group[0], moved))
    final = Step("final", frozenset(mapping.control_names))
    if groups and not contacts:
        out.pop()  # the last move completes the machine
    return (*out, final)


def stage_names(mapping: Mapping) -> tuple[str, ...]:
    """Return the names of the steps, as `--stage` takes them."""
    return tuple(step.name for step in steps(mapping))


def step_named(mapping: Mapping, name: str) -> Step:
    """Return the step called `name`; "forward" will do for "run-forward".

    Raises ValueError with the names there are.
    """
    known = steps(mapping)
    wanted = name.strip().lower()
    for step in known:
        if wanted in (step.name, step.name.removeprefix("run-")):
            return step
    last = next((group[-1] for group in reversed(list(_moves(mapping))) if group), None)
    if last is not None and wanted in (last, last.removeprefix("run-")):
        return known[-1]  # the last control to move has no step but the final one
    raise ValueError(f"no stage {name!r}: {', '.join(step.name for step in known)}")


def _moves(mapping: Mapping) -> list[list[str]]:
    """Return the controls that change over, in groups that move at once."""
    switched: list[list[str]] = []
    by_return: dict[tuple[str, str], list[str]] = {}
    speed: list[str] = []
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, SpeedControl):
            speed = [name] if control.source is not None else []
        elif isinstance(control, SwitchedControl) and control.output is not None:
            key = _shared_return(control)
            group = by_return.get(key) if key is not None else None
            if group is None:
                group = []
                switched.append(group)
                if key is not None:
                    by_return[key] = group
            group.append(name)
    return [*switched, speed]


def _shared_return(control: SwitchedControl) -> tuple[str, str] | None:
    """Return the ends of the wire that a control's return would share with others, if it may."""
    near = returning(control)
    if near is None or control.common is None or control.feed is not None:
        return None
    return near, control.common
