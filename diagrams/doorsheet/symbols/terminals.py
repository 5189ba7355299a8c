"""Symbols room: terminals with their clamps, and the jumpers between them."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final, Literal

from doorsheet.symbols.base import BRIDGE, CELL, DOT_RADIUS, HOLE, LINK, SYMBOL_SOLID, Box, Symbol

__all__ = ["LinkBracket", "TerminalCell"]


class TerminalCell(Symbol):
    """A terminal: a cell for its label, a small circle for each clamp on the edge at x = 0.

    `holes` are the clamps' rows, the first 0, growing downwards; clamps of one terminal are
    joined by a thick bridge inside the cell.  The cell runs from 3 mm above the first to
    3 mm below the last row, `width` to the right (the drive's) or left (the controller's).
    `label_inset` from the edge is clear of clamps and bridge.  Anchors: hole1, hole2 ...
    and back (on the far edge, at the first row).
    """

    HOLE_RADIUS: Final = 1.1
    HALF_HEIGHT: Final = 3.0
    label_inset: Final = 3.2

    def __init__(
        self,
        width: float,
        holes: tuple[float, ...] = (0.0,),
        side: Literal["left", "right"] = "right",
        *,
        origin: str = "",
    ) -> None:
        super().__init__(origin)
        if not holes or holes[0] != 0 or any(b > a - 2.5 for a, b in pairwise(holes)):
            raise ValueError(f"clamps start at row 0 and go down by 2.5 mm or more each: {holes}")
        if not (math.isfinite(width) and width > self.label_inset):
            raise ValueError(f"a terminal's cell is wider than {self.label_inset} mm, not {width!r}")
        outward = 1.0 if side == "right" else -1.0
        far = outward * width
        top, bottom = self.HALF_HEIGHT, holes[-1] - self.HALF_HEIGHT
        self.frame(min(0.0, far), bottom, max(0.0, far), top, CELL)
        if len(holes) > 1:
            self._bridge(holes, outward * 2.0)
        for place, row in enumerate(holes, start=1):
            self.circle((0.0, row), self.HOLE_RADIUS, HOLE)
            self.anchors[f"hole{place}"] = (0.0, row)
        self.anchors["back"] = (far, 0.0)
        reach = outward * -self.HOLE_RADIUS
        self.box = Box(min(far, reach), bottom, max(far, reach), top)

    def _bridge(self, holes: tuple[float, ...], column: float) -> None:
        last = holes[-1]
        self.lead((0.0, 0.0), (column, 0.0), (column, last), (0.0, last), role=BRIDGE)
        for row in holes[1:-1]:
            self.lead((0.0, row), (column, row), role=BRIDGE)


class LinkBracket(Symbol):
    """A jumper between two terminals: a thick bracket open to the left, a dot on each end.

    Ends at (0, 0) and (0, -`span`), `depth` to the right.  Anchors: top, bottom, middle.
    """

    def __init__(self, span: float, depth: float = 4.0, *, origin: str = "") -> None:
        super().__init__(origin)
        if not (span > 0 and depth > 0):
            raise ValueError(f"a link has a span and a depth, not {span!r} and {depth!r}")
        self.lead((0.0, 0.0), (depth, 0.0), (depth, -span), (0.0, -span), role=LINK)
        for row in (0.0, -span):
            self.circle((0.0, row), DOT_RADIUS, SYMBOL_SOLID)
        self.box = Box(-DOT_RADIUS, -span - DOT_RADIUS, depth, DOT_RADIUS)
        self.anchors.update(top=(0.0, 0.0), bottom=(0.0, -span), middle=(depth, -span / 2))
