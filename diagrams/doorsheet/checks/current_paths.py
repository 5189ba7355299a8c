"""Checks of the way that current takes: its return, links, a second supply (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from doorsheet.checks.check import STOP, check
from doorsheet.checks.examined import Report, listed
from doorsheet.checks.finding import Finding
from doorsheet.circuit.nets import nets
from doorsheet.circuit.parts import Stage
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl

__all__ = ["input_linked_on", "linked", "missing_return", "sneak_supply"]


@check(
    "L101",
    STOP,
    "No way back for the current",
    rule=(
        "Every switch lies on a closed loop that leaves a supply's plus, passes the input and returns "
        "to its minus. Without the return nothing happens, or the current takes a way that nobody "
        "meant."
    ),
    formula="loops(closed switch) >= 1",
    source="follows from Kirchhoff's current law: what leaves a supply comes back to it",
    example="""\
[run-forward]
input  = "DI1"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def missing_return(report: Report) -> Iterator[Finding]:
    """Current needs a way back; every control has two wires."""
    for name in report.names:
        control = report.mapping.control(name)
        for gap, key in _return_gaps(control, report.stage_of(name)):
            yield report.finding(
                "L101",
                (name, key),
                f"{name} has no way back: {gap}",
                "find the return terminal beside the signal's in the manual and add it",
            )


def _return_gaps(
    control: SwitchedControl | SpeedControl | DriveContact, stage: Stage
) -> Iterator[tuple[str, str]]:
    if isinstance(control, DriveContact):
        if stage is Stage.FINAL and control.input.common is None:
            yield "the controller's input has no common", "input"
        return
    if control.common is None:
        yield "no common at the drive", "common"
    if stage is Stage.BENCH:
        return
    if isinstance(control, SpeedControl):
        if control.source is not None and control.source.common is None:
            yield f"analog output {control.source.signal} has no common", "source"
        return
    output = control.output
    if output is None:
        return
    if output.kind == "isolated" and (output.plus is None or output.minus is None):
        side = "minus" if output.minus is None else "plus"
        yield f"the isolated output has no {side} side", "output"
    elif output.kind == "contact" and output.terminals is None:
        yield "the contact's two terminals are not named", "output"
    elif output.kind in ("open-collector", "logic-level"):
        if output.common is None:
            yield f"the {output.kind} output has no common", "output"
        if output.signal is None:
            yield f"the {output.kind} output has no signal terminal", "output"


def linked(report: Report) -> tuple[frozenset[str], ...]:
    """Return the groups of drive terminals that links alone join, by their labels."""
    bare = replace(report.circuit, wires=(), parts=())
    return tuple(frozenset(terminal.label for terminal in net) for net in nets(bare))


@check(
    "L102",
    STOP,
    "A link holds an input on",
    rule=(
        "A link joins an input's terminal to its common, to the inputs' supply or to another input, "
        "so the switch no longer decides."
    ),
    formula="net of links(input) holds no common, feed or other input",
    source="follows from what a link is: it does what a closed switch does",
    example="""\
[drive]
links = [{ between = ["DI1", "COM"] }]

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
""",
)
def input_linked_on(report: Report) -> Iterator[Finding]:
    """A link that joins an input to its common, the supply or another input."""
    commons = {control.common: "a common" for _, control in report.switched() if control.common}
    feeds = {control.feed: "the inputs' supply" for _, control in report.switched() if control.feed}
    inputs = {control.input: "another input" for _, control in report.switched()}
    for name, control in report.switched():
        group = next((labels for labels in linked(report) if control.input in labels), frozenset())
        others = sorted(label for label in group if label != control.input)
        said = [f"{label} ({what})" for label in others if (what := (inputs | feeds | commons).get(label))]
        if said:
            yield report.finding(
                "L102",
                (name, "input"),
                f"links on the strip join input {control.input} to {listed(said)}: its switch does "
                "not decide",
                f"power off, take the link at {control.input} out, or use another input",
                terminals=(control.input, *others),
            )


@check(
    "L103",
    STOP,
    "Two supplies in one loop",
    rule=(
        "The link of the drive's own input supply is in place beside an outside supply. The input can "
        "be on with its switch open (a sneak path), and one supply feeds the other."
    ),
    formula="supplies(loop) = 1",
    source=(
        "follows from Kirchhoff's voltage law: the difference of two supplies in one loop drives "
        "current through it, switch open or not"
    ),
    example="""\
[drive]
links = [{ between = ["+24V", "COM"] }]

[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }
meter  = 0
feed   = "+24V"
""",
)
def sneak_supply(report: Report) -> Iterator[Finding]:
    """The drive's own input supply is linked in while an outside supply drives the loop."""
    feeds = {control.feed for _, control in report.switched() if control.feed}
    inputs = report.mapping.drive.inputs
    for name, control in report.switched():
        group = next((labels for labels in linked(report) if control.common in labels), frozenset())
        inside = sorted(feeds & group)
        joins_plus = control.output is not None and control.output.joins == "plus"
        if report.stage_of(name) is Stage.BENCH or not inside:
            continue
        if not (joins_plus or (inputs is not None and inputs.supply == "outside")):
            continue
        outside = (
            "the controller's outputs bring plus" if joins_plus else "an outside supply drives the inputs"
        )
        yield report.finding(
            "L103",
            (name, "common"),
            f"{outside}, and a link joins common {control.common} to the drive's own supply at "
            f"{listed(inside)}: two supplies in one loop",
            "power off and take the link out, or take the outside supply away; exactly one may remain",
            terminals=(control.common, *inside),
        )
