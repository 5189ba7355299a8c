"""Network room: how far an answer can go while every figure goes over its range.

The outermost answers lie at corners, nearly always: a block of few figures is tried at every corner, a
larger one is climbed from several starts, by the signs of the adjoint and then figure by figure.  A figure
that several elements share, or that spans decades, is searched along its line as well.  Found by trial, not
proved: see the package's docstring.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from doorsheet.network.curves import Curve
from doorsheet.network.elements import Figure
from doorsheet.network.solve import Point, Probe, Values

__all__ = ["Question"]

_ALL_CORNERS = 8
_STARTS = 6
_INNER = 7
_FLOORS = (20e-6, 20e-9)  # V, A
_SAME = 1e-3
_WEIGHS = 1e-2


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
        uses = [0] * len(ranging)
        for probe, where in zip(probes, self._where, strict=True):
            for use in (use for uses_of in probe.block.uses for use in uses_of if use >= 0):
                uses[where[use]] += 1
        self._bent = [i for i, f in enumerate(self.figures) if uses[i] > 1 or f.by_decades]

    def points(self, at: Values) -> list[Point]:
        """Give each block, solved."""
        return [
            probe.block.point(tuple([at[i] for i in where]))
            for probe, where in zip(self.probes, self._where, strict=True)
        ]

    def read(self, at: Values) -> float:
        """Give the reading with these values."""
        found = self._read.get(at)
        if found is None:
            pairs = zip(self.probes, self.points(at), strict=True)
            found = self._read[at] = sum(probe.read(point) for probe, point in pairs)
        return found

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
        if len(self.figures) <= _ALL_CORNERS:
            corners = sorted(product(*((f.low, f.high) for f in self.figures)), key=self.read)
            ends = (corners[:3], corners[:-4:-1])
        else:
            ends = ([self._climb(-1)], [self._climb(1)])
        least = min((self._along(at, -1) for at in ends[0]), key=self.read)
        most = max((self._along(at, 1) for at in ends[1]), key=self.read)
        return least, most

    def _climb(self, sign: int) -> Values:
        """Give the outermost corner that is found from several starts; sign 1 is up, -1 down."""
        best: Values | None = None
        for start in self._starts():
            at, seen = start, set[Values]()
            while at not in seen:
                seen.add(at)
                pulls = self._pulls(at)
                at = tuple(
                    [
                        value if not pull else f.high if pull * sign > 0 else f.low
                        for f, value, pull in zip(self.figures, at, pulls, strict=True)
                    ]
                )
            for found in seen:
                if best is None or sign * (self.read(found) - self.read(best)) > 0:
                    best = found
        assert best is not None
        return self._turned(best, sign)

    def _starts(self) -> Iterator[Values]:
        """Yield some corners: all low, all high, and some that mix in ways of their own."""
        for start in range(_STARTS):
            yield tuple(
                [
                    f.high if (start >> i % 3 ^ start * i >> 1) & 1 else f.low
                    for i, f in enumerate(self.figures)
                ]
            )

    def _turned(self, at: Values, sign: int) -> Values:
        """Turn single figures from end to end as long as that goes further out."""
        gained = True
        while gained:
            gained = False
            for other in self._neighbours(at):
                if sign * (self.read(other) - self.read(at)) > self._floor:
                    at, gained = other, True
                    break
        return at

    def _neighbours(self, at: Values) -> Iterator[Values]:
        """Yield the values with one figure at its other end, or at either from inside."""
        for i, figure in enumerate(self.figures):
            for end in (figure.low, figure.high):
                if at[i] != end:
                    yield (*at[:i], end, *at[i + 1 :])

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

        step = 1 / (_INNER + 1)
        shares = [place * step for place in range(_INNER + 2)]
        best = max(shares, key=lambda share: sign * self.read(put(min(share, 1.0))))
        while step > 1e-4:
            step /= 2
            near = [share for share in (best - step, best, best + step) if 0 <= share <= 1]
            best = max(near, key=lambda share: sign * self.read(put(share)))
            if sign * (self.read(put(best)) - self.read(at)) <= self._floor and step < 0.05:
                return at
        return put(best)

    def _pulls(self, at: Values) -> list[float]:
        """Give for each figure which way the reading goes as it rises, by the adjoint."""
        pulls = [0.0] * len(self.figures)
        for probe, where, point in zip(self.probes, self._where, self.points(at), strict=True):
            follows = probe.follows(point)
            block = probe.block
            own = [at[i] for i in where]
            for place, figure in enumerate(block.figures):
                for end, factor in ((figure.low, -1.0), (figure.high, 1.0)):
                    values = (*own[:place], end, *own[place + 1 :])
                    for index, uses in enumerate(block.uses):
                        if place in uses:
                            amps = block.curve(index, values).at(point.drops[index])
                            pulls[where[place]] += factor * amps * follows[index]
        return pulls

    # ---- what moves it ----

    def moved(self, before: Values, after: Values) -> bool:
        """Say whether the reading differs by more than a thousandth, and by more than rounding."""
        one, two = self.read(before), self.read(after)
        return abs(one - two) > max(_SAME * abs(one), _SAME * abs(two), self._floor)

    def movers(self, least: Values, most: Values) -> set[str]:
        """Name the ranging figures that move the reading.

        Each is turned alone at both outermost points, and one after another on the way from one to the
        other and back.
        """
        names = set[str]()
        for start, end in ((least, most), (most, least)):
            for other in self._neighbours(start):
                if self.moved(start, other):
                    names.update(f.name for f, a, b in zip(self.figures, start, other, strict=True) if a != b)
            at = start
            for i, figure in enumerate(self.figures):
                turned = (*at[:i], end[i], *at[i + 1 :])
                if turned != at and self.moved(at, turned):
                    names.add(figure.name)
                at = turned
        return names

    def weights(self, at: Values) -> set[str]:
        """Name the fixed figures a tenth of which would move the reading by a thousandth."""
        shifts: dict[str, float] = {}
        for probe, where, point in zip(self.probes, self._where, self.points(at), strict=True):
            follows = probe.follows(point)
            values = tuple([at[i] for i in where])
            for index, (element, uses) in enumerate(zip(probe.block.elements, probe.block.uses, strict=True)):
                for place, (figure, use) in enumerate(zip(element.figures, uses, strict=True)):
                    if use < 0 and figure.name and figure.low:
                        own = probe.block.own(index, values)
                        own = (*own[:place], figure.low * 1.001, *own[place + 1 :])
                        shift = _on_piece(element.shape(*own), point.pieces[index], point.drops[index])
                        shift -= probe.block.current(point, index)
                        shifts[figure.name] = shifts.get(figure.name, 0.0) + 1000 * shift * follows[index]
        least = max(_WEIGHS * abs(self.read(at)), 10 * self._floor)
        return {name for name, shift in shifts.items() if abs(shift) > least}


def _on_piece(curve: Curve, piece: int, volts: float) -> float:
    """Give the current at a voltage on one piece's line, drawn on beyond its ends."""
    piece = min(piece, len(curve.breaks))
    return curve.slopes[piece] * volts + curve.offsets[piece]
