"""Checks of the controller's outputs: kind, state at start, ratings, levels at the inputs."""

from collections.abc import Iterator
from functools import partial
from operator import itemgetter
from typing import Final

from doorsheet.checks.cables import nets
from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.current_paths import linked
from doorsheet.checks.examined import MOVES, Driven, Found, Report, Say, Shown, of_fact, of_level
from doorsheet.checks.example import CONTACT, INPUTS, RUN, TO_PLUS, output_of, put, rated, table
from doorsheet.checks.open_readings import cannot_switch
from doorsheet.circuit.parts import PartKind, Stage
from doorsheet.circuit.reading_words import show
from doorsheet.electrics import Level, State, over
from doorsheet.electrics.events import REST, Controller, Event, Reversed
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.mapping.controls import Output, SwitchedControl

__all__: list[str] = []

_SHARP = put(INPUTS, 'on = "23 V"', 'off = "5 V"')

IN_HAND: Final = 1.25
"""Rated voltage over open voltage below which it is worth a word (common practice, no source)."""


def _each(report: Report) -> Iterator[tuple[Driven]]:
    yield from ((at,) for at in report.driven())


@stop.each(_each, "O101", put(RUN, 'output = { kind = "logic-level", signal = "P5", common = "GND" }'))
def _logic_level_on_input(report: Report, at: Driven) -> Found:
    """A logic-level output on a switch input.
    The input's own supply can destroy the output, and logic may carry less than the input's current.
    Source: follows from the figures: logic of 3.3 V or 5 V, on an input that stands at its own supply,
    usually 24 V"""
    if at.output.kind == "logic-level":
        signal, entry, wires = at.output.signal, at.control.input, report.wires_of(at.name, "input")
        yield report.finding((at.name, "output"), wires=wires, terminals=(signal, entry))(
            f"logic-level output {signal or ''} on switch input {entry}: the input's own supply can destroy "
            "it, and it carries a few milliamperes at most, perhaps less than the input's current",
            "use an isolated output of the controller, or put a relay or optocoupler in between",
        )


@stop.each(_each, "O208", rated('switches = "ac"'))
def _alternating_output(report: Report, at: Driven) -> Found:
    """An alternating-current output on a direct-current loop.
    Such an output goes off when its current passes zero, which direct current never does: once on, it stays
    on.
    Source: follows from how a triac works: it conducts until its current falls to zero"""
    switches, path = report.figures.given_of_output(at.name, "switches")
    if switches == "ac":
        figure = report.given("output switches", "ac", *path)
        yield report.at_output(at, figure, path=path)(
            f"output {at.called} switches {figure}, and {at.control.input} is a direct-current loop: once "
            "on, it stays on",
            "use an output for direct current, or a relay contact",
        )


@stop("O209", rated('rest = "pulses"'))
def _state_at_start(report: Report) -> Found:
    """The output is not surely off while the controller starts.
    An output that floats or pulses while the controller starts, resets or is unplugged starts the motor for a
    moment, unless something else surely withholds the enable. Where nobody said what it does, U101 asks.
    Formula: while the controller starts: input surely off, or enable surely off or by hand
    Source: follows from how a controller starts: until its program runs, nothing holds its outputs off"""
    starting = Event(controller=Controller.STARTING)
    enable = report.mapping.enable
    if enable is not None and (enable.output is None or _is_off(report, "enable", starting)):
        return  # nothing moves without it
    for at in report.driven():
        rest, path = report.figures.given_of_output(at.name, "rest")
        if at.name not in MOVES or rest not in ("floats", "pulses") or _is_off(report, at.name, starting):
            continue
        figure = report.given("output at start", rest, *path)
        yield report.at_output(at, figure, path=path)(
            f"output {at.called} {figure} while the controller starts, so {at.control.input} is not "
            "surely off, and nothing in hardware withholds the enable: the motor may run",
            "wire the enable input to a switch or relay that closes only when the controller is ready",
        )


def _is_off(report: Report, name: str, event: Event) -> bool:
    return report.solved.state(report.use(name), event) is State.OFF


def _highest_open(report: Report, name: str) -> tuple[Shown | None, float]:
    """Return the highest voltage over the open output in any state, or a higher reading, and its size."""
    opened = report.figures.open_v(name)
    found: list[tuple[Shown, float]] = [(opened, abs(opened.high))] if opened.is_known else []
    levels = (report.solved.output_v(report.use(name), event) for event in report.not_closing(name))
    for level in levels:
        if level is not None and level.is_known:
            value = max(level.high, level.low, key=abs)
            found.append((_open_voltage(level, value), abs(value)))
    return max(found, key=lambda pair: round(pair[1], 6), default=(None, 0.0))


