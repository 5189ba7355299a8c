"""The order of frames on both sides: free like that of what stands in them.

Needs: clusters in file order, which name their frames by rank.
Leaves: the ordering with the fewest crossings over all orders of frames, where there are few of them; ties
keep the file's order.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations
from typing import Final

from doorsheet.layout.clusters import Cluster
from doorsheet.layout.order import Ordering, Pair, count_crossings, put_in_order

__all__ = ["best_frames", "in_frames"]

_MOST: Final = 8
"""Orders of frames that are tried: all of those of up to five frames on a side, or of four and four drives
that are tried one side after the other.
"""


def best_frames(
    left: Sequence[Cluster],
    right: Sequence[Cluster],
    pairs: Sequence[Pair],
    links: Sequence[Pair],
    as_fitted: bool,
) -> Ordering:
    """Put clusters in order, and their frames: first those left of the channel, then the drives."""
    best = in_frames(left, right, pairs, links, as_fitted)
    bounds = [best.lower_bound]
    complete = True
    for side in (0, 1):
        held = (left, right)
        frames = sorted({cluster.block for cluster in held[side]})
        if best.proved:
            break
        found = (left, right)
        for count, order in enumerate(_orders(frames)):
            if count >= _MOST:
                complete = False
                break
            sides = [list(held[0]), list(held[1])]
            sides[side] = [c for frame in order for c in held[side] if c.block == frame]
            tried = in_frames(sides[0], sides[1], pairs, links, as_fitted)
            bounds.append(tried.lower_bound)
            if tried.crossings < best.crossings:
                best, found = tried, (sides[0], sides[1])
            if tried.crossings == min(bounds):
                break
        left, right = found
        complete = complete and side == 0
    # a strip as fitted has a bound for each order of frames; free ones have one that holds for all
    several = len({cluster.block for cluster in right}) > 1
    bound = min(bounds) if (complete or not several) or not as_fitted else 0
    return replace(best, lower_bound=min(bound, best.crossings))


def _orders(frames: Sequence[int]) -> Iterator[tuple[int, ...]]:
    each = permutations(frames)
    next(each)  # the file's own
    return each


def in_frames(
    left: Sequence[Cluster],
    right: Sequence[Cluster],
    pairs: Sequence[Pair],
    links: Sequence[Pair],
    as_fitted: bool,
) -> Ordering:
    """Put clusters in order under frames as they come, and count what that crosses."""
    ordering = put_in_order(_ranked(left), _ranked(right), pairs, links=links, as_fitted=as_fitted)
    frame_of = {terminal: c.block for c in (*left, *right) for terminal in c.terminals}

    def named(side: Sequence[Cluster]) -> tuple[Cluster, ...]:
        return tuple(replace(cluster, block=frame_of[cluster.terminals[0]]) for cluster in side)

    crossings = count_crossings(ordering.left, ordering.right, pairs)
    return replace(ordering, left=named(ordering.left), right=named(ordering.right), crossings=crossings)


def _ranked(side: Sequence[Cluster]) -> list[Cluster]:
    """Number the frames as they come."""
    rank = {block: index for index, block in enumerate(dict.fromkeys(cluster.block for cluster in side))}
    return [replace(cluster, block=rank[cluster.block]) for cluster in side]
