"""Both sides free: what can be put in order by itself.

Needs: the network.
Leaves: groups of clusters, from top to bottom, that need not cross one another.

A group is a connected component; components that the frames' fixed order forces
into one another are one group.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeAlias, TypeVar

from doorsheet.layout.numbered import Network, Standing

__all__ = ["Group", "Members", "along_the_spine", "find_groups", "reached"]

_Key = TypeVar("_Key")
_Node: TypeAlias = tuple[int, int]
"""A cluster: its side, 0 the left, and its number there."""


class Members(NamedTuple):
    """Clusters of a group, by number, and the blocks they reach over on each side."""

    left: tuple[int, ...]
    right: tuple[int, ...]
    span: tuple[tuple[int, int], tuple[int, int]]

    def above(self, other: "Members") -> bool:
        """Whether all of it can stand above all of another, as far as frames go."""
        return all(own[1] <= their[0] for own, their in zip(self.span, other.span, strict=True))


class Group(NamedTuple):
    """A group in order; or all groups together."""

    left: tuple[Standing, ...]
    right: tuple[Standing, ...]
    crossings: int
    bound: int


# --- which clusters belong together -----------------------------------------


def find_groups(network: Network) -> list[Members]:
    """Return the groups from top to bottom, in file order where that is free."""
    near = _neighbours(network)
    groups: list[Members] = []
    met: set[_Node] = set()
    for root in near:
        if near[root] and root not in met:
            own = reached(root, near)
            met |= own.keys()
            groups.append(_members(network, *([n for at, n in own if at == side] for side in (0, 1))))
    while True:
        groups.sort(key=lambda group: (group.span, group.left[0]))
        merged = _merge_one_run(network, groups)
        if merged is None:
            return groups
        groups = merged


def _merge_one_run(network: Network, groups: list[Members]) -> list[Members] | None:
    """Join groups that frames keep from standing one above the other; None when all are apart."""
    over = [group for group in groups if any(lo != hi for lo, hi in group.span)]  # several frames
    each = ((group, other) for group in over for other in groups if other is not group)
    for upper, lower in each if over else pairwise(groups):
        if not upper.above(lower) and not lower.above(upper):
            joined = _members(network, (*upper.left, *lower.left), (*upper.right, *lower.right))
            return [group for group in groups if group not in (upper, lower)] + [joined]
    return None


def _members(network: Network, left: Sequence[int], right: Sequence[int]) -> Members:
    blocks = (
        [network.left.block[cluster] for cluster in left],
        [network.right.block[cluster] for cluster in right],
    )
    near, far = ((min(own), max(own)) for own in blocks)
    return Members(tuple(sorted(left)), tuple(sorted(right)), (near, far))


def _neighbours(network: Network) -> dict[_Node, list[_Node]]:
    """Return the clusters that each cluster is wired to, once each."""
    out: dict[_Node, list[_Node]] = {}
    for which, own, other in ((0, network.left, network.right), (1, network.right, network.left)):
        for cluster, terminals in enumerate(own.terminals):
            homes = (other.home[target] for terminal in terminals for target in own.to[terminal])
            out[which, cluster] = [(1 - which, home) for home in dict.fromkeys(homes)]
    return out


def reached(start: _Key, near: Mapping[_Key, Iterable[_Key]]) -> dict[_Key, _Key | None]:
    """Return all that can be reached, the nearest first, each with that from which it was."""
    came: dict[_Key, _Key | None] = {start: None}
    queue = [start]
    for here in queue:
        for other in near[here]:
            if other not in came:
                came[other] = here
                queue.append(other)
    return came


# --- a start: along the longest path --------------------------------------------


def along_the_spine(network: Network) -> tuple[Standing, ...]:
    """Return the right side's clusters in the order a walk along a network of one group meets them.

    A caterpillar (a path with leaves) drawn along its path has no crossing at all.
    """
    near = _neighbours(network)
    spine = _farthest(_farthest((1, 0), near)[-1], near)
    on_spine = set(spine)
    met: dict[_Node, None] = {}
    for here in spine:
        stack = [leaf for leaf in reversed(near[here]) if leaf not in on_spine]
        while stack:
            node = stack.pop()
            if node in met:
                continue
            met[node] = None
            stack.extend(other for other in reversed(near[node]) if other not in on_spine)
        met[here] = None
    met |= dict.fromkeys(node for node in near if node not in met)  # of the group's other components
    return tuple((n, network.right.terminals[n]) for side, n in met if side == 1)


def _farthest(start: _Node, near: Mapping[_Node, Iterable[_Node]]) -> list[_Node]:
    """Return a path from `start` to a cluster as many wires away as any."""
    came = reached(start, near)
    path = [*came][-1:]
    while (step := came[path[-1]]) is not None:
        path.append(step)
    return path[::-1]
