"""Where the emergency stop's own device stands in a drive's wiring, and at which stage."""

from doorsheet.circuit.parts import Stage, Step
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import Stop

__all__ = ["closes", "is_fitted", "is_in_loop"]


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
