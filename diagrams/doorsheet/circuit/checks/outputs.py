"""Checks of the controller's outputs against their ratings (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.checks.figures import of_fact, of_level
from doorsheet.circuit.checks.kinds import output_name
from doorsheet.circuit.checks.report import Report, exceeds
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.findings import Figure, Finding
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
"""Rated voltage over open voltage that a survey of practice asks for."""

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


def voltage_above_rating(report: Report) -> Iterator[Finding]:
    """O201: the open output bears the input's whole supply."""
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


def little_voltage_in_hand(report: Report) -> Iterator[Finding]:
    """O202: rated for the open voltage, but for little more."""
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


def reversed_breaks_down(report: Report) -> Iterator[Finding]:
    """O203: with no reading the output may be reversed, and bears only a few volts so."""
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


def current_above_rating(report: Report) -> Iterator[Finding]:
    """O204: the closed output carries the input's whole current."""
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


def contact_too_large(report: Report) -> Iterator[Finding]:
    """O207: a power contact on a small current misses starts after some months."""
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
