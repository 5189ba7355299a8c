"""Finding clamps, cells, plates and wires among the shapes of a drawing, by their look and place alone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

from tests.judges.plane import (
    TOUCH_MM,
    Leg,
    apart,
    distance,
    far,
    grown,
    lines_meet,
    on_edge,
    upright_or_level,
)
from tests.judges.shapes import XY, Box, JudgeError, Outline, Round, Shapes, Writing

__all__ = [
    "Cell",
    "Clamp",
    "Conductor",
    "Passage",
    "Plate",
    "Wire",
    "find_bridged",
    "find_clamps_and_cells",
    "find_conductors",
    "find_dots",
    "find_in_line",
    "find_links",
    "find_passages",
    "find_plates",
    "find_signs",
    "is_grey",
    "join_through",
    "make_wires",
    "on_bar",
    "parts_wires",
    "seen_through",
    "with_two_ends",
]

CLAMP_RADIUS_MM = (0.5, 3.2)
PLATE_MM = 10.0  # no plate is higher
SIGNS = ("+", "\u2212")


@dataclass(frozen=True, slots=True)
class Clamp:
    """What wires end in: a circle, or with several wires one drawn out to a pill."""

    centre: XY
    radius: float
    cell: int  # which of the cells
    half: float = 0.0  # a pill's middles of its round ends are so far above and below its own

    @property
    def axis(self) -> Leg:
        x, y = self.centre
        return Leg(XY(x, y - self.half), XY(x, y + self.half))

    @property
    def box(self) -> Box:
        return grown(self.axis.box, self.radius)

    def has(self, point: XY) -> bool:
        return distance(point, self.axis) <= self.radius


@dataclass(frozen=True, slots=True)
class Cell:
    box: Box
    label: str


@dataclass(frozen=True, slots=True)
class Passage:
    """A cell with one clamp on its left and one on its right edge, at one height: a wire goes through it."""

    cell: int
    left: Clamp
    right: Clamp

    @property
    def way(self) -> Leg:
        return Leg(self.left.centre, self.right.centre)


@dataclass(frozen=True, slots=True)
class Plate:
    box: Box
    number: str
    colour: str
    text: Writing
    marked: bool = False  # as moved at this step


@dataclass(frozen=True, slots=True)
class Conductor:
    """Lines joined end to end, up to the clamps."""

    legs: tuple[Leg, ...]
    width: float
    clamps: tuple[Clamp, ...]
    passed: tuple[Clamp, ...] = ()  # of the cells that it goes through

    @property
    def ends(self) -> Counter[XY]:
        return Counter(point for leg in self.legs for point in (leg.a, leg.b))


@dataclass(frozen=True, slots=True)
class Wire:
    legs: tuple[Leg, ...]
    width: float
    left: Clamp
    right: Clamp
    left_at: XY
    right_at: XY
    plates: tuple[Plate, ...]
    passed: tuple[Clamp, ...] = ()  # of the cells that it goes through, of each the left one first

    @property
    def name(self) -> str:
        return f"wire {self.plates[0].number}"


def seen_through(shapes: Shapes) -> Shapes:
    """Take the marks of a stop away: outlines round rows, and pairs of short strokes over wires.

    They are meant to be over the drawing; whether they stand over a text is judged with them there.
    """
    kept = tuple(shape for shape in shapes.outlines if not _is_mark(shape))
    return Shapes(shapes.width, shapes.height, kept, shapes.rounds, shapes.writings)


def _is_mark(shape: Outline) -> bool:
    """Whether a line is in a colour of its own and goes round something, or short and slanted over it."""
    if shape.look.stroke is None or is_grey(shape.look.stroke) or shape.look.fill is not None:
        return False
    short = len(shape.points) == 2 and far(*shape.points) < 12.0 and not upright_or_level(*shape.points)
    return shape.is_rectangle or short


def find_clamps_and_cells(shapes: Shapes) -> tuple[tuple[Clamp, ...], tuple[Cell, ...]]:
    """Find clamps, small open circles on the edge of a cell, and the cells with their labels."""
    boxes: list[Box] = []
    found: list[tuple[Round, Box]] = []
    for circle in shapes.rounds:
        if not (circle.rx == circle.ry and CLAMP_RADIUS_MM[0] <= circle.rx <= CLAMP_RADIUS_MM[1]):
            continue
        if circle.look.stroke is None or not _is_light(circle.look.fill):
            continue
        around = [shape.box for shape in shapes.rectangles if on_edge(circle.centre, shape.box)]
        if not around:
            continue
        box = min(around, key=lambda box: box.area)
        found.append((circle, box))
        if box not in boxes:
            boxes.append(box)
    pills: list[tuple[Outline, Box]] = []
    for shape in shapes.outlines:
        if not _is_pill(shape):
            continue
        around = [one.box for one in shapes.rectangles if on_edge(shape.box.centre, one.box)]
        if not around:
            continue
        box = min(around, key=lambda box: box.area)
        pills.append((shape, box))
        if box not in boxes:
            boxes.append(box)
    cells = tuple(Cell(box, _label(box, shapes)) for box in boxes)
    for one, other in combinations(boxes, 2):
        if one.meets(other, TOUCH_MM):
            raise JudgeError(f"two cells overlap: {one} and {other}")
    clamps = [Clamp(circle.centre, circle.rx, boxes.index(box)) for circle, box in found]
    for shape, box in pills:
        radius = (shape.box.right - shape.box.left) / 2
        half = (shape.box.bottom - shape.box.top) / 2 - radius
        clamps.append(Clamp(shape.box.centre, radius, boxes.index(box), half))
    return tuple(clamps), cells


def _is_pill(shape: Outline) -> bool:
    """Whether a closed shape is round at both ends, higher than wide, light, and as wide as a clamp."""
    box = shape.box
    wide, high = box.right - box.left, box.bottom - box.top
    if not shape.closed or shape.is_rectangle or shape.look.stroke is None or not _is_light(shape.look.fill):
        return False
    narrow = 2 * CLAMP_RADIUS_MM[0] <= wide <= 2 * CLAMP_RADIUS_MM[1] and high > wide + 1.0
    axis = Leg(XY(box.centre.x, box.top + wide / 2), XY(box.centre.x, box.bottom - wide / 2))
    return narrow and all(abs(distance(point, axis) - wide / 2) <= 0.1 for point in shape.points)


def find_signs(shapes: Shapes, cells: Sequence[Cell]) -> dict[int, str]:
    """Return the sign of each cell that has one: a square in it, with a plus or a minus, or empty ("?").

    A plus is light on a dark ground, a minus dark on a light one.
    """
    out: dict[int, str] = {}
    for index, cell in enumerate(cells):
        for shape in shapes.rectangles:
            box = shape.box
            square = abs((box.right - box.left) - (box.bottom - box.top)) <= 0.01
            if box == cell.box or not square or not cell.box.holds(box, TOUCH_MM):
                continue
            inside = [text for text in shapes.writings if box.has(text.box.centre)]
            if index in out or len(inside) > 1 or any(text.content not in SIGNS for text in inside):
                raise JudgeError(f"more than a sign in the cell of {cell.label}")
            sign = inside[0].content if inside else "?"
            if (sign == "+") is _is_light(shape.look.fill):
                raise JudgeError(f"the sign {sign} of {cell.label} is on the wrong ground")
            if inside and _is_light(inside[0].fill) is not (sign == "+"):
                raise JudgeError(f"the sign {sign} of {cell.label} can't be seen")
            out[index] = sign
    return out


def on_bar(clamp: Clamp, shape: Outline) -> bool:
    """Whether a solid upright bar begins or ends in a clamp."""
    wide, high = shape.box.right - shape.box.left, shape.box.bottom - shape.box.top
    if wide >= high or shape.look.fill is None or not _is_dark(shape.look.fill):
        return False
    ends = [XY(shape.box.centre.x, y) for y in (shape.box.top, shape.box.bottom)]
    return any(clamp.has(end) for end in ends)


def find_links(shapes: Shapes, clamps: Sequence[Clamp], cells: Sequence[Cell]) -> tuple[tuple[str, str], ...]:
    """Return the labels that are joined by solid bars: upright from clamp to clamp, or a bracket from
    the far edge of one cell to that of another.
    """
    out: list[tuple[str, str]] = []
    for shape in shapes.rectangles:
        if not any(on_bar(clamp, shape) for clamp in clamps):
            continue
        ends = [
            {clamp.cell for clamp in clamps if clamp.has(XY(shape.box.centre.x, y))}
            for y in (shape.box.top, shape.box.bottom)
        ]
        if all(len(end) == 1 for end in ends) and ends[0] != ends[1]:
            out.append((cells[ends[0].pop()].label, cells[ends[1].pop()].label))
    for line in shapes.strokes:
        if len(line.points) != 4 or line.look.width < 1.0 or not _is_dark(line.look.stroke):
            continue
        first, last = line.points[0], line.points[-1]
        at = [
            [cell for cell in cells if on_edge(end, cell.box) and abs(end.x - cell.box.right) <= TOUCH_MM]
            for end in (first, last)
        ]
        if all(len(one) == 1 for one in at):
            out.append((at[0][0].label, at[1][0].label))
    return tuple(sorted(out))


def find_passages(
    clamps: Sequence[Clamp], cells: Sequence[Cell], standing: Sequence[bool]
) -> tuple[Passage, ...]:
    """Find the cells that wires go through: those of a rail, `standing` in no device's frame."""
    out: list[Passage] = []
    for index, cell in enumerate(cells):
        if not standing[index]:
            continue
        own = sorted((clamp for clamp in clamps if clamp.cell == index), key=lambda clamp: clamp.centre)
        if len(own) != 2 or abs(own[0].centre.y - own[1].centre.y) > TOUCH_MM:
            continue
        edges = (cell.box.left, cell.box.right)
        if all(abs(clamp.centre.x - edge) <= TOUCH_MM for clamp, edge in zip(own, edges, strict=True)):
            out.append(Passage(index, own[0], own[1]))
    return tuple(out)


