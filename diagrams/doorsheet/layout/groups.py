"""Both sides free: what can be put in order by itself, and how that is stacked.

Needs: the network.
Leaves: groups of clusters, from top to bottom, that need not cross one another; once they are in order, the
same in an order (some of them turned over) with fewer crossings of the links on the strip, which are drawn
beyond it, and shorter links: the wires' crossings stay as they are.

A group is a connected component; components that the frames' fixed order forces
into one another are one group.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby, pairwise
from typing import NamedTuple, TypeAlias, TypeVar

from doorsheet.layout.numbered import Network, Side, Standing, spread, turned

__all__ = [
    "Group", "Members", "along_the_spine", "crossed_links", "find_groups", "place_linked", "stack_groups",
]  # fmt: skip

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
            own = _reached(root, near)
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


def _reached(start: _Key, near: Mapping[_Key, Iterable[_Key]]) -> dict[_Key, _Key | None]:
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
    came = _reached(start, near)
    path = [*came][-1:]
    while (step := came[path[-1]]) is not None:
        path.append(step)
    return path[::-1]


# --- stacked along the links --------------------------------------------------


def crossed_links(links: Sequence[tuple[int, int]], at: Mapping[int, int]) -> int:
    """Return how many pairs of links cross: one ends inside the other's span, and one outside."""
    spans = sorted({(min(at[a], at[b]), max(at[a], at[b])) for a, b in links})
    ends: list[int] = []
    total = 0
    for top, same_top in groupby(spans, key=lambda span: span[0]):
        own = [bottom for _, bottom in same_top]
        total += sum(bisect_left(ends, bottom) - bisect_right(ends, top) for bottom in own)
        for bottom in own:
            insort(ends, bottom)
    return total


def _cost(links: Sequence[tuple[int, int]], order: Sequence[Standing]) -> tuple[int, int]:
    at = spread(order)
    return crossed_links(links, at), sum(abs(at[a] - at[b]) for a, b in links)


def stack_groups(
    network: Network, members: Sequence[Members], groups: Sequence[Group], links: Sequence[tuple[int, int]]
) -> list[Group]:
    """Stack groups so that linked ones are neighbours, where no frame forbids it."""
    as_they_are = _turn_over(network, list(groups), links)
    along: list[Group] = []
    for _, run in groupby(zip(members, groups, strict=True), key=lambda one: one[0].span):
        along.extend(_along_links(network.right, [group for _, group in run], links))
    along = _turn_over(network, along, links)
    return min(as_they_are, along, key=lambda stack: _cost(links, _right(network, stack)))


def _right(network: Network, groups: Sequence[Group]) -> list[Standing]:
    """Return the strip of a stack of groups, terminals without wires at its end."""
    order = [standing for group in groups for standing in group.right]
    order.sort(key=lambda standing: network.right.block[standing[0]])
    here = {cluster for cluster, _ in order}
    order += [(n, own) for n, own in enumerate(network.right.terminals) if n not in here]
    return order


def _along_links(side: Side, run: Sequence[Group], links: Sequence[tuple[int, int]]) -> list[Group]:
    """Walk from group to group along the links; each chain from the end that the file has first."""
    home = {cluster: n for n, group in enumerate(run) for cluster, _ in group.right}
    near: dict[int, list[int]] = {n: [] for n in range(len(run))}
    for a, b in links:
        one, other = home.get(side.home[a]), home.get(side.home[b])
        if one is not None and other is not None and one != other:
            near[one].append(other)
            near[other].append(one)
    out: list[int] = []
    met: set[int] = set()
    for root in range(len(run)):
        if root in met:
            continue
        ends = [n for n in _reached(root, near) if len(set(near[n])) == 1]
        stack = [min(ends, default=root)]
        while stack:
            here = stack.pop()
            if here not in met:
                met.add(here)
                out.append(here)
                stack.extend(sorted(set(near[here]) - met, reverse=True))
    return [run[n] for n in out]


def _turn_over(network: Network, groups: list[Group], links: Sequence[tuple[int, int]]) -> list[Group]:
    """Turn a group over where its links get shorter by it."""
    at = spread(_right(network, groups))
    out: list[Group] = []
    touching: dict[int, list[tuple[int, int]]] = {}
    for link in links:
        for terminal in link:
            touching.setdefault(network.right.home[terminal], []).append(link)
    for group in groups:
        left, right = turned(network.left, group.left), turned(network.right, group.right)
        own = [link for cluster, _ in group.right for link in touching.get(cluster, ())]
        if own and left is not None and right is not None:
            places = [at[terminal] for _, terminals in group.right for terminal in terminals]
            after = dict(zip((t for _, terminals in right for t in terminals), places, strict=True))
            before = sum(abs(at[a] - at[b]) for a, b in own)
            if sum(abs(after.get(a, at[a]) - after.get(b, at[b])) for a, b in own) < before:
                at.update(after)
                group = group._replace(left=left, right=right)
        out.append(group)
    return out


def place_linked(
    side: Side, order: tuple[Standing, ...], links: Sequence[tuple[int, int]]
) -> tuple[Standing, ...]:
    """Move each linked cluster that has no wires next to a terminal it is linked to, if that helps."""
    for cluster in range(len(side.terminals)):
        if side.wires(cluster):
            continue
        mates = {
            side.home[end]
            for link in links
            if any(side.home[terminal] == cluster for terminal in link)
            for end in link
        } - {cluster}
        if not mates:
            continue
        own = next(standing for standing in order if standing[0] == cluster)
        rest = [standing for standing in order if standing[0] != cluster]
        best, best_cost = order, _cost(links, order)
        for place, standing in enumerate(rest):
            if standing[0] in mates and side.block[standing[0]] == side.block[cluster]:
                for where in (place + 1, place):
                    tried = (*rest[:where], own, *rest[where:])
                    cost = _cost(links, tried)
                    if cost < best_cost:
                        best, best_cost = tried, cost
        order = best
    return order
