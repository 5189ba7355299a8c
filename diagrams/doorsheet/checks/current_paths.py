"""Checks of the ways of current: returns, links of the drive, supplies, earth."""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import Final

from doorsheet.checks.cables import nets
from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import MOVES, RANK, Figure, Found, Report, called, listed, once
from doorsheet.checks.example import CONTACT, REVERSE, RUN, SPEED, TO_PLUS, link, output_of, put, table
from doorsheet.circuit.parts import BlockKind, PartKind, Stage, Terminal
from doorsheet.circuit.reading_words import BLANK
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Earthed
from doorsheet.electrics.figures import INPUTS_V, label_voltage
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl

__all__ = ["COMMON_LABEL", "SIGNAL_LABEL", "ZERO_LABEL", "earth_asked", "linked"]

DRIVE: Final = BlockKind.DRIVE


def _return_gaps(report: Report) -> Iterator[tuple[str, str, str]]:
    """Yield each control that lacks something on its way back, the key for that, and what it is."""
    for name in report.names:
        control, is_final = report.mapping.control(name), report.stage_of(name) is Stage.FINAL
        if isinstance(control, DriveContact):
            if is_final and control.input.signal == BLANK:
                yield name, "input", "nobody has said which of the controller's inputs hears it"
            if is_final and control.input.common is None:
                yield name, "input", "the controller's input has no common"
            continue
        if control.common is None:
            yield name, "common", "no common at the drive"
        if isinstance(control, SpeedControl):
            if is_final and control.source is not None and control.source.other_end is None:
                end = "common" if control.feed is None else "plus"
                yield name, "source", f"analog output {control.source.signal} has no {end}"
        elif is_final and (output := control.output) is not None:
            for key, gap in _GAPS.get(output.kind, _GAPS[""]).items():
                if getattr(output, key) is None:
                    yield name, "output", gap.format(f"the {output.kind} output")


_GAPS: Final = {
    "isolated": {"plus": "{} has no plus side", "minus": "{} has no minus side"},
    "contact": {"terminals": "the contact's two terminals are not named"},
    "": {"common": "{} has no common", "signal": "{} has no signal terminal"},
}
"""By the kind of an output, "" for every other: what it lacks without each of its keys."""


@stop.each(_return_gaps, "L101", put(RUN, "common"))
def _missing_return(report: Report, name: str, key: str, gap: str) -> Found:
    """No way back for the current.
    Every switch lies on a closed loop that leaves a supply's plus, passes the input and returns to its minus.
    Without the return nothing happens, or the current takes a way that nobody meant.
    Formula: loops(closed switch) >= 1
    Source: follows from Kirchhoff's current law: what leaves a supply comes back to it"""
    do = "find the missing terminal in the manual, mostly beside the other, and add it"
    yield report.finding((name, key))(f"{called(name)} has no way back: {gap}", do)


@once
def linked(report: Report) -> tuple[frozenset[str], ...]:
    """Return the groups of drive terminals that links alone join, by their labels."""
    links = tuple(link for link in report.circuit.links if link.a.block == DRIVE)
    bare = replace(report.circuit, wires=(), parts=(), links=links)
    return tuple(frozenset(terminal.label for terminal in net) for net in nets(bare))


@stop.each(Report.switches, "L102", link("DI1", "COM"), RUN)
def _input_linked_on(report: Report, name: str, control: SwitchedControl) -> Found:
    """A link ties an input.
    A link joins an input's terminal to a common, to a supply, to the speed signal or to another input, so the
    switch no longer decides: the input is on, or stays off and the output that closes shorts a supply.
    Formula: net of links(input) holds no common, supply, speed signal or other input
    Source: follows from what a link is: it has no resistance, so what it joins has one voltage"""
    commons = {label: what for label, (what, _) in _commons(report).items()}
    commons |= {control.common: "a common" for _, control in report.switched if control.common}
    supplies, inputs = _supplies(report), {one.input: "another input" for _, one in report.switched}
    group = next((labels for labels in linked(report) if control.input in labels), frozenset())
    others = sorted(label for label in group if label != control.input)
    known = commons | supplies | inputs
    said = [f"{label} ({known[label]})" for label in others if label in known]
    if (signal := _signal(report, others)) is not None:
        said.append(signal)
    if said:
        yield report.finding((name, "input"), terminals=(control.input, *others))(
            f"links on the strip join input {control.input} to {listed(said)}: its switch does not decide"
            + ", and its output may short a supply" * (not supplies.keys().isdisjoint(others)),
            f"power off, take the link at {control.input} out, or use another input",
        )


