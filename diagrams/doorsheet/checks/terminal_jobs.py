"""Checks of terminals: one job each, no more conductors than they hold, labels as printed.

Labels decide nothing; where one says other than the mapping, someone should look again."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations, product
from typing import Final, TypeAlias

from doorsheet.checks.check import caution, stop
from doorsheet.checks.current_paths import COMMON_LABEL, SIGNAL_LABEL, ZERO_LABEL
from doorsheet.checks.examined import RANK, Figure, Found, Path, Report, called, listed
from doorsheet.checks.example import REVERSE, RUN, put, switched, table
from doorsheet.checks.taken_readings import barred
from doorsheet.circuit.parts import BlockKind, Part, PartKind, Sign, Terminal, Wire, of_drive
from doorsheet.circuit.sides import polarity
from doorsheet.electrics.figures import is_supply, label_voltage, takes
from doorsheet.mapping.controls import DriveContact, Output, SpeedControl, SwitchedControl, drive_ends
from doorsheet.trade.lettering import describe
from doorsheet.trade.lookalikes import seen_as

__all__ = ["crowded_terminal", "two_in_one"]

_DRIVE_USES: Final = {
    "input": "switch input",
    "common": "switch common",
    "feed": "feed for the switches",
    "signal": "speed signal",
    "speed-common": "speed common",
    "reference": "reference supply",
    "terminals": "drive contact",
}
_ONE_USER_ONLY: Final = {"input", "signal", "reference"}

PER_TERMINAL: Final = 2
"""Conductors in a terminal that are a question, not a caution, where nobody says how many it is made for."""


def _drive_uses(report: Report) -> Iterator[tuple[str, str, str, str]]:
    for name in report.names:
        for key, label in drive_ends(report.mapping.control(name)):
            yield label, "speed-common" if (name, key) == ("speed", "common") else key, name, key


def _named(report: Report) -> Iterator[tuple[str, str, str, str]]:
    """Yield the same, each terminal with one job once."""
    yield from dict.fromkeys(_drive_uses(report))


@stop("T101", RUN, put(REVERSE, 'input  = "DI1"'))
def _drive_terminal_used_twice(report: Report) -> Found:
    """One terminal of the drive has two jobs.
    An input, the speed signal or the reference supply has a terminal to itself; commons may be shared. The
    printed label, the manual's name for it and its translation often differ, so one of the two is misread.
    Formula: jobs(terminal) = 1, commons excepted
    Source: follows from what a terminal is: one point of the circuit, which can't carry two signals"""
    for one, (label, use, name, key) in combinations(_drive_uses(report), 2):
        both_commons = {use, one[1]} <= {"common", "speed-common"}
        same_shared = use == one[1] and use not in _ONE_USER_ONLY  # both ends of one contact are T106's
        if label == one[0] and not (both_commons or same_shared or _gives_plus(report, one, (use, name))):
            yield report.finding((name, key), terminals=(label,))(
                f"drive terminal {label} is {_job(use, name)} and {_job(one[1], one[2])}",
                "read the labels at the drive again: each of the two needs a terminal of its own",
            )


def _job(use: str, name: str) -> str:
    """Say what a terminal is for: "the switch input of jog", "the speed signal"."""
    if (use, name) == ("feed", "speed"):
        return "the feed of the analog output"
    return f"the {_DRIVE_USES[use]}" + f" of {called(name)}" * (name != "speed")


def _gives_plus(report: Report, one: tuple[str, str, str, str], other: tuple[str, str]) -> bool:
    """Whether a terminal gives plus to a bench switch, as its feed, and to another control, as its common.

    That one is closed by a contact, which has no polarity, or has been read: its common is plus.
    """
    uses = {one[1]: one[2], other[0]: other[1]}
    control = report.mapping.switched.get(uses.get("common", ""))
    if control is None or uses.keys() != {"common", "feed"} or uses["common"] == uses["feed"]:
        return False
    return (control.output is not None and control.output.kind == "contact") or (control.sign_v or 0.0) < 0


