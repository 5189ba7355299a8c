"""The chapter on speed, as found and as left, with a small plot.

Every sum in it is `doorsheet.speed`'s.
"""

from collections.abc import Iterator
from contextlib import suppress
from itertools import zip_longest

from doorsheet.booklet.chapters import columns_of
from doorsheet.booklet.grid import Band, Cell, Grid, Row, say_or_write, write
from doorsheet.booklet.leaf import Chapter, Piece
from doorsheet.booklet.speed_plot import chart
from doorsheet.circuit.sides import words
from doorsheet.electrics import solve
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.speed import SpeedError, SpeedReport, speed_report
from doorsheet.speed.expect import SHARES
from doorsheet.speed.known import number, unit_of
from doorsheet.speed.regression import Measured
from doorsheet.trade.language import tr

__all__ = ["speed_chapter"]


def speed_chapter(read: ReadMapping, whole: ReadMapping | None = None, drive: str = "") -> Chapter:
    """Return the speeds to command, what to expect, and room for what was found and what was left.

    Of several drives `read` is that of the one called `drive`, and `whole` that of all.
    """
    report = None
    with suppress(SpeedError):
        report = speed_report(read, drive, solve(whole, "final") if whole else None)
    intro = tr(
        "Say beforehand which error passes: ________ . Instrument ________________ , checked "
        "____________ , ambient ______ °C. Speed was read at: motor / tool. A commanded speed that "
        "reads about 2 % high is commonly taken as normal (common practice, no source)."
    )
    said = _said(report) if report is not None else ()
    pieces = (intro, *said, _grid(tuple(_rows(read.mapping, report)), report))
    return Chapter(tr("Speed, as found and as left"), pieces)


def _grid(rows: tuple[Row, ...], report: SpeedReport | None) -> Grid:
    source = report.facts.path.source if report is not None else None
    unit = unit_of(source) if source is not None else "V"
    measured = (unit, "Hz", "rpm", tr("error"))
    columns = columns_of(
        (tr("share"), 17.0), ("rpm", 13.0), (tr("should {what}", what=unit), 16.0),
        (tr("should {what}", what="rpm"), 16.0),
        *((tr("found {what}", what=what), 14.0) for what in measured),
        *((tr("left {what}", what=what), 14.0) for what in measured), rows=rows,
    )  # fmt: skip
    return Grid(columns, rows)


def _rows(mapping: Mapping, report: SpeedReport | None) -> Iterator[Row]:
    """Yield a row for each command; where there is no speed signal, one for each preset."""
    if mapping.speed is None or report is None:
        names = [words(name) for name in mapping.control_names if name.startswith("preset")]
        yield from (_row(name, None, None, None) for name in names or [tr("run")])
        return
    at = {row.share: row for row in report.rows}
    for share in SHARES:
        row = at.get(share)
        signal = row.source_signal if row is not None and report.facts.path.source is not None else None
        rpm, tool = (row.commanded_rpm, row.tool_rpm) if row is not None else (None, None)
        yield _row(f"{share * 100:g}\N{NO-BREAK SPACE}%", rpm, signal, tool)


def _row(command: str, rpm: float | None, signal: float | None, expected: float | None) -> Row:
    figures = ((rpm, 0), (signal, 3), (expected, 0))
    told = (None if value is None else number(value, places) for value, places in figures)
    blanks = (write(), write(), write(), write("" if command.startswith("0") else "%")) * 2
    return (say_or_write(command, bold=True), *map(say_or_write, told), *blanks)


def _said(report: SpeedReport) -> Iterator[Piece]:
    rows = [(Cell(what, bold=True), Cell(words)) for what, words in _told(report)]
    if rows:
        yield Grid(columns_of(("", 30.0), (tr("from the mapping's own figures"), 144.0)), tuple(rows))
    if report.measured is not None:
        yield chart(report)
        yield _measured(report.measured)


def _told(report: SpeedReport) -> Iterator[tuple[str, str]]:
    if report.measured is not None:
        verdict = report.measured.verdict
        yield tr("verdict"), f"{verdict.kind}: {verdict.reason}"
        yield tr("do"), verdict.do
    for fix in report.corrections:
        left = tr("leaves up to {speed} rpm", speed=number(fix.remaining_rpm, 0))
        yield tr("at the {end}", end=fix.end), "; ".join((*fix.settings, left, *fix.caveats))
    for wait in report.waits:
        if wait.wait_s is not None or wait.needed_s is not None:
            has = tr("not given") if wait.wait_s is None else f"{number(wait.wait_s)} s"
            need = wait.needed_said
            need = need if wait.needed_s is None else f"{number(wait.needed_s)} s ({need})"
            said = tr("{has}; needed {need}", has=has, need=need)
            yield tr("wait {wait}", wait=wait.name), "; ".join((said, *wait.said))
    yield from ((tr("mind"), remark.text) for remark in report.remarks)
    if report.blanks:
        yield tr("can't tell"), "; ".join(f"{blank.what}: {blank.ask_on_paper}" for blank in report.blanks)


def _measured(measured: Measured) -> Grid:
    rows: list[Row] = []
    for pair, stray in zip_longest(measured.pairs, measured.strays_rpm):
        error, command = pair.real_rpm - pair.commanded_rpm, pair.commanded_rpm
        share = f"{error / command * 100:+z.2f} %" if command else "—"
        off = "—" if stray is None else f"{stray:+z.0f}"
        texts = (text.replace("-", "−") for text in (f"{error:+z.0f}", share, off))
        rows.append(tuple(map(Cell, (number(command, 0), number(pair.real_rpm, 0), *texts))))
    heads = (tr("commanded rpm"), tr("measured rpm"), tr("error rpm"), tr("error"), tr("off the line, rpm"))
    columns = columns_of(*((head, 52.0) for head in heads))
    return Grid(columns, (Band(tr("Measured, as the mapping gives it")), *rows))
