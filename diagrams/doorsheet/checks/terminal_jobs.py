"""Checks of terminals: one job each, no more conductors than they hold, labels as printed (room: checks).

Labels decide nothing; where one says other than the mapping, someone should look again."""

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations
from typing import Final, TypeVar

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Figure, Found, Path, Report, called, listed, rank
from doorsheet.checks.example import REVERSE, RUN, put, switched
from doorsheet.circuit.parts import Part, PartKind, Sign, Terminal, Wire
from doorsheet.circuit.sides import polarity, returning
from doorsheet.electrics.figures import label_voltage
from doorsheet.mapping.controls import DriveContact, SpeedControl, SwitchedControl, drive_ends
from doorsheet.trade.lettering import describe
from doorsheet.trade.lookalikes import seen_as

__all__ = ["alike", "controller_labels", "controller_uses", "crowded", "of_alike", "two_in_one", "two_jobs"]


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

_SPREAD: Final = (
    "use a terminal made for that many conductors, lead the return from output to output"
    '⟬ ([controller] returns = "looped")⟭, or spread it on a rail'
)
"""What to do about too many conductors in one terminal."""


def _drive_uses(report: Report) -> Iterator[tuple[str, str, str, str]]:
    for name in report.names:
        for key, label in drive_ends(report.mapping.control(name)):
            yield label, "speed-common" if (name, key) == ("speed", "common") else key, name, key


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
        if label == one[0] and not (both_commons or same_shared):
            yield report.finding((name, key), terminals=(label,))(
                f"drive terminal {label} is the {_DRIVE_USES[use]} of {called(name)} "
                f"and the {_DRIVE_USES[one[1]]} of {called(one[2])}",
                "read the labels at the drive again: each of the two needs a terminal of its own",
            )


@stop("T102", RUN, put(REVERSE, 'output = { plus = "Y1+", minus = "Y1-" }'))
def _controller_terminal_used_twice(report: Report) -> Found:
    """One terminal of the controller serves two controls.
    The side of an output that acts serves one control, and is not the return of another; returns may share a
    terminal.
    Formula: acting uses(terminal) = 1
    Source: follows from what an output does: what it switches, it switches for both controls"""
    for one, (label, acts, name, key) in combinations(controller_uses(report), 2):
        # returns may share a terminal; both ends of one part are T106's
        if label == one[0] and name != one[2] and (acts or one[1]):
            say = report.finding((name, key), terminals=(label,))
            yield say(*two_jobs(label, acts and one[1], called(one[2]), called(name)))


def two_jobs(label: str, acts_for_both: bool, one: str, other: str) -> tuple[str, str]:
    """Say what is wrong with a controller terminal that serves two controls, and what to do."""
    ways = "acts for" if acts_for_both else "is a signal and a return: it serves"
    return (
        f"controller terminal {label} {ways} both {one} and {other}",
        "give each control an output of its own; only return terminals may be shared",
    )


def controller_uses(report: Report) -> Iterator[tuple[str, bool, str, str]]:
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
            ends, key = (control.source.signal, control.source.common), "source"
        elif isinstance(control, DriveContact):
            ends, key = (control.input.signal, control.input.common), "input"
        else:
            continue
        for label, acts in zip(ends, (True, False), strict=True):
            if label is not None:
                yield label, acts, name, key


@caution("T103", RUN, REVERSE, switched("jog", 3))
def _crowded_terminal(report: Report) -> Found:
    """More conductors in a terminal than it is made for.
    A conductor beside the others in a clamp that is not made for it works loose. Where nobody says how many a
    terminal is made for, two are a question (U101), and three are too many.
    Formula: wires(terminal) <= conductors-per-terminal; where that is not given, <= 2
    Source: several conductors in one terminal only if it is made for it: EN 60204-1 13.1.1, seen at second
    hand; three as too many for one not named is common practice"""
    ends: dict[Terminal, list[Wire]] = {}
    rail = report.circuit.rail
    for wire in report.circuit.wires:
        stub = rail is not None and rail.onward(wire.number)  # it ends there
        for terminal in (wire.near,) if stub else (wire.near, wire.far):
            ends.setdefault(terminal, []).append(wire)
    for terminal, wires in ends.items():
        last = max((wire.control for wire in wires), key=rank)
        yield from crowded(report, terminal, wires, (last,))


def crowded(report: Report, terminal: Terminal, wires: list[Wire], path: Path) -> Found:
    """Yield that these wires are more than a terminal is made for, if they are."""
    limit = _capacity(report, terminal.block)
    if len(wires) > int(limit.value):
        numbers = tuple(wire.number for wire in wires)
        ends = (terminal.label,)
        yield report.finding(path, limit, wires=numbers, terminals=ends)(
            f"{len(wires)} wires ({listed(numbers)}) share terminal {terminal} of the {terminal.block}; "
            f"it holds {limit}",
            _SPREAD,
        )


def _capacity(report: Report, block: str) -> Figure:
    name, given = "conductors per terminal", _capacities(report).get(block)
    if given is None:
        return Figure(name, str(PER_TERMINAL), "default: at most, where nobody says more")
    return report.given(name, str(given), block, "conductors-per-terminal")