def _named_or_read(report: Report) -> Iterator[tuple[Path, str, str]]:
    """Yield where the mapping names or has measured at a terminal of the drive, its label, and as what."""
    jobs = [((name, key), label, f"it is {_job(use, name)}") for label, use, name, key in _named(report)]
    yield from jobs
    used = {label for _, label, _ in jobs}
    for taken in report.mapping.taken:
        read = (label for label in (taken.red, taken.black) if label not in used)
        yield from ((("readings", taken.index), label, "a reading was taken there") for label in read)


@stop.each(_named_or_read, "T107", table("drive", 'dropped = { mains = ["DI1"] }'), RUN)
def _no_control_terminal(report: Report, path: Path, label: str, use: str) -> Found:
    """A terminal that is no control terminal is used.
    The mapping lists the terminal among those that the sheet leaves out, such as mains, or by its label it is
    one of mains, motor, link, brake or earth, and a control uses it, or the meter was at such a one. What
    stands there comes to the control side, or kills who measures: nobody connects or measures there.
    Formula: terminals left out, labels of power terminals, and terminals of controls: none in common
    Source: follows from what they are: a terminal has a wire on this sheet, or it has none; L1 L2 L3 N PE U
    W: IEC 60445, seen at second hand; other labels are common practice, no source"""
    if label not in (out := barred(report)):
        return
    do = f"connect nothing to {label} and don't measure there: "
    if out[label]:
        why = report.given("left out as", out[label], "drive", "dropped", out[label])
        yield report.finding(path, why, terminals=(label,))(
            f"drive terminal {label} is left out as {why}, and {use}",
            f"{do}read its label and the manual's drawing again, and name the right terminal, or take it off "
            "the list of those left out",
        )
        return
    yield report.finding(path, terminals=(label,))(
        f"drive terminal {label} has the label of a mains, motor, link, brake or earth terminal, and {use}",
        f"{do}look in the manual first which terminal that is, and name the right one; if the manual has it "
        f'among the control terminals, write its block\'s name before it⟬, as in "X1:{label}"⟭',
    )


def _ends(report: Report) -> Iterator[tuple[str, str, str, bool, str, str]]:
    """Yield what `_named` does and the controller's uses: the device, label, use, whether it acts, place."""
    yield from (("drive", label, use, True, name, key) for label, use, name, key in _named(report))
    uses = _controller_uses(report)
    yield from (("controller", label, key, acts, name, key) for label, acts, name, key in uses)


def _behind_supply(report: Report) -> bool:
    """Whether a bridge feeds an output, so that the source's signal is that output's minus."""
    return any(label_voltage(end) for link in report.mapping.controller.links for end in link.between)


def _source_end(report: Report, acts: bool) -> str:
    """Say which end of the speed's source a terminal is: "source's common"."""
    fed = report.speed.feed is not None
    return f"source's {('minus' if acts else 'plus') if fed else 'signal' if acts else 'common'}"


_OWN_MINUS: Final = (
    "name the input's own minus; the supply where the loop begins is the source's feed⟬: in source, "
    'plus = "..." and feed = "{}" in place of common⟭'
)


@stop.each(_ends, "T108", put(RUN, 'input  = "+24V"'))
def _supply_as_input(
    report: Report, device: str, label: str, use: str, acts: bool, name: str, key: str
) -> Found:
    """A supply is taken for an input.
    By its label the terminal gives a voltage, and the mapping has it as a switch input, as the speed signal
    or its common, or as the source's signal or common. An output that closes shorts that supply, an analog
    output works against it, and at a speed input it may be more than that bears. As the speed common it is
    where the bench's potentiometer begins: at its low end the wiper brings all of it to the input.
    Formula: an input's label, a signal's, or a speed common's, says no voltage
    Source: follows from Ohm's law: only small inner resistances limit the current between two sources; what a
    label says is common practice, no source"""
    gives = f"{volts:g} V" if (volts := label_voltage(label)) else "a supply's voltage"
    if is_supply(label) and (takes(name, key) if device == "drive" else use == "source"):
        what = _source_end(report, acts) if use == "source" else _DRIVE_USES[use]
        job = f"the {what}" if use == "source" else _job(use, name)
        looped = use == "speed-common" and report.speed.source and report.speed.source.powered == "drive"
        right = f"name the terminal that {'gives' if use == 'source' else 'takes'} the {what}"
        yield report.finding((name, key), terminals=(label,))(
            f"{device} terminal {label} is named as {job}, and by its label it gives {gives}",
            f"connect nothing to it: read the labels at the {device} and in the manual again, and "
            f"{_OWN_MINUS.format(label) if looped else right}",
        )


