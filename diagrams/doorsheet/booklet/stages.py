"""The circuits of a machine's stages, from the bench to the end (booklet room)."""

from __future__ import annotations

from doorsheet.circuit import join, steps
from doorsheet.circuit.parts import Circuit
from doorsheet.mapping.reading import ReadMapping

__all__ = ["stage_circuits", "stage_title"]


def stage_circuits(read: ReadMapping) -> tuple[Circuit, ...]:
    """Return the circuit of every stage, in the order of the work."""
    # join first: it says so when there is no control at all
    return tuple(join(read, step) for step in steps(read.mapping)) or (join(read, "final"),)


def stage_title(circuit: Circuit) -> str:
    """Name a stage: "bench stage", "run forward stage"."""
    return f"{circuit.step.name.replace('-', ' ')} stage"
