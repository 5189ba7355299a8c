"""Checks of loops and nets: ways back, sources, commons, isolation, links (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from doorsheet.circuit.checks.report import Report, listed, rank
from doorsheet.circuit.findings import Finding
from doorsheet.circuit.nets import nets
from doorsheet.circuit.parts import BlockKind, PartKind, Stage, Terminal, Wire
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl

__all__ = [
    "commons_joined",
    "input_linked_on",
    "linked",
    "missing_return",
    "one_common_terminal",
    "sneak_supply",
    "two_sources",
]

DRIVE = BlockKind.DRIVE


def missing_return(report: Report) -> Iterator[Finding]:
    """L101: current needs a way back; every control has two wires."""
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


# --- links ---------------------------------------------------------------


def linked(report: Report) -> tuple[frozenset[str], ...]:
    """Return the groups of drive terminals that links alone join, by their labels."""
    bare = replace(report.circuit, wires=(), parts=())
    return tuple(frozenset(terminal.label for terminal in net) for net in nets(bare))


def input_linked_on(report: Report) -> Iterator[Finding]:
    """L102: a link that joins an input to its common, the supply or another input."""
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


def sneak_supply(report: Report) -> Iterator[Finding]:
    """L103: the drive's own input supply is linked in while an outside supply drives the loop."""
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


# --- nets ----------------------------------------------------------------


def two_sources(report: Report) -> Iterator[Finding]:
    """N101: two sources joined fight each other."""
    sources = _sources(report)
    for net in nets(report.circuit):
        feeding = sorted(terminal for terminal in net if terminal in sources)
        names = sorted({sources[terminal] for terminal in feeding})
        if len(names) < 2:
            continue
        labels = {terminal.label for terminal in feeding if terminal.block == DRIVE}
        by_links = len(labels) == len(feeding) and any(labels <= group for group in linked(report))
        wires = [] if by_links else [wire for wire in report.circuit.wires if wire.near in net]
        first = min((wire.control for wire in wires), key=rank, default=DRIVE)
        yield report.finding(
            "N101",
            (DRIVE, "links") if by_links else (first,),
            f"two sources on one net: {listed(names)}",
            "take one of them off; a source must never feed another source's output",
            wires=tuple(wire.number for wire in wires),
            terminals=tuple(terminal.label for terminal in feeding),
        )


def _sources(report: Report) -> dict[Terminal, str]:
    """Return every terminal that puts a voltage of its own on its net, and what to call it."""
    sources: dict[Terminal, str] = {}
    for part in report.circuit.parts:
        if part.kind in (PartKind.ANALOG_SOURCE, PartKind.LOGIC, PartKind.HIGH_SIDE):
            for pin in part.pins:
                if pin.role in ("signal", "input"):
                    sources[pin.terminal] = f"{part.kind} {pin.terminal}"
    for _, control in report.switched():
        if control.feed is not None:
            sources[Terminal(DRIVE, control.feed)] = "the inputs' own supply"
    speed = report.mapping.speed
    if speed is not None and speed.supply is not None:
        sources[Terminal(DRIVE, speed.supply)] = f"reference supply {speed.supply}"
    return sources


def _commons(report: Report) -> tuple[dict[Terminal, str], Terminal | None]:
    """Return the switch commons by terminal with the control that names them, and the speed common."""
    switch = {Terminal(DRIVE, c.common): name for name, c in report.switched() if c.common is not None}
    speed = report.mapping.speed
    return switch, Terminal(DRIVE, speed.common) if speed is not None and speed.common is not None else None


def one_common_terminal(report: Report) -> Iterator[Finding]:
    """N104: one terminal of the drive is the common of switches and speed."""
    switch, speed = _commons(report)
    if speed is not None and speed in switch:
        yield report.finding(
            "N104",
            ("speed", "common"),
            f"{speed} is the common of the switches and of the speed signal",
            "right if the drive's manual shows a single common; else read the two labels again",
            terminals=(speed.label,),
        )


def commons_joined(report: Report) -> Iterator[Finding]:
    """N102, N103: a way from the switch common to the speed common outside the drive."""
    switch, speed = _commons(report)
    if speed is None or speed in switch:
        return
    labels = {terminal.label for terminal in switch}
    for group in linked(report):
        if speed.label in group and (met := sorted(group & labels)):
            yield from _joined_by_links(report, speed, met, group)
            return
    for near, wire in _shared_at_controller(report, switch, speed):
        part = next(p for p in report.circuit.parts if p.control == wire.control)
        isolated = part.kind is PartKind.ISOLATED
        how = (
            "that side of the isolated output is not isolated there"
            if isolated
            else "noise and switch current get in"
        )
        yield report.finding(
            "N103" if isolated else "N102",
            (wire.control, "output"),
            f"controller terminal {near} joins the switch common {wire.far} to the speed common "
            f"{speed}: {how}",
            "give the output a return of its own"
            if isolated
            else "use isolated outputs or relay contacts, "
            "or an isolator for the speed signal, unless both manuals show it so",
            wires=(wire.number,),
            terminals=(near.label, wire.far.label, speed.label),
        )


def _joined_by_links(
    report: Report, speed: Terminal, met: list[str], group: frozenset[str]
) -> Iterator[Finding]:
    """Say that links join the commons, unless each of them gives its reason."""
    for index, link in enumerate(report.mapping.drive.links):
        if link.note is None and set(link.between) <= group and {*met, speed.label} & set(link.between):
            yield report.finding(
                "N102",
                (DRIVE, "links", index),
                f"links join the switch common {listed(met)} to the speed common {speed}, and give no reason",
                'take the link out, or write why it is there: note = "..."',
                terminals=(*met, speed.label),
            )
            return


def _shared_at_controller(
    report: Report, switch: dict[Terminal, str], speed: Terminal
) -> Iterator[tuple[Terminal, Wire]]:
    """Yield each controller terminal from which wires go to both commons, with the switch's wire."""
    to_speed = {wire.near for wire in report.circuit.wires if wire.far == speed}
    for wire in report.circuit.wires:
        if wire.far in switch and wire.near in to_speed and wire.near.block == "controller":
            yield wire.near, wire
