"""What is done at a stage with the power locked off: prove dead, fit, move, take off (job room)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, Link, Part, PartKind, Wire
from doorsheet.circuit.sides import words
from doorsheet.job.context import Trials, ends_of
from doorsheet.job.probes import Probe, part_of, unplugged
from doorsheet.job.trial import Trial
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.signals import RANGES

__all__ = ["clip", "clip_words", "dead_work", "proof", "swap_first"]

_CONTINUITY: Final = "joined, to none beside it"
_MILLIAMPERES: Final = re.compile(r"m\s*A\b|\bcurrent\b|^\s*I\s*$", re.IGNORECASE)
"""How the positions of a switch on the board say milliamperes (common practice, no source)."""


def proof(of: Trials) -> Iterator[Trial]:
    """Yield how the drive is proved dead, the meter proved before and after."""
    yield Trial("Meter on a source known to be live.", "it reads: the meter works")
    yield Trial(
        f"Lock off drive and controller, wait {of.wait or '__________'} (the drive's label counts), "
        "prove dead at power and DC terminals.",
        "0 V between any two, and to earth",
        "V",
    )
    yield Trial("Meter on the live source again.", "it still reads")


def dead_work(of: Trials) -> Iterator[Trial]:
    """Yield the work of one drive's share of a stage on what was proved dead, in its order."""
    mapping, circuit, before = of.mapping, of.circuit, of.before
    if before is None:
        yield from _found(mapping, circuit)
    yield from _input_set(mapping, circuit, before)
    yield from _unplugged(of)
    yield from _parts(circuit, before)
    yield from _bridges(circuit, before, of.bridges)
    yield from _polarity(mapping, circuit, before)
    yield from _wires(mapping, circuit, before)
    if of.probes:
        yield Trial(clip_words(of.probes[0]), "on by itself")
    yield Trial("Covers on. Nobody at the motor.", "nothing live within reach")


def clip(red: str, black: str) -> str:
    """Say where the two leads go for a voltage, on dead parts."""
    return f"Meter to volts DC: clip red on {red}, black on {black}."


def clip_words(probe: Probe) -> str:
    """Say where the meter goes for a reading, on dead parts."""
    if probe.black:
        return clip(probe.red, probe.black)
    return f"Red lead to the mA socket, meter in wire {probe.wire} at {probe.red}."


def _found(mapping: Mapping, circuit: Circuit) -> Iterator[Trial]:
    """Yield what is looked at once, before anything is wired."""
    yield Trial("Take belt, coupling or tool off the motor.", "the motor turns nothing")
    for link in mapping.drive.links:
        yield Trial(f"Link {' – '.join(link.between)}{f' ({link.note})' if link.note else ''}.", "in place")
    later = _unit_at(mapping, circuit) != _unit_in_the_end(mapping)
    for selector in mapping.drive.selectors:
        # one that says mA belongs to the controller's signal, and a potentiometer gives volts
        if not (later and _MILLIAMPERES.search(selector.set)):
            yield Trial(f"{selector.name}.", f"set to {selector.set}")
    for part in circuit.parts:
        if part.kind is PartKind.POTENTIOMETER:
            yield Trial(f"{part.name}, wires off: end to end.", part.rating or "value not given", "ohm")


def _unit_in_the_end(mapping: Mapping) -> str:
    """Return what the drive's speed input has to be set to for the controller's signal: "V" or "A"."""
    speed = mapping.speed
    if speed is None or speed.source is None:
        return "V"
    return "V" if speed.burden is not None else RANGES[speed.source.range].unit


def _unit_at(mapping: Mapping, circuit: Circuit | None) -> str:
    """Return what the drive's speed input has to be set to at a stage; "" where nothing commands a speed."""
    part = part_of(circuit, "speed") if circuit is not None else None
    if part is None:
        return ""
    return "V" if part.kind is PartKind.POTENTIOMETER else _unit_in_the_end(mapping)


