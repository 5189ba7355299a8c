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

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import cache
from itertools import accumulate
from typing import Final, Generic, NamedTuple, TypeVar

from doorsheet.layout.bound import Bundle, inversions, preference

__all__ = ["Settled", "settle"]

_CIRCLE_MOST: Final = 14
"""Clusters whose every order is compared, 2^14 sets of them; no sheet that was ever drawn had as many."""

_ROUNDS: Final = 40


_One = TypeVar("_One")


class Settled(NamedTuple, Generic[_One]):
    """What stands from top to bottom, what it crosses, and what no order of it can go below."""

    order: tuple[_One, ...]
    crossings: int
    bound: int


def settle(
    bundles: Sequence[Bundle], blocks: Sequence[int] | None = None, circles: bool = True
) -> Settled[int]:
    """Order the bundles, by their indices, for the fewest crossings among wires of different bundles.

    Bundles of different `blocks` never mix: blocks stand in rising order.  Ties keep the given order.
    Without `circles`, preferences that run in circles are left as the moves leave them.
    """
    groups: dict[int, list[int]] = {}
    for index in range(len(bundles)):
        groups.setdefault(blocks[index] if blocks is not None else 0, []).append(index)
    order: list[int] = []
    gap = 0
    for block in sorted(groups):
        members = groups[block]
        places, block_gap = _settle_block([bundles[index] for index in members], circles)
        order.extend(members[place] for place in places)
        gap += block_gap
    crossings = inversions([place for index in order for place in bundles[index]])
    return Settled(tuple(order), crossings, crossings - gap)


def _settle_block(bundles: Sequence[Bundle], circles: bool) -> tuple[list[int], int]:
    """Return the order of one block's bundles and how far it may be from the fewest crossings."""
    order = sorted(range(len(bundles)), key=lambda index: sum(bundles[index]) / len(bundles[index]))
    wide = [index for index, bundle in enumerate(bundles) if len(bundle) > 2]
    if not wide or len(bundles) == 1:
        return order, 0
    column = _Column(order, bundles)
    against = _move(column, wide)
    return order, _solve_circles(column, against) if circles else sum(cost for *_, cost in against)


class _Column:
    """Clusters from top to bottom, by their number, and what it costs to have one above another."""

    def __init__(self, order: list[int], bundles: Sequence[Bundle]) -> None:
        self.order, self.bundles = order, bundles
        self.prefers = cache(lambda upper, lower: preference(bundles[upper], bundles[lower]))
        self._look()

    def _look(self) -> None:
        ends = [self.bundles[index] for index in self.order]
        self.lowest_above = list(accumulate((bundle[-1] for bundle in ends), max))
        self.highest_below = list(accumulate((bundle[0] for bundle in reversed(ends)), min))[::-1]

    def near(self, index: int) -> range:
        """Return the places where others may prefer another side of a cluster than the one they are on."""
        own = self.bundles[index]
        return range(bisect_left(self.lowest_above, own[0]), bisect_right(self.highest_below, own[-1]))

    def to_best_place(self, index: int) -> bool:
        """Move a cluster to where it costs least; say whether it moved."""
        here, near = self.order.index(index), self.near(index)
        best, best_place = 0, here
        for way in (range(here - 1, near.start - 1, -1), range(here + 1, near.stop)):
            change = 0
            for place in way:
                other = self.order[place]
                change += self.prefers(index, other) if place < here else self.prefers(other, index)
                if change < best:
                    best, best_place = change, place
        if best < 0:
            self.order.insert(best_place, self.order.pop(here))
            self._look()
        return best < 0


def _move(column: _Column, wide: Sequence[int]) -> list[tuple[int, int, int]]:
    """Move clusters that stand badly, each to its best place, while that saves; return who still does."""
    for _ in range(_ROUNDS):
        against = _against(column, wide)
        moved = False
        for index in dict.fromkeys(member for upper, lower, _ in against for member in (upper, lower)):
            moved |= column.to_best_place(index)
        if not moved:
            return against
    return _against(column, wide)


