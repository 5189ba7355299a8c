"""Phase 2: the order of clusters and terminals on both sides, for the fewest crossings.

Two wires cross exactly once when their ends stand in opposite order on the two
sides, and need not cross otherwise; so crossings are counted as inversions,
and only orders are searched here.  The search alternates between the sides:
one is held, the clusters of the other are sorted by where their wires go and
then moved one at a time while that saves crossings.  Ties keep the file's order,
so that the same file always gives the same sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import Final, TypeAlias

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster, Freedom

__all__ = ["Ordering", "Pair", "count_crossings", "put_in_order"]

Pair: TypeAlias = tuple[Terminal, Terminal]
"""A wire's two ends: left of the channel, at the strip."""

_FREE_EXACT: Final = 5
"""Free clusters up to this many terminals are tried in every order, larger ones sorted."""

_ROUNDS: Final = 12


@dataclass(frozen=True, slots=True)
class Ordering:
    """Clusters from top to bottom on each side, each with its terminals in drawn order."""

    left: tuple[Cluster, ...]
    right: tuple[Cluster, ...]
    crossings: int


def put_in_order(left: Sequence[Cluster], right: Sequence[Cluster], pairs: Sequence[Pair]) -> Ordering:
    """Return the ordering with the fewest crossings found.

    Needs: clusters in file order, every pair's terminals among them.
    Leaves: the same clusters, with only their order and that of their terminals changed.
    """
    best: Ordering | None = None
    for start in _starts(left, right, pairs):
        found = _alternate(tuple(left), start, pairs)
        if best is None or found.crossings < best.crossings:
            best = found
        if best.crossings == 0:
            break
    assert best is not None
    return best


def count_crossings(left: Iterable[Cluster], right: Iterable[Cluster], pairs: Sequence[Pair]) -> int:
    """Return how many pairs of wires stand in opposite order on the two sides."""
    above, below = _positions(left), _positions(right)
    ends = sorted((above[near], below[far]) for near, far in pairs)
    return sum(a[0] < b[0] and a[1] > b[1] for i, a in enumerate(ends) for b in ends[i + 1 :])


def _positions(clusters: Iterable[Cluster]) -> dict[Terminal, int]:
    order = (terminal for cluster in clusters for terminal in cluster.terminals)
    return {terminal: index for index, terminal in enumerate(order)}


def _starts(
    left: Sequence[Cluster], right: Sequence[Cluster], pairs: Sequence[Pair]
) -> Iterable[tuple[Cluster, ...]]:
    yield tuple(right)
    yield _along_the_spine(left, right, pairs)
    yield tuple(reversed(right))


def _alternate(left: tuple[Cluster, ...], right: tuple[Cluster, ...], pairs: Sequence[Pair]) -> Ordering:
    turned = [(far, near) for near, far in pairs]
    best: Ordering | None = None
    for _ in range(_ROUNDS):
        left = _settle(left, _positions(right), pairs)
        right = _settle(right, _positions(left), turned)
        crossings = count_crossings(left, right, pairs)
        if best is not None and crossings >= best.crossings:
            break
        best = Ordering(left, right, crossings)
    assert best is not None
    return best


# --- one side, the other held --------------------------------------------


def _settle(
    clusters: tuple[Cluster, ...], held: dict[Terminal, int], pairs: Sequence[Pair]
) -> tuple[Cluster, ...]:
    """Order one side against the held positions of the other."""
    targets: dict[Terminal, list[int]] = {}
    for own, other in pairs:
        targets.setdefault(own, []).append(held[other])
    arranged = [_arrange(cluster, targets) for cluster in clusters]
    wired = [cluster for cluster in arranged if any(terminal in targets for terminal in cluster.terminals)]
    reach = {
        id(cluster): [t for terminal in cluster.terminals for t in targets.get(terminal, ())]
        for cluster in wired
    }
    wired.sort(key=lambda cluster: (cluster.block, sum(reach[id(cluster)]) / len(reach[id(cluster)])))
    _sift(wired, reach)
    return _with_unwired(arranged, wired)


