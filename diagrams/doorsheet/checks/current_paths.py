"""Checks of the ways of current: returns, links, supplies, commons that meet, bridged isolation, earth."""

import re
from collections.abc import Iterator
from dataclasses import replace
from enum import StrEnum
from functools import partial
from itertools import combinations
from typing import Final

from doorsheet.checks.cables import nets
from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import MOVES, RANK, Figure, Found, Report, Say, called, listed, once
from doorsheet.checks.example import REVERSE, RUN, SPEED, TO_PLUS, link, output_of, put, table
from doorsheet.circuit.parts import BlockKind, Part, PartKind, Stage, Terminal
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Earthed
from doorsheet.electrics.figures import INPUTS_V, NEAR_ZERO_V, label_voltage
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl
from doorsheet.mapping.model import Link

__all__ = ["earth_asked", "linked", "supply_volts"]

DRIVE: Final = BlockKind.DRIVE


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
    """Yield what is missing on the way back of a control, and the key for it."""
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
    elif (output := control.output) is not None:
        for key, gap in _GAPS.get(output.kind, _GAPS[""]).items():
            if getattr(output, key) is None:
                yield gap.format(f"the {output.kind} output"), "output"


_GAPS: Final = {
    "isolated": {"plus": "{} has no plus side", "minus": "{} has no minus side"},
    "contact": {"terminals": "the contact's two terminals are not named"},
    "": {"common": "{} has no common", "signal": "{} has no signal terminal"},
}
"""By the kind of an output, "" for every other: what it lacks without each of its keys."""


@once
def linked(report: Report) -> tuple[frozenset[str], ...]:
    """Return the groups of drive terminals that links alone join, by their labels."""
    links = tuple(link for link in report.circuit.links if link.a.block == DRIVE)
    bare = replace(report.circuit, wires=(), parts=(), links=links)
    return tuple(frozenset(terminal.label for terminal in net) for net in nets(bare))


@once
def _at_controller(report: Report) -> dict[Terminal, frozenset[Terminal]]:
    """Return the controller's terminals that bridges and looped returns join, by each of them."""
    every = report.solved.circuit.links  # a drive's share of several has none of the controller's
    links = tuple(link for link in every if link.a.block is BlockKind.CONTROLLER)
    inner = (wire for wire in report.circuit.wires if wire.far.block is BlockKind.CONTROLLER)
    bare = replace(report.circuit, wires=tuple(inner), parts=(), links=links)
    return {terminal: net for net in nets(bare) for terminal in net}


def _bridges(report: Report, net: frozenset[Terminal]) -> list[tuple[int, Link]]:
    """Return the controller's bridges in a net, each with its index in the file."""
    labels, links = {terminal.label for terminal in net}, enumerate(report.mapping.controller.links)
    return [(index, link) for index, link in links if set(link.between) <= labels]


@stop.each(Report.switches, "L102", link("DI1", "COM"), RUN)
def _input_linked_on(report: Report, name: str, control: SwitchedControl) -> Found:
    """A link ties an input.
    A link joins an input's terminal to a common, to a supply, to the speed signal or to another input, so the
    switch no longer decides: the input is on, or stays off and the output that closes shorts a supply.
    Formula: net of links(input) holds no common, supply, speed signal or other input
    Source: follows from what a link is: it has no resistance, so what it joins has one voltage"""
    commons = {label: what for label, (what, _) in _commons(report).items()}
    commons |= {control.common: "a common" for _, control in report.switched if control.common}
    supplies, inputs = supply_volts(report), {one.input: "another input" for _, one in report.switched}
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
    inside = sorted(feeds & group)
    joins_plus = control.output is not None and control.output.joins == "plus"
    two = joins_plus or report.figures.inputs.supply == "outside"
    if report.stage_of(name) is Stage.FINAL and inside and two:
        ways = ("an outside supply drives the inputs", "the controller's outputs supply plus")
        yield report.finding((name, "common"), terminals=(control.common, *inside))(
            f"{ways[joins_plus]}, and a link joins common {control.common} to the drive's own supply at "
            f"{listed(inside)}: two supplies in one loop",
            "power off and take the link out, or take the outside supply away; exactly one may remain",
        )


def supply_volts(report: Report) -> dict[str, str]:
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
    supplies, minus = supply_volts(report), _commons(report)
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


