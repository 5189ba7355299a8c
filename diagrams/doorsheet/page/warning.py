"""The warning box, which every sheet carries.

The sign follows ISO 7010 W012 (yellow triangle with rounded corners and a
black edge, black flash pointing down); its proportions are ours.
"""

import math
from functools import lru_cache
from typing import Final

from doorsheet.job.cautions import wait_words
from doorsheet.page.boxes import Block, paragraph, rectangle, shifted
from doorsheet.page.display import Area, Group, Item, Point, Role
from doorsheet.trade.language import tr, tr_later

__all__ = ["shock_sign", "warning_box"]

HEADING: Final = tr_later("WARNING: electric shock can kill")
_FROM_LABELS: Final = (
    tr_later("{blank} (copy the time from the drive's label)"),
    tr_later("{blank} (copy the longest time from the drives' labels)"),
)

_PAD_MM: Final = 3.0
_SIGN_MM: Final = 21.0
_GAP_MM: Final = 2.3
_EDGE_MM: Final = 2.4
_CORNER_STEPS: Final = 6


def warning_box(
    discharge: str | None, width: float, *, several: bool = False, sign_mm: float = _SIGN_MM
) -> Block:
    """Return the warning box; an unknown discharge time is a blank, never a figure of ours.

    With `several` drives the time is that of each, and the blank is for the longest of them.
    """
    law = tr(
        "Covers off is live work, for qualified persons only. Follow the drive's manual "
        "and the local code; if unsure, ask a qualified person."
    )
    wait = tr(
        "A lethal voltage stays after switch-off. Lock off, wait {wait}, prove dead, then touch.",
        wait=wait_words(discharge, several, _FROM_LABELS),
    )
    return _box((tr(HEADING), wait, law), width, sign_mm)


@lru_cache(64)  # the same on every sheet of an installation
def _box(said: tuple[str, str, str], width: float, sign_mm: float) -> Block:
    heading, wait, law = said
    text_x = _PAD_MM + sign_mm + _PAD_MM
    room = width - text_x - _PAD_MM
    texts = (paragraph(heading, room, 3.5, bold=True), paragraph(wait, room, bold=True), paragraph(law, room))
    items: list[Item] = []
    y = _EDGE_MM
    for block in texts:
        items += shifted(block.items, text_x, y)
        y += block.height + _GAP_MM
    sign_height = sign_mm * math.sqrt(3) / 2
    height = max(y - _GAP_MM + _EDGE_MM + 0.6, sign_height + 2 * _PAD_MM)
    sign = shifted(shock_sign(sign_mm), _PAD_MM, (height - sign_height) / 2)
    box = rectangle(0.0, 0.0, width, height, Role.WARNING_BOX)
    group = Group("warning", (box, *sign, *items), tr("warning: electric shock"))
    return Block((group,), width, height)


def shock_sign(side: float) -> tuple[Area, ...]:
    """Return the electric-shock sign in a box `side` wide, apex up, from (0, 0)."""
    triangle = _rounded_triangle(side, 0.08 * side)
    # a zig-zag of two limbs that ends in an arrow head pointing down, in shares of the side
    flash = (
        (0.500, 0.215), (0.585, 0.215), (0.525, 0.405), (0.610, 0.385), (0.535, 0.590), (0.590, 0.572),
        (0.487, 0.760), (0.425, 0.560), (0.474, 0.583), (0.505, 0.470), (0.415, 0.492),
    )  # fmt: skip
    return (
        Area(triangle, Role.SIGN_YELLOW),
        Area(tuple(Point(x * side, y * side) for x, y in flash), Role.SIGN_BLACK),
    )


def _rounded_triangle(side: float, radius: float) -> tuple[Point, ...]:
    """Return an equilateral triangle, apex up, whose corners are arcs of `radius`."""
    height = side * math.sqrt(3) / 2
    centroid = (side / 2, height * 2 / 3)
    reach = 2 * height / 3 - 2 * radius  # from the centroid to the centres of the arcs
    points: list[Point] = []
    for corner in range(3):
        outward = math.radians(-90 + 120 * corner)
        cx = centroid[0] + reach * math.cos(outward)
        cy = centroid[1] + reach * math.sin(outward)
        for step in range(_CORNER_STEPS + 1):
            angle = outward + math.radians(-60 + 120 * step / _CORNER_STEPS)
            points.append(Point(cx + radius * math.cos(angle), cy + radius * math.sin(angle)))
    return tuple(points)
