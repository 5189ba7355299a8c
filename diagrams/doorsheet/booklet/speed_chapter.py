"""The chapter on speed, as found and as left (booklet room).  Every sum in it is `doorsheet.speed`'s."""

from collections.abc import Iterator
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

from doorsheet.booklet.chapters import columns_of
from doorsheet.booklet.chart import chart
from doorsheet.booklet.grid import Band, Cell, Grid, Row, say, say_or_write, write
from doorsheet.booklet.leaf import Chapter, Piece
from doorsheet.circuit.sides import words
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.language import tr

if TYPE_CHECKING:
    from doorsheet.speed import SpeedReport

__all__ = ["speed_chapter"]

_SHARES: Final = (0.0, 0.1, 0.25, 0.5, 0.75, 1.0)
"""Commands as shares of the full one: at least five points, or a curve can't be told from a line."""


def speed_chapter(read: ReadMapping, whole: ReadMapping | None = None, drive: str = "") -> Chapter:
    """Return the speeds to command, what to expect, and room for what was found and what was left.

    Of several drives `read` is that of the one called `drive`, and `whole` that of all.
    """
    mapping = read.mapping
    report = _report(read, whole or read, drive)
    intro = tr(
        "Say beforehand which error passes: ________ . Instrument ________________ , checked "
        "____________ , ambient ______ °C. Speed was read at: motor / tool. A commanded speed that "
        "reads about 2 % high is commonly taken as normal (common practice, no source)."
    )
    pieces: list[Piece] = [intro]
    if report is not None:
        pieces += _said(report)
    rows = _rows(mapping, report)
    pieces.append(_grid(rows, report))
    return Chapter(tr("Speed, as found and as left"), tuple(pieces))


def _report(read: ReadMapping, whole: ReadMapping, drive: str) -> "SpeedReport | None":
    from doorsheet.speed import SpeedError, speed_report
    from doorsheet.speed.reached import Installed

    try:
        return speed_report(read, drive, Installed(whole))
    except SpeedError:
        return None


def _grid(rows: tuple[Row, ...], report: "SpeedReport | None") -> Grid:
    from doorsheet.speed.known import unit_of

    source = report.facts.path.source if report is not None else None
    unit = unit_of(source) if source is not None else "V"
    found, left = tr("found {what}"), tr("left {what}")
    measured = (unit, "Hz", "rpm", tr("error"))
    columns = columns_of(
        (tr("share"), 17.0), ("rpm", 13.0), (tr("should {what}", what=unit), 16.0),
        (tr("should {what}", what="rpm"), 16.0),
        *((when.format(what=what), 14.0) for when in (found, left) for what in measured), rows=rows,
    )  # fmt: skip
    return Grid(columns, rows)


def _rows(mapping: Mapping, report: "SpeedReport | None") -> tuple[Row, ...]:
    """Return a row for each command; where there is no speed signal, one for each preset."""
    from doorsheet.speed.known import number

    if mapping.speed is None or report is None:
        names = [words(name) for name in mapping.control_names if name.startswith("preset")]
        return tuple(_row(name, None, None, None) for name in (*names, *([] if names else [tr("run")])))
    at = {row.share: row for row in report.rows}

    def cell(value: float | None, places: int) -> str | None:
        return None if value is None else number(value, places)

    out = []
    for share in _SHARES:
        row = at.get(share)
        signal = row.source_signal if row is not None and report.facts.path.source is not None else None
        rpm = row.commanded_rpm if row is not None else None
        tool = row.tool_rpm if row is not None else None
        out.append(_row(f"{share * 100:g}\N{NO-BREAK SPACE}%", cell(rpm, 0), cell(signal, 3), cell(tool, 0)))
    return tuple(out)


def _row(command: str, rpm: str | None, signal: str | None, expected: str | None) -> tuple[Cell, ...]:
    return (
        say_or_write(command, bold=True),
        say_or_write(rpm),
        say_or_write(signal),
        say_or_write(expected),
        *((write(), write(), write(), write("" if command.startswith("0") else "%")) * 2),
    )


def _said(report: "SpeedReport") -> Iterator[Piece]:
    """Yield what the mapping's own figures and measurements say already."""
    from doorsheet.speed.known import number

    rows: list[Row] = []
    if report.measured is not None:
        verdict = report.measured.verdict
        rows.append((say(tr("verdict"), bold=True), say(f"{verdict.kind}: {verdict.reason}")))
        rows.append((say(tr("do"), bold=True), say(verdict.do)))
    for fix in report.corrections:
        left = tr("leaves up to {speed} rpm", speed=number(fix.remaining_rpm, 0))
        told = "; ".join((*fix.settings, left, *fix.caveats))
        rows.append((say(tr("at the {end}", end=fix.end), bold=True), say(told)))
    for wait in report.waits:
        if wait.wait_s is not None or wait.needed_s is not None:
            has = tr("not given") if wait.wait_s is None else f"{number(wait.wait_s)} s"
            need = (
                wait.needed_said
                if wait.needed_s is None
                else f"{number(wait.needed_s)} s ({wait.needed_said})"
            )
            rows.append(
                (
                    say(tr("wait {wait}", wait=wait.name), bold=True),
                    say("; ".join((tr("{has}; needed {need}", has=has, need=need), *wait.said))),
                )
            )
    rows += [(say(tr("mind"), bold=True), say(remark.text)) for remark in report.remarks]
    if report.blanks:
        asked = "; ".join(f"{blank.what}: {blank.ask_on_paper}" for blank in report.blanks)
        rows.append((say(tr("can't tell"), bold=True), say(asked)))
    if rows:
        yield Grid(columns_of(("", 30.0), (tr("from the mapping's own figures"), 144.0)), tuple(rows))
    if report.measured is not None:
        yield chart(report.measured.pairs, report.measured.fit)
        yield _measured(report)


def _measured(report: "SpeedReport") -> Grid:
    from doorsheet.speed.known import number

    assert report.measured is not None
    pairs, strays = report.measured.pairs, report.measured.strays_rpm
    rows: list[Row] = []
    for pair, stray in zip_longest(pairs, strays):
        error = pair.real_rpm - pair.commanded_rpm
        share = f"{error / pair.commanded_rpm * 100:+z.2f} %".replace("-", "−") if pair.commanded_rpm else "—"
        off = "—" if stray is None else f"{stray:+z.0f}".replace("-", "−")
        texts = (
            number(pair.commanded_rpm, 0),
            number(pair.real_rpm, 0),
            f"{error:+z.0f}".replace("-", "−"),
            share,
            off,
        )
        rows.append(tuple(say(text) for text in texts))
    columns = columns_of(
        (tr("commanded rpm"), 52.0),
        (tr("measured rpm"), 52.0),
        (tr("error rpm"), 52.0),
        (tr("error"), 52.0),
        (tr("off the line, rpm"), 52.0),
    )
    return Grid(columns, (Band(tr("Measured, as the mapping gives it")), *rows))
