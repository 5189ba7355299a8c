"""One side put in order while the other is held: the fewest crossings, with their bound.

Needs: one bundle for each cluster (see `doorsheet.layout.bound`), none of them empty.
Leaves: the order of the bundles, what it crosses, and what no order can go below.

The phases: sort by mean -> move single clusters -> solve what runs in circles.
Sorting by the mean is enough, and proved so, as long as no cluster has more than
two wires: of two such clusters the one with the smaller mean never prefers to be
below.  (With a1 <= a2 and b1 <= b2 and a1 + a2 <= b1 + b2, one of a1 < b1, a2 < b2
holds unless both pairs are equal; then two of the four comparisons favour a, and
they outweigh the other two.)  So only pairs with a wider cluster are looked at again.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from doorsheet.layout.bound import Bundle, inversions, preference
from doorsheet.layout.exact import break_least
from doorsheet.layout.shake import shaken

__all__ = ["Settled", "settle"]

_EXACT_MOST: Final = 64
"""Circles of more clusters than this are not tried exactly, unless more effort is asked for."""

_PLAIN: Final = 60_000
"""So many pairs of wires are compared one by one; more of them in bulk, with numpy."""

_KEPT: Final = 40_000_000
"""So many comparisons are remembered."""

_ROUNDS: Final = 40


@dataclass(frozen=True, slots=True)
class Settled:
    """Indices of the bundles from top to bottom."""

    order: tuple[int, ...]
    crossings: int
    bound: int

    @property
    def proved(self) -> bool:
        """Whether no order crosses less."""
        return self.crossings == self.bound


def settle(bundles: Sequence[Bundle], blocks: Sequence[int] | None = None, effort: int = 1) -> Settled:
    """Order the bundles for the fewest crossings among wires of different bundles.

    Bundles of different `blocks` never mix: blocks stand in rising order.  Ties keep the given order.
    With an effort of 0, circles are left as the moves leave them; 1 is about 2 s at most.
    """
    groups: dict[int, list[int]] = {}
    for index in range(len(bundles)):
        groups.setdefault(blocks[index] if blocks is not None else 0, []).append(index)
    order: list[int] = []
    gap = 0
    for block in sorted(groups):
        members = groups[block]
        places, block_gap = _settle_block([bundles[index] for index in members], effort)
        order.extend(members[place] for place in places)
        gap += block_gap
    crossings = inversions([place for index in order for place in bundles[index]])
    return Settled(tuple(order), crossings, crossings - gap)


_Order: TypeAlias = "list[int] | array[int]"  # an array where numpy reads it


def _settle_block(bundles: Sequence[Bundle], effort: int) -> tuple[list[int], int]:
    """Return the order of one block's bundles and how far it may be from the fewest crossings."""
    by_mean = sorted(range(len(bundles)), key=lambda index: sum(bundles[index]) / len(bundles[index]))
    wide = [index for index, bundle in enumerate(bundles) if len(bundle) > 2]
    if not wide or len(bundles) == 1:
        return by_mean, 0
    prefers = _Preferences(bundles)
    order: _Order = by_mean if prefers.bulk is None else array("q", by_mean)
    against = _move(order, wide, prefers)
    if not against:
        return list(order), 0
    if not effort:
        return list(order), sum(cost for _, _, cost in against)
    return _solve_circles(list(order), against, prefers, effort)


class _Preferences:
    """What it costs to have one cluster above another, less the other way round; worked out once."""

    def __init__(self, bundles: Sequence[Bundle]) -> None:
        self.bundles = bundles
        self.rows: dict[int, Sequence[int]] = {}
        wires = sum(map(len, bundles))
        wide = sum(len(bundle) for bundle in bundles if len(bundle) > 2)
        self.bulk = _Bulk(bundles) if wires * wide > _PLAIN else None

    def row(self, index: int) -> Sequence[int]:
        """Return it for `index` above each other one."""
        row = self.rows.get(index)
        if row is None:
            if self.bulk is not None:
                row = self.bulk.row(index)
            else:
                row = [preference(self.bundles[index], other) for other in self.bundles]
            if len(self.rows) * len(row) < _KEPT:
                self.rows[index] = row
        return row

    def pair(self, upper: int, lower: int) -> int:
        """Return it for one pair."""
        if upper in self.rows:
            return self.rows[upper][lower]
        if lower in self.rows:
            return -self.rows[lower][upper]
        return preference(self.bundles[upper], self.bundles[lower])


