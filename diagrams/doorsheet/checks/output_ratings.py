"""Checks of the controller's outputs against their ratings (room: checks)."""

from collections.abc import Iterator
from typing import Final, Literal

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.dangerous_readings import is_dangerous
from doorsheet.checks.examined import Report
from doorsheet.checks.example import INPUTS, RUN, put
from doorsheet.checks.fact_figures import of_fact, of_level
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.output_kinds import output_name
from doorsheet.circuit.ranges import Interval, show
from doorsheet.electrics import Level, State, over
from doorsheet.electrics.events import REST, Reversed
from doorsheet.electrics.fact import Fact
from doorsheet.mapping.controls import Output

__all__: list[str] = []

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


def _open_against_rating(report: Report) -> Iterator[tuple[str, str, Output, Figure, float, Fact]]:
    """Yield (control, input, output, open voltage, the same in V, rating) where both are known."""
    for name, control, output in report.driven():
        if output.kind == "logic-level":
            continue  # a stop already
        rated = report.figures.rating(name, "output voltage")
        bears = _highest_open(report, name) if rated.is_known else None
        if bears is not None:
            yield name, control.input, output, *bears, rated


@stop(
    "O201",
    "The open voltage is more than the output is rated for",
    formula="highest open voltage, in any state of the installation <= output's rated voltage",
    source=(
        "follows from Ohm's law: without current the input takes no voltage, so all of it is across the "
        "output"
    ),
    example=put(RUN, 'output = { plus = "Y1+", minus = "Y1-", voltage = "24 V" }'),
)
def _voltage_above_rating(report: Report) -> Iterator[Finding]:
    """Open, the output has the input's whole supply across it. Above its rating it breaks down: the motor
    runs, or the output is lost."""
    for name, entry, output, figure, open_v, rated in _open_against_rating(report):
        if not over(open_v, rated.low):
            continue
        limit = of_fact(rated)
        enough = show(Interval(open_v * VOLTAGE_IN_HAND, open_v * VOLTAGE_IN_HAND), "V", 2)
        yield report.finding(
            (name, "output"),
            f"{entry} stands at {figure} open, output {output_name(output)} is rated {limit}",
            f"use an output rated {enough} or more, or a relay contact in between",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), entry),
            figures=(figure, limit),
        )


@note(
    "O202",
    "Little voltage to spare",
    formula="output's rated voltage >= 1.25 x open voltage",
    source=(
        "24 V inputs up to 28.8 V (+20 %): IEC 61131-2, seen at second hand; the quarter is common practice"
    ),
    example=put(RUN, 'output = { plus = "Y1+", minus = "Y1-", voltage = "30 V" }'),
)
def _little_voltage_in_hand(report: Report) -> Iterator[Finding]:
    """Supplies rise above their nominal voltage; a quarter to spare keeps the output below its rating."""
    for name, entry, output, figure, open_v, rated in _open_against_rating(report):
        if not over(open_v, rated.low) and over(open_v * VOLTAGE_IN_HAND, rated.low):
            limit = of_fact(rated)
            yield report.finding(
                (name, "output"),
                f"{entry} stands at {figure} open, output {output_name(output)} is rated {limit}: less than "
                "a quarter to spare",
                "make sure that the supply can't rise above the rating",
                wires=report.wires_of(name, "input", "common"),
                terminals=(output_name(output), entry),
                figures=(figure, limit),
            )


@caution(
    "O203",
    "Wired the wrong way round, the output breaks down",
    formula="open voltage <= reverse rating, by default 5 V",
    source=(
        "emitter-collector limits of 5 V, 6 V and 7 V of common optocouplers, read in five public data "
        "sheets: the least is taken"
    ),
    example=(INPUTS, put(RUN, 'output = { plus = "Y1+", minus = "Y1-", reverse = "7 V" }', "meter")),
)
def _reversed_breaks_down(report: Report) -> Iterator[Finding]:
    """No reading proves the polarity, and an isolated transistor can take only a few volts backwards. Beyond
    them it conducts: the input may be on, and the motor start, as soon as it is connected."""
    for name, control, output in report.driven():
        if output.kind != "isolated" or control.reading_v is not None:
            continue
        use, bears = report.use(name), report.figures.reverse(name)
        level = report.solved.output_v(use)
        if level is None or not level.is_known or not over(_size(level), bears.low):
            continue
        turned = report.solved.state(use, REST, Reversed(use))
        starts = "" if turned is State.OFF else f"; it then conducts, and {control.input} may be on at once"
        figures = (_level_figure("open voltage", level, "high"), of_fact(bears))
        yield report.finding(
            (name, "output"),
            f"polarity of {control.input} is unproved, and wired the wrong way round output "
            f"{output_name(output)} would bear {figures[0]} backwards, against {figures[1]}{starts}",
            f"measure {control.input} against {control.common or 'its common'} first, and write it down⟨ as "
            "meter = ...⟩; the sheet then turns the output the right way",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), control.input),
            figures=figures,
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
    report: Report, what: str, which: Literal["low", "high"]
) -> Iterator[tuple[str, str, Output, Figure, Fact]]:
    """Yield (control, input, output, current, rating) where the current is beyond a rating."""
    for name, control, output in report.driven():
        rated = report.figures.rating(name, what)
        if output.kind == "logic-level" or not rated.is_known:
            continue
        current = _closed_current(report, name, which)
        if current is None:
            continue
        amps, figure = current
        if over(amps, rated.low) if which == "high" else over(rated.high, amps):
            yield name, control.input, output, figure, rated


@stop(
    "O204",
    "The input draws more than the output is rated for",
    formula="highest closed current, alone or with all others closed <= output's rated current",
    source="follows from Kirchhoff's current law: the loop has one current, in the output as in the input",
    example=(INPUTS, put(RUN, 'output = { plus = "Y1+", minus = "Y1-", current = "4 mA" }', "meter  = 24")),
)
def _current_above_rating(report: Report) -> Iterator[Finding]:
    """Closed, the output carries the input's whole current."""
    for name, entry, output, current, rated in _current_against(report, "output current", "high"):
        figures = (current, of_fact(rated))
        yield report.finding(
            (name, "output"),
            f"input {entry} draws {figures[0]}, output {output_name(output)} is rated {figures[1]}",
            "use an output for more current, or a relay in between",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), entry),
            figures=figures,
        )


@caution(
    "O207",
    "The current is too small for the contact",
    formula="lowest closed current >= contact's least current",
    source=(
        "follows from the film on a contact, which a small current does not break; least loads from 1 mA "
        "(gold) to 10 mA (silver-nickel) at 5 V, read in public data sheets"
    ),
    example=(
        INPUTS,
        put(RUN, 'output = { kind = "contact", terminals = ["K1:13", "K1:14"], minimum = "10 mA" }'),
    ),
)
def _contact_too_large(report: Report) -> Iterator[Finding]:
    """A power contact needs some current to keep itself clean; below it, it works for months and then misses
    starts."""
    for name, entry, output, current, least in _current_against(report, "output minimum", "low"):
        if output.kind != "contact":
            continue
        figures = (current, of_fact(least))
        yield report.finding(
            (name, "output"),
            f"contact {output_name(output)} switches only {figures[0]} of {entry}, and needs "
            f"{figures[1]} to keep itself clean",
            "use a signal relay with gold contacts, or an isolated output",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), entry),
            figures=figures,
        )
