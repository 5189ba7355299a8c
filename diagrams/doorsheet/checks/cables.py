"""Checks of wires: numbers, cores, cables, screens; what colours mean is in `wire_colours`."""

import re
from collections.abc import Callable, Iterator
from math import inf
from typing import Final

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.examined import RANK, Figure, Found, Path, Report, Say, called, listed, once
from doorsheet.checks.example import REVERSE, RUN, SPEED, cabled, put, switched, wired
from doorsheet.circuit.parts import BlockKind, Circuit, ScreenRound, Terminal, Wire
from doorsheet.mapping.controls import WireSpec
from doorsheet.trade.colours import parse_colour

__all__ = ["cable_too_thin", "nets", "one_cable"]

_IN_W2 = 'cable  = "W2"'
_BARE = cabled("W2", 'length = "10 m"', "screen = false")
_NUMBERED = 'wires  = {{ input = {{ number = "{}" }}, common = {{ number = "7" }} }}'
_SHARING = put(REVERSE, 'output = { plus = "Y2+", minus = "Y1-" }', wired("violet", "black"))
_NO_SPEC = WireSpec.model_construct()  # what is known of a wire to a fitting: nothing


def _in_order(report: Report) -> list[Wire]:
    """Return the wires in an order that moving tables in the file does not change."""
    return sorted(report.circuit.wires, key=lambda wire: (RANK[wire.control], wire.role, wire.near, wire.far))


@caution("W101", put(RUN, wired("brown", "brown"), 'cable  = "W1"'))
def _colour_twice_in_cable(report: Report) -> Found:
    """Two cores of one cable look the same.
    They will be swapped one day. Only wires of one cable are compared: those that name it, or, where
    [[cables]] has one without a name, those that name none. Single wires may all have one colour, and what
    tells a kind of cable, "2 x 0.75 mm2", is one for each control.
    Formula: letters(core) differ within a cable
    Source: common practice, no source"""

    def key(wire: Wire) -> tuple[bool, str, str, str]:
        own = "" if one_cable(report, wire.cable) else wire.control
        return wire.in_cable, wire.cable, wire.colour.letters, own

    for drive, first, wire in _like_before(report, key):
        one = one_cable(report, wire.cable)
        together = (wire.cable and one) if drive else (wire.cable or one)  # else: single wires
        if together and wire.in_cable and (wire.colour_given or first.colour_given):
            path, both = (wire.control, "wires", wire.role), (first.number, wire.number)
            cable = f"cable {wire.cable}" if wire.cable else "the cable"
            yield report.finding(path, wires=both, shared=bool(drive))(
                f"wires {first.number} and {wire.number} of {cable} are both {wire.colour.letters}",
                "choose another core, or name different cables⟬ with cable = ...⟭",
            )


_KIND: Final = re.compile(r"\b\d+\s*[x×*G]\s*\d|\d\s*mm|AWG", re.IGNORECASE)


def one_cable(report: Report, cable: str) -> str:
    """Say in which one cable all run that give it like this; "" where nobody says that it is one.

    Words like "2 x 0.75 mm2, screened" tell a kind: each control may have one of its own.
    """
    listed_so = report.figures.cable_of(cable) is not None
    if not cable:
        return "the one cable" * listed_so
    return f"cable {cable}" * (listed_so or not _KIND.search(cable))


def _like_before(report: Report, key: Callable[[Wire], object]) -> Iterator[tuple[str, Wire, Wire]]:
    """Yield each wire that is like one before it: that one, of this drive or of the drive named, then it."""
    own, others = dict[object, Wire](), dict[object, tuple[str, Wire]]()
    for other in report.before:
        for wire in other.circuit.wires:
            others.setdefault(key(wire), (other.drive, wire))
    for wire in _in_order(report):
        first = own.setdefault(key(wire), wire)
        if first is not wire:
            yield "", first, wire
        if key(wire) in others:
            yield *others[key(wire)], wire


def _bare_number(wire: Wire) -> str:
    """Return a wire's number without what keeps two that are given the same apart."""
    return re.sub(r"(\(2\))+\Z", "", wire.number)


@once
def _by_number(report: Report) -> dict[str, dict[frozenset[Terminal], list[Wire]]]:
    """Return the wires of each number as the mapping gives it, sorted by the net that they are part of."""
    net_of = _net_of(report.circuit)
    found: dict[str, dict[frozenset[Terminal], list[Wire]]] = {}
    for wire in _in_order(report):
        found.setdefault(_bare_number(wire), {}).setdefault(net_of[wire.near], []).append(wire)
    return found


def nets(circuit: Circuit) -> tuple[frozenset[Terminal], ...]:
    """Return the sets of terminals joined by wires and links, in order of first appearance."""
    return tuple(dict.fromkeys(_net_of(circuit).values()))


