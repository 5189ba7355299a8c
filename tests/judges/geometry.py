"""A reader that follows lines: rebuilds who is wired to what from a drawing's geometry alone.

It knows lines, rectangles, small circles and texts at their places, and how wiring is drawn: a clamp is a
small open circle on the edge of a cell, the cell's bold text is the terminal's label, a wire runs level and
upright from clamp to clamp and carries plates with its number and colour.  It knows nothing of our data.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import NamedTuple

from tests.judges.shapes import XY, Box, JudgeError, Outline, Round, Shapes, Writing, read_shapes

__all__ = ["Connection", "Drawn", "JudgeError", "judge", "judge_shapes", "seen_through"]

APART_MM = 3.0
TOUCH_MM = 0.01  # what counts as the same place: files are written to a thousandth
CLAMP_RADIUS_MM = (0.5, 2.0)
PLATE_MM = 8.0  # no plate is higher


class Connection(NamedTuple):
    """One wire as read off the drawing, its left end first."""

    left: str
    number: str
    colour: str
    right: str


@dataclass(frozen=True, slots=True)
class Drawn:
    """What the drawing says."""

    connections: tuple[Connection, ...]
    crossings: int
    left_order: tuple[str, ...]  # wire numbers from top to bottom, at their left ends
    right_order: tuple[str, ...]
    free: tuple[str, ...]  # labels of terminals without a wire
    bends: int


class _Leg(NamedTuple):
    """A straight piece of line."""

    a: XY
    b: XY

    @property
    def level(self) -> bool:
        return abs(self.a.y - self.b.y) <= TOUCH_MM

    @property
    def upright(self) -> bool:
        return abs(self.a.x - self.b.x) <= TOUCH_MM

    @property
    def box(self) -> Box:
        return Box(min(self.a.x, self.b.x), min(self.a.y, self.b.y), max(self.a.x, self.b.x), max(self.a.y, self.b.y))

    def __str__(self) -> str:
        return f"line {self.a.x:g}, {self.a.y:g} to {self.b.x:g}, {self.b.y:g}"


@dataclass(frozen=True, slots=True)
class _Clamp:
    centre: XY
    radius: float
    cell: int  # which of the cells

    def has(self, point: XY) -> bool:
        return _far(point, self.centre) <= self.radius


@dataclass(frozen=True, slots=True)
class _Cell:
    box: Box
    label: str


@dataclass(frozen=True, slots=True)
class _Plate:
    box: Box
    number: str
    colour: str
    text: Writing


@dataclass(frozen=True, slots=True)
class _Conductor:
    """Lines joined end to end, up to the clamps."""

    legs: tuple[_Leg, ...]
    width: float
    clamps: tuple[_Clamp, ...]

    @property
    def ends(self) -> Counter[XY]:
        return Counter(point for leg in self.legs for point in (leg.a, leg.b))


@dataclass(frozen=True, slots=True)
class _Wire:
    legs: tuple[_Leg, ...]
    width: float
    left: _Clamp
    right: _Clamp
    plates: tuple[_Plate, ...]

    @property
    def name(self) -> str:
        return f"wire {self.plates[0].number}"


def judge(svg: str) -> Drawn:
    """Read a drawing; JudgeError where it can't be followed, or where a rule of wiring drawings is broken."""
    return judge_shapes(read_shapes(svg))


def judge_shapes(shapes: Shapes) -> Drawn:
    """Do the same for shapes that are read already."""
    shapes = seen_through(shapes)
    clamps, cells = _clamps_and_cells(shapes)
    plates = _plates(shapes, cells)
    conductors = _conductors(shapes.strokes, clamps)
    bridges = [one for one in conductors if _is_bridge(one, cells)]
    _check_bridges(bridges, clamps, cells)
    wires = _wires([one for one in conductors if one not in bridges], plates)
    for wire in wires:
        _check_legs(wire)
        _check_way(wire, shapes, clamps, cells, plates)
        _check_strokes(wire, shapes, wires)
    crossings = sum(_meet(one, other) for one, other in combinations(wires, 2))
    return _drawn(wires, clamps, cells, crossings)


