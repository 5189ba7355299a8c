"""Cells with their clamps, of terminals and of parts in a wire's way; jumpers between them."""

import math
from typing import Final, Literal

from doorsheet.symbols.base import CELL, HOLE, LINK, LINK_BAR, SYMBOL_THICK, Symbol

__all__ = ["InLine", "InLineKind", "LinkBar", "LinkBracket", "Slot", "TerminalCell"]


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
        self.anchors.update(first=(0.0, 0.0), last=(0.0, -span))


class TerminalCell(Symbol):
    """A terminal: a cell for its label, and on the edge at x = 0 the one slot that its wires enter.

    The slot is a small circle; with several wires, the first at y = 0 and the last `span` below, it
    stretches to a pill: one terminal is one outline.  The cell runs `margins` above the first and below
    the last wire, `width` to the right (the drive's) or left (the controller's).
    Anchors: first, last and back (on the far edge, at the first row).
    """

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
        if not (math.isfinite(width) and width > _RADIUS and span >= 0):
            raise ValueError(f"a terminal's cell has room for its slot, not {width!r} by {span!r}")
        far = width if side == "right" else -width
        top, bottom = margins[0], -span - margins[1]
        self.frame(min(0.0, far), bottom, max(0.0, far), top, CELL)
        _slot(self, span)
        self.anchors.update(first=(0.0, 0.0), last=(0.0, -span), back=(far, 0.0))


class LinkBar(Symbol):
    """A link between neighbouring terminals: a solid bar from slot to slot, at x = 0 and down by `span`.

    Anchors: top, bottom.
    """

    HALF_WIDTH: Final = 1.0

    def __init__(self, span: float, *, origin: str = "") -> None:
        super().__init__(origin)
        if not span > 0:
            raise ValueError(f"a link has a span, not {span!r}")
        half, slot = self.HALF_WIDTH, _RADIUS - 0.1
        self.frame(-half, slot - span, half, -slot, LINK_BAR)
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
            self.dot((0.0, row))
        self.anchors.update(top=(0.0, 0.0), bottom=(0.0, -span), middle=(depth, -span / 2))


InLineKind = Literal["open", "closed", "stop", "resistor", "converter", "end"] | None

_HALF: Final = 2.4
_CLAMP: Final = 1.1


class InLine(Symbol):
    """A cell from x = 0 to `width` about y = 0, a clamp on either edge, its symbol from x = `symbol` on.

    A contact, drawn without current in the coil, has its pivot left (IEC 60617 07-02-01 and 07-02-03 turned,
    from memory), two dots where nobody knows which, a mushroom head where it is the emergency stop's
    (02-13-08, from memory); a resistor is a box (04-01-01, from memory); what converts, an arrow.  Where a
    wire ends, it has no symbol and its left clamp alone.
    Anchors: one, two.
    """

    def __init__(self, width: float, symbol: float, kind: InLineKind, *, origin: str = "") -> None:
        super().__init__(origin)
        self.frame(0.0, -_HALF, width, _HALF, CELL)
        for edge in (0.0,) if kind == "end" else (0.0, width):
            self.circle((edge, 0.0), _CLAMP, HOLE)
        self.anchors.update(one=(0.0, 0.0), two=(width, 0.0))
        first, pivot, fixed, last = symbol, symbol + 1.2, symbol + 4.8, symbol + 6.0
        if kind == "resistor":
            self.lead((first, 0.0), (last, 0.0))
            self.frame(first + 0.6, -0.9, last - 0.6, 0.9)
        elif kind == "converter":
            self.arrow((first, 0.0), (last, 0.0))
        elif kind != "end":
            self.lead((first, 0.0), (pivot, 0.0))
            self.lead((fixed, 0.0), (last, 0.0))
            if kind is None:
                self.dot((pivot, 0.0))
                self.dot((fixed, 0.0))
                return
            rise = (fixed - pivot) * math.tan(math.radians(28 if kind == "open" else 22))
            beyond = 0.95 if kind == "open" else 1.16
            self.stroke(((pivot, 0.0), (pivot + (fixed - pivot) * beyond, rise * beyond)), SYMBOL_THICK)
            if kind != "open":
                self.stroke(((fixed, 0.0), (fixed, rise + 0.4)))
            if kind == "stop":
                middle = (pivot + fixed) / 2
                self.mushroom((middle, -0.9), (middle, rise / 2), 1.1)
