"""The order of frames on both sides: free like that of what stands in them.

Needs: clusters in file order, which name their frames by rank.
Leaves: the ordering with the fewest crossings over all orders of frames, where there are few of them; ties
keep the file's order.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import chain, islice
from typing import Final, TypeAlias

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster, Freedom, meeting
from doorsheet.layout.order import Ordering, Pair, put_in_order

__all__ = ["best_frames"]

_Frames: TypeAlias = tuple[int, ...]
_Sides: TypeAlias = tuple[Sequence[Cluster], Sequence[Cluster]]

_MOST: Final = 8
"""Orders of frames that are tried on a side; where there are more, less is proved."""


def best_frames(
    left: Sequence[Cluster],
    right: Sequence[Cluster],
    pairs: Sequence[Pair],
    links: Sequence[Pair],
    as_fitted: bool,
    quick: bool,
) -> Ordering:
    """Put clusters in order, and their frames: those of one side with each order of those on the other.

    Orders of frames are compared by quick looks; the bound holds for all of them.
    """
    if not _several(left) and not _several(right):
        return put_in_order(left, right, pairs, links=links, as_fitted=as_fitted, quick=quick)
    look = partial(put_in_order, pairs=pairs, links=links, as_fitted=as_fitted, quick=True)
    best, stand = look(left, right), (left, right)
    # clusters without frames never cross more
    bound = put_in_order(_framed(left), _framed(right), pairs, quick=True).lower_bound
    ways, lowest = _Ways(left, right, pairs, as_fitted), list[int]()
    for outer in ways.outer if best.crossings > bound else ():
        chosen, lower = [orders[0] for orders in ways.inner], 0
        for place, orders in enumerate(ways.inner):
            seen: list[Ordering] = []
            for order in orders:
                sides = ways.sides(outer, [*chosen[:place], order, *chosen[place + 1 :]])
                seen.append(look(*sides))
                if seen[-1].crossings < best.crossings:
                    best, stand = seen[-1], sides
            chosen[place] = min(zip(seen, orders, strict=True), key=lambda tried: tried[0].crossings)[1]
            # sets of frames cross nothing of one another: what each is bound to adds up
            lower += min(one.lower_bound for one in seen) - (seen[0].lower_bound if place else 0)
        lowest.append(lower)
    if ways.complete and lowest:
        bound = max(bound, min(lowest))
    if not quick and best.crossings > bound:
        best = min(best, look(*stand, quick=False), key=lambda one: one.crossings)
    return replace(best, lower_bound=min(bound, best.crossings))


class _Ways:
    """Orders of the frames of both sides that are worth a try."""

    def __init__(
        self, left: Sequence[Cluster], right: Sequence[Cluster], pairs: Sequence[Pair], as_fitted: bool
    ) -> None:
        self._drives = _several(right)
        back = [(far, near) for near, far in pairs]
        drives = _alike(right, left, back)
        # under a strip that is held each order of what is left of it is another
        parts = {c.block: c.block for c in left} if as_fitted else _alike(left, right, pairs)
        if self._drives:
            self._own, self._other, alike, others = right, left, drives, parts
            sets = _together(right, left, back)
        else:
            self._own, self._other, alike, others = left, right, parts, drives
            sets = [tuple(sorted(parts))] if as_fitted else _together(left, right, pairs)
        outer = [*islice(_orders(sorted(others), others), _MOST + 1)]
        inner = [[*islice(_orders(frames, alike), _MOST + 1)] for frames in sets]
        self.complete = all(len(orders) <= _MOST for orders in (outer, *inner))
        """Whether there are no more."""
        self.outer = outer[:_MOST]
        """Orders of the frames of one side."""
        self.inner = [orders[:_MOST] for orders in inner]
        """Orders of the frames of the other, of each set of them that are wired together."""

    def sides(self, outer: _Frames, inner: Iterable[_Frames]) -> _Sides:
        """Return both sides under an order of their frames."""
        own, other = _by_frames(self._own, chain(*inner)), _by_frames(self._other, outer)
        return (other, own) if self._drives else (own, other)


def _several(side: Sequence[Cluster]) -> bool:
    return len({cluster.block for cluster in side}) > 1


def _framed(side: Sequence[Cluster]) -> list[Cluster]:
    """Return a side in one frame."""
    return [cluster._replace(block=0) for cluster in side]


def _by_frames(side: Sequence[Cluster], frames: Iterable[int]) -> list[Cluster]:
    return [cluster for frame in frames for cluster in side if cluster.block == frame]


def _together(
    own: Sequence[Cluster], other: Sequence[Cluster], pairs: Sequence[Pair]
) -> list[tuple[int, ...]]:
    """Return the frames of a side in sets that cross nothing of one another where each stands together.

    Frames that share a cluster are in one; where the other side has several frames itself, all are.
    """
    reach: dict[int, set[int]] = {block: set() for block in sorted({cluster.block for cluster in own})}
    if _several(other):
        return [tuple(reach)]
    frame = {terminal: cluster.block for cluster in own for terminal in cluster.terminals}
    home = {terminal: n for n, cluster in enumerate(other) for terminal in cluster.terminals}
    for near, far in pairs:
        reach[frame[near]].add(home[far])
    return [tuple(sorted(frames)) for frames in meeting(reach, reach.__getitem__)]


def _orders(frames: Sequence[int], alike: Mapping[int, int]) -> Iterator[_Frames]:
    """Yield the orders of frames, the one given first; of those that only exchange what is alike one."""
    if not frames:
        yield ()
    for first in {alike[frame]: frame for frame in reversed(frames)}.values():
        for rest in _orders([frame for frame in frames if frame != first], alike):
            yield (first, *rest)


def _alike(own: Sequence[Cluster], other: Sequence[Cluster], pairs: Sequence[Pair]) -> dict[int, int]:
    """Return for each frame of a side the first that is wired as it is: to exchange them changes no crossing.

    `pairs` name the terminal on this side first.
    """
    frame = {terminal: cluster.block for cluster in own for terminal in cluster.terminals}
    home = {terminal: cluster for cluster in other for terminal in cluster.terminals}
    to: dict[Terminal, list[Terminal]] = {terminal: [] for terminal in frame}
    reach: dict[Terminal, set[int]] = {terminal: set() for terminal in home}
    for near, far in pairs:
        to[near].append(far)
        reach[far].add(frame[near])

    def wired(terminal: Terminal, met: dict[object, int]) -> object:
        """Say what a wire comes to: what frames share by name, a frame's own by what it is like."""
        cluster, free = home[terminal], home[terminal].freedom is Freedom.FREE
        shared = len({block for one in cluster.terminals for block in reach[one]}) > 1
        if shared and (not free or len(reach[terminal]) > 1):
            return terminal
        place = met.setdefault(terminal, len(met)) if free else cluster.terminals.index(terminal)
        which = cluster.terminals if shared else met.setdefault(cluster.terminals, len(met))
        return which, place, cluster.block, cluster.freedom

    kinds: dict[object, int] = {}
    out: dict[int, int] = {}
    for block in sorted(set(frame.values())):
        met: dict[object, int] = {}
        kind = tuple(
            (cluster.freedom, tuple(tuple(wired(far, met) for far in to[near]) for near in cluster.terminals))
            for cluster in own
            if cluster.block == block
        )
        out[block] = kinds.setdefault(kind, block)
    return out
