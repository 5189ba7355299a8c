"""What is done at a stage with the power locked off: prove dead, fit, move, take off."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from enum import StrEnum
from math import inf
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, Link, Part, PartKind, Terminal, Wire, of_drive
from doorsheet.circuit.reading_words import listed
from doorsheet.circuit.sides import words
from doorsheet.electrics.fact import Origin
from doorsheet.electrics.failures import Overload, swaps
from doorsheet.job.action import DEAD, DEAD_AFTER_MA, Action, Trial
from doorsheet.job.context import Moved, Trials
from doorsheet.job.mistakes import either
from doorsheet.job.outcomes import spread
from doorsheet.job.probes import Probe, expect_words, part_of, unplugged
from doorsheet.job.unfed import unfed
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.model import Mapping, Selector
from doorsheet.mapping.quantities import QuantityError, read_quantity
from doorsheet.mapping.signals import RANGES, InputRange
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "OFF", "IfMinus", "apart", "clip", "clip_words", "clipped", "closing", "continuity", "dead_work",
    "if_minus", "looked_again", "must_be_on", "nothing", "proof", "set_later", "set_to", "unplugged_lines",
    "wiring",
]  # fmt: skip

OFF: Final = tr_later("off at both ends, or insulated")
_NEAR: Final = 0.1
"""How far ohms may be from a value without a tolerance (common practice, no source)."""

_CLOSED_OHM: Final = 10.0
"""A closed contact that is measured with the meter's leads has fewer (common practice, no source)."""

_MILLIAMPERES: Final = re.compile(r"m\s*A\b|\bcurrent\b|^\s*I\s*$", re.IGNORECASE)
"""How the positions of a switch on the board say milliamperes (common practice, no source)."""


def proof(of: Trials) -> Iterator[Trial]:
    """Yield how the drive is proved dead, the meter proved before and after."""
    yield Trial(
        tr("Red lead in the volts socket; meter on a known live source."),
        tr("it reads: the meter works"),
    )
    dead = tr(
        "Lock off drive and controller, wait {wait} (the label counts), prove dead: AC at power, DC at DC "
        "terminals.",
        wait=of.wait or "__________",
    )
    yield Trial(dead, tr("0 V between any two, and to earth"), "V")
    yield Trial(tr("Meter on the live source again."), tr("it still reads"))


def dead_work(of: Trials) -> Iterator[Trial]:
    """Yield the work of one drive's share of a stage on what was proved dead, in its order."""
    mapping, circuit, before = of.mapping, of.circuit, of.before
    if before is None:
        yield from _found(of)
    yield from _input_set(mapping, circuit, before)
    free, inward = [*unplugged_lines(of)], _inward(of)
    if free:
        dead = tr(DEAD_AFTER_MA if free[0].unit == "mA" else DEAD)
        free.append(Trial(tr("Controller off again. {dead}", dead=dead), tr("off, and dead")))
    if not inward:
        yield from free
    yield from _parts(circuit, before)
    yield from _bridges(circuit, before, of.bridges)
    yield from _polarity(of)
    if inward:  # a converter gives nothing before it is fed
        yield from wiring(of, inward)
        yield from free
    yield from wiring(of, [moved for moved in of.moved if moved not in inward])
    yield from closing(of)


def closing(of: Trials) -> Iterator[Trial]:
    """Yield the last lines on dead parts."""
    if of.probes:
        yield Trial(clip_words(of.probes[0]), tr("both clips hold"))
    yield Trial(tr("Covers on. Nobody at the motor."), tr("nothing live within reach"))


def clipped(of: Trials, action: Action) -> Action:
    """Return dead work with how it leaves the meter, for the first reading."""
    first = next(iter(of.probes), None)
    return replace(action, clips=clip_words(first), in_ma=not first.black) if first is not None else action


def clip(red: str, black: str) -> str:
    """Say where the two leads go for a voltage, on dead parts."""
    return tr("Meter to volts DC: clip red on {red}, black on {black}.", red=red, black=black)


