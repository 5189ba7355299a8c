"""What has to be known before anything is touched: only blanks that block a later action (job room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from doorsheet.job.action import Action, KeyAsked, Phase
from doorsheet.job.trial import Trial
from doorsheet.mapping.controls import SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["identify", "no_control"]


class _Blank(NamedTuple):
    """A fact to look up: the end of its id, its title, where to look, its key, an example, what it blocks."""

    ident: str
    title: str
    do: str
    path: tuple[str, ...]
    example: str
    blocks: str


def identify(mapping: Mapping, drive: str, is_first: bool = True) -> Iterator[Action]:
    """Yield what to look up of one drive; what all drives share with the first."""
    for blank in (*_of_drive(mapping), *(_shared(mapping) if is_first else ())):
        line = Trial(blank.do, f"written down; or noted as not known: {blank.blocks}")
        yield Action(
            f"identify:{blank.ident}",
            Phase.IDENTIFY,
            "bench",
            drive,
            blank.title,
            (line,),
            KeyAsked(blank.path, blank.example),
        )


def no_control() -> Action:
    """Return what is wanted of a mapping that names nothing to wire yet."""
    do = "Look up in the drive's manual which terminal starts it forward."
    line = Trial(do, "written down: without a control there is nothing to wire")
    asked = KeyAsked(("run-forward", "input"), '"DI1"')
    return Action(
        "identify:control", Phase.IDENTIFY, "bench", "", "The first control: run forward", (line,), asked
    )


def _of_drive(mapping: Mapping) -> Iterator[_Blank]:
    yield _Blank(
        "discharge",
        "How long to wait after switching off",
        "Read the label on the drive: the time to wait before it may be touched.",
        ("drive", "discharge"),
        '"___ min"',
        "then the drive's label is read before anything is touched",
    )
    yield _Blank(
        "manual",
        "The drive's manual",
        "Find the manual of this very drive; write down its title and edition.",
        ("drive", "manual"),
        '"___, edition ___"',
        "without it nobody knows where the drive is proved dead",
    )
    yield _Blank(
        "isolated",
        "Control terminals isolated from the mains?",
        "Look it up in the drive's manual.",
        ("drive", "isolated"),
        '"___ (yes or no)"',
        "then they are treated as mains",
    )
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, SwitchedControl | SpeedControl):
            at = control.input if isinstance(control, SwitchedControl) else control.signal
            yield _Blank(
                f"common:{name}",
                f"The common of {at}",
                f"Look up in the drive's manual which terminal is the common of {at}.",
                (name, "common"),
                '"___"',
                "then nobody can say where the black lead goes",
            )
    if mapping.speed is not None and mapping.speed.source is not None:
        yield _Blank(
            "range",
            f"The range that {mapping.speed.signal} is set to",
            "Look at the drive's range switch or link, and at its setting.",
            ("speed", "range"),
            f'"{mapping.speed.source.range}"',
            "then the speed may be wrong, or the input damaged",
        )


def _shared(mapping: Mapping) -> Iterator[_Blank]:
    yield _Blank(
        "stop",
        "What the emergency stop switches",
        "Follow it from the button, without the controller: what does it take away, and from what?",
        ("stop", "hardware"),
        '"___"',
        "then it is found out before the first power",
    )
    controls = [mapping.control(name) for name in mapping.control_names]
    kinds = {one.output.kind for one in controls if isinstance(one, SwitchedControl) and one.output}
    for key, what, example in (("voltage", "volts", '"___ V"'), ("current", "current", '"___ mA"')):
        if kinds - {"contact", "logic-level"}:
            yield _Blank(
                f"output-{key}",
                f"The {what} that the controller's outputs bear",
                "Look it up in the controller's manual, outputs.",
                ("controller", "outputs", key),
                example,
                "then an output may be destroyed when its wires move",
            )