def _drawn(wires: Sequence[_Wire], clamps: Sequence[_Clamp], cells: Sequence[_Cell], crossings: int) -> Drawn:
    def order(side: str) -> tuple[str, ...]:
        return tuple(
            wire.plates[0].number
            for wire in sorted(wires, key=lambda wire: (getattr(wire, side).centre.y, getattr(wire, side).centre.x))
        )

    used = {clamp.cell for wire in wires for clamp in (wire.left, wire.right)}
    taken = [clamp for wire in wires for clamp in (wire.left, wire.right)]
    for clamp, count in Counter(taken).items():
        if count > 1:
            raise JudgeError(f"{count} wires in the clamp at {clamp.centre}")
    for clamp in clamps:
        if clamp.cell in used and clamp not in taken:
            raise JudgeError(f"a clamp of {cells[clamp.cell].label} is left over at {clamp.centre}")
    connections = (
        Connection(
            cells[wire.left.cell].label, wire.plates[0].number, wire.plates[0].colour, cells[wire.right.cell].label
        )
        for wire in wires
    )
    return Drawn(
        connections=tuple(sorted(connections)),
        crossings=crossings,
        left_order=order("left"),
        right_order=order("right"),
        free=tuple(sorted(cell.label for index, cell in enumerate(cells) if index not in used)),
        bends=sum(_bends(wire) for wire in wires),
    )


def _bends(wire: _Wire) -> int:
    return sum(one.level is not other.level and _share_end(one, other) for one, other in combinations(wire.legs, 2))


# --- what is what --------------------------------------------------------


def seen_through(shapes: Shapes) -> Shapes:
    """Take a mark across the whole drawing away, two long slanted lines with a banner where they cross.

    Such a mark is meant to be in the way.
    """
    far = 0.3 * (shapes.width + shapes.height)
    long = [
        line
        for line in shapes.strokes
        if len(line.points) == 2 and not _upright_or_level(*line.points) and _far(*line.points) > far
    ]
    if len(long) != 2 or long[0].look != long[1].look:
        return shapes
    one, other = ((line.box.centre) for line in long)
    if _far(one, other) > 1.0:
        return shapes
    banner = [shape for shape in shapes.rectangles if shape.look.stroke == long[0].look.stroke and shape.box.has(one)]
    away = {id(shape) for shape in (*long, *banner)}
    boxes = [shape.box for shape in banner]
    return Shapes(
        shapes.width,
        shapes.height,
        tuple(shape for shape in shapes.outlines if id(shape) not in away),
        shapes.rounds,
        tuple(
            text
            for text in shapes.writings
            if not (text.fill == long[0].look.stroke and any(box.holds(text.box) for box in boxes))
        ),
    )


def _clamps_and_cells(shapes: Shapes) -> tuple[tuple[_Clamp, ...], tuple[_Cell, ...]]:
    """Find clamps, small open circles on the edge of a cell, and the cells with their labels."""
    boxes: list[Box] = []
    found: list[tuple[Round, Box]] = []
    for circle in shapes.rounds:
        if not (circle.rx == circle.ry and CLAMP_RADIUS_MM[0] <= circle.rx <= CLAMP_RADIUS_MM[1]):
            continue
        if circle.look.stroke is None or not _is_light(circle.look.fill):
            continue
        around = [shape.box for shape in shapes.rectangles if _on_edge(circle.centre, shape.box)]
        if not around:
            continue
        box = min(around, key=lambda box: box.area)
        found.append((circle, box))
        if box not in boxes:
            boxes.append(box)
    cells = tuple(_Cell(box, _label(box, shapes)) for box in boxes)
    for one, other in combinations(boxes, 2):
        if one.meets(other, TOUCH_MM):
            raise JudgeError(f"two cells overlap: {one} and {other}")
    return tuple(_Clamp(circle.centre, circle.rx, boxes.index(box)) for circle, box in found), cells