def _open_voltage(level: Level, value: float) -> Shown:
    """Return one end of a level; said to be a fact's where it is one fact's end, as an open voltage is."""
    own = (fact for fact in level.facts if fact.unit == "V" and abs(abs(value) - fact.high) < 1e-3)
    return next(own, None) or of_level("open voltage", level, value)


def _rated(report: Report, what: str) -> Iterator[tuple[Driven, Fact]]:
    """Yield the outputs that have such a rating; one at a logic's level is a stop already."""
    for at in report.driven():
        limit = report.figures.rating(at.name, what)
        if at.output.kind != "logic-level" and limit.is_known:
            yield at, limit


def _stands(near: bool, report: Report) -> Iterator[tuple[Say, str, float]]:
    """Yield the voltage, V, of open outputs above their rating, or `near` to it."""
    for at, limit in _rated(report, "output voltage"):
        figure, open_v = _highest_open(report, at.name)
        above = over(open_v, limit.low)
        found = (not above and over(open_v * IN_HAND, limit.low)) if near else above
        if figure is not None and found:
            words = f"{at.control.input} stands at {figure} open, output {at.called} is rated {limit}"
            if not near and report.solved.by_itself(report.use(at.name)) is not State.OFF:
                words += f" and may conduct by itself: {at.control.input} may be on, whatever is commanded"
            yield report.at_output(at, figure, limit), words, open_v


@stop.each(partial(_stands, False), "O201", rated('voltage = "24 V"'))
def _above_rating(report: Report, say: Say, stands: str, open_v: float) -> Found:
    """The open voltage is more than the output is rated for.
    Open, the output has the input's whole supply across it. Above its rating it breaks down: the motor runs,
    or the output is lost.
    Formula: highest open voltage, in any state of the installation <= output's rated voltage
    Source: follows from Ohm's law: without current the input takes no voltage, so all of it is across the
    output"""
    enough = show(open_v * IN_HAND, open_v * IN_HAND, "V", 2)
    yield say(stands, f"use an output rated {enough} or more, or a relay contact in between")


@note.each(partial(_stands, True), "O202", rated('voltage = "30 V"'))
def _near_rating(report: Report, say: Say, stands: str, open_v: float) -> Found:
    """Little voltage to spare.
    Supplies rise above their nominal voltage; a quarter to spare keeps the output below its rating.
    Formula: output's rated voltage >= 1.25 x open voltage
    Source: 24 V inputs up to 28.8 V (+20 %): IEC 61131-2, seen at second hand; the quarter is common
    practice"""
    do = "make sure that the supply can't rise above the rating"
    yield say(f"{stands}: less than a quarter to spare", do)


@caution.each(_each, "O203", INPUTS, rated('reverse = "7 V"', "meter"))
def _reversed_breaks_down(report: Report, at: Driven) -> Found:
    """Wired the wrong way round, the output breaks down.
    No reading proves the polarity, and a transistor can take only a few volts backwards. Beyond them it
    conducts: the input may be on, and the motor start, as soon as it is connected.
    Formula: open voltage <= reverse rating, by default 5 V
    Source: emitter-collector limits of 5 V, 6 V and 7 V of common optocouplers, read in five public data
    sheets: the least is taken"""
    entry, common = at.control.input, at.control.common or "its common"
    if not at.output.is_one_way or report.is_proved(at.control):
        return
    use, bears = report.use(at.name), report.figures.rating(at.name, "output reverse")
    level = report.solved.output_v(use)
    if level is None or not level.is_known or not over(max(-level.low, level.high), bears.low):
        return
    turned = report.solved.state(use, REST, Reversed(use))
    suits = "the sheet then turns the output the right way"
    if at.output.kind != "isolated":
        suits = "where it reads minus, this output can't close it"
    starts = "" if turned is State.OFF else f"; it then conducts, and {entry} may be on at once"
    opened = _open_voltage(level, level.high)
    yield report.at_output(at, opened, bears)(
        f"polarity of {entry} is unproved, and wired the wrong way round output {at.called} would see "
        f"{opened} in reverse, and withstands {bears}{starts}",
        f"measure {entry} against {common} first, and write it down⟬ as meter = ...⟭; {suits}",
    )