def _against(column: _Column, wide: Sequence[int]) -> list[tuple[int, int, int]]:
    """Return the pairs (upper, lower, cost) that stand against their preference.

    Pairs of two narrow clusters stand in the order of their means as long as they were not moved; once
    moves are made they are looked at as well, where their means say so.
    """
    out: list[tuple[int, int, int]] = []
    at = {index: place for place, index in enumerate(column.order)}
    is_wide = set(wide)
    for index in sorted(wide, key=lambda index: at[index]):
        own, here = column.bundles[index], at[index]
        near = column.near(index)
        for place, other in enumerate(column.order[near.start : near.stop], near.start):
            ends = column.bundles[other]
            # apart, and rightly: nothing to compare; pairs of two wide ones once
            if ends[-1] <= own[0] or other in is_wide if place < here else own[-1] <= ends[0]:
                continue
            upper, lower = (other, index) if place < here else (index, other)
            cost = column.prefers(upper, lower)
            if cost > 0:
                out.append((upper, lower, cost))
    out.extend(_narrow_against(column, is_wide))
    return out


def _narrow_against(column: _Column, wide: set[int]) -> list[tuple[int, int, int]]:
    narrow = [index for index in column.order if index not in wide]
    means = [sum(column.bundles[index]) / len(column.bundles[index]) for index in narrow]
    out: list[tuple[int, int, int]] = []
    highest = float("-inf")
    for place, mean in enumerate(means):
        if mean < highest:  # someone above has a greater mean: only such pairs can stand badly
            for above in range(place):
                if means[above] > mean:
                    cost = column.prefers(narrow[above], narrow[place])
                    if cost > 0:
                        out.append((narrow[above], narrow[place], cost))
        highest = max(highest, mean)
    return out


# --- circles ---------------------------------------------------------------


def _solve_circles(column: _Column, against: Sequence[tuple[int, int, int]]) -> int:
    """Solve the stretches of the order that hold pairs which stand against their preference.

    A preference that is broken closes a circle only with clusters that stand between its two; so
    stretches that no broken preference leaves can be solved each by itself.  Returns how far the order
    may still be from the fewest crossings: what is broken in stretches too long to be solved.
    """
    order = column.order
    place = {index: at for at, index in enumerate(order)}
    spans = sorted((place[upper], place[lower], cost) for upper, lower, cost in against)
    stretches: list[list[int]] = []  # first, last, cost
    for top, bottom, cost in spans:
        if stretches and top <= stretches[-1][1]:
            stretches[-1][1] = max(stretches[-1][1], bottom)
            stretches[-1][2] += cost
        else:
            stretches.append([top, bottom, cost])
    gap = 0
    for top, bottom, cost in stretches:
        if bottom - top >= _CIRCLE_MOST:
            gap += cost
        else:
            order[top : bottom + 1] = _best_order(order[top : bottom + 1], column)
    return gap


def _best_order(members: Sequence[int], column: _Column) -> list[int]:
    """Return the order that crosses least, the given one where none crosses less.

    Of every set the best order to stand on top, from the smallest sets up (dynamic programming over
    subsets, as Held and Karp 1962 do for tours); sets are whole numbers used as bit masks.
    """
    size = len(members)
    below = []  # of each member: what it costs to stand below all of a set, for every set
    for lower in members:
        costs = [0]
        for upper in members:
            costs += [cost + column.prefers(upper, lower) for cost in costs]
        below.append(costs)
    least = [0] * (1 << size)
    last = [0] * (1 << size)  # who stands lowest
    for mask in range(1, 1 << size):
        least[mask], behind = min(
            (least[mask ^ 1 << n] + below[n][mask ^ 1 << n], -n) for n in range(size) if mask >> n & 1
        )
        last[mask] = -behind
    out = []
    mask = len(least) - 1
    while mask:
        out.append(members[last[mask]])
        mask ^= 1 << last[mask]
    return out[::-1]
