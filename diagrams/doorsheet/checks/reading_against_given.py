"""Checks of readings against the solution, and what would explain one that disagrees."""

from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Report, Shown, called, computed, exceeds, once
from doorsheet.checks.example import INPUTS, RUN, put, rated
from doorsheet.checks.open_readings import cannot_switch, is_nothing
from doorsheet.checks.taken_readings import Read, changes_nothing, destroying, reads
from doorsheet.circuit.parts import Stage
from doorsheet.circuit.reading_words import show, volts
from doorsheet.electrics import Level
from doorsheet.electrics.events import REST, Controller, Event, alone
from doorsheet.electrics.explain import Explainer, Measured, agrees, is_comparable
from doorsheet.electrics.fact import Origin
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.same_reading import REFERENCE_TOLERANCE, SAME_V, SUPPLY_TOLERANCE

__all__ = ["CLOSED_V", "expectation", "of_control"]

CLOSED_V: Final = 0.2
"""How far a closed reading may lie outside of what is computed, V (common practice, no source)."""


def expectation(report: Report, read: Read) -> tuple[Figure, str] | None:
    """Return what the rest of the mapping makes of a reading in volts; None where it doesn't say.

    With it what would explain a reading that is another, in words; "" where it agrees.
    """
    found = _measured(report, read)
    if found is None or not is_comparable(found[1]):
        return None
    one, level = found
    facts = [fact for fact in level.facts if fact.high > 0]
    known = Figure("computed", show(level.low, level.high, "V"), computed(facts))
    good = agrees(level, one.volts, one.slack)
    return known, "" if good else why_words(_explainer(report).explain(one))


def _measured(report: Report, read: Read) -> tuple[Measured, Level] | None:
    event = _event(report, read)
    if event is None:
        return None
    red, black = report.at(read.red), report.at(read.black)
    level = report.solved.volts(red, black, event)
    least = CLOSED_V if read.state == "closed" and of_control(report, read) is not None else SAME_V
    return Measured(red, black, event, read.volts, max(least, _supply_slack(level))), level


@once
def _explainer(report: Report) -> Explainer:
    found = (_measured(report, read) for read in reads(report))
    return Explainer(report.solved, (one[0] for one in found if one is not None))


def why_words(found: tuple[str, ...] | None) -> str:
    """Say what would explain a reading, as words to add to its reason."""
    if found is None:
        return "several others have no single mistake as their reason: it may be another drive or drawing"
    if not found:
        return "no single mistake that was tried explains it"
    return f"it would be so if {', or if '.join(found)}"


def _event(report: Report, read: Read) -> Event | None:
    if read.state == "open":
        return REST
    inputs = [name for name, control in report.switched if control.input in (read.red, read.black)]
    if read.state == "closed":
        return alone(report.use(inputs[0])) if len(inputs) == 1 else None
    if inputs:
        return None
    return Event(controller=Controller.UNPLUGGED) if read.state == "unplugged" else REST


def of_control(report: Report, read: Read) -> tuple[str, SwitchedControl] | None:
    """Return the control whose input a reading is of, against its own common."""
    ends = {read.red, read.black}
    own = ((name, entry) for name, entry in report.switched if ends == {entry.input, entry.common})
    return next(own, None)