def _closed_current(report: Report, name: str) -> Iterator[tuple[float, Shown]]:
    """Yield currents through the closed output, A: what was measured, else the ends of what is computed."""
    measured = report.figures.closed_a(name)
    if measured.is_known:
        yield from ((measured.low, measured), (measured.high, measured))
        return
    for event in report.closing(name):
        level = report.solved.output_a(report.use(name), event)
        if level is not None and level.is_known:
            for end in (abs(level.low), abs(level.high)):
                yield end, of_level("current through the closed output", level, end)


def _draws(what: str, report: Report) -> Iterator[tuple[Driven, Shown, Fact]]:
    """Yield the outputs whose current, the least of a "minimum", else the most, is beyond such a rating."""
    for at, limit in _rated(report, what):
        least = what == "output minimum"
        pick = min if least else max
        amps, figure = pick(_closed_current(report, at.name), key=itemgetter(0), default=(0.0, None))
        beyond = over(limit.high, amps) if least else over(amps, limit.low)
        if figure is not None and beyond:
            yield at, figure, limit


@stop.each(partial(_draws, "output current"), "O204", INPUTS, rated('current = "4 mA"', "meter  = 24"))
def _current_above(report: Report, at: Driven, amps: Shown, limit: Fact) -> Found:
    """The input draws more than the output is rated for.
    Closed, the output carries the input's whole current.
    Formula: highest closed current, alone or with all others closed <= output's rated current
    Source: follows from Kirchhoff's current law: the loop has one current, in the output as in the input"""
    reason = f"input {at.control.input} draws {amps}, output {at.called} is rated {limit}"
    yield report.at_output(at, amps, limit)(reason, "use an output for more current, or a relay in between")


@caution.each(partial(_draws, "output minimum"), "O207", INPUTS, output_of(f'{CONTACT}, minimum = "10 mA"'))
def _contact_too_large(report: Report, at: Driven, amps: Shown, limit: Fact) -> Found:
    """The current is too small for the contact.
    A power contact needs some current to keep itself clean; below it, it works for months and then misses
    starts.
    Formula: lowest closed current >= contact's least current
    Source: follows from the film on a contact, which a small current does not break; least loads from 1 mA
    (gold) to 10 mA (silver-nickel) at 5 V, read in public data sheets"""
    if at.output.kind == "contact":
        yield report.at_output(at, amps, limit)(
            f"contact {at.called} switches only {amps} of {at.control.input}, and needs {limit} to keep "
            "itself clean",
            "use a signal relay with gold contacts, or an isolated output",
        )


def _levels(report: Report, name: str, which: str, event: Event) -> Iterator[tuple[str, Level, Fact]]:
    """Yield volts over an input, then current through it, each in words, with its threshold if it has one."""
    volts, amps = report.solved.input_v, report.solved.input_a
    for unit, solve, words in ("V", volts, "volts over the input"), ("A", amps, "current through the input"):
        threshold = report.solved.installation.threshold(report.use(name), which, unit)
        level = solve(report.use(name), event) if threshold.is_known else None
        if level is not None and not level.conflict and not level.floating:
            yield words, level, threshold


