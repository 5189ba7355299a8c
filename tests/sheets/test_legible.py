"""The gallery's sheets read from paper: by OCR, in grey, by colour-blind readers; heights of lettering.

Heights: ISO 3098 steps; 3.5 mm is 1/200 of a reading distance of 700 mm (a rule of human-factors guides).
Contrast: WCAG 2.1, 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from coloraide import Color
from PIL import Image

from doorsheet.page.display import Group, Item, Text
from tests.judges.geometry import judge
from tests.judges.shapes import Box, Outline, Shapes, Writing, read_shapes
from tests.judges.tools import need, run
from tests.sheets.sheets import SHEETS, gallery_sheet, gallery_svgs

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
    every = [text for page in sheet.pages for text in texts(page.items)]
    assert {text.cap for text in every} <= set(ISO_3098_MM)
    assert min(text.cap for text in every) >= 2.5
    labels = {wire.near.label for wire in sheet.circuit.wires} | {
        wire.far.label for wire in sheet.circuit.wires
    }
    by_label = {label: max(text.cap for text in every if text.content == label) for label in labels}
    assert {label: cap for label, cap in by_label.items() if cap < 3.5} == {}
    machine = sheet.page.title.partition(":")[0]
    assert max(text.cap for text in every if text.content and machine.startswith(text.content)) == 5.0


# --- OCR -----------------------------------------------------------------

_CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+-:"  # what most terminals are labelled with
_PASSES = ((1.0, ""), (1.5, _CAPITALS), (1.0, _CAPITALS), (0.8, ""))  # enlargement, characters looked for
_LOOK_ALIKES = str.maketrans({"O": "0", "I": "1", "L": "1", "|": "1", "$": "S", " ": ""})


def same_to_the_eye(label: str) -> str:
    """Fold what a sans serif draws almost alike: nothing but the reader's context tells 0V from OV."""
    return label.upper().translate(_LOOK_ALIKES)


def picture_of(name: str, page: int) -> Image.Image:
    return Image.open(BytesIO(gallery_sheet(name).to_png(DPI, page))).convert("L")


def terminal_labels(name: str, svg: str) -> list[Writing]:
    """Give the bold texts of terminals, known by what they say and by their height."""
    circuit = gallery_sheet(name).circuit
    known = {terminal.label for wire in circuit.wires for terminal in (wire.near, wire.far)}
    known |= {entry.terminal.label for entry in circuit.strip}
    return [
        text for text in read_shapes(svg).writings if text.bold and text.size > 4.5 and text.content in known
    ]


@pytest.mark.parametrize("name", SHEETS)
def test_ocr_reads_every_terminal_label(name: str, tmp_path: Path) -> None:
    need("tesseract")
    for page, svg in enumerate(gallery_svgs(name), start=1):
        labels = terminal_labels(name, svg)
        contents = {text.content for text in labels}
        drawn = judge(svg)
        assert {end for one in drawn.connections for end in (one.left, one.right)} <= contents
        assert len({same_to_the_eye(content) for content in contents}) == len(contents)
        column = one_below_the_other(picture_of(name, page), labels)
        assert unread(column, [text.content for text in labels], tmp_path) == set()


def one_below_the_other(picture: Image.Image, labels: Sequence[Writing]) -> Image.Image:
    """Cut the labels out and put them in a column, as lines of a text."""
    strips = [picture.crop(around(text)) for text in labels]
    width, height = max(strip.width for strip in strips), sum(strip.height + 60 for strip in strips)
    column = Image.new("L", (width + 80, height), 255)
    top = 30
    for strip in strips:
        column.paste(strip, (40, top))
        top += strip.height + 60
    return column


def unread(column: Image.Image, contents: Sequence[str], folder: Path) -> set[str]:
    """Give the labels that OCR doesn't read; like a reader it may look twice, at each label as a whole."""
    left = set(range(len(contents)))
    for enlarged, characters in _PASSES:
        path = folder / "labels.png"
        size = round(column.width * enlarged), round(column.height * enlarged)
        column.resize(size, Image.Resampling.LANCZOS).save(path, dpi=(DPI * enlarged, DPI * enlarged))
        only = ("-c", f"tessedit_char_whitelist={characters}") if characters else ()
        read = run(need("tesseract"), path, "-", "--psm", "6", "-l", "eng", *only)
        lines = [same_to_the_eye(line) for line in read.splitlines() if line.strip()]
        if len(lines) == len(contents):
            left -= {index for index, line in enumerate(lines) if line == same_to_the_eye(contents[index])}
        if not left:
            break
    return {contents[index] for index in left}


def test_a_label_that_is_too_faint_to_read_is_found(tmp_path: Path) -> None:
    """The same column with one label painted over: it, and only it, is missed."""
    labels = terminal_labels("lathe-final", gallery_svgs("lathe-final")[0])
    picture = picture_of("lathe-final", 1)
    picture.paste(250, around(labels[2]))
    contents = [text.content for text in labels]
    assert labels[2].content in unread(one_below_the_other(picture, labels), contents, tmp_path)


