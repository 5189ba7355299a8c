"""The chapter on speed, as found and as left, with a small plot in the sheets' own pens (booklet room).

Every sum in it is `doorsheet.speed`'s.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, Final, NamedTuple

from doorsheet.booklet.chapters import columns_of
from doorsheet.booklet.grid import Band, Grid, Row, say, say_or_write, write
from doorsheet.booklet.leaf import WIDTH_MM, Chapter, Piece
from doorsheet.circuit.sides import words
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import Block, line, rectangle, rule
from doorsheet.page.display import Group, Item, Oval, Point, Role, Stroke
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL

if TYPE_CHECKING:
    from doorsheet.speed import SpeedReport
    from doorsheet.speed.regression import Fit, Measured, Pair

__all__ = ["chart", "speed_chapter", "ticks"]

_HEIGHT_MM: Final = 62.0
_LEFT_MM: Final = 18.0
_FOOT_MM: Final = 12.0
_TOP_MM: Final = 4.0
_HIGH_MM: Final = _HEIGHT_MM - _TOP_MM - _FOOT_MM
_PLOT_MM: Final = 62.0
_APART_MM: Final = 22.0


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Return four to eight round numbers from `low` to `high`, steps of 1, 2 or 5 times a power of ten.

    >>> ticks(0, 24000)
    (0.0, 5000.0, 10000.0, 15000.0, 20000.0)
    """
    span = high - low
    if not span > 0:
        return (low,)
    power = 10.0 ** math.floor(math.log10(span))
    step = next(step for step in (power / 5, power / 2, power, power * 2) if span / step <= 7.0)
    first = math.ceil(low / step - 1e-9)
    return tuple(round(count * step, 9) + 0.0 for count in range(first, math.floor(high / step + 1e-9) + 1))


def chart(pairs: "Sequence[Pair]", fit: "Fit | None") -> Block:
    """Plot the pairs with the ideal line and the fitted one; beside it what is left of each pair's error."""
    commands, reals = [pair.commanded_rpm for pair in pairs], [pair.real_rpm for pair in pairs]
    low, high = min(0.0, *commands, *reals), max(1.0, *commands, *reals)
    speeds = _Plot(tr("measured rpm"), (low, high), (low, high), _LEFT_MM)
    out = [*speeds.frame(), speeds.line((low, low), (high, high), Role.WIRE_FREE)]
    if fit is not None:
        start, end = (speeds.inside(x, fit.at(x)) for x in (low, high))
        out.append(speeds.line(start, end, Role.SYMBOL))
    out += speeds.points(commands, reals)
    ideals = commands if fit is None else [fit.at(command) for command in commands]
    errors = [real - ideal for real, ideal in zip(reals, ideals, strict=True)]
    most = max(1.0, *map(abs, errors)) * 1.15
    rest = _Plot(tr("off the line, rpm"), (low, high), (-most, most), _LEFT_MM + _PLOT_MM + _APART_MM)
    out += [*rest.frame(), rest.line((low, 0.0), (high, 0.0), Role.WIRE_FREE), *rest.points(commands, errors)]
    words = tr("dashed: as commanded; line: fitted") if fit is not None else tr("dashed: as commanded")
    out.append(line(_LEFT_MM, _HEIGHT_MM + 3.5, words, role=Role.TEXT_SOFT))
    return Block((Group("chart", tuple(out), tr("measured speeds")),), WIDTH_MM, _HEIGHT_MM + 5.0)


class _Plot(NamedTuple):
    """One frame with its scales, its name across and up, and where it begins, mm."""

    up: str
    x: tuple[float, float]
    y: tuple[float, float]
    left: float

    @property
    def wide(self) -> float:
        return min(_PLOT_MM, WIDTH_MM - self.left - 1.0)

    def place(self, x: float, y: float) -> Point:
        across = self.left + (x - self.x[0]) / (self.x[1] - self.x[0]) * self.wide
        return Point(across, _TOP_MM + (self.y[1] - y) / (self.y[1] - self.y[0]) * _HIGH_MM)

    def inside(self, x: float, y: float) -> tuple[float, float]:
        """Hold a point within the upright scale."""
        return x, min(max(y, self.y[0]), self.y[1])

    def frame(self) -> Iterator[Item]:
        left, bottom = self.left, _TOP_MM + _HIGH_MM
        yield rectangle(left, _TOP_MM, self.wide, _HIGH_MM, Role.BOX)
        for value in ticks(*self.x):
            x = self.place(value, self.y[0]).x
            yield rule(x, bottom, x, bottom + 1.2)
            yield line(x, bottom + 1.8 + CAP_SMALL, _signed(f"{value:g}"), anchor="middle")
        for value in ticks(*self.y):
            y = self.place(self.x[0], value).y
            yield rule(left - 1.2, y, left, y)
            yield line(left - 1.8, y + CAP_SMALL / 2, _signed(f"{value:g}"), anchor="end")
        yield line(left + self.wide, _HEIGHT_MM - 0.8, tr("commanded rpm"), anchor="end")
        yield line(left, _TOP_MM - 1.6, self.up)

    def line(self, start: tuple[float, float], end: tuple[float, float], role: Role) -> Item:
        return Stroke((self.place(*start), self.place(*end)), role)

    def points(self, xs: Sequence[float], ys: Sequence[float]) -> Iterator[Item]:
        for x, y in (self.place(*self.inside(*pair)) for pair in zip(xs, ys, strict=True)):
            yield Oval(x, y, 0.9, 0.9, Role.SYMBOL_SOLID)


