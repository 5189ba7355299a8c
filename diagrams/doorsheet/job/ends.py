"""Both ends of the job: what is known before anything is touched, what follows the last move.

Looked up are only blanks that block a later action; in the end come real speeds, settings read back, the
record.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Final

from doorsheet.circuit.reading_words import BLANK
from doorsheet.circuit.units import discharge_of
from doorsheet.electrics import solve
from doorsheet.job.action import (
    DEAD,
    Action,
    Asked,
    DoneAsked,
    KeyAsked,
    Phase,
    SettingAsked,
    SpeedAsked,
    Trial,
    live,
)
from doorsheet.job.cautions import cautions, is_isolated
from doorsheet.job.context import Trials
from doorsheet.job.decisions import decisions
from doorsheet.mapping.controls import SpeedControl, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.speed.expect import Row, around
from doorsheet.speed.report import SpeedReport, speed_report
from doorsheet.trade.language import capital, tr
from doorsheet.trade.lettering import drawn

__all__ = ["end", "identify", "no_control", "range_looked_up", "record"]

_SHARES: Final = (0.25, 0.5, 1.0)
"""Three speeds make a line, the highest among them."""


def identify(mapping: Mapping, drive: str, is_first: bool) -> Iterator[Action]:
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
        ("drive", "discharge"), '"___ min"', tr("then the drive's label is read before anything is touched"),
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


def range_looked_up(of: Trials) -> Iterator[Action]:
    """Yield what to look up in the drive itself, before its wires are fitted.

    That such a switch is under the cover is common practice, no source.
    """
    speed = of.mapping.speed
    if speed is None or speed.source is None:
        return
    look = tr(
        "Look at the drive's range switch or link, often under its cover. If it is a setting, put this off: "
        "read it at the display, covers on, after the emergency stop is proved."
    )
    blank = _blank(
        of.drive, Phase.MOVE, tr("The range that {signal} is set to", signal=speed.signal),
        f"{tr(DEAD)} {look}", ("speed", "range"), f'"{speed.source.range}"',
        tr("then the speed may be wrong, or the input damaged"),
    )  # fmt: skip
    warned = cautions(of.wait, bool(of.drive), blank.phase, blank.trials, is_isolated(of.mapping))
    yield replace(blank, cautions=tuple(warned))


def _shared(mapping: Mapping, drive: str) -> Iterator[Action]:
    yield _blank(
        drive, Phase.STOP, tr("What the emergency stop switches"),
        tr(
            "Follow it from the button, without the controller, on the drawing or on dead parts: what does "
            "it take away, and from what?"
        ),
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


def end(read: ReadMapping, own: ReadMapping, drive: str) -> Iterator[Action]:
    """Yield the speeds and the settings of one drive."""
    mapping, action = own.mapping, partial(_action, read.mapping, drive)
    if mapping.speed is not None and mapping.speed.source is not None:
        report = speed_report(own, drive, solve(read, "final"))
        rows = [row for row in report.rows if row.share in _SHARES]
        for nth, row in enumerate(rows, 1):
            share, asked = f"{row.share * 100:g}", SpeedAsked(row.commanded_rpm, nth)
            title, line = tr("Real speed at {percent} %", percent=share), _speed(report, row, share)
            yield action(Phase.SPEED, f"speed:{share}", title, (line,), asked)
    missing = [one for one in decisions(mapping) if not one.settings]
    if missing:
        # most stand in the drive, whose display is dark without power
        lines = tuple(live(f"{capital(one.meaning)}.", one.needs or tr("decided")) for one in missing)
        yield action(Phase.SETTINGS, "settings", tr("Write the drive's settings down"), lines)
    for one in mapping.drive.settings:
        said = {"number": one.number, "meaning": one.meaning}
        do = tr("Read {number} ({meaning}) back from the drive, after a power cycle.", **said)
        line, title = live(do, one.set or BLANK), tr("Read back {number}, {meaning}", **said)
        yield action(Phase.SETTINGS, f"setting:{one.number}", title, (line,), SettingAsked(one.number))


def _speed(report: SpeedReport, row: Row, share: str) -> Trial:
    ends = around(row, report.band.worst_rpm) if report.band else None
    command = f"{row.commanded_rpm:.0f} rpm" if row.commanded_rpm is not None else BLANK
    tool = f"{row.tool_rpm:.0f} rpm" if row.tool_rpm is not None else f"{BLANK} rpm"
    if ends:
        tool = f"{tool}; " + tr("from {low:.0f} to {high:.0f} rpm", low=ends[0], high=ends[1])
    do = tr(
        "Command {percent} % of full speed ({command}), run, measure the real speed; then all commands off.",
        percent=share, command=command,
    )  # fmt: skip
    return live(do, tool, "rpm")


def _action(
    mapping: Mapping, drive: str, phase: Phase, ident: str, title: str, lines: tuple[Trial, ...],
    asked: Asked | None = None,
) -> Action:  # fmt: skip
    warned = tuple(cautions(discharge_of(mapping), bool(mapping.drives), phase, lines, coupled=True))
    return Action(ident, phase, "final", drive, title, lines, asked or DoneAsked(), warned)


def record(read: ReadMapping) -> Iterator[Action]:
    """Yield what remains: the sheet inside the door, and the maintenance file."""
    name = drawn(read.source.name)
    sheet = tr("{command}; print it.", command=f"doorsheet draw {name} --to sheet.pdf")
    file = tr("{command}; print it, date and sign it.", command=f"doorsheet booklet {name}")
    for ident, title, line in (
        ("sheet", tr("The sheet inside the door"), Trial(sheet, tr("it hangs inside the door"))),
        ("booklet", tr("The maintenance file"), Trial(file, tr("it is with the machine's papers"))),
    ):
        yield _action(read.mapping, "", Phase.RECORD, f"record:{ident}", title, (line,))
