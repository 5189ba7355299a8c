"""Checks of the controller's outputs against their ratings (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, NOTE, STOP, check
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.fact_figures import of_fact, of_level
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.output_kinds import output_name
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.levels import Level, switch_current
from doorsheet.circuit.quantities import Interval, show
from doorsheet.mapping.controls import Output

__all__ = [
    "contact_too_large",
    "current_above_rating",
    "little_voltage_in_hand",
    "reversed_breaks_down",
    "voltage_above_rating",
]

VOLTAGE_IN_HAND: Final = 1.25
"""Rated voltage over open voltage below which it is worth a word (common practice, no source)."""

REVERSE_DEFAULT_V: Final = 7.0
"""What an isolated transistor bears backwards: BVeco of a registered type (public data sheet copy)."""

_REVERSE_FIGURE: Final = Figure(
    "reverse rating of the output", f"{REVERSE_DEFAULT_V:g} V", "default: data sheet of a common optocoupler"
)

# --- voltage -------------------------------------------------------------


def _highest_open(report: Report, name: str) -> tuple[Figure, float] | None:
    """Return the highest voltage over the open output: the reading or the given supply, the larger."""
    facts = report.facts.input_open_v(name), report.facts.input_supply(name)
    found = [(of_fact(fact), _size(fact.interval)) for fact in facts if isinstance(fact, Fact)]
    return max(found, key=lambda pair: pair[1], default=None)


def _size(interval: Interval) -> float:
    return max(abs(interval.low), abs(interval.high))


def _open_against_rating(report: Report) -> Iterator[tuple[str, str, Output, Figure, float, Fact]]:
    """Yield (control, input, output, open voltage, the same in V, rating) where both are known."""
    for name, control, output in report.driven():
        rated, bears = report.facts.output_voltage(name), _highest_open(report, name)
        if output.kind == "logic-level" or output.joins == "plus":
            continue  # one is a stop already; the other bears the controller's own supply
        if isinstance(rated, Fact) and bears is not None:
            yield name, control.input, output, *bears, rated


@check(
    "O201",
    STOP,
    "The open voltage is more than the output is rated for",
    rule=(
        "Open, the output has the input's whole supply across it. Above its rating it breaks down: "
        "the motor runs, or the output is lost."
    ),
    formula="highest open voltage <= output's rated voltage",
    source=(
        "follows from Ohm's law: without current the input takes no voltage, so all of it is across "
        "the output"
    ),
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", voltage = "24 V" }
meter  = 24.3
""",
)
def voltage_above_rating(report: Report) -> Iterator[Finding]:
    """The open output bears the input's whole supply."""
    for name, entry, output, figure, open_v, rated in _open_against_rating(report):
        if not exceeds(open_v, rated.interval.low):
            continue
        limit = of_fact(rated)
        enough = show(Interval(open_v * VOLTAGE_IN_HAND, open_v * VOLTAGE_IN_HAND), "V", 2)
        yield report.finding(
            "O201",
            (name, "output"),
            f"{entry} stands at {figure} open, output {output_name(output)} is rated {limit}",
            f"use an output rated {enough} or more, or a relay contact between",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), entry),
            figures=(figure, limit),
        )