@stop.each(Report.switches, "L103", link("+24V", "COM"), output_of(TO_PLUS, "meter  = 0", 'feed   = "+24V"'))
def _sneak_supply(report: Report, name: str, control: SwitchedControl) -> Found:
    """Two supplies in one loop.
    The link of the drive's own input supply is in place beside an outside supply. The input can be on with
    its switch open (a sneak path), and one supply feeds the other.
    Formula: supplies(loop) = 1
    Source: follows from Kirchhoff's voltage law: the difference of two supplies in one loop drives current
    through it, switch open or not"""
    feeds = {control.feed for _, control in report.switched if control.feed}
    group = next((labels for labels in linked(report) if control.common in labels), frozenset())
    inside = sorted(one for one in group if one in feeds or (label_voltage(one) or 0.0) >= INPUTS_V)
    joins_plus = control.output is not None and control.output.joins == "plus"
    two = joins_plus or report.figures.inputs.supply == "outside"
    if report.stage_of(name) is Stage.FINAL and inside and two:
        ways = ("an outside supply drives the inputs", "the controller's outputs supply plus")
        yield report.finding((name, "common"), terminals=(control.common, *inside))(
            f"{ways[joins_plus]}, and a link joins common {control.common} to the drive's own supply at "
            f"{listed(inside)}: two supplies in one loop",
            "power off and take the link out, or take the outside supply away; exactly one may remain",
        )


def _supplies(report: Report) -> dict[str, str]:
    """Return the drive's terminals that give a voltage, by label, with what says so."""
    labels = {label for group in linked(report) for label in group}
    found = {
        label: f"{volts:g} V by its label" for label in sorted(labels) if (volts := label_voltage(label))
    }
    found |= {control.feed: "the inputs' supply" for _, control in report.switched if control.feed}
    return found | ({report.speed.supply: "the reference supply"} if report.speed.supply else {})


@stop("L105", link("+24V", "AI1"), RUN, put(SPEED, "reference", "source", 'potentiometer = "10 kohm"'))
def _supply_linked(report: Report) -> Found:
    """A link joins what must stay apart.
    A link joins a supply to the speed signal or to its own minus, or the speed signal to a common. What each
    terminal is comes from the mapping, or failing that from its label, and the finding says which.
    Formula: net of links holds no supply with a signal or with a minus, and no signal with a common
    Source: follows from Ohm's law: a link has no resistance, so what it joins has one voltage, or a short"""
    plus = _plus(report)
    supplies = _supplies(report) | plus
    minus = {label: why for label, why in _commons(report).items() if label not in plus}
    for group in linked(report):
        signal, labels = _signal(report, sorted(group)), sorted(group)
        inside = [label for label in labels if label in supplies]
        low = [f"{label} ({minus[label][0]})" for label in labels if label in minus]
        references = any((label_voltage(label) or 24.0) < INPUTS_V for label in inside)
        short = references or not all(minus[label][1] for label in labels if label in minus)
        said = listed([f"{label} ({supplies[label]})" for label in inside])
        if signal is not None and inside:
            why = f"join {said} to {signal}, which then gets its volts"
        elif signal is not None and low:
            why = f"join {signal} to {low[0]}: there is no signal"
        elif inside and low and short:
            why = f"join {said} to {low[0]}: a short circuit"
        else:
            continue
        index = next(i for i, link in enumerate(report.mapping.drive.links) if set(link.between) <= group)
        yield report.finding(("drive", "links", index), terminals=tuple(sorted(group)))(
            f"links on the strip {why}", "power off and take the link out, or read the labels again"
        )


