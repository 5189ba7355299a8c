"""A reader that follows lines: rebuilds who is wired to what from a drawing's geometry alone.

It knows lines, rectangles, small circles and texts at their places, and how wiring is drawn: a clamp is a
small open circle on the edge of a cell, the cell's bold text is the terminal's label, a wire runs level and
upright from clamp to clamp and carries plates with its number and colour, and a ◆ where it was moved.  It
knows nothing of our data.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import NamedTuple

from tests.judges.conductors import (
    Cell,
    Clamp,
    Passage,
    Plate,
    Wire,
    find_bridged,
    find_clamps_and_cells,
    find_conductors,
    find_dots,
    find_in_line,
    find_links,
    find_passages,
    find_plates,
    find_signs,
    join_through,
    make_wires,
    on_bar,
    parts_wires,
    seen_through,
    with_two_ends,
)
from tests.judges.frames import beyond, cut_boxes, cut_rings, hidden, outside_frames, words_round
from tests.judges.plane import (
    APART_MM,
    TOUCH_MM,
    Leg,
    apart,
    cross,
    crosses_box,
    distance,
    enters,
    far,
    grown,
    lines_meet,
    overlap,
    share_end,
    too_near,
    upright_or_level,
)
from tests.judges.shapes import XY, Box, JudgeError, Round, Shapes, read_shapes

__all__ = ["Connection", "Drawn", "JudgeError", "judge", "judge_shapes", "seen_through"]


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
    left_order: tuple[str, ...]  # wire numbers at their left ends from top to bottom, schematic by schematic
    right_order: tuple[str, ...]
    schematics: int  # that stand side by side
    free: tuple[str, ...]  # labels of terminals without a wire
    bends: int
    passed: tuple[tuple[str, str], ...] = ()  # wire numbers, and labels of the cells that they go through
    homes: tuple[tuple[str, str, str], ...] = ()  # wire numbers, and the words of the frames of their ends
    marked: tuple[str, ...] = ()  # numbers of the wires whose plates carry a diamond
    signs: tuple[tuple[str, str], ...] = ()  # labels of terminals and their polarity, "?" where it is open
    links: tuple[tuple[str, str], ...] = ()  # labels of terminals that are linked
    parts: tuple[tuple[str, str], ...] = ()  # in the way of wires: names and what their symbols stand for
    stubs: tuple[tuple[str, str], ...] = ()  # wires that end on a rail, and the label they come from
    bridged: tuple[tuple[str, ...], ...] = ()  # labels of the rail's cells that a bar joins
    loops: tuple[Connection, ...] = ()  # wires between two terminals of one side, upper end first


def judge(svg: str) -> Drawn:
    """Read a drawing; JudgeError where it can't be followed, or where a rule of wiring drawings is broken."""
    return judge_shapes(read_shapes(svg))


def judge_shapes(shapes: Shapes) -> Drawn:
    """Do the same for shapes that are read already."""
    faults = cut_boxes(shapes)
    shapes = seen_through(shapes)
    clamps, cells = find_clamps_and_cells(shapes)
    plates = find_plates(shapes, cells)
    conductors = find_conductors(shapes.strokes, clamps)
    outside = outside_frames(cells, shapes)
    dots = find_dots(shapes, cells)
    passages = find_passages(clamps, cells, outside)
    in_line = [one for one in passages if parts_wires(one, conductors, plates)]
    through = [one for one in passages if one not in in_line]
    parts = tuple(
        sorted((cells[one.cell].label, find_in_line(shapes, cells[one.cell].box)) for one in in_line)
    )
    count = Counter(clamp.cell for clamp in clamps)
    ends = [clamp for clamp in clamps if outside[clamp.cell] and count[clamp.cell] == 1]
    standing = [*in_line, *(Passage(clamp.cell, clamp, clamp) for clamp in ends)]
    cells, clamps, conductors = with_two_ends(standing, cells, clamps, conductors, shapes)
    wires = make_wires(join_through(conductors, through, dots), plates)
    for fault in (*faults, *beyond(shapes), *cut_rings(shapes), *hidden(wires, shapes)):
        raise JudgeError(fault)
    for wire in wires:
        check_legs(wire)
        check_way(wire, shapes, clamps, cells, plates)
        check_strokes(wire, shapes, wires)
    crossings = sum(meet(one, other) for one, other in combinations(wires, 2))
    signs = find_signs(shapes, cells)
    barred = [clamp for clamp in clamps if any(on_bar(clamp, shape) for shape in shapes.rectangles)]
    loops = [wire for wire in wires if _loops(wire, cells)]
    stubs = [wire for wire in wires if wire.right.cell in dots]
    across = [wire for wire in wires if wire not in loops and wire not in stubs]
    taken = [clamp for wire in stubs for clamp in (wire.left, wire.right)]
    barred += [clamp for clamp in clamps if clamp in taken or clamp.cell in dots]
    return replace(
        _drawn(across, loops, clamps, cells, barred),
        stubs=tuple(sorted((wire.plates[0].number, cells[wire.left.cell].label) for wire in stubs)),
        bridged=find_bridged(shapes, cells, dots),
        crossings=crossings,
        parts=parts,
        homes=_homes(across, words_round(cells, shapes)),
        signs=tuple(sorted((cells[index].label, sign) for index, sign in signs.items())),
        links=find_links(shapes, clamps, cells),
    )