@stop("T102", RUN, put(REVERSE, 'output = { plus = "Y1+", minus = "Y1-" }'))
def _controller_terminal_used_twice(report: Report) -> Found:
    """One terminal of the controller serves two controls.
    The side of an output that acts serves one control, and is not the return of another; returns may share a
    terminal.
    Formula: acting uses(terminal) = 1
    Source: follows from what an output does: what it switches, it switches for both controls"""
    own = [*_controller_uses(report)]
    pairs = [("", *pair) for pair in combinations(own, 2)]
    pairs += [(one.drive, *pair) for one in report.before for pair in product(_controller_uses(one), own)]
    for drive, (first, one_acts, one, _), (label, acts, name, key) in pairs:
        # returns may share a terminal, and drives a speed: what its source can feed is asked by its load;
        # both ends of one part are T106's
        apart = name != one or (drive and (key, acts, one_acts) != ("source", True, True))
        if label == first and (acts or one_acts) and apart:
            ways = "acts for" if acts and one_acts else "is a signal and a return: it serves"
            names = of_drive(drive, called(one)), of_drive(drive and report.drive, called(name))
            yield report.finding((name, key), terminals=(label,), shared=bool(drive))(
                f"controller terminal {label} {ways} both {names[0]} and {names[1]}",
                "give each control an output of its own; only return terminals may be shared",
            )


def _controller_uses(report: Report) -> Iterator[tuple[str, bool, str, str]]:
    """Yield (label, whether it acts rather than returns, control, key) for the controller."""
    for name in report.names:
        control = report.mapping.control(name)
        ends: tuple[str | None, ...]
        if isinstance(control, SwitchedControl) and control.output is not None:
            output, key = control.output, "output"
            ends = output.terminals or (output.plus or output.signal, output.minus or output.common)
            if output.kind == "isolated" and polarity(control)[0] is Sign.MINUS:
                ends = ends[::-1]
        elif isinstance(control, SpeedControl) and control.source is not None:
            ends, key = (control.source.signal, control.source.other_end), "source"
        elif isinstance(control, DriveContact):
            ends, key = (control.input.signal, control.input.common), "input"
        else:
            continue
        for label, acts in zip(ends, (True, False), strict=True):
            if label is not None:
                yield label, acts, name, key


@caution("T103", RUN, REVERSE, switched("jog", 3))
def crowded_terminal(report: Report) -> Found:
    """More conductors in a terminal than it is made for.
    A conductor beside the others in a clamp that is not made for it works loose. Where nobody says how many a
    terminal is made for, two are a question (U101), and three are too many.
    Formula: wires(terminal) <= conductors-per-terminal; where that is not given, <= 2
    Source: several conductors in one terminal only if it is made for it: EN 60204-1 13.1.1, seen at second
    hand; three as too many for one not named is common practice"""
    ends: dict[Terminal, list[Wire]] = {}
    rail, can_loop = report.circuit.rail, report.mapping.controller.returns not in ("looped", "rail")
    for wire in report.circuit.wires:
        stub = rail is not None and rail.onward(wire.number)  # it ends there
        for terminal in (wire.near,) if stub else (wire.near, wire.far):
            ends.setdefault(terminal, []).append(wire)
    for terminal, wires in ends.items():
        block, numbers = terminal.block, tuple(wire.number for wire in wires)
        given, shared = _capacities(report).get(block), block is BlockKind.CONTROLLER
        if len(wires) > (given or PER_TERMINAL) and report.counts(shared):
            name, most = "conductors per terminal", "default: at most, where nobody says more"
            limit = Figure(name, str(PER_TERMINAL), most)
            if given is not None:
                limit = report.given(name, str(given), block, "conductors-per-terminal")
            last = max((wire.control for wire in wires), key=RANK.__getitem__)
            path = (block,) if shared and report.drive else (last,)
            yield report.finding(path, limit, wires=numbers, terminals=(terminal.label,))(
                f"{len(wires)} wires ({listed(numbers)}) share terminal {terminal} of the {block}; "
                f"it holds {limit}",
                "use a terminal made for that many conductors" + (_LOOP if can_loop and not shared else "")
                + ", or spread it on a rail",
            )  # fmt: skip


