"""What a switched control must show, open and closed, each over the worst corner of its facts.

Room: circuit.  Every function gives a `Level`, or `Unknown` with the fact that
is missing.  Levels hold with every other switch open and the speed source at
nothing.  An input joined to its common by the switch is a supply behind a
resistance (the drive's); an input fed with plus is that resistance alone.
"""

from __future__ import annotations

from dataclasses import dataclass

from doorsheet.circuit.electric import switched_current_a
from doorsheet.circuit.facts import Fact, Facts, Known, Unknown
from doorsheet.circuit.level import Corner, Level, level_of_fact, make_level
from doorsheet.circuit.loops import Loop, loops
from doorsheet.circuit.parts import Circuit, PartKind

__all__ = [
    "feed_v",
    "input_closed_v",
    "input_leak_a",
    "input_leak_v",
    "switch_closed_v",
    "switch_current",
    "switch_open_v",
    "wires_drop_v",
]


@dataclass(frozen=True, slots=True)
class _Closed:
    """A closed loop and its facts: supply, input, drop, and one for each wire."""

    loop: Loop
    facts: dict[str, Known]

    @property
    def on_bench(self) -> bool:
        """Whether a hand-operated switch closes it."""
        return self.loop.part is not None and self.loop.part.kind is PartKind.SWITCH

    @property
    def fed(self) -> bool:
        """Whether closing it feeds plus to the input, so that the input reads nothing when open."""
        pins = self.loop.part.pins if self.loop.part else ()
        return self.loop.supply == "controller" or any(pin.role == "feed" for pin in pins)

    def wires_ohm(self, at: Corner) -> float:
        """Return the loop's wires in series."""
        return sum(at[f"wire {wire.control}"] for wire in self.loop.wires)

    def current(self, at: Corner) -> float:
        """Return the current round the loop."""
        return switched_current_a(at["supply"], at.get("drop", 0.0), at["input"], self.wires_ohm(at))


def _closed(facts: Facts, circuit: Circuit, control: str) -> _Closed | Unknown:
    """Return the one loop of a control's closed switch, with its facts known or not."""
    found = loops(facts.mapping, circuit, control)
    if len(found) != 1 or found[0].part is None:
        said = "its switch has no way back" if not found else "there is more than one way round"
        return Unknown(f"loop of {control}", said, (control,))
    loop = found[0]
    if loop.part is not None and loop.part.kind is PartKind.LOGIC:
        return Unknown("level of the logic output", "it can't carry a drive's input", (control, "output"))
    outside = loop.supply == "controller"
    known: dict[str, Known] = {
        "supply": facts.controller_supply() if outside else facts.input_supply(control),
        "input": facts.input_resistance(control),
    }
    closed = _Closed(loop, known)
    if not closed.on_bench:
        known["drop"] = facts.output_saturation(control)
    known.update({f"wire {wire.control}": facts.wire_resistance(wire.control) for wire in loop.wires})
    return closed


def switch_current(facts: Facts, circuit: Circuit, control: str) -> Level | Unknown:
    """Return the current round the closed loop, A: (supply - drop)/(input + wires)."""
    closed = _closed(facts, circuit, control)
    if isinstance(closed, Unknown):
        return closed
    return make_level("current of the closed loop", "A", closed.facts, closed.current)


def switch_closed_v(facts: Facts, circuit: Circuit, control: str) -> Level | Unknown:
    """Return volts at the drive's terminals, input against common, closed; signed as the meter reads.

    Joined to its common, the input keeps the output's drop and that of the wires; fed plus, it
    gets the supply less both.
    """
    closed = _closed(facts, circuit, control)
    if isinstance(closed, Unknown):
        return closed
    name = "closed voltage at the drive"
    if closed.fed:
        return make_level(name, "V", closed.facts, lambda at: closed.current(at) * at["input"])
    sign = _sign(facts, control)
    if isinstance(sign, Unknown):
        return sign

    def kept(at: Corner) -> float:
        return sign * (at.get("drop", 0.0) + closed.current(at) * closed.wires_ohm(at))

    return make_level(name, "V", closed.facts, kept)


def _sign(facts: Facts, control: str) -> int | Unknown:
    """Return which way the meter reads, 1 or -1; unknown when nobody measured it."""
    reading = facts.input_open_v(control)
    if isinstance(reading, Unknown):
        return reading
    if reading.interval.low == 0:
        ask = "it reads 0 V, so the switch joins it to no supply"
        return Unknown("polarity of the input", ask, reading.path)
    return 1 if reading.interval.low > 0 else -1


def switch_open_v(facts: Facts, circuit: Circuit, control: str) -> Level | Unknown:
    """Return volts at the drive's terminals, input against common, open: the meter's reading if there is one.

    Without one, the inputs' supply, whose sign is then unknown, less what a
    known leakage of the output takes over the input's resistance.
    """
    name = "open voltage at the drive"
    reading = facts.input_open_v(control)
    closed = _closed(facts, circuit, control)
    if isinstance(reading, Fact):
        return level_of_fact(name, reading)
    if isinstance(closed, Unknown):
        return closed
    resistance = facts.input_resistance(control)
    leak = facts.output_leakage(control)
    if closed.fed:
        if closed.on_bench:
            return make_level(name, "V", {}, lambda at: 0.0)
        both = {"input": resistance, "leak": leak}
        return make_level(name, "V", both, lambda at: at["input"] * at["leak"])
    supply = facts.input_supply(control)
    if closed.on_bench or isinstance(leak, Unknown) or isinstance(resistance, Unknown):
        return level_of_fact(name, supply)
    known = {"supply": supply, "input": resistance, "leak": leak}
    return make_level(name, "V", known, lambda at: max(0.0, at["supply"] - at["leak"] * at["input"]))


def feed_v(facts: Facts, control: str) -> Level | Unknown:
    """Return volts at the terminal that feeds the bench switches, against the common."""
    return level_of_fact("voltage of the feed", facts.input_supply(control))


def input_closed_v(facts: Facts, circuit: Circuit, control: str) -> Level | Unknown:
    """Return volts over the input's own circuit, closed: what its on threshold is compared with."""
    closed = _closed(facts, circuit, control)
    if isinstance(closed, Unknown):
        return closed
    return make_level(
        "volts over the closed input", "V", closed.facts, lambda at: closed.current(at) * at["input"]
    )


def input_leak_a(facts: Facts, control: str) -> Level | Unknown:
    """Return the current that the open, hot output lets through the input, A."""
    return level_of_fact("current of the open input", facts.output_leakage(control))


def input_leak_v(facts: Facts, control: str) -> Level | Unknown:
    """Return volts over the input's own circuit, switch open: leakage x resistance."""
    known = {"leak": facts.output_leakage(control), "input": facts.input_resistance(control)}
    return make_level("volts over the open input", "V", known, lambda at: at["leak"] * at["input"])


def wires_drop_v(facts: Facts, circuit: Circuit, control: str) -> Level | Unknown:
    """Return volts that the closed loop leaves in its wires; unknown where a cable isn't given."""
    closed = _closed(facts, circuit, control)
    if isinstance(closed, Unknown):
        return closed
    for wire in closed.loop.wires:
        if isinstance(unsaid := facts.conductor_resistance(wire.control), Unknown):
            return unsaid
    return make_level(
        "drop of the wires", "V", closed.facts, lambda at: closed.current(at) * closed.wires_ohm(at)
    )
