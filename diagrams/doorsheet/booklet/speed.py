"""Real against commanded speed: the chapter on it, as found and as left, and the plot, small or as a page.

No sums here: every value stands in the report of `doorsheet.speed`.
"""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from itertools import zip_longest
from typing import Final, NamedTuple, TypeAlias

from doorsheet.booklet.chapters import columns_of
from doorsheet.booklet.grid import Band, Cell, Grid, say_or_write, write
from doorsheet.booklet.grid import Row as TableRow
from doorsheet.booklet.leaf import WIDTH_MM, Chapter, Piece
from doorsheet.choice import UserError
from doorsheet.circuit.sides import words
from doorsheet.electrics import solve
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping, Source
from doorsheet.page.boxes import Block, column, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Area, Group, Item, Oval, Page, Point, Role, Stroke
from doorsheet.page.fit import MARGIN_MM
from doorsheet.speed import SpeedError, SpeedReport, as_text, speed_report
from doorsheet.speed.expect import SHARES, Row, around, expected_row
from doorsheet.speed.known import number, unit_of
from doorsheet.speed.regression import Measured
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL, CAP_TERMINAL, text_width
from doorsheet.trade.paper import A4

__all__ = ["PlotError", "chart", "plot_pages", "speed_chapter", "ticks"]

_LEFT_MM: Final = 18.0
"""Room for the numbers beside a panel."""
_FOOT_MM: Final = 6.2
_AXIS_MM: Final = 3.8
_NAME_MM: Final = 4.0
_LOW_MM: Final = 34.0
_PITCH_MM: Final = 5.5
"""From number to number, up."""
_CHART_MM: Final = (62.0, 46.0)
_APART_MM: Final = 4.0

_At: TypeAlias = tuple[float, float]
"""Across and up, both in rpm."""


class PlotError(UserError, ValueError):
    """There is nothing to draw: neither measured pairs nor an expected speed."""


# ---- The chapter ----


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


def _grid(rows: tuple[TableRow, ...], report: SpeedReport | None) -> Grid:
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


def _rows(mapping: Mapping, report: SpeedReport | None) -> Iterator[TableRow]:
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


def _row(command: str, rpm: float | None, signal: float | None, expected: float | None) -> TableRow:
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
    rows: list[TableRow] = []
    for pair, stray in zip_longest(measured.pairs, measured.strays_rpm):
        error, command = pair.real_rpm - pair.commanded_rpm, pair.commanded_rpm
        share = f"{error / command * 100:+z.2f} %" if command else "—"
        off = "—" if stray is None else f"{stray:+z.0f}"
        texts = (text.replace("-", "−") for text in (f"{error:+z.0f}", share, off))
        rows.append(tuple(map(Cell, (number(command, 0), number(pair.real_rpm, 0), *texts))))
    heads = (tr("commanded rpm"), tr("measured rpm"), tr("error rpm"), tr("error"), tr("off the line, rpm"))
    columns = columns_of(*((head, 52.0) for head in heads))
    return Grid(columns, (Band(tr("Measured, as the mapping gives it")), *rows))


# ---- The plot ----


def chart(report: SpeedReport) -> Block:
    """Return, as wide as a leaf, the speeds, and beside them how far each lies off the line."""
    speeds, *others = _panels(report)
    wide, high = _CHART_MM
    items: list[Item] = []
    for left, panel in ((_LEFT_MM, speeds), (WIDTH_MM - wide - _APART_MM, others[-1])):
        items += panel.drawn(left, _NAME_MM, wide, high, speeds.span)
        items.append(_commanded(left, wide, _NAME_MM + high))
    words, top = paragraph(_legend(report), WIDTH_MM), _NAME_MM + high + _FOOT_MM + _AXIS_MM + 1.4
    items += shifted(words.items, 0.0, top)
    return Block((Group("chart", tuple(items), tr("measured speeds")),), WIDTH_MM, top + words.height)


def plot_pages(reports: Sequence[SpeedReport], source: Source) -> tuple[Page, ...]:
    """Return a page, A4 lying, with all that is expected and measured of each drive that has such.

    Raises PlotError where nothing was measured and no speed can be expected of any.
    """
    drawn = ((report, _panels(report)) for report in reports)
    pages = tuple(_page(report, each, source) for report, each in drawn if each[0].dots or each[0].grey)
    if not pages:
        raise PlotError(
            f"{source.name}: there is nothing to draw, neither measured pairs ([speeds] measured) nor what an"
            " expected speed needs"
        )
    return pages