_LOOP = ', lead the return from output to output⟬ ([controller] returns = "looped")⟭'


def _capacities(report: Report) -> dict[str, int | None]:
    drive, controller = report.mapping.drive, report.mapping.controller
    return {"drive": drive.conductors_per_terminal, "controller": controller.conductors_per_terminal}


def two_in_one(report: Report) -> tuple[str, ...]:
    """Return the devices a terminal of which takes two returns in the end, and nobody says whether it may."""
    commons = {name: label for label, _, name, key in _drive_uses(report) if key == "common"}
    uses = (use for use in _controller_uses(report) if use[2] in commons)
    returns = {(commons[name], label) for label, acts, name, _ in uses if not acts}
    far, near = Counter(far for far, _ in returns), Counter(near for _, near in returns)
    joined = report.mapping.controller.returns
    most = {
        "drive": 1 if joined in ("looped", "rail") else max(far.values(), default=0),
        "controller": 2 if joined == "looped" else max(near.values(), default=0),
    }
    given = _capacities(report).items()
    return tuple(block for block, said in given if most[block] == PER_TERMINAL and said is None)


@caution("T104", RUN, put(REVERSE, 'common = "Com"'))
def _labels_nearly_alike(report: Report) -> Found:
    """Two labels look alike.
    Two labels of one device that differ only in capitals, in blanks or in characters that look alike (0 and
    O, 1 and I and l, letters of two scripts, dashes) are two terminals on the sheet. Most likely they are
    one: what seems apart is joined, and a terminal with two jobs goes unseen.
    Formula: labels of one device differ in more than capitals, blanks and look-alike characters
    Source: follows from what a label is: two terminals of one device have different ones; look-alike
    characters by the public data of Unicode UTS #39"""
    named, drive = _labels(report, "controller"), _labels(report, "drive")
    drive += [(label, ("drive", "strip")) for label in report.mapping.drive.strip]
    others: list[tuple[str, Path]] = [
        (label, ()) for one in report.before for label, _ in _labels(one, "controller")
    ]
    ways = (("drive", drive, False), ("controller", named, False), ("controller", others + named, True))
    said: set[tuple[str, str, Path]] = set()
    for device, labels, shared in ways:
        for label, first, path in _alike(labels):
            if shared and (not path or first in dict(named)):
                continue  # said of the other drive, or of this one alone
            if (device, label, path * shared) not in said:
                said.add((device, label, path * shared))
                odd = [describe(char) for char in dict.fromkeys(first + label) if not char.isascii()]
                many = "are no plain letters or signs" if odd[1:] else "is no plain letter or sign"
                which = f" ({listed(odd)} {many})" if odd else ""  # what no eye can tell is named
                yield report.finding(path, terminals=(first, label), shared=shared)(
                    f'the {device} has "{first}" and "{label}"{which}: two terminals on the sheet, and most '
                    "likely one",
                    "look at the terminals, and write each label exactly as it is printed, the same "
                    "everywhere",
                )


def _alike(labels: Iterable[tuple[str, Path]]) -> Iterator[tuple[str, str, Path]]:
    """Yield each label that looks like another one before it: the label, the other one, its place."""
    seen: dict[tuple[int, str], str] = {}
    for label, path in labels:
        firsts = [seen.setdefault(key, label) for key in enumerate(seen_as(label))]
        first = next((first for first in firsts if first != label), None)
        if first is not None:
            yield label, first, path


def _labels(report: Report, device: str) -> list[tuple[str, Path]]:
    """Return the labels of a device that controls and links name, with their places."""
    uses = _drive_uses(report) if device == "drive" else _controller_uses(report)
    by_links = [(label, path) for *ends, path in _links(report, device) for label in ends]
    return [*((label, (name, key)) for label, _, name, key in uses), *by_links]


_Odd: TypeAlias = tuple[Path, tuple[str, ...], str, str]
"""A place, the labels named there that say otherwise, that in words, and what to do."""

_LOOK: Final = "look at the terminals and in the manual: "


