"""The drawn sheets of a booklet: the door sheet, and one for each stage (booklet room)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from doorsheet.booklet.facts import given
from doorsheet.booklet.leaf import FILING_MM
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import alone
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import shifted
from doorsheet.page.compose import PaperError, compose
from doorsheet.page.display import Page
from doorsheet.page.fit import MARGIN_MM, Binding
from doorsheet.trade.paper import A4, Paper

__all__ = ["door_sheet", "stage_sheet", "step_sheet"]

_FILED_MM = FILING_MM - MARGIN_MM


def stage_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw a stage's sheet on A4, with a margin to file it where it fits; several pages or A3 if need be."""
    binding = Binding(first, sheets)
    plain = compose(circuit, mapping, findings, None, binding)
    lying = A4.landscape()
    try:
        narrow = Paper(lying.name, lying.width_mm - _FILED_MM, lying.height_mm)
        filed = compose(circuit, mapping, findings, narrow, binding)
    except PaperError:
        return plain
    if len(filed) > len(plain):
        return plain
    return tuple(
        replace(page, width=page.width + _FILED_MM, items=shifted(page.items, _FILED_MM, 0.0))
        for page in filed
    )


def step_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw the sheet of a stage: of several drives only the one at work, where no other changes."""
    drive = circuit.step.drive
    if not drive or circuit.drives_moved != {drive}:
        return stage_sheet(circuit, mapping, findings, first, sheets)
    noted = _noted(mapping, f"Only {drive} is drawn: the other drives stand as at the stage before.")
    own = [finding for finding in findings if finding.concerns(drive)]
    return stage_sheet(alone(circuit, drive), noted, own, first, sheets)


def _noted(mapping: Mapping, *lines: str) -> Mapping:
    """Return a mapping with more notes on its sheets."""
    notes = (*mapping.sheet.notes, *lines)
    return mapping.model_copy(update={"sheet": mapping.sheet.model_copy(update={"notes": notes})})


def door_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw the final sheet with what a stranger asks for: how it stops, whom to call, where the rest is."""
    stop = mapping.stop
    category = given(stop.category) if stop is not None else None
    hardware = given(stop.hardware) if stop is not None else None
    lines = (
        f"Emergency stop acts on: {hardware or '________________'}, stop category {category or '____'}.",
        "Contact: ________________. The booklet is kept: ________________.",
    )
    with_lines = stage_sheet(circuit, _noted(mapping, *lines), findings, first, sheets)
    plain = stage_sheet(circuit, mapping, findings, first, sheets)
    return with_lines if len(with_lines) == len(plain) else plain
