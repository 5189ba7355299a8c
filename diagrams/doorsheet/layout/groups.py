"""Both sides free: what can be put in order by itself, and how each such group is.

Needs: the network.
Leaves: groups of clusters, from top to bottom, that need not cross one another;
each with its order, its crossings and a bound.

A group is a connected component; components that the frames' fixed order forces
into one another are one group.  The phases for each group: go back and forth between the
sides from several starts -> compare with the bound by centres -> look at all orders if it
is small -> turn it over if that is nearer to the file's order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from doorsheet.layout.alike import in_file_order
from doorsheet.layout.bound import centre_bound, inversions
from doorsheet.layout.clusters import Freedom
from doorsheet.layout.network import Network, Side, Standing, count, settle_side, spread, turned

__all__ = ["Group", "find_groups", "solve_groups"]

_ROUNDS: Final = 12
_SHAKES: Final = 90
"""Times that a group whose order is not proved is shaken; a third of it beyond the size of one sheet."""

_SMALL: Final = 150
"""Up to so many clusters, groups are looked at from every start, for the one nearest to the file's order."""

_SEARCHED: Final = 400
"""Up to so many clusters, groups that a quick search left unproved are searched again."""

_QUICK: Final = 10_000
"""Comparisons of kinds that a first search may make."""

_STEPS: Final = 200_000
"""Comparisons of kinds before the second search gives up, about half a second."""


@dataclass(frozen=True, slots=True)
class Members:
    """Clusters of a group, by number, and the blocks they reach over on each side."""

    left: tuple[int, ...]
    right: tuple[int, ...]
    span: tuple[tuple[int, int], tuple[int, int]]

    def above(self, other: Members) -> bool:
        """Whether all of it can stand above all of another, as far as frames go."""
        return all(own[1] <= their[0] for own, their in zip(self.span, other.span, strict=True))


@dataclass(frozen=True, slots=True)
class Group:
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
    simple = all(lo == hi for group in groups for lo, hi in group.span)
    pairs = pairwise(groups) if simple else _all_pairs(groups)
    for upper, lower in pairs:
        if not upper.above(lower) and not lower.above(upper):
            joined = _members(network, (*upper.left, *lower.left), (*upper.right, *lower.right))
            return [group for group in groups if group not in (upper, lower)] + [joined]
    return None


def _all_pairs(groups: list[Members]) -> Iterator[tuple[Members, Members]]:
    """Yield the pairs of which one reaches over several frames."""
    over = [group for group in groups if any(lo != hi for lo, hi in group.span)]
    yield from ((group, other) for group in over for other in groups if other is not group)


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


# --- one group ---------------------------------------------------------------


def solve_groups(network: Network, groups: Sequence[Members]) -> list[Group]:
    """Put each group in order; those built alike, file order included, are solved once."""
    solved: dict[object, Group] = {}
    out: list[Group] = []
    for members in groups:
        shape = _shape(network, members)
        model = solved.get(shape)
        if model is None:
            model = solved[shape] = _solve_group(network, members)
            out.append(model)
        else:
            out.append(_after(network, model, members))
    return out


def _shape(network: Network, members: Members) -> object:
    """Return a key that is equal for groups that differ only in where they stand in the file."""
    left, right = network.left, network.right
    rank = {cluster: n for n, cluster in enumerate(members.right)}
    first = {cluster: right.terminals[cluster][0] for cluster in members.right}
    near = tuple(
        (
            left.block[cluster],
            left.freedom[cluster],
            tuple(
                tuple(
                    (rank[home := right.home[target]], target - first[home]) for target in left.to[terminal]
                )
                for terminal in left.terminals[cluster]
            ),
        )
        for cluster in members.left
    )
    far = tuple((right.block[c], right.freedom[c], len(right.terminals[c])) for c in members.right)
    return near, far


def _after(network: Network, model: Group, members: Members) -> Group:
    """Return a group in the order of another that is built alike."""

    def side(
        own: Side, order: Sequence[Standing], theirs: Sequence[int], ours: Sequence[int]
    ) -> tuple[Standing, ...]:
        counterpart = dict(zip(theirs, ours, strict=True))
        out: list[Standing] = []
        for cluster, terminals in order:
            mine = counterpart[cluster]
            by = own.terminals[mine][0] - own.terminals[cluster][0]
            out.append((mine, tuple(terminal + by for terminal in terminals)))
        return tuple(out)

    return Group(
        members,
        side(network.left, model.left, model.members.left, members.left),
        side(network.right, model.right, model.members.right, members.right),
        model.crossings,
        model.bound,
    )


def _solve_group(network: Network, members: Members) -> Group:
    """Put one group in order.

    On a sheet that a person compares with the one before it, the order nearest to the file's is
    looked for among those with as few crossings; beyond that size only the crossings count.
    """
    bound = _bound(network, members)
    small = _small(network)
    best: Group | None = None
    for start in _starts(network, members):
        found = _back_and_forth(network, members, start, bound)
        if best is None or found.crossings < best.crossings:
            best = _nearer_to_file(network, found)
        elif small and found.crossings == best.crossings:
            best = min(best, _nearer_to_file(network, found), key=_disorder)
        if best.crossings == bound and (not small or not _disorder(best)):
            break
    assert best is not None
    if best.crossings == bound:
        return best
    best = _look_at_all(network, best, _QUICK)
    if best.crossings > best.bound:
        best = _shaken(network, best)
        if _size(network) <= _SEARCHED:
            best = _look_at_all(network, best, _STEPS)
    return _nearer_to_file(network, best)


def _size(network: Network) -> int:
    return len(network.left.terminals) + len(network.right.terminals)


