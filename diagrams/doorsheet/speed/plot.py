"""The plot of commanded against real speed, with what they differ by below it (speed room).

matplotlib's Figure, without pyplot, on a page of exactly A4 lying; letters, ink and stroke widths are
those of the sheets.  No sums here: every value stands in the report.
"""

import re
from collections.abc import Callable, Sequence
from hashlib import sha256
from io import BytesIO
from typing import TYPE_CHECKING, Final, TypeAlias

from doorsheet.speed.expect import Row, around, expected_row
from doorsheet.speed.known import number
from doorsheet.speed.report import PlotError
from doorsheet.trade.lettering import CAP_SMALL, CAP_TERMINAL, EM_PER_CAP, font_file, own_settings, wrap
from doorsheet.trade.paper import A4, MM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.font_manager import FontProperties

    from doorsheet.speed.report import SpeedReport

__all__ = ["INK", "plot", "plot_figure"]

INK: Final = "#1a1a1a"
_SOFT: Final = "#4a4a4a"
_TINT: Final = "#d5dce4"
_RULE: Final = "#c4c4c4"
_THIN_MM: Final = 0.25
_THICK_MM: Final = 0.5
_MARGIN_MM: Final = 10.0
_LEFT_MM: Final = 38.0  # room for the numbers and the name of the upright axes
_FOOT_MM: Final = 22.0
_PT_PER_MM: Final = 72 / MM_PER_INCH
_DPI: Final = 200
_CREATOR: Final = "Doorsheet"  # by which `output.writing` knows a plot as ours


def plot(report: "SpeedReport", ending: str) -> bytes:
    """Draw a report as "svg", "pdf" or "png"; the same report gives the same bytes.

    Raises PlotError when nothing was measured and no speed can be expected.
    """
    data = BytesIO()
    title = f"{report.facts.machine}: commanded and real speed"
    words: dict[str, dict[str, str | None]] = {
        "svg": {"Date": None, "Creator": _CREATOR, "Title": title},
        "pdf": {"CreationDate": None, "Creator": _CREATOR, "Title": title},
        "png": {"Software": _CREATOR, "Title": title},
    }
    with own_settings():
        figure = plot_figure(report)
        if ending == "png":  # whole pixels: the nearest, as the sheets have them, not those cut off
            width, height = (round(float(side) * _DPI) for side in figure.get_size_inches())
            figure.set_size_inches(((width + 0.1) / _DPI, (height + 0.1) / _DPI))
        figure.savefig(data, format=ending, dpi=_DPI, metadata=words[ending])
    return _with_own_names(data.getvalue()) if ending == "svg" else data.getvalue()


def _with_own_names(svg: bytes) -> bytes:
    """Change names and style of matplotlib's SVG so that it can stand in a web page beside others."""
    own = rb"\1p" + sha256(svg).hexdigest()[:8].encode() + b"-"
    named = re.sub(rb"<[^<>]+>", lambda tag: re.sub(rb'( id="|href="#|url\(#)', own, tag[0]), svg)
    # its rule is for every element of whatever page it stands in; as attributes it is for the plot alone
    ruled = named.replace(b"*{stroke-linejoin: round; stroke-linecap: butt}", b"", 1)
    return ruled.replace(b"<svg ", b'<svg stroke-linejoin="round" stroke-linecap="butt" ', 1)


def plot_figure(report: "SpeedReport") -> "Figure":
    """Return the plot as a figure, for callers who save it their own way."""
    from matplotlib.figure import Figure
    from matplotlib.transforms import blended_transform_factory

    if report.measured is None and not any(row.tool_rpm is not None for row in _command_rows(report)):
        raise PlotError(
            f"{report.file}: there is nothing to draw, neither measured pairs ([speeds] measured) nor what an"
            " expected speed needs"
        )
    paper = A4.landscape()
    wide, high = paper.width_mm, paper.height_mm
    figure = Figure(figsize=(wide / MM_PER_INCH, high / MM_PER_INCH), facecolor="white")
    places = _places(report, high, _heading(figure, report, wide, high))
    upper: Axes | None = None
    for foot_mm, height_mm, draw in places:
        room = (_LEFT_MM / wide, foot_mm / high, (wide - _LEFT_MM - _MARGIN_MM) / wide, height_mm / high)
        axes = figure.add_axes(room, sharex=upper)
        draw(axes, report)
        # counted across in the page, upwards in the axes: the names of all upright axes stand in line
        across = blended_transform_factory(axes.figure.transFigure, axes.transAxes)
        axes.yaxis.set_label_coords((_MARGIN_MM + CAP_SMALL) / wide, 0.5, transform=across)
        axes.tick_params(labelbottom=draw is places[-1][2])
        upper, last = upper or axes, axes
    _label(last, "commanded, rpm", "x")
    return figure