def _label(box: Box, shapes: Shapes) -> str:
    """Return the bold text in a cell; the only one, and wholly inside."""
    inside = [text for text in shapes.writings if text.bold and box.has(text.box.centre)]
    if len(inside) != 1:
        raise JudgeError(f"{len(inside)} labels in the cell at {box}: {[text.content for text in inside]}")
    if not (box.left <= inside[0].box.left and inside[0].box.right <= box.right):
        raise JudgeError(f"the label {inside[0].content} sticks out of its cell")
    return inside[0].content


def _plates(shapes: Shapes, cells: Sequence[_Cell]) -> tuple[_Plate, ...]:
    """Find small closed rectangles that hold one bold text, set in their middle."""
    cell_boxes = {cell.box for cell in cells}
    plates: list[_Plate] = []
    for shape in shapes.rectangles:
        box = shape.box
        if shape.look.stroke is None or box.bottom - box.top > PLATE_MM or box in cell_boxes:
            continue
        inside = [text for text in shapes.writings if box.has(text.box.centre)]
        if len(inside) != 1 or not inside[0].middle or not inside[0].bold:
            continue
        text = inside[0]
        if abs(text.box.centre.x - box.centre.x) > 0.5 or not box.holds(text.box._replace(top=box.top, bottom=box.bottom)):
            raise JudgeError(f"the text {text.content} isn't in the middle of its plate")
        match = re.fullmatch(r"(.+) ([A-Z]{2,4})", text.content)
        if match is None:
            raise JudgeError(f"a plate without number and colour: {text.content}")
        plates.append(_Plate(box, match[1], match[2], text))
    return tuple(plates)


# --- conductors ----------------------------------------------------------


def _conductors(strokes: Sequence[Outline], clamps: Sequence[_Clamp]) -> list[_Conductor]:
    """Join lines end to end, or end to side, into conductors; clamps keep them apart."""
    lines = _without_layers(strokes)
    chains = [(line, [_Leg(a, b) for a, b in pairwise(line.points)]) for line in lines]
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
            if _apart(boxes[i], boxes[j], TOUCH_MM):
                continue
            if any(_touch_ends(a, b, clamps) for a in chains[i][1] for b in chains[j][1]):
                group[root(i)] = root(j)
    out: list[_Conductor] = []
    for own in sorted({root(index) for index in range(len(chains))}):
        legs = tuple(leg for index, (_, legs) in enumerate(chains) if root(index) == own for leg in legs)
        width = max(line.look.width for index, (line, _) in enumerate(chains) if root(index) == own)
        at = tuple(clamp for clamp in clamps if any(clamp.has(leg.a) or clamp.has(leg.b) for leg in legs))
        if at:
            out.append(_Conductor(legs, width, at))
    return out


def _without_layers(strokes: Sequence[Outline]) -> list[Outline]:
    """Keep one line of each stack: the same way painted again, narrower or dashed, is a colour of the first."""
    kept: dict[tuple[XY, ...], list[Outline]] = {}
    for line in strokes:
        way = min(line.points, line.points[::-1])
        stack = kept.setdefault(way, [])
        over = stack[-1].look if stack else None
        if over is not None and line.look.width >= over.width and not (line.look.dashed and not over.dashed):
            raise JudgeError(f"two lines take the same way from {way[0]} to {way[-1]}")
        stack.append(line)
    return [stack[0] for stack in kept.values()]


def _touch_ends(one: _Leg, other: _Leg, clamps: Sequence[_Clamp]) -> bool:
    """Whether an end of one leg lies on the other, outside of clamps."""
    for leg, line in ((one, other), (other, one)):
        for end in (leg.a, leg.b):
            if _distance(end, line) <= TOUCH_MM and not any(clamp.has(end) for clamp in clamps):
                return True
    return False


def _is_bridge(conductor: _Conductor, cells: Sequence[_Cell]) -> bool:
    """Whether it runs inside the cell of its clamps."""
    own = {clamp.cell for clamp in conductor.clamps}
    if len(own) != 1:
        return False
    box = cells[own.pop()].box
    return all(box.holds(leg.box, TOUCH_MM) for leg in conductor.legs)


