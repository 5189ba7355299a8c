"""What has to be known before anything is touched: only blanks that block a later action."""

from collections.abc import Iterator

from doorsheet.job.action import Action, KeyAsked, Phase, Trial
from doorsheet.mapping.controls import SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr

__all__ = ["identify", "no_control"]


def identify(mapping: Mapping, drive: str, is_first: bool = True) -> Iterator[Action]:
    """Yield what to look up of one drive; what all drives share with the first."""
    yield from _of_drive(mapping, drive)
    if is_first:
        yield from _shared(mapping, drive)


def no_control() -> Action:
    """Return what is wanted of a mapping that names nothing to wire yet."""
    do = tr("Look up in the drive's manual which terminal starts it forward.")
    line = Trial(do, tr("written down: without a control there is nothing to wire"))
    asked, title = KeyAsked(("run-forward", "input"), '"DI1"'), tr("The first control: run forward")
    return Action("identify:control", Phase.IDENTIFY, "bench", "", title, (line,), asked, holds_up=Phase.DEAD)


def _blank(
    drive: str, holds_up: Phase, title: str, do: str, path: tuple[str, ...], example: str, blocks: str,
    ident: str = "",
) -> Action:  # fmt: skip
    """Return a fact to look up: where, its key, an example, what else; the end of its id if not the key."""
    line = Trial(do, tr("written down; or noted as not known: {blocks}", blocks=blocks))
    named, asked = f"identify:{ident or path[-1]}", KeyAsked(path, example)
    return Action(named, Phase.IDENTIFY, "bench", drive, title, (line,), asked, holds_up=holds_up)


def _of_drive(mapping: Mapping, drive: str) -> Iterator[Action]:
    yield _blank(
        drive, Phase.DEAD, tr("How long to wait after switching off"),
        tr("Read the label on the drive: the time to wait before it may be touched."),
        ("drive", "discharge"), '"___ min"',
        tr("then the drive's label is read before anything is touched"),
    )  # fmt: skip
    yield _blank(
        drive, Phase.DEAD, tr("The drive's manual"),
        tr("Find the manual of this very drive; write down its title and edition."),
        ("drive", "manual"), '"___, edition ___"',
        tr("without it nobody knows where the drive is proved dead"),
    )  # fmt: skip
    yield _blank(
        drive, Phase.READ, tr("Control terminals isolated from the mains?"),
        tr("Look it up in the drive's manual."), ("drive", "isolated"), '"___ (yes or no)"',
        tr("then they are treated as mains"),
    )  # fmt: skip
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, SwitchedControl | SpeedControl):
            at = control.input if isinstance(control, SwitchedControl) else control.signal
            yield _blank(
                drive, Phase.DEAD, tr("The common of {terminal}", terminal=at),
                tr("Look up in the drive's manual which terminal is the common of {terminal}.", terminal=at),
                (name, "common"), '"___"', tr("then nobody can say where the black lead goes"),
                f"common:{name}",
            )  # fmt: skip
    if mapping.speed is not None and mapping.speed.source is not None:
        yield _blank(
            drive, Phase.MOVE, tr("The range that {signal} is set to", signal=mapping.speed.signal),
            tr("Look at the drive's range switch or link, and at its setting."),
            ("speed", "range"), f'"{mapping.speed.source.range}"',
            tr("then the speed may be wrong, or the input damaged"),
        )  # fmt: skip


def _shared(mapping: Mapping, drive: str) -> Iterator[Action]:
    yield _blank(
        drive, Phase.STOP, tr("What the emergency stop switches"),
        tr("Follow it from the button, without the controller: what does it take away, and from what?"),
        ("stop", "hardware"), '"___"', tr("then it is found out before the first power"), "stop",
    )  # fmt: skip
    kinds = {one.output.kind for one in mapping.switched.values() if one.output}
    if not kinds - {"contact", "logic-level"}:
        return
    for key, title, example in (
        ("voltage", tr("The volts that the controller's outputs bear"), '"___ V"'),
        ("current", tr("The current that the controller's outputs bear"), '"___ mA"'),
    ):
        yield _blank(
            drive, Phase.MOVE, title, tr("Look it up in the controller's manual, outputs."),
            ("controller", "outputs", key), example,
            tr("then an output may be destroyed when its wires move"), f"output-{key}",
        )  # fmt: skip