@stop.each(Report.switches, "O205", _SHARP, rated('saturation = "1.2 V"', "meter  = 24"))
def _on_level(report: Report, name: str, control: SwitchedControl) -> Found:
    """The input may not come on.
    At the lowest supply, the voltage that the output and the wires leave for the input is below its on level
    (or the current is), with this control closed alone or with all that share its wires. The levels of a type
    are of 24 V: with a supply below them they say nothing. An input that plus is fed to, by the mapping's
    `feed`, and that gets about nothing, comes on at no level.
    Formula: lowest volts over the input >= on level, and lowest current >= on current
    Source: on levels 15 V, 11 V, 11 V of types 1, 2, 3: IEC 61131-2:2007, read in a public article that
    quotes the table"""
    if cannot_switch(report, name) or report.solved.installation.acting(report.use(name)) is None:
        return  # found by what says so
    if misfit := report.solved.installation.type_misfit(report.use(name)):
        on, supply = misfit
        yield report.at_input((name, "input"), on, supply)(
            f"{control.input} is of a type that comes on at {on}, and its supply is {supply}: the levels of "
            "that type are of 24 V, so that nobody can tell whether it comes on",
            "look both up in the drive's manual, take the wrong one away: the types of IEC 61131-2 are of "
            f"inputs for 24 V, and don't go with {supply}; no wire helps. What is right then needs its own "
            "on and off levels",
        )
        return
    found = ((event, *one) for event in report.closing(name) for one in _levels(report, name, "on", event))
    for event, words, level, on in found if control.common is not None else ():
        # too low at some corner of what is known, or at every corner of what isn't
        if over(on.high, level.low if level.is_known else level.high):
            gets, (apart, do) = of_level(words, level, level.low), _minus_apart(report, name, control)
            together = "" if len(event.closed) == 1 else f" while {event.words} are closed together"
            reason = f"closed, {control.input} gets only {gets}{together}, and comes on at {on}{apart}"
            if not apart and _gets_nothing(report, name, event):
                reason = f"closed, {control.input} gets about nothing, and comes on at {on}: nothing feeds it"
                do = _feed(control)
            yield report.at_input((name, "input"), gets, on)(reason, do)
            return
    # plus must be fed to it, the mapping says, and no input comes on at nothing, whatever its level
    is_fed = control.feed is not None and control.output is not None and control.common is not None
    final = is_fed and report.stage_of(name) is Stage.FINAL
    if final and _gets_nothing(report, name, report.closing(name)[0]):
        reason = f"closed, {control.input} gets about nothing: nothing feeds it"
        yield report.at_input((name, "input"))(reason, _feed(control))


def _gets_nothing(report: Report, name: str, event: Event) -> bool:
    level = report.solved.input_v(report.use(name), event)
    return max(-level.low, level.high) < NEAR_ZERO_V and not level.conflict


def _feed(control: SwitchedControl) -> str:
    """Say what to do where a closed output brings an input nothing: its place in the loop is another."""
    entry, common, feed = control.input, control.common or "its common", control.feed
    kind = "" if control.output is None else control.output.kind
    fit = "" if kind in ("", "isolated", "contact") else "use an isolated output or a relay contact, and "
    named = f"name {feed} as common⟬ instead of feed⟭, and measure against it (the reading is then negative)"
    if feed is not None:
        return f"power off; the output belongs between {feed} and {entry}: {fit}{named}"
    return (
        f"measure {entry} against {common}, contact open, and write it down⟬ as meter = ...⟭: a supply there "
        "feeds it. About 0 V means that plus must be fed to it: look in the drive's manual where that comes "
        f"from; the switch and the output then belong between that terminal and {entry}"
    )


def _minus_apart(report: Report, name: str, control: SwitchedControl) -> tuple[str, str]:
    """Say if nothing joins the common of a switch fed by the drive to its supply's minus, and what to do."""
    minus, common = report.figures.inputs.supply_minus, control.common
    part = report.solved.installation.parts.get(report.use(name))
    fed = part is not None and part.kind is PartKind.SWITCH and control.feed is not None
    ends = {report.at(label) for label in (minus, common) if label is not None}
    if not fed or len(ends) < 2 or any(ends <= net for net in nets(report.solved.circuit)):
        contact = part is not None and part.kind in (PartKind.SWITCH, PartKind.CONTACT)
        better = "" if contact else "an output with a lower saturation voltage or a relay contact, "
        return "", (
            f"use {better}thicker or shorter wires, a return of its own, or a supply at its full voltage"
        )
    where = " on the bench" if report.stage_of(name) is Stage.BENCH else ""
    return (
        f":{where} it is fed from {control.feed}, whose supply has its minus at {minus}, and nothing joins "
        f"{common} to {minus}",
        f"look in the drive's manual whether {common} and {minus} may be joined, and join them"
        f'⟬: [drive] links = [{{ between = ["{common}", "{minus}"] }}]⟭',
    )


@stop.each(Report.driven, "O206", put(INPUTS, "type    = 3"), rated('leakage = "2 mA"'))
def _off_level(report: Report, name: str, control: SwitchedControl, output: Output) -> Found:
    """The input may not go off.
    With the output open its leakage still flows through the input. When hot it can hold the input on: the
    motor does not stop.
    Formula: highest current through the open input <= off current, or highest volts over it <= off level
    Source: off levels of types 1, 2, 3: IEC 61131-2:2007, read in a public article that quotes the table;
    leakage by the mapping"""
    leakage = report.figures.rating(name, "output leakage")
    if output.kind == "logic-level" or leakage.origin is not Origin.GIVEN:
        return  # where nobody said what leaks, no stop on a guess of ours
    if report.solved.state(report.use(name)) is State.OFF or control.common is None:
        return
    found = _levels(report, name, "off", REST)
    levels = [one for one in found if one[1].is_known and over(one[1].high, one[2].low)]
    if not levels or any(over(level.low, off.low) for _, level, off in levels):
        return  # not by leakage, or nobody knows
    words, level, off = levels[-1]  # the current, where its threshold is known
    gets, leaks = of_level(words, level, level.high), of_fact(leakage, leakage.high)
    yield report.at_input((name, "input"), gets, off, leaks)(
        f"with the output open {control.input} still gets {gets.value} from a leakage of {leaks}, and is "
        f"surely off only up to {off}: the motor may not stop",
        "use an output with less leakage or a relay contact, or a resistor across the input that "
        "takes the leakage",
    )


