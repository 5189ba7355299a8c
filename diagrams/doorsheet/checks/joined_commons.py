"""Checks of what joins commons: links, outputs that share a 0 V, bridges at the controller."""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import Final

from doorsheet.checks.cables import nets
from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.current_paths import ZERO_LABEL, linked
from doorsheet.checks.examined import Found, Report, Say, listed, once
from doorsheet.checks.example import REVERSE, RUN, SPEED, link, put, table
from doorsheet.circuit.parts import BlockKind, Part, PartKind, Terminal
from doorsheet.electrics.figures import NEAR_ZERO_V, label_voltage
from doorsheet.mapping.model import Link

__all__: list[str] = []


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
        known = sorted(net & jobs.keys(), key=lambda one: (_JOBS.index(jobs[one][0]), jobs[one][1], one))
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


_JOBS: Final = ("signal", "supply", "zero", "output", "fed")
"""What a terminal of the controller is for; "fed": an output that may well stand at an outside supply."""

_FOLLOWS: Final = {
    ("signal", "supply"): "its volts reach the drive's speed input, and the output works against them",
    ("signal", "zero"): "there is no signal, and the output works into a short circuit",
    ("signal", "output"): "speed signal and switch input act on each other, and the motor may start",
    ("signal", "fed"): "speed signal and switch input act on each other, and the motor may start",
    ("supply", "supply"): "two supplies work against each other",
    ("supply", "zero"): "a short circuit",
    ("supply", "output"): "that supply meets the inputs' own, and an output that closes may short it",
}
"""What follows where a bridge joins two terminals, by what they are for; all else may be right."""


def _follows(jobs: dict[Terminal, tuple[str, str]], one: Terminal, other: Terminal) -> str:
    pair = jobs[one][0], jobs[other][0]
    alike = pair[0] == pair[1] and label_voltage(one.label) == label_voltage(other.label)
    return "" if alike else _FOLLOWS.get(pair, "")


def _jobs(report: Report) -> dict[Terminal, tuple[str, str]]:
    """Return what the controller's terminals are for, of every drive, each in words."""
    found: dict[Terminal, tuple[str, str]] = {}
    for at in _at_controller(report):
        if volts := label_voltage(at.label):
            found[at] = "supply", f"{at} ({volts:g} V by its label)"
        elif ZERO_LABEL.fullmatch(at.label):
            found[at] = "zero", f"{at} (a 0 V by its label)"
    leads = {wire.near: f"which leads to {wire.far.full}" for wire in report.solved.circuit.wires}
    for part in report.solved.circuit.parts:
        for pin in part.pins if part.block is BlockKind.CONTROLLER else ():
            at, isolated = pin.terminal, part.kind in (PartKind.ISOLATED, PartKind.CONTACT)
            if pin.role == "feed":
                found.setdefault(at, ("supply", f"{at}, which the drive feeds"))
            elif part.kind is PartKind.ANALOG_SOURCE:
                speed = ("signal", f"output {at} of the speed signal"), ("zero", f"{at}, its common")
                found.setdefault(at, speed[pin.role == "common"])
            elif pin.role == "common" and part.kind in _TO_ZERO:
                found.setdefault(at, ("zero", f"{at}, the outputs' common"))
            elif isolated or part.kind in _TO_ZERO:
                job = "fed" if isolated and _may_be_fed(report, part, pin.role) else "output"
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


def _linked_commons(report: Report) -> tuple[list[str], frozenset[str]]:
    """Return the switch commons that links join to the speed common, and all that they join."""
    switch, speed = _switch_commons(report), report.speed.common
    for group in linked(report) if speed not in switch else ():
        if speed in group and (met := sorted(group & switch)):
            return met, group
    return [], frozenset()


def _met(isolated: bool, report: Report) -> Iterator[tuple[Say, str, str]]:
    """Yield where the controller joins both commons by an output isolated or not, and how to undo a bridge.

    By one terminal, or by several that its bridges and looped returns join; one that gives a reason is meant.
    """
    switch, speed = _switch_commons(report), report.speed.common
    if speed is None or label_voltage(speed) or speed in switch or _linked_commons(report)[0]:
        return  # a supply is no common: T108
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


def _brings_back(report: Report, link: Link) -> bool:
    """Whether the current of a loop that the drive feeds comes back by a link, and by no way beside it."""
    ends = {report.figures.inputs.supply_minus, report.speed.common}
    if report.speed.feed is None or None in ends or len(ends) == 1:
        return False
    every = tuple(one for one in report.circuit.links if one.a.block is BlockKind.DRIVE)
    others = tuple(one for one in every if {one.a.label, one.b.label} != {*link.between})
    joined, without = (
        any(ends <= {at.label for at in net} for net in nets(bare))
        for bare in (replace(report.circuit, wires=(), parts=(), links=links) for links in (every, others))
    )
    return joined and not without


@caution("N102", link("COM", "AGND"), RUN, SPEED)
def _commons_joined(report: Report) -> Found:
    """The switch common and the speed common are joined.
    Switch current in the return of the speed signal shifts the speed. A link between the two needs a note
    with the reason, unless the current of a loop that the drive feeds comes back by it; outputs that share
    the controller's 0 V with its analog output join them too.
    Formula: no path from switch common to speed common but inside the drive
    Source: follows from Ohm's law: 48 mA of switch current in 20 m of 0.75 mm2, 0.52 ohm, are 25 mV of
    signal, computed"""
    commons, group = _linked_commons(report)
    ends = (*commons, report.speed.common)
    do = 'power off and take the link out, or write why it is there⟬: note = "..."⟭'
    if (feed := report.speed.feed) is not None and report.figures.inputs.supply_minus is None:
        do = (
            f"look in the drive's manual where the supply at {feed} has its minus: where the loop's current "
            f'comes back by the link, it stays⟬; write [drive.inputs] supply-minus = "..."⟭; else {do}'
        )
    for index, one in enumerate(report.mapping.drive.links):
        if one.note is None and set(one.between) <= group and {*ends} & set(one.between):
            if _brings_back(report, one):
                continue
            yield report.finding(("drive", "links", index), terminals=ends)(
                f"links join the switch common {listed(commons)} to the speed common "
                f"{report.speed.common}, and give no reason",
                do,
            )
            return
    for say, joins, undo in _met(False, report):
        yield say(
            f"{joins}: noise and switch current get in",
            undo
            or "use isolated outputs or relay contacts, or an isolator for the speed signal, unless both "
            "manuals show it so",
        )


@caution.each(partial(_met, True), "N103", put(RUN, 'output = { plus = "Y1+", minus = "0V" }'), SPEED)
def _isolation_bridged(report: Report, say: Say, joins: str, undo: str) -> Found:
    """The isolation of an output is bridged.
    One side of an isolated output is led to the terminal that is also the analog output's common. The noise
    that the isolation was to keep out comes in that way.
    Formula: no path across an isolator but through it
    Source: follows from what isolation is: two circuits without a common point"""
    do = undo or "give the output a return of its own"
    yield say(f"{joins}: that side of the isolated output is not isolated there", do)
