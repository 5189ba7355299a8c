"""How far an answer can go while every figure goes over its range.

The outermost answers lie at corners, nearly always: a block of few figures is tried at every corner, a
larger one is climbed from several starts, by the signs of the adjoint, then one by one and by twos.  A figure
that several elements share, or that spans decades, is searched along its line as well.  Found by trial, not
proved: see the package's docstring.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import product

from doorsheet.network.elements import OHMIC, Figure
from doorsheet.network.signs import in_series, signs
from doorsheet.network.solve import Point, Probe, Values

__all__ = ["Question"]

_ALL_CORNERS = 8
_STARTS = 6
_JOINTS = 4
_TRIES = 2
_COARSE = 4  # steps that tell whether a figure moves the reading at all
_STEPS = (4, 16)  # of a line's search; of one by decades
_FLOORS = (20e-6, 20e-9)  # V, A
_SAME = 1e-3


class Question:
    """One reading: the sum of what is asked of some blocks, over the figures of them all."""

    def __init__(self, probes: Sequence[Probe]) -> None:
        """Gather the figures that range, those of one name as one."""
        self.probes = tuple(probes)
        ranging = {figure.name: figure for probe in probes for figure in probe.block.figures}
        self.figures: tuple[Figure, ...] = tuple(ranging.values())
        index = {name: place for place, name in enumerate(ranging)}
        self._where = [[index[figure.name] for figure in probe.block.figures] for probe in probes]
        self._floor = _FLOORS[any(probe.through >= 0 for probe in probes)]
        self._read: dict[Values, float] = {}
        leans = signs(probes)
        self._signs = [leans[figure.name] for figure in self.figures]
        self._open = self._gather_open()
        elements = [element for probe in probes for element in probe.block.elements]
        uses = Counter(figure.name for element in elements for figure in element.figures)
        self._free = [i for group in self._open for i in group]
        self._bent = [i for i in self._free if uses[self.figures[i].name] > 1 or self.figures[i].by_decades]
        ohmic = {element.figures[0].name for element in elements if element.shape is OHMIC}
        lone = ohmic.difference(name for name, count in uses.items() if count > 1)
        self._lone = {i for i in self._bent if self.figures[i].name in lone}

    def _gather_open(self) -> list[list[int]]:
        """Give the figures whose sign isn't certain; resistances in series count as one, being a sum."""
        if None not in self._signs:
            return []
        places = {figure.name: i for i, figure in enumerate(self.figures)}
        groups = [
            [places[name] for name in names if self._signs[places[name]] is None]
            for names in in_series(self.probes)
        ]
        joined = {i for group in groups for i in group}
        groups += [[i] for i, sign in enumerate(self._signs) if sign is None and i not in joined]
        return [group for group in groups if group]

    def points(self, at: Values) -> list[Point]:
        """Give each block, solved."""
        return [
            probe.block.point(tuple([at[i] for i in where]))
            for probe, where in zip(self.probes, self._where, strict=True)
        ]

    def _pieces(self, at: Values) -> list[list[int]]:
        return [point.pieces for point in self.points(at)]

    def read(self, at: Values) -> float:
        """Give the reading with these values."""
        found = self._read.get(at)
        if found is None:
            pairs = zip(self.probes, self.points(at), strict=True)
            found = self._read[at] = sum(probe.read(point) for probe, point in pairs)
        return found

    def forget(self) -> None:
        """Let go of all readings, which a search makes by the hundred; whoever asks again gets the same."""
        self._read.clear()

    def at(self, share: float) -> Values:
        """Give the values with every figure at one share of its range."""
        return tuple([figure.between(share) for figure in self.figures])

    def unknowns_at(self, at: Values, share: float) -> Values:
        """Give values with those that nobody gave put to one share of their range."""
        pairs = zip(self.figures, at, strict=True)
        return tuple([value if figure.known else figure.between(share) for figure, value in pairs])

    # ---- the outermost ----

    def outermost(self) -> tuple[Values, Values]:
        """Give the values at which the reading is least, and most."""
        return self._outermost(-1), self._outermost(1)

    def _outermost(self, sign: int) -> Values:
        few = len(self._open) <= _ALL_CORNERS
        corners = self._corners(sign) if few else self._climbed(sign)
        tries = sorted(corners, key=self.read, reverse=sign > 0)[: _TRIES if self._bent or not few else 1]
        if not few:
            tries = [self._turned(at, sign) for at in tries]
        best = max((self._along(at, sign) for at in tries), key=lambda at: sign * self.read(at))
        return best if few else self._by_twos(best, sign)

    def _corner(self, sign: int, highs: Iterable[bool]) -> Values:
        """Give a corner: what is certain stands at its end, each open group low or high."""
        pairs = zip(self.figures, self._signs, strict=True)
        at = tuple([figure.high if (lean or 0) * sign > 0 else figure.low for figure, lean in pairs])
        return self._put(at, self._open, highs)

    def _put(self, at: Values, groups: Iterable[Sequence[int]], highs: Iterable[bool]) -> Values:
        """Give values with each of some groups of figures low or high."""
        ends = list(at)
        for group, high in zip(groups, highs, strict=True):
            for i in group:
                ends[i] = self.figures[i].high if high else self.figures[i].low
        return tuple(ends)

    def _corners(self, sign: int) -> list[Values]:
        return [self._corner(sign, highs) for highs in product((False, True), repeat=len(self._open))]

    def _climbed(self, sign: int) -> list[Values]:
        """Give the outermost corners that are found from several starts; sign 1 is up, -1 down."""
        tops = dict[Values, None]()
        # what joins or doesn't, nobody knows which, moves nothing until its whole loop is joined: every way
        joints = [group for group in self._open if self.figures[group[0]].by_decades][:_JOINTS]
        starts = range(_STARTS)[:: 3 if joints else 1]
        for start, highs in product(starts, product((False, True), repeat=len(joints))):
            mixed = [bool((start >> i % 3 ^ start * i >> 1) & 1) for i in range(len(self._open))]
            at = self._put(self._corner(sign, mixed), joints, highs)
            seen = dict[Values, None]()
            while at not in seen:
                seen[at] = None
                pulls = self._pulls(at)
                ends = list(at)
                for i, pull in zip(self._free, pulls, strict=True):
                    if pull:
                        ends[i] = self.figures[i].high if pull * sign > 0 else self.figures[i].low
                at = tuple(ends)
            tops[max(seen, key=lambda at: sign * self.read(at))] = None
        return [*tops]

    def _turned(self, at: Values, sign: int) -> Values:
        """Turn open groups from end to end, one by one, as long as that goes further out."""
        gained = True
        while gained:
            gained = False
            for other in self._neighbours(at, self._open):
                if sign * (self.read(other) - self.read(at)) > self._floor:
                    at, gained = other, True
                    break
        return at

    def _by_twos(self, at: Values, sign: int) -> Values:
        """Turn each open group that moves the reading together with each other one, as long as that helps."""
        farther: Values | None = at
        while farther is not None:
            at, here = farther, self.read(farther)
            moving = [
                group
                for group in self._open
                if any(abs(self.read(other) - here) > self._floor for other in self._neighbours(at, [group]))
            ]
            turned = (
                self._put(at, pair, highs)
                for pair in product(moving, self._open)
                for highs in product((False, True), repeat=2)
            )
            farther = next((one for one in turned if sign * (self.read(one) - here) > self._floor), None)
        return at

    def _neighbours(self, at: Values, groups: Iterable[Sequence[int]]) -> Iterator[Values]:
        for group in groups:
            for high in (False, True):
                if (other := self._put(at, [group], [high])) != at:
                    yield other

    def _along(self, at: Values, sign: int) -> Values:
        """Go along the line of each figure whose outermost may lie inside, then turn the others again."""
        for _ in range(4 if self._bent else 0):
            before = self.read(at)
            for i in self._bent:
                at = self._line(at, i, sign)
            at = self._turned(at, sign)
            if sign * (self.read(at) - before) <= self._floor:
                break
        return at

    def _line(self, at: Values, i: int, sign: int) -> Values:
        """Search one figure's range by steps, then ever closer round the best of them."""
        figure = self.figures[i]

        def put(share: float) -> Values:
            return (*at[:i], figure.between(share), *at[i + 1 :])

        ends = [put(0.0), put(1.0)]
        if i in self._lone and self._pieces(ends[0]) == self._pieces(ends[1]):
            # one resistance moves all volts along a straight line: the pieces between are those of both ends
            farther = max(ends, key=lambda end: sign * self.read(end))
            return farther if sign * (self.read(farther) - self.read(at)) > self._floor else at
        steps = _STEPS[figure.by_decades]
        step = 1 / steps
        coarse = [self.read(put(place / _COARSE)) for place in range(_COARSE + 1)]
        if max(coarse) - min(coarse) <= self._floor:
            return at
        readings = {place * step: sign * self.read(put(place * step)) for place in range(steps + 1)}
        best = max(readings, key=lambda share: readings[share])
        while step > 1e-4:
            step /= 2
            near = [share for share in (best - step, best, best + step) if 0 <= share <= 1]
            best = max(near, key=lambda share: sign * self.read(put(share)))
            if sign * (self.read(put(best)) - self.read(at)) <= self._floor and step < 0.05:
                return at
        return put(best)

    def _pulls(self, at: Values) -> list[float]:
        """Give for each open figure which way the reading goes as it rises, by the adjoint."""
        pulls = dict.fromkeys(self._free, 0.0)
        for probe, where, point in zip(self.probes, self._where, self.points(at), strict=True):
            block, follows = probe.block, probe.follows(point)
            own = tuple([at[i] for i in where])
            for place, i in enumerate(where):
                if i in pulls:
                    figure = self.figures[i]
                    low, high = ((*own[:place], end, *own[place + 1 :]) for end in (figure.low, figure.high))
                    for index in block.users[place]:
                        drop = point.drops[index]
                        amps = block.curve(index, high).at(drop) - block.curve(index, low).at(drop)
                        pulls[i] += amps * follows[index]
        return [*pulls.values()]

    # ---- what moves it ----

    def moved(self, before: Values, after: Values) -> bool:
        """Say whether the reading differs by more than a thousandth, and by more than rounding."""
        one, two = self.read(before), self.read(after)
        return abs(one - two) > max(_SAME * abs(one), _SAME * abs(two), self._floor)

    def unknown_movers(self, least: Values, most: Values) -> set[str]:
        """Name what nobody gave and moves the reading.

        Each is turned alone at both outermost points, and one after another on the way from one to the other
        and back.
        """
        # what has no way to the reading moves nothing
        unknown = [i for i, figure in enumerate(self.figures) if not figure.known and self._signs[i] != 0]
        found = set[int]()
        for start, end in ((least, most), (most, least)):
            way = start
            for i in unknown:
                turned = (*way[:i], end[i], *way[i + 1 :])
                steps = (*((start, other) for other in self._neighbours(start, [(i,)])), (way, turned))
                if i not in found and any(a != b and self.moved(a, b) for a, b in steps):
                    found.add(i)
                way = turned
        return {self.figures[i].name for i in found}

    def given_movers(self, ats: Sequence[Values]) -> set[str]:
        """Name the given figures that move the reading by a thousandth, by the adjoint at some points.

        A figure counts with its range, a fixed one with a tenth of itself.
        """
        least = max(self._floor, _SAME * max(abs(self.read(at)) for at in ats))
        names = set[str]()
        for at in ats:
            shifts: dict[str, float] = {}
            for probe, where, point in zip(self.probes, self._where, self.points(at), strict=True):
                follows = probe.follows(point)
                for index, name, amps in probe.block.shifts(tuple([at[i] for i in where])):
                    shifts[name] = shifts.get(name, 0.0) + amps * follows[index]
            names.update(name for name, shift in shifts.items() if abs(shift) > least)
        return names
