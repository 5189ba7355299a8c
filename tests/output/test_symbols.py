"""Symbols on paper, read by a reader that knows nothing of us (zbar): coarse, turned, blurred, grey."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from hashlib import sha256
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
import segno
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw, ImageFilter

import doorsheet
from doorsheet import CarryError, draw_text
from doorsheet.mapping.packed import unpack
from doorsheet.output.carry import recover
from doorsheet.output.figure import to_png
from doorsheet.output.paint import outlines
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_svg
from doorsheet.page.display import Group, Item, Page, Pattern, Text, leaves
from doorsheet.page.symbol import MODULE_MM, symbol_side, with_symbols
from tests.judges.shapes import Box, read_shapes
from tests.judges.tools import need, run
from tests.page.test_split import rig
from tests.sheets.sheets import gallery_sheet

GALLERY = Path(__file__).parents[2] / "gallery"
NAMES = ("lathe-final", "drill-bench", "conveyor-final", "pump-final")


@cache
def picture(name: str, dpi: int) -> Image.Image:
    """Return a sheet as poppler draws its PDF, grey."""
    need("pdftoppm")
    return Image.open(BytesIO(_rastered(to_pdf(gallery_sheet(name).page), dpi))).convert("L")


def _rastered(pdf: bytes, dpi: int) -> bytes:
    import subprocess

    command = [need("pdftoppm"), "-r", str(dpi), "-png", "-"]
    return subprocess.run(command, input=pdf, capture_output=True, check=True).stdout


def zbar(image: Image.Image, folder: Path) -> list[str]:
    path = folder / "seen.png"
    image.save(path)
    said = run(need("zbarimg"), "-q", "--raw", "-Sdisable", "-Sqrcode.enable", path)
    return said.split("\n")[:-1]


def mapping(name: str) -> str:
    return (GALLERY / f"{name.split('-')[0]}.toml").read_bytes().decode()


WAYS: dict[str, Callable[[Image.Image], Image.Image]] = {
    "straight": lambda image: image,
    "turned": lambda image: image.rotate(7, Image.Resampling.BICUBIC, expand=True, fillcolor=255),
    "upside down": lambda image: image.rotate(180),
    "blurred": lambda image: image.filter(ImageFilter.GaussianBlur(0.5)),
    "grey": lambda image: image.point([90 + value * 120 // 255 for value in range(256)]),
    "black and white": lambda image: image.point([255 * (value > 127) for value in range(256)]),
}


def test_a_long_log_stays_out_of_the_symbol(tmp_path: Path) -> None:
    """The door sheet is drawn at the end of the job, when the log is longer than the mapping."""
    dice = random.Random(4)
    entries = (
        f'[[done]]\nwhat = "test:run-{dice.choice(["forward", "reverse"])}"\n'
        f'when = 2026-11-{dice.randint(1, 28):02}T{dice.randint(0, 23):02}:{dice.randint(0, 59):02}:00\n'
        f'result = "{dice.random():.5f} s"\nwires = [\n    "run-forward: DI1 – OUT1+",\n]\n\n'
        for _ in range(120)
    )  # fmt: skip
    text = mapping("lathe-final")
    page = draw_text(text + "\n" + "".join(entries)).page
    seen = unpack(zbar(Image.open(BytesIO(_rastered(to_pdf(page), 150))).convert("L"), tmp_path))
    assert seen.text.rstrip() == text.rstrip()
    assert any(item.content == "mapping, no log" for item in leaves(page.items) if isinstance(item, Text))


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS)
@pytest.mark.parametrize("name", NAMES)
def test_an_independent_reader_gives_the_mapping_back(
    name: str, way: Callable[[Image.Image], Image.Image], tmp_path: Path
) -> None:
    found = unpack(zbar(way(picture(name, 150)), tmp_path))
    assert (found.text, found.label) == (mapping(name), gallery_sheet(name).page.label)


@pytest.mark.parametrize("ending", ["JPEG", "TIFF", "WEBP"])
def test_recover_reads_a_photograph(ending: str) -> None:
    seen = BytesIO()
    picture("drill-bench", 150).rotate(3, Image.Resampling.BICUBIC, fillcolor=200).save(seen, ending)
    carried = recover(seen.getvalue())
    assert (carried.name, carried.text) == ("drill.toml", mapping("drill"))
    assert carried.labels == (gallery_sheet("drill-bench").page.label,)


def test_recover_reads_a_scanned_pdf_and_a_picture_without_its_mapping() -> None:
    seen = picture("pump-final", 200)
    for ending in ("PDF", "PNG"):
        scanned = BytesIO()
        seen.save(scanned, ending)
        assert recover(scanned.getvalue()).text == mapping("pump")


def test_what_a_telephone_reads_aloud_is_taken_too() -> None:
    sheet = gallery_sheet("lathe-final").page
    assert recover("\r\n".join(texts(sheet)).encode()).text == mapping("lathe")


def test_a_covered_symbol_is_never_half_returned() -> None:
    page = gallery_sheet("drill-bench").page
    every = patterns(page.items)
    for hidden in (every[:1], every):
        image = picture("drill-bench", 150).convert("RGB")
        for one in hidden:
            scale = 150 / 25.4
            box = [one.x * scale, one.y * scale, (one.x + one.side) * scale, (one.y + one.side) * scale]
            ImageDraw.Draw(image).rectangle(box, fill="white")
        seen = BytesIO()
        image.save(seen, "PNG")
        with pytest.raises(
            CarryError, match=f"part 1 of {len(every)} is missing" if len(hidden) == 1 else "No symbol"
        ):
            recover(seen.getvalue())
    other = BytesIO()
    picture("drill-bench", 150).save(other, "PNG")
    assert recover(seen.getvalue(), other.getvalue()).text == mapping("drill"), "with another picture"


def test_without_the_readers_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    seen = BytesIO()
    Image.new("L", (40, 40)).save(seen, "JPEG")
    monkeypatch.setitem(sys.modules, "zxingcpp", None)
    with pytest.raises(CarryError, match=r'pip install "doorsheet\[scan\]"'):
        recover(seen.getvalue())


# --- on the page ---------------------------------------------------------


def patterns(items: tuple[Item, ...]) -> list[Pattern]:
    return [item for item in leaves(items) if isinstance(item, Pattern)]


def texts(page: Page) -> list[str]:
    """Return what the symbols of a page hold, read off its modules by drawing them large."""
    from doorsheet.mapping.packed import pack, parts_of

    assert page.label is not None
    packed = pack(page.label, page.source_name, page.source_text)
    return list(parts_of(page.label, packed, len(patterns(page.items))))


@pytest.mark.parametrize("name", NAMES)
def test_symbols_move_nothing_and_nothing_is_in_them(name: str) -> None:
    page = gallery_sheet(name).page
    bare = tuple(item for item in page.items if not (isinstance(item, Group) and item.ident == "symbol"))
    assert bare == page.items[: len(bare)], "they come last, and all else is as it was"
    assert with_symbols(replace(page, items=bare)) == page
    shapes = read_shapes(to_svg(replace(page, items=bare)))
    squares = []
    for one in patterns(page.items):
        quiet = 4 * one.module  # ISO/IEC 18004
        assert one.module == round(MODULE_MM, 3) >= 0.5, "what a telephone reads, and a coarse scan"
        squares.append(Box(one.x - quiet, one.y - quiet, one.x + one.side + quiet, one.y + one.side + quiet))
    for square in squares:
        assert not [text.content for text in shapes.writings if square.meets(text.box)]
        for outline in shapes.outlines:
            for a, b in pairwise(outline.points):
                leg = Box(min(a.x, b.x), min(a.y, b.y), max(a.x, b.x) + 0.01, max(a.y, b.y) + 0.01)
                assert not square.meets(leg), outline
            white = outline.look.fill in (None, "#ffffff")
            assert white or not outline.closed or not outline.box.meets(square), "on white alone"
        assert not [other for other in squares if other is not square and other.meets(square, 0.01)]


@given(st.integers(1, 12), st.randoms())
def test_outlines_go_round_what_is_dark_and_nothing_else(count: int, chance: random.Random) -> None:
    rows = tuple("".join(chance.choice("01") for _ in range(count)) for _ in range(count))
    ways = outlines(Pattern(0, 0, 1, rows))
    for y, row in enumerate(rows):
        for x, module in enumerate(row):
            # how often the ways go round the middle of a module: once round a dark one
            turns = 0
            for way in ways:
                for (ax, ay), (bx, by) in pairwise((*way, way[0])):
                    if ax == bx and ax > x + 0.5 and min(ay, by) < y + 0.5 < max(ay, by):
                        turns += 1 if by > ay else -1
            assert turns == int(module)


def test_a_page_that_is_full_has_the_code_alone_or_says_none() -> None:
    long = "".join(f"# {sha256(bytes([i, j])).hexdigest()}\n" for i in range(20) for j in range(20))
    for stage in ("bench", "final"):
        page = draw_text(mapping("lathe") + long, stage).page
        assert (page.symbols, len(patterns(page.items))) == ("code", 1)
        assert [t.content for g in page.items if isinstance(g, Group) and g.ident == "symbol"
                for t in g.items if isinstance(t, Text)] == ["code only"]  # fmt: skip
        seen = BytesIO(to_png(replace(page, source_name="", source_text="")))
        assert page.label is not None
        with pytest.raises(CarryError, match=re.escape(doorsheet.mapping.code.shown(page.label.code))):
            recover(_without_text(seen))
    squares = ((0, 0, 210), (210, 0, 87), (210, 87, 87), (210, 174, 36), (246, 174, 36))
    full = replace(page, items=tuple(Pattern(x, y, 1, ("1" * n,) * n) for x, y, n in squares))
    assert (with_symbols(full).symbols, with_symbols(full).items) == ("none", full.items)


def _without_text(png: BytesIO) -> bytes:
    plain = BytesIO()
    Image.open(png).convert("L").save(plain, "PNG")
    return plain.getvalue()


def test_a_symbol_is_one_path_and_the_file_stays_small() -> None:
    svg = to_svg(gallery_sheet("lathe-final").page)
    assert svg.count("<path ") == len(patterns(gallery_sheet("lathe-final").page.items)) == 1
    assert len(svg) < 45_000


@pytest.mark.parametrize("level", ["M", "L"])
def test_the_size_is_known_before_the_symbol_is_made(level: str) -> None:
    for length in (10, 60, 150, 155, 156, 300, 500, 700, 900):
        made = segno.make_qr("A" * length, error=level, boost_error=False, mode="alphanumeric", mask=0)
        assert symbol_side("A" * length, level) == made.symbol_size(border=0)[0]  # type: ignore[arg-type]
    assert symbol_side("A" * 3000, level) is None  # type: ignore[arg-type]


def test_every_sheet_of_a_set_has_a_code_of_its_own() -> None:
    sheet = draw_text(rig(), paper="A5")
    labels = [page.label for page in sheet.pages]
    assert len({label.code for label in labels if label}) == len(sheet.pages) > 1
    assert [(label.sheet, label.sheets) for label in labels if label] == [
        (number, len(labels)) for number in range(1, len(labels) + 1)
    ]
