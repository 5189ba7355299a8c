"""What the speed signal must show: potentiometer and analog source, each over the worst corner of its facts.

Room: circuit.  Every function gives a `Level`, or `Unknown` with the fact that
is missing.  Levels hold with every switch open.
"""

from __future__ import annotations

from doorsheet.circuit.electric import parallel, worst_loaded_error
from doorsheet.circuit.facts import Fact, Facts, Known, Unknown, missing
from doorsheet.circuit.level import Corner, Level, make_level
from doorsheet.circuit.loops import loops
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.quantities import Interval

__all__ = [
    "COMMANDS",
    "STEPS",
    "pot_current",
    "pot_error",
    "pot_levels",
    "pot_power_w",
    "source_levels",
    "source_load_ohm",
    "top_speed",
]

STEPS = (("low", 0.0), ("mid", 0.5), ("high", 1.0))
"""Places of the wiper that the sheet tells, by name and travel."""

COMMANDS = (("stopped", 0.0), ("half", 0.5), ("full", 1.0))
"""Commands that the sheet tells, by name and share of full speed."""


def _input_ohm(at: Corner) -> float:
    """Return the speed input with the burden across it."""
    return parallel(at["load"], at["burden"]) if "burden" in at else at["load"]


# ---- potentiometer ----


def _pot_facts(facts: Facts, circuit: Circuit) -> dict[str, Known]:
    found: dict[str, Known] = {
        "reference": facts.reference_voltage(),
        "pot": facts.pot_value(),
        "load": facts.analog_resistance(),
        "series": facts.series(),
    }
    if isinstance(burden := facts.burden(), Fact):
        found["burden"] = burden
    for role in ("signal", "common", "supply"):
        found[role] = _wire(facts, circuit, role)
    return found


def _wire(facts: Facts, circuit: Circuit, role: str) -> Known:
    """Return the resistance of the potentiometer's wire to the drive's terminal of that role."""
    speed = facts.mapping.speed
    label = getattr(speed, role) if speed is not None else None
    if label is None:
        return Unknown(f"way of the speed {role}", "the mapping names no terminal for it", ("speed", role))
    wires = (wire for wire in circuit.wires if "speed" in wire.controls and wire.far.label == label)
    wire = next(wires, None)
    return facts.wire_resistance(wire.control if wire is not None else "speed")


def _wiper_v(at: Corner, travel: float) -> float:
    """Return volts at the speed input for one place of the wiper; every wire has its resistance.

    The reference is steady between the drive's own terminals; the low end's wire lies below
    the wiper, the signal's wire and any series resistor between wiper and input.
    """
    load = _input_ohm(at)
    branch = at["signal"] + at["series"] + load
    foot = at["common"]
    leg = travel * at["pot"]
    above = (1 - travel) * at["pot"] + at["supply"]
    below = parallel(leg + foot, branch)
    if above + below == 0:
        return 0.0
    return at["reference"] * below / (above + below) * load / branch


def pot_levels(facts: Facts, circuit: Circuit) -> tuple[tuple[str, Level | Unknown], ...]:
    """Return volts at the speed input, signal against common, at the wiper's ends and middle.

    The middle of a logarithmic potentiometer is unknown.
    """
    found = _pot_facts(facts, circuit)
    speed = facts.mapping.speed
    taper = speed.potentiometer.taper if speed and speed.potentiometer else None
    levels: list[tuple[str, Level | Unknown]] = []
    for name, travel in STEPS:
        if name == "mid" and taper == "logarithmic":
            ask = "measure it: a logarithmic potentiometer says nothing of its middle"
            levels.append((name, Unknown("middle of the potentiometer", ask, ("speed", "potentiometer"))))
            continue

        def at_travel(at: Corner, travel: float = travel) -> float:
            return _wiper_v(at, travel)

        levels.append((name, make_level(f"speed signal, {name}", "V", found, at_travel)))
    return tuple(levels)


def pot_current(facts: Facts, circuit: Circuit) -> Level | Unknown:
    """Return what the reference supply gives with the wiper at the top, A, which is the most it gives."""
    found = _pot_facts(facts, circuit)

    def current(at: Corner) -> float:
        branch = at["signal"] + at["series"] + _input_ohm(at)
        return at["reference"] / (at["supply"] + parallel(at["pot"] + at["common"], branch))

    return make_level("current from the reference supply", "A", found, current)


def pot_power_w(facts: Facts) -> Level | Unknown:
    """Return the power in the potentiometer, W: reference squared over its resistance."""
    found = {"reference": facts.reference_voltage(), "pot": facts.pot_value()}
    return make_level("power in the potentiometer", "W", found, lambda at: at["reference"] ** 2 / at["pot"])


def pot_error(facts: Facts) -> Level | Unknown:
    """Return how far loading pulls the wiper below its place, share of full scale, at its worst travel."""
    found = {"pot": facts.pot_value(), "load": facts.analog_resistance()}
    return make_level(
        "error of the loaded potentiometer",
        "",
        found,
        lambda at: worst_loaded_error(at["pot"] / at["load"])[1],
    )


# ---- analog source ----


