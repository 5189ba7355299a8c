"""Checks of the on and off level at switch inputs, in every state of the installation (room: checks)."""

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from doorsheet.checks.check import stop
from doorsheet.checks.current_paths import linked
from doorsheet.checks.examined import Found, Report, of_fact, of_level
from doorsheet.checks.example import INPUTS, RUN, put, rated, table
from doorsheet.checks.open_readings import cannot_switch
from doorsheet.electrics import Level, State, over
from doorsheet.electrics.events import REST, Event, Use
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.mapping.controls import Output, SwitchedControl

__all__: list[str] = []


class _Missed(NamedTuple):
    """A level at an input that is on the wrong side of a threshold."""

    level: Level
    threshold: Fact
    name: str


def _levels(report: Report, name: str, which: str, event: Event) -> Iterator[_Missed]:
    """Yield volts over an input and current through it, each beside its threshold where one is known."""
    ways: tuple[tuple[Literal["V", "A"], Callable[[Use, Event], Level], str], ...] = (
        ("V", report.solved.input_v, "volts over the input"),
        ("A", report.solved.input_a, "current through the input"),
    )
    for unit, solve, words in ways:
        threshold = report.figures.threshold(which, unit)
        if not threshold.is_known:
            continue
        level = solve(report.use(name), event)
        if not level.conflict and not level.floating:
            yield _Missed(level, threshold, words)


@stop.each(
    Report.switches,
    "O205",
    put(INPUTS, 'on = "23 V"', 'off = "5 V"'),
    rated('saturation = "1.2 V"', "meter  = 24"),
)
def _on_level(report: Report, name: str, control: SwitchedControl) -> Found:
    """The input may not come on.
    At the lowest supply, the voltage that the output and the wires leave for the input is below its on level
    (or the current is), with this control closed alone or with all that share its wires.
    Formula: lowest volts over the input >= on level, and lowest current >= on current
    Source: on levels 15 V, 11 V, 11 V of types 1, 2, 3: IEC 61131-2:2007, read in a public article that
    quotes the table"""
    if cannot_switch(report, name) or report.solved.installation.acting(report.use(name)) is None:
        return  # found by what says so
    low = ((event, miss) for event in report.closing(name) for miss in _not_on(report, name, event))
    event, miss = next(low, (REST, None))
    if miss is None or control.common is None:
        return
    figures = (of_level(miss.name, miss.level, "low"), of_fact(miss.threshold))
    together = "" if len(event.closed) == 1 else f" while {event.words} are closed together"
    yield report.at_input((name, "input"), *figures)(
        f"closed, {control.input} gets only {figures[0]}{together}, and comes on at {figures[1]}",
        "use an output with a lower saturation voltage or a relay contact, thicker or shorter wires, a "
        "return of its own, or a supply at its full voltage",
    )


def _not_on(report: Report, name: str, event: Event) -> Iterator[_Missed]:
    """Yield what is surely too low at some corner of what is known, or at every corner of what isn't."""
    for miss in _levels(report, name, "on", event):
        end = miss.level.low if miss.level.is_known else miss.level.high
        if over(miss.threshold.high, end):
            yield miss


@stop.each(Report.driven, "O206", put(INPUTS, "type    = 3"), rated('leakage = "2 mA"'))
def _off_level(report: Report, name: str, control: SwitchedControl, output: Output) -> Found:
    """The input may not go off.
    With the output open its leakage still flows through the input. When hot it can hold the input on: the
    motor does not stop.
    Formula: highest current through the open input <= off current, or highest volts over it <= off level
    Source: off levels of types 1, 2, 3: IEC 61131-2:2007, read in a public article that quotes the table;
    leakage by the mapping"""
    leakage = report.figures.leakage(name)
    if output.kind == "logic-level" or leakage.origin is not Origin.GIVEN:
        return  # where nobody said what leaks, no stop on a guess of ours
    if report.solved.state(report.use(name)) is State.OFF or control.common is None:
        return
    levels = [miss for miss in _levels(report, name, "off", REST) if miss.level.is_known]
    levels = [miss for miss in levels if over(miss.level.high, miss.threshold.low)]
    if not levels or any(over(miss.level.low, miss.threshold.low) for miss in levels):
        return  # not by leakage, or nobody knows
    miss = levels[-1]  # the current, where its threshold is known
    figures = (of_level(miss.name, miss.level, "high"), of_fact(miss.threshold), of_fact(leakage, "high"))
    yield report.at_input((name, "input"), *figures)(
        f"with the output open {control.input} still gets {figures[0].value} from a leakage of "
        f"{figures[2]}, and is surely off only up to {figures[1]}: the motor may not stop",
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
    twins = {report.use(other) for other, entry in report.switched if entry.input == control.input}
    for event in report.not_closing(name):
        level = report.solved.input_v(report.use(name), event)
        on = level.is_known and report.solved.state(report.use(name), event) is State.ON
        if not on or event.closed & twins or _shares_output(report, name, event):
            continue
        figure = of_level("volts over the input", level, "low")
        yield report.at_input((name, "input"), figure)(
            f"{control.input} gets {figure} and is on, though nothing commands it ({event.words})",
            f"find what joins {control.input} to {control.common} beside its switch: a bridge at the "
            "controller, an output wired to both, a return that feeds it",
        )
        break


def _shares_output(report: Report, name: str, event: Event) -> bool:
    """Whether what is closed acts by this control's terminals too, which has a finding of its own."""
    acting = report.solved.installation.acting(report.use(name))
    others = (report.solved.installation.acting(use) for use in event.closed)
    return acting is None or any(other is not None and set(acting[1:]) == set(other[1:]) for other in others)
