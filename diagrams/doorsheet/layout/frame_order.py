"""The order of frames on both sides: free like that of what stands in them.

Needs: clusters in file order, which name their frames by rank.
Leaves: the ordering with the fewest crossings over all orders of frames, where there are few of them; ties
keep the file's order.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster, Freedom
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
    quick: bool,
) -> Ordering:
    """Put clusters in order, and their frames: first those left of the channel, then the drives.

    Orders of frames are compared by quick looks.
    """
    best = in_frames(left, right, pairs, links, as_fitted, quick=True)
    bounds = [best.lower_bound]
    held: list[Sequence[Cluster]] = [left, right]
    complete = True
    for side in (0, 1):
        if best.proved:
            break
        own, other, ends = held[side], held[1 - side], [(pair[side], pair[1 - side]) for pair in pairs]
        alike = _alike(own, other, ends)
        stands = _together(own, other, ends)
        for index, frames in enumerate(stands):
            for count, order in enumerate(_orders(frames, alike)):
                if count > _MOST:
                    complete = False
                    break
                rows = [frame for one in (*stands[:index], order, *stands[index + 1 :]) for frame in one]
                if rows == sorted(rows):
                    continue  # the file's own
                sides = [*held]
                sides[side] = [cluster for frame in rows for cluster in own if cluster.block == frame]
                tried = in_frames(sides[0], sides[1], pairs, links, as_fitted, quick=True)
                bounds.append(tried.lower_bound)
                if tried.crossings < best.crossings:
                    best, stands[index], held[side] = tried, order, sides[side]
                if tried.crossings == min(bounds):
                    break
        complete = complete and side == 0
    if not (quick or best.proved):
        best = in_frames(held[0], held[1], pairs, links, as_fitted)
        bounds.append(best.lower_bound)
    # a strip as fitted has a bound for each order of frames; free ones have one that holds for all
    several = len({cluster.block for cluster in right}) > 1
    bound = min(bounds) if (complete or not several) or not as_fitted else 0
    return replace(best, lower_bound=min(bound, best.crossings))


def _together(
    own: Sequence[Cluster], other: Sequence[Cluster], pairs: Sequence[Pair]
) -> list[tuple[int, ...]]:
    """Return the frames of a side in sets that cross nothing of one another where each stands together.

    Frames that share a cluster are in one; where the other side has several frames itself, all are.
    """
    frame = {terminal: cluster.block for cluster in own for terminal in cluster.terminals}
    if len({cluster.block for cluster in other}) > 1:
        return [tuple(sorted({*frame.values()}))]
    home = {terminal: cluster.terminals for cluster in other for terminal in cluster.terminals}
    sets: dict[int, set[int]] = {block: {block} for block in sorted({*frame.values()})}
    first: dict[object, int] = {}
    for near, far in pairs:
        ours, theirs = sets[frame[near]], sets[first.setdefault(home[far], frame[near])]
        if ours is not theirs:
            theirs |= ours
            sets.update(dict.fromkeys(ours, theirs))
    return [tuple(sorted(one)) for block, one in sets.items() if block == min(one)]


def _orders(frames: Sequence[int], alike: Mapping[int, int]) -> Iterator[tuple[int, ...]]:
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


def in_frames(
    left: Sequence[Cluster],
    right: Sequence[Cluster],
    pairs: Sequence[Pair],
    links: Sequence[Pair],
    as_fitted: bool,
    quick: bool = False,
) -> Ordering:
    """Put clusters in order under frames as they come, and count what that crosses."""
    ordering = put_in_order(
        _ranked(left), _ranked(right), pairs, links=links, as_fitted=as_fitted, quick=quick
    )
    frame_of = {terminal: c.block for c in (*left, *right) for terminal in c.terminals}

    def named(side: Sequence[Cluster]) -> tuple[Cluster, ...]:
        return tuple(replace(cluster, block=frame_of[cluster.terminals[0]]) for cluster in side)

    crossings = count_crossings(ordering.left, ordering.right, pairs)
    return replace(ordering, left=named(ordering.left), right=named(ordering.right), crossings=crossings)


def _ranked(side: Sequence[Cluster]) -> list[Cluster]:
    """Number the frames as they come."""
    rank = {block: index for index, block in enumerate(dict.fromkeys(cluster.block for cluster in side))}
    return [replace(cluster, block=rank[cluster.block]) for cluster in side]
