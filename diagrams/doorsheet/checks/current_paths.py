"""Checks of the way that current takes: its return, links, a second supply (room: checks)."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final, NamedTuple

from doorsheet.checks.check import stop
from doorsheet.checks.examined import NEAR_ZERO_V, Found, Report, called, listed
from doorsheet.checks.example import RUN, TO_PLUS, link, output_of, put, table
from doorsheet.circuit.parts import Circuit, Stage, Terminal
from doorsheet.electrics.figures import label_voltage
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl

__all__ = ["linked", "nets", "supply_volts"]


@stop("L101", put(RUN, "common"))
def _missing_return(report: Report) -> Found:
    """No way back for the current.
    Every switch lies on a closed loop that leaves a supply's plus, passes the input and returns to its minus.
    Without the return nothing happens, or the current takes a way that nobody meant.
    Formula: loops(closed switch) >= 1
    Source: follows from Kirchhoff's current law: what leaves a supply comes back to it"""
    for name in report.names:
        control = report.mapping.control(name)
        for gap, key in _return_gaps(control, report.stage_of(name)):
            do = "find the return terminal beside the signal's in the manual and add it"
            yield report.finding((name, key))(f"{called(name)} has no way back: {gap}", do)


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


def nets(circuit: Circuit) -> tuple[frozenset[Terminal], ...]:
    """Return the sets of terminals joined by wires and links, in order of first appearance."""
    leader: dict[Terminal, Terminal] = {}

    def find(terminal: Terminal) -> Terminal:
        leader.setdefault(terminal, terminal)
        while leader[terminal] != terminal:
            terminal = leader[terminal]
        return terminal

    for part in circuit.parts:
        for pin in part.pins:
            find(pin.terminal)
    for wire in circuit.wires:
        leader[find(wire.far)] = find(wire.near)
    for a, b, *_ in circuit.links:
        leader[find(b)] = find(a)
    joined: dict[Terminal, set[Terminal]] = {}
    for terminal in leader:
        joined.setdefault(find(terminal), set()).add(terminal)
    return tuple(frozenset(group) for group in joined.values())


def linked(report: Report) -> tuple[frozenset[str], ...]:
    """Return the groups of drive terminals that links alone join, by their labels."""
    bare = replace(report.circuit, wires=(), parts=())
    return tuple(frozenset(terminal.label for terminal in net) for net in nets(bare))


@stop("L102", link("DI1", "COM"), RUN)
def _input_linked_on(report: Report) -> Found:
    """A link holds an input on.
    A link joins an input's terminal to its common, to the inputs' supply or to another input, so the switch
    no longer decides.
    Formula: net of links(input) holds no common, feed or other input
    Source: follows from what a link is: it does what a closed switch does"""
    commons = {control.common: "a common" for _, control in report.switched if control.common}
    feeds = {control.feed: "the inputs' supply" for _, control in report.switched if control.feed}
    inputs = {control.input: "another input" for _, control in report.switched}
    for name, control in report.switched:
        group = next((labels for labels in linked(report) if control.input in labels), frozenset())
        others = sorted(label for label in group if label != control.input)
        said = [f"{label} ({what})" for label in others if (what := (inputs | feeds | commons).get(label))]
        if said:
            yield report.finding((name, "input"), terminals=(control.input, *others))(
                f"links on the strip join input {control.input} to {listed(said)}: its switch does "
                "not decide",
                f"power off, take the link at {control.input} out, or use another input",
            )


@stop("L103", link("+24V", "COM"), output_of(TO_PLUS, "meter  = 0", 'feed   = "+24V"'))
def _sneak_supply(report: Report) -> Found:
    """Two supplies in one loop.
    The link of the drive's own input supply is in place beside an outside supply. The input can be on with
    its switch open (a sneak path), and one supply feeds the other.
    Formula: supplies(loop) = 1
    Source: follows from Kirchhoff's voltage law: the difference of two supplies in one loop drives current
    through it, switch open or not"""
    feeds = {control.feed for _, control in report.switched if control.feed}
    for name, control in report.switched:
        group = next((labels for labels in linked(report) if control.common in labels), frozenset())
        inside = sorted(feeds & group)
        joins_plus = control.output is not None and control.output.joins == "plus"
        two = joins_plus or report.figures.inputs.supply == "outside"
        if report.stage_of(name) is Stage.BENCH or not inside or not two:
            continue
        outside = "the controller's outputs supply plus"
        outside = outside if joins_plus else "an outside supply drives the inputs"
        yield report.finding((name, "common"), terminals=(control.common, *inside))(
            f"{outside}, and a link joins common {control.common} to the drive's own supply at "
            f"{listed(inside)}: two supplies in one loop",
            "power off and take the link out, or take the outside supply away; exactly one may remain",
        )


