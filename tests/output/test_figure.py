"""The PDF and the PNG: read by poppler, pdfplumber and Pillow."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import matplotlib
import numpy as np
import pdfplumber
import pytest
from PIL import Image
from pypdf import PdfReader

from doorsheet.output.carry import recover
from doorsheet.output.figure import to_figure, to_png
from doorsheet.output.pdf import to_pdf
from doorsheet.trade.lettering import undrawable
from tests.judges.tools import need, python, run
from tests.output.sample import LITERAL, sample_page, text
from tests.sheets.sheets import gallery_sheet

PT_PER_MM = 72 / 25.4


def put(tmp_path: Path, data: bytes) -> Path:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "points"),
    [(297, 210, "841.89 x 595.276"), (210, 148, "595.276 x 419.528"), (279.4, 215.9, "792 x 612")],
)
def test_pdf_page_is_exactly_as_large_as_the_paper(
    width_mm: float, height_mm: float, points: str, tmp_path: Path
) -> None:
    pdf = put(tmp_path, to_pdf(replace(sample_page(), width=width_mm, height=height_mm)))
    told = run(need("pdfinfo"), pdf)
    assert f"{points} pts" in told
    assert re.search(r"^PDF version: +1\.7$", told, re.MULTILINE)
    assert re.search(r"^Pages: +1$", told, re.MULTILINE)


def test_pdf_text_is_literal_whole_and_searchable(tmp_path: Path) -> None:
    found = run(need("pdftotext"), "-layout", put(tmp_path, to_pdf(sample_page())), "-")
    assert LITERAL in found
    for words in ("field official flow", "Ω µ ± Дрель ≥ 24.3 V", "DI8", "5 WHBN", "DANGER: charged"):
        assert words in found


def test_pdf_texts_are_found_whole_by_every_reader(tmp_path: Path) -> None:
    lines = [f"line {number}: WARNING, wait {number} min" for number in range(12)]
    items = tuple(text(20, 20 + 6 * row, line, bold=row % 2 == 0) for row, line in enumerate(lines))
    data = to_pdf(replace(sample_page(), items=items))
    path = put(tmp_path, data)
    reports = [run(need("pdftotext"), *options, path, "-") for options in ((), ("-layout",), ("-raw",))]
    reports.append(PdfReader(BytesIO(data)).pages[0].extract_text())
    with pdfplumber.open(BytesIO(data)) as pdf:
        reports.append(pdf.pages[0].extract_text())
    for report in reports:
        assert [line for line in lines if line not in report] == []


def test_every_character_of_the_font_is_found(tmp_path: Path) -> None:
    # beyond U+FFFF the font has ancient scripts and signs of divination: drawn, and found as something else
    drawable = [char for code in range(0x21, 0x10000) if not undrawable(char := chr(code)) and char.strip()]
    lines = ["".join(drawable[start : start + 50]) for start in range(0, len(drawable), 50)]
    items = tuple(text(5, 4 + 1.7 * row, line, 1.0, bold=row % 2 == 0) for row, line in enumerate(lines))
    found = run(need("pdftotext"), "-raw", put(tmp_path, to_pdf(replace(sample_page(), items=items))), "-")
    assert len(drawable) > 4000
    assert [char for char in drawable if char not in found] == []


def test_pdf_fonts_are_embedded_and_the_only_family(tmp_path: Path) -> None:
    rows = run(need("pdffonts"), put(tmp_path, to_pdf(sample_page()))).splitlines()[2:]
    assert rows
    for row in rows:
        # name, type, encoding; embedded, only the letters used, with a table of the characters they mean
        assert re.match(r"[A-Z]{6}\+DejaVuSans(-Bold)? +TrueType +\w+ +yes yes yes ", row), row


def test_pdf_texts_stand_where_the_page_says(tmp_path: Path) -> None:
    words = {}
    with pdfplumber.open(BytesIO(to_pdf(sample_page()))) as pdf:
        for word in pdf.pages[0].extract_words(keep_blank_chars=True):
            words[word["text"]] = word
        upright = [char for char in pdf.pages[0].chars if not char["upright"]]
    middle, end = words["Controller"], words["at the right end"]
    assert (middle["x0"] + middle["x1"]) / 2 == pytest.approx(60 * PT_PER_MM, abs=0.5)
    assert end["x1"] == pytest.approx(277 * PT_PER_MM, abs=0.5)
    assert end["x1"] - end["x0"] == pytest.approx(text(0, 0, "at the right end").width * PT_PER_MM, abs=0.5)
    # "read upwards": centred on y = 150 mm, reading from below to above
    assert "".join(char["text"] for char in upright) == "read upwards"
    assert upright[0]["top"] > upright[-1]["bottom"]
    centre = (upright[0]["bottom"] + upright[-1]["top"]) / 2
    assert centre == pytest.approx(150 * PT_PER_MM, abs=0.5)


def test_pdf_says_what_it_is_and_holds_no_date() -> None:
    data = to_pdf(replace(sample_page(), language="de"))
    reader = PdfReader(BytesIO(data))
    assert reader.metadata is not None
    assert reader.metadata.title == "Spindle <wiring> & more"
    assert str(reader.root_object["/Lang"]) == "de"
    assert set(reader.metadata) == {"/Title", "/Subject", "/Producer"}
    assert b"Date" not in data and b"(D:" not in data
    assert list(reader.attachments) == ["lathe é.toml"], "as any viewer lists it"


def test_png_is_opaque_white_and_of_the_nearest_size() -> None:
    picture = Image.open(BytesIO(to_png(sample_page())))
    assert picture.mode == "P" and "transparency" not in picture.info
    assert picture.size == (2339, 1654)
    assert picture.convert("RGB").getpixel((3, 3)) == (255, 255, 255)
    assert picture.info["dpi"] == pytest.approx((200, 200), abs=0.1)
    assert Image.open(BytesIO(to_png(sample_page(), dpi=137))).size == (1602, 1133)


@pytest.mark.parametrize("name", ["drill-bench", "fan-bench", "conveyor-final"])
def test_a_palette_makes_a_sheet_small_and_no_pixel_differs_by_more_than_can_be_seen(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = gallery_sheet(name).page
    small = to_png(page)
    monkeypatch.setattr(Image.Image, "quantize", lambda image, *_, **__: image)
    large = to_png(page)
    assert len(small) < 0.45 * len(large)
    assert len(small) < 250_000
    ours, full = (np.asarray(Image.open(BytesIO(one)).convert("RGB")).astype(int) for one in (small, large))
    apart = np.abs(ours - full)
    assert apart.max() <= 6  # of 255; measured 3 on all of the gallery but one sheet, 4 on that
    white = (full == 255).all(axis=-1)
    assert white.mean() > 0.5
    assert apart[white].max() == 0
    assert recover(small).text == recover(large).text == page.source_text


def test_the_readers_own_settings_change_nothing_and_stay() -> None:
    plain = to_pdf(sample_page()), to_png(sample_page(), dpi=60)
    strange = {
        "savefig.bbox": "tight", "savefig.dpi": 33, "savefig.transparent": True, "font.size": 30,
        "font.family": ["serif"], "pdf.fonttype": 42, "pdf.compression": 0, "path.sketch": (5, 50, 2),
        "text.hinting": "force_autohint", "text.antialiased": False, "figure.dpi": 42, "lines.linewidth": 9,
        "figure.constrained_layout.use": True, "text.usetex": True,
    }  # fmt: skip
    with matplotlib.rc_context(strange):  # type: ignore[arg-type]
        before = dict(matplotlib.rcParams)
        assert (to_pdf(sample_page()), to_png(sample_page(), dpi=60)) == plain
        assert dict(matplotlib.rcParams) == before


def test_a_figure_for_those_who_save_it_themselves() -> None:
    figure = to_figure(sample_page())
    assert tuple(figure.get_size_inches()) == pytest.approx((297 / 25.4, 210 / 25.4))
    saved = BytesIO()
    figure.savefig(saved, format="png", dpi=60)
    assert len(Image.open(saved).convert("RGB").getcolors(1 << 20) or ()) > 50


def test_neither_pyplot_nor_a_window_is_opened() -> None:
    script = (
        "import sys; from tests.output.sample import sample_page; from doorsheet.output import figure, pdf;"
        "pdf.to_pdf(sample_page());"
        "assert 'matplotlib' not in sys.modules, 'imported too early';"
        "figure.to_png(sample_page(), dpi=50);"
        "print('matplotlib.pyplot' in sys.modules)"
    )
    assert python(script) == "False"
