"""What the meter must show at the drive's end of each wire, read off the solution.

A figure that someone measured stands as it was written down; what can't be told is a blank, with the
names of what is missing.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final, NamedTuple

from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Expected, PartKind, Reading, Stage, Step, Terminal, Wire
from doorsheet.electrics.events import REST, Event, alone, commanded
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.electrics.installation import Behind
from doorsheet.electrics.solved import SAME_V, Level, Solved
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl, drive_ends
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.same_reading import MISSED_SHARE
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
    figures = solved.installation.figures[wire.drive]
    control = figures.mapping.control(wire.control)
    ends = {wire.far.label, *(label for key, label in drive_ends(control) if key == "common")}
    if wire.far.block != "drive" or not figures.hands_off.isdisjoint(ends):
        return None  # where no control terminal is named nobody measures
    if isinstance(control, DriveContact):
        if wire.role != "signal":
            return None
        return Reading(wire.number, wire.far, None, (), contact=control.normally or "unknown")
    if wire.role == "common":
        return Reading(wire.number, wire.far, wire.far, ())
    against = Terminal(wire.far.block, control.common, wire.drive) if control.common is not None else None
    leads = _Leads(solved, wire, against)
    if wire.role in ("feed", "supply"):
        values = iter((leads.at("supply", REST),))
    elif isinstance(control, SwitchedControl):
        values = _switched(leads, control)
    else:
        values = _signal(leads, control)
    return Reading(wire.number, wire.far, against, tuple(values))


class _Leads(NamedTuple):
    """A meter with its red lead on the drive's end of a wire, the black one on the common if there is one."""

    solved: Solved
    wire: Wire
    against: Terminal | None

    def at(self, state: str, event: Event) -> Expected:
        """Return what the meter must show in a state."""
        if self.against is None:
            return Expected(state, None, None, "V", "blank", missing=(tr("the common"),))
        return expected(state, self.solved.volts(self.wire.far, self.against, event))


def _switched(leads: _Leads, control: SwitchedControl) -> Iterator[Expected]:
    solved, name = leads.solved, leads.wire.control
    figures, use = solved.installation.figures[leads.wire.drive], (leads.wire.drive, name)
    # which way round the meter reads is known from a reading, and where plus is fed in
    built = solved.installation.built(leads.wire.drive, control)
    either = control.sign_v is None and built is not Behind.FED
    on_bench = solved.circuit.step.stage_of(*use) is Stage.BENCH
    read, drawn = measured("open", figures.open_v(name)), leads.at("open", REST)._replace(either_sign=either)
    # an open reading is of the bench, where no output leaks into an input that reads nothing
    leaks = (
        built is Behind.FED and not on_bench and max(abs(drawn.low or 0.0), abs(drawn.high or 0.0)) > SAME_V
    )
    yield drawn if read is None or leaks else read
    # a closed reading is of what the mapping ends with; on the bench a hand switch closes the loop
    own = None if on_bench else measured("closed", figures.closed_v(name))
    yield own or leads.at("closed", alone(use))._replace(either_sign=either)
    read = None if on_bench else measured("current", figures.closed_a(name))
    current = solved.amps(("input", leads.wire.drive, control.input), alone(use))
    if read is not None:
        yield read
    elif current is not None and current.is_known:
        yield expected("current", current)


def _signal(leads: _Leads, control: SpeedControl) -> Iterator[Expected]:
    solved, use = leads.solved, (leads.wire.drive, "speed")
    if PartKind.POTENTIOMETER in {
        part.kind for part in solved.circuit.parts if (part.drive, part.control) == use
    }:
        pot = control.potentiometer
        usual = tr("potentiometer linear (what most are)") if pot is None or pot.taper is None else ""
        for state, share in _DIAL:
            yield _by_default(leads.at(state, commanded(share)), usual if state == "mid" else "")
        return
    source = control.source
    signal = RANGES[source.range] if source is not None else None
    usual = ""
    if source is not None and source.range_is_default and source.top is None:
        usual = tr("range of the controller's speed output 0–10 V (what most give)")
        if source.kind == "pulse":
            usual = tr("range of the converter's output 0–10 V (what most give)")
    in_wire = signal is not None and signal.unit == "A" and control.burden is None
    back = (("reverse", -1.0),) if signal is not None and signal.reverse is not None else ()
    for state, share in (*_COMMANDS, *back):
        current = solved.amps(("wire", leads.wire.number), commanded(share)) if in_wire else None
        found = leads.at(state, commanded(share)) if current is None else expected(state, current)
        yield _as_read(leads, control, share, _by_default(found, usual))


def _as_read(leads: _Leads, control: SpeedControl, share: float, found: Expected) -> Expected:
    """Return what to expect at a command with what was read there, where that agrees: else the checks say so.

    A reading of the list is of what the mapping ends with, like a closed one of a switch; those of the bench
    are in its log.
    """
    own = leads.solved.installation.figures[leads.wire.drive].mapping
    ranges = (RANGES[one] for one in (control.source and control.source.range, control.set_to) if one)
    full = next((one.full for one in ranges if one.unit == found.unit), None)
    read = [
        one.value if one.red != control.common else -one.value
        for one in own.taken
        if one.command == share and one.unit == found.unit and one.state in ("plugged", "running", "standing")
        if one.unit == "A" or {one.red, one.black} == {control.signal, control.common}
    ]
    if not read or full is None or found.low is None or found.high is None:
        return found
    slack = MISSED_SHARE * full
    is_so = found.low - slack <= min(read) and max(read) <= found.high + slack
    return found._replace(read=(min(read), max(read))) if is_so else found


def _by_default(found: Expected, usual: str) -> Expected:
    """Return what to expect as leaning on a default too, if there is one (common practice, no source)."""
    if found.origin == "blank" or not usual:
        return found
    return found._replace(origin="default", defaults=(*found.defaults, usual))


def expected(state: str, level: Level) -> Expected:
    """Return a level as a reading's figure: a blank where it is unknown."""
    # a potentiometer's low end stands on the common, whatever feeds the other and however long its wires
    told = state == "low" and max(-level.low, level.high) < NEAR_ZERO_V
    if not (level.is_known or (told and not (level.floating or level.conflict))):
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
