"""What follows the last move: real speeds, settings read back, the record (job room)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.reading_words import BLANK
from doorsheet.circuit.units import discharge_of
from doorsheet.job.action import Action, Asked, DoneAsked, Phase, Power, SettingAsked, SpeedAsked, Trial, live
from doorsheet.job.cautions import cautions
from doorsheet.job.decisions import decisions
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.speed.expect import Row, around
from doorsheet.speed.report import SpeedReport, speed_reports
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import drawn

__all__ = ["end", "record"]

_SHARES: Final = (0.25, 0.5, 1.0)
"""Three speeds make a line, the highest among them."""


def end(read: ReadMapping, own: ReadMapping, drive: str) -> Iterator[Action]:
    """Yield the speeds and the settings of one drive."""
    mapping = own.mapping
    if mapping.speed is not None and mapping.speed.source is not None:
        report = next(one for one in speed_reports(read) if one.drive == drive)
        for row in report.rows:
            if row.share in _SHARES:
                yield _speed(read.mapping, drive, report, row)
    missing = [one for one in decisions(mapping) if not one.settings]
    if missing:
        lines = tuple(
            Trial(f"{one.meaning[:1].upper()}{one.meaning[1:]}.", one.needs or tr("decided"))
            for one in missing
        )
        title = tr("Write the drive's settings down")
        yield _action(read.mapping, "settings", Phase.SETTINGS, drive, title, lines, DoneAsked())
    for setting in mapping.drive.settings:
        line = Trial(
            tr(
                "Read {number} ({meaning}) back from the drive, after a power cycle.",
                number=setting.number,
                meaning=setting.meaning,
            ),
            setting.set or BLANK,
            power=Power.ON,
        )
        title = tr("Read back {number}, {meaning}", number=setting.number, meaning=setting.meaning)
        asked = SettingAsked(setting.number)
        yield _action(read.mapping, f"setting:{setting.number}", Phase.SETTINGS, drive, title, (line,), asked)


def _speed(mapping: Mapping, drive: str, report: SpeedReport, row: Row) -> Action:
    percent = f"{row.share * 100:g}"
    half = report.band.worst_rpm if report.band else None
    ends = around(row, half) if half is not None else None
    command = f"{row.commanded_rpm:.0f} rpm" if row.commanded_rpm is not None else BLANK
    tool = f"{row.tool_rpm:.0f} rpm" if row.tool_rpm is not None else f"{BLANK} rpm"
    if ends:
        band = tr("from {low:.0f} to {high:.0f} rpm", low=ends[0], high=ends[1])
        tool = f"{tool}; {band}"
    line = live(
        tr(
            "Command {percent} % of full speed ({command}), measure the real speed.",
            percent=percent,
            command=command,
        ),
        tool,
        "rpm",
    )
    asked, title = SpeedAsked(row.commanded_rpm), tr("Real speed at {percent} %", percent=percent)
    return _action(mapping, f"speed:{percent}", Phase.SPEED, drive, title, (line,), asked)


def _action(
    mapping: Mapping, ident: str, phase: Phase, drive: str, title: str, lines: tuple[Trial, ...], asked: Asked
) -> Action:
    power = Power.ON if any(line.power is Power.ON for line in lines) else Power.OFF
    warned = cautions(discharge_of(mapping), bool(mapping.drives), phase, power)
    return Action(ident, phase, "final", drive, title, lines, asked, warned)


def record(read: ReadMapping) -> Iterator[Action]:
    """Yield what remains: the sheet inside the door, and the maintenance file."""
    name = drawn(read.source.name)
    sheet = Trial(
        tr("{command}; print it.", command=f"doorsheet draw {name} --to sheet.pdf"),
        tr("it hangs inside the door"),
    )
    file = Trial(
        tr("{command}; print it, date and sign it.", command=f"doorsheet booklet {name}"),
        tr("it is with the machine's papers"),
    )
    for ident, title, line in (
        ("sheet", tr("The sheet inside the door"), sheet),
        ("booklet", tr("The maintenance file"), file),
    ):
        yield _action(read.mapping, f"record:{ident}", Phase.RECORD, "", title, (line,), DoneAsked())
