"""Counting crossings of an order, and what no order can go below.

Works on whole numbers only: a bundle is the sorted list of the places, on the
side that is held, to which the wires of one cluster go.  Two wires to one place
don't cross.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import TypeAlias

__all__ = ["Bundle", "centre_bound", "inversions", "inversions_each", "preference"]

Bundle: TypeAlias = Sequence[int]
"""Places of the held side that one cluster's wires go to, in rising order."""


def inversions(places: Sequence[int]) -> int:
    """Return how many pairs stand in falling order; equal ones don't count."""
    if len(places) <= 6:  # the usual case: the inside of one cluster
        return sum(a > b for n, a in enumerate(places) for b in places[n + 1 :])
    met: list[int] = []
    total = 0
    for place in places:
        at = bisect_right(met, place)
        total += len(met) - at
        met.insert(at, place)
    return total


def inversions_each(places: Sequence[int]) -> list[int]:
    """Return, for each entry of a sequence without equal ones, with how many others it is inverted."""
    ranks, met = sorted(places), list[int]()
    out: list[int] = []
    for seen, place in enumerate(places):
        below, smaller_before = bisect_left(ranks, place), bisect_left(met, place)
        out.append((seen - smaller_before) + (below - smaller_before))
        met.insert(smaller_before, place)
    return out


def preference(upper: Bundle, lower: Bundle) -> int:
    """Return the crossings with `upper` above `lower` less those the other way round.

    Below zero: the first prefers to be above.
    """
    if upper[-1] < lower[0]:
        return -len(upper) * len(lower)
    if lower[-1] < upper[0]:
        return len(upper) * len(lower)
    if len(upper) * len(lower) <= 12:
        return sum((a > b) - (a < b) for a in upper for b in lower)
    size = len(lower)
    return sum(bisect_left(lower, place) + bisect_right(lower, place) - size for place in upper)


def centre_bound(edges: Sequence[tuple[int, int]]) -> int:
    """Return crossings that no order of both sides avoids; `edges` are (left, right) clusters.

    Take a cluster c of one side and those of the other side that are joined to
    it, d of them, in the order in which they are drawn.  The k-th has k - 1 wires
    to c above it and d - k below, so any wire from it to somewhere else than c
    crosses at least min(k - 1, d - k) of them, whichever side of c it goes to.  The
    ranks can be dealt out at best with the busiest clusters at the two ends.
    Summed over centres, a crossing of wires at c with wires at c' is counted for
    one of the two only.  Done for either side; the better of the two is the bound.
    """
    turned = [(right, left) for left, right in edges]
    return max(_around_centres(edges), _around_centres(turned))


def _around_centres(edges: Sequence[tuple[int, int]]) -> int:
    joined: dict[int, list[int]] = {}  # centre: clusters of the other side, once each
    reach: dict[int, list[int]] = {}  # cluster of the other side: where each of its wires goes
    for other, centre in edges:
        reach.setdefault(other, []).append(centre)
        around = joined.setdefault(centre, [])
        if other not in around:
            around.append(other)
    # the busiest centres first: a pair of centres is counted for the busier one
    rank = {
        centre: index
        for index, centre in enumerate(sorted(joined, key=lambda centre: (-len(joined[centre]), centre)))
    }
    total = 0
    for centre, around in joined.items():
        if len(around) < 3:
            continue
        elsewhere = sorted(
            (sum(rank[target] > rank[centre] for target in reach[other]) for other in around), reverse=True
        )
        total += sum(wires * (place // 2) for place, wires in enumerate(elsewhere))
    return total