def _net_of(circuit: Circuit) -> dict[Terminal, frozenset[Terminal]]:
    net_of = {pin.terminal: frozenset({pin.terminal}) for part in circuit.parts for pin in part.pins}
    joins = [(wire.near, wire.far) for wire in circuit.wires]
    for near, far in (*joins, *((link.a, link.b) for link in circuit.links)):
        whole = net_of.setdefault(near, frozenset({near})) | net_of.setdefault(far, frozenset({far}))
        net_of |= dict.fromkeys(whole, whole)
    return net_of


@stop("W102", put(RUN, _NUMBERED.format(7)))
def _number_of_two_nets(report: Report) -> Found:
    """One number for wires of two potentials.
    A ferrule's number says which wire may be joined to which. Two wires that are not joined have different
    numbers.
    Formula: one number, one net
    Source: each conductor identifiable at each end: EN 60204-1 13.2.1, read in a public extract; one number
    for one potential is common practice"""
    for number, by_net in _by_number(report).items():
        first, *others = (wires[0] for wires in by_net.values())
        for wire in others:
            reason = f"number {number} is given to two wires that are not joined: {first.job}, and {wire.job}"
            do = "give each of them a number of its own"
            yield report.finding((wire.control, "wires", wire.role), wires=(number,))(reason, do)
    yield from _number_of_two_drives(report, joined=False)


def _number_of_two_drives(report: Report, joined: bool) -> Found:
    """Yield wires of two drives that have one number, joined at the controller or not."""
    between = [found for found in _like_before(report, _bare_number) if found[0]]
    net_of = _net_of(report.solved.circuit) if between else {}
    for drive, first, wire in between:
        at_controller = first.near.block is wire.near.block is BlockKind.CONTROLLER
        if joined is (at_controller and net_of[first.near] == net_of[wire.near]):
            ways = "of one potential" if joined else "that are not joined"
            path, both = (wire.control, "wires", wire.role), (wire.number, first.number)
            yield report.finding(path, wires=both, shared=True)(
                f"number {_bare_number(wire)} is given to two wires {ways}: {drive} {first.job}, and "
                f"{report.drive} {wire.job}",
                "give each of them a number of its own",
            )


@note(
    "W105", switched("run-forward", 1, _NUMBERED.format(5)), switched("run-reverse", 2, _NUMBERED.format(6))
)
def _number_of_one_net(report: Report) -> Found:
    """One number for several wires of one potential.
    Wires that are joined are one potential, and many shops give them one number. Then only the terminals at
    both ends say which wire is which; the sheet adds (2) to the second.
    Source: common practice, no source"""
    for number, by_net in _by_number(report).items():
        for wires in by_net.values():
            if len(wires) > 1:
                last, every = wires[-1], tuple(wire.number for wire in wires)
                yield report.finding((last.control, "wires", last.role), wires=every)(
                    f"number {number} is given to {len(wires)} wires of one potential: "
                    f"{listed([wire.job for wire in wires])}",
                    "nothing, if that is the custom there; otherwise give each wire a number of its own",
                )
    yield from _number_of_two_drives(report, joined=True)


@caution.each(Report.wires, "W103", put(RUN, wired("white", "brown")), _SHARING)
def _shared_wire_two_colours(report: Report, wire: Wire) -> Found:
    """A shared wire has two colours in the mapping.
    Controls that share both ends of a return share its wire, and must agree on its colour.
    Source: follows from what a wire is: it has one colour from end to end"""
    for name in wire.controls:
        spec = getattr(report.mapping.control(name).wires, wire.role, _NO_SPEC)
        if spec.colour is not None and parse_colour(spec.colour).letters != wire.colour.letters:
            controls = " and ".join(map(called, wire.controls))
            yield report.finding((name, "wires", wire.role), wires=(wire.number,))(
                f"wire {wire.number} joins {wire.near} to {wire.far} for {controls}, "
                f"and has two colours: {wire.colour.letters} and {spec.colour}",
                "write its colour once; the sheet shows the first",
            )


@caution("W104", cabled("W1", "cores = 1"), put(RUN, wired("white", "brown"), 'cable  = "W1"'))
def cable_too_thin(report: Report) -> Found:
    """The cable has fewer cores than wires run in it.
    The mapping puts more wires beside each other into the cable than it says the cable has cores. Those
    before and after a part on the way run one after the other, loops at the controller in no cable.
    Formula: wires(cable), at any place of it <= cores
    Source: follows from counting"""
    for index, cable in enumerate(report.mapping.cables):
        wires = [wire for wire in report.circuit.wires if wire.cable == (cable.name or "") and wire.in_cable]
        count, inside = _abreast(report.circuit, wires), tuple(wire.number for wire in wires)
        if cable.cores is not None and count > cable.cores and report.counts(cable.name is not None):
            figure = report.given("cores", str(cable.cores), "cables", index, "cores")
            yield report.finding(("cables", index, "cores"), figure, wires=inside)(
                f"{count} wires run beside each other in cable {cable.name or 'without a name'}, which has "
                f"{figure} cores",
                "use a cable with more cores, or lead some of the wires in another",
            )