def clip_words(probe: Probe) -> str:
    """Say where the meter goes for a reading, on dead parts."""
    if probe.black:
        return clip(probe.red, probe.black)
    words = tr_later("Red lead to the mA socket, meter in wire {wire} at {red}.")
    if probe.key == "current":  # by its size an input is known
        words = tr_later("Red lead to the mA socket, meter in wire {wire} at {red}, either way round.")
    return tr(words, wire=probe.wire, red=probe.red)


def _found(of: Trials) -> Iterator[Trial]:
    mapping, circuit = of.mapping, of.circuit
    yield Trial(tr("Take belt, coupling or tool off the motor."), tr("the motor turns nothing"))
    for link in mapping.drive.links:
        named = " – ".join(link.between) + (f" ({link.note})" if link.note else "")
        yield Trial(tr("Link {link}.", link=named), tr("in place"))
    for selector in mapping.drive.selectors:
        if selector not in set_later(mapping, circuit):
            yield Trial(f"{selector.name}.", tr("set to {set}", set=selector.set))
    for part in circuit.parts:
        if part.kind is PartKind.POTENTIOMETER:
            do = tr("{part}, wires off: end to end.", part=part.name)
            own = mapping.speed.potentiometer if mapping.speed is not None else None
            within = f" ±{own.tolerance}" if part.rating and own is not None and own.tolerance else ""
            value, usual = f"{part.rating}{within}", of.figures.of("pot")
            key = ("speed", "potentiometer", *["value"] * (own is not None)) if not part.rating else ()
            good = _ohms(value) or (usual.low, usual.high)
            yield Trial(do, value or tr("value not given"), "ohm", good=good, key=key)
    for blank in unfed(circuit):
        yield Trial(blank, tr("looked up in its manual first"))


def _ohms(value: str) -> tuple[float, float] | None:
    """Return the ohms that count as those of a part; None where its value can't be read."""
    try:
        low, high, _ = read_quantity(value, "ohm")
    except QuantityError:
        return None
    near = _NEAR if low == high else 0.0
    return low * (1 - near), high * (1 + near)


def set_later(mapping: Mapping, circuit: Circuit) -> tuple[Selector, ...]:
    """Return the switches that say mA, for the controller's signal: a potentiometer gives volts."""
    speed, now = mapping.speed, _set_at(mapping, circuit)
    if speed is not None and now is not None and RANGES[now].unit == RANGES[speed.set_to].unit:
        return ()
    return tuple(one for one in mapping.drive.selectors if _MILLIAMPERES.search(one.set))


def _set_at(mapping: Mapping, circuit: Circuit | None) -> InputRange | None:
    """Return what the drive's speed input has to be set to at a stage; None where nothing commands a speed.

    A potentiometer gives volts from 0 V up: no milliamperes, and below a live zero a signal counts as lost.
    """
    part, speed = part_of(circuit, "speed"), mapping.speed
    if part is None or speed is None:
        return None
    entry = RANGES[in_the_end := speed.set_to]
    dial = part.kind is PartKind.POTENTIOMETER
    return "0-10 V" if dial and (entry.unit == "A" or entry.rest) else in_the_end


