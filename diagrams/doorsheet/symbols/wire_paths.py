"""A wire along given corners, the screen round it, and earth.

Which way a wire takes is found in `doorsheet.layout`.
"""

from collections.abc import Sequence
from typing import Final

from doorsheet.symbols.base import SCREEN, WIRE_CORE, WIRE_EDGE, WIRE_TRACER, XY, Symbol

__all__ = ["Earth", "ScreenRing", "WirePath"]


class WirePath(Symbol):
    """A wire: dark edge, core in the colour `ink`, and `tracer` over it when it has two colours.

    Its corners are joined horizontally or vertically.  `ink` and `tracer` are letters of IEC 60757, one
    colour each.  Anchors: first, last.
    """

    def __init__(self, points: Sequence[XY], ink: str, tracer: str = "", *, origin: str = "") -> None:
        super().__init__(origin)
        if len(points) < 2:
            raise ValueError("a wire has two ends")
        self.lead(*points, role=WIRE_EDGE)
        self.stroke(points, WIRE_CORE, ink)
        if tracer:
            self.stroke(points, WIRE_TRACER, tracer)
        self.anchors["first"], self.anchors["last"] = points[0], points[-1]


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
            self.stroke(((-half, y), (half, y)))
        self.anchors["top"] = (0.0, 0.0)
