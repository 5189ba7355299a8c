"""Where a speed reference comes from, an analog output or a potentiometer."""

import math
from typing import Final

from doorsheet.symbols.base import SYMBOL_BODY, LeftPart

__all__ = ["AnalogSource", "Potentiometer"]


class AnalogSource(LeftPart):
    """Analog output: a circle for its range, written by the page at the anchor centre.

    9.2 by 7.2 mm are free for that, in a `roomy` one, which is larger than other parts, 11.8 by 7.2.  For a
    wider `word` in its upper half, as wide and so high up, mm, it is an ellipse.  Rows that pass beside the
    circle's top and bottom leave from its rim, others from its top and bottom.
    Anchors: signal, common, centre.
    """

    WIDEST: Final = 9.3

    def __init__(
        self,
        span: float,
        signal_first: bool = True,
        roomy: bool = False,
        word: tuple[float, float] = (0.0, 0.0),
        *,
        origin: str = "",
    ) -> None:
        super().__init__(span, origin)
        signal, common = (0.0, -span) if signal_first else (-span, 0.0)
        # never a row along the circle's top
        radius = 6.25 if span < 10 else 7.25 if 11 < span < 15 else 6.5
        if roomy:
            radius = 7.4 if span < 13 or span > 17 else 7.6 if span < 14 else 9.0
        centre = (-12.5, self.mid)
        across = min(self.WIDEST, max(radius, (word[0] / 2 + 0.2) / math.sqrt(1 - (word[1] / radius) ** 2)))
        if across > radius:
            self.ellipse(centre, across, radius, SYMBOL_BODY)
        else:
            self.circle(centre, radius, SYMBOL_BODY)
        for row in (0.0, -span):
            aside = radius**2 - (row - self.mid) ** 2
            if aside > 0:
                self.lead((centre[0] + across / radius * math.sqrt(aside), row), (0.0, row))
            else:
                rim = self.mid + math.copysign(radius, row - self.mid)
                self.lead((centre[0], rim), (centre[0], row), (0.0, row))
        self.pins(signal=signal, common=common)
        self.anchors["centre"] = centre


class Potentiometer(LeftPart):
    """Potentiometer: upright resistor, 3:1, with its wiper's arrow on the long side from the right.

    First row y = 0, wiper row y = -`up`, last row y = -(`up` + `down`); the resistor stands
    about the wiper (IEC 60617 04-01-07, from memory).  An end in `upright` is led up or down, not to x = 0.
    Anchors: first, wiper, last, centre.
    """

    COLUMN: Final = -13.0
    HALF_WIDTH: Final = 1.7

    def __init__(
        self, up: float, down: float, upright: tuple[bool, bool] = (False, False), *, origin: str = ""
    ) -> None:
        super().__init__(up + down, origin)
        if min(up, down) < 2.5:
            raise ValueError(f"the wiper's row stands 2.5 mm or more from the others, not {min(up, down):g}")
        x, side, wiper, last = self.COLUMN, self.HALF_WIDTH, -up, -(up + down)
        above, below = min(5.0, up - 1.0), min(5.0, down - 1.0)
        self.frame(x - side, wiper - below, x + side, wiper + above)
        self.lead((x, wiper + above), (x, 0.0), *(() if upright[0] else ((0.0, 0.0),)))
        self.lead((x, wiper - below), (x, last), *(() if upright[1] else ((0.0, last),)))
        self.arrow((0.0, wiper), (x + side, wiper), 1.2)
        self.pins(first=0.0, wiper=wiper, last=last)
        self.anchors["centre"] = (x, wiper)
