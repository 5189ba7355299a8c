"""What follows the last move: real speeds, settings read back, the record."""

from collections.abc import Iterator
from functools import partial
from typing import Final

from doorsheet.circuit.reading_words import BLANK
from doorsheet.circuit.units import discharge_of
from doorsheet.electrics import solve
from doorsheet.job.action import Action, Asked, DoneAsked, Phase, SettingAsked, SpeedAsked, Trial, live
from doorsheet.job.cautions import cautions
from doorsheet.job.decisions import decisions
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.speed.expect import Row, around
from doorsheet.speed.report import SpeedReport, speed_report
from doorsheet.trade.language import capital, tr
from doorsheet.trade.lettering import drawn

__all__ = ["end", "record"]

_SHARES: Final = (0.25, 0.5, 1.0)
"""Three speeds make a line, the highest among them."""


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
        lines = tuple(Trial(f"{capital(one.meaning)}.", one.needs or tr("decided")) for one in missing)
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
        "Command {percent} % of full speed ({command}), measure the real speed.",
        percent=share, command=command,
    )  # fmt: skip
    return live(do, tool, "rpm")


def _action(
    mapping: Mapping, drive: str, phase: Phase, ident: str, title: str, lines: tuple[Trial, ...],
    asked: Asked | None = None,
) -> Action:  # fmt: skip
    warned = tuple(cautions(discharge_of(mapping), bool(mapping.drives), phase, lines))
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