@caution.each(Report.switches, "P106", INPUTS, rated('voltage = "60 V"', "meter  = 12.1"))
def _reading_against_given(report: Report, name: str, control: SwitchedControl) -> Found:
    """The reading differs from the voltage given.
    The reading lies outside the range that the mapping gives for the inputs' voltage. One of the two is of
    another drive, another terminal or another setting.
    Formula: lowest given <= abs(reading) <= highest given; a single given voltage may be 20 % out
    Source: 20.4 V to 28.8 V on 24 V (-15 %, +20 %): IEC 61131-2, seen at second hand; taken as 20 % both
    ways"""
    given, reading = report.figures.of("input voltage"), control.reading_v
    if not given.is_known or reading is None or control.common is None:
        return
    if not control.supply_v[0] <= abs(reading) <= report.figures.input_bears_v:
        return
    red, black = report.at(control.input), report.at(control.common)
    level = report.solved.volts(red, black)
    slack = SUPPLY_TOLERANCE * given.high if given.low == given.high else 0.0
    if not level.is_known or _is_within(reading, level.low, level.high, slack):
        return
    figure = report.reading(name, reading)
    reason = f"{control.input} reads {figure} open, the inputs' voltage is given as {given}"
    do = "find out which is wrong: measure again, and compare drive type and manual edition"
    figures: tuple[Shown, ...] = figure, given
    if _is_within(reading, given.low, given.high, slack):
        drawn = Figure("computed", show(level.low, level.high, "V"), computed(level.facts))
        figures = *figures, drawn
        why = why_words(_explainer(report).explain(Measured(red, black, REST, reading, slack)))
        reason = (
            f"{control.input} reads {figure} open, which fits the inputs' voltage of {given}, but as drawn "
            f"it would read {drawn.value}; {why}"
        )
        do = f"find what the drawing has between {control.input} and its supply or {control.common}, and the "
        do += "machine has not"
    yield report.at_input((name, "meter"), *figures, wired=False)(reason, do)


def _is_within(reading: float, one: float, other: float, slack: float) -> bool:
    least, most = sorted((abs(one), abs(other)))
    return not exceeds(least - slack, abs(reading)) and not exceeds(abs(reading), most + slack)


@stop.each(destroying, "P113", put(RUN, "meter = 47"))
def _too_much_for_an_input(report: Report, read: Read) -> Found:
    """More volts than an input bears.
    At a switch input, between commons, or at the reference that a potentiometer leads to the speed input: two
    supplies in series do that, or wires that have changed places, and what is past its limit may be
    destroyed, the input and what feeds it. All other checks leave this reading out; a newer one replaces it.
    Formula: abs(reading) <= what an input bears; where that is not given 5/4 of the inputs' voltage, and 30 V
    where neither is; of reference or a common known as minus, against the speed common, <= the speed input's
    limit, where that is not given twice the end of its range, or twice the reference (10 V where nobody gives
    that) if that is more
    Source: 30 V is the highest input voltage of IEC 61131-2 on 24 V, read in public data tables of input
    modules; that other voltages may be as much over is taken from that, no source; twice is chosen here"""
    if {read.red, read.black} == {report.speed.signal, report.speed.common}:
        return  # A701 says so
    most = report.figures.bears(read.red, read.black)
    assert most is not None  # it is more than that
    yield report.finding(read.path, read.figure, most, terminals=(read.red, read.black))(
        f"{read.red} reads {read.figure} against {read.black}, {read.state}, above {most}: two supplies may "
        "be in series, or wires have changed places; what is connected there may be destroyed",
        "switch off, lock, wait the time printed on the drive, prove dead. Undo the last change, compare "
        "every wire of both supplies with the sheet, have what is connected there tested; read there again "
        "only when the reason is found and mended. If the manual rates the inputs higher, write that down"
        '⟬: bears = "..." under [drive.inputs], limit = "..." under [drive.analog]⟭',
    )


_AGAIN: Final = (
    "Then measure again: switch or output open, red lead to the socket for milliamperes, largest range, the "
    "meter in the wire at {}; power on, then close it, clear of the machine: {} is on. Write the figure down "
    "with its unit. Power off, wait, the red lead back to the socket for volts; prove dead again before the "
    "wire goes back"
)
"""As `next` has it taken: a meter in place of an open switch is a closed switch."""

_HOW: Final = {Origin.GIVEN: "is given as", Origin.COMPUTED: "is by Ohm's law"}  # where a current is from


