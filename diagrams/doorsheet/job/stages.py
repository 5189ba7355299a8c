"""The circuits of a machine's stages, from the bench to the end (job room)."""

from collections.abc import Iterator

from doorsheet.circuit import steps
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.circuit.sides import words
from doorsheet.electrics import Solved, solve
from doorsheet.layout.rails import numbered
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.language import tr

__all__ = ["each_stage", "stage_heading", "stage_title"]


def each_stage(read: ReadMapping) -> Iterator[Solved]:
    """Yield every stage, solved, in the order of the work."""
    # joining says so when there is no control at all
    for step in steps(read.mapping) or ("final",):
        solved = solve(read, step)
        solved.circuit = numbered(solved.circuit, read)
        yield solved


def stage_title(circuit: Circuit) -> str:
    """Name a stage: "bench stage", "run forward stage", of several drives "pump-1 run forward stage"."""
    step = circuit.step
    match step.name:
        case "bench":
            return tr("bench stage")
        case "final":
            return tr("final stage")
        case name:
            return of_drive(step.drive, tr("{control} stage", control=words(name)))


def stage_heading(circuit: Circuit) -> str:
    """Name a stage at the head of something; a drive's name stays as it is written."""
    title = stage_title(circuit)
    return title if circuit.step.drive else f"{title[:1].upper()}{title[1:]}"