def parts_wires(passage: Passage, conductors: Sequence[Conductor], plates: Sequence[Plate]) -> bool:
    """Whether on both sides of a passage are two wires, each with a plate of its own number."""
    numbers = []
    for clamp in (passage.left, passage.right):
        legs = [leg for one in conductors if clamp in one.clamps for leg in one.legs]
        numbers.append({p.number for p in plates if any(distance(p.box.centre, leg) <= 0.1 for leg in legs)})
    return all(numbers) and not numbers[0] & numbers[1]


def find_in_line(shapes: Shapes, cell: Box) -> str:
    """Say what the symbol in a cell stands for, by its strokes: "open", "closed", "unknown" and so on."""
    inner = grown(cell, -0.2)
    solid = [one for one in shapes.outlines if one.look.fill is not None and inner.holds(one.box)]
    if any(len(one.points) in (4, 5) and not _is_dark(one.look.fill) for one in solid):
        return "resistor"
    if any(_is_dark(one.look.fill) for one in solid):
        return "converter"
    strokes = [one.points for one in shapes.outlines if not one.closed and inner.holds(one.box)]
    blades = [Leg(a, b) for points in strokes for a, b in pairwise(points) if a.x != b.x and a.y != b.y]
    ticks = [Leg(a, b) for points in strokes for a, b in pairwise(points) if a.x == b.x and a.y != b.y]
    dots = [one for one in shapes.rounds if inner.has(one.centre) and _is_dark(one.look.fill)]
    if not blades and len(dots) == 2:
        return "unknown"
    if len(blades) != 1:
        raise JudgeError(f"no symbol that is known in the cell at {cell}")
    (blade,) = blades
    return "closed" if any(lines_meet(blade, tick) for tick in ticks) else "open"


