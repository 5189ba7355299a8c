"""Every figure of an installation, read once: given, measured, of a standard, a named default, or unknown.

What nobody gave is never guessed: it is "anything it can be" between the ends named here, keeps its
name, and says where to find it.  A default has a name, and what rests on one carries a mark.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache, cached_property
from itertools import chain
from math import inf
from typing import Final

from doorsheet.circuit.parts import cable_of
from doorsheet.electrics.fact import DEFAULTS, ROWS, Fact, Origin, Row, or_usual
from doorsheet.mapping.controls import Output, SpeedControl, SwitchedControl, drive_ends
from doorsheet.mapping.other_tables import Cable, SwitchInputs
from doorsheet.mapping.quantities import QuantityError, read_conductor, read_quantity
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.same_reading import (
    DANGEROUS_AC_V,
    DANGEROUS_V,
    PLAUSIBLE_V,
    REFERENCE_TOLERANCE,
    SUPPLY_TOLERANCE,
    supply_reads,
)  # fmt: skip
from doorsheet.mapping.signals import RANGES
from doorsheet.network import Figure
from doorsheet.trade.conductors import awg_most_ohm_per_km, conductor_ohm_per_km
from doorsheet.trade.input_classes import INPUT_CLASSES
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "CONTACT_OHM", "DANGEROUS_AC_V", "DANGEROUS_V", "INPUTS_V", "NEAR_ZERO_V", "PLAUSIBLE_V",
    "POWER_LABEL", "USUAL_REFERENCE_V", "USUAL_TOP_V", "Figures", "is_supply", "label_voltage",
    "takes",
]  # fmt: skip

_MOST_IN_AMPS: Final = 3e3
"""No input set to milliamperes has more ohms: 20 mA would take 60 V (common practice, no source)."""

_LEAST_IN_VOLTS: Final = 1e3
"""No input set to volts has fewer ohms (common practice, no source)."""

CONTACT_OHM: Final = 0.1  # the most of a closed contact, ohm (common practice, no source)

USUAL_TOP_V: Final = 10.0  # the end of a speed input's range where nobody says which

FAR_ABOVE: Final = 2.0
"""Times what a speed input's range ends at, or the reference gives, from where another supply must be on it,
where nobody wrote down what the input bears (chosen here, no source)."""

_USUAL_V: Final = 24.0  # of what most inputs are fed with, and the usual currents are of

NEAR_ZERO_V: Final = 1.0
"""An open input that reads less than this has no supply of its own behind it (common practice, no source)."""


USUAL_REFERENCE_V: Final = 12.0
"""No reference gives more, where nobody says what it gives (common practice, no source)."""

INPUTS_V: Final = 15.0
"""A supply terminal of more than this by its label is that of the switch inputs, 12 V or less a reference
(common practice, no source)."""

POWER_LABEL: Final = re.compile(
    r"L[123]|N|PE|[UW][12]?|PA?[/(]?\+\)?|(?:N|PC)[/(]?[-−]\)?|DC[+\-−]|B[+\-−]|PB|BR", re.IGNORECASE
)
"""What mains, motor, link, brake and earth terminals are called, and control terminals are not.

V, V1, R, S, T, L, P1 and the like are both.  L1 L2 L3 N PE U W: IEC 60445, seen at second hand; the
others, and which of them control terminals have too: common practice, no source.
"""

_PLUS_LABEL: Final = re.compile(r"L\+|\+V|VDD|VCC", re.IGNORECASE)

_LABEL_V: Final = re.compile(r"\+?\s*(\d{1,2}(?:[.,]\d)?)\s*V(?:DC)?|[PV]\s?(24|12)\+?", re.IGNORECASE)


def label_voltage(label: str) -> float | None:
    """Return the voltage that a supply terminal's label says, V; None when it says none.

    >>> label_voltage("+10V"), label_voltage("24V"), label_voltage("0V"), label_voltage("AI1")
    (10.0, 24.0, None, None)
    """
    found = _LABEL_V.fullmatch(label.strip())
    if found is None:
        return None
    volts = float((found[1] or found[2]).replace(",", "."))
    return volts or None


def takes(name: str, key: str) -> bool:
    """Whether a control's end at the drive takes a voltage, and gives none."""
    return key in ("input", "signal") or (name, key) == ("speed", "common")


