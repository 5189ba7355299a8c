"""Numbers and colours of wires, the same at every stage (room: circuit).

A wire is known by the two terminals it joins in the final stage.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from doorsheet.circuit.parts import (
    Stage,
    Wire,
)
from doorsheet.circuit.sides import Run, Side, control_sides
from doorsheet.mapping.model import Mapping
from doorsheet.trade.colours import ASSIGNED_ORDER, WireColour, parse_colour

__all__ = ["Given", "number_wires", "wire_key", "written_numbers"]


@dataclass(slots=True)
class Given:
    """Numbers and colours that wires have already, for those of several drives to keep clear of."""

    written: set[str] = field(default_factory=set)  # numbers that the mapping gives
    numbers: set[str] = field(default_factory=set)  # numbers in use
    colours: dict[str, set[str]] = field(default_factory=dict)  # letters in use, by the cable's name


def written_numbers(mapping: Mapping) -> set[str]:
    """Return the numbers that a mapping of one drive gives to wires."""
    sides = (*control_sides(mapping, Stage.FINAL), *control_sides(mapping, Stage.BENCH))
    return {run.spec.number for side in sides for run in side.runs if run.spec.number}


def wire_key(run: Run) -> tuple[str, ...]:
    """Identify a wire by its ends in the final stage; a bench feed by the terminal that gives it."""
    if run.role == "feed":
        return ("feed", run.far.label)
    return (run.near.block, run.near.label, run.far.label)


def number_wires(final: list[Side], bench: list[Side], taken: Given) -> dict[tuple[str, str], Wire]:
    """Number and colour the wires of all stages together; keyed by control and role.

    Runs with the same ends in the final stage are one wire.
    """
    runs_by_use: dict[tuple[str, str], Run] = {}
    on_bench = {side.part.control: side.runs for side in bench}
    for side in final:
        for run in (*side.runs, *on_bench.get(side.part.control, ())):
            runs_by_use.setdefault((run.control, run.role), run)
    together: dict[tuple[str, ...], list[Run]] = {}
    for run in runs_by_use.values():
        together.setdefault(wire_key(run), []).append(run)
    numbers = _numbers(list(together.values()), taken)
    colours = _colours(list(together.values()), taken.colours)
    wires: dict[tuple[str, str], Wire] = {}
    for runs, number, (colour, given) in zip(together.values(), numbers, colours, strict=True):
        first = runs[0]
        job = first.job if len(runs) == 1 else _shared_job(runs)
        wire = Wire(
            number, colour, given, first.near, first.far, first.control, first.role,
            tuple(run.control for run in runs), job, first.cable,
        )  # fmt: skip
        wires.update({(run.control, run.role): wire for run in runs})
    return wires


def _shared_job(runs: list[Run]) -> str:
    shared = {"common": "return", "feed": "bench feed"}.get(runs[0].role)
    return f"{shared} of {len(runs)} controls" if shared else runs[0].job


def _numbers(groups: list[list[Run]], taken: Given) -> list[str]:
    given = [next((run.spec.number for run in runs if run.spec.number), None) for runs in groups]
    not_free = {*given, *taken.written, *taken.numbers}
    free = (str(count) for count in range(1, 100_000) if str(count) not in not_free)
    out: list[str] = []
    for number in given:
        own = number if number is not None else next(free)
        # a number given twice stays visible as such; the checks make a stop of it
        while own in taken.numbers:
            own = f"{own}(2)"
        taken.numbers.add(own)
        out.append(own)
    return out


def _colours(groups: list[list[Run]], taken: dict[str, set[str]]) -> list[tuple[WireColour, bool]]:
    written = [next((run.spec.colour for run in runs if run.spec.colour), None) for runs in groups]
    given = [parse_colour(text) if text is not None else None for text in written]
    for runs, colour in zip(groups, given, strict=True):
        if colour is not None:
            taken.setdefault(runs[0].cable, set()).add(colour.letters)
    out: list[tuple[WireColour, bool]] = []
    for runs, colour in zip(groups, given, strict=True):
        if colour is not None:
            out.append((colour, True))
            continue
        used = taken.setdefault(runs[0].cable, set())
        left = [choice for choice in ASSIGNED_ORDER if choice.letters not in used]
        # a cable with more cores than colours begins again: the number tells them apart
        chosen = left[0] if left else ASSIGNED_ORDER[len(out) % len(ASSIGNED_ORDER)]
        used.add(chosen.letters)
        out.append((chosen, False))
    return out
