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

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from doorsheet.layout.bound import Bundle, inversions, preference

__all__ = ["Settled", "settle"]

_CIRCLE_MOST: Final = 14
"""Clusters whose every order is compared, 2^14 sets of them; no sheet that was ever drawn had as many."""

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


def settle(bundles: Sequence[Bundle], blocks: Sequence[int] | None = None, circles: bool = True) -> Settled:
    """Order the bundles for the fewest crossings among wires of different bundles.

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
    prefers = _Preferences(bundles)
    against = _move(order, wide, prefers)
    return order, _solve_circles(order, against, prefers) if circles else sum(cost for *_, cost in against)


class _Preferences:
    """What it costs to have one cluster above another, less the other way round; worked out once."""

    def __init__(self, bundles: Sequence[Bundle]) -> None:
        self.bundles = bundles
        self.rows: dict[int, Sequence[int]] = {}

    def row(self, index: int) -> Sequence[int]:
        """Return it for `index` above each other one."""
        row = self.rows.get(index)
        if row is None:
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


def _move(order: list[int], wide: Sequence[int], prefers: _Preferences) -> list[tuple[int, int, int]]:
    """Move clusters that stand badly, each to its best place, while that saves; return who still does."""
    for _ in range(_ROUNDS):
        against = _against(order, wide, prefers)
        moved = False
        for index in dict.fromkeys(member for upper, lower, _ in against for member in (upper, lower)):
            moved |= _to_best_place(order, index, prefers)
        if not moved:
            return against
    return _against(order, wide, prefers)


def _to_best_place(order: list[int], index: int, prefers: _Preferences) -> bool:
    row = prefers.row(index)
    here = order.index(index)
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


def _against(order: list[int], wide: Sequence[int], prefers: _Preferences) -> list[tuple[int, int, int]]:
    """Return the pairs (upper, lower, cost) that stand against their preference.

    Pairs of two narrow clusters stand in the order of their means as long as they were not moved; once
    moves are made they are looked at as well, where their means say so.
    """
    out: list[tuple[int, int, int]] = []
    at = {index: place for place, index in enumerate(order)}
    is_wide = set(wide)
    for index in sorted(wide, key=lambda index: at[index]):
        row, place = prefers.row(index), at[index]
        for n, other in enumerate(order):
            cost = -row[other] if n < place else row[other]
            if cost > 0 and (other not in is_wide or place < n):  # pairs of two wide ones once
                out.append((index, other, cost) if place < n else (other, index, cost))
    out.extend(_narrow_against(order, is_wide, prefers))
    return out


def _narrow_against(order: list[int], wide: set[int], prefers: _Preferences) -> list[tuple[int, int, int]]:
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


def _solve_circles(order: list[int], against: Sequence[tuple[int, int, int]], prefers: _Preferences) -> int:
    """Solve the stretches of the order that hold pairs which stand against their preference.

    A preference that is broken closes a circle only with clusters that stand between its two; so
    stretches that no broken preference leaves can be solved each by itself.  Returns how far the order
    may still be from the fewest crossings: what is broken in stretches too long to be solved.
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
    gap = 0
    for top, bottom, cost in stretches:
        if bottom - top >= _CIRCLE_MOST:
            gap += cost
        else:
            order[top : bottom + 1] = _best_order(order[top : bottom + 1], prefers)
    return gap


def _best_order(members: Sequence[int], prefers: _Preferences) -> list[int]:
    """Return the order that crosses least, the given one where none crosses less.

    Of every set the best order to stand on top, from the smallest sets up (dynamic programming over
    subsets, as Held and Karp 1962 do for tours); sets are whole numbers used as bit masks.
    """
    size = len(members)
    below = []  # of each member: what it costs to stand below all of a set, for every set
    for lower in members:
        costs = [0]
        for upper in members:
            costs += [cost + prefers.row(upper)[lower] for cost in costs]
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
