"""The drawn sheets of a booklet: the door sheet, and one for each stage (booklet room)."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from doorsheet.booklet.facts import given
from doorsheet.booklet.leaf import FILING_MM
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Circuit
from doorsheet.layout.arrange import arrange
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import Stop
from doorsheet.page.boxes import shifted
from doorsheet.page.compose import PaperError, compose, stands_whole
from doorsheet.page.display import Page
from doorsheet.page.finish import finished_page
from doorsheet.page.fit import MARGIN_MM, Binding
from doorsheet.trade.language import tr
from doorsheet.trade.paper import A4, Paper

__all__ = ["cropped", "door_sheet", "lowest_sheet", "stage_sheet"]

_FILED_MM: Final = FILING_MM - MARGIN_MM
_STEP_MM: Final = 5.0


def stage_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw a stage's sheet on A4 upright with a margin to file it; where that has no room, as it fits."""
    arranged, binding = arrange(circuit, mapping), Binding(first, sheets)
    upright = A4.portrait()
    narrow = Paper(upright.name, upright.width_mm - _FILED_MM, upright.height_mm)
    try:
        filed = compose(arranged, mapping, findings, narrow, binding)
    except PaperError:
        return compose(arranged, mapping, findings, None, binding)
    if len(filed) > 1:
        plain = compose(arranged, mapping, findings, None, binding)
        if len(plain) < len(filed):
            return plain
    return tuple(
        replace(page, width=page.width + _FILED_MM, items=shifted(page.items, _FILED_MM, 0.0))
        for page in filed
    )


def lowest_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], size: tuple[float, float],
    binding: Binding, crop_mm: float = MARGIN_MM,
) -> Page | None:  # fmt: skip
    """Draw a sheet as wide as `size` and as low as it can be, its margins cut off; None where it is too high.

    `size` is width and greatest height, mm.
    """
    width, tallest = size
    arranged, stands = arrange(circuit, mapping), None
    low, high = 1, int(tallest / _STEP_MM)
    while low <= high:
        middle = high if stands is None else (low + high) // 2
        paper = Paper("what is left", width + 2 * crop_mm, middle * _STEP_MM + 2 * crop_mm)
        lower = stands_whole(arranged, mapping, findings, paper, binding)
        if lower is not None:
            high, stands = middle - 1, lower
        elif stands is None:
            return None
        else:
            low = middle + 1
    return cropped(finished_page(*stands), crop_mm) if stands is not None else None


def cropped(page: Page, crop_mm: float) -> Page:
    """Return a page without its margins."""
    width, height = page.width - 2 * crop_mm, page.height - 2 * crop_mm
    return replace(page, width=width, height=height, items=shifted(page.items, -crop_mm, -crop_mm))


def door_sheet(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], first: int, sheets: int
) -> tuple[Page, ...]:
    """Draw the final sheet with what a stranger asks for: how it stops, whom to call, where the rest is."""
    stop, sheet = mapping.stop or Stop.model_construct(), mapping.sheet
    lines = (
        tr(
            "Emergency stop acts on: {device}, stop category {category}.",
            device=given(stop.hardware) or "________________", category=given(stop.category) or "____",
        ),
        tr("Contact: ________________. The booklet is kept: ________________."),
    )  # fmt: skip
    noted = sheet.model_copy(update={"notes": (*sheet.notes, *lines)})
    with_lines = stage_sheet(circuit, mapping.model_copy(update={"sheet": noted}), findings, first, sheets)
    plain = stage_sheet(circuit, mapping, findings, first, sheets)
    return with_lines if len(with_lines) == len(plain) else plain
