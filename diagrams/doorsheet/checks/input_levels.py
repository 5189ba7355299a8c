"""Checks of the on and off level at switch inputs (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import STOP, check
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.fact_figures import of_fact, of_level
from doorsheet.checks.finding import Finding
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.levels import Level, input_closed_v, input_leak_a, input_leak_v, switch_current

__all__ = ["off_level", "on_level"]


@check(
    "O205",
    STOP,
    "The input may not come on",
    rule=(
        "At the lowest supply, the voltage that the output and the wires leave for the input is below "
        "its on level (or the current is)."
    ),
    formula="Vsupply,min - Vsat,max - I x 2 x Rwire >= on level",
    source=(
        "on levels 15 V, 11 V, 11 V of types 1, 2, 3: IEC 61131-2:2007, read in a public article that "
        "quotes the table"
    ),
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"
on = "23 V"
off = "5 V"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", saturation = "1.2 V" }
meter  = 24
""",
)
def on_level(report: Report) -> Iterator[Finding]:
    """The lowest supply, less saturation and wires, reaches the input's on level."""
    for name, control, output in report.driven():
        on = report.facts.input_on(name)
        if output.kind == "logic-level" or not isinstance(on, Fact):
            continue
        form = input_closed_v if on.unit == "V" else switch_current
        level = form(report.facts, report.circuit, name)
        if not isinstance(level, Level) or not exceeds(on.interval.high, level.interval.low):
            continue
        figures = (of_level(level, "low"), of_fact(on), *map(of_fact, level.facts))
        yield report.finding(
            "O205",
            (name, "input"),
            f"closed, {control.input} gets only {figures[0]}, and comes on at {figures[1]}",
            "use an output with a lower saturation voltage or a relay contact, thicker or shorter wires, "
            "or a supply at its full voltage",
            wires=report.wires_of(name, "input", "common"),
            terminals=(control.input, control.common),
            figures=figures,
        )


@check(
    "O206",
    STOP,
    "The input may not go off",
    rule=(
        "With the output open its leakage still flows through the input. When hot it can hold the "
        "input on: the motor does not stop."
    ),
    formula="Ileak,max <= off level, or Ileak,max x Rinput <= off level",
    source=(
        "off levels of types 1, 2, 3: IEC 61131-2:2007, read in a public article that quotes the "
        "table; leakage by the mapping"
    ),
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"
type    = 3

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", leakage = "2 mA" }
meter  = 24.3
""",
)
def off_level(report: Report) -> Iterator[Finding]:
    """The open output's leakage stays below the input's off level, in volts or in current."""
    for name, control, output in report.driven():
        leakage = report.facts.output_leakage(name)
        if output.kind == "logic-level" or not isinstance(leakage, Fact):
            continue  # where nobody said what leaks, no stop on a guess of ours
        held = _held_on(report, name)
        if not held:
            continue
        level, off = held[0]
        figures = (of_level(level, "high"), of_fact(off), of_fact(leakage, "high"))
        yield report.finding(
            "O206",
            (name, "input"),
            f"with the output open {control.input} still gets {figures[0].value} by a leakage of "
            f"{figures[2]}, and "
            f"is surely off only up to {figures[1]}: the motor may not stop",
            "use an output with less leakage or a relay contact, or a resistor across the input that "
            "takes the "
            "leakage",
            wires=report.wires_of(name, "input", "common"),
            terminals=(control.input, control.common),
            figures=figures,
        )


def _held_on(report: Report, name: str) -> list[tuple[Level, Fact]]:
    """Return the levels that pass their off level; none when any of them says that the input is off."""
    facts, held = report.facts, []
    for level, off in (
        (input_leak_a(facts, name), facts.input_off_current(name)),
        (input_leak_v(facts, name), facts.input_off(name)),
    ):
        if not isinstance(level, Level) or not isinstance(off, Fact) or off.unit != level.unit:
            continue
        if not exceeds(level.interval.high, off.interval.low):
            return []
        held.append((level, off))
    return held