def _input_set(mapping: Mapping, circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    """Yield the setting of the speed input wherever a stage needs another than the one before."""
    speed, now = mapping.speed, _set_at(mapping, circuit)
    if speed is None or now is None or now == _set_at(mapping, before):
        return
    by, in_the_end = tr("its switch or link"), RANGES[speed.set_to]
    if RANGES[now].unit == "A":
        said = [one for one in mapping.drive.selectors if _MILLIAMPERES.search(one.set)]
        by = ", ".join(tr("{switch} to {set}", switch=one.name, set=one.set) for one in said) or by
        do = tr(
            "Set the drive's input {signal} to milliamperes: {by} now, its setting before any command.",
            signal=speed.signal, by=by,
        )  # fmt: skip
        yield Trial(do, tr("set to mA"))
    elif RANGES[now].rest:
        do = tr(
            "Set the drive's input {signal} to {range} before any command.", signal=speed.signal, range=now
        )
        yield Trial(do, tr("set to {set}", set=now))
    elif RANGES[now] != in_the_end or (speed.source is not None and RANGES[speed.source.range].unit == "A"):
        volts = tr("volts from 0 V up") if in_the_end.unit == "V" and in_the_end.rest else tr("volts")
        do = tr(
            "Set the drive's input {signal} to {volts}, which the potentiometer gives: {by} now, its setting "
            "before any command.",
            signal=speed.signal, by=by, volts=volts,
        )  # fmt: skip
        yield Trial(do, tr("set to V"))


def apart(of: Trials) -> AnalogSource | None:
    """Return the analog output that is read at this stage before its wires are landed."""
    part, was, speed = of.part("speed"), part_of(of.before, "speed"), of.mapping.speed
    if part is None or part.kind is not PartKind.ANALOG_SOURCE or speed is None or speed.source is None:
        return None
    source = speed.source
    if (was is not None and was.kind is part.kind) or not source.gives_by_itself:
        return None
    return source if source.gives_at[1] is not None else None


def _inward(of: Trials) -> list[Moved]:
    """Return the wires that lead to a converter that is read before its output is landed."""
    if apart(of) is None:
        return []
    fed = {
        pin.terminal
        for part in of.circuit.parts
        if part.kind is PartKind.CONVERTER and part.drive == of.drive
        for pin in part.pins
        if not pin.role.startswith("output")
    }
    return [moved for moved in of.moved if moved.now is not None and fed & {moved.now.near, moved.now.far}]


def must_be_on(source: AnalogSource) -> str:
    """Say what must have power for a speed output to be read, its converter with it."""
    one = source.converter
    if one is None:
        return tr("Controller")
    return tr("Controller and the supply of {converter}", converter=one.name)


def nothing(source: AnalogSource) -> str:
    """Say what is on a speed output while it is read with the drive off it."""
    return tr("nothing but other inputs") if source.other_inputs else tr("nothing")


def set_to(meter: str) -> str:
    """Say what a meter is set to, V or mA, with its socket."""
    return tr("mA, red lead in its socket") if meter == "mA" else meter


def unplugged_lines(of: Trials) -> Iterator[Trial]:
    """Yield the readings of what gives the speed signal with the drive off it."""
    source = apart(of)
    if source is None:
        return
    red, black = source.gives_at
    words = tr_later(
        "{fed} on, drive locked off, {nothing} on {signal}: meter for {meter}, red on {signal}, black on "
        "{common}; {command} commanded."
    )
    fed, amps = must_be_on(source), of.figures.speed_input_limit(in_amps=True)
    volts = of.figures.bears(of.figures.speed.signal, of.figures.speed.common)
    bears = {
        "V": volts.high if volts is not None else inf,
        "mA": 1000 * amps.high if amps.unit == "A" and amps.is_known else inf,
    }
    usual = {"V"} if volts is not None and volts.origin is Origin.DEFAULT else set()
    for command, value, meter in unplugged(of.solved, of.drive):
        do = tr(
            words, fed=fed, nothing=nothing(source), signal=red, common=black, meter=set_to(meter),
            command=command,
        )  # fmt: skip
        good = spread(of, meter, value)
        yield Trial(do, expect_words(value), meter, good=good, bears=bears[meter], usually=meter in usual)
        words = tr_later("Still {nothing} on {signal}: the same leads; {command} commanded.")


def _parts(circuit: Circuit, before: Circuit | None) -> Iterator[Trial]:
    stood = before.parts if before is not None else ()
    for part in circuit.parts:
        if part not in stood:
            yield from _fit(part)
    for part in stood:
        if part not in circuit.parts and part.kind in (PartKind.RESISTOR, PartKind.CONVERTER):
            yield Trial(tr("Take {part} off.", part=f"{part.name} ({part.caption})"), tr("off"))


def _bridges(circuit: Circuit, before: Circuit | None, own: Sequence[Link]) -> Iterator[Trial]:
    stood = [link for link in before.links if link.kind == "bridge"] if before is not None else []
    here = [link for link in circuit.links if link.kind == "bridge"]
    here += [link for link in own if before is None and link not in here]
    for link in (link for link in here if link not in stood):
        note = f" ({link.note})" if link.note else ""
        ends = tr_later("{one} to {other}")
        if link.a.block is BlockKind.CONTROLLER:  # the drive may have such labels
            ends = tr_later("{one} to {other} on the controller")
        bridge = tr(ends, one=link.a, other=link.b) + note
        yield Trial(tr("Bridge {ends}. Continuity.", ends=bridge), continuity(circuit))
    if circuit.rail is not None and before is None:
        for group in circuit.rail.bridges:
            ends = " – ".join(map(circuit.rail.label, group))
            yield Trial(tr("Bridge {ends} on the rail. Continuity.", ends=ends), continuity(circuit))
    for link in (link for link in stood if link not in here and link not in own):
        yield Trial(tr("Take the bridge {one} to {other} off.", one=link.a, other=link.b), tr("off"))


# ---- Polarity ----


class IfMinus(StrEnum):
    """What is done with an output where its input reads minus, and nobody has ruled that out."""

    REDRAW = tr_later("leave it off, write the reading into the mapping and draw again")
    SWAP = tr_later("swap the pair first")
    NEVER = tr_later("leave it off, this output can't close that input")


def if_minus(of: Trials, name: str) -> IfMinus | None:
    """Return what is done before a control's output is landed where its input reads minus.

    None where a reading has proved the polarity, or where it doesn't matter.
    """
    control, part = of.mapping.switched.get(name), of.part(name)
    if control is None or part is None or part.block is not BlockKind.CONTROLLER:
        return None
    if of.solved.installation.is_proved(of.drive, control):
        return None
    if part.kind is PartKind.OPEN_COLLECTOR:
        return IfMinus.NEVER
    if part.kind is not PartKind.ISOLATED:
        return None
    ends = {pin.terminal for pin in part.pins}
    own = [wire for wire in of.circuit.wires if ends & {wire.near, wire.far}]
    shared = any(len(wire.controls) > 1 or wire.far.block == wire.near.block for wire in own)
    return IfMinus.REDRAW if shared else IfMinus.SWAP


def _polarity(of: Trials) -> Iterator[Trial]:
    """Yield the sign to look up before an output is landed whose polarity no reading proves."""
    stood = of.before.parts if of.before is not None else ()
    for part in (part for part in of.circuit.parts if part not in stood and part is of.part(part.control)):
        if (first := if_minus(of, part.control)) is not None:
            control = of.mapping.switched[part.control]
            do = tr(
                "Polarity of {control} isn't proved. Open reading of {input} against {common}, as written "
                "down on the bench: its sign.",
                control=words(part.control), input=control.input,
                common=control.common or tr("its common"),
            )  # fmt: skip
            expect = tr(
                "reads plus: land it as below; reads minus: {do}; nothing written down: measure first",
                do=tr(first),
            )
            yield Trial(do, expect)


def _fit(part: Part) -> Iterator[Trial]:
    ends = [str(pin.terminal) for pin in part.pins]
    named = f"{part.name} ({part.caption})" if part.caption else part.name
    match part.kind:
        case PartKind.RESISTOR:
            yield Trial(
                tr("{part}, not yet fitted: ohms.", part=named), part.rating, "ohm", good=_ohms(part.rating)
            )
            do = tr("Fit {part} at {one} and {other}.", part=part.name, one=ends[0], other=ends[1])
            yield Trial(do, tr("tight at both ends"))
        case PartKind.FIELD_CONTACT:
            how, expect = tr_later("all well"), tr_later("near 0; open when it acts")
            if part.normally == "open":  # as with air or a lid: nothing is there while all is locked off
                how, expect = tr_later("unworked"), tr_later("open; near 0 when worked")
            do = tr(
                "{part}, {one} to {other}, {how}: ohms.", part=named, one=ends[0], other=ends[1], how=tr(how)
            )
            yield Trial(do, tr(expect), "ohm", good=(0.0, _CLOSED_OHM))
        case PartKind.CONVERTER:
            do = tr("Fit {part}.", part=named)
            yield Trial(do, tr("wires as listed below; its supply as its sheet says"))


def continuity(circuit: Circuit) -> str:
    """Say what continuity must show: a contact that is closed by itself joins what its loop joins."""
    own = (part for part in circuit.parts if part.is_stop or part.kind is PartKind.FIELD_CONTACT)
    closed = [part.name for part in own]
    if not closed:
        return tr("joined, to none beside it")
    return tr("joined; with {contacts} held open, to none beside it", contacts=listed(closed))


def wiring(of: Trials, moved: Sequence[Moved]) -> Iterator[Trial]:
    """Yield a line for each of these wires that is fitted, moved or taken off."""
    for was, wire in moved:
        if wire is None:
            assert was is not None
            do = tr("Take wire {wire} off {terminal}.", wire=_named(was), terminal=was.far)
            yield Trial(do, tr(OFF))
            continue
        far = f"{wire.far}{of.circuit.through(wire)}" if was is None else wire.far
        words = tr_later("Fit wire {wire}: {near} to {far}{swapped}. Continuity.")
        if was is not None:
            words = tr_later("Move wire {wire} from {old} to {near}{swapped}. Continuity to {far}.")
        do = tr(
            words, wire=_named(wire), old=was and was.near, near=wire.near, far=far,
            swapped=_swapped(of, wire),
        )  # fmt: skip
        yield Trial(do, continuity(of.circuit))


def looked_again(of: Trials) -> Iterator[Trial]:
    """Yield a line where wires that land at this stage would destroy something at a wrong place."""
    landed = [of.solved.circuit.wire(moved.now.number) for moved in of.moved if moved.now is not None]
    past = {fault: found for fault in swaps(of.solved, landed) if (found := of.overloads(fault))}
    if not past:
        return
    count = Counter(end for fault in past for end in (fault.one, fault.other))
    wrong: dict[tuple[str, str], list[str]] = {}
    for one, other in ((fault.one, fault.other) for fault in past):
        words, ends = tr_later("wire {others} on {one}"), (str(other), one)
        if not isinstance(other, Terminal):
            words, ends = tr_later("wire {one} changed for {others}"), (one, other)
            ends = ends if count[one] >= count[other] else ends[::-1]
        wrong.setdefault((words, ends[0]), []).append(ends[1])
    said = [tr(words, one=one, others=either(others)) for (words, one), others in wrong.items()]
    things = dict.fromkeys(_destroyed(of, one) for found in past.values() for one in found)
    words = tr_later("Look again: {mistakes}, among others, may destroy {things}.")
    do = tr(words, mistakes=either(said), things=either([*things]))
    yield Trial(do, tr("each in its place"))


def _destroyed(of: Trials, one: Overload) -> str:
    known = {
        "analog input": tr("speed input"), "reference": tr("reference supply"),
        "source": tr("analog output"), "pulses": tr("pulse output"),
    }  # fmt: skip
    what = known.get(one.kind) or tr("output of {control}", control=words(one.kind))
    return what if one.drive == of.drive else of_drive(one.drive, what)


def _swapped(of: Trials, wire: Wire) -> str:
    """Say where a wire of an output goes instead if the input reads minus, as long as no reading says."""
    part = of.part(wire.control)
    if part is None or if_minus(of, wire.control) is not IfMinus.SWAP or wire.near.block != part.block:
        return ""
    others = [pin.terminal for pin in part.pins if pin.terminal != wire.near]
    if len(others) != 1:
        return ""
    label = of.mapping.switched[wire.control].input
    return " " + tr("(to {terminal} if {input} reads minus)", terminal=others[0], input=label)


def _named(wire: Wire) -> str:
    return f"{wire.number} {wire.colour.letters}"