def _source_facts(facts: Facts, circuit: Circuit) -> dict[str, Known] | Unknown:
    """Return the facts of the source's loop; wires only where they matter, in a loop of volts."""
    span = facts.source_span()
    if span is None:
        return Unknown("analog output", "the mapping names none", ("speed", "source"))
    ways = loops(facts.mapping, circuit, "speed")
    if len(ways) != 1 or ways[0].part is None:
        said = "it has no way back" if not ways else "there is more than one way round"
        return Unknown("loop of the speed", said, ("speed",))
    found: dict[str, Known] = {"load": facts.analog_resistance()}
    if isinstance(burden := facts.burden(), Fact):
        found["burden"] = burden
    if span[1] == "V":
        found["source"], found["series"] = facts.source_resistance(), facts.series()
        for index, wire in enumerate(ways[0].wires):
            found[f"wire {index}"] = facts.wire_resistance(wire.control)
        found |= {f"other {index}": fact for index, fact in enumerate(facts.other_inputs())}
    elif facts.other_inputs():
        return Unknown("share of the current", "several inputs in one current loop", ("speed", "source"))
    if isinstance(top := facts.source_top(), Fact) and top.unit == span[1]:
        found["top"] = top
    return found


def _sum(at: Corner, kind: str) -> float:
    return sum(value for key, value in at.items() if key.startswith(kind))


def _source_v(ends: Interval, unit: str, at: Corner, command: float) -> float:
    """Return volts at the speed input for one command, 0..1."""
    drives = ends.low + command * (at.get("top", ends.high) - ends.low)
    load = _input_ohm(at)
    if unit == "A":
        return drives * load
    branch = load + at["series"] + _sum(at, "wire ")
    at_source = parallel(branch, *(value for key, value in at.items() if key.startswith("other ")))
    return drives * at_source / (at_source + at["source"]) * load / branch


def source_levels(facts: Facts, circuit: Circuit) -> tuple[tuple[str, Level | Unknown], ...]:
    """Return volts at the speed input, signal against common, at no, half and full command."""
    found, span = _source_facts(facts, circuit), facts.source_span()
    if isinstance(found, Unknown) or span is None:
        unknown = found if isinstance(found, Unknown) else Unknown("analog output", "the mapping names none")
        return tuple((name, unknown) for name, _ in COMMANDS)
    levels: list[tuple[str, Level | Unknown]] = []
    for name, command in COMMANDS:

        def at_command(at: Corner, command: float = command) -> float:
            return _source_v(*span, at, command)

        levels.append((name, make_level(f"speed signal, {name}", "V", found, at_command)))
    return tuple(levels)


def source_load_ohm(facts: Facts, circuit: Circuit) -> Level | Unknown:
    """Return what the analog output has to drive, ohm.

    The input with burden, series resistor and wires; further inputs beside it in
    a loop of volts, after it in a loop of current.
    """
    found: dict[str, Known] = {"load": facts.analog_resistance(), "series": facts.series()}
    if isinstance(burden := facts.burden(), Fact):
        found["burden"] = burden
    for way in loops(facts.mapping, circuit, "speed")[:1]:
        found |= {f"wire {i}": facts.wire_resistance(wire.control) for i, wire in enumerate(way.wires)}
    found |= {f"other {index}": fact for index, fact in enumerate(facts.other_inputs())}
    span = facts.source_span()
    in_series = span is not None and span[1] == "A"

    def load(at: Corner) -> float:
        own = _input_ohm(at) + at["series"] + _sum(at, "wire ")
        if in_series:
            return own + _sum(at, "other ")
        return parallel(own, *(value for key, value in at.items() if key.startswith("other ")))

    return make_level("load of the analog output", "ohm", found, load)


def top_speed(facts: Facts, circuit: Circuit) -> Level | Unknown:
    """Return the share of full speed that full command reaches, from range into range.

    Loaded as far as resistances are known; else by the plain ends of both
    ranges, where their units agree.
    """
    source, drive = facts.source_span(), facts.analog_span()
    if source is None:
        return Unknown("analog output", "the mapping names none", ("speed", "source"))
    if drive is None:
        ask = "read the range that the drive's input is set to, and write it as range"
        return Unknown("range of the speed input", ask, ("speed", "range"))
    (ends, unit), (into, into_unit) = source, drive

    def share(value: float) -> float:
        return (value - into.low) / (into.high - into.low)

    name = "share of full speed at full command"
    if unit == into_unit:
        loaded = _source_facts(facts, circuit) if unit == "V" else Unknown("", "")
        if not isinstance(loaded, Unknown) and missing(*loaded.values()) is None:
            return make_level(name, "", loaded, lambda at: share(_source_v(ends, unit, at, 1.0)))
        top = facts.source_top()
        plain = {"top": top} if isinstance(top, Fact) and top.unit == unit else {}
        return make_level(name, "", plain, lambda at: share(at.get("top", ends.high)))
    if unit == "A":  # a current over the burden, or over the input itself
        loaded = _source_facts(facts, circuit)
        if isinstance(loaded, Unknown):
            return loaded
        return make_level(name, "", loaded, lambda at: share(_source_v(ends, unit, at, 1.0)))
    return Unknown("volts into a current input", "a current input needs a current source", ("speed", "range"))
