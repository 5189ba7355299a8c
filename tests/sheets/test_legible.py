"""The gallery's sheets read from paper: by OCR, in grey, by colour-blind readers; heights of lettering.

Heights: ISO 3098 steps; 3.5 mm is 1/200 of a reading distance of 700 mm (a common rule of human-factors guides).
Contrast: WCAG 2.1, 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from PIL import Image

from doorsheet.page.display import Group, Item, Text
from tests.judges.geometry import judge
from tests.judges.shapes import Outline, Shapes, Writing, read_shapes
from tests.judges.tools import need, run
from tests.sheets.sheets import SHEETS, gallery_sheet

DPI = 200
DOTS = DPI / 25.4
ISO_3098_MM = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
VISIONS = ("grey", "protan", "deutan", "tritan")


def texts(items: Sequence[Item]) -> Iterator[Text]:
    for item in items:
        if isinstance(item, Group):
            yield from texts(item.items)
        elif isinstance(item, Text):
            yield item


# --- heights -------------------------------------------------------------


@pytest.mark.parametrize("name", SHEETS)
def test_letters_are_as_high_as_a_reader_at_700_mm_needs(name: str) -> None:
    sheet = gallery_sheet(name)
    every = list(texts(sheet.page.items))
    assert {text.cap for text in every} <= set(ISO_3098_MM)
    assert min(text.cap for text in every) >= 2.5
    labels = {wire.near.label for wire in sheet.circuit.wires} | {wire.far.label for wire in sheet.circuit.wires}
    by_label = {label: max(text.cap for text in every if text.content == label) for label in labels}
    assert {label: cap for label, cap in by_label.items() if cap < 3.5} == {}
    machine = sheet.page.title.partition(":")[0]
    assert max(text.cap for text in every if text.content and machine.startswith(text.content)) == 5.0


# --- OCR -----------------------------------------------------------------

_CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+-:"  # what most terminals are labelled with
_PASSES = ((1.0, ""), (1.5, _CAPITALS), (1.0, _CAPITALS))  # enlargement, characters looked for
_LOOK_ALIKES = str.maketrans({"O": "0", "I": "1", "L": "1", "|": "1", "$": "S", " ": ""})


def same_to_the_eye(label: str) -> str:
    """Fold what a sans serif draws almost alike: nothing but the reader's context tells 0V from OV."""
    return label.upper().translate(_LOOK_ALIKES)


def picture_of(name: str) -> Image.Image:
    return Image.open(BytesIO(gallery_sheet(name).to_png(DPI))).convert("L")


def terminal_labels(name: str) -> list[Writing]:
    """Give the bold texts of terminals, known by what they say and by their height."""
    sheet = gallery_sheet(name)
    wired = {terminal.label for wire in sheet.circuit.wires for terminal in (wire.near, wire.far)}
    wired |= {entry.terminal.label for entry in sheet.circuit.strip}
    shapes = read_shapes(sheet.to_svg())
    return [text for text in shapes.writings if text.bold and text.size > 4.5 and text.content in wired]


@pytest.mark.parametrize("name", SHEETS)
def test_ocr_reads_every_terminal_label(name: str, tmp_path: Path) -> None:
    program = need("tesseract")
    picture = picture_of(name)
    labels = terminal_labels(name)
    drawn = judge(gallery_sheet(name).to_svg())
    assert {end for one in drawn.connections for end in (one.left, one.right)} <= {text.content for text in labels}
    assert len({same_to_the_eye(text.content) for text in labels}) == len({text.content for text in labels})
    strips = [picture.crop(around(text)) for text in labels]
    column = Image.new("L", (max(strip.width for strip in strips) + 80, sum(strip.height + 60 for strip in strips)), 255)
    top = 30
    for strip in strips:
        column.paste(strip, (40, top))
        top += strip.height + 60
    wanted = [same_to_the_eye(text.content) for text in labels]
    unread = set(range(len(wanted)))
    for enlarged, characters in _PASSES:  # a reader may look twice; each label is to be read whole in one look
        path = tmp_path / "labels.png"
        size = round(column.width * enlarged), round(column.height * enlarged)
        column.resize(size, Image.Resampling.LANCZOS).save(path, dpi=(DPI * enlarged, DPI * enlarged))
        only = ("-c", f"tessedit_char_whitelist={characters}") if characters else ()
        read = run(program, path, "-", "--psm", "6", "-l", "eng", *only)
        lines = [same_to_the_eye(line) for line in read.splitlines() if line.strip()]
        if len(lines) == len(wanted):
            unread -= {index for index, line in enumerate(lines) if line == wanted[index]}
        if not unread:
            break
    assert {labels[index].content for index in unread} == set()


def around(text: Writing) -> tuple[int, int, int, int]:
    """Give the pixels of a text with a little room round it, inside its cell."""
    left, top, right, bottom = text.box
    return (round((left - 0.4) * DOTS), round((top - 0.4) * DOTS), round((right + 0.4) * DOTS), round((bottom + 0.6) * DOTS))