def with_two_ends(
    passages: Sequence[Passage],
    cells: Sequence[Cell],
    clamps: Sequence[Clamp],
    conductors: Sequence[Conductor],
    shapes: Shapes,
) -> tuple[list[Cell], list[Clamp], list[Conductor]]:
    """Give each part in a wire's way a cell for each of its ends, named as is written beside the clamp.

    One that stands there with a single clamp, where a wire ends, has both sides of its passage in it.
    """
    all_cells, new = list(cells), dict[Clamp, Clamp]()
    for passage in passages:
        box, name = cells[passage.cell].box, cells[passage.cell].label
        texts = [one for one in shapes.writings if box.holds(one.box) and not one.bold]
        for clamp in dict.fromkeys((passage.left, passage.right)):
            at = clamp.centre.x
            near = [one for one in texts if min(abs(one.box.left - at), abs(one.box.right - at)) < 3.0]
            label = ":".join([name, *(one.content for one in near)])
            new[clamp] = replace(clamp, cell=len(all_cells))
            all_cells.append(Cell(box, label))
    return (
        all_cells,
        [new.get(clamp, clamp) for clamp in clamps],
        [replace(one, clamps=tuple(new.get(clamp, clamp) for clamp in one.clamps)) for one in conductors],
    )


def find_dots(shapes: Shapes, cells: Sequence[Cell]) -> dict[int, XY]:
    """Return the cells with a solid dot inside them, where a bar joins cells, and its place."""
    solid = [
        round_.centre
        for round_ in shapes.rounds
        if round_.look.fill is not None and _is_dark(round_.look.fill) and round_.rx < 2.0
    ]
    return {
        index: centre
        for index, cell in enumerate(cells)
        for centre in solid
        if grown(cell.box, -TOUCH_MM).has(centre) and cell.box.bottom - cell.box.top < PLATE_MM
    }


