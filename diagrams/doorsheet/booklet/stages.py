"""The circuits of a machine's stages, from the bench to the end (booklet room)."""

from __future__ import annotations

from doorsheet.circuit import join
from doorsheet.circuit.parts import Circuit, Stage
from doorsheet.mapping.reading import ReadMapping

__all__ = ["stage_circuits"]


def stage_circuits(read: ReadMapping) -> tuple[Circuit, ...]:
    """Return the circuit of every stage, in the order of the work."""
    return tuple(join(read, stage) for stage in Stage)