@stop("L106", table("controller", 'links = [{ between = ["AO1", "0V"] }]'), SPEED)
def _bridged(report: Report) -> Found:
    """A bridge at the controller joins what must stay apart.
    Bridges join the terminal that gives the speed signal to a 0 V, a supply or an output's terminal; or a
    supply to a 0 V, to another supply, or to the terminal of an output whose input has a supply already. What
    each terminal is comes from the mapping, or failing that from its label, and the finding says which.
    Formula: net of the controller's bridges and loops holds no two of signal, supply, 0 V and output, but
    returns with a 0 V, and a supply where inputs are fed from outside
    Source: follows from Ohm's law: a bridge has no resistance, so what it joins has one voltage, or is
    shorted"""
    jobs = _jobs(report)
    for net in dict.fromkeys(_at_controller(report).values()):
        known = sorted((terminal for terminal in net if terminal in jobs), key=lambda one: (jobs[one], one))
        pairs = combinations(known, 2) if _bridges(report, net) else ()
        pair, follows = next(((pair, said) for pair in pairs if (said := _follows(jobs, *pair))), ((), ""))
        if not pair:
            continue
        labels = {terminal.label for terminal in pair}
        # the one at both, which joins nothing else, and of those one that nobody gave a reason for
        index, bridge = min(
            _bridges(report, net),
            key=lambda one: (-len(labels & set(one[1].between)), one[1].between[0] != pair[0].label),
        )
        ends = tuple(dict.fromkeys((*bridge.between, *(terminal.label for terminal in pair))))
        one, other = (jobs[terminal][1] for terminal in pair)
        yield report.finding(("controller", "links", index), terminals=ends)(
            f"the bridge {bridge.between[0]} – {bridge.between[1]} at the controller joins {one} to {other}: "
            f"{follows}",
            "power off and take the bridge out, or read the labels again",
        )


class _Job(StrEnum):
    """What a terminal of the controller is for; their order is that of the pairs in `_FOLLOWS`."""

    SIGNAL = "1"
    SUPPLY = "2"
    ZERO = "3"
    OUTPUT = "4"
    FED = "5"  # of an output that may well stand at an outside supply


_FOLLOWS: Final = {
    (
        _Job.SIGNAL,
        _Job.SUPPLY,
    ): "its volts reach the drive's speed input, and the output works against them",
    (_Job.SIGNAL, _Job.ZERO): "there is no signal, and the output works into a short circuit",
    (_Job.SIGNAL, _Job.OUTPUT): "speed signal and switch input act on each other, and the motor may start",
    (_Job.SIGNAL, _Job.FED): "speed signal and switch input act on each other, and the motor may start",
    (_Job.SUPPLY, _Job.SUPPLY): "two supplies work against each other",
    (_Job.SUPPLY, _Job.ZERO): "a short circuit",
    (_Job.SUPPLY, _Job.OUTPUT): "that supply meets the inputs' own, and an output that closes may short it",
}
"""What follows where a bridge joins two terminals, by what they are for; all else may be right."""


def _follows(jobs: dict[Terminal, tuple[_Job, str]], one: Terminal, other: Terminal) -> str:
    alike = jobs[one][0] is jobs[other][0] and label_voltage(one.label) == label_voltage(other.label)
    return "" if alike else _FOLLOWS.get((jobs[one][0], jobs[other][0]), "")


def _jobs(report: Report) -> dict[Terminal, tuple[_Job, str]]:
    """Return what the controller's terminals are for, of every drive, each in words."""
    found: dict[Terminal, tuple[_Job, str]] = {}
    for at in _at_controller(report):
        if volts := label_voltage(at.label):
            found[at] = _Job.SUPPLY, f"{at} ({volts:g} V by its label)"
        elif _ZERO_LABEL.fullmatch(at.label):
            found[at] = _Job.ZERO, f"{at} (a 0 V by its label)"
    leads = {wire.near: f"which leads to {wire.far.full}" for wire in report.solved.circuit.wires}
    for part in report.solved.circuit.parts:
        for pin in part.pins if part.block is BlockKind.CONTROLLER else ():
            at, isolated = pin.terminal, part.kind in (PartKind.ISOLATED, PartKind.CONTACT)
            if part.kind is PartKind.ANALOG_SOURCE:
                speed = (_Job.SIGNAL, f"output {at} of the speed signal"), (_Job.ZERO, f"{at}, its common")
                found.setdefault(at, speed[pin.role == "common"])
            elif pin.role == "common" and part.kind in _TO_ZERO:
                found.setdefault(at, (_Job.ZERO, f"{at}, the outputs' common"))
            elif isolated or part.kind in _TO_ZERO:
                job = _Job.FED if isolated and _may_be_fed(report, part, pin.role) else _Job.OUTPUT
                found.setdefault(at, (job, f"output terminal {at}, {leads.get(at, 'of a switch input')}"))
    return found