_Place: TypeAlias = "tuple[float, float, Callable[[Axes, SpeedReport], None]]"
"""Where a pair of axes stands, mm from the page's lower edge; how high it is; what draws it."""


def _places(report: "SpeedReport", page_mm: float, top_mm: float) -> list[_Place]:
    """Share the height out: the speeds take what the panels below leave."""
    measured = report.measured
    below = [] if measured is None else [_deviations] if measured.fit is None else [_deviations, _residuals]
    each, gap, foot = 36.0, 5.0, _FOOT_MM
    placed: list[_Place] = []
    for draw in reversed(below):
        placed.append((foot, each, draw))
        foot += each + gap
    placed.append((foot, page_mm - top_mm - foot, _speeds))
    return placed[::-1]


def _heading(figure: "Figure", report: "SpeedReport", width_mm: float, height_mm: float) -> float:
    """Write machine, verdict and line at the top; return where the plot may begin, mm from the edge."""
    words = [(f"{report.facts.machine}: commanded and real speed", CAP_TERMINAL, True)]
    if report.measured is not None:
        verdict = report.measured.verdict
        words.append((f"{verdict.kind}: {verdict.reason}", CAP_SMALL, False))
    y, room = _MARGIN_MM, width_mm - 2 * _MARGIN_MM
    lines = [(line, cap, bold) for said, cap, bold in words for line in wrap(said, cap, room, bold)]
    for line, cap, bold in lines:
        y += cap
        figure.text(
            _MARGIN_MM / width_mm, 1 - y / height_mm, line,
            fontproperties=_font(cap, bold), color=INK, va="baseline", ha="left", parse_math=False,
        )  # fmt: skip
        y += cap * 0.9
    return y + 2


# ---- The panels ----


def _command_rows(report: "SpeedReport") -> list[Row]:
    """Return the rows that have a command in rpm, finer than the table so that limits show as corners."""
    if report.facts.full_scale_rpm is None:
        return []
    least = -200 if report.facts.path.turns else 0
    shares = sorted({*(step / 200 for step in range(least, 201)), *(row.share for row in report.rows)})
    return [expected_row(report.facts, share) for share in shares]


def _speeds(axes: "Axes", report: "SpeedReport") -> None:
    measured, rows = report.measured, _command_rows(report)
    pairs = measured.pairs if measured else ()
    commands = [pair.commanded_rpm for pair in pairs] + [row.commanded_rpm or 0.0 for row in rows]
    ends = min([0.0, *commands]), max([0.0, *commands])
    axes.plot(ends, ends, color=INK, linewidth=_THIN_MM * _PT_PER_MM, dashes=(8, 5), label="real = commanded")
    _expectation(axes, report, rows)
    if measured is not None and measured.fit is not None:
        steps = [ends[0] + (ends[1] - ends[0]) * step / 200 for step in range(201)]
        name = "line through the pairs" if measured.hinge is None else "line through the pairs, to its limit"
        line = [measured.line_at(step) or 0.0 for step in steps]
        axes.plot(steps, line, color=INK, linewidth=_THICK_MM * _PT_PER_MM, label=name)
    if pairs:
        _points(axes, [pair.commanded_rpm for pair in pairs], [pair.real_rpm for pair in pairs], "measured")
    _dress(axes)
    _label(axes, "real, rpm", "y")
    reals = [pair.real_rpm for pair in pairs] + [row.tool_rpm for row in rows if row.tool_rpm is not None]
    upright = min([0.0, *reals, ends[0]]), max([0.0, *reals, ends[1]])
    for setter, (low, high) in ((axes.set_xlim, ends), (axes.set_ylim, upright)):
        room = 0.04 * ((high - low) or 1.0)
        setter(low - room, high + room)
    legend = axes.legend(
        loc="upper left", prop=_font(CAP_SMALL), framealpha=1.0, fancybox=False, edgecolor=_RULE
    )
    for text in legend.get_texts():
        text.set_parse_math(False)
        text.set_color(INK)


def _expectation(axes: "Axes", report: "SpeedReport", rows: Sequence[Row]) -> None:
    """Draw the expected speed and, where tolerances are given, its worst-case band."""
    known = [row for row in rows if row.tool_rpm is not None and row.commanded_rpm is not None]
    if not known:
        return
    commands, thin = [row.commanded_rpm or 0.0 for row in known], _THIN_MM * _PT_PER_MM
    half = report.band.worst_rpm if report.band is not None else 0.0
    bands = [around(row, half) or (0.0, 0.0) for row in known]
    if report.band is not None or any(row.loaded_rpm is not None for row in known):
        name = "expected, from rated load to none" if known[0].loaded_rpm is not None else "expected"
        if report.band is not None:
            name += f", ± {number(report.band.worst_percent)} % (worst case of what is given)"
        axes.fill_between(
            commands, [low for low, _ in bands], [high for _, high in bands],
            facecolor=_TINT, edgecolor=_SOFT, linewidth=thin, label=name,
        )  # fmt: skip
    expected, name = [row.tool_rpm or 0.0 for row in known], "expected without load"
    axes.plot(commands, expected, color=_SOFT, linewidth=thin, dashes=(2, 3), label=name)