def _plus(report: Report) -> dict[str, str]:
    """Return the switch commons that are the plus of the inputs' supply, with what says so."""
    commons = [(name, one, one.common) for name, one in report.switched if one.common]
    found = {end: f"{label_voltage(end):g} V by its label" for _, _, end in commons if label_voltage(end)}
    read = {end: name for name, one, end in commons if (one.sign_v or 0.0) < 0}
    return found | {end: f"plus by the reading of {called(name)}" for end, name in read.items()}


def _minus(report: Report) -> dict[str, str]:
    """Return the drive's terminals that are a minus, with what says so."""
    read = {one.common: name for name, one in report.switched if (one.sign_v or 0.0) > 0}
    found = {label: f"minus by the reading of {called(name)}" for label, name in read.items() if label}
    named = {report.figures.inputs.supply_minus: "the minus of the inputs' supply"}
    named |= {report.speed.common: "the speed common"}
    return {label: why for label, why in named.items() if label} | found


@stop(
    "L107", output_of(CONTACT),
    put(REVERSE, 'common = "CM"', f"output = {{ {CONTACT.replace(':13', ':23')} }}", "meter = -24.3"),
)  # fmt: skip
def _plus_on_minus(report: Report) -> Found:
    """The plus of the inputs' supply is led to a minus.
    A common that is plus by its reading or its label is joined, by wires and what they share at the
    controller, to one that is minus by its own, to the minus of that supply, to the speed common, or to a 0 V
    of the controller by its label; or it is named as the speed common itself. The supply is shorted, or its
    plus stands on the 0 V of other circuits.
    Formula: net of plus, switches open, holds no minus and no speed common
    Source: follows from Ohm's law: a wire has next to no resistance, so what it joins has one voltage, or is
    shorted"""
    plus, minus, circuit = _plus(report), _minus(report), report.solved.circuit
    for net in nets(circuit):
        labels = {end.label for end in net if end.block == DRIVE and end.drive == report.drive}
        low = {label: minus[label] for label in sorted(labels & minus.keys())}
        zeros = (end.label for end in sorted(net) if end.block == BlockKind.CONTROLLER)
        low |= {label: "the controller's 0 V by its label" for label in zeros if ZERO_LABEL.fullmatch(label)}
        pair = next(product(sorted(labels & plus.keys()), low), None)
        if pair is None or any(len({*pair}) > 1 and group >= {*pair} for group in linked(report)):
            continue  # L105 says the second
        one, other = pair
        if one == other and low[other] != "the speed common":
            continue  # P102 says so
        own = (wire for wire in circuit.wires if wire.drive == report.drive and wire.near in net)
        wires = [wire for wire in own if one != other and wire.far.label in pair]
        near = dict.fromkeys(wire.near.label for wire in wires)
        said = f"{one} ({plus[one]}) and {other} ({low[other]}) meet at {listed([*near])}"
        if not near:
            said = f"{one} is {plus[one]}, and it is named as {low[other]}"
        name = min((wire.control for wire in wires), key=RANK.__getitem__, default="speed")
        yield report.finding((name,), wires=tuple(wire.number for wire in wires), terminals=(*near, *pair))(
            f"{said}: the inputs' supply is shorted, or its plus stands on the other's 0 V",
            "connect nothing there: read the labels and measure both commons again; then give the plus a "
            "terminal of its own at the controller, joined to no 0 V",
        )


SIGNAL_LABEL: Final = re.compile(r"A[VC]?I\s?\d*", re.IGNORECASE)
ZERO_LABEL: Final = re.compile(r"A?GND|0\s?V|ACO?M", re.IGNORECASE)
COMMON_LABEL: Final = re.compile(r"D?CO?M(?:MON)?\d*", re.IGNORECASE)
"""Labels that such terminals usually have; a finding that rests on one says so."""


