"""Checks of nets: two sources on one, commons that meet, isolation that is bridged, earth (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution, note, stop
from doorsheet.checks.current_paths import linked, nets, supply_volts
from doorsheet.checks.examined import MOVES, Figure, Found, Report, Say, listed, rank
from doorsheet.checks.example import RUN, SPEED, link, put, table
from doorsheet.circuit.parts import BlockKind, PartKind, Terminal
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Earthed

__all__ = ["earth_asked"]


DRIVE = BlockKind.DRIVE


@stop("N101", link("+10V", "+24V"), SPEED)
def _two_sources(report: Report) -> Found:
    """Two sources on one net.
    A source joined to another source's output works against it: the voltage is that of neither, and an output
    stage is destroyed.
    Formula: sources(net) <= 1
    Source: follows from Ohm's law: only the small inner resistances limit the current between two sources"""
    sources = _sources(report)
    for net in nets(report.circuit):
        feeding = sorted(terminal for terminal in net if terminal in sources)
        names = sorted({sources[terminal] for terminal in feeding})
        if len(names) < 2 or _by_link_to_signal(report, net):
            continue
        labels = {terminal.label for terminal in feeding if terminal.block == DRIVE}
        by_links = len(labels) == len(feeding) and any(labels <= group for group in linked(report))
        wires = [] if by_links else [wire for wire in report.circuit.wires if wire.near in net]
        first = min((wire.control for wire in wires), key=rank, default=DRIVE)
        path, ends = (DRIVE, "links") if by_links else (first,), tuple(str(terminal) for terminal in feeding)
        yield report.finding(path, wires=tuple(wire.number for wire in wires), terminals=ends)(
            f"two sources on one net: {listed(names)}",
            "take one of them off; a source must never feed another source's output",
        )


def _by_link_to_signal(report: Report, net: frozenset[Terminal]) -> bool:
    """Whether a link puts a supply on the speed signal, which L105 says at every stage."""
    labels = [group & supply_volts(report).keys() for group in linked(report) if report.speed.signal in group]
    return any(Terminal(DRIVE, label) in net for group in labels for label in group)


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


def _commons(report: Report) -> tuple[set[Terminal], Terminal | None]:
    switch = {Terminal(DRIVE, c.common) for _, c in report.switched if c.common is not None}
    return switch, Terminal(DRIVE, report.speed.common) if report.speed.common is not None else None


@note("N104", RUN, put(SPEED, 'common = "COM"'))
def _one_common_terminal(report: Report) -> Found:
    """One terminal of the drive is the common of switches and of speed.
    This is right where the drive has only one common, and a misread label where it has two. Where some switch
    has another common, the drive has two, and someone chose between them: nothing is said.
    Source: common practice, no source"""
    switch, speed = _commons(report)
    if speed is not None and switch == {speed}:
        reason = f"{speed} is the common of the switches and of the speed signal"
        do = "right if the drive's manual shows a single common; otherwise read the two labels again"
        yield report.finding(("speed", "common"), terminals=(speed.label,))(reason, do)


@caution("N102", link("COM", "AGND"), RUN, SPEED)
def _commons_joined(report: Report) -> Found:
    """The switch common and the speed common are joined.
    Switch current in the return of the speed signal shifts the speed. A link between the two needs a note
    with the reason; outputs that share the controller's 0 V with its analog output join them too.
    Formula: no path from switch common to speed common but inside the drive
    Source: follows from Ohm's law: 48 mA of switch current in 20 m of 0.75 mm2, 0.52 ohm, are 25 mV of
    signal, computed"""
    if met := _linked_commons(report):
        commons, group = met
        ends = {*commons, report.speed.common}
        for index, link in enumerate(report.mapping.drive.links):
            if link.note is None and set(link.between) <= group and ends & set(link.between):
                yield report.finding((DRIVE, "links", index), terminals=(*commons, report.speed.common))(
                    f"links join the switch common {listed(commons)} to the speed common "
                    f"{report.speed.common}, and give no reason",
                    'take the link out, or write why it is there⟬: note = "..."⟭',
                )
                return
    for say, joins in _met(report, isolated=False):
        yield say(
            f"{joins}: noise and switch current get in",
            "use isolated outputs or relay contacts, or an isolator for the speed signal, unless both "
            "manuals show it so",
        )


@caution("N103", put(RUN, 'output = { plus = "Y1+", minus = "0V" }'), SPEED)
def _isolation_bridged(report: Report) -> Found:
    """The isolation of an output is bridged.
    One side of an isolated output is led to the terminal that is also the analog output's common. The noise
    that the isolation was to keep out comes in that way.
    Formula: no path across an isolator but through it
    Source: follows from what isolation is: two circuits without a common point"""
    for say, joins in _met(report, isolated=True):
        do = "give the output a return of its own"
        yield say(f"{joins}: that side of the isolated output is not isolated there", do)


def _linked_commons(report: Report) -> tuple[list[str], frozenset[str]] | None:
    """Return the switch commons that links join to the speed common, and all that they join; or None."""
    switch, speed = _commons(report)
    labels = {terminal.label for terminal in switch}
    for group in linked(report) if speed not in switch else ():
        if report.speed.common in group and (met := sorted(group & labels)):
            return met, group
    return None


def _met(report: Report, isolated: bool) -> Iterator[tuple[Say, str]]:
    """Yield where wires of one controller terminal go to both commons, by an output isolated or not."""
    switch, speed = _commons(report)
    if speed is None or speed in switch or _linked_commons(report):
        return
    to_speed = {wire.near for wire in report.circuit.wires if wire.far == speed}
    for wire in report.circuit.wires:
        near, far = wire.near, wire.far
        part = next(part for part in report.circuit.parts if part.control == wire.control)
        if far not in switch or near not in to_speed or near.block is not BlockKind.CONTROLLER:
            continue
        if (part.kind is PartKind.ISOLATED) is isolated:
            ends = (near.label, far.label, speed.label)
            say = report.finding((wire.control, "output"), wires=(wire.number,), terminals=ends)
            yield say, f"controller terminal {near} joins the switch common {far} to the speed common {speed}"


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
        "and monitor its insulation; or let the stop device take the power away, and say so in the file",
    )


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