def _check_bridges(bridges: Sequence[_Conductor], clamps: Sequence[_Clamp], cells: Sequence[_Cell]) -> None:
    """See that clamps of one cell are joined, all of them."""
    for index, cell in enumerate(cells):
        own = {clamp for clamp in clamps if clamp.cell == index}
        joined = [set(bridge.clamps) for bridge in bridges if bridge.clamps[0].cell == index]
        if len(own) > 1 and joined != [own]:
            raise JudgeError(f"the clamps of {cell.label} aren't joined by one bridge")
        if len(own) == 1 and joined:
            raise JudgeError(f"a bridge from the one clamp of {cell.label}")


def _wires(conductors: Sequence[_Conductor], plates: Sequence[_Plate]) -> list[_Wire]:
    """Make wires of the conductors, each with two clamps and its plates."""
    wires: list[_Wire] = []
    left = list(plates)
    for one in conductors:
        where = f"the wire with {one.legs[0]}"
        if len(one.clamps) != 2:
            raise JudgeError(f"{where} touches {len(one.clamps)} clamps")
        own = [plate for plate in plates if any(_distance(plate.box.centre, leg) <= 0.1 for leg in one.legs)]
        names = {(plate.number, plate.colour) for plate in own}
        if not names:
            raise JudgeError(f"{where} has no plate")
        if len(names) > 1:
            raise JudgeError(f"plates of one wire disagree: {sorted(names)}")
        left = [plate for plate in left if plate not in own]
        ends = sorted(one.clamps, key=lambda clamp: (clamp.centre.x, clamp.centre.y))
        wires.append(_Wire(one.legs, one.width, ends[0], ends[1], tuple(own)))
    if left:
        raise JudgeError(f"a plate on no wire: {left[0].text.content} at {left[0].box.centre}")
    numbers = Counter(wire.plates[0].number for wire in wires)
    if numbers and max(numbers.values()) > 1:
        raise JudgeError(f"two wires have one number: {numbers.most_common(1)[0][0]}")
    return wires


# --- rules ---------------------------------------------------------------


def _check_legs(wire: _Wire) -> None:
    """See that a wire is one chain, level and upright, from clamp to clamp, never over itself."""
    for leg in wire.legs:
        if not _upright_or_level(leg.a, leg.b):
            raise JudgeError(f"{wire.name} is slanted: {leg}")
    places: Counter[XY] = Counter()
    for leg in wire.legs:
        for point in (leg.a, leg.b):
            near = next((seen for seen in places if _far(seen, point) <= TOUCH_MM), point)
            places[near] += 1
    loose = [point for point, count in places.items() if count == 1]
    if any(count > 2 for count in places.values()):
        raise JudgeError(f"{wire.name} branches")
    if len(loose) != 2 or any(not (wire.left.has(point) or wire.right.has(point)) for point in loose):
        raise JudgeError(f"{wire.name} isn't one chain from clamp to clamp: loose at {loose}")
    for one, other in combinations(wire.legs, 2):
        if _overlap(one, other) or (_cross(one, other) and not _share_end(one, other)):
            raise JudgeError(f"{wire.name} runs over itself: {one}, {other}")


def _check_way(
    wire: _Wire, shapes: Shapes, clamps: Sequence[_Clamp], cells: Sequence[_Cell], plates: Sequence[_Plate]
) -> None:
    """See that a wire runs over nothing that isn't its own."""
    own_plates = {plate.box for plate in wire.plates}
    half = wire.width / 2
    for leg in wire.legs:
        room = _grown(leg.box, half)
        for clamp in clamps:
            if clamp not in (wire.left, wire.right) and _distance(clamp.centre, leg) < clamp.radius + half:
                raise JudgeError(f"{wire.name} runs over a clamp of {cells[clamp.cell].label}: {leg}")
        for plate in plates:
            if plate.box not in own_plates and plate.box.meets(room, TOUCH_MM):
                raise JudgeError(f"{wire.name} runs over the plate {plate.text.content}: {leg}")
        for text in shapes.writings:
            if not any(text is plate.text for plate in wire.plates) and text.box.meets(room, TOUCH_MM):
                raise JudgeError(f'{wire.name} runs over the text "{text.content}": {leg}')
        for shape in shapes.outlines:
            if shape.closed and shape.box not in own_plates and _enters(leg, shape):
                raise JudgeError(f"{wire.name} runs into a shape at {shape.box}: {leg}")
        for circle in shapes.rounds:
            _check_round(wire, leg, circle)


