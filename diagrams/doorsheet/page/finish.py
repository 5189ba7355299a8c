"""A laid-out sheet put on its page, in millimetres (page room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.parts import Circuit
from doorsheet.layout.plan import GRID_MM, Crossings
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import rectangle
from doorsheet.page.display import Group, Item, Page, Point, Role, Stroke, Text
from doorsheet.page.fit import MARGIN_MM, Fitted, board_words, titles_of, usable
from doorsheet.page.panels import extra_words, stage_words
from doorsheet.page.schematic import draw_schematic
from doorsheet.trade.lettering import CAP_TERMINAL, CAP_TITLE, text_width

__all__ = ["finished_page"]

STOP_WORDS: Final = "STOP: do not connect"


def finished_page(mapping: Mapping, fitted: Fitted, stopped: bool) -> Page:
    """Return the page of a sheet that fits; `stopped` marks it across."""
    circuit, manner = fitted.circuit, fitted.manner
    paper, plan, blocks = fitted.paper, fitted.plan, fitted.blocks
    top = MARGIN_MM + manner.inner_mm
    width = usable(paper, manner)
    left = (paper.width_mm - width) / 2
    bottom = paper.height_mm - top
    margins = fitted.margins
    needed = (margins.top + plan.rows + margins.bottom) * GRID_MM
    area_top = top + blocks.head + manner.gap_mm
    # rounded, so that rows keep exact distances
    row0 = round(area_top + (fitted.room - needed) / 2 + margins.top * GRID_MM, 1)
    frame = rectangle(
        MARGIN_MM,
        MARGIN_MM,
        paper.width_mm - 2 * MARGIN_MM,
        paper.height_mm - 2 * MARGIN_MM,
        Role.SHEET_FRAME,
    )
    box = (left, row0 - margins.top * GRID_MM, width, needed)
    items: list[Item] = [frame]
    items += blocks.above(left, top)
    titles, said = titles_of(circuit, manner), board_words(mapping, manner)
    items += draw_schematic(circuit, plan, left, row0, text_width, margins, titles, said)
    items += blocks.below(left, bottom)
    if stopped:
        columns = plan.columns
        items += _stop_mark(box, (left + columns.near * GRID_MM, left + columns.far * GRID_MM))
    return Page(
        width=paper.width_mm,
        height=paper.height_mm,
        items=tuple(items),
        title=f"{mapping.machine}: drive control wiring, {stage_words(circuit)}",
        description=_described(circuit, plan.crossings),
        source_name=circuit.source.name,
        source_text=circuit.source.text,
        crossings=plan.crossings,
    )


def _stop_mark(box: tuple[float, float, float, float], channel: tuple[float, float]) -> Iterator[Item]:
    """Yield the mark across a sheet that must not be used: both diagonals, and words that hide nothing.

    `box` is the schematic's x, y, width, height; the words stand over the `channel`'s x range,
    on the line where the frames begin, above the first wire.
    """
    x, y, width, height = box
    diagonals = (
        Stroke((Point(x, y), Point(x + width, y + height)), Role.STOP_MARK),
        Stroke((Point(x, y + height), Point(x + width, y)), Role.STOP_MARK),
    )
    wide, cap, high = text_width(STOP_WORDS, CAP_TITLE, True), CAP_TITLE, 7.2
    if wide + cap > channel[1] - channel[0]:  # over a narrow channel it would hide the devices' titles
        wide, cap, high = text_width(STOP_WORDS, CAP_TERMINAL, True), CAP_TERMINAL, 6.2
    middle = (channel[0] + channel[1]) / 2
    bottom = y + 4.5  # clear of the first wire's reading
    plate = rectangle(middle - (wide + cap) / 2, bottom - high, wide + cap, high, Role.STOP_MARK)
    baseline = bottom - (high - cap) / 2
    words = Text(middle, baseline, STOP_WORDS, cap, wide, "middle", True, Role.TEXT_STOP)
    yield Group("stop-mark", (*diagonals, plate, words), "do not connect: see the findings")


def _described(circuit: Circuit, crossings: Crossings) -> str:
    wires = "; ".join(
        f"wire {wire.number} {wire.colour.letters} from {wire.near.full} to {wire.far.full}"
        f"{circuit.through(wire.number)}, {wire.job}"
        for wire in circuit.wires
    )
    accepted = f" {extra_words(crossings.extra)}" if crossings.extra else ""
    return f"Reduced control schematic. {wires}.{accepted}"
