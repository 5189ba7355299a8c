"""The plot: the pairs stand where they were measured, the file is exact and the same each time."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest
from PIL import Image
from pypdf import PdfReader

from doorsheet.booklet.speed import PlotError, _Panel, _panels, plot_pages
from doorsheet.mapping.reading import parse_mapping
from doorsheet.page.display import Group, Oval, Page, Role, Text
from doorsheet.sheet import page_files
from doorsheet.speed import SpeedReport, speed_report
from tests.speed.made import HEAD, report_of

TABLES = (
    '[speed]\nsignal = "A"\ncommon = "C"\nrange = "0-10 V"\n'
    'source = { signal = "B", common = "D", range = "0-10 V" }\n'
    '[motor]\npoles = 2\nfrequency = "400 Hz"\nspeed = "23 400 rpm"\nmax-frequency = "400 Hz"\n'
    '[speeds]\nfull-scale = "24000 rpm"\ntolerance-source = "1 %"\n'
)
PAIRS = [(2400.0, 2210.0), (6000.0, 5640.0), (12000.0, 11300.0), (18000.0, 17020.0), (24000.0, 22660.0)]


MEASURED = TABLES + f"measured = {[list(pair) for pair in PAIRS]}\n"


@pytest.fixture(scope="module")
def report() -> SpeedReport:
    return report_of(MEASURED)


def page_of(text: str) -> Page:
    read = parse_mapping(HEAD + text, "spindle.toml")
    return plot_pages([speed_report(read)], read.source)[0]


def plot(text: str, ending: str) -> bytes:
    ((_, data),) = page_files([page_of(text)], Path(f"plot.{ending}"))
    return data


def drawn(page: Page, kind: type[Text] | type[Oval]) -> list[Text] | list[Oval]:
    (whole,) = page.items
    assert isinstance(whole, Group)
    return [item for item in whole.items if isinstance(item, kind)]


def line_of(panel: _Panel, role: Role) -> dict[float, float]:
    (line,) = (way for own, way in panel.lines if own is role)
    return dict(line)


def test_points_stand_where_they_were_measured(report: SpeedReport) -> None:
    speeds, deviations, residuals = _panels(report)
    assert report.measured is not None and report.measured.fit is not None
    for panel, values in (
        (speeds, [real for _, real in PAIRS]),
        (deviations, [real - command for command, real in PAIRS]),
        (residuals, list(report.measured.fit.residuals_rpm)),
    ):
        assert [x for x, _ in panel.dots] == [command for command, _ in PAIRS]
        assert [y for _, y in panel.dots] == pytest.approx(values)


def test_circles_stand_by_the_numbers_of_the_axes() -> None:
    """Read back: two numbers of each axis say where every other speed is."""
    page = page_of(MEASURED)
    numbers = [text for text in drawn(page, Text) if isinstance(text, Text) and text.content.isdigit()]
    across = {int(text.content): text.x for text in numbers if text.anchor == "middle"}
    upper = [text for text in numbers if text.anchor == "end"][: len(PAIRS)]
    up = {int(text.content): text.y - text.cap / 2 for text in upper}
    circles = [circle for circle in drawn(page, Oval) if isinstance(circle, Oval)][: len(PAIRS)]
    for (command, real), circle in zip(PAIRS, circles, strict=True):
        assert across[0] + (across[10000] - across[0]) * command / 10000 == pytest.approx(circle.x, abs=0.01)
        assert up[0] + (up[10000] - up[0]) * real / 10000 == pytest.approx(circle.y, abs=0.01)


def test_the_line_drawn_is_the_fitted_one(report: SpeedReport) -> None:
    assert report.measured is not None and (fit := report.measured.fit) is not None
    line = line_of(_panels(report)[0], Role.SYMBOL_THICK)
    assert all(y == pytest.approx(fit.offset_rpm + fit.gain * x) for x, y in line.items())
    assert (min(line), max(line)) == (0, 24000)


def test_the_line_drawn_ends_at_its_limit() -> None:
    pairs = [[share * 2400, min(share * 2400, 15000)] for share in range(11)]
    speeds, _, residuals = _panels(report_of(TABLES + f"measured = {pairs}\n"))
    assert max(line_of(speeds, Role.SYMBOL_THICK).values()) == pytest.approx(15000, rel=0.01)
    assert max(abs(y) for _, y in residuals.dots) < 250


def test_the_band_is_the_tables(report: SpeedReport) -> None:
    at_top = [y for x, y in _panels(report)[0].grey if x == pytest.approx(24000)]
    assert max(at_top) == pytest.approx(24240) and min(at_top) == pytest.approx(23160)


def test_page_is_a4_lying() -> None:
    page = PdfReader(BytesIO(plot(MEASURED, "pdf"))).pages[0].mediabox
    assert float(page.width) == pytest.approx(297 / 25.4 * 72, abs=0.01)
    assert float(page.height) == pytest.approx(210 / 25.4 * 72, abs=0.01)
    assert ET.fromstring(plot(MEASURED, "svg")).get("width") == "297mm"
    assert Image.open(BytesIO(plot(MEASURED, "png"))).size == (2339, 1654)


def test_the_words_say_what_is_drawn_and_are_large_enough() -> None:
    texts = [text for text in drawn(page_of(MEASURED), Text) if isinstance(text, Text)]
    words = "\n".join(text.content for text in texts)
    assert "Spindle: commanded and real speed" in words
    assert "commanded rpm" in words and "circles: measured." in words
    assert "thick: line through the pairs;" in words.replace("\n", " ")
    assert min(text.cap for text in texts) >= 2.5


def test_dollars_are_dollars() -> None:
    name = r"Saw $x_1$ & <two> \badmacro"
    text = f"machine = '{name}'\n{TABLES}measured = [[6000, 5640], [12000, 11300]]\n"
    read = parse_mapping(text, "m.toml")
    pages = plot_pages([speed_report(read)], read.source)
    ((_, svg),) = page_files(pages, Path("plot.svg"))
    texts = ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    assert any(name in (text.text or "") for text in texts)


def test_no_letter_leaves_the_page_or_lies_on_another() -> None:
    """Read back by a PDF reader that knows nothing of us."""
    page = pdfplumber.open(BytesIO(plot(MEASURED, "pdf"))).pages[0]
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
    assert len(_panels(report_of(TABLES))) == 1
    assert plot(TABLES, "svg")
    with pytest.raises(PlotError, match="nothing to draw"):
        plot('[speed]\nsignal = "A"\ncommon = "C"\n', "svg")


@pytest.mark.parametrize(
    ("speeds", "panels"),
    [
        (TABLES + "measured = [[6000, 5900]]\n", 2),
        (TABLES + "measured = [[6000, 5900], [12000, 11700]]\n", 3),
        ("[speeds]\nmeasured = [[0, 0], [0, 0]]\n", 2),
    ],
)
def test_one_pair_and_two_pairs_can_be_drawn(speeds: str, panels: int) -> None:
    assert len(_panels(report_of(speeds))) == panels
    assert plot(speeds, "png")
