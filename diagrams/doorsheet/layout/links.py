"""Links on the strip, drawn beyond it: groups are stacked along them, so that they stay short.

Needs: groups that need not cross one another, in file order.
Leaves: the same groups in an order (some of them turned over) with fewer crossings of
links and shorter links; the wires' crossings stay as they are.
"""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Mapping, Sequence
from itertools import groupby

from doorsheet.layout.groups import Group, Members, reached
from doorsheet.layout.numbered import Network, Side, Standing, spread, turned

__all__ = ["crossed_links", "place_linked", "stack_groups"]


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
        ends = [n for n in reached(root, near) if len(set(near[n])) == 1]
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