def find_bridged(shapes: Shapes, cells: Sequence[Cell], dots: dict[int, XY]) -> tuple[tuple[str, ...], ...]:
    """Return the labels of the cells that a solid bar through their dots joins."""
    out: list[tuple[str, ...]] = []
    for shape in shapes.rectangles:
        box = shape.box
        if shape.look.fill is None or not _is_dark(shape.look.fill) or box.right - box.left > 2.0:
            continue
        own = [index for index, dot in dots.items() if grown(box, TOUCH_MM).has(dot)]
        ends = {round(dots[index].y, 2) for index in own}
        if len(own) > 1 and {round(box.top, 2), round(box.bottom, 2)} <= ends:
            out.append(tuple(cells[index].label for index in sorted(own, key=lambda index: dots[index].y)))
    return tuple(sorted(out))


def join_through(
    conductors: Sequence[Conductor], passages: Sequence[Passage], dots: dict[int, XY]
) -> list[Conductor]:
    """Join the conductors on both sides of each passage into one; each side has one, or there is an error.

    A cell with a dot in it may be where a wire ends.
    """
    out = list(conductors)
    for passage in passages:
        both = []
        for clamp in (passage.left, passage.right):
            own = [one for one in out if clamp in one.clamps]
            if not own and passage.cell in dots and clamp == passage.right:
                continue
            if len(own) != 1:
                raise JudgeError(f"{len(own)} wires in the clamp at {clamp.centre} of a passage")
            both += own
        if len(both) == 1:
            continue
        one, other = both
        if one is other:
            raise JudgeError(f"one line joins both sides of the passage at {passage.left.centre}")
        out = [each for each in out if each is not one and each is not other]
        clamps = (passage.left, passage.right)
        out.append(
            Conductor(
                (*one.legs, passage.way, *other.legs),
                max(one.width, other.width),
                tuple(clamp for clamp in (*one.clamps, *other.clamps) if clamp not in clamps),
                (*one.passed, *clamps, *other.passed),
            )
        )
    return out


def _label(box: Box, shapes: Shapes) -> str:
    """Return the largest bold text in a cell, wholly inside; what stands in a square there is a sign."""
    own = [
        shape.box
        for shape in shapes.rectangles
        if shape.box != box and box.holds(shape.box, TOUCH_MM) and shape.look.stroke is not None
    ]
    inside = [
        text
        for text in shapes.writings
        if text.bold and box.has(text.box.centre) and not any(one.has(text.box.centre) for one in own)
    ]
    largest = max((text.size for text in inside), default=0.0)
    inside = [text for text in inside if text.size == largest]
    if len(inside) != 1:
        raise JudgeError(f"{len(inside)} labels in the cell at {box}: {[text.content for text in inside]}")
    if not (box.left <= inside[0].box.left and inside[0].box.right <= box.right):
        raise JudgeError(f"the label {inside[0].content} sticks out of its cell")
    return inside[0].content


def find_plates(shapes: Shapes, cells: Sequence[Cell]) -> tuple[Plate, ...]:
    """Find small closed rectangles that hold one bold text, set in their middle."""
    cell_boxes = {cell.box for cell in cells}
    plates: list[Plate] = []
    for shape in shapes.rectangles:
        box = shape.box
        if shape.look.stroke is None or box.bottom - box.top > PLATE_MM or box in cell_boxes:
            continue
        inside = [text for text in shapes.writings if box.has(text.box.centre)]
        if len(inside) != 1 or not (inside[0].middle and inside[0].bold and is_grey(inside[0].fill)):
            continue
        text = inside[0]
        if text.content in SIGNS and any(cell.holds(box, TOUCH_MM) for cell in cell_boxes):
            continue
        if abs(text.box.centre.x - box.centre.x) > 0.5 or not box.holds(
            text.box._replace(top=box.top, bottom=box.bottom)
        ):
            raise JudgeError(f"the text {text.content} isn't in the middle of its plate")
        match = re.fullmatch(r"(.+?) ([A-Z]{2,4})(?: [a-z/ ]+)?( ◆)?", text.content)
        if match is None:
            raise JudgeError(f"a plate without number and colour: {text.content}")
        plates.append(Plate(box, match[1], match[2], text, bool(match[3])))
    return tuple(plates)


