"""Symbols room: parts in the way of a wire, each a cell that the wire enters left and leaves right."""

import math
from typing import Final, Literal

from doorsheet.symbols.base import CELL, HOLE, SYMBOL_THICK, Box, Symbol

__all__ = ["InLine", "InLineKind"]

InLineKind = Literal["open", "closed", "resistor", "converter"]

_HALF: Final = 2.4
_CLAMP: Final = 1.1


class InLine(Symbol):
    """A cell from x = 0 to `width` about y = 0, a clamp on either edge, its symbol from x = `symbol` on.

    A contact, drawn without current in the coil, has its pivot left (IEC 60617 07-02-01 and 07-02-03 turned,
    from memory); a resistor is a box (04-01-01, from memory); what converts, an arrow.  Anchors: one, two.
    """

    def __init__(self, width: float, symbol: float, kind: InLineKind, *, origin: str = "") -> None:
        super().__init__(origin)
        self.box = Box(-_CLAMP, -_HALF, width + _CLAMP, _HALF)
        self.frame(0.0, -_HALF, width, _HALF, CELL)
        for edge in (0.0, width):
            self.circle((edge, 0.0), _CLAMP, HOLE)
        self.anchors.update(one=(0.0, 0.0), two=(width, 0.0))
        first, pivot, fixed, last = symbol, symbol + 1.2, symbol + 4.8, symbol + 6.0
        if kind == "resistor":
            self.lead((first, 0.0), (last, 0.0))
            self.frame(first + 0.6, -0.9, last - 0.6, 0.9)
        elif kind == "converter":
            self.arrow((first, 0.0), (last, 0.0))
        else:
            self.lead((first, 0.0), (pivot, 0.0))
            self.lead((fixed, 0.0), (last, 0.0))
            rise = (fixed - pivot) * math.tan(math.radians(28 if kind == "open" else 22))
            beyond = 0.95 if kind == "open" else 1.16
            self.stroke(((pivot, 0.0), (pivot + (fixed - pivot) * beyond, rise * beyond)), SYMBOL_THICK)
            if kind == "closed":
                self.stroke(((fixed, 0.0), (fixed, rise + 0.4)))