def _signal(report: Report, labels: list[str]) -> str | None:
    """Return the first of these labels that is the speed signal or looks like one, in words."""
    for label in labels:
        if label == report.speed.signal:
            return f"the speed signal {label}"
        if SIGNAL_LABEL.fullmatch(label):
            return f"{label} (an analog input by its label)"
    return None


def _commons(report: Report) -> dict[str, tuple[str, bool]]:
    """Return the terminals that are a common, what says so, the surest, and whether it may be a plus."""
    labels = sorted({label for group in linked(report) for label in group})
    found = {label: ("a 0 V by its label", False) for label in labels if ZERO_LABEL.fullmatch(label)}
    by_label = "a switch common by its label", True
    found |= {label: by_label for label in labels if COMMON_LABEL.fullmatch(label)}
    if report.speed.common is not None:
        found[report.speed.common] = "the speed common", False
    commons = [(name, control, control.common) for name, control in report.switched if control.common]
    found |= {common: ("a switch common", True) for _, _, common in commons}
    for name, control, common in commons:
        if (control.sign_v or 0.0) > 0:
            found[common] = f"minus by the reading of {called(name)}", False
    return found


@stop("N101", link("+10V", "+24V"), SPEED)
def _two_sources(report: Report) -> Found:
    """Two sources on one net.
    A source joined to another source's output works against it: the voltage is that of neither, and an output
    stage is destroyed. So do the supplies of two drives that meet at the controller.
    Formula: sources(net) <= 1
    Source: follows from Ohm's law: only the small inner resistances limit the current between two sources"""
    sources = _sources(report)
    to_signal = [group & _supplies(report).keys() for group in linked(report) if report.speed.signal in group]
    by_link = {Terminal(DRIVE, label) for labels in to_signal for label in labels}
    for net in nets(report.circuit):
        feeding = sorted(terminal for terminal in net if terminal in sources)
        names = sorted({sources[terminal] for terminal in feeding})
        if len(names) < 2 or net & by_link:
            continue  # L105 says the second at every stage
        labels = {terminal.label for terminal in feeding if terminal.block == DRIVE}
        by_links = len(labels) == len(feeding) and any(labels <= group for group in linked(report))
        wires = [] if by_links else [wire for wire in report.circuit.wires if wire.near in net]
        first = min((wire.control for wire in wires), key=RANK.__getitem__, default=DRIVE)
        path, ends = (DRIVE, "links") if by_links else (first,), tuple(str(terminal) for terminal in feeding)
        yield report.finding(path, wires=tuple(wire.number for wire in wires), terminals=ends)(
            f"two sources on one net: {listed(names)}",
            "power off, take one of them off; a source must never feed another source's output",
        )
    yield from _two_drives_feed(report)


def _feeds(report: Report) -> list[str]:
    """Return the drive's terminals by which its own supplies come to the controller."""
    commons = {control.common for _, control in report.switched if label_voltage(control.common or "")}
    inside = set() if report.figures.inputs.supply == "outside" else commons
    return sorted(filter(None, {*_supplies(report), *inside, report.speed.feed}))


def _two_drives_feed(report: Report) -> Found:
    """Yield where a supply of this drive meets at the controller that of a drive before it."""
    every = (*report.before, report)
    feeds = {one.at(label): one for one in every for label in _feeds(one)}
    circuit = report.solved.circuit
    for net in nets(circuit) if report.before else ():
        feeding = [terminal for terminal in feeds if terminal in net]
        if len({feeds[one].drive for one in feeding}) > 1 and feeds[feeding[-1]] is report:
            wires = [wire for wire in circuit.wires if wire.near in net]
            own = min((one.control for one in wires if one.drive == report.drive), key=RANK.__getitem__)
            near = dict.fromkeys(wire.near.label for wire in wires)
            yield report.finding(
                (own, "source" if own == "speed" else "output"),
                wires=tuple(wire.number for wire in wires),
                terminals=tuple(near),
                shared=True,
            )(
                f"two sources on one net: the supplies {listed([one.full for one in feeding])} meet at "
                f"{listed([*near])} of the controller, so that each feeds the other, a drive that is locked "
                "off too",
                "power off, take one of them off; lead each drive's supply to a terminal of its own, joined "
                "to no other's, or put an isolator in one loop",
            )


