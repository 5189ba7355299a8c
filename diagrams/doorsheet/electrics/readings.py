"""What the meter must show at the drive's end of each wire, read off the solution.

A figure that someone measured stands as it was written down; what can't be told is a blank, with the
names of what is missing.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Expected, PartKind, Reading, Stage, Step, Terminal, Wire
from doorsheet.electrics.events import REST, Event, alone, commanded
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.installation import Behind
from doorsheet.electrics.solved import Level, Solved
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.signals import RANGES
from doorsheet.trade.language import tr

__all__ = ["expected", "measured", "solve"]

_DIAL: Final = (("low", 0.0), ("mid", 0.5), ("high", 1.0))
_COMMANDS: Final = (("rest", 0.0), ("half", 0.5), ("full", 1.0))


def solve(read: ReadMapping, at: Step | Stage | str) -> Solved:
    """Join a mapping at one stage and solve it; its circuit then has the readings to expect at the drive.

    Raises what `doorsheet.circuit.join` does.
    """
    solved = Solved(read, join(read, at))
    circuit = solved.circuit
    found = tuple(reading for wire in circuit.wires if (reading := _reading(solved, wire)) is not None)
    solved.circuit = replace(circuit, readings=found)
    return solved


def _reading(solved: Solved, wire: Wire) -> Reading | None:
    if wire.far.block != "drive":
        return None
    control = solved.installation.figures[wire.drive].mapping.control(wire.control)
    if isinstance(control, DriveContact):
        if wire.role != "signal":
            return None
        return Reading(wire.number, wire.far, None, (), contact=control.normally or "unknown")
    if wire.role == "common":
        return Reading(wire.number, wire.far, wire.far, ())
    against = Terminal(wire.far.block, control.common, wire.drive) if control.common is not None else None
    return Reading(wire.number, wire.far, against, tuple(_values(solved, wire, control, against)))


def _values(
    solved: Solved, wire: Wire, control: SwitchedControl | SpeedControl, against: Terminal | None
) -> Iterator[Expected]:
    if wire.role in ("feed", "supply"):
        yield _at(solved, "supply", wire.far, against, REST)
    elif isinstance(control, SwitchedControl):
        yield from _switched(solved, wire, control, against)
    else:
        yield from _signal(solved, wire, control, against)


def _switched(
    solved: Solved, wire: Wire, control: SwitchedControl, against: Terminal | None
) -> Iterator[Expected]:
    figures = solved.installation.figures[wire.drive]
    use = (wire.drive, wire.control)
    opened, closed = figures.open_v(wire.control), figures.closed_v(wire.control)
    # which way round the meter reads is known from a reading, and where plus is fed in
    built = solved.installation.built(wire.drive, control)
    either = control.sign_v is None and built is not Behind.FED
    yield measured("open", opened) or _at(solved, "open", wire.far, against, REST)._replace(
        either_sign=either
    )
    # a closed reading is of what the mapping ends with; on the bench a hand switch closes the loop
    on_bench = solved.circuit.step.stage_of(*use) is Stage.BENCH
    own = None if on_bench else measured("closed", closed)
    computed = _at(solved, "closed", wire.far, against, alone(use))._replace(either_sign=either)
    yield own or computed
    current = solved.amps(("input", wire.drive, control.input), alone(use))
    read = None if on_bench else measured("current", figures.closed_a(wire.control))
    if read is not None:
        yield read
    elif current is not None and current.is_known:
        yield expected("current", current)


def _signal(
    solved: Solved, wire: Wire, control: SpeedControl, against: Terminal | None
) -> Iterator[Expected]:
    kinds = {
        part.kind for part in solved.circuit.parts if (part.drive, part.control) == (wire.drive, "speed")
    }
    if PartKind.POTENTIOMETER in kinds:
        pot = control.potentiometer
        usual = tr("potentiometer linear (what most are)") if pot is None or pot.taper is None else ""
        for state, share in _DIAL:
            found = _at(solved, state, wire.far, against, commanded(share))
            yield _by_default(found, usual if state == "mid" else "")
        return
    source = control.source
    signal = RANGES[source.range] if source is not None else None
    places = (
        (*_COMMANDS, ("reverse", -1.0)) if signal is not None and signal.reverse is not None else _COMMANDS
    )
    usual = ""
    if source is not None and source.range_is_default and source.top is None:
        usual = tr("range of the controller's speed output 0–10 V (what most give)")
        if source.kind == "pulse":
            usual = tr("range of the converter's output 0–10 V (what most give)")
    in_wire = signal is not None and signal.unit == "A" and control.burden is None
    for state, share in places:
        current = solved.amps(("wire", wire.number), commanded(share)) if in_wire else None
        if current is not None:
            found = expected(state, current)
        else:
            found = _at(solved, state, wire.far, against, commanded(share))
        yield _by_default(found, usual)


def _by_default(found: Expected, usual: str) -> Expected:
    """Return what to expect as leaning on a default too, if there is one (common practice, no source)."""
    if found.origin == "blank" or not usual:
        return found
    return found._replace(origin="default", defaults=(*found.defaults, usual))


def _at(solved: Solved, state: str, red: Terminal, black: Terminal | None, event: Event) -> Expected:
    if black is None:
        return Expected(state, None, None, "V", "blank", missing=(tr("the common"),))
    return expected(state, solved.volts(red, black, event))


def expected(state: str, level: Level) -> Expected:
    """Return a level as a reading's figure: a blank where it is unknown."""
    if not level.is_known:
        names = (*(fact.name for fact in level.missing), *level.asked)
        if level.floating and not names:
            names = (tr("what holds it"),)
        return Expected(state, None, None, level.unit, "blank", missing=tuple(dict.fromkeys(names)))
    facts = [fact for fact in level.facts if fact.high > 0 or fact.origin is not Origin.DEFAULT]
    lines = sorted({fact.line for fact in facts if fact.line is not None})
    leans = level.leans_on_default
    named = [
        tr("{figure} {value} ({default})", figure=tr(fact.name), value=fact.value, default=fact.where)
        for fact in facts
        if fact.origin is Origin.DEFAULT
    ]
    return Expected(
        state, level.low, level.high, level.unit, "default" if leans else "computed", tuple(lines),
        defaults=tuple(named) if leans else (),
    )  # fmt: skip


def measured(state: str, fact: Fact) -> Expected | None:
    """Return what someone measured, as a reading's figure; None where nobody did."""
    if not fact.is_known:
        return None
    lines = () if fact.line is None else (fact.line,)
    return Expected(state, fact.low, fact.high, fact.unit, "measured", lines)
