"""Clusters, terminals and wires as whole numbers, for the search of an order.

Terminals of each side are numbered in file order, and so are clusters; a lower
number is always earlier in the file, so that sorting by number is the file's order.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from typing import NamedTuple, TypeAlias

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.bound import inversions
from doorsheet.layout.clusters import Cluster, Freedom, places
from doorsheet.layout.settle import Settled, settle

__all__ = ["Network", "Side", "Standing", "count", "settle_side", "spread", "turned"]

Standing: TypeAlias = tuple[int, tuple[int, ...]]
"""A cluster and its terminals from top to bottom."""


class Side(NamedTuple):
    """One side of the channel; all by number: `to[terminal]` lists the terminals its wires go to."""

    terminals: tuple[tuple[int, ...], ...]  # of each cluster
    freedom: tuple[Freedom, ...]
    block: tuple[int, ...]  # of each cluster: its frame, numbered as they come
    home: tuple[int, ...]  # of each terminal: its cluster
    to: tuple[tuple[int, ...], ...]

    def wires(self, cluster: int) -> int:
        """Return how many wires a cluster has."""
        return sum(len(self.to[terminal]) for terminal in self.terminals[cluster])


class Network(NamedTuple):
    """Both sides."""

    left: Side
    right: Side

    @staticmethod
    def of(
        left: Sequence[Cluster], right: Sequence[Cluster], pairs: Sequence[tuple[Terminal, Terminal]]
    ) -> "Network":
        """Number the clusters and terminals of two sides and the wires between them."""
        near, far = places(left), places(right)
        ends = [(near[a], far[b]) for a, b in pairs]
        return Network(_side(left, len(near), ends), _side(right, len(far), [(b, a) for a, b in ends]))


def _side(side: Sequence[Cluster], count: int, ends: Iterable[tuple[int, int]]) -> Side:
    terminals: list[tuple[int, ...]] = []
    home: list[int] = []
    for index, cluster in enumerate(side):
        terminals.append(tuple(range(len(home), len(home) + len(cluster.terminals))))
        home.extend([index] * len(cluster.terminals))
    to: list[list[int]] = [[] for _ in range(count)]
    for own, other in ends:
        to[own].append(other)
    rank = {block: n for n, block in enumerate(dict.fromkeys(cluster.block for cluster in side))}
    return Side(
        tuple(terminals),
        tuple(cluster.freedom for cluster in side),
        tuple(rank[cluster.block] for cluster in side),
        tuple(home),
        tuple(tuple(targets) for targets in to),
    )


def settle_side(
    side: Side, members: Sequence[int], held: Mapping[int, int] | Sequence[int], circles: bool = True
) -> Settled[Standing]:
    """Order some clusters of one side, all of them with wires, the other side's places being `held`.

    Turning a cluster over changes only crossings inside it, since all its ends stand above or below
    all of any other's: so the inside of each is settled alone, then the clusters as bundles.
    """
    standing: list[Standing] = []
    inside = inside_bound = 0
    bundles: list[list[int]] = []
    for cluster in members:
        terminals, crossings, bound = _inside(side, cluster, held)
        standing.append((cluster, terminals))
        inside += crossings
        inside_bound += bound
        bundles.append(sorted([held[target] for terminal in terminals for target in side.to[terminal]]))
    settled = settle(bundles, [side.block[cluster] for cluster in members], circles)
    return Settled(
        tuple(standing[index] for index in settled.order),
        settled.crossings + inside,
        settled.bound + inside_bound,
    )


def _inside(side: Side, cluster: int, held: Mapping[int, int] | Sequence[int]) -> Settled[int]:
    """Return a cluster's terminals in their best order, with the crossings inside."""
    terminals, freedom = side.terminals[cluster], side.freedom[cluster]
    if len(terminals) == 1:
        return Settled(terminals, 0, 0)
    bundles = [sorted([held[target] for target in side.to[terminal]]) for terminal in terminals]
    if freedom is not Freedom.FREE:
        crossed = inversions(list(chain.from_iterable(bundles)))
        if crossed and freedom is Freedom.MIRROR:
            upside_down = inversions(list(chain.from_iterable(bundles[::-1])))
            if upside_down < crossed:
                terminals, crossed = terminals[::-1], upside_down
        return Settled(terminals, crossed, crossed)
    wired = [index for index, bundle in enumerate(bundles) if bundle]
    settled = settle([bundles[index] for index in wired])
    order = [wired[index] for index in settled.order]
    for index in range(len(terminals)):  # a terminal without wires follows the one before it in the file
        if not bundles[index]:
            order.insert(order.index(index - 1) + 1 if index else 0, index)
    return settled._replace(order=tuple(terminals[index] for index in order))


def spread(order: Iterable[Standing]) -> dict[int, int]:
    """Return the place of each terminal of an order."""
    return {terminal: place for place, terminal in enumerate(t for _, own in order for t in own)}


def count(own: Iterable[Standing], other: Iterable[Standing], side: Side) -> int:
    """Return the crossings of an order of both sides, the wires being those of one."""
    at = spread(other)
    return inversions([place for _, ts in own for t in ts for place in sorted(at[x] for x in side.to[t])])


def turned(side: Side, order: Sequence[Standing]) -> tuple[Standing, ...] | None:
    """Return an order upside down, or None where a cluster or the blocks don't allow it."""
    if (
        any(len(own) > 1 and side.freedom[cluster] is Freedom.FIXED for cluster, own in order)
        or len({side.block[cluster] for cluster, _ in order}) > 1
    ):
        return None
    return tuple((cluster, own[::-1]) for cluster, own in reversed(order))