def _page(report: SpeedReport, panels: Sequence["_Panel"], source: Source) -> Page:
    paper, title = A4.landscape(), f"{report.facts.machine}: " + tr("commanded and real speed")
    wide, left = paper.width_mm - 2 * MARGIN_MM, MARGIN_MM + _LEFT_MM
    said = [paragraph(title, wide, CAP_TERMINAL, bold=True)]
    if report.measured is not None:
        verdict = report.measured.verdict
        said.append(paragraph(f"{verdict.kind}: {verdict.reason}", wide))
    head = column([*said, paragraph(_legend(report), wide)], wide, 2.0)
    items: list[Item] = [*shifted(head.items, MARGIN_MM, MARGIN_MM)]
    top, bottom = MARGIN_MM + head.height + 3.0, paper.height_mm - MARGIN_MM - _FOOT_MM - _AXIS_MM - 1.0
    below = (len(panels) - 1) * (_LOW_MM + _NAME_MM + _FOOT_MM)
    for at, panel in enumerate(panels):
        high = _LOW_MM if at else bottom - below - top - _NAME_MM
        items += panel.drawn(left, top + _NAME_MM, wide - _LEFT_MM, high, panels[0].span)
        top += _NAME_MM + high + _FOOT_MM
    items.append(_commanded(left, wide - _LEFT_MM, bottom))
    whole = Group("plot", tuple(items), description=as_text(report))
    return Page(paper.width_mm, paper.height_mm, (whole,), title, "", source.name, source.text)


def _commanded(left: float, wide: float, bottom: float) -> Item:
    return line(left + wide, bottom + _FOOT_MM + _AXIS_MM, tr("commanded rpm"), anchor="end")


# ---- The panels ----


class _Panel(NamedTuple):
    """What is drawn over the commanded speed: its name, what is usual, lines, and the pairs."""

    name: str
    grey: tuple[_At, ...]
    lines: tuple[tuple[Role, tuple[_At, ...]], ...]
    dots: tuple[_At, ...]

    @property
    def every(self) -> Iterator[_At]:
        yield from (*self.grey, *self.dots, *(at for _, way in self.lines for at in way))

    @property
    def span(self) -> tuple[float, float]:
        """The lowest and the highest command."""
        commands = [x for x, _ in self.every]
        return min(commands), max(commands)

    def drawn(
        self, left: float, top: float, wide: float, high: float, across: tuple[float, float]
    ) -> Iterator[Item]:
        """Yield the panel from its top left corner, mm, with numbers at its foot and its left."""
        heights = [y for _, y in self.every]
        (x0, x1), (y0, y1) = _roomy(*across), _roomy(min(heights), max(heights))

        def place(at: _At) -> Point:
            return Point(left + (at[0] - x0) / (x1 - x0) * wide, top + (y1 - at[1]) / (y1 - y0) * high)

        most = wide / (3.0 + max(text_width(_figure(end), CAP_SMALL) for end in across))
        for value in ticks(*across, most):
            x = place((value, y0)).x
            yield rule(x, top, x, top + high, Role.GRID)
            yield line(x, top + high + 1.4 + CAP_SMALL, _figure(value), anchor="middle")
        for value in ticks(y0, y1, high / _PITCH_MM):
            y = place((x0, value)).y
            yield rule(left, y, left + wide, y, Role.GRID)
            yield line(left - 1.4, y + CAP_SMALL / 2, _figure(value), anchor="end")
        if self.grey:
            yield Area(tuple(map(place, self.grey)), Role.BAND)
        yield rectangle(left, top, wide, high, Role.SYMBOL)
        yield from (Stroke(tuple(map(place, way)), role) for role, way in self.lines)
        yield from (Oval(*place(dot), 1.0, 1.0, Role.HOLE) for dot in self.dots)
        yield line(left, top - 1.6, self.name)


def _roomy(low: float, high: float) -> tuple[float, float]:
    room = 0.08 * ((high - low) or 1.0)
    return low - room, high + room


def ticks(low: float, high: float, most: float = 7.0) -> tuple[float, ...]:
    """Return up to eight round numbers from `low` to `high`, steps of 1, 2 or 5 times a power of ten.

    Fewer where `most` steps, at least two, are all that has room.

    >>> ticks(0, 24000)
    (0.0, 5000.0, 10000.0, 15000.0, 20000.0)
    """
    span = high - low
    if not span > 0:
        return (low,)
    power = 10.0 ** math.floor(math.log10(span))
    steps = (power / 5, power / 2, power, power * 2, power * 5)
    step = next(step for step in steps if span / step <= min(most, 7.0))
    first = math.ceil(low / step - 1e-9)
    return tuple(round(count * step, 9) + 0.0 for count in range(first, math.floor(high / step + 1e-9) + 1))


