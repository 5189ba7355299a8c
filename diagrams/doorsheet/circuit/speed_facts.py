"""Facts of the speed: reference supply, speed input, potentiometer, analog output.

Room: circuit.
"""

from __future__ import annotations

from doorsheet.circuit.fact import Fact, FactReader, Known, Origin, Unknown
from doorsheet.circuit.quantities import Interval
from doorsheet.mapping.controls import SpeedControl
from doorsheet.mapping.quantities import read_quantity

__all__ = ["SpeedFacts"]


class SpeedFacts(FactReader):
    """Facts of the speed reference."""

    @property
    def _speed(self) -> SpeedControl | None:
        return self.mapping.speed

    # ---- speed ----

    def reference_voltage(self) -> Known:
        """Voltage of the drive's reference supply."""
        table = self.mapping.drive.reference
        path = ("drive", "reference", "voltage")
        ask = "measure it: DC volts against the speed common"
        return self._fact("reference supply", table.voltage if table else None, ("V",), path, ask)

    def reference_current(self) -> Known:
        """Most current that the reference supply may give."""
        table = self.mapping.drive.reference
        path = ("drive", "reference", "current")
        ask = self._manual("reference supply")
        return self._fact(
            "limit of the reference supply", table.current if table else None, ("A",), path, ask
        )

    def analog_resistance(self) -> Known:
        """Resistance of the drive's speed input."""
        table = self.mapping.drive.analog
        path = ("drive", "analog", "resistance")
        ask = self._manual("analog input")
        return self._fact(
            "resistance of the speed input", table.resistance if table else None, ("ohm",), path, ask
        )

    def analog_limit(self) -> Known:
        """Most that the drive's speed input bears, V or A."""
        table = self.mapping.drive.analog
        path = ("drive", "analog", "limit")
        ask = self._manual("analog input")
        return self._fact("limit of the speed input", table.limit if table else None, ("V", "A"), path, ask)

    def burden(self) -> Known:
        """Resistor across the speed input; unknown means that none is fitted."""
        text = self._speed.burden if self._speed else None
        return self._fact("burden resistor", text, ("ohm",), ("speed", "burden"), "none is given")

    def series(self) -> Known:
        """Resistor in the speed signal's wire; nothing when none is given."""
        text = self._speed.series if self._speed else None
        if text is None:
            return Fact("series resistor", Interval.of(0.0), "ohm", Origin.DEFAULT, "none given")
        return self._fact("series resistor", text, ("ohm",), ("speed", "series"), "")

    def _source_fact(self, key: str, name: str, *units: str) -> Known:
        source = self._speed.source if self._speed else None
        text = getattr(source, key) if source else None
        ask = "look it up in the controller's manual under analog output"
        return self._fact(name, text, units, ("speed", "source", key), ask)

    def source_resistance(self) -> Known:
        """Resistance inside the controller's analog output."""
        return self._source_fact("resistance", "resistance of the analog output", "ohm")

    def source_load(self) -> Known:
        """Least load of a voltage output, most load of a current output."""
        return self._source_fact("load", "load limit of the analog output", "ohm")

    def source_compliance(self) -> Known:
        """Most that a current output can push."""
        return self._source_fact("compliance", "compliance of the analog output", "V")

    def source_top(self) -> Known:
        """What the analog output really gives at full command."""
        return self._source_fact("top", "top of the analog output", "V", "A")

    def other_inputs(self) -> tuple[Fact, ...]:
        """Resistances of further inputs on the same analog output."""
        source = self._speed.source if self._speed else None
        path = ("speed", "source", "other-inputs")
        texts = source.other_inputs if source else ()
        found = (self._fact("another input", text, ("ohm",), path, "") for text in texts)
        return tuple(fact for fact in found if isinstance(fact, Fact))

    def source_span(self) -> tuple[Interval, str] | None:
        """Ends of the analog output's range and their unit; None without a source."""
        source = self._speed.source if self._speed else None
        return _span(source.range) if source else None

    def analog_span(self) -> tuple[Interval, str] | None:
        """Ends of the range that the drive's input is set to; None when it isn't given."""
        return _span(self._speed.range) if self._speed and self._speed.range else None

    def top_speed(self) -> Known:
        """Speed at the top of the range, rpm."""
        text = self._speed.top_speed if self._speed else None
        return self._fact("top speed", text, ("rpm",), ("speed", "top-speed"), "from the motor's plate")

    def pot_value(self) -> Known:
        """Potentiometer's resistance with its tolerance."""
        pot = self._speed.potentiometer if self._speed else None
        path = ("speed", "potentiometer", "value")
        ask = "read it on the potentiometer, or measure it between its ends, unconnected"
        fact = self._fact("potentiometer", pot.value if pot else None, ("ohm",), path, ask)
        if isinstance(fact, Unknown) or pot is None or pot.tolerance is None:
            return fact
        share = read_quantity(pot.tolerance, "%").high / 100
        ends = Interval(max(0.0, fact.interval.low * (1 - share)), fact.interval.high * (1 + share))
        return Fact(fact.name, ends, fact.unit, fact.origin, fact.where, fact.path)

    def pot_power(self) -> Known:
        """Power that the potentiometer bears."""
        pot = self._speed.potentiometer if self._speed else None
        path = ("speed", "potentiometer", "power")
        ask = "look it up in the potentiometer's data sheet"
        return self._fact("power rating of the potentiometer", pot.power if pot else None, ("W",), path, ask)


def _span(text: str) -> tuple[Interval, str]:
    """Return the ends of a range as the mapping writes it, in its base unit."""
    low, high, unit = read_quantity(text.replace("-", ".."), "V", "A")
    return Interval(low, high), unit