def _check_round(wire: _Wire, leg: _Leg, circle: Round) -> None:
    """See that a wire runs over no circle but its clamps; an open ring may go round it."""
    if any(clamp.centre == circle.centre for clamp in (wire.left, wire.right)):
        return
    ring = Box(
        circle.centre.x - circle.rx, circle.centre.y - circle.ry, circle.centre.x + circle.rx, circle.centre.y + circle.ry
    )
    if not ring.meets(_grown(leg.box, wire.width / 2), TOUCH_MM):
        return
    through = leg.box.left < ring.left and ring.right < leg.box.right and ring.top < leg.a.y < ring.bottom
    if circle.look.fill is None and circle.rx != circle.ry and leg.level and through:
        return  # a screen: the wire goes in at one side of the ring and out at the other
    raise JudgeError(f"{wire.name} runs over a circle at {circle.centre}: {leg}")


def _check_strokes(wire: _Wire, shapes: Shapes, wires: Sequence[_Wire]) -> None:
    """See that no line that isn't a wire touches a wire or its plates."""
    ways = {leg for other in wires for leg in other.legs}
    for line in shapes.strokes:
        legs = [_Leg(a, b) for a, b in pairwise(line.points)]
        if any(leg in ways or _Leg(leg.b, leg.a) in ways for leg in legs):
            continue
        for leg in legs:
            if any(_crosses_box(leg, plate.box) for plate in wire.plates):
                raise JudgeError(f"a stray {leg} over the plate of {wire.name}")
            for own in wire.legs:
                if _lines_meet(leg, own) and not _inside_clamp(leg, own, wire):
                    raise JudgeError(f"a stray {leg} over {wire.name}")


def _inside_clamp(leg: _Leg, own: _Leg, wire: _Wire) -> bool:
    """Whether a foreign line meets a wire only in the clamp, as a bridge does."""
    if _overlap(leg, own):
        return False
    return any(clamp.has(end) for clamp in (wire.left, wire.right) for end in (leg.a, leg.b))


def _meet(one: _Wire, other: _Wire) -> int:
    """Count the crossings of two wires; every other way to meet is an error."""
    names = f"{one.name} and {other.name}"
    crossings = 0
    for a in one.legs:
        for b in other.legs:
            if _overlap(a, b):
                raise JudgeError(f"{names} share a stretch: {a}, {b}")
            if any(_distance(end, line) <= TOUCH_MM for leg, line in ((a, b), (b, a)) for end in (leg.a, leg.b)):
                raise JudgeError(f"a corner or end of {names} lies on the other: {a}, {b}")
            if _too_near(a, b) and not _to_one_terminal(one, other, a, b):
                raise JudgeError(f"{names} are nearer than {APART_MM:g} mm: {a}, {b}")
            crossings += _cross(a, b)
    return crossings


def _to_one_terminal(one: _Wire, other: _Wire, a: _Leg, b: _Leg) -> bool:
    """Whether two legs are the last of wires that enter the same terminal."""
    for mine in (one.left, one.right):
        for theirs in (other.left, other.right):
            ends_there = any(mine.has(end) for end in (a.a, a.b)) and any(theirs.has(end) for end in (b.a, b.b))
            if mine.cell == theirs.cell and ends_there:
                return True
    return False


# --- plane geometry ------------------------------------------------------


def _far(one: XY, other: XY) -> float:
    return ((one.x - other.x) ** 2 + (one.y - other.y) ** 2) ** 0.5


def _upright_or_level(a: XY, b: XY) -> bool:
    return abs(a.x - b.x) <= TOUCH_MM or abs(a.y - b.y) <= TOUCH_MM


