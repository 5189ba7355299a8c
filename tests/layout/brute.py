"""All orders tried: slow, and written without a look at the engine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, permutations, product

import numpy as np

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster, Freedom
from tests.layout.instances import Instance

__all__ = ["fewest_fixed", "fewest_free", "naive_crossings"]


def naive_crossings(left: Sequence[Cluster], right: Sequence[Cluster], instance: Instance) -> int:
    """Count pairs of wires in opposite order, pair by pair."""
    near = [terminal for cluster in left for terminal in cluster.terminals]
    far = [terminal for cluster in right for terminal in cluster.terminals]
    ends = [(near.index(a), far.index(b)) for a, b in instance.pairs]
    return sum((a[0] - b[0]) * (a[1] - b[1]) < 0 for i, a in enumerate(ends) for b in ends[:i])


def _insides(cluster: Cluster) -> list[tuple[Terminal, ...]]:
    if cluster.freedom is Freedom.FIXED:
        return [cluster.terminals]
    if cluster.freedom is Freedom.MIRROR:
        return [cluster.terminals, cluster.terminals[::-1]]
    return list(permutations(cluster.terminals))


def _cluster_orders(side: Sequence[Cluster]) -> Iterator[tuple[Cluster, ...]]:
    blocks = [list(own) for _, own in groupby(sorted(side, key=lambda c: c.block), key=lambda c: c.block)]
    for choice in product(*(permutations(own) for own in blocks)):
        yield tuple(cluster for own in choice for cluster in own)


def _sequences(side: Sequence[Cluster]) -> Iterator[tuple[Terminal, ...]]:
    for order in _cluster_orders(side):
        for choice in product(*(_insides(cluster) for cluster in order)):
            yield tuple(terminal for own in choice for terminal in own)


def fewest_free(instance: Instance) -> int:
    """Return the fewest crossings over all orders of both sides."""
    return _fewest(instance, list(_sequences(_wired(instance, 1))))


def fewest_fixed(instance: Instance) -> int:
    """Return the fewest crossings over all orders of the left side."""
    return _fewest(instance, [tuple(t for cluster in instance.right for t in cluster.terminals)])


def _wired(instance: Instance, which: int) -> list[Cluster]:
    used = {pair[which] for pair in instance.pairs}
    side = instance.right if which else instance.left
    return [cluster for cluster in side if used & set(cluster.terminals)]


def _fewest(instance: Instance, sequences: list[tuple[Terminal, ...]]) -> int:
    """Try all left orders against all given right ones, the right ones at once as rows of an array."""
    number = {terminal: n for n, terminal in enumerate(sequences[0])}
    place = np.array([np.argsort([number[t] for t in sequence]) for sequence in sequences], dtype=np.int16)
    targets: dict[Terminal, list[int]] = {}
    for near, far in instance.pairs:
        targets.setdefault(near, []).append(number[far])
    left = _wired(instance, 0)

    def between(upper: Sequence[int], lower: Sequence[int]) -> np.ndarray:
        total = np.zeros(len(sequences), dtype=np.int32)
        for a in upper:
            for b in lower:
                total += place[:, a] > place[:, b]
        return total

    inside = np.zeros(len(sequences), dtype=np.int32)
    for cluster in left:
        tried = []
        for inside_order in _insides(cluster):
            bundles = [targets.get(terminal, []) for terminal in inside_order]
            pairs = [(a, b) for i, a in enumerate(bundles) for b in bundles[i + 1 :]]
            tried.append(sum((between(a, b) for a, b in pairs), np.zeros(len(sequences), dtype=np.int32)))
        inside += np.minimum.reduce(tried)
    bundle = {id(cluster): [n for t in cluster.terminals for n in targets.get(t, ())] for cluster in left}
    table = {(id(a), id(b)): between(bundle[id(a)], bundle[id(b)]) for a in left for b in left if a is not b}
    best: int | None = None
    for order in _cluster_orders(left):
        total = inside.copy()
        for i, upper in enumerate(order):
            for lower in order[i + 1 :]:
                total += table[id(upper), id(lower)]
        best = int(total.min()) if best is None else min(best, int(total.min()))
    assert best is not None
    return best