# --- contrast ------------------------------------------------------------


def seen(colour: str, vision: str) -> Color:
    """Give a colour as a grey print or a colour-blind reader shows it."""
    shown = Color(colour)
    return shown.filter("grayscale") if vision == "grey" else shown.filter(vision)


def wire_edges(shapes: Shapes) -> list[tuple[Outline, Outline]]:
    """Find wires, thick lines with a thinner one of a colour on the same way: (edge, core)."""
    found = []
    for edge in shapes.strokes:
        over = [line for line in shapes.strokes if line.points == edge.points and line.z > edge.z]
        if edge.look.width >= 1.0 and over:
            found.append((edge, over[0]))
    return [(edge, core) for edge, core in found if core.look.width < edge.look.width]


@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.parametrize("name", SHEETS)
def test_plates_and_wires_stand_out_in_every_vision(name: str, vision: str) -> None:
    sheet = gallery_sheet(name)
    shapes = read_shapes(sheet.to_svg())
    white = seen("#ffffff", vision)
    plates = {f"{wire.number} {wire.colour.letters}" for wire in sheet.circuit.wires}
    on_plates = [text for text in shapes.writings if text.content in plates and text.middle]
    assert {text.content for text in on_plates} == plates
    for text in on_plates:
        under = [box for box in shapes.rectangles if box.z < text.z and box.box.holds(text.box, 0.5) and box.look.fill]
        plate = max(under, key=lambda box: box.z)
        assert seen(text.fill, vision).contrast(seen(plate.look.fill or "", vision), method="wcag21") >= 4.5
    edges = wire_edges(shapes)
    assert len(edges) >= len(sheet.circuit.wires)
    for edge, _ in edges:
        assert seen(edge.look.stroke or "", vision).contrast(white, method="wcag21") >= 3.0


@pytest.mark.parametrize("name", SHEETS)
def test_every_wire_has_its_dark_edges_in_a_grey_print(name: str) -> None:
    shapes = read_shapes(gallery_sheet(name).to_svg())
    grey = np.asarray(picture_of(name)).astype(int)
    looked_at = 0
    for edge, core in wire_edges(shapes):
        for x, y in quiet_places(edge, shapes):
            column = grey[round((y - 2) * DOTS) : round((y + 2) * DOTS), round(x * DOTS)]
            middle = len(column) // 2
            dark = np.flatnonzero(column < 118)  # 3:1 on white and darker still
            assert dark.size, (x, y)
            assert column[: dark[0] - 1].min() > 200 and column[dark[-1] + 2 :].min() > 200, "white on both sides"
            assert dark[0] < middle < dark[-1]
            assert 1.0 < (dark[-1] - dark[0] + 1) / DOTS < 1.7
            if is_pale(core.look.stroke or ""):
                inner = column[middle - 1 : middle + 2]
                assert inner.min() > 150, "the core of a pale wire is pale"
            looked_at += 1
    assert looked_at >= len(gallery_sheet(name).circuit.wires)


def is_pale(colour: str) -> bool:
    return bool(Color(colour).contrast("white", method="wcag21") < 1.6)


def quiet_places(edge: Outline, shapes: Shapes) -> list[tuple[float, float]]:
    """Give places on the level pieces of a wire where nothing else is near: no text, no other line."""
    places = []
    for a, b in zip(edge.points, edge.points[1:], strict=False):
        if a.y != b.y:
            continue
        left, right = min(a.x, b.x), max(a.x, b.x)
        for step in range(1, int(right - left)):
            x = left + step
            if any(quiet_fails(box, x, a.y) for box in neighbours(edge, shapes)):
                continue
            places.append((x, a.y))
            break
    return places


def neighbours(edge: Outline, shapes: Shapes) -> list[tuple[float, float, float, float]]:
    others = [tuple(line.box) for line in shapes.outlines if line.points != edge.points and not is_frame(line, edge)]
    rings = [(r.centre.x - r.rx, r.centre.y - r.ry, r.centre.x + r.rx, r.centre.y + r.ry) for r in shapes.rounds]
    return [(a, b, c, d) for a, b, c, d in (*others, *rings, *(tuple(text.box) for text in shapes.writings))]


def is_frame(line: Outline, edge: Outline) -> bool:
    return line.closed and line.box.holds(edge.box)


def quiet_fails(box: tuple[float, float, float, float], x: float, y: float) -> bool:
    return box[0] - 1 < x < box[2] + 1 and box[1] - 2.5 < y < box[3] + 2.5


def test_the_white_and_the_yellow_wire_are_among_those_looked_at() -> None:
    cores = {core.look.stroke for name in SHEETS for _, core in wire_edges(read_shapes(gallery_sheet(name).to_svg()))}
    pale = {core for core in cores if core is not None and is_pale(core)}
    assert len(pale) >= 2
    assert any(re.fullmatch(r"#ffffff", core) for core in pale)