_TO_ZERO: Final = (PartKind.OPEN_COLLECTOR, PartKind.HIGH_SIDE, PartKind.LOGIC)


def _may_be_fed(report: Report, part: Part, role: str) -> bool:
    """Whether this side of a floating output may stand at a supply: one outside feeds inputs, or might."""
    figures = report.solved.installation.figures[part.drive]
    control, supply = figures.switched(part.control), figures.inputs.supply
    if control is None or control.reading_v is None:
        return supply != "inside"
    fed = abs(control.reading_v) < NEAR_ZERO_V
    return fed or (supply == "outside" and control.reading_v < 0 and role == "common")


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


def _commons(report: Report) -> dict[str, tuple[str, bool]]:
    """Return the terminals that are a common, what says so, the surest, and whether it may be a plus."""
    labels = sorted({label for group in linked(report) for label in group})
    found = {label: ("a 0 V by its label", False) for label in labels if _ZERO_LABEL.fullmatch(label)}
    by_label = "a switch common by its label", True
    found |= {label: by_label for label in labels if _COMMON_LABEL.fullmatch(label)}
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
    stage is destroyed.
    Formula: sources(net) <= 1
    Source: follows from Ohm's law: only the small inner resistances limit the current between two sources"""
    sources = _sources(report)
    to_signal = [
        group & supply_volts(report).keys() for group in linked(report) if report.speed.signal in group
    ]
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
            "take one of them off; a source must never feed another source's output",
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
    for label, said in supply_volts(report).items():
        words = f"reference supply {label}" if label == report.speed.supply else f"supply {label}, {said}"
        sources.setdefault(Terminal(DRIVE, label), words)
    return sources


def _switch_commons(report: Report) -> set[str]:
    return {control.common for _, control in report.switched if control.common is not None}


@note("N104", RUN, put(SPEED, 'common = "COM"'))
def _one_common_terminal(report: Report) -> Found:
    """One terminal of the drive is the common of switches and of speed.
    This is right where the drive has only one common, and a misread label where it has two. Where some switch
    has another common, the drive has two: N106.
    Source: common practice, no source"""
    if (speed := report.speed.common) is not None and _switch_commons(report) == {speed}:
        reason = f"{speed} is the common of the switches and of the speed signal"
        do = "right if the drive's manual shows a single common; otherwise read the two labels again"
        yield report.finding(("speed", "common"), terminals=(speed,))(reason, do)


_NUMBER: Final = re.compile(r"[\s-]*\d+$")


@caution("N106", RUN, put(REVERSE, 'common = "AGND"'), SPEED)
def _commons_mixed(report: Report) -> Found:
    """One switch returns to the speed common, another to a common of its own.
    Where the two commons are apart inside the drive, the switch on the speed common has no way back: its
    input doesn't come on, or its current takes a way through the speed signal. Nothing is said where a link
    joins the two, or where they are numbers of one name (COM1, COM2).
    Formula: all switch commons are the speed common, or none is
    Source: follows from Kirchhoff's current law; that it is mostly a misread label: common practice, no
    source"""
    speed, commons = report.speed.common, _switch_commons(report)
    one = next((group for group in linked(report) if speed in group), frozenset([speed]))
    # a terminal of the drive's supply is no 0 V that could be mistaken for another
    others = sorted(label for label in commons if label not in one and label_voltage(label) is None)
    here = [(name, control.input) for name, control in report.switched if control.common == speed]
    if speed is None or not here or not others:
        return
    if any(_NUMBER.sub("", label) == _NUMBER.sub("", speed) for label in others):
        return
    inputs = tuple(label for _, label in here)
    wires = tuple(wire for name, _ in here for wire in report.wires_of(name, "common"))
    yield report.finding((here[0][0], "common"), wires=wires, terminals=(*inputs, speed, *others))(
        f"{listed(inputs)} return{'s' * (len(here) == 1)} to the speed common {speed}, other switches to "
        f"{listed(others)}: one of the labels may be misread",
        f"read the labels again; then measure the ohms from {others[0]} to {speed}, power off and proved "
        f"dead, wires off: near 0 they are one inside the drive⟬ (write that as a link, with a note)⟭; "
        f"else look up in the manual which common belongs to {listed(inputs)}",
    )