class _Bulk:
    """The same for many wires at a time; only here is numpy loaded."""

    def __init__(self, bundles: Sequence[Bundle]) -> None:
        import numpy

        self.numpy = numpy
        self.bundles = bundles
        sizes = [len(bundle) for bundle in bundles]
        self.places = numpy.array([place for bundle in bundles for place in bundle], dtype=numpy.int64)
        self.starts = numpy.concatenate(([0], numpy.cumsum(sizes)[:-1]))

    def row(self, index: int) -> Sequence[int]:
        numpy = self.numpy
        own = numpy.array(self.bundles[index], dtype=numpy.int64)
        # how many of the own places lie below, and not above, each place up to the last
        top = int(self.places.max()) + 2
        below = numpy.searchsorted(own, numpy.arange(top), "left")
        sign = len(own) - numpy.searchsorted(own, numpy.arange(top), "right") - below
        row = array("q")
        row.frombytes(numpy.add.reduceat(sign[self.places], self.starts).astype(numpy.int64).tobytes())
        return row

    def best_place(self, order: _Order, here: int, row: Sequence[int]) -> int:
        """Return the place in the order with the fewest crossings for the one that stands at `here`."""
        numpy = self.numpy
        costs = numpy.frombuffer(row, dtype=numpy.int64)[numpy.frombuffer(order, dtype=numpy.int64)]
        up = numpy.cumsum(costs[:here][::-1])  # the change if it moves above each of those
        down = numpy.cumsum(-costs[here + 1 :])
        best, place = 0, here
        if here and up.min() < best:
            best, place = int(up.min()), here - 1 - int(up.argmin())
        if here + 1 < len(order) and down.min() < best:
            place = here + 1 + int(down.argmin())
        return place

    def against(self, order: _Order, place: int, row: Sequence[int]) -> list[tuple[int, int]]:
        """Return the places, with the cost, of those in the order that the one at `place` stands badly to."""
        numpy = self.numpy
        costs = numpy.frombuffer(row, dtype=numpy.int64)[numpy.frombuffer(order, dtype=numpy.int64)]
        costs[:place] *= -1
        badly = numpy.nonzero(costs > 0)[0]
        return list(zip(badly.tolist(), costs[badly].tolist(), strict=True))


def _move(order: _Order, wide: Sequence[int], prefers: _Preferences) -> list[tuple[int, int, int]]:
    """Move clusters that stand badly, each to its best place, while that saves; return who still does."""
    for _ in range(_ROUNDS):
        against = _against(order, wide, prefers)
        moved = False
        for index in dict.fromkeys(member for upper, lower, _ in against for member in (upper, lower)):
            moved |= _to_best_place(order, index, prefers)
        if not moved:
            return against
    return _against(order, wide, prefers)


def _to_best_place(order: _Order, index: int, prefers: _Preferences) -> bool:
    row = prefers.row(index)
    here = order.index(index)
    if prefers.bulk is not None:
        best_place = prefers.bulk.best_place(order, here, row)
        if best_place != here:
            order.insert(best_place, order.pop(here))
        return best_place != here
    best, best_place = 0, here
    change = 0
    for place in range(here - 1, -1, -1):
        change += row[order[place]]
        if change < best:
            best, best_place = change, place
    change = 0
    for place in range(here + 1, len(order)):
        change -= row[order[place]]
        if change < best:
            best, best_place = change, place
    if best < 0:
        order.insert(best_place, order.pop(here))
    return best < 0


def _against(order: _Order, wide: Sequence[int], prefers: _Preferences) -> list[tuple[int, int, int]]:
    """Return the pairs (upper, lower, cost) that stand against their preference.

    Pairs of two narrow clusters stand in the order of their means as long as they were not moved; once
    moves are made they are looked at as well, where their means say so.
    """
    out: list[tuple[int, int, int]] = []
    at = {index: place for place, index in enumerate(order)}
    is_wide = set(wide)
    for index in sorted(wide, key=lambda index: at[index]):
        row, place = prefers.row(index), at[index]
        if prefers.bulk is not None:
            badly = prefers.bulk.against(order, place, row)
        else:
            signed = ((n, -row[other] if n < place else row[other]) for n, other in enumerate(order))
            badly = [(n, cost) for n, cost in signed if cost > 0]
        for n, cost in badly:
            other = order[n]
            if other not in is_wide or place < n:  # pairs of two wide ones once
                out.append((index, other, cost) if place < n else (other, index, cost))
    out.extend(_narrow_against(order, is_wide, prefers))
    return out


def _narrow_against(order: _Order, wide: set[int], prefers: _Preferences) -> list[tuple[int, int, int]]:
    narrow = [index for index in order if index not in wide]
    means = [sum(prefers.bundles[index]) / len(prefers.bundles[index]) for index in narrow]
    out: list[tuple[int, int, int]] = []
    highest = float("-inf")
    for place, mean in enumerate(means):
        if mean < highest:  # someone above has a greater mean: only such pairs can stand badly
            for above in range(place):
                if means[above] > mean:
                    cost = prefers.pair(narrow[above], narrow[place])
                    if cost > 0:
                        out.append((narrow[above], narrow[place], cost))
        highest = max(highest, mean)
    return out


