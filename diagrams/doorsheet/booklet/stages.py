"""The circuits of a machine's stages, from the bench to the end (booklet room)."""

from __future__ import annotations

from doorsheet.circuit import join, steps
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.mapping.reading import ReadMapping

__all__ = ["stage_circuits", "stage_heading", "stage_title"]


def stage_circuits(read: ReadMapping) -> tuple[Circuit, ...]:
    """Return the circuit of every stage, in the order of the work."""
    # join first: it says so when there is no control at all
    return tuple(join(read, step) for step in steps(read.mapping)) or (join(read, "final"),)


def stage_title(circuit: Circuit) -> str:
    """Name a stage: "bench stage", "run forward stage", of several drives "pump-1 run forward stage"."""
    step = circuit.step
    return of_drive(step.drive, f"{step.name.replace('-', ' ')} stage")


def stage_heading(circuit: Circuit) -> str:
    """Name a stage at the head of something; a drive's name stays as it is written."""
    title = stage_title(circuit)
    return title if circuit.step.drive else title.capitalize()
