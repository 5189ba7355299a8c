"""The plot: the pairs stand where they were measured, the file is exact and the same each time."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from io import BytesIO

import matplotlib
import numpy as np
import pdfplumber
import pytest
from PIL import Image
from pypdf import PdfReader

from doorsheet.page.style import INK as SHEET_INK
from doorsheet.speed import PlotError
from doorsheet.speed.plot import INK, plot, plot_figure
from doorsheet.speed.report import SpeedReport
from tests.speed.made import report_of

TABLES = (
    '[speed]\nsignal = "A"\ncommon = "C"\nrange = "0-10 V"\n'
    'source = { signal = "B", common = "D", range = "0-10 V" }\n'
    '[motor]\npoles = 2\nfrequency = "400 Hz"\nspeed = "23 400 rpm"\nmax-frequency = "400 Hz"\n'
    '[speeds]\nfull-scale = "24000 rpm"\ntolerance-source = "1 %"\n'
)
PAIRS = [(2400.0, 2210.0), (6000.0, 5640.0), (12000.0, 11300.0), (18000.0, 17020.0), (24000.0, 22660.0)]


@pytest.fixture(scope="module")
def report() -> SpeedReport:
    return report_of(TABLES + f"measured = {[list(pair) for pair in PAIRS]}\n")


def test_points_stand_where_they_were_measured(report: SpeedReport) -> None:
    speeds, deviations, residuals = plot_figure(report).axes
    assert report.measured is not None and report.measured.fit is not None
    for axes, values in (
        (speeds, [real for _, real in PAIRS]),
        (deviations, [real - command for command, real in PAIRS]),
        (residuals, list(report.measured.fit.residuals_rpm)),
    ):
        (points,) = (drawn for drawn in axes.lines if drawn.get_marker() == "o")
        assert list(points.get_xdata()) == [command for command, _ in PAIRS]
        assert list(points.get_ydata()) == pytest.approx(values)
        low, high = axes.get_ylim()
        assert low < min(values) and max(values) < high


def test_the_line_drawn_is_the_fitted_one(report: SpeedReport) -> None:
    assert report.measured is not None and report.measured.fit is not None
    lines = plot_figure(report).axes[0].lines
    (line,) = (drawn for drawn in lines if drawn.get_label() == "line through the pairs")
    x, y = np.array(line.get_xdata()), np.array(line.get_ydata())
    assert np.allclose(y, report.measured.fit.offset_rpm + report.measured.fit.gain * x)
    assert (x[0], x[-1]) == (0, 24000)


def test_the_line_drawn_ends_at_its_limit() -> None:
    pairs = [[share * 2400, min(share * 2400, 15000)] for share in range(11)]
    report = report_of(TABLES + f"measured = {pairs}\n")
    lines = plot_figure(report).axes[0].lines
    (line,) = (drawn for drawn in lines if str(drawn.get_label()).startswith("line through the pairs"))
    assert np.max(line.get_ydata()) == pytest.approx(15000, rel=0.01)
    residuals = plot_figure(report).axes[2]
    (points,) = (drawn for drawn in residuals.lines if drawn.get_marker() == "o")
    assert np.abs(points.get_ydata()).max() < 250


def test_the_band_is_the_tables(report: SpeedReport) -> None:
    (band,) = plot_figure(report).axes[0].collections
    corners = band.get_paths()[0].vertices
    at_top = corners[np.isclose(corners[:, 0], 24000)][:, 1]
    assert at_top.max() == pytest.approx(24240) and at_top.min() == pytest.approx(23160)


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
def test_same_bytes_whatever_the_readers_settings(report: SpeedReport, ending: str) -> None:
    first = plot(report, ending)
    with matplotlib.rc_context({"font.size": 30, "axes.facecolor": "red", "svg.hashsalt": "x"}):
        assert plot(report, ending) == first


def test_page_is_a4_lying(report: SpeedReport) -> None:
    page = PdfReader(BytesIO(plot(report, "pdf"))).pages[0].mediabox
    assert float(page.width) == pytest.approx(297 / 25.4 * 72, abs=0.01)
    assert float(page.height) == pytest.approx(210 / 25.4 * 72, abs=0.01)
    svg = ET.fromstring(plot(report, "svg"))
    assert svg.get("width") == "841.889764pt"
    picture = Image.open(BytesIO(plot(report, "png")))
    assert picture.size == (round(297 / 25.4 * 200), round(210 / 25.4 * 200))


def svg_texts(report: SpeedReport) -> list[ET.Element]:
    return list(ET.fromstring(plot(report, "svg")).iter("{http://www.w3.org/2000/svg}text"))


def test_text_is_text_and_large_enough(report: SpeedReport) -> None:
    texts = svg_texts(report)
    words = "\n".join(text.text or "" for text in texts)
    assert "Spindle: commanded and real speed" in words
    assert "commanded, rpm" in words and "measured" in words
    for text in texts:
        size_px = float((text.get("style") or "").partition("font-size: ")[2].partition("px")[0])
        # a capital of DejaVu Sans is 1493 of 2048 units high; units of the file are points
        assert size_px * 1493 / 2048 * 25.4 / 72 >= 2.5 - 1e-4


def test_dollars_are_dollars() -> None:
    from doorsheet.mapping import parse_mapping
    from doorsheet.speed.report import speed_report

    name = r"Saw $x_1$ & <two> \badmacro"
    text = f"machine = '{name}'\n{TABLES}measured = [[6000, 5640], [12000, 11300]]\n"
    report = speed_report(parse_mapping(text, "m.toml"))
    assert any(name in (text.text or "") for text in svg_texts(report))
    assert plot(report, "pdf").startswith(b"%PDF")


def test_no_letter_leaves_the_page_or_lies_on_another(report: SpeedReport) -> None:
    """Read back by a PDF reader that knows nothing of us."""
    page = pdfplumber.open(BytesIO(plot(report, "pdf"))).pages[0]
    letters = [char for char in page.chars if char["text"].strip()]
    assert len(letters) > 200
    margin = 9.5 / 25.4 * 72
    for char in letters:
        assert margin <= char["x0"] and char["x1"] <= float(page.width) - margin, char["text"]
        assert margin <= char["top"] and char["bottom"] <= float(page.height) - margin, char["text"]
    for index, char in enumerate(letters):
        for other in letters[index + 1 :]:
            across = min(char["x1"], other["x1"]) - max(char["x0"], other["x0"])
            down = min(char["bottom"], other["bottom"]) - max(char["top"], other["top"])
            assert min(across, down) < 2.5, f"{char['text']} on {other['text']}"  # points: half a letter


def test_expected_alone_can_be_drawn_and_nothing_cannot() -> None:
    assert len(plot_figure(report_of(TABLES)).axes) == 1
    with pytest.raises(PlotError, match="nothing to draw"):
        plot(report_of('[speed]\nsignal = "A"\ncommon = "C"\n'), "svg")


def test_one_pair_and_two_pairs_can_be_drawn() -> None:
    assert len(plot_figure(report_of(TABLES + "measured = [[6000, 5900]]\n")).axes) == 2
    assert len(plot_figure(report_of(TABLES + "measured = [[6000, 5900], [12000, 11700]]\n")).axes) == 3
    assert len(plot_figure(report_of("[speeds]\nmeasured = [[0, 0], [0, 0]]\n")).axes) == 2


def test_ink_is_the_sheets() -> None:
    assert INK == SHEET_INK