# --- circles ---------------------------------------------------------------


def _solve_circles(
    order: list[int], against: Sequence[tuple[int, int, int]], prefers: _Preferences, effort: int
) -> tuple[list[int], int]:
    """Solve the stretches of the order that hold pairs which stand against their preference.

    A preference that is broken closes a circle only with clusters that stand between its two; so
    stretches that no broken preference leaves can be solved each by itself.
    """
    place = {index: at for at, index in enumerate(order)}
    spans = sorted((place[upper], place[lower], cost) for upper, lower, cost in against)
    stretches: list[list[int]] = []  # first, last, cost
    for top, bottom, cost in spans:
        if stretches and top <= stretches[-1][1]:
            stretches[-1][1] = max(stretches[-1][1], bottom)
            stretches[-1][2] += cost
        else:
            stretches.append([top, bottom, cost])
    out = list(order)
    gap = 0
    for top, bottom, cost in stretches:
        members = order[top : bottom + 1]
        if len(members) > 8 * _EXACT_MOST * effort:
            gap += cost
            continue
        out[top : bottom + 1], stretch_gap = _solve_stretch(members, prefers, effort)
        gap += stretch_gap
    return out, gap


def _solve_stretch(members: Sequence[int], prefers: _Preferences, effort: int) -> tuple[list[int], int]:
    size = len(members)
    weight = [[0] * size for _ in range(size)]
    for i in range(size):
        row = prefers.row(members[i])
        for j in range(i + 1, size):
            cost = row[members[j]]
            if cost < 0:
                weight[i][j] = -cost
            elif cost > 0:
                weight[j][i] = cost
    out: list[int] = []
    gap = 0
    for part in _parts_in_order(weight):
        if len(part) == 1:
            out.append(members[part[0]])
            continue
        inner = [[weight[u][v] for v in part] for u in part]
        broken = break_least(inner, range(len(part)), 1 if len(part) <= _EXACT_MOST and effort else 0)
        if not broken.proved and effort > 1:
            better, _ = shaken(inner, broken.order, effort // 2)
            broken = break_least(inner, better, effort if len(part) <= _EXACT_MOST * effort else 0)
        out.extend(members[part[v]] for v in broken.order)
        gap += broken.cost - broken.bound
    return out, gap


def _parts_in_order(weight: Sequence[Sequence[int]]) -> list[list[int]]:
    """Return the strongly connected parts, those above first, the lowest number first where that is free."""
    size = len(weight)
    below = [[v for v in range(size) if weight[u][v] > 0] for u in range(size)]
    part_of = _strong_parts(below)
    count = max(part_of) + 1
    members: list[list[int]] = [[] for _ in range(count)]
    for vertex, part in enumerate(part_of):
        members[part].append(vertex)
    waits = [0] * count
    after: list[set[int]] = [set() for _ in range(count)]
    for u in range(size):
        for v in below[u]:
            if part_of[u] != part_of[v] and part_of[v] not in after[part_of[u]]:
                after[part_of[u]].add(part_of[v])
                waits[part_of[v]] += 1
    out: list[list[int]] = []
    ready = [part for part in range(count) if not waits[part]]
    while ready:
        part = min(ready, key=lambda part: members[part][0])
        ready.remove(part)
        out.append(members[part])
        for later in after[part]:
            waits[later] -= 1
            if not waits[later]:
                ready.append(later)
    return out


def _strong_parts(below: Sequence[Sequence[int]]) -> list[int]:
    """Return the number of each vertex's strongly connected part (two walks, the second backwards)."""
    size = len(below)
    above: list[list[int]] = [[] for _ in range(size)]
    for u, targets in enumerate(below):
        for v in targets:
            above[v].append(u)
    finished: list[int] = []
    seen = [False] * size
    for root in range(size):
        if seen[root]:
            continue
        seen[root] = True
        stack = [(root, iter(below[root]))]
        while stack:
            vertex, waiting = stack[-1]
            fresh = next((target for target in waiting if not seen[target]), None)
            if fresh is None:
                finished.append(vertex)
                stack.pop()
            else:
                seen[fresh] = True
                stack.append((fresh, iter(below[fresh])))
    part_of = [-1] * size
    count = 0
    for root in reversed(finished):
        if part_of[root] >= 0:
            continue
        part_of[root] = count
        queue = [root]
        for vertex in queue:
            for other in above[vertex]:
                if part_of[other] < 0:
                    part_of[other] = count
                    queue.append(other)
        count += 1
    return part_of
