"""Symbols room: terminals with their clamps, and the jumpers between them."""

import math
from typing import Final, Literal

from doorsheet.symbols.base import CELL, DOT_RADIUS, HOLE, LINK, LINK_BAR, SYMBOL_SOLID, Box, Symbol

__all__ = ["LinkBar", "LinkBracket", "Slot", "TerminalCell"]


_ARC_STEPS: Final = 12
_RADIUS: Final = 1.5


def _slot(symbol: Symbol, span: float) -> None:
    """Draw a circle, or one drawn apart: two half circles, and straight sides between them."""
    if not span:
        symbol.circle((0.0, 0.0), _RADIUS, HOLE)
        return
    arc = [math.pi * step / _ARC_STEPS for step in range(_ARC_STEPS + 1)]
    upper = [(_RADIUS * math.cos(angle), _RADIUS * math.sin(angle)) for angle in arc]
    symbol.solid([*upper, *((-x, -span - y) for x, y in upper)], HOLE)


class Slot(Symbol):
    """A second slot of a terminal, on the far edge of its cell: x = 0, from y = 0 down by `span`.

    Anchors: first, last.
    """

    def __init__(self, span: float = 0.0, *, origin: str = "") -> None:
        super().__init__(origin)
        if not (math.isfinite(span) and span >= 0):
            raise ValueError(f"a slot has a span, not {span!r}")
        _slot(self, span)
        r = _RADIUS
        self.box = Box(-r, -span - r, r, r)
        self.anchors.update(first=(0.0, 0.0), last=(0.0, -span))


class TerminalCell(Symbol):
    """A terminal: a cell for its label, and on the edge at x = 0 the one slot that its wires enter.

    The slot is a small circle; with several wires, the first at y = 0 and the last `span` below, it
    stretches to a pill: one terminal is one outline.  The cell runs `margins` above the first and below
    the last wire, `width` to the right (the drive's) or left (the controller's).
    Anchors: first, last and back (on the far edge, at the first row).
    """

    HOLE_RADIUS: Final = _RADIUS

    def __init__(
        self,
        width: float,
        span: float = 0.0,
        margins: tuple[float, float] = (3.0, 3.0),
        side: Literal["left", "right"] = "right",
        *,
        origin: str = "",
    ) -> None:
        super().__init__(origin)
        if not (math.isfinite(width) and width > self.HOLE_RADIUS and span >= 0):
            raise ValueError(f"a terminal's cell has room for its slot, not {width!r} by {span!r}")
        outward = 1.0 if side == "right" else -1.0
        far = outward * width
        top, bottom = margins[0], -span - margins[1]
        self.frame(min(0.0, far), bottom, max(0.0, far), top, CELL)
        _slot(self, span)
        self.anchors.update(first=(0.0, 0.0), last=(0.0, -span), back=(far, 0.0))
        reach = outward * -self.HOLE_RADIUS
        self.box = Box(min(far, reach), bottom, max(far, reach), top)


class LinkBar(Symbol):
    """A link between neighbouring terminals: a solid bar from slot to slot, at x = 0 and down by `span`.

    Anchors: top, bottom.
    """

    HALF_WIDTH: Final = 1.0

    def __init__(self, span: float, *, origin: str = "") -> None:
        super().__init__(origin)
        if not span > 0:
            raise ValueError(f"a link has a span, not {span!r}")
        half, slot = self.HALF_WIDTH, TerminalCell.HOLE_RADIUS - 0.1
        self.frame(-half, slot - span, half, -slot, LINK_BAR)
        self.box = Box(-half, slot - span, half, -slot)
        self.anchors.update(top=(0.0, 0.0), bottom=(0.0, -span))


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