@caution("N102", link("COM", "AGND"), RUN, SPEED)
def _commons_joined(report: Report) -> Found:
    """The switch common and the speed common are joined.
    Switch current in the return of the speed signal shifts the speed. A link between the two needs a note
    with the reason; outputs that share the controller's 0 V with its analog output join them too.
    Formula: no path from switch common to speed common but inside the drive
    Source: follows from Ohm's law: 48 mA of switch current in 20 m of 0.75 mm2, 0.52 ohm, are 25 mV of
    signal, computed"""
    commons, group = _linked_commons(report)
    ends = (*commons, report.speed.common)
    for index, one in enumerate(report.mapping.drive.links):
        if one.note is None and set(one.between) <= group and {*ends} & set(one.between):
            yield report.finding((DRIVE, "links", index), terminals=ends)(
                f"links join the switch common {listed(commons)} to the speed common "
                f"{report.speed.common}, and give no reason",
                'take the link out, or write why it is there⟬: note = "..."⟭',
            )
            return
    for say, joins, undo in _met(report, isolated=False):
        yield say(
            f"{joins}: noise and switch current get in",
            undo
            or "use isolated outputs or relay contacts, or an isolator for the speed signal, unless both "
            "manuals show it so",
        )


@caution("N103", put(RUN, 'output = { plus = "Y1+", minus = "0V" }'), SPEED)
def _isolation_bridged(report: Report) -> Found:
    """The isolation of an output is bridged.
    One side of an isolated output is led to the terminal that is also the analog output's common. The noise
    that the isolation was to keep out comes in that way.
    Formula: no path across an isolator but through it
    Source: follows from what isolation is: two circuits without a common point"""
    for say, joins, undo in _met(report, isolated=True):
        do = undo or "give the output a return of its own"
        yield say(f"{joins}: that side of the isolated output is not isolated there", do)


def _linked_commons(report: Report) -> tuple[list[str], frozenset[str]]:
    """Return the switch commons that links join to the speed common, and all that they join."""
    switch, speed = _switch_commons(report), report.speed.common
    for group in linked(report) if speed not in switch else ():
        if speed in group and (met := sorted(group & switch)):
            return met, group
    return [], frozenset()


def _met(report: Report, isolated: bool) -> Iterator[tuple[Say, str, str]]:
    """Yield where the controller joins both commons by an output isolated or not, and how to undo a bridge.

    By one terminal, or by several that its bridges and looped returns join; one that gives a reason is meant.
    """
    switch, speed = _switch_commons(report), report.speed.common
    if speed is None or speed in switch or _linked_commons(report)[0]:
        return
    ends = dict.fromkeys(switch, "the switch common")
    if isolated:  # its other side is to be as far from the speed's 0 V
        ends |= {control.input: "the input" for _, control in report.switched}
    to_speed = {wire.near for wire in report.circuit.wires if wire.far.label == speed}
    by_isolated = {one.control: one.kind is PartKind.ISOLATED for one in reversed(report.circuit.parts)}
    told = set[int]()
    for wire in report.circuit.wires:
        near, far = wire.near, wire.far.label
        net = _at_controller(report).get(near, frozenset((near,)))
        shared = net & to_speed and near.block is BlockKind.CONTROLLER
        if not shared or far not in ends or by_isolated[wire.control] is not isolated:
            continue
        met, every = f"{ends[far]} {far} to the speed common {speed}", _bridges(report, net)
        bare = [(index, link.between) for index, link in every if link.note is None]
        at = partial(report.finding, wires=(wire.number,))
        if near in to_speed or not every:
            say = at((wire.control, "output"), terminals=(near.label, far, speed))
            yield say, f"controller terminal {near} joins {met}", ""
        elif bare and bare[0][0] not in told:  # one that gives its reason is meant
            index, (one, other) = bare[0]
            told.add(index)
            say = at(("controller", "links", index), terminals=(one, other, far, speed))
            undo = 'take the bridge out, or write why it is there⟬: note = "..."⟭'
            yield say, f"a bridge at the controller, {one} to {other}, joins {met}", undo


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
    stop = report.mapping.stop
    named = stop is not None and (stop.hardware or "none").lower() not in ("none", "unknown")
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
