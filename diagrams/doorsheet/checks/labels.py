"""Checks of labels: written in two ways, or saying the other side (room: checks).

Labels decide nothing; where one says other than the mapping, someone should look again.
"""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import CAUTION, check
from doorsheet.checks.examined import Path, Report, listed
from doorsheet.checks.finding import Finding
from doorsheet.electrics.figures import label_voltage
from doorsheet.mapping.controls import DriveContact, SwitchedControl

__all__ = ["label_of_other_side", "labels_nearly_alike"]


@check(
    "T104",
    CAUTION,
    "Two labels differ only in the way they are written",
    rule=(
        "Two labels of one device that differ in capitals or blanks alone are two terminals on the sheet. "
        "Most "
        "likely they are one, and what seems apart is joined."
    ),
    formula="labels of one device differ in more than capitals and blanks",
    source="follows from what a label is: two terminals of one device have different ones",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3

[run-reverse]
input  = "DI2"
common = "Com"
output = { plus = "Y2+", minus = "Y2-" }
meter  = 24.3
""",
)
def labels_nearly_alike(report: Report) -> Iterator[Finding]:
    """Labels that differ in capitals or blanks alone."""
    seen: dict[tuple[str, str], str] = {}
    said: set[tuple[str, str]] = set()
    for device, label, path in (*_drive_labels(report), *_controller_labels(report)):
        first = seen.setdefault((device, "".join(label.split()).casefold()), label)
        if first != label and (device, label) not in said:
            said.add((device, label))
            yield report.finding(
                "T104",
                path,
                f'the {device} has "{first}" and "{label}": two terminals on the sheet, and most likely one',
                "look at the terminals, and write each label exactly as it is printed, the same everywhere",
                terminals=(first, label),
            )


def _drive_labels(report: Report) -> Iterator[tuple[str, str, Path]]:
    for name in report.names:
        control = report.mapping.control(name)
        keys = ("input", "signal", "common", "feed", "supply")
        if isinstance(control, DriveContact):
            yield from (("drive", label, (name, "terminals")) for label in control.terminals)
            continue
        for key in keys:
            label = getattr(control, key, None)
            if isinstance(label, str):
                yield "drive", label, (name, key)
    for index, link in enumerate(report.mapping.drive.links):
        yield from (("drive", label, ("drive", "links", index)) for label in link.between)
    yield from (("drive", label, ("drive", "strip")) for label in report.mapping.drive.strip)


def _controller_labels(report: Report) -> Iterator[tuple[str, str, Path]]:
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
        yield from (("controller", label, (name, key)) for label in ends if label is not None)
    for index, link in enumerate(report.mapping.controller.links):
        yield from (("controller", label, ("controller", "links", index)) for label in link.between)


@check(
    "T105",
    CAUTION,
    "A label says the other side",
    rule=(
        "A label that ends in − is named as an output's plus, one that ends in + as its minus, or a supply's "
        "label as the common of an output that brings plus itself. Labels don't decide, but look again."
    ),
    source="common practice, no source",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1-", minus = "Y1+" }
meter  = 24.3
""",
)
def label_of_other_side(report: Report) -> Iterator[Finding]:
    """Labels that say plus where the mapping says minus, or the other way."""
    for name, control in report.switched():
        output = control.output
        if output is None:
            continue
        sides = (("plus", output.plus, "-−"), ("minus", output.minus, "+"))
        wrong = {label: key for key, label, other in sides if label and len(label) > 1 and label[-1] in other}
        if wrong:
            said = listed([f'"{label}" is named as the {key} side' for label, key in wrong.items()])
            yield report.finding(
                "T105",
                (name, "output"),
                f"of the output of {name} {said}, and the label says otherwise",
                "look at the terminals and in the controller's manual: exchanged sides start the motor or "
                "break the output",
                terminals=tuple(wrong),
            )
        if output.joins == "plus" and control.common is not None and label_voltage(control.common):
            yield report.finding(
                "T105",
                (name, "common"),
                f"{control.common} is named as the common of {name}, whose output brings plus itself, and "
                "by its "
                "label it is a supply",
                "name the minus of the inputs' supply as common; the reading against it is then about 0 V",
                terminals=(control.common,),
            )
