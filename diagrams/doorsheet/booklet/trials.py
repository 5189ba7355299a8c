"""The tests of one stage: do this, expect this, in the order that keeps people whole (booklet room).

Order, from common practice (no source): everything that can be done dead is done dead; the emergency stop
is proved before anything else is tried with power; covers on before power; the motor uncoupled; a low limit
first.  Figures are those of the circuit's readings; what they don't say is a blank.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, Part, PartKind, Reading, Stage, Wire
from doorsheet.circuit.reading_words import BLANK, figure_text, volts
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["Probe", "Trial", "TrialGroup", "probes", "trials"]


@dataclass(frozen=True, slots=True)
class Trial:
    """One line: what to do, what to expect, the unit of what is measured ("" for words)."""

    do: str
    expect: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class TrialGroup:
    """Tests that belong together, and what holds for all of them."""

    title: str
    note: str
    trials: tuple[Trial, ...]


def trials(
    mapping: Mapping, circuit: Circuit, before: Circuit | None, wait: str | None
) -> tuple[TrialGroup, ...]:
    """Return the tests of a stage; `before` is the stage that it follows, None for the first.

    `wait` is the time to wait before the drives of the machine are touched, None as long as it is unknown.
    """
    touched = _touched(mapping, circuit, before)
    groups = (
        TrialGroup(
            "1  Power off and locked off",
            "Nothing in this part needs power.",
            tuple(_dead(mapping, circuit, before, wait or "__________")),
        ),
        TrialGroup(
            "2  Emergency stop first, then a low limit: the first power",
            "Motor uncoupled, covers on. If one of these fails, go no further.",
            tuple(_emergency(mapping, circuit, before)),
        ),
        TrialGroup(
            "3  Readings at the drive's terminals, DC",
            "Clip the meter's leads on while the power is locked off and the drive proved dead; covers on; "
            "then power. Where that can't be done it is live work, for qualified persons only. Closing a "
            "contact may start the motor: one hand at the emergency stop.",
            tuple(_readings(mapping, circuit, touched)),
        ),
        TrialGroup(
            "4  Runs",
            "Motor uncoupled, covers on, low limit still set.",
            tuple(_runs(mapping, circuit, before, touched)),
        ),
    )
    return tuple(group for group in groups if group.trials)


def _touched(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> frozenset[str]:
    """Return the controls to test in full: all at both ends of the way, between them those that moved."""
    if before is None or circuit.step.name == "final":
        return frozenset(mapping.control_names)
    stood = {wire.number: wire.near for wire in before.wires}
    moved = [wire for wire in circuit.wires if stood.get(wire.number) != wire.near]
    return frozenset(name for wire in moved for name in wire.controls)


# ---- Dead ----


def _dead(mapping: Mapping, circuit: Circuit, before: Circuit | None, wait: str) -> Iterator[Trial]:
    yield Trial(
        f"Lock off, wait {wait} (the drive's label is right where they differ), prove dead.",
        "no voltage at the drive's power terminals, between them and to earth",
        "V",
    )
    if before is None:
        yield Trial("Take belt, coupling or tool off the motor.", "the motor turns nothing")
        for link in mapping.drive.links:
            yield Trial(
                f"Link {' – '.join(link.between)}{f' ({link.note})' if link.note else ''}.", "in place"
            )
        for selector in mapping.drive.selectors:
            yield Trial(f"{selector.name}.", f"set to {selector.set}")
    if before is None:
        for part in circuit.parts:
            if part.kind is PartKind.POTENTIOMETER:
                yield Trial(f"{part.name}, wires off: end to end.", part.rating or "value not given", "ohm")
    fitted = {wire.number: wire for wire in before.wires} if before is not None else {}
    for wire in circuit.wires:
        if wire.number not in fitted:
            yield Trial(
                f"Fit wire {_named(wire)}: {wire.near} to {wire.far}{circuit.through(wire.number)}. "
                "Continuity.",
                "joined; to no other terminal beside it",
            )
        elif fitted[wire.number].near != wire.near:
            yield Trial(
                f"Move wire {_named(wire)} from {fitted[wire.number].near} to {wire.near}. "
                f"Continuity to {wire.far}.",
                "joined; to no other terminal beside it",
            )
    here = {wire.number for wire in circuit.wires}
    for number, wire in fitted.items():
        if number not in here:
            yield Trial(f"Take wire {_named(wire)} off {wire.far}.", "off at both ends, or its end insulated")
    yield Trial("Covers on. Nobody at the motor.", "nothing live within reach")


def _named(wire: Wire) -> str:
    return f"{wire.number} {wire.colour.letters}"


# ---- Emergency stop ----


def _emergency(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    hardware = mapping.stop.hardware if mapping.stop is not None else None
    acts = hardware if hardware and hardware.lower() not in ("none", "unknown") else f"its device ({BLANK})"
    run = _run_words(mapping, circuit)
    yield Trial("Emergency stop in. Power on.", f"motor stands; {acts} has acted")
    yield Trial(f"Emergency stop in: {run}.", "motor stands")
    yield Trial(f"Still so ({run}): let the emergency stop out, no new command.", "motor stands")
    if before is None:
        yield Trial("Commands off. Make the settings of the list; keypad in command.", "as listed")
    yield Trial("Maximum frequency set low, for these tests.", "the limit chosen", "Hz")
    if before is None:
        yield Trial("From the keypad: start, turn up a little.", "motor turns smoothly", "Hz")
    yield Trial("Run at lowest speed, then press the emergency stop.", "motor stops in", "s")


def _run_words(mapping: Mapping, circuit: Circuit) -> str:
    for name in ("run-forward", "run-reverse", "jog", "enable", *mapping.control_names):
        if name in mapping.control_names and isinstance(mapping.control(name), SwitchedControl):
            part = _part(circuit, name)
            if part is not None:
                words = name.replace("-", " ")
                return f"{part.name} closed" if part.kind is PartKind.SWITCH else f"{words} commanded"
    return "speed commanded"


def _part(circuit: Circuit, control: str) -> Part | None:
    """Return what commands a control at this stage: no contact inside the drive."""
    return next(
        (part for part in circuit.parts if part.control == control and part.block is not BlockKind.DRIVE),
        None,
    )


# ---- Readings ----


@dataclass(frozen=True, slots=True)
class Probe:
    """Where the meter's leads go for one reading, in which mode and state, and what is to be seen."""

    wire: str
    red: str
    black: str  # "" where the meter stands in the wire
    unit: str  # V or mA
    state: str
    expect: str
    measured: str | None = None  # what the mapping says was read


