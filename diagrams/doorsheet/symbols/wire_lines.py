"""Symbols room: a wire along given corners; which way it takes is found in `doorsheet.layout`."""

from collections.abc import Sequence
from itertools import pairwise

from doorsheet.symbols.base import WIRE_CORE, WIRE_EDGE, WIRE_FREE, WIRE_TRACER, XY, Box, Symbol

__all__ = ["FreeWire", "WirePath"]


class _Path(Symbol):
    """Something drawn along corners that are joined horizontally or vertically."""

    def __init__(self, points: Sequence[XY], layers: Sequence[tuple[str, str]], origin: str) -> None:
        super().__init__(origin)
        if len(points) < 2:
            raise ValueError("a wire has two ends")
        for (ax, ay), (bx, by) in pairwise(points):
            if (ax == bx) is (ay == by):
                raise ValueError(f"wire leg from {ax:g}, {ay:g} to {bx:g}, {by:g} is slanted or empty")
        for role, ink in layers:
            self.stroke(points, role, ink)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        self.box = Box(min(xs), min(ys), max(xs), max(ys))
        self.anchors["first"], self.anchors["last"] = points[0], points[-1]


class WirePath(_Path):
    """A wire: dark edge, core in the colour `ink`, and `tracer` over it when it has two colours.

    `ink` and `tracer` are letters of IEC 60757, one colour each.  Anchors: first, last.
    """

    def __init__(self, points: Sequence[XY], ink: str, tracer: str = "", *, origin: str = "") -> None:
        layers = [(WIRE_EDGE, ""), (WIRE_CORE, ink)]
        if tracer:
            layers.append((WIRE_TRACER, tracer))
        super().__init__(points, layers, origin)


class FreeWire(_Path):
    """A wire that is there but disconnected at this stage.  Anchors: first, last."""

    def __init__(self, points: Sequence[XY], *, origin: str = "") -> None:
        super().__init__(points, [(WIRE_FREE, "")], origin)
