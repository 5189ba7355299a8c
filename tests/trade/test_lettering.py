"""Lettering: heights against ISO 3098, widths against fontTools and Pillow."""

from __future__ import annotations

import subprocess
import sys
import unicodedata
from functools import cache
from itertools import pairwise

import pytest
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from doorsheet.trade.lettering import (
    CAP_SMALL,
    CAP_TERMINAL,
    CAP_TITLE,
    EM_PER_CAP,
    describe,
    text_width,
    undrawable,
    why_undrawable,
    wrap,
)
from tests.trade.make_advances import font_files

LINES = (
    "DI1",
    "OUT2+",
    "+10 V",
    "wire 3 green: DI2 to OUT2+, run reverse, 24.3 V open",
    "AVATAR Wo. Ty fi fl ffl",  # pairs that kerning and ligatures would pull together
    "10 kΩ ±1 % 47 µF 40 °C",
    "Ελληνικά, кириллица, Łódź, ﬁ",
)
drawable = st.characters(codec="utf-8").filter(lambda char: not undrawable(char))
sentences = st.text(st.sampled_from("iilmW WM.,- \u00a0Ωё"), max_size=60)
widths = st.floats(min_value=0.5, max_value=80)


@cache
def drawn_codes() -> list[int]:
    codes = [code for code in range(0x30000) if not undrawable(chr(code))]
    assert len(codes) > 4000
    return codes


# ISO 3098 (V: public table).  A widespread copy prints 2.8 for 2.5: a trap.
HEIGHTS_MM = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)


def test_heights_are_of_the_series_of_iso_3098() -> None:
    assert {CAP_SMALL, CAP_TERMINAL, CAP_TITLE} <= set(HEIGHTS_MM)
    assert (CAP_SMALL, CAP_TERMINAL, CAP_TITLE) == (2.5, 3.5, 5)


def test_terminals_can_be_read_at_700_mm() -> None:
    # 1/200 of the reading distance (V: a public human-factors page).
    assert CAP_TERMINAL >= 700 / 200


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("line", LINES)
def test_widths_are_the_sums_that_fonttools_gives(line: str, bold: bool) -> None:
    with TTFont(font_files()[bold]) as font:
        names, metrics = font.getBestCmap(), font["hmtx"]
        cap, units = font["glyf"]["H"].yMax, sum(metrics[names[ord(char)]][0] for char in line)
    assert text_width(line, 3.5, bold) == pytest.approx(units / cap * 3.5, rel=1e-12)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("line", LINES)
def test_widths_are_those_that_freetype_draws(line: str, bold: bool) -> None:
    em_px = 2048
    font = ImageFont.truetype(font_files()[bold], em_px, layout_engine=ImageFont.Layout.BASIC)
    drawn_em = sum(font.getlength(char) for char in line) / em_px  # one by one: no kerning
    assert text_width(line, 2.5, bold) == pytest.approx(drawn_em * EM_PER_CAP * 2.5, rel=1e-3)


@pytest.mark.parametrize("bold", [False, True])
def test_capitals_are_drawn_as_high_as_said(bold: bool) -> None:
    cap_px = 1000
    font = ImageFont.truetype(font_files()[bold], cap_px * EM_PER_CAP, layout_engine=ImageFont.Layout.BASIC)
    _, top, _, bottom = font.getbbox("H", anchor="ls")
    assert bottom - top == pytest.approx(cap_px, abs=2)


@pytest.mark.parametrize("bold", [False, True])
def test_each_character_of_the_table_has_the_width_in_the_font(bold: bool) -> None:
    with TTFont(font_files()[bold]) as font:
        names, metrics, cap = font.getBestCmap(), font["hmtx"], font["glyf"]["H"].yMax
        for code in drawn_codes():
            char = chr(code)
            if unicodedata.is_normalized("NFC", char):
                assert abs(text_width(char, cap, bold) - metrics[names[code]][0]) < 1e-3, hex(code)


@given(st.text(drawable, max_size=20), st.text(drawable, max_size=20), st.booleans())
def test_widths_add_up_and_scale(one: str, other: str, bold: bool) -> None:
    if not unicodedata.is_normalized("NFC", one + other):
        return
    both = text_width(one + other, 2.5, bold)
    assert both == pytest.approx(text_width(one, 2.5, bold) + text_width(other, 2.5, bold))
    assert text_width(one, 5, bold) == pytest.approx(2 * text_width(one, 2.5, bold))
    assert both >= 0


def test_bold_is_wider_and_letters_written_in_two_parts_count_once() -> None:
    assert text_width("terminal", 3.5, bold=True) > text_width("terminal", 3.5)
    assert text_width("e\u0301", 3.5) == text_width("é", 3.5)
    assert text_width("\N{OHM SIGN}", 3.5) == text_width("Ω", 3.5)