def is_supply(label: str) -> bool:
    """Whether by its label a terminal gives a voltage, be it said or not."""
    return bool(label_voltage(label) or _PLUS_LABEL.fullmatch(label))


def _by_label(given: Fact, label: str | None) -> Fact:
    said = label_voltage(label or "")
    return given if said is None else given.or_default(said, said, tr("its label {label}", label=label))


_ONCE: Final = (
    "of", "switched", "open_v", "closed_v", "input_supply", "input_resistance", "input_limit", "closed_a",
    "threshold", "spare_supplies", "rating", "ohm_per_km", "wire_ohm",
)  # fmt: skip
"""What is worked out once for the same arguments: a mapping doesn't change."""

_NO_SPEED: Final = SpeedControl.model_construct(signal="")
_NO_INPUTS: Final = SwitchInputs.model_construct()


class Figures:
    """The figures of one drive and what commands it; `control` is the name of a control's table.

    `unread` is the control whose measured current doesn't count.
    """

    def __init__(self, read: ReadMapping, drive: str = "", unread: str = "") -> None:
        self.mapping = read.mapping
        self.drive, self._unread = drive, unread
        self.speed, self.inputs = read.mapping.speed or _NO_SPEED, read.mapping.drive.inputs or _NO_INPUTS
        """What the mapping says of the speed and of the switch inputs; where nothing, all is left out."""
        self._source = read.source
        for name in _ONCE:
            setattr(self, name, cache(getattr(self, name)))

    @cached_property
    def of_power(self) -> dict[str, str]:
        """The terminals that controls name and the mapping leaves out, with why; "" by their label alone."""
        out = {label: why for why, labels in self.mapping.drive.dropped.items() for label in labels}
        named = {label for _, _, label in self._named()}
        return {one: out.get(one, "") for one in named if one in out or POWER_LABEL.fullmatch(one)}

    @cached_property
    def hands_off(self) -> frozenset[str]:
        """Those, and the supplies that are named as inputs: no meter belongs there before that is mended."""
        supplies = (label for name, key, label in self._named() if is_supply(label) and takes(name, key))
        return frozenset((*self.of_power, *supplies))

    def _named(self) -> Iterator[tuple[str, str, str]]:
        for name in self.mapping.control_names:
            yield from ((name, key, label) for key, label in drive_ends(self.mapping.control(name)))

    # ---- reading ----

    def _line(self, path: tuple[str | int, ...]) -> tuple[str, int | None]:
        line = self._source.line_of(*path)
        return f"line {line}" if line else "from the mapping", line

    def _key(self, *words: str) -> str:
        return "/".join((self.drive, *words))

    def of(self, what: str) -> Fact:
        """Return the figure called `what` in the table above."""
        row = ROWS[what]
        return self._fact(what, row, self._text(row.path), row.path)

    def usual(self, what: str) -> Fact:
        """Return the same, or its default where nobody gives it."""
        return or_usual(self.of(what), what)

    def _text(self, path: tuple[str, ...]) -> object:
        at: object = self.mapping
        for key in path:
            # a name that no table has is ours, and must not pass for a figure that nobody gave
            at = None if at is None else getattr(at, key.replace("-", "_"))
        return at

    def _fact(
        self, key: str, row: Row, text: object, path: tuple[str | int, ...], origin: Origin = Origin.GIVEN
    ) -> Fact:
        units = row.unit.split()
        ends = row.low, row.high, units[0]
        unknown = Fact(self._key(key), row.name, *ends, Origin.UNKNOWN, "", path, row.ask)
        if not isinstance(text, str):
            return unknown
        try:
            low, high, unit = read_quantity(text, *units)
        except QuantityError as error:  # only a potentiometer's value, which the model leaves free
            return replace(unknown, ask=f'"{text}" {error}')
        low = 0.0 if row.up_to and low == high else low
        where, line = self._line(path)
        return replace(unknown.told(low, high, origin, where), unit=unit, line=line)

    def switched(self, control: str) -> SwitchedControl | None:
        """Return the switched control of that name; None when it is of another kind."""
        found = self.mapping.control(control)
        return found if isinstance(found, SwitchedControl) else None

    # ---- the drive's switch inputs ----

    def open_v(self, control: str) -> Fact:
        """Reading of the meter, switch open, signed: red lead on the input, black on its common."""
        return self._metered(control, "meter", "open voltage", "reading_v", "open")

    def closed_v(self, control: str) -> Fact:
        """The same with the switch closed."""
        return self._metered(control, "meter-closed", "closed voltage", "closed_v", "closed")

    def _metered(self, control: str, key: str, name: str, attribute: str, state: str) -> Fact:
        entry, path = self.switched(control), (control, key)
        probes = (entry.input, entry.common or "its common") if entry else ("the input", "its common")
        ask = f"measure it: DC volts, switch {state}, red lead on {probes[0]}, black on {probes[1]}"
        unknown = self._fact(f"{key}/{control}", Row(name, "", "V", ask, -60, 60), None, path)
        value = getattr(entry, attribute) if entry else None
        if not isinstance(value, float) or abs(value) > self.input_bears_v:
            return unknown  # what destroys an input is no supply of it
        index = self.mapping.metered.get((control, key))
        where, line = self._line(path if index is None else ("readings", index))
        return replace(unknown.told(value, value, Origin.MEASURED, where), line=line)

    def input_supply(self, controls: tuple[str, ...]) -> Fact:
        """Voltage of the drive's supply behind the inputs of one common: given, else read there."""
        given = self.of("input voltage")
        key = self._key("input voltage", *sorted(controls)[:1])
        if given.is_known:
            return given
        read = [
            fact for name in controls if (fact := self.open_v(name)).is_known and abs(fact.low) >= NEAR_ZERO_V
        ]
        if not read:
            return replace(given, key=key, ask=self.open_v(controls[0]).ask if controls else given.ask)
        sizes = [abs(fact.low) for fact in read]
        where = ", ".join(dict.fromkeys(fact.where for fact in read))
        return replace(given.told(min(sizes), max(sizes), Origin.MEASURED, by=read[0]), key=key, where=where)

    @property
    def input_bears_v(self) -> float:
        """The most that a switch input surely bears, V."""
        return self._input_bears().high

    def _input_bears(self) -> Fact:
        """Return what the manual says, else a bound by the inputs' voltage, where that is unknown of 24 V."""
        if (limit := self.of("input bears")).is_known:
            return limit
        given = self.of("input voltage")
        if not given.is_known:
            most = PLAUSIBLE_V[1]
            return given.told(most, most, Origin.STANDARD, "the most of IEC 61131-2 for inputs of 24 V")
        most = supply_reads(given.low, given.high)[1]
        return given.told(most, most, Origin.COMPUTED, f"at most a quarter over the inputs' {given.value}")

    def bears_v(self, *ends: str | None) -> float:
        """The most that may stand between two of the drive's terminals, V; no end where nobody can tell."""
        most = self.bears(*ends)
        return inf if most is None else most.high

    def bears(self, *ends: str | None) -> Fact | None:
        """The same, with where it is from.

        A switch input, what feeds it, and two commons, whose supplies may meet in one; the speed signal, the
        reference that a potentiometer leads to it, and their common against one that is known as minus.
        """
        speed, switched, points = self.speed, tuple(self.mapping.switched.values()), {*ends}
        minus = {one.common for one in switched if (one.sign_v or 0.0) > 0}
        own = {speed.signal, speed.supply} - {speed.common}
        if speed.common is not None and speed.common in points and points & (own | (minus - {speed.common})):
            return self._speed_bears(speed.supply in points)
        inputs = [{end, one.common} for one in switched for end in (one.input, one.feed)]
        known = points <= {*(one.common for one in switched), speed.common, speed.supply}
        return self._input_bears() if known or points in inputs else None

    def _speed_bears(self, at_reference: bool) -> Fact:
        """Return what the speed input bears at most, or the reference, which bears what it gives itself, too.

        Where nobody gave a limit, the input bears what the reference beside it may read.
        """
        speed, limit = self.speed, self.speed_input_limit(in_amps=False)
        given = self.reference(speed.supply)
        if limit.is_known:
            return given if at_reference and given.is_known and given.high > limit.high else limit
        full = RANGES[speed.set_to].full if RANGES[speed.set_to].unit == "V" else USUAL_TOP_V
        gives = given.high if given.is_known else USUAL_TOP_V
        most = FAR_ABOVE * max(full, gives * at_reference)
        if speed.supply is not None:
            most = max(most, gives * (1 + SUPPLY_TOLERANCE))
        return limit.or_default(most, most, f"a usual bound, nobody gave the limit of {speed.signal}")

    def input_resistance(self, control: str) -> Fact:
        """Resistance of one switch input: given, measured, or from its voltage and current.

        Each input has its own, wherever it lies within what is said of them all.
        """
        given = replace(self.of("input resistance"), key=self._key("input resistance", control))
        if given.is_known:
            return given
        opened, closed, measured = self.open_v(control), self.closed_v(control), self.closed_a(control)
        drop = abs(opened.low - closed.low) if opened.is_known and closed.is_known else 0.0
        if drop and measured.is_known and measured.low > 0 and control != self._unread:
            return given.told(drop / measured.high, drop / measured.low, Origin.MEASURED, by=measured)
        supply, current = self.of("input voltage"), self.of("input current")
        if not (supply.is_known and current.is_known and current.low > 0 and supply.low > 0):
            return given
        return given.told(supply.low / current.high, supply.high / current.low, Origin.GIVEN, by=current)

    def input_current(self) -> Fact:
        """Current of a closed input: given, else voltage by resistance (Ohm), no more than its own limit."""
        given, limit = self.of("input current"), self.of("input limit")
        supply, ohm = self.of("input voltage"), self.of("input resistance")
        if given.is_known or not (supply.is_known and ohm.is_known and ohm.low > 0):
            return given
        most = limit.high if limit.is_known else inf
        ends = min(most, supply.low / ohm.high), min(most, supply.high / ohm.low)
        return given.told(*ends, Origin.COMPUTED, "voltage / resistance of the inputs")

    def drawn(self, control: str) -> Fact:
        """Current of one closed input at the voltage given and at the one read over it open (Ohm).

        Where nobody gives a current, its least is as much less as the supply is less than 24 V.
        """
        given, volts, read = self.input_current(), self.of("input voltage"), abs(self.open_v(control).low)
        is_read = self.open_v(control).is_known and read >= NEAR_ZERO_V
        if not given.is_known:
            supply = read if is_read else volts.high if volts.is_known else _USUAL_V
            return replace(given, low=given.low * min(1.0, supply / _USUAL_V))
        if not (is_read and volts.is_known and volts.low > 0):
            return given
        return replace(
            given, low=given.low * min(1.0, read / volts.high), high=given.high * max(1.0, read / volts.low)
        )

    def input_limit(self, control: str) -> Fact:
        """Current at which one switch input limits itself."""
        return replace(self.of("input limit"), key=self._key("input limit", control))

    def closed_a(self, control: str) -> Fact:
        """Current measured through the closed switch; unknown where no input has such a one."""
        read, drawn = self.read_a(control), self.drawn(control)
        low, high = ROWS["input current"].low, ROWS["input current"].high
        is_one = read.high >= min(low, drawn.low * 0.8) and read.low <= max(high, drawn.high * 1.2)
        return read if is_one else self._closed_a(control, None)

    def read_a(self, control: str) -> Fact:
        """The same as the meter showed it, whatever that is."""
        entry = self.switched(control)
        return self._closed_a(control, entry and entry.meter_current)

    def _closed_a(self, control: str, text: object) -> Fact:
        ask = "measure it: mA, meter in the wire at the input"
        row = ROWS["input current"]._replace(name="closed current", ask=ask)
        return self._fact(f"meter-current/{control}", row, text, (control, "meter-current"), Origin.MEASURED)

    def threshold(self, which: str, unit: str) -> Fact:
        """From where an input is surely "on", or up to where surely "off": volts over it or current.

        Given, else of the type by IEC 61131-2; in the unit asked for, else unknown.
        """
        given = self.of(f"input {which}")
        if given.is_known and given.unit == unit:
            return given
        key, ask = f"{given.key}/{unit}", f"{ROWS['input on'].ask}, on and off levels"
        unknown = replace(given, key=key, origin=Origin.UNKNOWN, where="", unit=unit, ask=ask)
        if given.is_known or self.inputs.type is None:
            return unknown
        value: float = getattr(INPUT_CLASSES[self.inputs.type], f"{which}_{unit.lower()}")
        known = unknown.told(value, value, Origin.STANDARD, f"IEC 61131-2 type {self.inputs.type}")
        return replace(known, path=("drive", "inputs", "type"))

    def spare_supplies(self, reference: bool) -> tuple[str, ...]:
        """Return the terminals that by their label alone give plus for inputs, or a reference.

        They stand on the strip or in a link, and nothing that a control names is joined to them.
        """
        own = self.mapping
        taken = {label for name in own.control_names for _, label in drive_ends(own.control(name))}
        links = [frozenset(link.between) for link in own.drive.links]
        while more := [link for link in links if link & taken and not link <= taken]:
            taken = taken.union(*more)
        labels = dict.fromkeys(chain(own.drive.strip, *(link.between for link in own.drive.links)))
        found = {label: volts for label in labels if (volts := label_voltage(label)) and label not in taken}
        return tuple(
            label
            for label, volts in found.items()
            if (volts < INPUTS_V and self.speed.common is not None) is reference
        )

    # ---- the controller ----

    def inputs_supply(self, label: str) -> Fact:
        """Voltage of the controller's supply at its inputs' common: given, else what the label says."""
        given = self.of("controller supply")
        own = replace(given, key=self._key("controller", label))
        return given if given.is_known else _by_label(own, label)

    # ---- outputs ----

    def output(self, control: str) -> Output | None:
        """Return the output that acts for a control, if one does."""
        entry = self.switched(control)
        return entry.output if entry else None

    def given_of_output(self, control: str, key: str) -> tuple[str | None, tuple[str | int, ...]]:
        """Return what the mapping says of a control's output, its own or all outputs', and where."""
        own, shared = self.output(control), self.mapping.controller.outputs
        for table, path in ((own, (control, "output", key)), (shared, ("controller", "outputs", key))):
            text = getattr(table, key, None)
            if text is not None:
                return str(text), path
        return None, ("controller", "outputs", key)

    def rest(self, control: str) -> str:
        """Return what an output does while the controller starts; "unknown" where nobody says."""
        return self.given_of_output(control, "rest")[0] or "unknown"

    def rating(self, control: str, what: str) -> Fact:
        """Return a figure of a control's output: its own, else of all the controller's outputs, or a default.

        What the closed output drops has none where it joins to plus: such drivers drop more than couplers,
        nobody knows how much.
        """
        row, output = ROWS[what], self.output(control)
        text, path = self.given_of_output(control, *row.path)
        given = self._fact(f"{what}/{control}", row, text, path)
        to_minus = output is not None and (output.kind == "isolated" or output.joins == "minus")
        has_none = what not in DEFAULTS or (what == "output saturation" and not to_minus)
        return given if has_none else or_usual(given, what)

    # ---- speed ----

    def reference_said(self, label: str | None) -> Fact:
        """Voltage of the drive's reference supply, given or by its label, whatever was read."""
        return _by_label(self.of("reference voltage"), label)

    def reference(self, label: str | None) -> Fact:
        """Voltage of the drive's reference supply: given, else as read where that is what its label says."""
        said, common = self.reference_said(label), self.speed.common
        sign, slack = {(label, common): 1, (common, label): -1}, REFERENCE_TOLERANCE * said.high
        read = {
            sign.get((one.red, one.black), 0) * one.value: one.index
            for one in self.mapping.taken
            if one.unit == "V"
        }
        near = [volts for volts in read if abs(volts - said.high) <= slack]
        if said.origin is not Origin.DEFAULT or not near:
            return said
        where, line = self._line(("readings", read[max(near)]))
        return replace(said.told(min(near), max(near), Origin.MEASURED, where), line=line)

    def feed_voltage(self, label: str) -> Fact:
        """Voltage where bench switches take plus from: the inputs' supply, else what its label says."""
        return _by_label(replace(self.of("input voltage"), key=self._key("feed voltage", label)), label)

    @property
    def ends_in_amps(self) -> bool:
        """Whether the speed input is set to milliamperes in the end."""
        return RANGES[self.speed.set_to].unit == "A"

    def speed_input_ohm(self, in_amps: bool) -> Fact:
        """Resistance of the speed input while it is set to milliamperes, or to volts.

        One figure is given and it is that of one setting: the final one if it can be.  Of the other it is
        unknown; of milliamperes some 10 to 500 ohm: at most 300 ohm by IEC 61131-2 (a handbook quotes its
        table), and what people fit themselves.
        """
        given = self.of("analog resistance")
        can_be = given.low <= _MOST_IN_AMPS if self.ends_in_amps else given.high >= _LEAST_IN_VOLTS
        if given.is_known and (self.ends_in_amps == in_amps) is can_be:
            return given
        row = ROWS["analog resistance"]
        row = row._replace(low=10.0, high=500.0) if in_amps else row
        return self._fact("analog resistance", row, None, row.path)

    def speed_input_limit(self, in_amps: bool) -> Fact:
        """Limit of the speed input while it is set to milliamperes, or to volts; V or A.

        One in milliamperes says nothing of an input set to volts; one in volts holds for the terminal.
        """
        given, row = self.of("analog limit"), ROWS["analog limit"]
        return given if in_amps or given.unit == "V" else self._fact("analog limit", row, None, row.path)

    def source_level(self, command: float) -> tuple[Figure, str, Fact | None]:
        """Return what the source gives at a command, -1 to 1, its unit, and its real top if given.

        A source without a direction of its own gives for a negative command what it gives at rest.
        """
        assert self.speed.source is not None
        signal = RANGES[self.speed.source.range]
        top = self.of("source top")
        if not top.is_known or top.unit != signal.unit or command < 0:
            level = signal.at(command if signal.reverse is not None else max(command, 0.0))
            return Figure("", level, level), signal.unit, None
        ends = sorted(signal.rest + command * (end - signal.rest) for end in (top.low, top.high))
        return Figure(top.key, ends[0], ends[1]), signal.unit, top

    def compliance(self) -> Fact:
        """The most that a source of milliamperes pushes: none of its own in a loop that the drive feeds."""
        given, source = self.of("source compliance"), self.speed.source
        if source is not None and source.feed is not None and not given.is_known:
            return given.told(0.0, 0.0, Origin.COMPUTED, "an output that the drive feeds")
        return self.usual("source compliance")

    def pulse_mean(self, share: float) -> Fact:
        """Mean of the pulses at a command, a share of the time that they are high."""
        level = self.of("pulse level")
        key = f"{level.key}/{share:g}"
        return replace(level, key=key, low=share * level.low, high=share * level.high)

    def converter_supply(self) -> Fact:
        """Voltage that a converter is fed with: given, else by the label of what feeds it."""
        converter = self.speed.source.converter if self.speed.source else None
        return _by_label(self.of("converter supply"), converter.supply_from if converter else None)

    def source_load(self) -> Fact:
        """Least ohms of a voltage output, by default 1 kohm; most of a current output."""
        source = self.speed.source
        in_amps = source is None or RANGES[source.range].unit == "A"
        return self.of("source load") if in_amps else self.usual("source load")

    def pot_value(self) -> Fact:
        """The potentiometer's resistance with its tolerance."""
        fact, pot = self.of("pot"), self.speed.potentiometer
        if not fact.is_known or pot is None or pot.tolerance is None:
            return fact
        share = read_quantity(pot.tolerance, "%").high / 100
        return replace(fact, low=max(0.0, fact.low * (1 - share)), high=fact.high * (1 + share))

    def other_inputs(self) -> tuple[Fact, ...]:
        """Resistances of further inputs on the same analog output."""
        texts = self.speed.source.other_inputs if self.speed.source else ()
        row = Row("another input", "", "ohm", "", 1e3, 10e6)
        path = ("speed", "source", "other-inputs")
        return tuple(self._fact(f"other input {at}", row, text, path) for at, text in enumerate(texts))

    # ---- cables ----

    def cable_of(self, name: str) -> tuple[int, Cable] | None:
        """Return the cable called `name`, "" for that of wires that name none, and its place in the list."""
        cables = enumerate(self.mapping.cables)
        return next(((index, cable) for index, cable in cables if (cable.name or "") == name), None)

    def ohm_per_km(self, cable: str) -> Fact:
        """Most resistance of 1 km of one of a cable's conductors, by data sheet or standard."""
        found = self.cable_of(cable)
        row, key = Row("resistance of the cable's conductor", "", "ohm/km", "", 0, 300), f"conductor/{cable}"
        if found is None:
            ask = "give the cable's length and conductor under [[cables]]"
            return self._fact(key, row._replace(ask=ask), None, ("cables",))
        index, entry = found
        if entry.resistance is not None:
            return self._fact(key, row, entry.resistance, ("cables", index, "resistance"))
        unknown = self._fact(key, row, None, ("cables", index, "conductor"))
        if entry.conductor is None:
            return replace(unknown, ask="give the conductor's size as printed on the cable")
        size, kind = read_conductor(entry.conductor)
        warm = read_quantity(entry.temperature, "°C").high if entry.temperature else 20.0
        if kind == "AWG":
            value = awg_most_ohm_per_km(int(size), warm)
            where = "ASTM B258, solid copper and a quarter more for strands and tin"
        else:
            grade = entry.strand_class or 5
            try:
                value = conductor_ohm_per_km(size, grade, temperature_c=warm)
                where = f"{'IEC 60228' if size >= 0.5 else 'DIN VDE 0295'} class {grade}, tinned"
            except KeyError:
                ask = f"{size:g} mm2 class {grade} is in no table here: give its resistance in ohm/km"
                return replace(unknown, ask=ask, path=("cables", index, "resistance"))
        return unknown.told(value, value, Origin.STANDARD, where)

    def wire_ohm(self, cable: str) -> Fact:
        """Resistance of one conductor of a cable, up to its most, ohm; nothing where no cable is given.

        Standards promise only the most.
        """
        row = Row(tr_later("resistance of one wire"), "", "ohm", "", 0, 100)
        found, per_km = self.cable_of(cable), self.ohm_per_km(cable)
        base = self._fact("wire", row, None, per_km.path)
        base = replace(base, key="/".join(("wire", *cable_of(cable, self.drive))))
        if found is None:
            return base.or_default(0.0, 0.0, tr("no cable given, its wires taken as nothing"))
        index, entry = found
        run = Row("length of the cable", "", "m", "measure the cable's run", 0, 1e3)
        length = self._fact(f"length/{cable}", run, entry.length, ("cables", index, "length"))
        for part in (per_km, length):
            if not part.is_known:
                return replace(base, ask=part.ask, name=part.name, path=part.path)
        known = base.told(0.0, per_km.high * length.high / 1000, Origin.COMPUTED, f"{length} of {per_km}")
        return replace(known, path=length.path)
