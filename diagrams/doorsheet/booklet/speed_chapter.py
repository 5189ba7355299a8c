"""The chapter on speed, as found and as left, with a small plot in the sheets' own pens (booklet room).

Every sum in it is `doorsheet.speed`'s.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, Final

from doorsheet.booklet.chapters import columns_of
from doorsheet.booklet.grid import Band, Cell, Grid, Row, say, say_or_write, write
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
    from doorsheet.speed.regression import Fit, Pair

__all__ = ["chart", "speed_chapter", "ticks"]

_HEIGHT_MM: Final = 62.0
_LEFT_MM: Final = 18.0
_FOOT_MM: Final = 12.0
_TOP_MM: Final = 4.0
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
    commands = [pair.commanded_rpm for pair in pairs]
    reals = [pair.real_rpm for pair in pairs]
    low, high = min(0.0, *commands, *reals), max(1.0, *commands, *reals)
    items = _Plot(tr("commanded rpm"), tr("measured rpm"), (low, high), (low, high), 0.0)
    out = [*items.frame(), *items.line((low, low), (high, high), Role.WIRE_FREE)]
    if fit is not None:
        start, end = ((x, fit.at(x)) for x in (low, high))
        out += items.line(items.inside(start), items.inside(end), Role.SYMBOL)
    out += items.points(list(zip(commands, reals, strict=True)))
    errors = [
        pair.real_rpm - (fit.at(pair.commanded_rpm) if fit is not None else pair.commanded_rpm)
        for pair in pairs
    ]
    most = max(1.0, *(abs(error) for error in errors)) * 1.15
    left = _LEFT_MM + _PLOT_MM + _APART_MM
    rest = _Plot(tr("commanded rpm"), tr("off the line, rpm"), (low, high), (-most, most), left - _LEFT_MM)
    out += [*rest.frame(), *rest.line((low, 0.0), (high, 0.0), Role.WIRE_FREE)]
    out += rest.points(list(zip(commands, errors, strict=True)))
    words = tr("dashed: as commanded; line: fitted") if fit is not None else tr("dashed: as commanded")
    out.append(line(_LEFT_MM, _HEIGHT_MM + 3.5, words, role=Role.TEXT_SOFT))
    return Block((Group("chart", tuple(out), tr("measured speeds")),), WIDTH_MM, _HEIGHT_MM + 5.0)


class _Plot:
    """One frame with its scales."""

    def __init__(
        self, across: str, up: str, x: tuple[float, float], y: tuple[float, float], shift_mm: float
    ) -> None:
        self._across, self._up, self._x, self._y = across, up, x, y
        self._left = _LEFT_MM + shift_mm
        self._wide = min(_PLOT_MM, WIDTH_MM - self._left - 1.0)
        self._high = _HEIGHT_MM - _TOP_MM - _FOOT_MM

    def _place(self, point: tuple[float, float]) -> Point:
        x = self._left + (point[0] - self._x[0]) / (self._x[1] - self._x[0]) * self._wide
        y = _TOP_MM + (self._y[1] - point[1]) / (self._y[1] - self._y[0]) * self._high
        return Point(x, y)

    def inside(self, point: tuple[float, float]) -> tuple[float, float]:
        """Hold a point within the upright scale."""
        return point[0], min(max(point[1], self._y[0]), self._y[1])

    def frame(self) -> list[Item]:
        bottom = _TOP_MM + self._high
        out: list[Item] = [rectangle(self._left, _TOP_MM, self._wide, self._high, Role.BOX)]
        for value in ticks(*self._x):
            x = self._place((value, self._y[0])).x
            out.append(rule(x, bottom, x, bottom + 1.2))
            out.append(line(x, bottom + 1.8 + CAP_SMALL, f"{value:g}".replace("-", "−"), anchor="middle"))
        for value in ticks(*self._y):
            y = self._place((self._x[0], value)).y
            out.append(rule(self._left - 1.2, y, self._left, y))
            out.append(
                line(self._left - 1.8, y + CAP_SMALL / 2, f"{value:g}".replace("-", "−"), anchor="end")
            )
        out.append(line(self._left + self._wide, _HEIGHT_MM - 0.8, self._across, anchor="end"))
        out.append(line(self._left, _TOP_MM - 1.6, self._up))
        return out

    def line(self, start: tuple[float, float], end: tuple[float, float], role: Role) -> list[Item]:
        return [Stroke((self._place(start), self._place(end)), role)]

    def points(self, values: Sequence[tuple[float, float]]) -> list[Item]:
        places = [self._place(self.inside(value)) for value in values]
        return [Oval(x, y, 0.9, 0.9, Role.SYMBOL_SOLID) for x, y in places]


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
    from doorsheet.speed.known import Installed

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