# --- what can't be drawn ---


def test_what_can_be_drawn_is_in_both_fonts() -> None:
    cmaps = []
    for path in font_files():
        with TTFont(path) as font:
            cmaps.append(set(font.getBestCmap()))
    for code in drawn_codes():
        composed = unicodedata.normalize("NFC", chr(code))
        assert all(ord(char) in cmap for char in composed for cmap in cmaps), hex(code)


@pytest.mark.parametrize("line", [*LINES, "", "e\u0301", "Ω µ ± ° ² → ≥ ×"])
def test_what_a_wiring_sheet_needs_can_be_drawn(line: str) -> None:
    assert undrawable(line) == ()


@pytest.mark.parametrize(
    ("content", "chars"),
    [
        ("泵 3 泵", ("泵",)),
        ("насос 泵 ポンプ", ("泵", "ポ", "ン", "プ")),
        ("tab\there", ("\t",)),
        ("שלום", ("ש", "ל", "ו", "ם")),
        ("x\u0301", ("\u0301",)),  # no single character for it
        ("⚡️ live", ("⚡", "\ufe0f")),
        ("a\u200bb", ("\u200b",)),
        ("\ud83d", ("\ud83d",)),
    ],
)
def test_what_cannot_be_drawn_is_listed_once_in_order(content: str, chars: tuple[str, ...]) -> None:
    assert undrawable(content) == chars
    with pytest.raises(ValueError, match="can't measure") as refused:
        text_width(content, 2.5)
    assert describe(chars[0]) in str(refused.value)


def test_the_reason_is_given() -> None:
    assert why_undrawable("泵") == "not in the sheet's font"
    assert why_undrawable("\t") == "a control character"
    assert why_undrawable("Ω") == ""


# --- wrapping ---


@given(sentences, st.sampled_from(HEIGHTS_MM), widths, st.booleans())
def test_no_line_is_too_wide_and_no_character_is_lost(
    content: str, cap_mm: float, width_mm: float, bold: bool
) -> None:
    lines = wrap(content, cap_mm, width_mm, bold)
    for line in lines:
        assert len(line) == 1 or text_width(line, cap_mm, bold) <= width_mm
        assert line.strip(" ") == line != ""
    assert "".join(lines).replace(" ", "") == content.replace(" ", "")


@given(st.lists(st.text(st.sampled_from("ilmWё,"), min_size=1, max_size=5), min_size=1), st.data())
def test_lines_are_filled(words: list[str], data: st.DataObject) -> None:
    first = " ".join(words[: data.draw(st.integers(1, len(words)))])
    width_mm = max(text_width(part, 2.5) for part in (first, *words))  # no word needs breaking
    lines = wrap(" ".join(words), 2.5, width_mm)
    assert " ".join(lines) == " ".join(words)
    assert lines[0].startswith(first)
    for line, following in pairwise(lines):
        assert text_width(f"{line} {following.split(' ')[0]}", 2.5) > width_mm


def test_wrapping_examples() -> None:
    assert wrap("run reverse", 2.5, 100) == ("run reverse",)
    assert wrap("  run\nreverse ", 2.5, 100) == ("run reverse",)
    assert wrap("", 2.5, 100) == wrap(" \t", 2.5, 100) == ()
    assert wrap("run reverse", 2.5, text_width("reverse", 2.5)) == ("run", "reverse")
    assert wrap("a WWWW b", 2.5, text_width("WWW", 2.5)) == ("a", "WWW", "W b")
    assert wrap("WW", 2.5, 0.1) == ("W", "W")
    assert wrap("24.3\u00a0V open", 2.5, text_width("24.3 V", 2.5)) == ("24.3\u00a0V", "open")


# --- cost ---


def test_measuring_imports_nothing_heavy_and_unpacks_what_it_needs() -> None:
    code = (
        "import sys; from doorsheet.trade import lettering as l;"
        "l.text_width('DI1 run', 3.5); l.wrap('run forward', 2.5, 9); l.undrawable('DI1');"
        "bad = {'matplotlib', 'numpy', 'fontTools', 'PIL', 'unicodedata'} & set(sys.modules);"
        "sys.exit(f'{bad}' if bad or len(l._ADVANCES[False]) > 100 else 0)"
    )
    env = {"PYTHONPATH": ":".join(sys.path)}
    # compiling "\\N{MINUS SIGN}" takes unicodedata, so all is compiled first
    subprocess.run([sys.executable, "-c", "import doorsheet.trade.lettering"], check=True, env=env)
    subprocess.run([sys.executable, "-c", code], check=True, env=env)
