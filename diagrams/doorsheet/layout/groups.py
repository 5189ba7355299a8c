"""Both sides free: what can be put in order by itself.

Needs: the network.
Leaves: groups of clusters, from top to bottom, that need not cross one another.

A group is a connected component; components that the frames' fixed order forces
into one another are one group.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from doorsheet.layout.numbered import Network, Side, Standing

__all__ = ["Group", "Members", "along_the_spine", "find_groups"]


class Members(NamedTuple):
    """Clusters of a group, by number, and the blocks they reach over on each side."""

    left: tuple[int, ...]
    right: tuple[int, ...]
    span: tuple[tuple[int, int], tuple[int, int]]

    def above(self, other: "Members") -> bool:
        """Whether all of it can stand above all of another, as far as frames go."""
        return all(own[1] <= their[0] for own, their in zip(self.span, other.span, strict=True))


class Group(NamedTuple):
    """A group in order."""

    members: Members
    left: tuple[Standing, ...]
    right: tuple[Standing, ...]
    crossings: int
    bound: int


# --- which clusters belong together -----------------------------------------


def find_groups(network: Network) -> list[Members]:
    """Return the groups from top to bottom, in file order where that is free."""
    groups = [_members(network, left, right) for left, right in _components(network)]
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


def _components(network: Network) -> Iterator[tuple[list[int], list[int]]]:
    left, right = network.left, network.right
    seen = [[False] * len(left.terminals), [False] * len(right.terminals)]
    sides = (left, right)
    for root in range(len(left.terminals)):
        if seen[0][root] or not left.wires(root):
            continue
        found: tuple[list[int], list[int]] = ([root], [])
        seen[0][root] = True
        queue = [(0, root)]
        for which, cluster in queue:
            for terminal in sides[which].terminals[cluster]:
                for target in sides[which].to[terminal]:
                    other = sides[1 - which].home[target]
                    if not seen[1 - which][other]:
                        seen[1 - which][other] = True
                        found[1 - which].append(other)
                        queue.append((1 - which, other))
        yield found


# --- a start: along the longest path --------------------------------------------


def along_the_spine(network: Network, members: Members) -> tuple[Standing, ...]:
    """Return the right side's clusters in the order a walk along the group meets them.

    A caterpillar (a path with leaves) drawn along its path has no crossing at all.
    """
    near = _neighbours(network, members)
    first = (1, members.right[0])
    spine = _farthest(_farthest(first, near)[-1], near)
    on_spine = set(spine)
    met: dict[tuple[int, int], None] = {}
    for here in spine:
        stack = [leaf for leaf in reversed(near[here]) if leaf not in on_spine]
        while stack:
            node = stack.pop()
            if node in met:
                continue
            met[node] = None
            stack.extend(other for other in reversed(near[node]) if other not in on_spine)
        met[here] = None
    order = [n for side, n in met if side == 1]
    order += [n for n in members.right if (1, n) not in met]  # of the group's other components
    return tuple((n, network.right.terminals[n]) for n in order)


def _neighbours(network: Network, members: Members) -> dict[tuple[int, int], list[tuple[int, int]]]:
    def of(which: int, own: Side, other: Side, cluster: int) -> list[tuple[int, int]]:
        homes = (other.home[target] for terminal in own.terminals[cluster] for target in own.to[terminal])
        return [(1 - which, home) for home in dict.fromkeys(homes)]

    left, right = network.left, network.right
    out = {(0, cluster): of(0, left, right, cluster) for cluster in members.left}
    out |= {(1, cluster): of(1, right, left, cluster) for cluster in members.right}
    return out


def _farthest(
    start: tuple[int, int], near: dict[tuple[int, int], list[tuple[int, int]]]
) -> list[tuple[int, int]]:
    """Return a path from `start` to a cluster as many wires away as any."""
    came: dict[tuple[int, int], tuple[int, int] | None] = {start: None}
    queue = [start]
    for here in queue:
        for other in near[here]:
            if other not in came:
                came[other] = here
                queue.append(other)
    path: list[tuple[int, int]] = []
    step: tuple[int, int] | None = queue[-1]
    while step is not None:
        path.append(step)
        step = came[step]
    return path[::-1]
