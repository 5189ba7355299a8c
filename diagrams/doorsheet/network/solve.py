"""One block of a network, solved at one point of its figures, and what pulls there.

Nodes are eliminated star to mesh (only sums, products and quotients of positive numbers, so nothing
cancels), in an order planned once.  Newton steps pick the pieces of the curves; each goes only as far as the
network's co-content falls.  That is convex and in straight-lined slopes, so it ends at the one solution (Li
and Swetits 1997 prove it of such functions).  Whole steps run in circles at the knees of inputs and outputs.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Hashable, Iterator, Sequence
from functools import cached_property, lru_cache
from itertools import combinations
from operator import itemgetter
from typing import NamedTuple

from doorsheet.network.elements import Curve, Element, Figure
from doorsheet.network.signs import Pair, leaning
from doorsheet.network.unnamed import in_order

__all__ = ["Block", "Point", "Probe", "Probes"]

_MOST_STEPS = 200
_NEAR_A = 1e-11
_PATIENCE = 25  # a curve missed by so little current is met: rounding. Ten times that after so many steps

_TENTH = 0.1
_STEP = 1e-3

Values = tuple[float, ...]


class Star(NamedTuple):
    """A node that is eliminated: lines to its neighbours, and which pairs of them add to which line."""

    node: int
    rays: tuple[tuple[int, int], ...]
    meshes: tuple[tuple[int, int, int], ...]


class Plan(NamedTuple):
    """The order in which nodes are eliminated, and what the graph alone tells: alike blocks share it."""

    near: dict[int, frozenset[int]]
    line_of: list[int]
    lines: int
    stars: list[Star]
    leanings: dict[tuple[Pair, Pair], int | None]


@lru_cache(1024)
def _plan(ends: tuple[Pair, ...]) -> Plan:
    """Put the nodes in an order, least neighbours first, and number the lines, fill-ins included."""
    numbers: dict[tuple[int, int], int] = {}

    def line(a: int, b: int) -> int:
        return numbers.setdefault((min(a, b), max(a, b)), len(numbers))

    line_of = [line(a, b) for a, b in ends]
    near: dict[int, set[int]] = {}
    for a, b in ends:
        near.setdefault(a, set())
        near.setdefault(b, set())
        if a != b:
            near[a].add(b)
            near[b].add(a)
    still = {node: frozenset(others) for node, others in near.items()}
    stars: list[Star] = []
    # what a supply's kiloamperes are rounded by is left over at the last: not one that hangs by nanosiemens
    last = max(near, key=lambda n: len(near[n]))
    while len(near) > 1:
        node = min((n for n in near if n != last), key=lambda n: len(near[n]))
        others = sorted(near.pop(node))
        rays = tuple((other, line(node, other)) for other in others)
        meshes = []
        for (a, to_a), (b, to_b) in combinations(rays, 2):
            meshes.append((to_a, to_b, line(a, b)))
            near[a].add(b)
            near[b].add(a)
        for other in others:
            near[other].discard(node)
        stars.append(Star(node, rays, tuple(meshes)))
    return Plan(still, line_of, len(numbers), stars, {})


class Shift(NamedTuple):
    """How much current a figure sets free in an element, at the voltage that it has."""

    through: int
    name: str
    amps: float


class Point(NamedTuple):
    """A block solved: volts of nodes, volts over elements, their curves, pieces; the stars eliminated."""

    potentials: list[float]
    drops: list[float]
    curves: list[Curve]
    pieces: list[int]
    lines: list[float]
    sums: list[float]


class Block:
    """Elements that are joined so that a current through one may pass through any other."""

    def __init__(self, elements: tuple[Element, ...]) -> None:
        """Plan the elimination; `elements` must hang together."""
        self.given = elements
        places, self.numbers = in_order(elements)
        self.elements = elements = tuple([elements[place] for place in places])
        self.ends = [(self.numbers[element.a], self.numbers[element.b]) for element in elements]
        ranging = {f.name: f for element in elements for f in element.figures if f.low < f.high}
        self.figures: tuple[Figure, ...] = tuple(ranging.values())
        where = {name: index for index, name in enumerate(ranging)}
        self.uses = [tuple(where.get(f.name, -1) for f in element.figures) for element in elements]
        self.index_of: dict[Hashable, int] = {element.key: i for i, element in enumerate(elements)}
        self.drivers = [i for i, element in enumerate(elements) if _drives(element)]
        self.plan = _plan(tuple([(min(pair), max(pair)) for pair in self.ends]))
        self._points: dict[Values, Point] = {}
        self._shifts: dict[Values, list[Shift]] = {}
        self._made: list[dict[object, Curve]] = [{} for _ in elements]
        self._picks = [_picker([use for use in uses if use >= 0]) for uses in self.uses]
        self._ranging = [index for index, uses in enumerate(self.uses) if max(uses) >= 0]

    @cached_property
    def _fixed(self) -> list[Curve]:
        """The curves where every figure is least; a block like one solved before needs none."""
        least = tuple(figure.low for figure in self.figures)
        return [self.curve(index, least) for index in range(len(self.elements))]

    @cached_property
    def users(self) -> list[list[int]]:
        """The elements that each of the figures that range is in."""
        return [
            [i for i, uses in enumerate(self.uses) if place in uses] for place in range(len(self.figures))
        ]

    # ---- one point ----

    @property
    def solved(self) -> int:
        """Count the points solved so far."""
        return len(self._points)

    def point(self, values: Values) -> Point:
        """Solve with these values of the figures that range; what was solved before costs nothing."""
        found = self._points.get(values)
        if found is None:
            found = self._points[values] = self._settle(self.curves(values), self.start)
        return found

    def forget(self) -> None:
        """Let go of all points; who asks for one again gets the same."""
        self._points.clear()
        self._shifts.clear()
        for curves in self._made:
            curves.clear()

    def curves(self, values: Values) -> list[Curve]:
        """Give the curve of every element."""
        curves = self._fixed.copy()
        for index in self._ranging:
            curves[index] = self.curve(index, values)
        return curves

    def curve(self, index: int, values: Values) -> Curve:
        """Give the curve of one element."""
        made, own = self._made[index], self._picks[index](values)
        found = made.get(own)
        if found is None:
            found = made[own] = self.elements[index].shape.curve(*self.own(index, values))
        return found

    def own(self, index: int, values: Values) -> Values:
        """Give the values of one element's own figures, the fixed ones too."""
        uses, figures = self.uses[index], self.elements[index].figures
        return tuple([values[use] if use >= 0 else f.low for use, f in zip(uses, figures, strict=True)])

    @cached_property
    def start(self) -> list[float]:
        """Volts to start from, the same whatever was asked before: where every figure is least."""
        return self._settle(self._fixed, [0.0] * len(self.elements)).drops

    def _settle(self, curves: list[Curve], drops: list[float]) -> Point:
        """Find the pieces that hold by Newton steps, each only as far as it helps."""
        pieces = _pieces(curves, drops)
        for step in range(_MOST_STEPS):
            point = self._straight(curves, pieces)
            if _holds(point, _NEAR_A * 10.0 ** (step // _PATIENCE)):
                return point
            ahead = [there - here for here, there in zip(drops, point.drops, strict=True)]
            share = _share(curves, drops, ahead)
            onward = [here + share * way for here, way in zip(drops, ahead, strict=True)]
            pieces = _pieces(curves, onward)
            for at, (here, there, way) in enumerate(zip(drops, onward, ahead, strict=True)):
                if here == there and way < 0:  # at a knee, by less than floats can tell: what is ahead
                    pieces[at] = bisect_left(curves[at].breaks, here)
            drops = onward
        raise ArithmeticError(f"no solution found for {[element.key for element in self.elements]}")

    def _straight(self, curves: list[Curve], pieces: list[int]) -> Point:
        lines = [0.0] * self.plan.lines
        inflow = [0.0] * len(self.numbers)
        for (a, b), line, curve, piece in zip(self.ends, self.plan.line_of, curves, pieces, strict=True):
            lines[line] += curve.slopes[piece]
            if offset := curve.offsets[piece]:
                inflow[a] -= offset
                inflow[b] += offset
        sums = []
        for _, rays, meshes in self.plan.stars:
            total = 0.0
            for _, to_other in rays:
                total += lines[to_other]
            sums.append(total)
            for to_a, to_b, between in meshes:
                lines[between] += lines[to_a] * lines[to_b] / total
        potentials = self._potentials(inflow, lines, sums)
        drops = [potentials[a] - potentials[b] for a, b in self.ends]
        return Point(potentials, drops, curves, pieces, lines, sums)

    def _potentials(self, inflow: list[float], lines: list[float], sums: list[float]) -> list[float]:
        """Give the potentials from what flows into each node, which is used up."""
        for (node, rays, _), total in zip(self.plan.stars, sums, strict=True):
            if share := inflow[node] / total:
                for other, to_other in rays:
                    inflow[other] += share * lines[to_other]
        potentials = [0.0] * len(inflow)
        for (node, rays, _), total in zip(reversed(self.plan.stars), reversed(sums), strict=True):
            flow = inflow[node]
            for other, to_other in rays:
                flow += lines[to_other] * potentials[other]
            potentials[node] = flow / total
        return potentials

    def stirred(self, point: Point, a: int, b: int, amps: float) -> list[float]:
        """Give how far each potential moves when this small current is fed in at a and out at b."""
        inflow = [0.0] * len(self.numbers)
        inflow[a] += amps
        inflow[b] -= amps
        return self._potentials(inflow, point.lines, point.sums)

    def shifts(self, values: Values) -> list[Shift]:
        """Give how much current each element's given figures set free in it, over their range or a tenth."""
        found = self._shifts.get(values)
        if found is None:
            found = self._shifts[values] = list(self._each_shift(self.point(values), values))
        return found

    def _each_shift(self, point: Point, values: Values) -> Iterator[Shift]:
        for index, element in enumerate(self.elements):
            own = self.own(index, values)
            for place, figure in enumerate(element.figures):
                span = figure.high - figure.low or _TENTH * figure.high
                if not (figure.known and figure.name and span):
                    continue
                step = _STEP * (span if own[place] < figure.high or figure.low == figure.high else -span)
                curve = element.shape.curve(*own[:place], own[place] + step, *own[place + 1 :])
                piece = min(point.pieces[index], len(curve.breaks))
                amps = curve.slopes[piece] * point.drops[index] + curve.offsets[piece]
                yield Shift(index, figure.name, (amps - self.current(point, index)) * span / step)

    def leaning(self, one: Pair, two: Pair) -> int | None:
        """Give the certain sign of what a current into one pair of nodes does to another; None if open."""
        known = self.plan.leanings
        if (one, two) not in known:
            known[one, two] = leaning(self.plan.near, one, two)
        return known[one, two]

    def current(self, point: Point, index: int) -> float:
        """Give the current through an element."""
        curve, piece = point.curves[index], point.pieces[index]
        return curve.slopes[piece] * point.drops[index] + curve.offsets[piece]


class Probe(NamedTuple):
    """What is asked of a block: the volts from node a to b, or the current through an element."""

    block: Block
    a: int
    b: int
    through: int = -1

    def read(self, point: Point) -> float:
        """Give what is asked, in V or A."""
        if self.through >= 0:
            return self.block.current(point, self.through)
        return point.potentials[self.a] - point.potentials[self.b]

    def held_ohm(self, point: Point) -> float:
        """Give the resistance by which the network holds the two nodes against each other."""
        moved = self.block.stirred(point, self.a, self.b, 1.0)
        return moved[self.a] - moved[self.b]

    def follows(self, point: Point) -> list[float]:
        """Give how what is asked follows a small current set free in each element, by the adjoint."""
        slope = 1.0
        if self.through >= 0:
            slope = point.curves[self.through].slopes[point.pieces[self.through]]
        moved = self.block.stirred(point, self.a, self.b, slope)
        follows = [moved[b] - moved[a] for a, b in self.block.ends]
        if self.through >= 0:
            follows[self.through] += 1.0
        return follows


Probes = tuple[Probe, ...]


def _picker(places: list[int]) -> Callable[[Values], object]:
    return itemgetter(*places) if places else lambda values: None


def _drives(element: Element) -> bool:
    place = element.shape.drives_at
    return place >= 0 and element.figures[place].high > 0


def _pieces(curves: list[Curve], drops: Sequence[float]) -> list[int]:
    return [bisect_right(curve[0], volts) for curve, volts in zip(curves, drops, strict=True)]


def _holds(point: Point, near_a: float) -> bool:
    """Say whether every line that was taken for a curve gives the curve's current."""
    for curve, piece, volts in zip(point.curves, point.pieces, point.drops, strict=True):
        true = bisect_right(curve.breaks, volts)
        if true != piece:
            amps = curve.slopes[piece] * volts + curve.offsets[piece]
            if abs(curve.slopes[true] * volts + curve.offsets[true] - amps) > near_a:
                return False
    return True


def _share(curves: list[Curve], drops: list[float], ahead: list[float]) -> float:
    """Give the share of a step at which the co-content is least: where the power along it turns."""
    still = grows = 0.0  # of all that is straight
    bent: list[tuple[Curve, float, float]] = []
    turns = [1.0]
    for curve, here, way in zip(curves, drops, ahead, strict=True):
        if not curve.breaks:
            still += (curve.slopes[0] * here + curve.offsets[0]) * way
            grows += curve.slopes[0] * way * way
        elif way:
            bent.append((curve, here, way))
            turns += [turn for volts in curve.breaks if 0 < (turn := (volts - here) / way) < 1]
    turns.sort()

    def power(share: float) -> float:
        return still + share * grows + sum([curve.at(here + share * way) * way for curve, here, way in bent])

    place = bisect_left(turns, 0.0, hi=len(turns) - 1, key=power)
    end, start = turns[place], turns[place - 1] if place else 0.0
    before, after = power(start), power(end)
    if after <= 0 or before >= 0 or end == start:
        return end
    return start + (end - start) * before / (before - after)