def _input_set(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    """Yield the setting of the speed input's unit wherever a stage needs another than the one before."""
    speed, now = mapping.speed, _unit_at(mapping, circuit)
    if speed is None or not now or now == _unit_at(mapping, before):
        return
    if _unit_in_the_end(mapping) == "V" and (speed.source is None or RANGES[speed.source.range].unit == "V"):
        return  # volts from first to last
    said = [one for one in mapping.drive.selectors if _MILLIAMPERES.search(one.set)]
    by = (
        ", ".join(f"{one.name} to {one.set}" for one in said) if now == "A" and said else "its switch or link"
    )
    unit = "milliamperes" if now == "A" else "volts, which the potentiometer gives"
    yield Trial(
        f"Set the drive's input {speed.signal} to {unit}: {by} now, its setting before any command.",
        "set to mA" if now == "A" else "set to V",
    )


def _unplugged(of: Trials) -> Iterator[Trial]:
    """Yield the readings of an analog output before its wires are landed."""
    part, speed = part_of(of.circuit, "speed"), of.mapping.speed
    if part is None or part.kind is not PartKind.ANALOG_SOURCE or speed is None or speed.source is None:
        return
    was = part_of(of.before, "speed") if of.before is not None else None
    source = speed.source
    if (was is not None and was.kind is part.kind) or source.kind != "analog" or source.common is None:
        return
    for index, (command, text, meter) in enumerate(unplugged(of.figures)):
        leads = (
            f"Controller on, drive locked off, nothing on {source.signal}: meter for {meter}, "
            f"red on {source.signal}, black on {source.common}"
        )
        again = f"Still nothing on {source.signal}: the same leads"
        yield Trial(f"{again if index else leads}; {command} commanded.", text, meter)
    yield Trial("Controller off again and locked off.", "off")


def _parts(circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    """Yield what is fitted or taken off besides wires: resistors, contacts, converters."""
    stood = before.parts if before is not None else ()
    for part in circuit.parts:
        if part not in stood:
            yield from _fit(part)
    for part in stood:
        if part not in circuit.parts and part.kind in (PartKind.RESISTOR, PartKind.CONVERTER):
            yield Trial(f"Take {part.name} ({part.caption}) off.", "off")


def _bridges(circuit: Circuit, before: Circuit | None, own: Sequence[Link]) -> Iterator[Trial]:
    stood = [link for link in before.links if link.kind == "bridge"] if before is not None else []
    here = [link for link in circuit.links if link.kind == "bridge"]
    here += [link for link in own if before is None and link not in here]
    for link in here:
        if link not in stood:
            note = f" ({link.note})" if link.note else ""
            yield Trial(f"Bridge {link.a} to {link.b}{note}. Continuity.", _CONTINUITY)
    rail = circuit.rail
    for group in rail.bridges if rail is not None and before is None else ():
        if rail is not None:
            ends = [rail.label(number) for number in group]
            yield Trial(f"Bridge {' to '.join(ends)} on the rail. Continuity.", _CONTINUITY)
    for link in stood:
        if link not in here and link not in own:
            yield Trial(f"Take the bridge {link.a} to {link.b} off.", "off")


# ---- Polarity ----


def swap_first(control: SwitchedControl, part: Part, circuit: Circuit) -> str:
    """Say what is done before an output is landed where the input reads minus, which nobody has ruled out.

    "" where a reading has proved the polarity, or where it doesn't matter.
    """
    if control.reading_v or part.block is not BlockKind.CONTROLLER:
        return ""
    ends = {pin.terminal for pin in part.pins}
    match part.kind:
        case PartKind.ISOLATED:
            shared = any(
                ends & {wire.near, wire.far} and (len(wire.controls) > 1 or wire.far.block == wire.near.block)
                for wire in circuit.wires
            )
            if shared:
                return "reads minus: leave it off, write the reading into the mapping and draw again"
            return "reads minus: swap the pair first"
        case PartKind.OPEN_COLLECTOR:
            return "reads minus: leave it off, this output can't close that input"
        case _:
            return ""


def _polarity(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    """Yield the sign to look up before an output is landed whose polarity no reading proves."""
    stood = before.parts if before is not None else ()
    for part in circuit.parts:
        control = mapping.control(part.control)
        if part in stood or not isinstance(control, SwitchedControl):
            continue
        first = swap_first(control, part, circuit)
        if first:
            yield Trial(
                f"Polarity of {words(part.control)} isn't proved. Open reading of {control.input} against "
                f"{control.common or 'its common'}, as written down on the bench: its sign.",
                f"reads plus: land it as below; {first}; nothing written down: measure first",
            )


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


def _wires(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    fitted = {wire.number: wire for wire in before.wires} if before is not None else {}
    for wire in circuit.wires:
        was = fitted.get(wire.number)
        if was is None:
            yield Trial(
                f"Fit wire {_named(wire)}: {wire.near} to {wire.far}{circuit.through(wire.number)}"
                f"{_if_minus(mapping, circuit, wire)}. Continuity.",
                _CONTINUITY,
            )
        elif ends_of(was) != ends_of(wire):
            yield Trial(
                f"Move wire {_named(wire)} from {was.near} to {wire.near}"
                f"{_if_minus(mapping, circuit, wire)}. Continuity to {wire.far}.",
                _CONTINUITY,
            )
    here = {wire.number for wire in circuit.wires}
    for number, wire in fitted.items():
        if number not in here:
            yield Trial(f"Take wire {_named(wire)} off {wire.far}.", "off at both ends, or insulated")


def _if_minus(mapping: Mapping, circuit: Circuit, wire: Wire) -> str:
    """Say where a wire of an output goes instead if the input reads minus, as long as no reading says."""
    control, part = mapping.control(wire.control), part_of(circuit, wire.control)
    if part is None or part.kind is not PartKind.ISOLATED or not isinstance(control, SwitchedControl):
        return ""
    others = [pin.terminal for pin in part.pins if pin.terminal != wire.near]
    if (
        "swap" not in swap_first(control, part, circuit)
        or len(others) != 1
        or wire.near.block is not BlockKind.CONTROLLER
    ):
        return ""
    return f" (to {others[0]} if {control.input} reads minus)"


def _named(wire: Wire) -> str:
    return f"{wire.number} {wire.colour.letters}"
