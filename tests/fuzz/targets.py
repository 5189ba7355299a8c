"""What is fuzzed: each target takes bytes, and gives an answer or an error that was planned."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Final

import doorsheet
from doorsheet.booklet import make_booklet
from doorsheet.booklet.speed import PlotError, plot_pages
from doorsheet.logbook.edit import EditError, edited
from doorsheet.logbook.heard import understood
from doorsheet.logbook.said import NotUnderstood
from doorsheet.mapping.quantities import QuantityError, read_conductor, read_within
from doorsheet.mapping.reading import ReadMapping, parse_mapping
from doorsheet.output.carry import recover
from doorsheet.output.figure import to_png
from doorsheet.output.pdf import to_pdf
from doorsheet.output.svg import to_svg
from doorsheet.post import FORMATS, make_post
from doorsheet.sheet import check_mapping
from doorsheet.speed import SpeedError, as_text, speed_reports

__all__ = ["CORPUS", "SEEDS", "TARGETS", "mutated"]

TOP = Path(__file__).resolve().parents[2]
CORPUS: Final = Path(__file__).parent / "corpus"
"""All that ever fell, a folder for each target; a file of any name."""


def reading(data: bytes) -> ReadMapping | None:
    """A mapping is read, or refused with problems of few and short words."""
    try:
        return parse_mapping(data.decode(errors="replace"), "fuzz.toml")
    except doorsheet.MappingError as error:
        assert len(str(error)) < 100_000
        assert all(problem.reason and problem.do for problem in error.problems)
        return None


def recovering(data: bytes) -> None:
    """A sheet gives a mapping back, or says why not in a sentence."""
    try:
        carried = recover(data)
        assert carried.text.isprintable() or carried.text
    except doorsheet.CarryError as error:
        assert 0 < len(str(error)) < 500


def quantities(data: bytes) -> None:
    """A figure is read, or refused with advice."""
    text = data.decode(errors="replace")
    for bounds in (("1 mV..1000 V",), ("-1000 V..1000 V", "0 A..10 A"), ("0 %..49 %",), ("1 s..24 h",)):
        try:
            figure = read_within(text, *bounds)
            assert figure.low <= figure.high
        except QuantityError as error:
            assert str(error)
    with suppress(QuantityError):
        read_conductor(text)


def noting(data: bytes) -> None:
    """What a person says goes into a mapping and leaves its other lines, or is not understood and said so."""
    words, before = data.decode(errors="replace"), _MAPPINGS[0].decode()
    try:
        wish = understood(words, parse_mapping(before, "fuzz.toml"), datetime(2026, 11, 25, 14, 5))
        after = edited(before, *wish.changes)
    except (NotUnderstood, EditError) as error:
        assert 0 < len(str(error)) < 5000
        return
    lost = Counter(before.splitlines()) - Counter(after.splitlines())
    assert sum(lost.values()) <= len(wish.changes)


def drawing(data: bytes) -> None:
    """What can be read is checked at both stages and drawn, as SVG."""
    read = reading(data)
    if read is None:
        return
    with suppress(doorsheet.MappingError, doorsheet.PaperError):
        for stage in ("bench", "final"):
            check_mapping(read, stage)
        sheet = doorsheet.draw_text(read.source.text)
        carried = recover(sheet.to_svg().encode())
        assert carried.text == read.source.text


def everything(data: bytes) -> None:
    """What can be read goes to every output: sheets in each format, booklet, question, speeds."""
    read = reading(data)
    if read is None:
        return
    with suppress(doorsheet.MappingError, doorsheet.PaperError):
        for stage in doorsheet.Stage:
            pages = doorsheet.draw_text(read.source.text, stage).pages
            assert all(map(to_svg, pages)) and to_pdf(*pages) and to_png(pages[0], 72)
    with suppress(doorsheet.MappingError, doorsheet.PaperError):
        assert to_pdf(*make_booklet(read).pages)
    with suppress(doorsheet.MappingError, doorsheet.PaperError):
        assert all(make_post(read, "post", "final").text(kind) for kind in FORMATS)
    with suppress(SpeedError, PlotError):
        reports = speed_reports(read)
        assert all(map(as_text, reports)) and all(map(to_svg, plot_pages(reports, read.source)))


TARGETS: Final[dict[str, Callable[[bytes], object]]] = {
    "reading": reading,
    "recover": recovering,
    "quantities": quantities,
    "note": noting,
    "drawing": drawing,
    "everything": everything,
}

_MAPPINGS = tuple(path.read_bytes() for path in sorted((TOP / "gallery").glob("*.toml")))
_FIGURES = (
    b"24 V",
    b"20.4..28.8 V",
    b"24 V +-10 %",
    b"-12,5 mA",
    b"10 min",
    b"0.34 mm2",
    b"AWG 22",
    b"1e3 V",
)
_SAID = (
    b"red on DI1, black on COM: 24.1 V open",
    b"done emergency-stop: stops in 1.4 s",
    b"P0-03 reads 1",
    b"speed 6000 gives 5920 rpm",
    b"drive.manual: Operating manual, edition 3",
    b"remark: fan is loud",
)


def _sheets() -> tuple[bytes, ...]:
    sheet = doorsheet.draw_text('machine = "M"\n[jog]\ninput = "DI1"\ncommon = "COM"\n')
    return sheet.to_svg().encode(), sheet.to_pdf(), sheet.to_png(72)


SEEDS: Final[dict[str, Callable[[], tuple[bytes, ...]]]] = {
    "reading": lambda: _MAPPINGS,
    "recover": _sheets,
    "quantities": lambda: _FIGURES,
    "note": lambda: _SAID,
    "drawing": lambda: _MAPPINGS,
    "everything": lambda: _MAPPINGS,
}

_NASTY = (
    b"0",
    b"-1",
    b"1e400",
    b"nan",
    b"9" * 40,
    b'""',
    b'"unknown"',
    b"true",
    b"[]",
    b"{}",
    b'"' + b"W" * 60 + b'"',
    b'"-24 V"',
    b'"0 V"',
    b'"1000 V"',
    b'"1 nV"',
    b'"+--5 V"',
    b'"100 %"',
    b'"TBD"',
    b'"DI1"',
    b'"COM"',
    b'"OUT1+"',
    b"2026-01-01",
    b'"\\u0000"',
    b'"\\u202e"',
    b"[[]]",
    b'"gnye"',
    b"24.3",
    b"-24.3",
    b"500",
    b'["1", "1"]',
)


def mutated(data: bytes, rng: random.Random) -> bytes:
    """Change a file a little: bytes, lines, or one value for another."""
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        lines = data.split(b"\n")
        at = rng.randrange(len(lines))
        match rng.randrange(12):
            case 0:
                place = rng.randrange(len(data) + 1)
                data = data[:place] + bytes([rng.randrange(256)]) + data[place + rng.randrange(3) :]
            case 1:
                data = b"\n".join((*lines[:at], *lines[at + 1 :]))
            case 2:
                data = b"\n".join((*lines[:at], rng.choice(lines), *lines[at:]))
            case 3:
                one, other = sorted((rng.randrange(len(data) + 1), rng.randrange(len(data) + 1)))
                data = data[:one] + data[other:] if rng.randrange(4) == 0 else data + data[one:other][:200]
            case _ if b"=" in lines[at]:
                key, _, _ = lines[at].partition(b"=")
                alike = [other.partition(b"=")[2] for other in lines if other.startswith(key)]
                value = rng.choice(
                    (rng.choice(_NASTY), rng.choice(lines).partition(b"=")[2], rng.choice(alike))
                )
                data = b"\n".join((*lines[:at], key + b"= " + value, *lines[at + 1 :]))
            case _:
                word = rng.choice(_NASTY)
                place = rng.randrange(len(data) + 1)
                data = data[:place] + word + data[place:]
    return data
