"""Outputs and inputs of a controller, each with rows of its own."""

from typing import Literal

from doorsheet.symbols.base import LeftPart
from doorsheet.symbols.glyphs import Limb, led, light, plus_sign, pulse, rail, transistor

__all__ = ["ControllerInput", "IsolatedOutput", "LogicOutput", "OpenCollector"]


class IsolatedOutput(LeftPart):
    """Optocoupler output: a box with a light-emitting diode, two arrows and a phototransistor.

    The collector leads to the plus row, the emitter, arrow outwards, to the minus row,
    whichever is first (IEC 60617 05-06-08, from memory).  Anchors: plus, minus.
    """

    def __init__(self, span: float, plus_first: bool = True, *, origin: str = "") -> None:
        super().__init__(span, origin)
        plus, minus = (0.0, -span) if plus_first else (-span, 0.0)
        self.body()
        led(self, (-16.4, self.mid), self.LEFT)
        light(self, (-14.2, self.mid + 1.4), (2.9, -0.9))
        upward = 1.0 if plus_first else -1.0
        limbs = transistor(self, (-10.0, self.mid), (0.0, upward), (1.0, 0.0))
        for limb, row in ((limbs.collector, plus), (limbs.emitter, minus)):
            self.lead(limb.end, (limb.end[0], row), (0.0, row), inner=(limb.start,))
        self.pins(plus=plus, minus=minus)


class OpenCollector(LeftPart):
    """Transistor output that joins its signal to the controller's own 0 V or plus supply.

    Joining minus: an NPN transistor, collector to the signal row, emitter to the common row.
    Joining plus: a PNP transistor, emitter to an inner rail marked with a plus, collector to
    the signal row; the common row ends at an inner 0 V bar.  Anchors: signal, common.
    """

    def __init__(
        self,
        span: float,
        joins: Literal["minus", "plus"] = "minus",
        signal_first: bool = True,
        *,
        origin: str = "",
    ) -> None:
        super().__init__(span, origin)
        signal, common = (0.0, -span) if signal_first else (-span, 0.0)
        self.body(left=-18.0)
        if joins == "minus":
            self._sink(signal, common)
        else:
            self._source(signal, common)
        self.pins(signal=signal, common=common)

    def _sink(self, signal: float, common: float) -> None:
        upward = 1.0 if signal > common else -1.0
        self.lead((-18.0, self.mid), (-11.5, self.mid))
        limbs = transistor(self, (-11.5, self.mid), (0.0, upward), (1.0, 0.0))
        for limb, row in ((limbs.collector, signal), (limbs.emitter, common)):
            self.lead(limb.end, (limb.end[0], row), (0.0, row), inner=(limb.start,))

    def _source(self, signal: float, common: float) -> None:
        away = 1.0 if signal > common else -1.0  # from the middle towards the signal row
        inner = 3.0 if self.wide else self.span / 2
        signal_at, common_at = self.mid + away * inner, self.mid - away * inner
        bar = (-12.4, signal_at - away * 2.4)
        limbs = transistor(self, bar, (1.0, 0.0), (0.0, away), pnp=True)
        self.lead((-18.0, bar[1] - away * 1.4), (bar[0], bar[1] - away * 1.4), bar)
        rail(self, limbs.emitter, away * 1.5)
        plus_sign(self, (bar[0] + 0.2, signal_at + away * 1.3), 0.7)
        self._join(limbs.collector, signal)
        rail(self, [(-10.0, common_at)], -1.4)
        self._join(Limb((-10.0, common_at), (-10.0, common_at)), common)

    def _join(self, limb: Limb, row: float) -> None:
        """Lead from a limb to its row, by an upright at the box's right side where the row is far."""
        x, y = limb.end
        way = ((x, y),) if y == row else ((x, y), (-6.8, y), (-6.8, row))
        self.lead(*way, (0.0, row), inner=(limb.start,))


class _Boxed(LeftPart):
    """A box from whose right side both rows lead; what stands in it is its kind's."""

    def __init__(self, span: float, signal_first: bool = True, *, origin: str = "") -> None:
        super().__init__(span, origin)
        signal, common = (0.0, -span) if signal_first else (-span, 0.0)
        self.body(left=-15.0)
        self._sign()
        for row in (signal, common):
            self.row_lead(row, self.BODY_RIGHT, -10.0)
        self.pins(signal=signal, common=common)

    def _sign(self) -> None:
        raise NotImplementedError


class LogicOutput(_Boxed):
    """Logic-level output: a box with a square pulse.  Anchors: signal, common."""

    def _sign(self) -> None:
        pulse(self, (-10.0, self.mid))


class ControllerInput(_Boxed):
    """Input of the controller: a box with an arrow inwards.  Anchors: signal, common."""

    def _sign(self) -> None:
        self.arrow((-7.0, self.mid), (-13.0, self.mid), 1.4)