def around(text: Writing) -> tuple[int, int, int, int]:
    """Give the pixels of a text with a little room round it, inside its cell."""
    left, top, right, bottom = text.box
    return (
        round((left - 0.4) * DOTS),
        round((top - 0.4) * DOTS),
        round((right + 0.4) * DOTS),
        round((bottom + 0.6) * DOTS),
    )


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
    wires = gallery_sheet(name).circuit.wires
    pages = [read_shapes(svg) for svg in gallery_svgs(name)]
    names = {f"{wire.number} {wire.colour.letters}" for wire in wires}
    white = seen("#ffffff", vision)
    found = set()
    for shapes in pages:
        for text in (one for one in shapes.writings if plate_name(one) in names and one.middle):
            plate = seen(ground_of(text, shapes), vision)
            assert seen(text.fill, vision).contrast(plate, method="wcag21") >= 4.5
            found.add(plate_name(text))
        for edge, _ in wire_edges(shapes):
            assert seen(edge.look.stroke or "", vision).contrast(white, method="wcag21") >= 3.0
    assert found == names
    assert sum(len(wire_edges(shapes)) for shapes in pages) == len(wires)


def plate_name(text: Writing) -> str:
    """Give number and letters of a plate, which may have the colour's name behind them."""
    return " ".join(text.content.split(" ")[:2])


def ground_of(text: Writing, shapes: Shapes) -> str:
    """Give the colour of what a text is painted on."""
    under = [
        box for box in shapes.rectangles if box.z < text.z and box.box.holds(text.box, 0.5) and box.look.fill
    ]
    return max(under, key=lambda box: box.z).look.fill or ""


@pytest.mark.parametrize("name", SHEETS)
def test_every_wire_has_its_dark_edges_in_a_grey_print(name: str) -> None:
    looked_at = 0
    for page, svg in enumerate(gallery_svgs(name), start=1):
        shapes = read_shapes(svg)
        grey = np.asarray(picture_of(name, page)).astype(int)
        for edge, core in wire_edges(shapes):
            places = quiet_places(edge, shapes)
            looked_at += bool(places)
            for x, y, upright in places:
                across, along = (x, y) if upright else (y, x)
                picture = grey if upright else grey.T
                left, right = round((across - 2) * DOTS), round((across + 2) * DOTS)
                profile = picture[round(along * DOTS), left:right]
                colours = [line.look.stroke or "" for line in (core, *tracers(core, shapes))]
                check_profile(profile, pale=all(is_pale(colour) for colour in colours))
    assert looked_at == len(gallery_sheet(name).circuit.wires)


def check_profile(column: npt.NDArray[np.int_], *, pale: bool) -> None:
    """See that pixels across a wire are white, dark, colour, dark, white."""
    dark = np.flatnonzero(column < 118)  # 3:1 on white and darker still
    assert dark.size
    first, last, middle = int(dark[0]), int(dark[-1]), len(column) // 2
    assert column[: first - 1].min() > 200 and column[last + 2 :].min() > 200
    assert first < middle < last
    assert 1.0 < (last - first + 1) / DOTS < 1.7
    if pale:
        assert column[middle - 1 : middle + 2].min() > 150


def tracers(core: Outline, shapes: Shapes) -> list[Outline]:
    """Give the lines of a second colour that are painted over a wire's first."""
    return [line for line in shapes.strokes if line.points == core.points and line.z > core.z]


def is_pale(colour: str) -> bool:
    return bool(Color(colour).contrast("white", method="wcag21") < 1.6)


def quiet_places(edge: Outline, shapes: Shapes) -> list[tuple[float, float, bool]]:
    """Give a place on each leg of a wire where nothing else is near, and whether the leg is upright."""
    others = neighbours(edge, shapes)
    places = []
    for a, b in pairwise(edge.points):
        upright = a.x == b.x
        steps = int(2 * (abs(a.x - b.x) + abs(a.y - b.y)))
        for step in range(2, steps - 1):
            x, y = a.x + (b.x - a.x) * step / steps, a.y + (b.y - a.y) * step / steps
            wide, high = (2.1, 0.3) if upright else (0.3, 2.1)
            here = Box(x - wide, y - high, x + wide, y + high)
            if not any(here.meets(box) for box in others):
                places.append((x, y, upright))
                break
    return places


def neighbours(edge: Outline, shapes: Shapes) -> list[Box]:
    """Give the room of everything but a wire itself and the frames round it."""
    boxes = [text.box for text in shapes.writings]
    for ring in shapes.rounds:
        (x, y), rx, ry = ring.centre, ring.rx, ring.ry
        boxes.append(Box(x - rx, y - ry, x + rx, y + ry))
    for line in shapes.outlines:
        left, top, right, bottom = line.box
        half = line.look.width / 2
        if line.points != edge.points and not (line.closed and line.box.holds(edge.box)):
            pairs = pairwise(line.points)
            legs = [Box(min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)) for a, b in pairs]
            whole = [Box(left, top, right, bottom)] if line.closed else legs
            boxes += [Box(a - half, b - half, c + half, d + half) for a, b, c, d in whole]
    return boxes


def test_the_white_and_the_yellow_wire_are_among_those_looked_at() -> None:
    pages = [read_shapes(svg) for name in SHEETS for svg in gallery_svgs(name)]
    cores = {core.look.stroke or "" for shapes in pages for _, core in wire_edges(shapes)}
    pale = {core for core in cores if is_pale(core)}
    assert "#ffffff" in pale
    assert len(pale) >= 2
