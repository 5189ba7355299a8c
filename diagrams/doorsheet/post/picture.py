"""The picture of a post: the sheet without its title block, sized for a screen.

1600 pixels wide, which forum engines show whole.  The page is as narrow as the drawing lets it be, since
a narrow page has large letters: 21 pixels for the smallest capitals where it can, 16 at the least.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Circuit
from doorsheet.layout.arrange import arrange
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import shifted
from doorsheet.page.compose import PaperError, compose, stands_whole
from doorsheet.page.display import Page
from doorsheet.page.finish import finished_page
from doorsheet.page.fit import MARGIN_MM, Binding
from doorsheet.trade.paper import MM_PER_INCH, Paper

__all__ = ["LARGEST_BYTES", "SMALLEST_CAP_PX", "WIDTH_PX", "Picture", "pictures"]

WIDTH_PX: Final = 1600
SMALLEST_CAP_PX: Final = 16
LARGEST_BYTES: Final = 500_000

_DPIS: Final = (216, 200, 190, 180, 172, 165)
"""Dots per inch, the largest letters first: at 165, capitals of 2.5 mm are 16.2 pixels high."""

_CROP_MM: Final = MARGIN_MM - 2.0  # a screen needs no margin
_BARE: Final = Binding(title_block=False)
_STEP_MM: Final = 5.0
_TALLEST: Final = 1.3  # of the width; a taller picture is scrolled


class Picture(NamedTuple):
    """A page, and the resolution at which it is `WIDTH_PX` wide."""

    page: Page
    dpi: int


def pictures(circuit: Circuit, mapping: Mapping, findings: Sequence[Finding]) -> tuple[Picture, ...]:
    """Draw a circuit for a post; as several pictures when one can't hold it.

    Words that stand in the text twin too give way to large letters, step by step; where even that
    isn't enough, the picture grows wider than `WIDTH_PX` rather than its letters smaller.

    Raises PaperError when a single part does not fit on any picture.
    """
    for circuit_, mapping_ in _shorter(circuit, mapping):
        for dpi in _DPIS:
            one = _lowest(circuit_, mapping_, findings, WIDTH_PX * MM_PER_INCH / dpi)
            if one is not None:
                return (Picture(one, dpi),)
    arranged = arrange(circuit_, mapping_)
    for share in (1.0, 1.15, 1.3):
        width = share * WIDTH_PX * MM_PER_INCH / _DPIS[-1]
        paper = Paper("a picture", width + 2 * _CROP_MM, _TALLEST * width + 2 * _CROP_MM)
        try:
            pages = compose(arranged, mapping_, findings, paper, _BARE)
        except PaperError:
            continue
        return tuple(Picture(_cropped(page), _DPIS[-1]) for page in pages)
    raise PaperError("a part does not fit on a picture: shorten the longest names and labels")


def _lowest(circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], width: float) -> Page | None:
    """Draw a sheet so wide, mm, and as low as it can be, its margins cut off; None where it is too high."""
    arranged, stands = arrange(circuit, mapping), None
    low, high = 1, int(_TALLEST * width / _STEP_MM)
    while low <= high:
        middle = high if stands is None else (low + high) // 2
        paper = Paper("what is left", width + 2 * _CROP_MM, middle * _STEP_MM + 2 * _CROP_MM)
        lower = stands_whole(arranged, mapping, findings, paper, _BARE)
        if lower is not None:
            high, stands = middle - 1, lower
        elif stands is None:
            return None
        else:
            low = middle + 1
    return _cropped(finished_page(*stands)) if stands is not None else None


def _cropped(page: Page) -> Page:
    width, height = page.width - 2 * _CROP_MM, page.height - 2 * _CROP_MM
    return replace(page, width=width, height=height, items=shifted(page.items, -_CROP_MM, -_CROP_MM))


def _shorter(circuit: Circuit, mapping: Mapping) -> Iterator[tuple[Circuit, Mapping]]:
    """Yield what is drawn: everything; half of each reading; no selectors, no drains; no readings."""
    yield circuit, mapping
    # what tells most: a switch's open reading, a signal's at full speed
    halves = (
        [value for value in one.values if value.state in ("open", "full", "high")] for one in circuit.readings
    )
    each = zip(circuit.readings, halves, strict=True)
    circuit = replace(circuit, readings=tuple(one._replace(values=tuple(half)) for one, half in each))
    yield circuit, mapping
    screens = tuple(one._replace(terminal="") for one in circuit.screens)
    bare = {"selectors": (), "manual": None, "serial": None}
    drives = mapping.drives and {name: one.model_copy(update=bare) for name, one in mapping.drives.items()}
    mapping = mapping.model_copy(update={"drive": mapping.drive.model_copy(update=bare), "drives": drives})
    yield replace(circuit, screens=screens), mapping