def _distance(point: XY, leg: _Leg) -> float:
    """Return how far a point is from a leg."""
    dx, dy = leg.b.x - leg.a.x, leg.b.y - leg.a.y
    long = dx * dx + dy * dy
    part = 0.0 if long == 0 else ((point.x - leg.a.x) * dx + (point.y - leg.a.y) * dy) / long
    part = min(1.0, max(0.0, part))
    return _far(point, XY(leg.a.x + part * dx, leg.a.y + part * dy))


def _share_end(one: _Leg, other: _Leg) -> bool:
    return any(_far(a, b) <= TOUCH_MM for a in (one.a, one.b) for b in (other.a, other.b))


def _beside(one: _Leg, other: _Leg) -> tuple[float, float] | None:
    """Return how far apart two parallel legs are, and how long they run side by side; else None."""
    a, b = one.box, other.box
    if one.level and other.level:
        return abs(one.a.y - other.a.y), min(a.right, b.right) - max(a.left, b.left)
    if one.upright and other.upright:
        return abs(one.a.x - other.a.x), min(a.bottom, b.bottom) - max(a.top, b.top)
    return None


def _overlap(one: _Leg, other: _Leg) -> bool:
    beside = _beside(one, other)
    return beside is not None and beside[0] <= TOUCH_MM and beside[1] > TOUCH_MM


def _too_near(one: _Leg, other: _Leg) -> bool:
    """Whether parallel legs run too close, or one ends less than that from where the other begins."""
    beside = _beside(one, other)
    if beside is None:
        return False
    apart, along = beside
    return apart < APART_MM - TOUCH_MM and (along > TOUCH_MM or (apart <= TOUCH_MM and along > -APART_MM))


def _cross(one: _Leg, other: _Leg) -> bool:
    """Whether a level and an upright leg cross, each inside the other."""
    if one.level is other.level:
        return False
    level, upright = (one.box, other.box) if one.level else (other.box, one.box)
    return level.left < upright.left < level.right and upright.top < level.top < upright.bottom


def _lines_meet(one: _Leg, other: _Leg) -> bool:
    """Whether two legs at any slant have a point in common."""
    if _apart(one.box, other.box, TOUCH_MM):
        return False
    ends = ((one.a, other), (one.b, other), (other.a, one), (other.b, one))
    if any(_distance(point, leg) <= TOUCH_MM for point, leg in ends):
        return True
    return _side(one, other.a) * _side(one, other.b) < 0 and _side(other, one.a) * _side(other, one.b) < 0


def _side(leg: _Leg, point: XY) -> float:
    return (leg.b.x - leg.a.x) * (point.y - leg.a.y) - (leg.b.y - leg.a.y) * (point.x - leg.a.x)


def _crosses_box(leg: _Leg, box: Box) -> bool:
    """Whether some of a leg is inside a box."""
    if box.has(leg.a, -TOUCH_MM) or box.has(leg.b, -TOUCH_MM):
        return True
    left, top, right, bottom = box
    corners = (XY(left, top), XY(right, top), XY(right, bottom), XY(left, bottom), XY(left, top))
    return sum(_lines_meet(leg, _Leg(a, b)) for a, b in pairwise(corners)) >= 2


def _enters(leg: _Leg, shape: Outline) -> bool:
    """Whether a leg comes into a closed shape; one that is round all of it is a frame."""
    box = shape.box
    if not _grown(leg.box, TOUCH_MM).meets(_grown(box, -2 * TOUCH_MM)) or box.holds(leg.box):
        return False
    return not shape.is_rectangle or _crosses_box(leg, box)


def _apart(one: Box, other: Box, spare: float) -> bool:
    return (
        one.right + spare < other.left
        or other.right + spare < one.left
        or one.bottom + spare < other.top
        or other.bottom + spare < one.top
    )


def _grown(box: Box, by: float) -> Box:
    return Box(box.left - by, box.top - by, box.right + by, box.bottom + by)


def _on_edge(point: XY, box: Box) -> bool:
    return box.has(point, TOUCH_MM) and not box.has(point, -TOUCH_MM)


def _is_light(fill: str | None) -> bool:
    if fill is None or not re.fullmatch(r"#[0-9a-f]{6}", fill):
        return False
    return sum(bytes.fromhex(fill[1:])) > 3 * 200
