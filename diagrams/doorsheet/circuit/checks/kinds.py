"""Checks of the controller's outputs by their kind and their state at start (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.checks.report import Report
from doorsheet.circuit.findings import Figure, Finding
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


def logic_level_on_input(report: Report) -> Iterator[Finding]:
    """O101: a logic-level output can't carry a drive's input."""
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


def alternating_output(report: Report) -> Iterator[Finding]:
    """O208: an output for alternating current latches on in a direct-current loop."""
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


def state_at_start(report: Report) -> Iterator[Finding]:
    """O209: an output that is not off while the controller starts moves the motor."""
    enable = report.mapping.enable
    if enable is not None and enable.output is None:
        return  # a switch by hand withholds the enable
    for name, control, output in report.driven():
        if name not in _MOVES or output.rest not in ("floats", "pulses"):
            continue
        figure = Figure("output at start", output.rest, report.origin(name, "output", "rest"))
        yield report.finding(
            "O209",
            (name, "output", "rest"),
            f"output {output_name(output)} {figure} while the controller starts, and nothing in "
            "hardware withholds the "
            f"enable: {control.input} may run the motor",
            "wire the enable input to a switch or relay that closes only when the controller is ready",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), control.input),
            figures=(figure,),
        )