def _small(network: Network) -> bool:
    return _size(network) <= _SMALL


def _bound(network: Network, members: Members) -> int:
    edges = [
        (cluster, network.right.home[target])
        for cluster in members.left
        for terminal in network.left.terminals[cluster]
        for target in network.left.to[terminal]
    ]
    if members.span[0][0] == members.span[0][1] or members.span[1][0] == members.span[1][1]:
        return centre_bound(edges)
    blocks = sorted((network.left.block[a], network.right.block[b]) for a, b in edges)
    return max(centre_bound(edges), inversions([b for _, b in blocks]))


def _starts(network: Network, members: Members) -> Iterator[tuple[Standing, ...]]:
    left, right = network.left, network.right
    file_order = tuple((cluster, right.terminals[cluster]) for cluster in members.right)
    yield file_order
    near = tuple((cluster, left.terminals[cluster]) for cluster in members.left)
    yield settle_side(right, members.right, _loose(left, near), effort=0).order
    spine = _along_the_spine(network, members)
    yield spine
    yield spine[::-1]
    yield file_order[::-1]


def _back_and_forth(network: Network, members: Members, start: tuple[Standing, ...], bound: int) -> Group:
    """Hold one side and settle the other, in turn, while that saves crossings."""
    held = _loose(network.right, start)
    best: Group | None = None
    for _ in range(_ROUNDS):
        left = settle_side(network.left, members.left, held, effort=0).order
        settled = settle_side(network.right, members.right, spread(left), effort=0)
        right = settled.order
        held = spread(right)
        if best is not None and settled.crossings >= best.crossings:
            break
        best = Group(members, left, right, settled.crossings, bound)
        if settled.crossings <= bound:
            break
    assert best is not None
    return best


def _shaken(network: Network, known: Group) -> Group:
    """Turn a stretch of the strip over, or move it, and go back and forth again; keep what is no worse.

    The stretches are drawn by a fixed rule, so that the same file gives the same sheet.
    """
    from doorsheet.layout.shake import draws

    draw = draws()
    best = here = known
    size = len(known.right)
    for _ in range(_SHAKES if _small(network) else _SHAKES // 3):
        order = list(here.right)
        length = 1 + next(draw) % max(1, size // 2)
        first = next(draw) % (size - length + 1)
        stretch = order[first : first + length]
        del order[first : first + length]
        what = next(draw) % 3
        if what:
            stretch.reverse()
        place = first if what == 2 and length > 1 else next(draw) % (len(order) + 1)
        order[place:place] = stretch
        order.sort(key=lambda standing: network.right.block[standing[0]])
        found = _back_and_forth(network, known.members, tuple(order), known.bound)
        if found.crossings <= here.crossings:
            here = found
            if found.crossings < best.crossings:
                best = found
                if best.crossings == best.bound:
                    break
    return best


def _loose(side: Side, order: Sequence[Standing]) -> dict[int, int]:
    """Return the places of an order in which clusters that may be turned are not yet turned either way."""
    held: dict[int, int] = {}
    for cluster, own in order:
        place = len(held)
        fixed = side.freedom[cluster] is Freedom.FIXED
        held.update((terminal, place + n if fixed else place) for n, terminal in enumerate(own))
    return held


def _look_at_all(network: Network, known: Group, steps: int) -> Group:
    """Try the hubs of the side on which there is less to look at."""
    from doorsheet.layout.search import effort, search  # most sheets are proved without it

    members = known.members
    if known.crossings == known.bound:
        return known
    near, far = network.left, network.right
    on_left = effort(near, members.left, far, members.right)
    on_right = effort(far, members.right, near, members.left)
    if on_left < on_right:
        found = search(near, members.left, far, members.right, known.crossings, steps)
        left, right = found.own, found.other
    else:
        found = search(far, members.right, near, members.left, known.crossings, steps)
        left, right = found.other, found.own
    bound = max(found.bound, known.bound)
    if left is None or right is None:
        return Group(members, known.left, known.right, known.crossings, bound)
    return Group(members, left, right, found.crossings, bound)


def _nearer_to_file(network: Network, group: Group) -> Group:
    """Turn a group over, and exchange alike clusters, where that leaves more in the file's order."""
    tried = [group]
    left, right = turned(network.left, group.left), turned(network.right, group.right)
    if left is not None and right is not None:
        tried.append(replace(group, left=left, right=right, crossings=count(left, right, network)))
    if _small(network):
        tried += [_alike_in_file_order(network, one) for one in tried]
    return min(tried, key=lambda one: (one.crossings, _disorder(one)))


def _alike_in_file_order(network: Network, group: Group) -> Group:
    """Let alike clusters follow the file among themselves, those on the left first."""
    left, right = in_file_order(network.left, group.left, network.right, group.right)
    right, left = in_file_order(network.right, right, network.left, left)
    return replace(group, left=left, right=right)


def _disorder(group: Group) -> float:
    """Return how far the terminals stand from the file's order, on both sides.

    Pairs early in the file weigh more, so that what is added at its end turns little over.
    """
    out = 0.0
    for order in (group.left, group.right):
        terminals = [terminal for _, own in order for terminal in own]
        if len(terminals) > 2 * _SMALL:
            out += inversions(terminals)
            continue
        first = min(terminals, default=0)
        out += sum(
            (1 + upper - first) ** -2
            for place, upper in enumerate(terminals)
            for lower in terminals[place + 1 :]
            if lower < upper
        )
    return out


# --- a start: along the longest path --------------------------------------------


def _along_the_spine(network: Network, members: Members) -> tuple[Standing, ...]:
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