_MINUS, _PLUS = r".+[-−]", r".+\+"
_ZERO: Final = ZERO_LABEL.pattern, COMMON_LABEL.pattern
_ACTS: Final = r"D?O(?:UT)?\s?\d+|[QY]\s?\d+"
_OF_OUTPUT: Final = {"plus": _MINUS, "minus": _PLUS, "signal": "|".join(_ZERO), "common": _ACTS}
"""How labels look that say otherwise than these keys of an output."""


def _of_two_channels(report: Report, output: Output) -> bool:
    """Whether an output's sides are numbered apart, and the minus is not that of a whole channel's too."""
    plus, minus = output.plus or "", output.minus or ""
    own = f"{minus[:-1]}+"
    apart = plus != own and re.sub(r"\d+", "1", plus) == re.sub(r"\d+", "1", own)
    every = (control.output for control in report.solved.installation.controls.values())
    whole = any(one is not None and (one.plus, one.minus) == (own, minus) for one in every)
    return apart and re.fullmatch(_MINUS, minus) is not None and not whole


def _odd_outputs(report: Report) -> Iterator[_Odd]:
    for name, control in report.switched:
        output, common = control.output, control.common
        if output is None:
            continue
        sides = ((key, getattr(output, key) or "", odd) for key, odd in _OF_OUTPUT.items())
        wrong = {label: key for key, label, odd in sides if re.fullmatch(odd, label, re.IGNORECASE)}
        if wrong:
            said = listed([f'"{label}" is named as the {key} side' for label, key in wrong.items()])
            reason = f"on the output of {called(name)}, {said}, and the label says otherwise"
            do = f"{_LOOK}exchanged sides start the motor or break the output"
            yield (name, "output"), tuple(wrong), reason, do
        if _of_two_channels(report, output):
            ends = output.plus or "", output.minus or ""
            reason = f"the output of {called(name)} has {listed(list(ends))}, halves of two channels"
            yield (name, "output"), ends, reason, f"{_LOOK}each output has a plus and a minus of its own"
        supply = "and by its label it is a supply"
        if output.common is not None and label_voltage(output.common):
            reason = f"{output.common} is named as the common of the output of {called(name)}, which is the "
            reason += f"controller's 0 V, {supply}"
            do = "name the controller's 0 V as the output's common: its wire goes to the common of the "
            do += "drive's input, and there a supply may be short-circuited"
            yield (name, "output"), (output.common,), reason, do
        if output.joins == "plus" and common is not None and label_voltage(common):
            reason = f"{common} is named as the common of {called(name)}, whose output supplies plus itself, "
            do = "name the minus of the inputs' supply as common; the reading against it is then about 0 V"
            yield (name, "common"), (common,), reason + supply, do


_OTHERWISE: Final = {
    ("input", True): _ZERO,
    ("common", True): (r"DI\s?\d+|FWD|REV", SIGNAL_LABEL.pattern),
    ("signal", True): (*_ZERO, _MINUS),
    ("speed-common", True): (SIGNAL_LABEL.pattern, _PLUS),
    ("reference", True): (*_ZERO, SIGNAL_LABEL.pattern),
    ("source", True): (*_ZERO, _MINUS),
    ("source", False): (r"AO\s?\d*", _PLUS),
    ("fed", True): (_PLUS,),
    ("fed", False): (*_ZERO, _MINUS),
}
"""What a terminal is named as, of a source or one that the drive feeds whether it acts: how labels look that
say otherwise."""


def _odd_ends(report: Report) -> Iterator[_Odd]:
    """Yield terminals of the drive and of the speed's source whose label is one of the pair's other side."""
    for _, label, use, acts, name, key in _ends(report):
        signed = use == "source" and label[-1] in "-−" and _behind_supply(report)
        job = "fed" if use == "source" and report.speed.feed is not None else use
        if not signed and any(
            re.fullmatch(one, label, re.IGNORECASE) for one in _OTHERWISE.get((job, acts), ())
        ):
            what = f"the {_source_end(report, acts)}" if use == "source" else _job(use, name)
            reason = f"{label} is named as {what}, and the label says otherwise"
            yield (name, key), (label,), reason, f"{_LOOK}the two of a pair may be exchanged"
    speed = report.speed.common or ""
    analog = [one.common for _, one in report.switched if re.fullmatch("A(GND|CO?M)", one.common or "")]
    for common in analog[:1] if COMMON_LABEL.fullmatch(speed) else ():
        reason = f"{speed} is named as the speed common, {common} as a switch common, and the labels say "
        yield ("speed", "common"), (speed, common or ""), f"{reason}otherwise", f"{_LOOK}are they exchanged?"


