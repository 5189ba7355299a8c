"""The circuit room: what is joined at each stage, and what follows from it."""

from doorsheet.circuit.changeover import stage_names, step_named, steps
from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Circuit, Stage, Step

__all__ = ["Circuit", "Stage", "Step", "join", "stage_names", "step_named", "steps"]