def _abreast(circuit: Circuit, wires: list[Wire]) -> int:
    """Count the wires that run beside each other where most of each control do."""
    on_way = {pin.terminal: part.pins for part in circuit.parts for pin in part.pins}

    def parts_before(terminal: Terminal) -> int:
        if terminal.block is not BlockKind.FIELD:
            return 0
        ends = {pin.terminal for pin in on_way[terminal]}
        return 1 + max((parts_before(wire.near) for wire in circuit.wires if wire.far in ends), default=0)

    spans: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for wire in wires:
        whole = (parts_before(wire.near), parts_before(wire.far) or inf)  # to the drive: past all parts
        spans.setdefault((wire.drive, wire.control), []).append(whole)
    return sum(max(sum(a <= at < b for a, b in own) for at, _ in own) for own in spans.values())


@caution("W106", cabled("W1", "screen = false"), put(RUN, 'cable  = "W1"', 'screen = "drive"'))
def _screen_without_cable(report: Report) -> Found:
    """A screened control runs in a cable without a screen.
    The mapping says where the control's screen is earthed, and that its cable has none. Of the speed signal
    S104 says so.
    Source: follows from what a cable is: it has a screen or it has none"""
    for index, cable in enumerate(report.mapping.cables):
        for name in report.names if cable.screen is False else ():
            control = report.mapping.control(name)
            inside = control.cable == cable.name and name != "speed"  # of the speed S104 says so
            if inside and control.screen is not None and control.screen.earthed != "none":
                figure = report.given("screen", "false", "cables", index, "screen")
                named = cable.name or "without a name"
                reason = f"{called(name)} has a screen, and cable {named} has none ({figure.origin})"
                do = "look at the cable; then correct the one or the other"
                yield report.finding((name, "screen"), figure, wires=report.wires_of(name))(reason, do)


@caution(
    "W107",
    put(RUN, 'cable  = "W1"', 'screen = "drive"'),
    put(REVERSE, 'cable  = "W1"', 'screen = "controller"'),
)
def _screen_told_twice(report: Report) -> Found:
    """Two controls say different things of their cable's screen.
    A cable has one screen, whichever drives it serves, and each end of it is earthed or left free. Whoever
    wires by the one and whoever wires by the other leave it earthed twice, or nowhere.
    Formula: the earthed end and its terminal are the same for all controls in one cable
    Source: follows from what a cable is: it has one screen"""
    told = dict[str, tuple[Report, ScreenRound]]()
    for at in [(each, screen) for each in (*report.before, report) for screen in each.circuit.screens]:
        name = one_cable(report, at[1].cable)
        both = [told.setdefault(name, at), at]
        terminals = {one.terminal for _, one in both} - {""}
        if name and at[0] is report:
            said = [_ends(one, its.drive) for its, one in both]
            if len(terminals) > 1 or said[0] != said[1]:
                ways = [
                    f"{end}{f' ({one.terminal})' * bool(one.terminal)} by {called(one.control)}"
                    for end, (_, one) in zip(said, both, strict=True)
                ]
                wires, shared = both[0][1].wires + at[1].wires, both[0][0] is not report
                yield report.finding((at[1].control, "screen"), wires=wires, shared=shared)(
                    f"the screen of {name} is earthed {ways[0]}, and {ways[1]}",
                    "look at the cable's both ends: a screen is earthed at one place; write the same for "
                    "each control in it, and for two drives the controller's end",
                )


def _ends(screen: ScreenRound, drive: str) -> str:
    at = f"at drive {drive}" if drive and screen.earthed == "drive" else f"at the {screen.earthed}"
    places = {"both": "at both ends", "none": "nowhere"}
    return places.get(screen.earthed, at)


def _earthed(report: Report) -> Iterator[tuple[Figure, bool]]:
    """Yield where the speed signal's screen is earthed, and whether on purpose: at a terminal with a name."""
    if (screen := report.speed.screen) is not None:
        yield report.given("screen earthed", screen.earthed, "speed", "screen"), screen.terminal is not None


def _without(report: Report) -> str:
    """Return where the mapping says that the speed signal's cable has no screen; "" where it doesn't."""
    found = report.figures.cable_of(report.speed.cable or "") if report.mapping.speed is not None else None
    bare = found is not None and found[1].screen is False
    return report.origin("cables", found[0], "screen") if found is not None and bare else ""


def _of_signal(report: Report, *figures: Figure, path: Path = ("speed", "screen")) -> Say:
    return report.finding(path, *figures, wires=report.wires_of("speed", "signal", "common"))


