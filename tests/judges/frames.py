"""What frames a drawing: is all of it inside, do boxes stand clear of each other, whose frame is a cell in?

Nothing of our packages is imported.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from tests.judges.conductors import Cell, Wire, is_grey
from tests.judges.plane import TOUCH_MM, Leg, grown
from tests.judges.shapes import Box, Shapes, Writing

__all__ = ["beyond", "cut_boxes", "cut_rings", "hidden", "outside_frames", "words_round"]


def beyond(shapes: Shapes) -> list[str]:
    """Say what is painted beyond the frame of the page, the width of its strokes counted."""
    frame = shapes.frame
    out = [f'the text "{text.content}"' for text in shapes.writings if not frame.holds(text.box, TOUCH_MM)]
    for shape in shapes.outlines:
        if shape.box.holds(frame):  # the frame itself, and the ground that all is painted on
            continue
        half = shape.look.width / 2 if shape.look.stroke is not None else 0.0
        if not frame.holds(grown(shape.box, half), TOUCH_MM):
            out.append(f"a line or shape at {shape.box}")
    for circle in shapes.rounds:
        half = circle.look.width / 2 if circle.look.stroke is not None else 0.0
        x, y, rx, ry = *circle.centre, circle.rx + half, circle.ry + half
        if not frame.holds(Box(x - rx, y - ry, x + rx, y + ry), TOUCH_MM):
            out.append(f"a circle at {circle.centre}")
    return [f"{what} is not inside the page's frame" for what in out]


def cut_boxes(shapes: Shapes) -> list[str]:
    """Say which two outlined rectangles overlap, neither inside the other: frames, tables, cells, plates.

    The outline of a stop goes round what it is about; it is known by its colour, and hides nothing.
    """
    edged = [shape for shape in shapes.rectangles if shape.look.stroke is not None]
    placed = sorted(
        {shape.box for shape in edged if is_grey(shape.look.stroke or "") or shape.look.fill is not None}
    )
    out: list[str] = []
    for index, one in enumerate(placed):
        for other in placed[index + 1 :]:
            if other.left >= one.right:
                break
            nested = one.holds(other, TOUCH_MM) or other.holds(one, TOUCH_MM)
            if one.meets(other, TOUCH_MM) and not nested:
                out.append(f"two boxes cut each other: {one}, {other}")
    return out


def cut_rings(shapes: Shapes) -> list[str]:
    """Say which two open rings overlap, such as those of two screens: nobody sees what is in which."""
    rings = [
        (ring.centre, ring.rx, ring.ry)
        for ring in shapes.rounds
        if ring.look.fill is None and ring.rx != ring.ry
    ]
    boxes = sorted(Box(x - rx, y - ry, x + rx, y + ry) for (x, y), rx, ry in rings)
    return [
        f"two rings overlap: {one}, {other}"
        for index, one in enumerate(boxes)
        for other in boxes[index + 1 :]
        if one.meets(other, TOUCH_MM)
    ]


def hidden(wires: Sequence[Wire], shapes: Shapes) -> Iterator[str]:
    """Say which wires lie under a filled shape that is painted later."""
    painted: dict[Leg, int] = {}
    for line in shapes.strokes:
        for a, b in pairwise(line.points):
            for leg in (Leg(a, b), Leg(b, a)):
                painted[leg] = max(line.z, painted.get(leg, 0))
    covers = [shape for shape in shapes.outlines if shape.closed and shape.look.fill is not None]
    for wire in wires:
        for leg in wire.legs:
            over = [shape for shape in covers if shape.z > painted.get(leg, shape.z)]
            if any(shape.box.holds(leg.box, TOUCH_MM) for shape in over):
                yield f"{wire.name} is painted over: {leg}"


def outside_frames(cells: Sequence[Cell], shapes: Shapes) -> tuple[bool, ...]:
    """Say of each cell whether it lies along no edge of a frame round it, as a device's cells do."""
    own = {cell.box for cell in cells}
    boxes = {shape.box for shape in shapes.rectangles if shape.look.stroke is not None} - own

    def inside(box: Box, cell: Box) -> bool:
        flush = min(abs(box.left - cell.left), abs(box.right - cell.right)) <= TOUCH_MM
        return flush and box.holds(cell, TOUCH_MM)

    return tuple(not any(inside(box, cell.box) for box in boxes) for cell in cells)


def words_round(cells: Sequence[Cell], shapes: Shapes) -> tuple[str, ...]:
    """Return for each cell the bold words of the frame that it stands in, from the top, without blanks.

    Words in cells are not the frame's; a cell in no frame but the page's has none.
    """
    own = {cell.box for cell in cells}
    boxes = {shape.box for shape in shapes.rectangles if shape.look.stroke is not None}
    frames = sorted(
        (box for box in boxes if box not in own and box != shapes.frame), key=lambda box: box.area
    )
    inside = {id(text) for text in shapes.writings if any(box.holds(text.box) for box in own)}
    words: dict[Box, str] = {}
    out: list[str] = []
    for cell in cells:
        frame = next((box for box in frames if box.holds(cell.box, TOUCH_MM)), None)
        if frame is not None and frame not in words:
            words[frame] = _words(
                [text for text in shapes.writings if id(text) not in inside and frame.holds(text.box)]
            )
        out.append(words[frame] if frame is not None else "")
    return tuple(out)


def _words(texts: Sequence[Writing]) -> str:
    bold = sorted((text for text in texts if text.bold), key=lambda text: (text.box.bottom, text.box.left))
    return "".join("".join(text.content.split()) for text in bold)