@caution.each(
    lambda report: (*_odd_outputs(report), *_odd_ends(report)),
    "T105",
    put(RUN, 'output = { plus = "Y1-", minus = "Y1+" }'),
)
def _label_of_other_side(report: Report, path: Path, labels: tuple[str, ...], reason: str, do: str) -> Found:
    """A label says the other side.
    A label that ends in − is named as an output's plus, one that ends in + as its minus, one of 0 V as its
    signal, an output's as its common, or halves of two channels as one output. So is a supply's label as the
    common of an output, which is the controller's 0 V, or of an input whose output supplies plus. The same
    goes for the analog pair's ends, a common's label on an input, a signal or a reference, an input's or an
    analog terminal's on the common of its pair, and commons of switches and speed that seem exchanged. Labels
    don't decide, but look again.
    Source: common practice, no source"""
    yield report.finding(path, terminals=labels)(reason, do)


_PLACES: Final[dict[PartKind, tuple[str, tuple[str, ...]]]] = {
    PartKind.SWITCH: ("the switch", ("switch",)),
    PartKind.POTENTIOMETER: ("the potentiometer", ("potentiometer",)),
    PartKind.ANALOG_SOURCE: ("the source", ("source",)),
    PartKind.CONTROLLER_INPUT: ("the controller's input", ("input",)),
    PartKind.DRIVE_CONTACT: ("the drive's contact", ("terminals",)),
    PartKind.FIELD_CONTACT: ("a contact", ("chain",)),
    PartKind.CONVERTER: ("the converter", ("source", "converter")),
}
"""What a part is called, and where the mapping names its terminals; of every other it is the output."""


@stop("T106", put(RUN, 'output = { plus = "Y1", minus = "Y1" }'))
def _label_at_both_ends(report: Report) -> Found:
    """A part is joined with itself.
    A part's two ends are two terminals. With one label for both, its wires meet in one terminal: it can
    neither close nor open anything, and one of the two wires belongs elsewhere. The same goes for a contact
    that the loop passes twice.
    Formula: labels of one part's ends are different; commons of a converter excepted
    Source: follows from what a terminal is: one point of the circuit, so nothing lies between it and
    itself"""
    again = "read the labels at the device again: each end is a terminal of its own"
    whole = report.solved.circuit  # in which a part that drives share is one drive's
    for part in whole.parts:
        end = _twice(part)
        if end is not None and part.drive == report.drive:
            what, keys = _PLACES.get(part.kind, ("the output", ("output",)))
            wires = tuple(wire.number for wire in whole.wires if end in (wire.near, wire.far))
            reason = f"{what} of {called(part.control)} has the label {end} at two of its ends"
            path: Path = (part.control, *keys)
            yield report.finding(path, wires=wires, terminals=(end.label,))(reason, again)
    for label, other, path in (*_links(report, "drive"), *_links(report, "controller")):
        if label == other:
            yield report.finding(path, terminals=(label,))(
                f"a link of the {path[0]} joins {label} with itself",
                "read the labels at its two ends again, or take it away",
            )
    for name, control, _ in report.driven():
        loop = Counter((entry.name, entry.terminals) for entry in control.chain)
        for device in (device for (device, _), count in loop.items() if count > 1):
            reason = f"the loop of {called(name)} passes twice through one contact of {device}"
            do = "give each contact the terminals printed on it, terminals = [...]"
            yield report.finding((name, "chain"))(reason, do)


def _links(report: Report, device: str) -> Iterator[tuple[str, str, Path]]:
    """Yield both ends of each link of a device, and its place."""
    links = report.mapping.drive.links if device == "drive" else report.mapping.controller.links
    yield from ((*link.between, (device, "links", index)) for index, link in enumerate(links))


def _twice(part: Part) -> Terminal | None:
    """Return the terminal that is two ends of a part; None when each is one of its own."""
    if part.kind is PartKind.RESISTOR:
        return None  # a burden's ends are the control's own
    ends = [pin.terminal for pin in part.pins if pin.role != "input-common"]
    return next((end for end in ends if ends.count(end) > 1), None)