def probes(mapping: Mapping, circuit: Circuit) -> tuple[Probe, ...]:
    """Return every reading to take at the drive's terminals at a stage."""
    out: list[Probe] = []
    for reading in circuit.readings:
        control = mapping.control(circuit.wire(reading.wire).control)
        # the black lead's own place, and contacts, which are tested by what they do, have none
        if reading.against != reading.terminal and not isinstance(control, DriveContact):
            out += _probes(mapping, circuit, reading)
    return tuple(out)


def _probes(mapping: Mapping, circuit: Circuit, reading: Reading) -> Iterator[Probe]:
    wire = circuit.wire(reading.wire)
    part = _part(circuit, wire.control)
    control = mapping.control(wire.control)
    common = None if isinstance(control, DriveContact) else control.common
    black = str(reading.against) if reading.against is not None else common or "its common"
    for state, figure in _states(reading, part):
        unit = "mA" if figure.rstrip("*").endswith("A") else "V"
        measured = _measured(control, part, wire, state, unit)
        yield Probe(
            wire.number,
            str(reading.terminal),
            "" if unit == "mA" else black,
            unit,
            state,
            _expected(figure),
            measured,
        )


def _measured(
    control: SwitchedControl | SpeedControl | DriveContact,
    part: Part | None,
    wire: Wire,
    state: str,
    unit: str,
) -> str | None:
    """Return what the mapping says the meter read; closed readings are of the device it ends with."""
    if not isinstance(control, SwitchedControl) or wire.role != "input":
        return None
    if state.endswith("open"):
        return None if control.reading_v is None else volts(control.reading_v)
    if part is None or part.block == "bench":
        return None
    if unit == "mA":
        return control.meter_current
    return None if control.closed_v is None else volts(control.closed_v)


def _readings(mapping: Mapping, circuit: Circuit, touched: frozenset[str]) -> Iterator[Trial]:
    for probe in probes(mapping, circuit):
        if not touched & set(circuit.wire(probe.wire).controls):
            continue
        where = f"Red on {probe.red}, black on {probe.black}"
        if not probe.black:
            where = f"Meter for mA in wire {probe.wire} at {probe.red}"
        yield Trial(f"{where}{f'; {probe.state}' if probe.state else ''}.", probe.expect, probe.unit)


