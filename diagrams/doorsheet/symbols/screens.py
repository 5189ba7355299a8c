"""Symbols room: the screen round wires, and earth."""

from typing import Final

from doorsheet.symbols.base import SCREEN, SYMBOL, Box, Symbol

__all__ = ["Earth", "ScreenRing"]


class ScreenRing(Symbol):
    """A narrow upright ring round screened wires, centred on (0, 0); dashed by its role.

    IEC 60617 03-01-07, from memory.  Anchors: top, bottom.
    """

    RADIUS_X: Final = 1.6

    def __init__(self, height: float, *, origin: str = "") -> None:
        super().__init__(origin)
        if height <= 0:
            raise ValueError(f"a ring has a height, not {height!r}")
        half = height / 2
        self.ellipse((0.0, 0.0), self.RADIUS_X, half, SCREEN)
        self.box = Box(-self.RADIUS_X, -half, self.RADIUS_X, half)
        self.anchors["top"], self.anchors["bottom"] = (0.0, half), (0.0, -half)


class Earth(Symbol):
    """Earth: a lead down from (0, 0) and three shortening bars (IEC 60617 02-15-01, from memory).

    Anchor: top.
    """

    LEAD: Final = 2.5
    HALF_BARS: Final = (2.5, 1.6, 0.7)
    PITCH: Final = 1.1

    def __init__(self, *, origin: str = "") -> None:
        super().__init__(origin)
        self.lead((0.0, 0.0), (0.0, -self.LEAD))
        for place, half in enumerate(self.HALF_BARS):
            y = -self.LEAD - place * self.PITCH
            self.stroke(((-half, y), (half, y)), SYMBOL)
        widest = self.HALF_BARS[0]
        self.box = Box(-widest, -self.LEAD - 2 * self.PITCH, widest, 0.0)
        self.anchors["top"] = (0.0, 0.0)
