"""The order of a few clusters that goes least against their preferences, exactly.

Needs: for each pair, who prefers to stand above and how many crossings it costs
not to.  Where the preferences run in circles something must be given up: this
is the least weight of preferences to break (a feedback arc set).
Leaves: the best order with its cost, or the best found with what is proved.

Branch and bound over sets: what nobody is preferred to goes first, what is
preferred to nobody last, circles are solved one by one, and a set of circles
without common preferences is a lower bound.  Sets are whole numbers used as bit masks.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

__all__ = ["Broken", "break_least"]

_STEPS: Final = 500_000
"""Members of all sets looked at before the search gives up; about 2 s."""

_ARCS_A_STEP: Final = 4
"""Preferences gone through for a bound take as long as a member, so many of them."""

_LONG_MOST: Final = 64
"""In larger sets only circles of three are looked for."""


@dataclass(frozen=True, slots=True)
class Broken:
    """An order, what it breaks, and what no order can break less than."""

    order: tuple[int, ...]
    cost: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether no order costs less."""
        return self.cost == self.bound


def break_least(weight: Sequence[Sequence[int]], start: Sequence[int], effort: int = 1) -> Broken:
    """Return the order that breaks least, `start` when nothing costs less.

    `weight[u][v]` is what it costs to put v above u, 0 where u doesn't prefer to be above v.
    About 2 s times `effort` are spent at most.
    """
    search = _Search(weight, effort * _STEPS)
    everyone = (1 << len(weight)) - 1
    cost = order_cost(weight, start)
    try:
        found = search.least(everyone, cost - 1)
    except _TooManyError:
        return Broken(tuple(start), cost, min(cost, search.root_bound(everyone)))
    if found is None:
        return Broken(tuple(start), cost, cost)
    return Broken(tuple(search.order(everyone)), found, found)


def order_cost(weight: Sequence[Sequence[int]], order: Sequence[int]) -> int:
    """Return the weight of the preferences that an order breaks."""
    return sum(weight[lower][upper] for index, upper in enumerate(order) for lower in order[index + 1 :])


class _TooManyError(Exception):
    """The search has looked at as many sets as it may."""


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