def _arrange(cluster: Cluster, targets: dict[Terminal, list[int]]) -> Cluster:
    """Choose the order of a cluster's own terminals with the fewest crossings inside it."""
    terminals = cluster.terminals
    candidates: Iterable[tuple[Terminal, ...]]
    if cluster.freedom is Freedom.FIXED or len(terminals) == 1:
        return cluster
    if cluster.freedom is Freedom.MIRROR:
        candidates = (terminals, terminals[::-1])
    elif len(terminals) <= _FREE_EXACT:
        candidates = permutations(terminals)
    else:

        def mean(terminal: Terminal) -> float:
            own = targets.get(terminal)
            return sum(own) / len(own) if own else float("inf")

        candidates = (tuple(sorted(terminals, key=mean)),)

    def inside(order: tuple[Terminal, ...]) -> int:
        return sum(
            _inversions(targets.get(a, []), targets.get(b, []))
            for i, a in enumerate(order)
            for b in order[i + 1 :]
        )

    return Cluster(cluster.block, min(candidates, key=inside), cluster.freedom, cluster.parts)


def _inversions(first: list[int], second: list[int]) -> int:
    """Return the crossings between two bundles when the first stands above the second."""
    return sum(a > b for a in first for b in second)


def _sift(order: list[Cluster], reach: dict[int, list[int]]) -> None:
    """Move each cluster to its best place among those of its block, while that helps."""
    saves: dict[tuple[int, int], int] = {}

    def gain(upper: Cluster, lower: Cluster) -> int:
        """Return how many crossings swapping two neighbours saves."""
        key = (id(upper), id(lower))
        if key not in saves:
            a, b = reach[key[0]], reach[key[1]]
            saves[key] = _inversions(a, b) - _inversions(b, a)
        return saves[key]

    improved = True
    while improved:
        improved = False
        for cluster in tuple(order):
            here = order.index(cluster)
            best_gain, best_place = 0, here
            for step in (-1, 1):
                total, place = 0, here
                while 0 <= place + step < len(order) and order[place + step].block == cluster.block:
                    other = order[place + step]
                    total += gain(other, cluster) if step < 0 else gain(cluster, other)
                    place += step
                    if total > best_gain:
                        best_gain, best_place = total, place
            if best_gain > 0:
                order.insert(best_place, order.pop(here))
                improved = True


def _with_unwired(file_order: list[Cluster], wired: list[Cluster]) -> tuple[Cluster, ...]:
    """Put clusters without wires back behind the one they follow in the file."""
    out = list(wired)
    for index, cluster in enumerate(file_order):
        if cluster in wired:
            continue
        before = next((other for other in reversed(file_order[:index]) if other in out), None)
        if before is not None and before.block == cluster.block:
            out.insert(out.index(before) + 1, cluster)
        else:
            first = next((i for i, other in enumerate(out) if other.block >= cluster.block), len(out))
            out.insert(first, cluster)
    return tuple(out)


# --- a start: along the longest path of each component ---------------------


def _along_the_spine(
    left: Sequence[Cluster], right: Sequence[Cluster], pairs: Sequence[Pair]
) -> tuple[Cluster, ...]:
    """Return the strip's clusters in the order a walk along each component meets them.

    A caterpillar (a path with leaves) drawn along its path has no crossing at all.
    """
    home = {terminal: cluster for cluster in (*left, *right) for terminal in cluster.terminals}
    near: dict[int, list[Cluster]] = {}
    for a, b in pairs:
        for one, other in ((home[a], home[b]), (home[b], home[a])):
            if other not in near.setdefault(id(one), []):
                near[id(one)].append(other)
    met: dict[int, Cluster] = {}
    for cluster in right:
        if id(cluster) in met:
            continue
        start = _farthest(cluster, near)[-1]
        spine = _farthest(start, near)
        for here in spine:
            for leaf in near.get(id(here), ()):
                if leaf not in spine:
                    _walk(leaf, near, met, {id(node) for node in spine})
            met.setdefault(id(here), here)
    own = {id(cluster) for cluster in right}
    return tuple(cluster for key, cluster in met.items() if key in own)


def _walk(
    cluster: Cluster, near: dict[int, list[Cluster]], met: dict[int, Cluster], barred: set[int]
) -> None:
    if id(cluster) in met or id(cluster) in barred:
        return
    met[id(cluster)] = cluster
    for other in near.get(id(cluster), ()):
        _walk(other, near, met, barred)


def _farthest(start: Cluster, near: dict[int, list[Cluster]]) -> list[Cluster]:
    """Return a path from `start` to a cluster as many wires away as any."""
    came: dict[int, Cluster | None] = {id(start): None}
    queue = [start]
    for cluster in queue:
        for other in near.get(id(cluster), ()):
            if id(other) not in came:
                came[id(other)] = cluster
                queue.append(other)
    path: list[Cluster] = []
    step: Cluster | None = queue[-1]
    while step is not None:
        path.append(step)
        step = came[id(step)]
    return path[::-1]
