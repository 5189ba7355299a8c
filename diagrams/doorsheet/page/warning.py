"""The warning box, which every sheet carries (page room).

The sign follows ISO 7010 W012 (yellow triangle with rounded corners and a
black edge, black flash pointing down); its proportions are ours.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

from doorsheet.page.boxes import Block, paragraph, rectangle, shifted
from doorsheet.page.display import Area, Group, Item, Point, Role

__all__ = ["shock_sign", "warning_box"]

HEADING: Final = "WARNING: electric shock can kill"
BLANK: Final = "__________"

_PAD_MM: Final = 3.0
_SIGN_MM: Final = 21.0
_CORNER_STEPS: Final = 6


@lru_cache(64)  # the same on every sheet of an installation
def warning_box(
    discharge: str | None,
    width: float,
    *,
    several: bool = False,
    sign_mm: float = _SIGN_MM,
    gap_mm: float = 2.3,
    edge_mm: float = 2.4,
) -> Block:
    """Return the warning box; an unknown discharge time is a blank, never a figure of ours.

    With `several` drives the time is that of each, and the blank is for the longest of them.
    """
    text_x = _PAD_MM + sign_mm + _PAD_MM
    room = width - text_x - _PAD_MM
    label = "longest time from the drives' labels" if several else "time from the drive's label"
    wait = discharge if discharge is not None else f"{BLANK} (copy the {label})"
    whose = "these drives" if several else "this drive"
    given = f" (as given for {whose})" if discharge is not None else ""
    texts = (
        paragraph(HEADING, room, 3.5, bold=True),
        paragraph(
            f"A lethal voltage stays after switch-off. Lock off, wait {wait}{given}, prove dead, then touch.",
            room,
            bold=True,
        ),
        paragraph(
            "Covers off is live work, for qualified persons only. Follow the drive's manual "
            "and the local code; if unsure, ask a qualified person.",
            room,
        ),
    )
    items: list[Item] = []
    y = edge_mm
    for block in texts:
        items += shifted(block.items, text_x, y)
        y += block.height + gap_mm
    sign_height = sign_mm * math.sqrt(3) / 2
    height = max(y - gap_mm + edge_mm + 0.6, sign_height + 2 * _PAD_MM)
    sign = shifted(shock_sign(sign_mm), _PAD_MM, (height - sign_height) / 2)
    box = rectangle(0.0, 0.0, width, height, Role.WARNING_BOX)
    group = Group("warning", (box, *sign, *items), "warning: electric shock")
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