class _Search:
    """Least cost of sets, remembered: exact where known, otherwise a bound."""

    def __init__(self, weight: Sequence[Sequence[int]], steps: int) -> None:
        size = len(weight)
        self.weight = weight
        self.steps = steps
        self.above = [sum(1 << u for u in range(size) if weight[u][v] > 0) for v in range(size)]
        self.below = [sum(1 << v for v in range(size) if weight[u][v] > 0) for u in range(size)]
        self.exact: dict[int, int] = {0: 0}
        self.at_least: dict[int, int] = {}
        self.choice: dict[int, tuple[int, bool]] = {}  # set: who goes first (or last)

    def root_bound(self, members: int) -> int:
        """Return what is proved so far without looking further."""
        return sum(self._bound(circle) for circle in self._circles(members))

    def least(self, members: int, budget: int) -> int | None:
        """Return the least cost of a set, or None when it is more than `budget`."""
        circles = self._circles(members)
        bounds = [self._bound(circle) for circle in circles]
        spare = budget - sum(bounds)
        if spare < 0:
            return None
        total = 0
        for circle, bound in zip(circles, bounds, strict=True):
            cost = self._circle(circle, bound + spare)
            if cost is None:
                return None
            spare -= cost - bound
            total += cost
        return total

    def _circle(self, members: int, budget: int) -> int | None:
        known = self.exact.get(members)
        if known is not None:
            return known if known <= budget else None
        if self._bound(members) > budget:
            return None
        self.steps -= members.bit_count()
        if self.steps < 0:
            raise _TooManyError
        # somebody stands first and somebody last: whichever end leaves fewer to try is tried, and what
        # remains is a set again, remembered (as Held and Karp 1962 do for tours)
        first = sorted((self._cost(self.above[v], v, members, True), v) for v in _bits(members))
        last = sorted((self._cost(self.below[v], v, members, False), v) for v in _bits(members))
        at_top = sum(cost <= budget for cost, _ in first) <= sum(cost <= budget for cost, _ in last)
        best: int | None = None
        limit = budget
        for cost, vertex in first if at_top else last:
            if cost > limit:
                break
            rest = self.least(members & ~(1 << vertex), limit - cost)
            if rest is not None:
                best = cost + rest
                self.choice[members] = (vertex, at_top)
                limit = best - 1
                if best <= self._bound(members):
                    break
        if best is None:
            self.at_least[members] = budget + 1
        else:
            self.exact[members] = best
        return best

    def _cost(self, others: int, vertex: int, members: int, at_top: bool) -> int:
        """Return what it breaks to put a vertex above (or below) all others of a set."""
        weight = self.weight
        if at_top:
            return sum(weight[other][vertex] for other in _bits(others & members))
        return sum(weight[vertex][other] for other in _bits(others & members))

    def _bound(self, members: int) -> int:
        known = self.exact.get(members)
        if known is not None:
            return known
        bound = self.at_least.get(members)
        if bound is None:
            bound = self.at_least[members] = self._packing(members)
        return bound

    def _packing(self, members: int) -> int:
        """Return the weight of circles of three (then longer ones) that share no preference."""
        left = {(u, v): self.weight[u][v] for u in _bits(members) for v in _bits(self.below[u] & members)}
        self.steps -= len(left) // _ARCS_A_STEP
        below = [arcs & members for arcs in self.below]
        above = [arcs & members for arcs in self.above]
        total = 0

        def take(arcs: Sequence[tuple[int, int]]) -> int:
            least = min(left[arc] for arc in arcs)
            for u, v in arcs:
                left[u, v] -= least
                if not left[u, v]:
                    below[u] &= ~(1 << v)
                    above[v] &= ~(1 << u)
            return least

        for u, v in list(left):
            while left[u, v]:
                third = below[v] & above[u]
                if not third:
                    break
                w = (third & -third).bit_length() - 1
                total += take(((u, v), (v, w), (w, u)))
        if members.bit_count() > _LONG_MOST:
            return total
        # every circle has to be broken somewhere: circles without a common preference are broken apart, so
        # their least weights add up to a bound (the dual of a feedback arc set: a packing of circles)
        part_of = {v: part for part in self._circles(members, below, above) for v in _bits(part)}
        for u, v in list(left):
            if part_of.get(u, -1) != part_of.get(v, -2):
                continue
            while left[u, v]:
                path, looked_at = _way(v, u, below, above)
                self.steps -= looked_at // _ARCS_A_STEP
                if not path:
                    break
                total += take(((u, v), *path))
        return total

    def _circles(
        self, members: int, below: Sequence[int] | None = None, above: Sequence[int] | None = None
    ) -> list[int]:
        """Return the strongly connected parts of a set that have more than one member, top first.

        By the preferences that `below` and `above` still hold, or by all.
        """
        below, above = below or self.below, above or self.above
        # forward-backward search: who is reached from a member both down and up is in a circle with it
        members = self._trim(members, below, above)
        out: list[int] = []
        while members:
            start = members & -members
            down, up = self._reach(start, below, members), self._reach(start, above, members)
            out.append(down & up)
            members = self._trim(members & ~(down & up), below, above)
        return [part for part in out if part & (part - 1)]

    def _trim(self, members: int, below: Sequence[int], above: Sequence[int]) -> int:
        """Take away, again and again, whom nobody is preferred to or who is preferred to nobody."""
        changed = True
        while changed:
            changed = False
            for vertex in _bits(members):
                if not above[vertex] & members or not below[vertex] & members:
                    members &= ~(1 << vertex)
                    changed = True
        return members

    def _reach(self, start: int, arcs: Sequence[int], members: int) -> int:
        seen = fresh = start
        while fresh:
            new = 0
            for vertex in _bits(fresh):
                new |= arcs[vertex]
            fresh = new & members & ~seen
            seen |= fresh
        return seen

    def order(self, members: int) -> list[int]:
        """Return the members of a solved set in their order; the lowest number first where that is free."""
        out: list[int] = []
        while members:
            free = next((v for v in _bits(members) if not self.above[v] & members), None)
            if free is not None:
                out.append(free)
                members &= ~(1 << free)
                continue
            part = next(
                circle
                for vertex in _bits(members)
                if not self._entered(circle := self._part(vertex, members), members)
            )
            out.extend(self._circle_order(part))
            members &= ~part
        return out

    def _part(self, vertex: int, members: int) -> int:
        start = 1 << vertex
        return self._reach(start, self.below, members) & self._reach(start, self.above, members)

    def _entered(self, part: int, members: int) -> bool:
        return any(self.above[vertex] & members & ~part for vertex in _bits(part))

    def _circle_order(self, part: int) -> list[int]:
        vertex, at_top = self.choice[part]
        rest = self.order(part & ~(1 << vertex))
        return [vertex, *rest] if at_top else [*rest, vertex]


def _way(
    start: int, goal: int, below: Sequence[int], above: Sequence[int]
) -> tuple[tuple[tuple[int, int], ...], int]:
    """Return the arcs of a shortest way from start to goal, or none; and how many vertices were looked at."""
    seen = 1 << start
    rings = [seen]  # vertices one arc further each time
    while not seen >> goal & 1:
        ring = 0
        for vertex in _bits(rings[-1]):
            ring |= below[vertex]
        ring &= ~seen
        if not ring:
            return (), seen.bit_count()
        rings.append(ring)
        seen |= ring
    path: list[tuple[int, int]] = []
    here = goal
    for ring in rings[-2::-1]:
        before = ring & above[here]
        there = (before & -before).bit_length() - 1
        path.append((there, here))
        here = there
    return tuple(path[::-1]), seen.bit_count()
