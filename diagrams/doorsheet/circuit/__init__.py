"""The circuit room: what is joined at each stage, what follows from it, what is wrong with it."""

from doorsheet.circuit.checks import run_checks
from doorsheet.circuit.findings import Finding, Severity, render_finding
from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Circuit, Stage, Step
from doorsheet.circuit.steps import stage_names, step_named, steps

__all__ = [
    "Circuit",
    "Finding",
    "Severity",
    "Stage",
    "Step",
    "join",
    "render_finding",
    "run_checks",
    "stage_names",
    "step_named",
    "steps",
]