def _capacities(report: Report) -> dict[str, int | None]:
    drive, controller = report.mapping.drive, report.mapping.controller
    return {"drive": drive.conductors_per_terminal, "controller": controller.conductors_per_terminal}


def two_in_one(report: Report) -> tuple[str, ...]:
    """Return the devices a terminal of which takes two returns in the end, and nobody says whether it may."""
    mapping, returns = report.mapping, set[tuple[str, str]]()
    for name in report.names:
        control = mapping.control(name)
        if isinstance(control, DriveContact):
            continue
        source = control.source if isinstance(control, SpeedControl) else None
        near = returning(control) if isinstance(control, SwitchedControl) else None
        near = source.common if source is not None else near
        if near is not None and control.common is not None:
            returns.add((control.common, near))
    looped, joined = mapping.controller.returns == "looped", mapping.controller.returns in ("looped", "rail")
    most = {
        "drive": 1 if joined else max(Counter(far for far, _ in returns).values(), default=0),
        "controller": 2 if looped else max(Counter(near for _, near in returns).values(), default=0),
    }
    given = _capacities(report).items()
    return tuple(block for block, said in given if most[block] == PER_TERMINAL and said is None)


Place = TypeVar("Place")
"""Where a label is written: whoever asks knows how."""


@caution("T104", RUN, put(REVERSE, 'common = "Com"'))
def _labels_nearly_alike(report: Report) -> Found:
    """Two labels look alike.
    Two labels of one device that differ only in capitals, in blanks or in characters that look alike (0 and
    O, 1 and I and l, letters of two scripts, dashes) are two terminals on the sheet. Most likely they are
    one: what seems apart is joined, and a terminal with two jobs goes unseen.
    Formula: labels of one device differ in more than capitals, blanks and look-alike characters
    Source: follows from what a label is: two terminals of one device have different ones; look-alike
    characters by the public data of Unicode UTS #39"""
    said: set[tuple[str, str]] = set()
    for device, labels in (("drive", _drive_labels(report)), ("controller", controller_labels(report))):
        for label, first, path in alike(labels):
            if (device, label) not in said:
                said.add((device, label))
                yield report.finding(path, terminals=(first, label))(*of_alike(device, first, label))


def alike(labels: Iterable[tuple[str, Place]]) -> Iterator[tuple[str, str, Place]]:
    """Yield each label that looks like another one before it: the label, the other one, its place."""
    seen: dict[tuple[int, str], str] = {}
    for label, place in labels:
        firsts = (seen.setdefault(key, label) for key in enumerate(seen_as(label)))
        first = next((first for first in tuple(firsts) if first != label), None)
        if first is not None:
            yield label, first, place


def of_alike(device: str, first: str, label: str) -> tuple[str, str]:
    """Say of which device two labels look alike, and what to do; what no eye can tell is named."""
    odd = [describe(char) for char in dict.fromkeys(first + label) if not char.isascii()]
    which = f" ({listed(odd)} is no plain letter or sign)" if len(odd) == 1 else ""
    which = which or (f" ({listed(odd)} are no plain letters or signs)" if odd else "")
    return (
        f'the {device} has "{first}" and "{label}"{which}: two terminals on the sheet, and most likely one',
        "look at the terminals, and write each label exactly as it is printed, the same everywhere",
    )


def _drive_labels(report: Report) -> Iterator[tuple[str, Path]]:
    yield from ((label, (name, key)) for label, _, name, key in _drive_uses(report))
    yield from ((label, path) for *ends, path in _links(report, "drive") for label in ends)
    yield from ((label, ("drive", "strip")) for label in report.mapping.drive.strip)


def controller_labels(report: Report) -> Iterator[tuple[str, Path]]:
    """Yield the controller's labels that a drive's controls name, and those of its links, with places."""
    yield from ((label, (name, key)) for label, _, name, key in controller_uses(report))
    yield from ((label, path) for *ends, path in _links(report, "controller") for label in ends)


@caution.each(Report.switches, "T105", put(RUN, 'output = { plus = "Y1-", minus = "Y1+" }'))
def _label_of_other_side(report: Report, name: str, control: SwitchedControl) -> Found:
    """A label says the other side.
    A label that ends in − is named as an output's plus, one that ends in + as its minus, or a supply's label
    as the common of an output that supplies plus itself. Labels don't decide, but look again.
    Source: common practice, no source"""
    output = control.output
    if output is None:
        return
    sides = (("plus", output.plus, "-−"), ("minus", output.minus, "+"))
    wrong = {label: key for key, label, other in sides if label and len(label) > 1 and label[-1] in other}
    if wrong:
        said = listed([f'"{label}" is named as the {key} side' for label, key in wrong.items()])
        yield report.finding((name, "output"), terminals=tuple(wrong))(
            f"on the output of {called(name)}, {said}, and the label says otherwise",
            "look at the terminals and in the controller's manual: exchanged sides start the motor or "
            "break the output",
        )
    if output.joins == "plus" and control.common is not None and label_voltage(control.common):
        yield report.finding((name, "common"), terminals=(control.common,))(
            f"{control.common} is named as the common of {called(name)}, whose output supplies plus itself, "
            "and by its label it is a supply",
            "name the minus of the inputs' supply as common; the reading against it is then about 0 V",
        )


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