def _signed(figure: str) -> str:
    return figure.replace("-", "−")


_SHARES: Final = (0.0, 0.1, 0.25, 0.5, 0.75, 1.0)
"""Commands as shares of the full one: at least five points, or a curve can't be told from a line."""


def speed_chapter(read: ReadMapping, whole: ReadMapping | None = None, drive: str = "") -> Chapter:
    """Return the speeds to command, what to expect, and room for what was found and what was left.

    Of several drives `read` is that of the one called `drive`, and `whole` that of all.
    """
    report = _report(read, whole or read, drive)
    intro = tr(
        "Say beforehand which error passes: ________ . Instrument ________________ , checked "
        "____________ , ambient ______ °C. Speed was read at: motor / tool. A commanded speed that "
        "reads about 2 % high is commonly taken as normal (common practice, no source)."
    )
    said = _said(report) if report is not None else ()
    pieces = (intro, *said, _grid(tuple(_rows(read.mapping, report)), report))
    return Chapter(tr("Speed, as found and as left"), pieces)


def _report(read: ReadMapping, whole: ReadMapping, drive: str) -> "SpeedReport | None":
    from doorsheet.speed import SpeedError, speed_report
    from doorsheet.speed.known import Installed

    try:
        return speed_report(read, drive, Installed(whole))
    except SpeedError:
        return None


def _grid(rows: tuple[Row, ...], report: "SpeedReport | None") -> Grid:
    from doorsheet.speed.known import unit_of

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


def _rows(mapping: Mapping, report: "SpeedReport | None") -> Iterator[Row]:
    """Yield a row for each command; where there is no speed signal, one for each preset."""
    if mapping.speed is None or report is None:
        names = [words(name) for name in mapping.control_names if name.startswith("preset")]
        yield from (_row(name, None, None, None) for name in names or [tr("run")])
        return
    at = {row.share: row for row in report.rows}
    for share in _SHARES:
        row = at.get(share)
        signal = row.source_signal if row is not None and report.facts.path.source is not None else None
        rpm, tool = (row.commanded_rpm, row.tool_rpm) if row is not None else (None, None)
        yield _row(f"{share * 100:g}\N{NO-BREAK SPACE}%", rpm, signal, tool)


def _row(command: str, rpm: float | None, signal: float | None, expected: float | None) -> Row:
    from doorsheet.speed.known import number

    figures = ((rpm, 0), (signal, 3), (expected, 0))
    told = (None if value is None else number(value, places) for value, places in figures)
    blanks = (write(), write(), write(), write("" if command.startswith("0") else "%")) * 2
    return (say_or_write(command, bold=True), *map(say_or_write, told), *blanks)


def _said(report: "SpeedReport") -> Iterator[Piece]:
    rows = [(say(what, bold=True), say(words)) for what, words in _told(report)]
    if rows:
        yield Grid(columns_of(("", 30.0), (tr("from the mapping's own figures"), 144.0)), tuple(rows))
    if report.measured is not None:
        yield chart(report.measured.pairs, report.measured.fit)
        yield _measured(report.measured)


def _told(report: "SpeedReport") -> Iterator[tuple[str, str]]:
    from doorsheet.speed.known import number

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


def _measured(measured: "Measured") -> Grid:
    from doorsheet.speed.known import number

    rows: list[Row] = []
    for pair, stray in zip_longest(measured.pairs, measured.strays_rpm):
        error, command = pair.real_rpm - pair.commanded_rpm, pair.commanded_rpm
        share = f"{error / command * 100:+z.2f} %" if command else "—"
        off = "—" if stray is None else f"{stray:+z.0f}"
        texts = (_signed(text) for text in (f"{error:+z.0f}", share, off))
        rows.append(tuple(map(say, (number(command, 0), number(pair.real_rpm, 0), *texts))))
    heads = (tr("commanded rpm"), tr("measured rpm"), tr("error rpm"), tr("error"), tr("off the line, rpm"))
    columns = columns_of(*((head, 52.0) for head in heads))
    return Grid(columns, (Band(tr("Measured, as the mapping gives it")), *rows))