def _figure(value: float) -> str:
    return number(value, 6).replace("-", "−")


def _panels(report: SpeedReport) -> tuple[_Panel, ...]:
    """Return the speeds; of measured ones, under them, how far each is off its command and off the line."""
    measured = report.measured
    if measured is None:
        return (_speeds(report),)
    errors = [pair.real_rpm - pair.commanded_rpm for pair in measured.pairs]
    normal = tr("error rpm; normal: ± {usual} rpm", usual=number(measured.tolerance_rpm, 0))
    speeds = _speeds(report)
    panels = (speeds, _about_zero(normal, measured, errors, measured.tolerance_rpm, speeds.span))
    if measured.fit is None:
        return panels
    usual, name = measured.fit.residual_sd_rpm, tr("off the line, rpm")
    if usual is not None:
        name = tr("off the line, rpm; pairs: ± {usual} rpm", usual=number(usual, 1))
    return *panels, _about_zero(name, measured, measured.strays_rpm, usual or 0.0, speeds.span)


def _speeds(report: SpeedReport) -> _Panel:
    measured, rows = report.measured, _command_rows(report)
    dots = tuple((pair.commanded_rpm, pair.real_rpm) for pair in measured.pairs) if measured else ()
    commands = [0.0, *(x for x, _ in dots), *(row.commanded_rpm or 0.0 for row in rows)]
    ends = min(commands), max(commands)
    lines: list[tuple[Role, tuple[_At, ...]]] = [(Role.WIRE_FREE, tuple((x, x) for x in ends))]
    known = [(row.commanded_rpm or 0.0, row) for row in rows if row.tool_rpm is not None]
    half = report.band.worst_rpm if report.band is not None else 0.0
    bands = [(x, around(row, half) or (0.0, 0.0)) for x, row in known]
    if known:
        lines.append((Role.SYMBOL, tuple((x, row.tool_rpm or 0.0) for x, row in known)))
    if measured is not None and measured.fit is not None:
        steps = [ends[0] + (ends[1] - ends[0]) * step / 200 for step in range(201)]
        lines.append((Role.SYMBOL_THICK, tuple((step, measured.line_at(step) or 0.0) for step in steps)))
    grey = (*((x, low) for x, (low, _) in bands), *((x, high) for x, (_, high) in bands[::-1]))
    return _Panel(tr("real rpm"), grey, tuple(lines), dots)


def _command_rows(report: SpeedReport) -> list[Row]:
    """Return the rows that have a command in rpm, finer than the table so that limits show as corners."""
    if report.facts.full_scale_rpm is None:
        return []
    least = -200 if report.facts.path.turns else 0
    shares = sorted({*(step / 200 for step in range(least, 201)), *(row.share for row in report.rows)})
    return [expected_row(report.facts, share) for share in shares]


def _about_zero(
    name: str, measured: Measured, values: Sequence[float], usual: float, across: tuple[float, float]
) -> _Panel:
    """Return differences as points on stems; what is usual lies grey behind them."""
    dots = tuple((pair.commanded_rpm, value) for pair, value in zip(measured.pairs, values, strict=True))
    stems = ((Role.SYMBOL, ((x, 0.0), (x, y))) for x, y in dots)
    low, high = _roomy(*across)
    grey = ((low, usual), (high, usual), (high, -usual), (low, -usual))
    return _Panel(name, grey, ((Role.WIRE_FREE, ((low, 0.0), (high, 0.0))), *stems), dots)


def _legend(report: SpeedReport) -> str:
    """Say what each line of the speeds is, and what is usual of those under them."""
    measured, band, said = report.measured, report.band, [tr("Dashed: as commanded")]
    if any(row.tool_rpm is not None for row in report.rows):
        said.append(tr("thin: expected without load"))
    if any(row.loaded_rpm is not None for row in report.rows):
        said.append(tr("grey: from rated load to none"))
    if band is not None:
        share = number(band.worst_percent)
        said.append(tr("grey about it: ± {share} %, the worst case of what is given", share=share))
    if measured is not None and measured.fit is not None:
        to_limit = tr("thick: line through the pairs, to its limit")
        said.append(to_limit if measured.hinge is not None else tr("thick: line through the pairs"))
    if measured is not None:
        said.append(tr("circles: measured"))
    return "; ".join(said) + "."
