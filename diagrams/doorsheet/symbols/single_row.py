"""Outputs and inputs one row high, which share a bus as their common."""

import math
from collections.abc import Sequence
from typing import Final, Literal

from doorsheet.symbols.base import SYMBOL_THICK, XY, Symbol
from doorsheet.symbols.glyphs import light, plus_sign, pulse, rail, ramp, transistor

__all__ = ["Bus", "SingleRow", "SingleRowKind"]

SingleRowKind = Literal[
    "isolated", "contact", "switch", "stop", "open-collector", "open-collector-plus", "logic-level",
    "analog", "input",
]  # fmt: skip


class SingleRow(Symbol):
    """A small box with its kind's sign; its terminal's lead ends at (0, 0), its bus lead at (-22, 0).

    `plus_terminal` says, for an isolated output, that the terminal is its plus and the bus its
    minus.  "open-collector" joins the terminal to the bus, "open-collector-plus" to an inner
    plus rail.  Anchors: terminal, bus.
    """

    LEFT: Final = -20.0
    RIGHT: Final = -5.0
    HALF: Final = 3.0
    BUS: Final = -22.0

    def __init__(self, kind: SingleRowKind, plus_terminal: bool = True, *, origin: str = "") -> None:
        super().__init__(origin)
        self.frame(self.LEFT, -self.HALF, self.RIGHT, self.HALF)
        match kind:
            case "isolated":
                light(self, (-15.6, 1.3), (2.9, -0.7), apart=1.5, size=0.7)
                self._npn(plus_terminal)
            case "open-collector":
                self.lead((-15.6, 0.0), (-11.6, 0.0))
                self._npn()
            case "open-collector-plus":
                self._source()
            case "contact" | "switch" | "stop":
                self._contact(kind)
            case _:
                self.lead((self.RIGHT, 0.0), (0.0, 0.0))
                self.lead((self.LEFT, 0.0), (self.BUS, 0.0))
                self._sign(kind)
        self.anchors["terminal"], self.anchors["bus"] = (0.0, 0.0), (self.BUS, 0.0)

    def _sign(self, kind: Literal["logic-level", "analog", "input"]) -> None:
        middle = ((self.LEFT + self.RIGHT) / 2, 0.0)
        if kind == "logic-level":
            pulse(self, middle, 6.0, 2.6)
        elif kind == "analog":
            ramp(self, middle, 5.0, 3.2)
        else:
            self.arrow((middle[0] + 3.0, 0.0), (middle[0] - 3.0, 0.0), 1.2)

    def _npn(self, collector_up: bool = True) -> None:
        """Draw the transistor upright: upper limb to the terminal, lower one round to the bus."""
        along = (0.0, 1.0 if collector_up else -1.0)
        limbs = transistor(self, (-11.6, 0.0), along, (1.0, 0.0), size=0.75)
        upper, lower = limbs if collector_up else limbs[::-1]
        x, y = upper.end
        self.lead((x, y), (x + 2.2, y), (x + 2.2, 0.0), (0.0, 0.0), inner=(upper.start,))
        x, y = lower.end
        down, back = -2.3, self.LEFT + 1.6
        self.lead((x, y), (x, down), (back, down), (back, 0.0), (self.BUS, 0.0), inner=(lower.start,))

    def _source(self) -> None:
        limbs = transistor(self, (-10.2, -1.9), (1.0, 0.0), (0.0, 1.0), pnp=True, size=1.9 / 2.4)
        self.lead(limbs.collector.end, (0.0, 0.0), inner=(limbs.collector.start,))
        rail(self, limbs.emitter, 1.6)
        plus_sign(self, (-9.6, 1.5), 0.7)
        rail(self, [(-17.0, 0.0)], -1.4)
        self.lead((-17.0, 0.0), (self.BUS, 0.0))

    def _contact(self, kind: Literal["contact", "switch", "stop"]) -> None:
        self.lead((-10.0, 0.0), (0.0, 0.0))
        self.lead((-15.0, 0.0), (self.BUS, 0.0))
        if kind == "stop":  # a break contact: the blade across a tick on the fixed side
            self.stroke(((-10.0, 0.0), (-10.0, 2.5)))
            self.stroke(((-15.0, 0.0), (-9.2, 2.3)), SYMBOL_THICK)
        else:
            self.stroke(((-15.0, 0.0), (-10.4, 2.4)), SYMBOL_THICK)
        if kind == "contact":
            return
        for top, bottom in ((0.9, 0.2), (-0.6, -1.3)):  # the actuator below, where the blade doesn't reach
            self.stroke(((-13.0, top), (-13.0, bottom)))
        if kind == "switch":
            self.stroke(((-14.4, -2.0), (-11.6, -2.0)), SYMBOL_THICK)
        else:  # a mushroom head
            arc = [math.pi * (1 + step / 12) for step in range(13)]
            head = [(-13.0 + 1.4 * math.cos(a), -1.4 + 1.2 * math.sin(a)) for a in arc]
            self.stroke((*head, head[0]), SYMBOL_THICK)


class Bus(Symbol):
    """The inner line that single rows share: corners horizontal or vertical, a dot at each joint."""

    def __init__(self, points: Sequence[XY], dots: Sequence[XY] = (), *, origin: str = "") -> None:
        super().__init__(origin)
        self.lead(*points)
        for place in dots:
            self.dot(place)
        self.anchors["first"], self.anchors["last"] = points[0], points[-1]