@check(
    "O202",
    NOTE,
    "Little voltage to spare",
    rule="Supplies rise above their nominal voltage; a quarter to spare keeps the output below its rating.",
    formula="output's rated voltage >= 1.25 x open voltage",
    source=(
        "24 V inputs up to 28.8 V (+20 %): IEC 61131-2, seen at second hand; the quarter is common practice"
    ),
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", voltage = "30 V" }
meter  = 24.3
""",
)
def little_voltage_in_hand(report: Report) -> Iterator[Finding]:
    """Rated for the open voltage, but for little more."""
    for name, entry, output, figure, open_v, rated in _open_against_rating(report):
        if not exceeds(open_v, rated.interval.low) and exceeds(open_v * VOLTAGE_IN_HAND, rated.interval.low):
            limit = of_fact(rated)
            yield report.finding(
                "O202",
                (name, "output"),
                f"{entry} stands at {figure} open, output {output_name(output)} is rated {limit}: "
                "less than a "
                "quarter in hand",
                "make sure that the supply can't rise above the rating",
                wires=report.wires_of(name, "input", "common"),
                terminals=(output_name(output), entry),
                figures=(figure, limit),
            )


@check(
    "O203",
    CAUTION,
    "Wired the wrong way round, the output breaks down",
    rule="No reading proves the polarity, and an isolated transistor can take only a few volts backwards.",
    formula="open voltage <= reverse rating, by default 7 V",
    source=(
        "emitter-collector limit of 7 V of a registered type, read in a public data sheet copy; "
        "others have 5 V or 6 V"
    ),
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", reverse = "7 V" }
""",
)
def reversed_breaks_down(report: Report) -> Iterator[Finding]:
    """With no reading the output may be reversed, and bears only a few volts so."""
    for name, control, output in report.driven():
        supply, given = report.facts.input_supply(name), report.facts.output_reverse(name)
        if output.kind != "isolated" or control.reading_v is not None or not isinstance(supply, Fact):
            continue
        bears = given.interval.low if isinstance(given, Fact) else REVERSE_DEFAULT_V
        if exceeds(_size(supply.interval), bears):
            figures = (of_fact(supply), of_fact(given) if isinstance(given, Fact) else _REVERSE_FIGURE)
            yield report.finding(
                "O203",
                (name, "output"),
                f"polarity of {control.input} is unproved, and wired the wrong way round output "
                f"{output_name(output)} "
                f"would bear {figures[0]} backwards, against {figures[1]}",
                f"measure {control.input} against {control.common or 'its common'} first, and write it as "
                "meter = ...; the sheet then turns the output the right way",
                wires=report.wires_of(name, "input", "common"),
                terminals=(output_name(output), control.input),
                figures=figures,
            )


# --- current -------------------------------------------------------------


def _closed_current(report: Report, name: str) -> Level | Fact | None:
    """Return the current through the closed switch: measured if it was, else computed."""
    measured = report.facts.closed_current(name)
    if isinstance(measured, Fact):
        return measured
    level = switch_current(report.facts, report.circuit, name)
    return level if isinstance(level, Level) else None


@check(
    "O204",
    STOP,
    "The input draws more than the output is rated for",
    rule="Closed, the output carries the input's whole current.",
    formula="highest closed current <= output's rated current",
    source="follows from Kirchhoff's current law: the loop has one current, in the output as in the input",
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", current = "4 mA" }
meter  = 24
""",
)
def current_above_rating(report: Report) -> Iterator[Finding]:
    """The closed output carries the input's whole current."""
    for name, control, output in report.driven():
        rated, current = report.facts.output_current(name), _closed_current(report, name)
        if output.kind == "logic-level" or not isinstance(rated, Fact) or current is None:
            continue
        if not exceeds(_size(current.interval), rated.interval.low):
            continue
        figures = (_figure(current, "high"), of_fact(rated))
        yield report.finding(
            "O204",
            (name, "output"),
            f"input {control.input} draws {figures[0]}, output {output_name(output)} is rated {figures[1]}",
            "use an output for more current, or a relay between",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), control.input),
            figures=figures,
        )


@check(
    "O207",
    CAUTION,
    "The current is too small for the contact",
    rule=(
        "A power contact needs some current to keep itself clean; below it, it works for months and "
        "then misses starts."
    ),
    formula="lowest closed current >= contact's least current",
    source=(
        "follows from the film on a contact, which a small current does not break; least loads from 1 "
        "mA (gold) to 10 mA (silver-nickel) at 5 V, read in public data sheets"
    ),
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"

[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "contact", terminals = ["K1:13", "K1:14"], minimum = "10 mA" }
meter  = 24.3
""",
)
def contact_too_large(report: Report) -> Iterator[Finding]:
    """A power contact on a small current misses starts after some months."""
    for name, control, output in report.driven():
        least, current = report.facts.output_minimum(name), _closed_current(report, name)
        if output.kind != "contact" or not isinstance(least, Fact) or current is None:
            continue
        if not exceeds(least.interval.high, current.interval.low):
            continue
        figures = (_figure(current, "low"), of_fact(least))
        yield report.finding(
            "O207",
            (name, "output"),
            f"contact {output_name(output)} switches only {figures[0]} of {control.input}, and needs "
            f"{figures[1]} to "
            "keep itself clean",
            "use a signal relay with gold contacts, or an isolated output",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), control.input),
            figures=figures,
        )


def _figure(current: Level | Fact, end: str) -> Figure:
    if isinstance(current, Fact):
        return of_fact(current)
    return of_level(current, "high" if end == "high" else "low")
