"""What is done at a stage with the power locked off: prove dead, fit, move, take off (booklet room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.booklet.probes import part_of
from doorsheet.booklet.trial import Trial
from doorsheet.circuit.parts import Circuit, Link, Part, PartKind, Wire
from doorsheet.circuit.quantities import show_value
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.signals import RANGES

__all__ = ["dead_work"]

_CONTINUITY: Final = "joined; to no other terminal beside it"


def dead_work(
    mapping: Mapping, circuit: Circuit, before: Circuit | None, wait: str | None
) -> Iterator[Trial]:
    """Yield the work of one drive's share of a stage, in its order; `before` is the stage that it follows."""
    yield Trial("Meter on a source known to be live.", "it reads: the meter works")
    yield Trial(
        f"Lock off drive and controller, wait {wait or '__________'} (the drive's label is right where they "
        "differ), prove dead at the power terminals and at the DC terminals.",
        "no voltage between any two of them, nor to earth",
        "V",
    )
    yield Trial("Meter on the live source again.", "it still reads")
    if before is None:
        yield from _found(mapping, circuit)
    yield from _unplugged(mapping, circuit, before)
    yield from _parts(circuit, before)
    yield from _wires(circuit, before)
    yield Trial("Covers on. Nobody at the motor.", "nothing live within reach")


def _found(mapping: Mapping, circuit: Circuit) -> Iterator[Trial]:
    """Yield what is looked at once, before anything is wired."""
    yield Trial("Take belt, coupling or tool off the motor.", "the motor turns nothing")
    for link in mapping.drive.links:
        yield Trial(f"Link {' – '.join(link.between)}{f' ({link.note})' if link.note else ''}.", "in place")
    for selector in mapping.drive.selectors:
        yield Trial(f"{selector.name}.", f"set to {selector.set}")
    for part in circuit.parts:
        if part.kind is PartKind.POTENTIOMETER:
            yield Trial(f"{part.name}, wires off: end to end.", part.rating or "value not given", "ohm")


def _unplugged(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    """Yield the readings of an analog output before its wires are landed, and the setting for its unit."""
    part, speed = part_of(circuit, "speed"), mapping.speed
    if part is None or part.kind is not PartKind.ANALOG_SOURCE or speed is None or speed.source is None:
        return
    was = part_of(before, "speed") if before is not None else None
    if was is not None and was.kind is part.kind:
        return
    source = speed.source
    signal = RANGES[source.range]
    if source.kind == "analog" and source.common is not None:
        for share, words in ((0.0, "zero"), (0.5, "half"), (1.0, "full")):
            yield Trial(
                f"Controller on, drive locked off, nothing on {source.signal}: "
                f"meter for {_unit(signal.unit)}, red on {source.signal}, black on {source.common}; "
                f"{words} commanded.",
                show_value(signal.at(share), signal.unit, 3),
                _unit(signal.unit),
            )
        yield Trial("Controller off again and locked off.", "off")
    if signal.unit == "A" and speed.burden is None:
        yield Trial(f"Set the drive's input {speed.signal} to milliamperes: switch and setting.", "set to mA")


def _unit(unit: str) -> str:
    return "mA" if unit == "A" else unit


def _parts(circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    """Yield what is fitted or taken off besides wires: resistors, contacts, converters, bridges."""
    stood = set(before.parts) if before is not None else set()
    for part in circuit.parts:
        if part not in stood:
            yield from _fit(part)
    for part in stood - set(circuit.parts):
        if part.kind in (PartKind.RESISTOR, PartKind.CONVERTER):
            yield Trial(f"Take {part.name} ({part.caption}) off.", "off")
    bridges = {link for link in before.links if link.kind == "bridge"} if before is not None else set[Link]()
    here = {link for link in circuit.links if link.kind == "bridge"}
    for link in sorted(here - bridges):
        yield Trial(f"Bridge {link.a} to {link.b}. Continuity.", _CONTINUITY)
    for link in sorted(bridges - here):
        yield Trial(f"Take the bridge {link.a} to {link.b} off.", "off")


def _fit(part: Part) -> Iterator[Trial]:
    ends = [str(pin.terminal) for pin in part.pins]
    match part.kind:
        case PartKind.RESISTOR:
            yield Trial(f"{part.name} ({part.caption}), not yet fitted: ohms.", part.rating, "ohm")
            yield Trial(f"Fit {part.name} at {ends[0]} and {ends[1]}.", "tight at both ends")
        case PartKind.FIELD_CONTACT:
            what = f" ({part.caption})" if part.caption else ""
            yield Trial(
                f"{part.name}{what}, {ends[0]} to {ends[1]}, all well: ohms.",
                "near 0; open when it acts",
                "ohm",
            )
        case PartKind.CONVERTER:
            yield Trial(
                f"Fit {part.name} ({part.caption}).", "wires as listed below; its supply as its sheet says"
            )
        case _:
            return


def _wires(circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    fitted = {wire.number: wire for wire in before.wires} if before is not None else {}
    for wire in circuit.wires:
        was = fitted.get(wire.number)
        if was is None:
            yield Trial(
                f"Fit wire {_named(wire)}: {wire.near} to {wire.far}{circuit.through(wire.number)}. "
                "Continuity.",
                _CONTINUITY,
            )
        elif (was.near, was.far) != (wire.near, wire.far):
            yield Trial(
                f"Move wire {_named(wire)} from {was.near} to {wire.near}. Continuity to {wire.far}.",
                _CONTINUITY,
            )
    here = {wire.number for wire in circuit.wires}
    for number, wire in fitted.items():
        if number not in here:
            yield Trial(f"Take wire {_named(wire)} off {wire.far}.", "off at both ends, or insulated")


def _named(wire: Wire) -> str:
    return f"{wire.number} {wire.colour.letters}"
