"""Phase 2: the order of clusters and terminals on both sides, for the fewest crossings.

Two wires cross exactly once when their ends stand in opposite order on the two
sides, and need not cross otherwise; so crossings are counted as inversions,
and only orders are searched here.  The result carries a bound that no order
can go below; where it equals the count, the order is proved.

With the strip held ("as fitted") only the left side is settled.  With both sides free:
groups that need not cross one another -> each in order -> stacked along the links ->
terminals without wires put back.  Ties keep the file's order, so that the same file always
gives the same sheet.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.both_sides import solve_groups
from doorsheet.layout.bound import inversions
from doorsheet.layout.clusters import Cluster, places
from doorsheet.layout.groups import Group, find_groups, place_linked, stack_groups
from doorsheet.layout.numbered import Network, Side, Standing, settle_side

__all__ = ["Ordering", "Pair", "count_crossings", "put_in_order"]

Pair: TypeAlias = tuple[Terminal, Terminal]
"""A wire's two ends: left of the channel, at the strip.  Of a link: its two terminals."""


@dataclass(frozen=True, slots=True)
class Ordering:
    """Clusters from top to bottom on each side, each with its terminals in drawn order."""

    left: tuple[Cluster, ...]
    right: tuple[Cluster, ...]
    crossings: int
    lower_bound: int  # no order of these clusters crosses less

    def __post_init__(self) -> None:
        if not 0 <= self.lower_bound <= self.crossings:
            raise ValueError(f"bound {self.lower_bound} does not lie below {self.crossings} crossings")

    @property
    def proved(self) -> bool:
        """Whether it is proved that no order crosses less."""
        return self.lower_bound == self.crossings


def put_in_order(
    left: Sequence[Cluster],
    right: Sequence[Cluster],
    pairs: Sequence[Pair],
    *,
    links: Sequence[Pair] = (),
    as_fitted: bool = False,
    quick: bool = False,
) -> Ordering:
    """Return the ordering with the fewest crossings found, and what is proved about it.

    Needs: clusters in file order, every pair's and link's terminals among them.  Clusters of
    different blocks never mix, and blocks stand as they come.  `as_fitted` holds the right side
    as it is given.  `quick` leaves out what takes long and seldom saves a crossing.
    Leaves: the same clusters, with only their order and that of their terminals changed.
    """
    network = Network.of(left, right, pairs)
    number = places(right)
    linked = [(number[a], number[b]) for a, b in links if a != b]
    found = _held(network) if as_fitted else _free(network, linked, quick)
    near, far = _named(left, network.left, found.left), _named(right, network.right, found.right)
    return Ordering(near, far, found.crossings, found.bound)


def count_crossings(left: Iterable[Cluster], right: Iterable[Cluster], pairs: Sequence[Pair]) -> int:
    """Return how many pairs of wires stand in opposite order on the two sides."""
    above, below = places(left), places(right)
    ends = sorted((above[near], below[far]) for near, far in pairs)
    return inversions([far for _, far in ends])


def _held(network: Network) -> Group:
    """Settle the left side under the strip as it is fitted."""
    left, right = network.left, network.right
    wired = [cluster for cluster in range(len(left.terminals)) if left.wires(cluster)]
    settled = settle_side(left, wired, range(len(right.home)))
    far = tuple(enumerate(right.terminals))
    return Group(_with_unwired(left, settled.order), far, settled.crossings, settled.bound)


def _free(network: Network, linked: Sequence[tuple[int, int]], quick: bool) -> Group:
    """Solve each group, stack them, and put back what has no wires."""
    members = find_groups(network)
    groups = solve_groups(network, members, quick)
    if linked:
        groups = stack_groups(network, members, groups, linked)
    lefts, rights = [group.left for group in groups], [group.right for group in groups]
    left = _by_block(network.left, [standing for own in lefts for standing in own])
    right = _by_block(network.right, [standing for own in rights for standing in own])
    far = place_linked(network.right, _with_unwired(network.right, right, rights), linked)
    crossings = sum(group.crossings for group in groups)
    bound = sum(group.bound for group in groups)
    return Group(_with_unwired(network.left, left, lefts), far, crossings, bound)


def _by_block(side: Side, order: Sequence[Standing]) -> tuple[Standing, ...]:
    return tuple(sorted(order, key=lambda standing: side.block[standing[0]]))


def _with_unwired(
    side: Side, order: tuple[Standing, ...], groups: Sequence[Sequence[Standing]] = ()
) -> tuple[Standing, ...]:
    """Put clusters without wires back behind the one they follow in the file, or behind its group:
    what belongs together is not taken apart by what has no wire.
    """
    if len(order) == len(side.terminals):
        return order
    ends: dict[int, int] = {}  # of each cluster: the last of its group that stands in the same block
    for own in groups:
        last = {side.block[cluster]: cluster for cluster, _ in own}
        ends.update({cluster: last[side.block[cluster]] for cluster, _ in own})
    here = {cluster for cluster, _ in order}
    behind: dict[int, list[Standing]] = {}  # by the cluster above, or ~block at the top of one
    before = {block: ~block for block in side.block}
    for cluster, terminals in enumerate(side.terminals):
        if cluster in here:
            before[side.block[cluster]] = ends.get(cluster, cluster)
        else:
            behind.setdefault(before[side.block[cluster]], []).append((cluster, terminals))
    out: list[Standing] = []
    for block in sorted(before):
        out += behind.get(~block, ())
        for standing in order:
            if side.block[standing[0]] == block:
                out += [standing, *behind.get(standing[0], ())]
    return tuple(out)


def _named(clusters: Sequence[Cluster], side: Side, order: Iterable[Standing]) -> tuple[Cluster, ...]:
    """Return the clusters behind the numbers, each with its terminals in their order."""
    out: list[Cluster] = []
    for index, own in order:
        cluster = clusters[index]
        if own != side.terminals[index]:
            first = side.terminals[index][0]
            cluster = cluster._replace(terminals=tuple(cluster.terminals[n - first] for n in own))
        out.append(cluster)
    return tuple(out)