def find_conductors(strokes: Sequence[Outline], clamps: Sequence[Clamp]) -> list[Conductor]:
    """Join lines end to end, or end to side, into conductors; clamps keep them apart."""
    lines = _without_layers(strokes)
    chains = [(line, [Leg(a, b) for a, b in pairwise(line.points)]) for line in lines]
    group = list(range(len(chains)))

    def root(index: int) -> int:
        while group[index] != index:
            index = group[index]
        return index

    boxes = [line.box for line in lines]
    by_left = sorted(range(len(chains)), key=lambda index: boxes[index].left)
    for place, i in enumerate(by_left):
        for j in by_left[place + 1 :]:
            if boxes[j].left > boxes[i].right + TOUCH_MM:
                break
            if apart(boxes[i], boxes[j], TOUCH_MM):
                continue
            if any(_touch_ends(a, b, clamps) for a in chains[i][1] for b in chains[j][1]):
                group[root(i)] = root(j)
    out: list[Conductor] = []
    for own in sorted({root(index) for index in range(len(chains))}):
        legs = tuple(leg for index, (_, legs) in enumerate(chains) if root(index) == own for leg in legs)
        width = max(line.look.width for index, (line, _) in enumerate(chains) if root(index) == own)
        at = tuple(clamp for clamp in clamps if any(clamp.has(leg.a) or clamp.has(leg.b) for leg in legs))
        if at:
            out.append(Conductor(legs, width, at))
    return out


def _without_layers(strokes: Sequence[Outline]) -> list[Outline]:
    """Keep one line of each stack: the same way painted again, narrower or dashed, is only a colour of it."""
    kept: dict[tuple[XY, ...], list[Outline]] = {}
    for line in strokes:
        way = min(line.points, line.points[::-1])
        stack = kept.setdefault(way, [])
        over = stack[-1].look if stack else None
        if over is not None and line.look.width >= over.width and not (line.look.dashed and not over.dashed):
            raise JudgeError(f"two lines take the same way from {way[0]} to {way[-1]}")
        stack.append(line)
    return [stack[0] for stack in kept.values()]


def _touch_ends(one: Leg, other: Leg, clamps: Sequence[Clamp]) -> bool:
    """Whether an end of one leg lies on the other, outside of clamps."""
    for leg, line in ((one, other), (other, one)):
        for end in (leg.a, leg.b):
            if distance(end, line) <= TOUCH_MM and not any(clamp.has(end) for clamp in clamps):
                return True
    return False


def make_wires(conductors: Sequence[Conductor], plates: Sequence[Plate]) -> list[Wire]:
    """Make wires of the conductors, each with two clamps and its plates."""
    wires: list[Wire] = []
    left = list(plates)
    for one in conductors:
        where = f"the wire with {one.legs[0]}"
        if len(one.clamps) != 2:
            raise JudgeError(f"{where} touches {len(one.clamps)} clamps")
        own = [plate for plate in plates if any(distance(plate.box.centre, leg) <= 0.1 for leg in one.legs)]
        names = {(plate.number, plate.colour, "◆" if plate.marked else "") for plate in own}
        if not names:
            raise JudgeError(f"{where} has no plate")
        if len(names) > 1:
            raise JudgeError(f"plates of one wire disagree: {sorted(names)}")
        left = [plate for plate in left if plate not in own]
        ends = sorted(one.clamps, key=lambda clamp: (clamp.centre.x, clamp.centre.y))
        loose = [point for point, count in one.ends.items() if count == 1]
        at = [next((point for point in loose if end.has(point)), end.centre) for end in ends]
        wires.append(Wire(one.legs, one.width, ends[0], ends[1], at[0], at[1], tuple(own), one.passed))
    if left:
        raise JudgeError(f"a plate on no wire: {left[0].text.content} at {left[0].box.centre}")
    numbers = Counter(wire.plates[0].number for wire in wires)
    if numbers and max(numbers.values()) > 1:
        raise JudgeError(f"two wires have one number: {numbers.most_common(1)[0][0]}")
    return wires


def _is_light(fill: str | None) -> bool:
    if fill is None or not re.fullmatch(r"#[0-9a-f]{6}", fill):
        return False
    return sum(bytes.fromhex(fill[1:])) > 3 * 200


def is_grey(fill: str) -> bool:
    """Whether something is black or grey: what is in another colour is a warning."""
    if not re.fullmatch(r"#[0-9a-f]{6}", fill):
        return False
    parts = bytes.fromhex(fill[1:])
    return max(parts) - min(parts) < 32


def _is_dark(colour: str | None) -> bool:
    return colour is not None and is_grey(colour) and not _is_light(colour) and int(colour[1:3], 16) < 64
