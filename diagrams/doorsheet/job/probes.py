"""Every reading to take at the drive's terminals at a stage: leads, state, what to see."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import copysign
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, Expected, Part, PartKind, Reading, Use
from doorsheet.circuit.reading_words import figure_text, listed
from doorsheet.electrics.events import REST, Event, alone, commanded
from doorsheet.electrics.readings import expected
from doorsheet.electrics.signal import Way
from doorsheet.electrics.solved import Solved
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.signals import RANGES
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "COMMANDS", "Probe", "contacts_of", "event_of", "part_of", "probes", "read_alike", "signed", "unplugged",
]  # fmt: skip

_STATES: Final = {
    "open": tr_later("{part} open"), "closed": tr_later("{part} closed"),
    "current": tr_later("{part} closed"), "low": tr_later("{part} at its low end"),
    "mid": tr_later("{part} in the middle"), "high": tr_later("{part} at its high end"),
    "rest": tr_later("stop commanded"), "half": tr_later("half speed commanded"),
    "full": tr_later("full speed commanded"), "reverse": tr_later("full speed in reverse commanded"),
}  # fmt: skip


COMMANDS: Final = {
    "low": 0.0, "mid": 0.5, "high": 1.0, "rest": 0.0, "half": 0.5, "full": 1.0, "reverse": -1.0
}  # fmt: skip
"""The share of full speed that a state of a speed signal commands."""


_PASSIVE: Final = (PartKind.RESISTOR, PartKind.FIELD_CONTACT, PartKind.CONVERTER)


def event_of(state: str, use: Use) -> Event:
    """Return the state of the installation in which a control's reading is taken."""
    if state in ("closed", "current"):
        return alone(use)
    return commanded(COMMANDS[state]) if state in COMMANDS else REST


@dataclass(frozen=True, slots=True)
class Probe:
    """Where the meter's leads go for one reading, in which mode and state, and what is to be seen."""

    wire: str
    red: str
    black: str  # "" where the meter stands in the wire
    unit: str  # V or mA
    state: str
    control: str
    key: str  # of the state: "open", "low", "supply"
    value: Expected
    measured: str | None = None  # what the mapping says was read
    sign_open: bool = False  # nobody knows yet which way round it reads

    @property
    def expect(self) -> str:
        """The figure to be seen, as the sheet has it; what nobody gave is said to be so."""
        return expect_words(self.value)


def part_of(circuit: Circuit | None, control: str) -> Part | None:
    """Return what commands a control at this stage, not what is fitted on the way or in the drive."""
    own = (part for part in (circuit.parts if circuit else ()) if part.control == control)
    commands = (part for part in own if part.block is not BlockKind.DRIVE and part.kind not in _PASSIVE)
    return next(commands, None)


def contacts_of(circuit: Circuit, control: str) -> tuple[str, ...]:
    """Return the names of the contacts on the machine that a control goes through at this stage."""
    own = (part for part in circuit.parts if part.control == control)
    return tuple(dict.fromkeys(part.name for part in own if part.kind is PartKind.FIELD_CONTACT))


def probes(mapping: Mapping, circuit: Circuit) -> tuple[Probe, ...]:
    """Return the readings of one drive's share of a circuit, all volts before all milliamperes."""
    found = [probe for reading in circuit.readings for probe in _probes(mapping, circuit, reading)]
    return tuple(sorted(found, key=lambda probe: probe.unit != "V"))


def _probes(mapping: Mapping, circuit: Circuit, reading: Reading) -> Iterator[Probe]:
    wire = circuit.wire(reading.wire)
    control = mapping.control(wire.control)
    # the black lead's own place, and contacts, which are tested by what they do, have none
    if reading.against == reading.terminal or isinstance(control, DriveContact):
        return
    part = part_of(circuit, wire.control)
    kinds = (PartKind.SWITCH, PartKind.POTENTIOMETER)
    named = part.name if part is not None and part.kind in kinds else tr("output")
    all_well = listed([named, *contacts_of(circuit, wire.control)])
    dial = part is not None and part.kind is PartKind.POTENTIOMETER
    black = str(reading.against) if reading.against is not None else control.common or tr("its common")
    for value in reading.values:
        if value.state == "open" and isinstance(control, SwitchedControl):
            value = signed(mapping, control, value)
        in_wire = value.unit == "A"
        # the figure of what feeds a potentiometer is one with its wiper at the low end
        state = _STATES.get("low" if dial and value.state == "supply" else value.state)
        whose = all_well if value.state in ("closed", "current") else named
        yield Probe(
            wire.number, str(reading.terminal), "" if in_wire else black, "mA" if in_wire else "V",
            tr(state, part=whose) if state else "", wire.control, value.state, value._replace(read=None),
            _read(control, value),
            value.state == "open" and value.either_sign,
        )  # fmt: skip


def signed(mapping: Mapping, control: SwitchedControl, value: Expected) -> Expected:
    """Return an open reading with the sign that the other inputs of its common have: theirs is one supply."""
    sign = read_alike(mapping, control)
    if not value.either_sign or sign is None or value.low is None or value.high is None:
        return value
    low, high = sorted(copysign(end, sign) for end in (value.low, value.high))
    return value._replace(low=low, high=high, either_sign=False)


def read_alike(mapping: Mapping, control: SwitchedControl) -> float | None:
    """Return what an input of a control's common was read to be, V; None where nobody has, or they differ in
    sign.
    """
    others = (one for one in mapping.switched.values() if one.common == control.common is not None)
    read = [one.sign_v for one in others if one.sign_v is not None]
    return read[0] if read and min(read) * max(read) > 0 else None


def _read(control: SwitchedControl | SpeedControl, value: Expected) -> str | None:
    """Return what was read, whatever is to be expected now: an open input may leak where nothing did then."""
    if value.state == "open" and isinstance(control, SwitchedControl) and control.reading_v is not None:
        value = value._replace(low=control.reading_v, high=control.reading_v, origin="measured")
    return figure_text(value) if value.shown.origin == "measured" else None


def expect_words(value: Expected) -> str:
    """Return a figure as the sheet has it; what nobody gave is said to be so."""
    if value.low is None or value.high is None:
        return tr("not given")
    text = figure_text(value._replace(origin="computed" if value.origin == "default" else value.origin))
    return tr("{figure} (default)", figure=text) if value.origin == "default" else text


def unplugged(solved: Solved, drive: str) -> Iterator[tuple[str, Expected, str]]:
    """Yield what an analog output gives with the drive off it: the command in words, the figure, V or mA.

    Volts are those under the other inputs on it; `solved` is a stage at which it is there.
    """
    figures = solved.installation.figures[drive]
    speed = figures.mapping.speed
    assert speed is not None and speed.source is not None
    has_ends = speed.common is not None and speed.source.gives_at[1] is not None
    way = Way(solved, drive) if has_ends else None
    commands = [(tr("zero"), 0.0), (tr("half"), 0.5), (tr("full"), 1.0)]
    commands += [(tr("full reverse"), -1.0)] if RANGES[speed.source.range].reverse is not None else []
    for said, share in commands:
        level, unit, top = figures.source_level(share)
        origin = "default" if top is None and speed.source.range_is_default else "computed"
        value = Expected("unplugged", level.low, level.high, unit, origin)
        if way is not None and unit == "V":
            found = expected("unplugged", way.unplugged(commanded(share)))
            value = (
                found if origin == "computed" or found.origin == "blank" else found._replace(origin=origin)
            )
        yield said, value, "mA" if unit == "A" else unit