def _sources(report: Report) -> dict[Terminal, str]:
    """Return every terminal that puts a voltage of its own on its net, and what to call it."""
    sources: dict[Terminal, str] = {}
    for part in report.circuit.parts:
        if part.kind in (PartKind.ANALOG_SOURCE, PartKind.LOGIC, PartKind.HIGH_SIDE):
            for pin in part.pins:
                if pin.role in ("signal", "input"):
                    sources[pin.terminal] = f"{part.kind} {pin.terminal}"
    feeds = (Terminal(DRIVE, control.feed) for _, control in report.switched if control.feed is not None)
    sources |= dict.fromkeys(feeds, "the inputs' own supply")
    for label, said in _supplies(report).items():
        words = f"reference supply {label}" if label == report.speed.supply else f"supply {label}, {said}"
        sources.setdefault(Terminal(DRIVE, label), words)
    return sources


@caution("N105", table("drive.inputs", 'earthed = "yes"'), RUN)
def _chafed_wire_starts(report: Report) -> Found:
    """A chafed wire starts the motor.
    A common is earthed, and the switch stands between the input and that common. A wire that chafes through
    to earth then does what the closed switch does, and the controller can't stop the motor.
    Formula: wire at the input to earth, at rest: the input is surely off
    Source: follows from Kirchhoff's laws, solved with the wire on earth; that an earth fault must not start a
    machine: IEC 60204-1 9.4.3, seen at second hand"""
    drive_side = report.figures.inputs.earthed == "yes"
    if not drive_side and report.mapping.controller.earthed != "yes":
        return
    starts = [
        (name, control.input)
        for name, control in report.switched
        if name in MOVES and _on_earth(report, name, control.input) is State.ON
    ]
    if not starts:
        return
    path = ("drive", "inputs", "earthed") if drive_side else ("controller", "earthed")
    what = "the inputs' common" if drive_side else "the controller's 0 V"
    figure = Figure(f"{what} earthed", "yes", report.origin(*path))
    labels = tuple(label for _, label in starts)
    wires = tuple(wire for name, _ in starts for wire in report.wires_of(name, "input"))
    yield report.finding(path, figure, wires=wires, terminals=labels)(
        f"{what} is earthed ({figure.origin}); a wire of {listed(labels)} that chafes through to earth is a "
        "closed switch, and starts the motor without the controller",
        "use inputs that plus is fed to, so that the switch stands between plus and the input and the other "
        "side lies straight on the earthed common (method a of the standard); or leave the circuit unearthed "
        "and monitor its insulation" + ("" if _stops_past_inputs(report) else _BY_STOP),
    )


_BY_STOP: Final = "; or let the stop device take the power away, and say so in the file"


def _stops_past_inputs(report: Report) -> bool:
    """Whether the file names a stop device that acts on power or torque, whatever an input gets."""
    stop, named = report.mapping.stop, bool(report.mapping.stop_device)
    return stop is not None and named and stop.acts in ("supply", "torque-off")


def _on_earth(report: Report, name: str, label: str) -> State:
    return report.solved.state(report.use(name), REST, Earthed(report.at(label)))


def earth_asked(report: Report) -> tuple[str, ...]:
    """Return what of the earthing decides what a chafed wire does, and nobody says; in order of the words."""
    asked: dict[str, None] = {}
    for name, control in report.switched:
        told = name not in MOVES or control.common is None
        if not told and _on_earth(report, name, control.input) is State.UNSURE:
            level = report.solved.input_v(report.use(name), REST, Earthed(report.at(control.input)))
            asked |= dict.fromkeys(words for words in level.asked if words in report.solved.earthing)
    return tuple(sorted(asked))
