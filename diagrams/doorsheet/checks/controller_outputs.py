"""Checks of the controller's outputs: kind, state at start, ratings (room: checks)."""

from collections.abc import Iterator
from functools import partial
from typing import Final, Literal

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.dangers import is_dangerous
from doorsheet.checks.examined import MOVES, Driven, Figure, Found, Report, of_fact, of_level
from doorsheet.checks.example import INPUTS, RUN, put, rated
from doorsheet.circuit.ranges import Interval, show
from doorsheet.electrics import Level, State, over
from doorsheet.electrics.events import REST, Controller, Event, Reversed
from doorsheet.electrics.fact import Fact

__all__: list[str] = []


def _each(report: Report) -> Iterator[tuple[Driven]]:
    yield from ((at,) for at in report.driven())


@stop.each(_each, "O101", put(RUN, 'output = { kind = "logic-level", signal = "P5", common = "GND" }'))
def _logic_level_on_input(report: Report, at: Driven) -> Found:
    """A logic-level output on a switch input.
    The input's own supply destroys the output, and the output can't carry the input's current.
    Source: follows from the figures: logic of 3.3 V or 5 V, on an input that stands at its own supply,
    usually 24 V"""
    if at.output.kind == "logic-level":
        signal, entry = at.output.signal, at.control.input
        wires = report.wires_of(at.name, "input")
        yield report.finding((at.name, "output"), wires=wires, terminals=(signal, entry))(
            f"logic-level output {signal or ''} on switch input {entry}: the input's own supply can destroy "
            "it, and it can't carry the input's current",
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
        figure = Figure("output switches", "ac", report.origin(*path))
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
        figure = Figure("output at start", rest, report.origin(*path))
        yield report.at_output(at, figure, path=path)(
            f"output {at.called} {figure} while the controller starts, so {at.control.input} is not "
            "surely off, and nothing in hardware withholds the enable: the motor may run",
            "wire the enable input to a switch or relay that closes only when the controller is ready",
        )


def _is_off(report: Report, name: str, event: Event) -> bool:
    return report.solved.state(report.use(name), event) is State.OFF


VOLTAGE_IN_HAND: Final = 1.25
"""Rated voltage over open voltage below which it is worth a word (common practice, no source)."""

# --- voltage -------------------------------------------------------------


def _highest_open(report: Report, name: str) -> tuple[Figure, float] | None:
    """Return the highest voltage over the open output in any state, or a higher reading."""
    found = []
    opened = report.figures.open_v(name)
    if opened.is_known and not is_dangerous(opened.high):
        found.append((of_fact(opened), abs(opened.high)))
    for event in report.not_closing(name):
        level = report.solved.output_v(report.use(name), event)
        if level is not None and level.is_known:
            end = "high" if abs(level.high) >= abs(level.low) else "low"
            found.append((_level_figure("open voltage", level, end), max(abs(level.low), abs(level.high))))
    return max(found, key=lambda pair: round(pair[1], 6), default=None)


def _level_figure(name: str, level: Level, end: str) -> Figure:
    """Return one end of a level; said to be a fact's where it is one fact's end, as an open voltage is."""
    value = level.high if end == "high" else level.low
    for fact in level.facts:
        if fact.unit == "V" and abs(abs(value) - fact.high) < 1e-3:
            return of_fact(fact)
    return of_level(name, level, "high" if end == "high" else "low")


def _size(level: Level | Fact) -> float:
    return max(abs(level.low), abs(level.high))


def _open_against_rating(report: Report) -> Iterator[tuple[Driven, Figure, float, Fact]]:
    """Yield the open voltage, the same in V, and the rating where both are known."""
    for at in report.driven():
        rated = report.figures.rating(at.name, "output voltage")
        if at.output.kind == "logic-level" or not rated.is_known:
            continue  # a stop already
        bears = _highest_open(report, at.name)
        if bears is not None:
            yield at, *bears, rated


@stop.each(_open_against_rating, "O201", rated('voltage = "24 V"'))
def _above_rating(report: Report, at: Driven, figure: Figure, open_v: float, rated: Fact) -> Found:
    """The open voltage is more than the output is rated for.
    Open, the output has the input's whole supply across it. Above its rating it breaks down: the motor runs,
    or the output is lost.
    Formula: highest open voltage, in any state of the installation <= output's rated voltage
    Source: follows from Ohm's law: without current the input takes no voltage, so all of it is across the
    output"""
    if over(open_v, rated.low):
        limit, asked = of_fact(rated), open_v * VOLTAGE_IN_HAND
        enough = show(Interval(asked, asked), "V", 2)
        reason = f"{at.control.input} stands at {figure} open, output {at.called} is rated {limit}"
        do = f"use an output rated {enough} or more, or a relay contact in between"
        yield report.at_output(at, figure, limit)(reason, do)


@note.each(_open_against_rating, "O202", rated('voltage = "30 V"'))
def _near_rating(report: Report, at: Driven, figure: Figure, open_v: float, rated: Fact) -> Found:
    """Little voltage to spare.
    Supplies rise above their nominal voltage; a quarter to spare keeps the output below its rating.
    Formula: output's rated voltage >= 1.25 x open voltage
    Source: 24 V inputs up to 28.8 V (+20 %): IEC 61131-2, seen at second hand; the quarter is common
    practice"""
    if not over(open_v, rated.low) and over(open_v * VOLTAGE_IN_HAND, rated.low):
        limit = of_fact(rated)
        yield report.at_output(at, figure, limit)(
            f"{at.control.input} stands at {figure} open, output {at.called} is rated {limit}: less than "
            "a quarter to spare",
            "make sure that the supply can't rise above the rating",
        )


@caution.each(_each, "O203", INPUTS, rated('reverse = "7 V"', "meter"))
def _reversed_breaks_down(report: Report, at: Driven) -> Found:
    """Wired the wrong way round, the output breaks down.
    No reading proves the polarity, and an isolated transistor can take only a few volts backwards. Beyond
    them it conducts: the input may be on, and the motor start, as soon as it is connected.
    Formula: open voltage <= reverse rating, by default 5 V
    Source: emitter-collector limits of 5 V, 6 V and 7 V of common optocouplers, read in five public data
    sheets: the least is taken"""
    entry, common = at.control.input, at.control.common or "its common"
    if at.output.kind != "isolated" or at.control.reading_v is not None:
        return
    use, bears = report.use(at.name), report.figures.reverse(at.name)
    level = report.solved.output_v(use)
    if level is None or not level.is_known or not over(_size(level), bears.low):
        return
    turned = report.solved.state(use, REST, Reversed(use))
    starts = "" if turned is State.OFF else f"; it then conducts, and {entry} may be on at once"
    figures = (_level_figure("open voltage", level, "high"), of_fact(bears))
    yield report.at_output(at, *figures)(
        f"polarity of {entry} is unproved, and wired the wrong way round output {at.called} would see "
        f"{figures[0]} in reverse, and withstands {figures[1]}{starts}",
        f"measure {entry} against {common} first, and write it down⟬ as meter = ...⟭; the sheet then turns "
        "the output the right way",
    )


# --- current -------------------------------------------------------------


def _closed_current(report: Report, name: str, which: Literal["low", "high"]) -> tuple[float, Figure] | None:
    """Return the most or the least current through the closed output, A: measured, else computed."""
    measured = report.figures.closed_a(name)
    if measured.is_known:
        return (measured.high if which == "high" else measured.low), of_fact(measured)
    found: list[tuple[float, Figure]] = []
    for event in report.closing(name):
        level = report.solved.output_a(report.use(name), event)
        if level is not None and level.is_known:
            ends: tuple[Literal["low", "high"], ...] = ("low", "high")
            least, most = sorted(ends, key=lambda end: abs(getattr(level, end)))
            end = most if which == "high" else least
            found.append(
                (abs(getattr(level, end)), of_level("current through the closed output", level, end))
            )
    pick = max if which == "high" else min
    return pick(found, key=lambda each: each[0], default=None)


def _current_against(
    what: str, which: Literal["low", "high"], report: Report
) -> Iterator[tuple[Driven, tuple[Figure, Figure]]]:
    """Yield current and rating where the current is beyond a rating."""
    for at in report.driven():
        rated = report.figures.rating(at.name, what)
        if at.output.kind == "logic-level" or not rated.is_known:
            continue
        current = _closed_current(report, at.name, which)
        if current is None:
            continue
        amps, figure = current
        if over(amps, rated.low) if which == "high" else over(rated.high, amps):
            yield at, (figure, of_fact(rated))


@stop.each(
    partial(_current_against, "output current", "high"),
    "O204",
    INPUTS,
    rated('current = "4 mA"', "meter  = 24"),
)
def _current_above(report: Report, at: Driven, figures: tuple[Figure, Figure]) -> Found:
    """The input draws more than the output is rated for.
    Closed, the output carries the input's whole current.
    Formula: highest closed current, alone or with all others closed <= output's rated current
    Source: follows from Kirchhoff's current law: the loop has one current, in the output as in the input"""
    reason = f"input {at.control.input} draws {figures[0]}, output {at.called} is rated {figures[1]}"
    yield report.at_output(at, *figures)(reason, "use an output for more current, or a relay in between")


@caution.each(
    partial(_current_against, "output minimum", "low"),
    "O207",
    INPUTS,
    put(RUN, 'output = { kind = "contact", terminals = ["K1:13", "K1:14"], minimum = "10 mA" }'),
)
def _contact_too_large(report: Report, at: Driven, figures: tuple[Figure, Figure]) -> Found:
    """The current is too small for the contact.
    A power contact needs some current to keep itself clean; below it, it works for months and then misses
    starts.
    Formula: lowest closed current >= contact's least current
    Source: follows from the film on a contact, which a small current does not break; least loads from 1 mA
    (gold) to 10 mA (silver-nickel) at 5 V, read in public data sheets"""
    if at.output.kind == "contact":
        yield report.at_output(at, *figures)(
            f"contact {at.called} switches only {figures[0]} of {at.control.input}, and needs {figures[1]} "
            "to keep itself clean",
            "use a signal relay with gold contacts, or an isolated output",
        )
