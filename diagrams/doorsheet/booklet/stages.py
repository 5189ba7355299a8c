"""The circuits of a machine's stages, from the bench to the end (booklet room)."""

from __future__ import annotations

from doorsheet.circuit import steps
from doorsheet.circuit.parts import Circuit
from doorsheet.electrics import Solved, solve
from doorsheet.mapping.reading import ReadMapping

__all__ = ["stage_circuits", "stage_title"]


def stage_circuits(read: ReadMapping) -> tuple[Solved, ...]:
    """Return every stage, solved, in the order of the work."""
    # joining says so when there is no control at all
    return tuple(solve(read, step) for step in steps(read.mapping)) or (solve(read, "final"),)


def stage_title(circuit: Circuit) -> str:
    """Name a stage: "bench stage", "run forward stage"."""
    return f"{circuit.step.name.replace('-', ' ')} stage"
