"""Checks of labels: written in two ways, or saying the other side (room: checks).

Labels decide nothing; where one says other than the mapping, someone should look again.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final, TypeVar

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Path, Report, listed
from doorsheet.checks.example import REVERSE, RUN, put
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Part, PartKind, Terminal
from doorsheet.electrics.figures import label_voltage
from doorsheet.mapping.controls import DriveContact, SwitchedControl
from doorsheet.trade.characters import describe
from doorsheet.trade.lookalikes import seen_as

__all__ = ["alike", "controller_labels", "of_alike"]

Place = TypeVar("Place")
"""Where a label is written: whoever asks knows how."""


@caution(
    "T104",
    "Two labels look alike",
    formula="labels of one device differ in more than capitals, blanks and look-alike characters",
    source=(
        "follows from what a label is: two terminals of one device have different ones; look-alike "
        "characters by the public data of Unicode UTS #39"
    ),
    example=(RUN, put(REVERSE, 'common = "Com"')),
)
def _labels_nearly_alike(report: Report) -> Iterator[Finding]:
    """Two labels of one device that differ only in capitals, in blanks or in characters that look alike (0
    and O, 1 and I and l, letters of two scripts, dashes) are two terminals on the sheet. Most likely they are
    one: what seems apart is joined, and a terminal with two jobs goes unseen."""
    said: set[tuple[str, str]] = set()
    for device, labels in (("drive", _drive_labels(report)), ("controller", controller_labels(report))):
        for label, first, path in alike(labels):
            if (device, label) not in said:
                said.add((device, label))
                yield report.finding(path, *of_alike(device, first, label), terminals=(first, label))


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
    for name in report.names:
        control = report.mapping.control(name)
        keys = ("input", "signal", "common", "feed", "supply")
        if isinstance(control, DriveContact):
            yield from ((label, (name, "terminals")) for label in control.terminals)
            continue
        for key in keys:
            label = getattr(control, key, None)
            if isinstance(label, str):
                yield label, (name, {"supply": "reference"}.get(key, key))
    for index, link in enumerate(report.mapping.drive.links):
        yield from ((label, ("drive", "links", index)) for label in link.between)
    yield from ((label, ("drive", "strip")) for label in report.mapping.drive.strip)


def controller_labels(report: Report) -> Iterator[tuple[str, Path]]:
    """Yield the controller's labels that a drive's controls name, and those of its links, with places."""
    for name in report.names:
        control = report.mapping.control(name)
        ends: tuple[str | None, ...] = ()
        if isinstance(control, DriveContact):
            ends, key = (control.input.signal, control.input.common), "input"
        elif isinstance(control, SwitchedControl):
            output = control.output
            key = "output"
            if output is not None:
                ends = (output.plus, output.minus, *(output.terminals or ()), output.signal, output.common)
        else:
            source = control.source
            ends, key = ((source.signal, source.common) if source is not None else ()), "source"
        yield from ((label, (name, key)) for label in ends if label is not None)
    for index, link in enumerate(report.mapping.controller.links):
        yield from ((label, ("controller", "links", index)) for label in link.between)


@caution(
    "T105",
    "A label says the other side",
    source="common practice, no source",
    example=put(RUN, 'output = { plus = "Y1-", minus = "Y1+" }'),
)
def _label_of_other_side(report: Report) -> Iterator[Finding]:
    """A label that ends in − is named as an output's plus, one that ends in + as its minus, or a supply's
    label as the common of an output that brings plus itself. Labels don't decide, but look again."""
    for name, control in report.switched:
        output = control.output
        if output is None:
            continue
        sides = (("plus", output.plus, "-−"), ("minus", output.minus, "+"))
        wrong = {label: key for key, label, other in sides if label and len(label) > 1 and label[-1] in other}
        if wrong:
            said = listed([f'"{label}" is named as the {key} side' for label, key in wrong.items()])
            yield report.finding(
                (name, "output"),
                f"on the output of {name}, {said}, and the label says otherwise",
                "look at the terminals and in the controller's manual: exchanged sides start the motor or "
                "break the output",
                terminals=tuple(wrong),
            )
        if output.joins == "plus" and control.common is not None and label_voltage(control.common):
            yield report.finding(
                (name, "common"),
                f"{control.common} is named as the common of {name}, whose output brings plus itself, and by "
                "its label it is a supply",
                "name the minus of the inputs' supply as common; the reading against it is then about 0 V",
                terminals=(control.common,),
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


@stop(
    "T106",
    "A part is joined with itself",
    formula="labels of one part's ends are different; commons of a converter excepted",
    source="follows from what a terminal is: one point of the circuit, so nothing lies between it and itself",
    example=put(RUN, 'output = { plus = "Y1", minus = "Y1" }'),
)
def _label_at_both_ends(report: Report) -> Iterator[Finding]:
    """A part's two ends are two terminals. With one label for both, its wires meet in one terminal: it can
    neither close nor open anything, and one of the two wires belongs elsewhere. The same goes for a
    contact that the loop passes twice."""
    again = "read the labels at the device again: each end is a terminal of its own"
    whole = report.solved.circuit  # in which a part that drives share is one drive's
    for part in whole.parts:
        end = _twice(part)
        if end is not None and part.drive == report.drive:
            what, keys = _PLACES.get(part.kind, ("the output", ("output",)))
            wires = tuple(wire.number for wire in whole.wires if end in (wire.near, wire.far))
            reason = f"{what} of {part.control} has the label {end} at two of its ends"
            path: Path = (part.control, *keys)
            yield report.finding(path, reason, again, wires=wires, terminals=(end.label,))
    for path, label in _rings(report):
        reason = f"a link of the {path[0]} joins {label} with itself"
        yield report.finding(
            path, reason, "read the labels at its two ends again, or take it away", terminals=(label,)
        )
    for name, control, _ in report.driven():
        loop = Counter((entry.name, entry.terminals) for entry in control.chain)
        for device in (device for (device, _), count in loop.items() if count > 1):
            reason = f"the loop of {name} leads twice through one contact of {device}"
            yield report.finding(
                (name, "chain"), reason, "give each contact the terminals printed on it, terminals = [...]"
            )


def _rings(report: Report) -> Iterator[tuple[Path, str]]:
    """Yield place and label of each link from a terminal to itself."""
    for device in ("drive", "controller"):
        links = report.mapping.drive.links if device == "drive" else report.mapping.controller.links
        for index, link in enumerate(links):
            if link.between[0] == link.between[1]:
                yield (device, "links", index), link.between[0]


def _twice(part: Part) -> Terminal | None:
    """Return the terminal that is two ends of a part; None when each is one of its own."""
    if part.kind is PartKind.RESISTOR:
        return None  # a burden's ends are the control's own
    ends = [pin.terminal for pin in part.pins if pin.role != "input-common"]
    return next((end for end in ends if ends.count(end) > 1), None)