@caution.each(Report.switches, "P114", INPUTS, put(RUN, 'meter-current = "120 mA"'))
def _current_of_no_input(report: Report, name: str, control: SwitchedControl) -> Found:
    """The measured current is not that of the input.
    The current through the closed switch is another than the mapping gives, or none that a switch input has:
    a slip of the unit, the wrong socket of the meter, a short. One that no input has is left out of all else.
    Formula: measured current within 20 % of the one given, or else of voltage / resistance, at the voltage
    given and at the open reading; where neither is given 0.5 mA to 30 mA, below 24 V as much less
    Source: follows from Ohm's law: one input, one supply, one current; the bounds are common practice, no
    source"""
    figures, given = report.figures, report.figures.input_current()
    read, drawn, slack = figures.read_a(name), figures.drawn(name), SUPPLY_TOLERANCE * given.is_known
    more, less = exceeds(read.low, drawn.high * (1 + slack)), exceeds(drawn.low * (1 - slack), read.high)
    if read.is_known and (more or less):
        bound = (
            f"{_HOW[given.origin]} {given}"
            if given.is_known
            else f"is {show(drawn.low, drawn.high, 'A')} as a rule"
        )
        look = "Look for a resistor or a bad joint in the loop"
        if more:
            look = "Look for a short or another load in the loop first: it may be more than the meter bears"
        yield report.at_input((name, "meter-current"), read, *[given] * given.is_known)(
            f"{control.input} draws {read} through the closed switch; the current of a closed input {bound}",
            f"power off, lock off, wait the time printed on the drive, prove dead. {look}; the figure given "
            f"may be of another input or drive. {_AGAIN.format(control.input, called(name))}",
        )


@caution("P107", put(INPUTS, "type    = 3"), put(RUN, "meter-closed = 14"))
def _closed_reading_off(report: Report) -> Found:
    """The closed reading is not that of a closed switch.
    What the meter shows with the output closed is not what the drawing gives. The single mistakes that would
    make it so are put in and solved, and those that explain the figure are named.
    Formula: computed low - 0.2 V <= closed reading <= computed high + 0.2 V
    Source: follows from Kirchhoff's voltage law: the switch keeps its drop, the input gets the rest; 0.2 V is
    common practice, no source"""
    for read in reads(report):
        owner = of_control(report, read) if read.state == "closed" else None
        if owner is None or report.stage_of(owner[0]) is not Stage.FINAL:
            continue
        name, control = owner
        if cannot_switch(report, name) or is_nothing(report, name) or changes_nothing(report, control):
            continue
        known, why = expectation(report, read) or (None, "")
        if why and known is not None:
            wires, ends = report.wires_of(name, "input", "common"), (control.input, control.common)
            yield report.finding(read.path, read.figure, known, wires=wires, terminals=ends)(
                f"{read.red} reads {read.figure} closed, and the drawing gives {known}"
                f"{_on_level(report, name, control, read)}; {why}",
                "measure again at the drive's own screws, then the current in the loop; a figure that stays, "
                "and has no other reason, means a wrong or weak output",
            )


def _on_level(report: Report, name: str, control: SwitchedControl, read: Read) -> str:
    """Say what a closed reading leaves for the input, where that is too little to come on."""
    on, opened = report.solved.installation.threshold(report.use(name), "on", "V"), control.reading_v
    joins_plus = control.output is not None and control.output.joins == "plus"
    left = abs((opened or 0.0) - read.volts)
    if opened is None or joins_plus or not on.is_known or not exceeds(on.high, left):
        return ""
    return f"; it leaves the input {volts(round(left, 3))}, which comes on at {on}"


def _supply_slack(level: Level) -> float:
    """Return how far a single voltage that someone gave may be out, where a level leans on one, V."""
    most = max(abs(level.low), abs(level.high))
    single = [
        (REFERENCE_TOLERANCE if fact.path[-2:-1] == ("reference",) else SUPPLY_TOLERANCE)
        * min(most, fact.high)
        for fact in level.facts
        if fact.unit == "V" and fact.low == fact.high and fact.origin in (Origin.GIVEN, Origin.DEFAULT)
    ]
    return max(single, default=0.0)