def _deviations(axes: "Axes", report: "SpeedReport") -> None:
    measured = report.measured
    assert measured is not None
    deviations = [pair.real_rpm - pair.commanded_rpm for pair in measured.pairs]
    _about_zero(
        axes, report, deviations, measured.tolerance_rpm, f"normal: ± {number(measured.tolerance_rpm, 0)} rpm"
    )
    _label(axes, "real − commanded", "y")


def _residuals(axes: "Axes", report: "SpeedReport") -> None:
    measured = report.measured
    assert measured is not None and measured.fit is not None
    sd = measured.fit.residual_sd_rpm
    words = "" if sd is None else f"standard deviation: ± {number(sd, 1)} rpm"
    _about_zero(axes, report, measured.strays_rpm, sd or 0.0, words)
    _label(axes, "real − line", "y")


def _about_zero(
    axes: "Axes", report: "SpeedReport", values: Sequence[float], half: float, words: str
) -> None:
    """Draw differences as points on stems, a band of what is usual behind them, and what the band is."""
    measured = report.measured
    assert measured is not None
    if half:
        axes.axhspan(-half, half, facecolor=_TINT, edgecolor=_SOFT, linewidth=_THIN_MM * _PT_PER_MM)
    axes.axhline(0, color=INK, linewidth=_THIN_MM * _PT_PER_MM, dashes=(8, 5))
    commands = [pair.commanded_rpm for pair in measured.pairs]
    axes.vlines(commands, 0, values, color=INK, linewidth=_THIN_MM * _PT_PER_MM)
    _points(axes, commands, values, "")
    _dress(axes, most=4)
    reach = [*values, half, -half, *([0.0] if half else [-1.0, 1.0])]
    room = 0.12 * (max(reach) - min(reach))
    axes.set_ylim(min(reach) - room, max(reach) + 3.5 * room)
    if words:
        axes.text(
            0.99, 0.95, words, transform=axes.transAxes, fontproperties=_font(CAP_SMALL), color=INK,
            va="top", ha="right", parse_math=False,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
        )  # fmt: skip


def _points(axes: "Axes", x: Sequence[float], y: Sequence[float], label: str) -> None:
    axes.plot(
        x, y, linestyle="none", marker="o", markersize=2.2 * _PT_PER_MM, markerfacecolor="white",
        markeredgecolor=INK, markeredgewidth=_THICK_MM * _PT_PER_MM, label=label or None,
    )  # fmt: skip


# ---- Looks ----


def _dress(axes: "Axes", most: int = 7) -> None:
    """Give axes the sheets' letters and strokes; numbers as they are written elsewhere, never with powers."""
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    axes.set_axisbelow(True)
    axes.grid(True, color=_RULE, linewidth=0.15 * _PT_PER_MM)
    for spine in axes.spines.values():
        spine.set_color(INK)
        spine.set_linewidth(_THIN_MM * _PT_PER_MM)
    axes.tick_params(color=INK, width=_THIN_MM * _PT_PER_MM, length=1.2 * _PT_PER_MM)
    for axis, ticks in ((axes.xaxis, 9), (axes.yaxis, most)):
        axis.set_major_locator(MaxNLocator(ticks))
        axis.set_major_formatter(
            FuncFormatter(lambda value, _: number(value, 6).replace("-", "\N{MINUS SIGN}"))
        )
        for label in axis.get_ticklabels():
            label.set_fontproperties(_font(CAP_SMALL))
            label.set_color(INK)


def _label(axes: "Axes", words: str, which: str) -> None:
    setter = axes.set_xlabel if which == "x" else axes.set_ylabel
    setter(words, fontproperties=_font(CAP_SMALL), color=INK, parse_math=False)


def _font(cap_mm: float, bold: bool = False) -> "FontProperties":
    """Name matplotlib's own copy of the sheets' font, so that no installed one takes its place."""
    from matplotlib.font_manager import FontProperties

    size, weight = cap_mm * EM_PER_CAP * _PT_PER_MM, "bold" if bold else "normal"
    return FontProperties(family="DejaVu Sans", weight=weight, size=size, fname=font_file(bold))