def _homes(wires: Sequence[Wire], words: Sequence[str]) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        sorted((wire.plates[0].number, words[wire.left.cell], words[wire.right.cell]) for wire in wires)
    )


def _loops(wire: Wire, cells: Sequence[Cell]) -> bool:
    """Whether a wire joins two terminals of one side: it ends on the left edges of both their cells."""
    return not wire.passed and all(
        abs(clamp.centre.x - cells[clamp.cell].box.left) <= TOUCH_MM for clamp in (wire.left, wire.right)
    )


def _drawn(
    wires: Sequence[Wire],
    loops: Sequence[Wire],
    clamps: Sequence[Clamp],
    cells: Sequence[Cell],
    barred: Sequence[Clamp],
) -> Drawn:
    def before(wire: Wire) -> int:
        """Count the schematics that end left of where this wire begins."""
        return len({round(other.right_at.x) for other in wires if other.right_at.x < wire.left_at.x})

    def order(side: str) -> tuple[str, ...]:
        def place(wire: Wire) -> tuple[int, float, float]:
            at = getattr(wire, f"{side}_at")
            return before(wire), at.y, at.x

        return tuple(wire.plates[0].number for wire in sorted(wires, key=place))

    taken = [clamp for wire in (*wires, *loops) for clamp in (wire.left, wire.right, *wire.passed)]
    used = {clamp.cell for clamp in taken}
    for clamp, count in Counter(taken).items():
        if (count > 1) is not (clamp.half > 0):
            raise JudgeError(f"{count} wires in the clamp at {clamp.centre}")
    for clamp in clamps:
        if clamp.cell in used and clamp not in taken and clamp not in barred:
            raise JudgeError(f"a clamp of {cells[clamp.cell].label} is left over at {clamp.centre}")

    def connection(wire: Wire) -> Connection:
        plate = wire.plates[0]
        return Connection(
            cells[wire.left.cell].label, plate.number, plate.colour, cells[wire.right.cell].label
        )

    return Drawn(
        connections=tuple(sorted(map(connection, wires))),
        loops=tuple(sorted(map(connection, loops))),
        crossings=0,
        left_order=order("left"),
        right_order=order("right"),
        schematics=1 + max(map(before, wires), default=0),
        free=tuple(sorted(cell.label for index, cell in enumerate(cells) if index not in used)),
        bends=sum(_bends(wire) for wire in wires),
        passed=tuple(
            sorted(
                (wire.plates[0].number, cells[clamp.cell].label)
                for wire in wires
                for clamp in wire.passed[::2]
            )
        ),
        marked=tuple(sorted(wire.plates[0].number for wire in (*wires, *loops) if wire.plates[0].marked)),
    )


def _bends(wire: Wire) -> int:
    return sum(
        one.level is not other.level and share_end(one, other) for one, other in combinations(wire.legs, 2)
    )


# --- rules ---------------------------------------------------------------


def check_legs(wire: Wire) -> None:
    """See that a wire is one chain, level and upright, from clamp to clamp, never over itself."""
    for leg in wire.legs:
        if not upright_or_level(leg.a, leg.b):
            raise JudgeError(f"{wire.name} is slanted: {leg}")
    places: Counter[XY] = Counter()
    for leg in wire.legs:
        for point in (leg.a, leg.b):
            near = next((seen for seen in places if far(seen, point) <= TOUCH_MM), point)
            places[near] += 1
    loose = [point for point, count in places.items() if count == 1]
    if any(count > 2 for count in places.values()):
        raise JudgeError(f"{wire.name} branches")
    if len(loose) != 2 or any(not (wire.left.has(point) or wire.right.has(point)) for point in loose):
        raise JudgeError(f"{wire.name} isn't one chain from clamp to clamp: loose at {loose}")
    for one, other in combinations(wire.legs, 2):
        if overlap(one, other) or (cross(one, other) and not share_end(one, other)):
            raise JudgeError(f"{wire.name} runs over itself: {one}, {other}")