def _states(reading: Reading, part: Part | None) -> Iterator[tuple[str, str]]:
    """Yield a reading's states with their figures: computed where they are, else as the sheet has them."""
    named = part.name if part is not None and part.kind in (PartKind.SWITCH, PartKind.POTENTIOMETER) else ""
    for value in reading.values:
        yield _STATES[value.state].format(named or "output").strip(), figure_text(value, 2)


_STATES: Final = {
    "open": "{} open",
    "closed": "{} closed",
    "current": "{} closed",
    "low": "{} at its low end",
    "mid": "{} in the middle",
    "high": "{} at its high end",
    "rest": "stop commanded",
    "half": "half speed commanded",
    "full": "full speed commanded",
    "reverse": "full speed in reverse commanded",
    "supply": "",
}


def _expected(figure: str) -> str:
    """Return a figure as the sheet has it; what nobody gave is said to be so."""
    return "not given" if BLANK in figure else figure.replace("*", " (default)")


# ---- Runs ----


def _runs(
    mapping: Mapping, circuit: Circuit, before: Circuit | None, touched: frozenset[str]
) -> Iterator[Trial]:
    if before is None and mapping.control_names:
        yield Trial("Command from the terminals now.", "the keypad's run key starts nothing")
    for name in [name for name in mapping.control_names if name in touched]:
        control = mapping.control(name)
        part = _part(circuit, name)
        if isinstance(control, DriveContact):
            if part is not None:
                yield from _contact(name, control)
        elif part is not None and isinstance(control, SwitchedControl):
            yield from _switched(name, part)
    if {"run-forward", "run-reverse"} <= set(mapping.control_names):
        known = mapping.drive.both_directions
        said = {"stops": "motor stops", "forward": "turns forward", "reverse": "turns in reverse"}.get(
            known or ""
        )
        yield Trial("Forward and reverse together.", said or f"as the drive's manual says: {BLANK}")
    if "speed" in touched:
        yield from _speed(circuit)
    if others := [name.replace("-", " ") for name in mapping.control_names if name not in touched]:
        there = [name for name in others if _part(circuit, name.replace(" ", "-")) is not None]
        if there:
            yield Trial(f"Not moved at this stage: {', '.join(there)}. Try each.", "as at the stage before")
    if circuit.stage is not Stage.BENCH and any(part.block == "controller" for part in circuit.parts):
        yield Trial(
            "Restart the controller with the drive under power, nothing commanded.", "motor stands throughout"
        )
        yield Trial("Run at low speed; take the controller's supply away.", "motor stops in", "s")
    yield Trial("Power off, wait, power on again; read every setting back.", "as in the list of settings")


def _switched(name: str, part: Part) -> Iterator[Trial]:
    words = name.replace("-", " ")
    close = f"Close {part.name}" if part.kind is PartKind.SWITCH else f"Command {words}"
    leave = f"open {part.name}" if part.kind is PartKind.SWITCH else "take it away"
    match name:
        case "run-forward" | "run-reverse":
            way = "forward" if name == "run-forward" else "in reverse"
            yield Trial(f"{close}, lowest speed.", f"motor turns {way}, as the machine needs it", "Hz")
            yield Trial(f"Then {leave}.", "motor stops in", "s")
        case "enable":
            yield Trial(f"{close}, run; then {leave}.", "runs only while enabled; stops in", "s")
        case "fault-reset":
            yield Trial(f"After a trip, no run command: {close.lower()}.", "trip clears; motor stands")
        case "jog":
            yield Trial(f"{close}; then {leave}.", "turns while closed", "Hz")
        case _:
            yield Trial(f"{close} alone, run.", f"speed of {words}", "Hz")


def _contact(name: str, control: DriveContact) -> Iterator[Trial]:
    if name == "fault":
        yield Trial("Make the drive trip, the way its manual says.", "controller sees the fault")
    else:
        yield Trial("Run, then stop.", "controller sees running, then not")
    yield Trial(
        f"Take the wire at {control.terminals[0]} off (power off first), power on.",
        f"write down whether the controller now says {name}",
    )


def _speed(circuit: Circuit) -> Iterator[Trial]:
    part = _part(circuit, "speed")
    if part is None:
        return
    if part.kind is PartKind.POTENTIOMETER:
        yield Trial(f"Run; {part.name} from its low end up, slowly.", "speed rises evenly to the limit", "Hz")
        yield Trial(f"{part.name} back to its low end.", "lowest speed, as set", "Hz")
    else:
        yield Trial(
            "Run; command speeds from zero up, in five steps.", "speed rises evenly to the limit", "Hz"
        )
        yield Trial("Command zero, run still on.", "lowest speed; standing still needs run taken away", "Hz")
