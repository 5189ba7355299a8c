"""The table of widths is the one that the installed fonts give."""

from __future__ import annotations

from tests.trade.make_advances import ADVANCES_FILE, advances_source, font_files


def test_the_table_on_disk_is_what_the_fonts_give() -> None:
    assert ADVANCES_FILE.read_text(encoding="utf-8") == advances_source()


def test_the_fonts_are_dejavu_sans_regular_and_bold() -> None:
    assert [path.name for path in font_files()] == ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"]
    assert all(path.is_file() for path in font_files())