def check_way(
    wire: Wire, shapes: Shapes, clamps: Sequence[Clamp], cells: Sequence[Cell], plates: Sequence[Plate]
) -> None:
    """See that a wire runs over nothing that isn't its own."""
    passed = [cells[clamp.cell].box for clamp in wire.passed[::2]]
    own_plates = {*(plate.box for plate in wire.plates), *passed}
    half = wire.width / 2
    ends = [clamp.centre for clamp in (wire.left, wire.right)]
    for leg in wire.legs:
        room = grown(leg.box, half)
        for clamp in clamps:
            if clamp not in (wire.left, wire.right, *wire.passed) and clamp.box.meets(room):
                raise JudgeError(f"{wire.name} runs over a clamp of {cells[clamp.cell].label}: {leg}")
        for plate in plates:
            if plate.box not in own_plates and plate.box.meets(room, TOUCH_MM):
                raise JudgeError(f"{wire.name} runs over the plate {plate.text.content}: {leg}")
        for text in shapes.writings:
            if any(text is plate.text for plate in wire.plates) or any(box.holds(text.box) for box in passed):
                continue
            if text.box.meets(room, TOUCH_MM):
                raise JudgeError(f'{wire.name} runs over the text "{text.content}": {leg}')
        if any(box.holds(leg.box, TOUCH_MM) for box in passed):
            continue  # inside a cell that it goes through, where a bridge may lie
        for shape in shapes.outlines:
            if apart(shape.box, room, TOUCH_MM) or any(
                far(shape.box.centre, end) <= TOUCH_MM for end in ends
            ):
                continue  # nowhere near, or the pill that it ends in
            if shape.closed and shape.box not in own_plates and enters(leg, shape):
                raise JudgeError(f"{wire.name} runs into a shape at {shape.box}: {leg}")
        for circle in shapes.rounds:
            _check_round(wire, leg, circle)


def _check_round(wire: Wire, leg: Leg, circle: Round) -> None:
    """See that a wire runs over no circle but its clamps; an open ring may go round it."""
    if any(clamp.centre == circle.centre for clamp in (wire.left, wire.right, *wire.passed)):
        return
    ring = Box(
        circle.centre.x - circle.rx,
        circle.centre.y - circle.ry,
        circle.centre.x + circle.rx,
        circle.centre.y + circle.ry,
    )
    if not ring.meets(grown(leg.box, wire.width / 2), TOUCH_MM):
        return
    through = leg.box.left < ring.left and ring.right < leg.box.right and ring.top < leg.a.y < ring.bottom
    if circle.look.fill is None and circle.rx != circle.ry and leg.level and through:
        return  # a screen: the wire goes in at one side of the ring and out at the other
    raise JudgeError(f"{wire.name} runs over a circle at {circle.centre}: {leg}")


def check_strokes(wire: Wire, shapes: Shapes, wires: Sequence[Wire]) -> None:
    """See that no line that isn't a wire touches a wire or its plates."""
    ways = {leg for other in wires for leg in other.legs}
    for line in shapes.strokes:
        legs = [Leg(a, b) for a, b in pairwise(line.points)]
        if any(leg in ways or Leg(leg.b, leg.a) in ways for leg in legs):
            continue
        for leg in legs:
            if any(crosses_box(leg, plate.box) for plate in wire.plates):
                raise JudgeError(f"a stray {leg} over the plate of {wire.name}")
            for own in wire.legs:
                if lines_meet(leg, own) and not _inside_clamp(leg, own, wire):
                    raise JudgeError(f"a stray {leg} over {wire.name}")


def _inside_clamp(leg: Leg, own: Leg, wire: Wire) -> bool:
    """Whether a foreign line meets a wire only in the clamp, as a bridge does."""
    if overlap(leg, own):
        return False
    return any(clamp.has(end) for clamp in (wire.left, wire.right) for end in (leg.a, leg.b))


def meet(one: Wire, other: Wire) -> int:
    """Count the crossings of two wires; every other way to meet is an error."""
    names = f"{one.name} and {other.name}"
    crossings = 0
    for a in one.legs:
        for b in other.legs:
            if overlap(a, b):
                raise JudgeError(f"{names} share a stretch: {a}, {b}")
            if any(
                distance(end, line) <= TOUCH_MM for leg, line in ((a, b), (b, a)) for end in (leg.a, leg.b)
            ):
                raise JudgeError(f"a corner or end of {names} lies on the other: {a}, {b}")
            if too_near(a, b) and not _to_one_terminal(one, other, a, b):
                raise JudgeError(f"{names} are nearer than {APART_MM:g} mm: {a}, {b}")
            crossings += cross(a, b)
    return crossings


def _to_one_terminal(one: Wire, other: Wire, a: Leg, b: Leg) -> bool:
    """Whether two legs are the last of wires that enter the same terminal."""
    for mine in (one.left, one.right):
        for theirs in (other.left, other.right):
            ends_there = any(mine.has(end) for end in (a.a, a.b)) and any(
                theirs.has(end) for end in (b.a, b.b)
            )
            if mine.cell == theirs.cell and ends_there:
                return True
    return False