@stop.each(Report.switches, "O210", table("controller", 'links = [{ between = ["Y1+", "Y1-"] }]'), RUN)
def _on_without_command(report: Report, name: str, control: SwitchedControl) -> Found:
    """The input is on without its command.
    In a state that does not close it, the input is on all the same: at rest, while another control is closed,
    or with the controller or its plug off. A bridge or another output holds it.
    Formula: state of the input is off wherever its control is not closed
    Source: follows from Kirchhoff's laws, solved for every state; on levels 15 V, 11 V, 11 V of types 1, 2,
    3: IEC 61131-2:2007, read in a public article that quotes the table"""
    if control.common is None or any(control.input in group for group in linked(report) if len(group) > 1):
        return
    if cannot_switch(report, name):
        return  # a reversed output, which lets current through, is found by what says so
    twins = {report.use(other) for other, entry in report.switched if entry.input == control.input}
    for event in report.not_closing(name):
        on = report.solved.state(report.use(name), event) is State.ON
        level = report.solved.input_v(report.use(name), event) if on else None
        if level is None or not level.is_known or event.closed & twins or _shares_output(report, name, event):
            continue
        figure = of_level("volts over the input", level, level.low)
        yield report.at_input((name, "input"), figure)(
            f"{control.input} gets {figure} and is on, though nothing commands it ({event.words})",
            f"find what joins {control.input} to {control.common} beside its switch: a bridge at the "
            "controller, an output wired to both, a return that feeds it",
        )
        break


@stop.each(
    Report.switches, "O211", table("drive.inputs", 'voltage = "12 V"'),
    table("controller", 'supply-voltage = "24 V"'),
    output_of(f'{TO_PLUS}, saturation = "0.5 V"', "meter  = 0"),
)  # fmt: skip
def _more_than_it_bears(report: Report, name: str, control: SwitchedControl) -> Found:
    """More volts reach the switch input than it bears.
    In some state the installation as drawn brings more to the input than one of its voltage surely bears: the
    controller's supply is another than the inputs are made for. The input, and what feeds it, may be
    destroyed as soon as the output closes. Once it is read there, P113 says so.
    Formula: abs(volts of input against common), in any state of the installation <= what P113 says it bears
    Source: follows from Kirchhoff's laws, solved for every state; the bound is that of P113"""
    most = report.figures.bears(control.input, control.common)
    if control.common is None or most is None:
        return
    for event in (*report.closing(name), *report.not_closing(name)):
        level = report.solved.volts(report.at(control.input), report.at(control.common), event)
        value = max(level.low, level.high, key=abs)
        surely = abs(value) if level.is_known else max(level.low, -level.high)  # whatever the output drops
        if level.conflict or level.floating or not over(surely, most.high):
            continue
        gets = of_level("volts over the input", level, value)
        yield report.at_input((name, "input"), gets, most)(
            f"{control.input} can get {gets}, {event.words}, above {most}: the input, and what feeds it, may "
            "be destroyed",
            "don't connect the output. Look both up: the inputs' voltage in the drive's manual, the outputs' "
            "supply in the controller's. If both are right, feed the outputs, or a relay contact in their "
            "place, from a supply of the inputs' voltage. Only where the drive's manual says that the inputs "
            'bear more, write that down⟬: bears = "..." under [drive.inputs]⟭',
        )
        return


def _shares_output(report: Report, name: str, event: Event) -> bool:
    """Whether what is closed acts by this control's terminals too, which has a finding of its own."""
    acting = report.solved.installation.acting(report.use(name))
    others = (report.solved.installation.acting(use) for use in event.closed)
    return acting is None or any(other is not None and set(acting[1:]) == set(other[1:]) for other in others)