_INPUTS_V: Final = 15.0
"""A supply terminal of more than this by its label is that of the switch inputs, 12 V or less a reference
(common practice, no source)."""


def supply_volts(report: Report) -> dict[str, str]:
    """Return the drive's terminals that give a voltage, by label, with what says so."""
    labels = {label for group in linked(report) for label in group}
    found = {
        label: f"{volts:g} V by its label" for label in sorted(labels) if (volts := label_voltage(label))
    }
    found |= {control.feed: "the inputs' supply" for _, control in report.switched if control.feed}
    return found | ({report.speed.supply: "the reference supply"} if report.speed.supply else {})


@stop(
    "L105",
    link("+24V", "AI1"),
    RUN,
    table("speed", 'signal = "AI1"', 'common = "AGND"', 'potentiometer = "10 kohm"'),
)
def _supply_linked(report: Report) -> Found:
    """A link joins what must stay apart.
    A link joins a supply to the speed signal or to its own minus, or the speed signal to a common. What each
    terminal is comes from the mapping, or failing that from its label, and the finding says which.
    Formula: net of links holds no supply with a signal or with a minus, and no signal with a common
    Source: follows from Ohm's law: a link has no resistance, so what it joins has one voltage, or a short"""
    supplies, minus = supply_volts(report), _commons(report)
    for group in linked(report):
        signal = _signal(report, sorted(group))
        inside = [label for label in sorted(group) if label in supplies]
        low = [label for label in sorted(group) if label in minus]
        said = [f"{label} ({supplies[label]})" for label in inside]
        names = {label: minus[label].words for label in low}
        if signal is not None and inside:
            why = f"join {listed(said)} to {signal}, which then gets its volts"
        elif signal is not None and low:
            why = f"join {signal} to {low[0]} ({names[low[0]]}): there is no signal"
        elif any(not minus[end].may_be_plus or _volts(label) < _INPUTS_V for label in inside for end in low):
            why = f"join {listed(said)} to {low[0]} ({names[low[0]]}): a short circuit"
        else:
            continue
        index = next(i for i, link in enumerate(report.mapping.drive.links) if set(link.between) <= group)
        yield report.finding(("drive", "links", index), terminals=tuple(sorted(group)))(
            f"links on the strip {why}", "power off and take the link out, or read the labels again"
        )


_SIGNAL_LABEL: Final = re.compile(r"AI\s?\d*", re.IGNORECASE)
_ZERO_LABEL: Final = re.compile(r"A?GND|0\s?V|ACOM", re.IGNORECASE)
_COMMON_LABEL: Final = re.compile(r"D?COM\d*", re.IGNORECASE)
"""Labels that such terminals usually have; a finding that rests on one says so."""


def _signal(report: Report, labels: list[str]) -> str | None:
    """Return the first of these labels that is the speed signal or looks like one, in words."""
    for label in labels:
        if label == report.speed.signal:
            return f"the speed signal {label}"
        if _SIGNAL_LABEL.fullmatch(label):
            return f"{label} (an analog input by its label)"
    return None


class _Common(NamedTuple):
    """What says that a terminal is a common; one of switches may be the inputs' plus."""

    words: str
    may_be_plus: bool = False


def _commons(report: Report) -> dict[str, _Common]:
    """Return the terminals that are a common, and what says so, the surest."""
    labels = sorted({label for group in linked(report) for label in group})
    by_label = _Common("a switch common by its label", may_be_plus=True)
    found = {label: _Common("a 0 V by its label") for label in labels if _ZERO_LABEL.fullmatch(label)}
    found |= {label: by_label for label in labels if _COMMON_LABEL.fullmatch(label)}
    if report.speed.common is not None:
        found[report.speed.common] = _Common("the speed common")
    switch = _Common("a switch common", may_be_plus=True)
    found |= {control.common: switch for _, control in report.switched if control.common is not None}
    for name, control in report.switched:
        if control.common is not None and (control.reading_v or 0.0) >= NEAR_ZERO_V:
            found[control.common] = _Common(f"minus by the reading of {called(name)}")
    return found


def _volts(supply: str) -> float:
    return label_voltage(supply) or 24.0
