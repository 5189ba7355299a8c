"""Checks of the controller's outputs by their kind and their state at start (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, STOP, check
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Figure, Finding
from doorsheet.mapping.controls import Output

__all__ = ["alternating_output", "logic_level_on_input", "output_name", "state_at_start"]

_MOVES: Final = ("run-forward", "run-reverse", "jog")
"""Controls that make the motor turn."""


def output_name(output: Output) -> str:
    """Return what to call an output: its acting terminal."""
    return (
        output.plus
        or output.signal
        or (output.terminals[0] if output.terminals else "")
        or output.minus
        or ""
    )


@check(
    "O101",
    STOP,
    "A logic-level output on a switch input",
    rule="The input's own supply destroys the output, and the output can't carry the input's current.",
    source=(
        "follows from the figures: logic of 3.3 V or 5 V, on an input that stands at its own supply, "
        "usually 24 V"
    ),
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "logic-level", signal = "P5", common = "GND" }
meter  = 24.3
""",
)
def logic_level_on_input(report: Report) -> Iterator[Finding]:
    """A logic-level output can't carry a drive's input."""
    for name, control, output in report.driven():
        if output.kind == "logic-level":
            yield report.finding(
                "O101",
                (name, "output"),
                f"logic-level output {output.signal or ''} on switch input {control.input}: "
                "the input's own supply can destroy it, and it can't carry the input's current",
                "use an isolated output of the controller, or put a relay or optocoupler between",
                wires=report.wires_of(name, "input"),
                terminals=(output.signal, control.input),
            )


@check(
    "O208",
    STOP,
    "An alternating-current output on a direct-current loop",
    rule=(
        "Such an output goes off when its current passes zero, which direct current never does: once "
        "on, it stays on."
    ),
    source="follows from how a triac works: it conducts until its current falls to zero",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", switches = "ac" }
meter  = 24.3
""",
)
def alternating_output(report: Report) -> Iterator[Finding]:
    """An output for alternating current latches on in a direct-current loop."""
    for name, control, output in report.driven():
        if output.switches == "ac":
            figure = Figure("output switches", "ac", report.origin(name, "output", "switches"))
            yield report.finding(
                "O208",
                (name, "output", "switches"),
                f"output {output_name(output)} switches {figure}, and {control.input} is a "
                "direct-current loop: once "
                "on, it stays on",
                "use an output for direct current, or a relay contact",
                wires=report.wires_of(name, "input", "common"),
                terminals=(output_name(output), control.input),
                figures=(figure,),
            )


@check(
    "O209",
    CAUTION,
    "The output is not surely off while the controller starts",
    rule=(
        "An output that floats or pulses while the controller starts, resets or is unplugged starts "
        "the motor for a moment, unless hardware keeps the enable off."
    ),
    formula="every state at start = stop, or enable in hardware",
    source="follows from how a controller starts: until its program runs, nothing holds its outputs off",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", rest = "pulses" }
meter  = 24.3
""",
)
def state_at_start(report: Report) -> Iterator[Finding]:
    """An output that is not off while the controller starts moves the motor."""
    enable = report.mapping.enable
    if enable is not None and enable.output is None:
        return  # a switch by hand keeps the enable
    for name, control, output in report.driven():
        if name not in _MOVES or output.rest not in ("floats", "pulses"):
            continue
        figure = Figure("output at start", output.rest, report.origin(name, "output", "rest"))
        yield report.finding(
            "O209",
            (name, "output", "rest"),
            f"output {output_name(output)} {figure} while the controller starts, and nothing in "
            "hardware withholds the "
            f"enable off: {control.input} may run the motor",
            "wire the enable input to a switch or relay that closes only when the controller is ready",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), control.input),
            figures=(figure,),
        )
