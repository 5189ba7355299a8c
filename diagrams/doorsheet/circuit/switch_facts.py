"""Facts of the drive's switch inputs and of the controller's outputs that close them.

Room: circuit.
"""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.electric import INPUT_CLASSES
from doorsheet.circuit.fact import Fact, FactReader, Known, Origin, Unknown
from doorsheet.circuit.quantities import Interval
from doorsheet.circuit.readings import SATURATION_DEFAULT_V
from doorsheet.mapping.controls import Output, OutputRatings, SwitchedControl
from doorsheet.mapping.quantities import read_quantity

__all__ = ["SwitchFacts"]

CONTACT_DROP: Final = "a closed contact drops nothing"


class SwitchFacts(FactReader):
    """Facts of switched controls; `control` is the name of the control's table."""

    def switched(self, control: str) -> SwitchedControl | None:
        """Return the switched control of that name; None when it is of another kind."""
        found = self.mapping.control(control)
        return found if isinstance(found, SwitchedControl) else None

    # ---- switch inputs of the drive ----

    def input_supply(self, control: str) -> Known:
        """Voltage of the drive's own supply behind its inputs; else what the meter reads open."""
        inputs = self.mapping.drive.inputs
        path = ("drive", "inputs", "voltage")
        text = inputs.voltage if inputs else None
        name = "voltage of the inputs' supply"
        if text is None:
            reading = self.input_open_v(control)
            if isinstance(reading, Fact) and abs(reading.interval.low) > 1:
                size = Interval.of(abs(reading.interval.low))
                return Fact(name, size, "V", Origin.MEASURED, reading.where, reading.path)
        return self._fact(name, text, ("V",), path, self._manual("switch inputs"))

    def input_open_v(self, control: str) -> Known:
        """Reading of the meter, switch open, signed: red lead on the input, black on its common."""
        entry = self.switched(control)
        path = (control, "meter")
        if entry is not None and entry.reading_v is not None:
            return Fact(
                "open voltage", Interval.of(entry.reading_v), "V", Origin.MEASURED, self._line(path), path
            )
        probes = (entry.input, entry.common or "its common") if entry else ()
        ask = "measure it: DC volts, switch open"
        if probes:
            ask += f", red lead on {probes[0]}, black on {probes[1]}"
        return Unknown("open voltage", ask, path, probes)

    def input_resistance(self, control: str) -> Known:
        """Resistance of one switch input: given, measured, or from its voltage and current."""
        inputs = self.mapping.drive.inputs
        name = "resistance of the switch input"
        ask = "look up the current of one closed input in the drive's manual, or measure it"
        if inputs and inputs.resistance:
            path = ("drive", "inputs", "resistance")
            return self._fact(name, inputs.resistance, ("ohm",), path, ask)
        if (measured := self._measured_resistance(control, name)) is not None:
            return measured
        if inputs and inputs.voltage and inputs.current:
            path = ("drive", "inputs", "current")
            supply, current = read_quantity(inputs.voltage, "V"), read_quantity(inputs.current, "A")
            if current.low > 0:
                ends = Interval(supply.low / current.high, supply.high / current.low)
                return Fact(name, ends, "ohm", Origin.GIVEN, self._line(path), path)
        return Unknown(name, ask, ("drive", "inputs", "current"))

    def _measured_resistance(self, control: str, name: str) -> Fact | None:
        entry = self.switched(control)
        if entry is None or entry.meter_current is None or entry.reading_v is None or entry.closed_v is None:
            return None
        current = read_quantity(entry.meter_current, "A")
        drop = abs(entry.reading_v - entry.closed_v)
        if current.low <= 0 or drop == 0:
            return None
        ends = Interval(drop / current.high, drop / current.low)
        path = (control, "meter-current")
        return Fact(name, ends, "ohm", Origin.MEASURED, self._line(path), path)

    def input_current(self, control: str) -> Known:
        """Current through one closed input: measured, given, or its supply over its resistance."""
        inputs = self.mapping.drive.inputs
        name = "current of the closed input"
        if isinstance(measured := self.closed_current(control), Fact):
            return measured
        ask = "look it up in the drive's manual, or measure it in the closed loop"
        path = ("drive", "inputs", "current")
        if inputs and inputs.current:
            return self._fact(name, inputs.current, ("A",), path, ask)
        supply, resistance = self.input_supply(control), self.input_resistance(control)
        if isinstance(supply, Unknown) or isinstance(resistance, Unknown) or resistance.interval.low <= 0:
            return Unknown(name, ask, path)
        ends = Interval(
            supply.interval.low / resistance.interval.high, supply.interval.high / resistance.interval.low
        )
        return Fact(name, ends, "A", Origin.COMPUTED, f"{supply} over {resistance}", resistance.path)

    def input_on(self, control: str) -> Known:
        """From where the input is surely on: volts over it or current through it, by the fact's unit."""
        return self._threshold("on", "on_v", "V")

    def input_off(self, control: str) -> Known:
        """Up to where the input is surely off: volts over it or current through it."""
        return self._threshold("off", "off_v", "V")

    def input_on_current(self, control: str) -> Known:
        """Current from which the input is surely on."""
        return self._threshold("on", "on_a", "A")

    def input_off_current(self, control: str) -> Known:
        """Current below which the input is surely off."""
        return self._threshold("off", "off_a", "A")

    def _threshold(self, key: str, attribute: str, unit: str) -> Known:
        inputs = self.mapping.drive.inputs
        path: tuple[str, ...] = ("drive", "inputs", key)
        name = f"{key} threshold of the switch input"
        text = {"on": inputs.on, "off": inputs.off}[key] if inputs else None
        if text is not None:
            fact = self._fact(name, text, ("V", "A"), path, "")
            if unit == "V" or (isinstance(fact, Fact) and fact.unit == unit):
                return fact
        if text is None and inputs and inputs.type is not None:
            value = getattr(INPUT_CLASSES[inputs.type], attribute)
            where = f"IEC 61131-2 type {inputs.type}"
            return Fact(name, Interval.of(value), unit, Origin.STANDARD, where, ("drive", "inputs", "type"))
        return Unknown(name, self._manual("switch inputs, on and off levels"), path)

    def closed_v(self, control: str) -> Known:
        """Reading of the meter, switch closed, signed."""
        entry = self.switched(control)
        path = (control, "meter-closed")
        probes = (entry.input, entry.common or "its common") if entry else ()
        if entry is not None and entry.closed_v is not None:
            return Fact(
                "closed voltage", Interval.of(entry.closed_v), "V", Origin.MEASURED, self._line(path), path
            )
        return Unknown("closed voltage", "measure it as meter, with the switch closed", path, probes)

    def closed_current(self, control: str) -> Known:
        """Current measured through the closed switch."""
        entry = self.switched(control)
        text = entry.meter_current if entry else None
        ask = "measure it: mA, meter in place of the closed switch"
        path = (control, "meter-current")
        return self._fact("closed current", text, ("A",), path, ask, origin=Origin.MEASURED)

    # ---- outputs of the controller ----

    def _rating(self, control: str, key: str, name: str, unit: str, up_to: bool = False) -> Known:
        """Look a rating up: of the output itself, else of all the controller's outputs."""
        entry = self.switched(control)
        output = entry.output if entry else None
        places: tuple[tuple[OutputRatings | None, tuple[str, ...]], ...] = (
            (output, (control, "output", key)),
            (self.mapping.controller.outputs, ("controller", "outputs", key)),
        )
        for table, path in places:
            text = getattr(table, key) if table is not None else None
            if text is not None:
                return self._fact(name, text, (unit,), path, "", up_to)
        return Unknown(
            name, "look it up in the controller's manual under outputs", ("controller", "outputs", key)
        )

    def _output(self, control: str) -> Output | None:
        entry = self.switched(control)
        return entry.output if entry else None

    def output_voltage(self, control: str) -> Known:
        """Most voltage that the open output bears."""
        return self._rating(control, "voltage", "voltage rating of the output", "V")

    def output_current(self, control: str) -> Known:
        """Most current that the closed output carries."""
        return self._rating(control, "current", "current rating of the output", "A")

    def output_reverse(self, control: str) -> Known:
        """Most voltage that the output bears the wrong way round."""
        return self._rating(control, "reverse", "reverse rating of the output", "V")

    def output_minimum(self, control: str) -> Known:
        """Least current that keeps the contact clean."""
        return self._rating(control, "minimum", "least current of the contact", "A")

    def output_saturation(self, control: str) -> Known:
        """What the closed output drops, from nothing to its most; 0 for a contact or a switch.

        By default the 0.4 V of common optocouplers, but not for outputs that join to plus: their
        drivers drop more, and how much is unknown.
        """
        name = "drop of the closed output"
        output = self._output(control)
        if output is None or output.kind == "contact":
            return Fact(name, Interval.of(0.0), "V", Origin.DEFAULT, CONTACT_DROP)
        rating = self._rating(control, "saturation", name, "V", up_to=True)
        transistor_to_minus = output.kind == "isolated" or (
            output.kind == "open-collector" and output.joins == "minus"
        )
        if isinstance(rating, Unknown) and transistor_to_minus:
            ends = Interval(0.0, SATURATION_DEFAULT_V)
            return Fact(name, ends, "V", Origin.DEFAULT, "data sheets of common optocouplers")
        return rating

    def output_leakage(self, control: str) -> Known:
        """What the open output lets through, from nothing to its most; 0 for a contact or a switch."""
        name = "leakage of the open output"
        output = self._output(control)
        if output is None or output.kind == "contact":
            return Fact(name, Interval.of(0.0), "A", Origin.DEFAULT, "an open contact lets nothing through")
        return self._rating(control, "leakage", name, "A", up_to=True)

    def controller_supply(self) -> Known:
        """Voltage that the controller's outputs join to plus."""
        ask = "measure it at the controller's outputs, DC against its 0 V"
        path = ("controller", "supply")
        return self._fact("controller's supply", self.mapping.controller.supply, ("V",), path, ask)
