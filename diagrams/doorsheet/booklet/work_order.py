"""The first leaf of a booklet: the work order for the whole changeover (booklet room)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from doorsheet.booklet.chapters import columns_of, narrow
from doorsheet.booklet.grid import Grid, Row, say, tick, write
from doorsheet.booklet.leaf import WIDTH_MM, Chapter, InColumns
from doorsheet.booklet.step_leaf import step_title
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import discharge_of
from doorsheet.job.context import Trials, ends_of
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.warning import warning_box
from doorsheet.trade.lettering import drawn

__all__ = ["CAUTIONS", "titled", "work_order"]

CAUTIONS: Final = (
    "Covers off with the drive live is work for qualified persons only. Do what can be done dead, dead.",
    "The emergency stop is proved before anything else is tried with power, and never goes through the "
    "controller alone.",
    "First runs: motor uncoupled, covers on, maximum frequency low, one hand at the emergency stop.",
    "One control is moved at a time; before the next, the tests of its sheet are done and written down.",
    "A contact between drive and motor is never opened under load unless the drive's manual allows it.",
    "Safe torque off is no isolation: the terminals stay live.",
    "Where a page and the drive's manual or the local code differ, they are right and the page is wrong.",
    "This booklet shows a reduced control schematic. Mains, motor, protection and the drive's other "
    "terminals are elsewhere. It validates no safety function.",
)


def work_order(read: ReadMapping, works: Sequence[Trials], entries: Sequence[tuple[str, int]]) -> Chapter:
    """Return the first leaf: what holds for all the work, its steps to tick off, where everything is.

    `entries` are the booklet's chapters, with the sheet each begins on.
    """
    mapping, at = read.mapping, dict(entries)
    steps: list[Row] = []
    named = [titled(number, of) for number, of in enumerate(works, 1)]
    for title, of in zip(named, works, strict=True):
        words = (say(title, bold=True), say(_work_of(of.circuit, of.before)), say(str(at[title])))
        steps.append((*words, tick(), write()))
    heads = columns_of(("step", 70.0), ("work", 56.0), ("sheet", 13.0), ("done", 13.0), ("date", 22.0))
    others = tuple((say(title), say(str(sheet), bold=True)) for title, sheet in entries if title not in named)
    signed = columns_of(
        ("ordered by", 40.0), ("qualified person in charge", 62.0), ("lock no.", 24.0), ("from", 24.0),
        ("until", 24.0),
    )  # fmt: skip
    return Chapter(
        "Work order",
        (
            warning_box(discharge_of(mapping), WIDTH_MM, several=bool(mapping.drives), sign_mm=16.0),
            Grid(signed, (tuple(write() for _ in signed),)),
            Grid(columns_of(("before anything else", 1.0)), tuple((say(one),) for one in CAUTIONS)),
            Grid(heads, tuple(steps)),
            InColumns(Grid(narrow(("chapter", 70.0), ("sheet", 15.0)), others)),
            f"The mapping {drawn(read.source.name)}, from which all of this was drawn, is in this PDF.",
        ),
    )


def titled(number: int, of: Trials) -> str:
    """Name a step: "Step 2: Run forward: from S1 to the controller"."""
    return f"Step {number}: {step_title(of)}"


def _work_of(circuit: Circuit, before: Circuit | None) -> str:
    """Say in a line which wires a step fits, moves and takes off."""
    stood = {wire.number: ends_of(wire) for wire in before.wires} if before is not None else {}
    here = {wire.number: ends_of(wire) for wire in circuit.wires}
    kinds = (
        ("fit", [number for number in here if number not in stood]),
        ("move", [number for number in here if number in stood and here[number] != stood[number]]),
        ("take off", [number for number in stood if number not in here]),
    )
    said = [f"{kind} wire{'s' * (len(which) > 1)} {', '.join(which)}" for kind, which in kinds if which]
    return "; ".join(said).capitalize() or "No wire moves"
