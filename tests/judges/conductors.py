"""Finding clamps, cells, plates and wires among the shapes of a drawing, by their look and place alone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from tests.judges.plane import TOUCH_MM, Leg, apart, distance, far, on_edge, upright_or_level
from tests.judges.shapes import XY, Box, JudgeError, Outline, Round, Shapes, Writing

__all__ = [
    "Cell",
    "Clamp",
    "Conductor",
    "Passage",
    "Plate",
    "Wire",
    "check_bridges",
    "find_clamps_and_cells",
    "find_conductors",
    "find_passages",
    "find_plates",
    "is_bridge",
    "join_through",
    "make_wires",
    "mark_across",
    "seen_through",
]

CLAMP_RADIUS_MM = (0.5, 2.0)
PLATE_MM = 8.0  # no plate is higher


@dataclass(frozen=True, slots=True)
class Clamp:
    centre: XY
    radius: float
    cell: int  # which of the cells

    def has(self, point: XY) -> bool:
        return far(point, self.centre) <= self.radius


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
    plates: tuple[Plate, ...]
    passed: tuple[Clamp, ...] = ()  # of the cells that it goes through, of each the left one first

    @property
    def name(self) -> str:
        return f"wire {self.plates[0].number}"


def seen_through(shapes: Shapes) -> Shapes:
    """Take a mark across the whole drawing away: two long slanted lines that cross in their middles.

    Such a mark is meant to be in the way; what stands beside it, a banner of words, is judged like the rest.
    """
    marked = mark_across(shapes)
    if not marked:
        return shapes
    kept = tuple(shape for shape in shapes.outlines if shape not in marked)
    return Shapes(shapes.width, shapes.height, kept, shapes.rounds, shapes.writings)


def mark_across(shapes: Shapes) -> tuple[Outline, ...]:
    """Return the two lines of a mark across the whole drawing; none where there is no such mark."""
    least = 0.3 * (shapes.width + shapes.height)
    long = tuple(
        line
        for line in shapes.strokes
        if len(line.points) == 2 and not upright_or_level(*line.points) and far(*line.points) > least
    )
    if len(long) != 2 or long[0].look != long[1].look or far(long[0].box.centre, long[1].box.centre) > 1.0:
        return ()
    return long


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
    cells = tuple(Cell(box, _label(box, shapes)) for box in boxes)
    for one, other in combinations(boxes, 2):
        if one.meets(other, TOUCH_MM):
            raise JudgeError(f"two cells overlap: {one} and {other}")
    return tuple(Clamp(circle.centre, circle.rx, boxes.index(box)) for circle, box in found), cells


def find_passages(clamps: Sequence[Clamp], cells: Sequence[Cell]) -> tuple[Passage, ...]:
    """Find the cells that wires go through."""
    out: list[Passage] = []
    for index, cell in enumerate(cells):
        own = sorted((clamp for clamp in clamps if clamp.cell == index), key=lambda clamp: clamp.centre)
        if len(own) != 2 or abs(own[0].centre.y - own[1].centre.y) > TOUCH_MM:
            continue
        edges = (cell.box.left, cell.box.right)
        if all(abs(clamp.centre.x - edge) <= TOUCH_MM for clamp, edge in zip(own, edges, strict=True)):
            out.append(Passage(index, own[0], own[1]))
    return tuple(out)


def join_through(conductors: Sequence[Conductor], passages: Sequence[Passage]) -> list[Conductor]:
    """Join the conductors on both sides of each passage into one; each side has one, or there is an error."""
    out = list(conductors)
    for passage in passages:
        both = []
        for clamp in (passage.left, passage.right):
            own = [one for one in out if clamp in one.clamps]
            if len(own) != 1:
                raise JudgeError(f"{len(own)} wires in the clamp at {clamp.centre} of a passage")
            both += own
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
    """Return the bold text in a cell; the only one, and wholly inside."""
    inside = [text for text in shapes.writings if text.bold and box.has(text.box.centre)]
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
        if len(inside) != 1 or not (inside[0].middle and inside[0].bold and _is_grey(inside[0].fill)):
            continue
        text = inside[0]
        if abs(text.box.centre.x - box.centre.x) > 0.5 or not box.holds(
            text.box._replace(top=box.top, bottom=box.bottom)
        ):
            raise JudgeError(f"the text {text.content} isn't in the middle of its plate")
        match = re.fullmatch(r"(.+?) ([A-Z]{2,4})( ◆)?", text.content)
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


def is_bridge(conductor: Conductor, cells: Sequence[Cell]) -> bool:
    """Whether it runs inside the cell of its clamps."""
    own = {clamp.cell for clamp in conductor.clamps}
    if len(own) != 1:
        return False
    box = cells[own.pop()].box
    return all(box.holds(leg.box, TOUCH_MM) for leg in conductor.legs)


def check_bridges(
    bridges: Sequence[Conductor],
    clamps: Sequence[Clamp],
    cells: Sequence[Cell],
    passages: Sequence[Passage] = (),
) -> None:
    """See that clamps of one cell are joined, all of them; those of a passage are by what it is."""
    through = {passage.cell for passage in passages}
    for index, cell in enumerate(cells):
        if index in through:
            continue
        own = {clamp for clamp in clamps if clamp.cell == index}
        joined = [set(bridge.clamps) for bridge in bridges if bridge.clamps[0].cell == index]
        if len(own) > 1 and joined != [own]:
            raise JudgeError(f"the clamps of {cell.label} aren't joined by one bridge")
        if len(own) == 1 and joined:
            raise JudgeError(f"a bridge from the one clamp of {cell.label}")


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
        wires.append(Wire(one.legs, one.width, ends[0], ends[1], tuple(own), one.passed))
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


def _is_grey(fill: str) -> bool:
    """Whether letters are black or grey: words of a warning in another colour are no wire's number."""
    if not re.fullmatch(r"#[0-9a-f]{6}", fill):
        return False
    parts = bytes.fromhex(fill[1:])
    return max(parts) - min(parts) < 32
