"""Checks of the controller's outputs by their kind and their state at start (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import stop
from doorsheet.checks.examined import MOVES, Report
from doorsheet.checks.example import RUN, put
from doorsheet.checks.finding import Figure, Finding
from doorsheet.electrics import State
from doorsheet.electrics.events import Controller, Event
from doorsheet.mapping.controls import Output

__all__ = ["output_name"]


def output_name(output: Output) -> str:
    """Return what to call an output: its acting terminal."""
    return (
        output.plus
        or output.signal
        or (output.terminals[0] if output.terminals else "")
        or output.minus
        or ""
    )


@stop(
    "O101",
    "A logic-level output on a switch input",
    source=(
        "follows from the figures: logic of 3.3 V or 5 V, on an input that stands at its own supply, "
        "usually 24 V"
    ),
    example=put(RUN, 'output = { kind = "logic-level", signal = "P5", common = "GND" }'),
)
def _logic_level_on_input(report: Report) -> Iterator[Finding]:
    """The input's own supply destroys the output, and the output can't carry the input's current."""
    for name, control, output in report.driven():
        if output.kind == "logic-level":
            yield report.finding(
                (name, "output"),
                f"logic-level output {output.signal or ''} on switch input {control.input}: "
                "the input's own supply can destroy it, and it can't carry the input's current",
                "use an isolated output of the controller, or put a relay or optocoupler in between",
                wires=report.wires_of(name, "input"),
                terminals=(output.signal, control.input),
            )


@stop(
    "O208",
    "An alternating-current output on a direct-current loop",
    source="follows from how a triac works: it conducts until its current falls to zero",
    example=put(RUN, 'output = { plus = "Y1+", minus = "Y1-", switches = "ac" }'),
)
def _alternating_output(report: Report) -> Iterator[Finding]:
    """Such an output goes off when its current passes zero, which direct current never does: once on, it
    stays on."""
    for name, control, output in report.driven():
        switches, path = report.figures.given_of_output(name, "switches")
        if switches == "ac":
            figure = Figure("output switches", "ac", report.origin(*path))
            yield report.finding(
                path,
                f"output {output_name(output)} switches {figure}, and {control.input} is a direct-current "
                "loop: once on, it stays on",
                "use an output for direct current, or a relay contact",
                wires=report.wires_of(name, "input", "common"),
                terminals=(output_name(output), control.input),
                figures=(figure,),
            )


@stop(
    "O209",
    "The output is not surely off while the controller starts",
    formula="while the controller starts: input surely off, or enable surely off or by hand",
    source="follows from how a controller starts: until its program runs, nothing holds its outputs off",
    example=put(RUN, 'output = { plus = "Y1+", minus = "Y1-", rest = "pulses" }'),
)
def _state_at_start(report: Report) -> Iterator[Finding]:
    """An output that floats or pulses while the controller starts, resets or is unplugged starts the motor
    for a moment, unless something else surely withholds the enable. Where nobody said what it does, U101
    asks."""
    starting = Event(controller=Controller.STARTING)
    enable = report.mapping.enable
    if enable is not None and (enable.output is None or _is_off(report, "enable", starting)):
        return  # nothing moves without it
    for name, control, output in report.driven():
        rest, path = report.figures.given_of_output(name, "rest")
        if name not in MOVES or rest not in ("floats", "pulses") or _is_off(report, name, starting):
            continue
        figure = Figure("output at start", rest, report.origin(*path))
        yield report.finding(
            path,
            f"output {output_name(output)} {figure} while the controller starts, so {control.input} is not "
            "surely off, and nothing in hardware withholds the enable: the motor may run",
            "wire the enable input to a switch or relay that closes only when the controller is ready",
            wires=report.wires_of(name, "input", "common"),
            terminals=(output_name(output), control.input),
            figures=(figure,),
        )


def _is_off(report: Report, name: str, event: Event) -> bool:
    return report.solved.state(report.use(name), event) is State.OFF