@caution.each(_earthed, "S101", put(SPEED, _IN_W2, 'screen = "both"'))
def _screen_at_both_ends(report: Report, earthed: Figure, named: bool) -> Found:
    """The speed signal's screen is earthed at both ends.
    The screen and earth form a loop: current in the screen adds to the signal. One end is usual for 0-10 V;
    both ends are a choice where both earths are bonded, and then the mapping says which terminal takes it.
    Formula: earthed ends(screen) = 1, or the terminal that takes it is named
    Source: a textbook on noise reduction (tests at 50 kHz), read in a public copy; IEC 61000-5-2 allows both
    ends, seen at second hand"""
    if earthed.value == "both" and not named:
        yield _of_signal(report, earthed)(
            "the speed signal's screen is earthed at both ends: a loop, whose current adds to the signal",
            "earth it at the end that the drive's manual names, cut it back and insulate it at the other; if "
            "both ends are meant, name the terminal that takes it",
        )


@caution.each(_earthed, "S102", put(SPEED, _IN_W2, 'screen = "none"'))
def _screen_at_no_end(report: Report, earthed: Figure, named: bool) -> Found:
    """The speed signal's screen is earthed nowhere.
    A screen that is earthed nowhere picks up the noise and passes it on to the signal.
    Formula: earthed ends(screen) = 1
    Source: follows from how a screen works: it keeps an electric field out only where its own voltage is
    held"""
    if earthed.value == "none":
        reason = "the speed signal's screen is earthed nowhere, so it screens nothing"
        do = "earth it at one end, the one that the drive's manual names"
        yield _of_signal(report, earthed)(reason, do)


@note.each(_earthed, "S103", put(SPEED, _IN_W2, 'screen = { earthed = "both", terminal = "PE clamp" }'))
def _screen_bonded_on_purpose(report: Report, earthed: Figure, named: bool) -> Found:
    """The speed signal's screen is earthed at both ends on purpose.
    Both ends earthed keeps fast noise out, and lets current of the earths through the screen. It is right
    where both earths are bonded by a conductor of their own.
    Formula: earthed ends(screen) = 2, terminal named
    Source: IEC 61000-5-2 allows one or both ends, by signal and disturbance; seen at second hand"""
    if earthed.value == "both" and named:
        yield _of_signal(report, earthed)(
            "the speed signal's screen is earthed at both ends, and is written down with its terminal",
            "see that controller and drive are bonded by a conductor of their own, so that the screen "
            "carries none of their current",
        )


@caution.each(_earthed, "S104", _BARE, put(SPEED, _IN_W2, 'screen = "drive"'))
def _screen_of_cable_without(report: Report, earthed: Figure, named: bool) -> Found:
    """The speed signal's screen is that of a cable without one.
    The control names a screen, and the cable that it runs in is written down as having none.
    Formula: screen of the control -> screen of its cable
    Source: follows from what is written: the two contradict each other"""
    if where := _without(report):
        reason = (
            f"a screen is given for the speed signal, earthed at: {earthed}; its cable has none ({where})"
        )
        yield _of_signal(report, earthed)(reason, "look at the cable, and correct the one that is wrong")


@note("S105", _BARE, put(SPEED, _IN_W2))
def _unscreened_signal(report: Report) -> Found:
    """The speed signal runs in a cable without a screen.
    A few volts of signal beside a drive's motor cable pick up noise; a screen keeps it out.
    Formula: the signal's cable has a screen
    Source: common practice, no source"""
    where = _without(report)
    if where and report.speed.screen is None:
        yield _of_signal(report, path=("speed",))(
            f"the speed signal runs in a cable without a screen ({where})",
            "keep it away from the motor's cable and cross that at a right angle; if the speed hunts, "
            "use a screened pair",
        )


@note("S106", cabled("W1", 'length = "10 m"'), put(RUN, 'cable  = "W1"'), put(SPEED, 'cable  = "W1"'))
def _signal_beside_switches(report: Report) -> Found:
    """The speed signal shares a cable with switched wires.
    Each switching of 24 V in a core beside it couples a pulse into the signal. A pair of its own, screened,
    keeps them apart; on a few metres most drives don't mind.
    Formula: cable of the speed signal is not that of a switched control
    Source: common practice, no source"""
    speed = report.mapping.speed
    if speed is None or not (name := one_cable(report, speed.cable or "")):
        return  # which run together nobody says
    beside = [name for name, control in report.switched if control.cable == speed.cable]
    if beside:
        reason = f"the speed signal runs in {name} with {listed([called(one) for one in beside])}"
        do = "give it a screened pair of its own where the run is long or the speed hunts"
        yield _of_signal(report, path=("speed", "cable") if speed.cable else ("speed",))(reason, do)
