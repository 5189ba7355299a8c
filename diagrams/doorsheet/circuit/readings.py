"""What the meter must read at the drive's end of each wire.

Only what follows from the mapping by a stated rule is a figure here; what
nobody wrote down is a blank to write on.  Where a mapping gives facts to
compute with, `doorsheet.circuit.expected` does so, loaded only then.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from doorsheet.circuit.given import has_facts
from doorsheet.circuit.parts import Circuit, Reading, Stage, Wire
from doorsheet.circuit.units import Units, share
from doorsheet.mapping.controls import DriveContact, Output, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["BLANK", "SATURATION_DEFAULT_V", "default_used", "volts", "with_readings"]

BLANK: Final = "______"

SATURATION_DEFAULT_V: Final = 0.4
"""Default drop of a closed transistor output, V.

The saturation voltage that public data sheets of common optocouplers promise
(0.4 V at most at a few milliamperes); used, and said to be a default, where
the mapping gives no figure of its own.
"""

RANGE_ENDS: Final = {
    "0-10 V": ("0 V", "10 V"),
    "0-5 V": ("0 V", "5 V"),
    "2-10 V": ("2 V", "10 V"),
    "4-20 mA": ("4 mA", "20 mA"),
    "0-20 mA": ("0 mA", "20 mA"),
}
"""Signal at standstill and at full speed, by the range as the mapping writes it."""


def volts(value: float) -> str:
    """Print a reading as a meter shows it: 24.3 V, −12.2 V."""
    return f"{value:g} V".replace("-", "−")


def with_readings(units: Units, circuit: Circuit) -> Circuit:
    """Return `circuit` with the reading to expect at the drive's end of each fitted wire."""
    readings: list[Reading] = []
    for drive, read in units:
        wires = (wire for wire in circuit.wires if wire.drive == drive)
        ruled = (_reading(read.mapping, circuit.step.stage_of(drive, wire.control), wire) for wire in wires)
        own = tuple(reading for reading in ruled if reading is not None)
        if has_facts(read.mapping):
            from doorsheet.circuit.expected import computed

            own = computed(read, share(circuit, drive, read.source), own)
        readings += own
    return replace(circuit, readings=tuple(readings))


def _reading(mapping: Mapping, stage: Stage, wire: Wire) -> Reading | None:
    control = mapping.control(wire.control)
    if isinstance(control, DriveContact):
        if wire.role != "signal":
            return None
        return Reading(wire.number, wire.far, None, f"contact {control.normally} at rest", "given")
    if wire.role == "common":
        return Reading(wire.number, wire.far, wire.far, "black lead here", "rule")
    against = wire.far._replace(label=control.common) if control.common is not None else None
    if wire.role == "feed":
        return Reading(wire.number, wire.far, None, f"{BLANK} V", "blank")
    if isinstance(control, SwitchedControl):
        output = control.output if stage is Stage.FINAL else None
        text, origin = _switched_text(control, output)
        return Reading(wire.number, wire.far, against, text, origin)
    if wire.role == "supply":
        return Reading(wire.number, wire.far, against, f"{BLANK} V", "blank")
    text = _speed_text(control, stage)
    return Reading(wire.number, wire.far, against, text, "rule")


def _switched_text(control: SwitchedControl, output: Output | None) -> tuple[str, str]:
    given = control.reading_v
    open_text = f"open {volts(given)}" if given is not None else f"open {BLANK} V"
    if output is None and control.feed is not None and control.output is not None:
        return f"{open_text}, closed {BLANK} V", "blank"
    if output is None or output.kind == "contact":
        return f"{open_text}, closed 0 V", "measured" if given is not None else "blank"
    if output.kind == "logic-level" or output.joins == "plus":
        # what it drives the input to is the controller's own voltage, which the mapping does not give
        return f"{open_text}, closed {BLANK} V", "blank"
    if given is None:  # the sign is unknown too
        return f"{open_text}, closed within ±{volts(SATURATION_DEFAULT_V)}*", "default"
    drop = SATURATION_DEFAULT_V if given > 0 else -SATURATION_DEFAULT_V
    return f"{open_text}, closed 0 to {volts(drop)}*", "default"


def _speed_text(control: SpeedControl, stage: Stage) -> str:
    if stage is Stage.FINAL and control.source is not None:
        low, high = RANGE_ENDS[control.source.range]
        return f"{low} stopped, {high} full speed"
    voltage = control.range if control.range in ("0-10 V", "0-5 V", "2-10 V") else None
    high = RANGE_ENDS[voltage][1] if voltage else f"{BLANK} V"
    if control.range is None and control.source is not None and control.source.range.endswith("V"):
        high = RANGE_ENDS[control.source.range][1]
    return f"0 V low end, {high} high end"


def default_used(readings: tuple[Reading, ...]) -> Iterator[str]:
    """Yield the footnote of each default that a reading leans on, and of what was computed."""
    if any(reading.origin == "default" for reading in readings):
        yield (
            f"* by default a closed transistor output drops at most {SATURATION_DEFAULT_V:g} V; "
            "its data sheet decides."
        )
    told = [
        (reading.wire, value.lines)
        for reading in readings
        for value in reading.values
        if value.origin == "computed" and value.state != "current"  # which no text tells
    ]
    wires = list(dict.fromkeys(wire for wire, _ in told))
    lines = sorted({line for _, of_value in told for line in of_value})
    if lines:
        yield (
            f"Readings of wire{'' if len(wires) == 1 else 's'} {', '.join(wires)} are computed from "
            f"line{'' if len(lines) == 1 else 's'} {', '.join(map(str, lines))} of the mapping."
        )
