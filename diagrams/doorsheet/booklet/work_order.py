"""The first leaf of a booklet: the work order for the whole changeover."""

from collections.abc import Sequence
from typing import Final

from doorsheet.booklet.chapters import columns_of, narrow
from doorsheet.booklet.grid import TICK, Cell, Grid, Row, write
from doorsheet.booklet.leaf import WIDTH_MM, Chapter, InColumns
from doorsheet.booklet.steps import Step
from doorsheet.circuit.units import discharge_of
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.warning import warning_box
from doorsheet.trade.language import counted, tr, tr_later
from doorsheet.trade.lettering import drawn

__all__ = ["CAUTIONS", "titled", "work_order"]

CAUTIONS: Final = (
    tr_later(
        "Covers off with the drive live is work for qualified persons only. Do what can be done dead, dead."
    ),
    tr_later(
        "The emergency stop is proved before anything else is tried with power, and never goes "
        "through the controller alone."
    ),
    tr_later(
        "First runs: motor uncoupled, covers on, maximum frequency low, one hand at the emergency stop."
    ),
    tr_later(
        "One control is moved at a time; before the next, the tests of its sheet are done and written down."
    ),
    tr_later(
        "A contact between drive and motor is never opened under load unless the drive's manual allows it."
    ),
    tr_later("Safe torque off is no isolation: the terminals stay live."),
    tr_later(
        "Where a page and the drive's manual or the local code differ, they are right and the page is wrong."
    ),
    tr_later(
        "This booklet shows a reduced control schematic. Mains, motor, protection and the drive's "
        "other terminals are elsewhere. It validates no safety function."
    ),
)


def work_order(read: ReadMapping, of_job: Sequence[Step], entries: Sequence[tuple[str, int]]) -> Chapter:
    """Return the first leaf: what holds for all the work, its steps to tick off, where everything is.

    `entries` are the booklet's chapters, with the sheet each begins on.
    """
    mapping, sheets = read.mapping, dict(entries)
    steps: list[Row] = []
    named = [titled(number, step) for number, step in enumerate(of_job, 1)]
    for title, step in zip(named, of_job, strict=True):
        words = (Cell(title, bold=True), Cell(_work_of(step)), Cell(str(sheets[title])))
        steps.append((*words, TICK, write()))
    heads = columns_of(
        (tr("step"), 70.0), (tr("work"), 56.0), (tr("sheet"), 13.0), (tr("done"), 13.0), (tr("date"), 22.0)
    )
    others = tuple((Cell(name), Cell(str(at), bold=True)) for name, at in entries if name not in named)
    signed = columns_of(
        (tr("ordered by"), 40.0), (tr("qualified person in charge"), 62.0),
        (tr("lock no."), 24.0), (tr("from"), 24.0), (tr("until"), 24.0),
    )  # fmt: skip
    return Chapter(
        tr("Work order"),
        (
            warning_box(discharge_of(mapping), WIDTH_MM, several=bool(mapping.drives), sign_mm=16.0),
            Grid(signed, (tuple(write() for _ in signed),)),
            Grid(columns_of((tr("before anything else"), 1.0)), tuple((Cell(tr(one)),) for one in CAUTIONS)),
            Grid(heads, tuple(steps)),
            InColumns(Grid(narrow((tr("chapter"), 70.0), (tr("sheet"), 15.0)), others)),
            tr(
                "The mapping {source}, from which all of this was drawn, is in this PDF.",
                source=drawn(read.source.name),
            ),
        ),
    )


def titled(number: int, step: Step) -> str:
    """Name a step: "Step 2: Run forward: from S1 to the controller"."""
    return tr("Step {number}: {title}", number=number, title=step.title())


def _work_of(step: Step) -> str:
    if step.goes_on:
        return tr("Read, then try")
    new = [one.wire.number for one in step.of.moved if one.was is None]
    moved = [one.wire.number for one in step.of.moved if one.was and one.now]
    gone = [one.wire.number for one in step.of.moved if one.now is None]
    said = (
        counted("fit wire {wires}", "fit wires {wires}", len(new), wires=", ".join(new)) if new else "",
        counted("move wire {wires}", "move wires {wires}", len(moved), wires=", ".join(moved))
        if moved
        else "",
        counted("take off wire {wires}", "take off wires {wires}", len(gone), wires=", ".join(gone))
        if gone
        else "",
    )
    return "; ".join(filter(None, said)).capitalize() or tr("No wire moves")
