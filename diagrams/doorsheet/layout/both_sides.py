"""Both sides free: each group put in order, with its crossings and a bound.

The phases for each group: go back and forth between the sides from several starts -> compare with
the bound by centres -> search quickly -> shake and search at length, where that left it unproved ->
turn it over, and exchange what is alike, if that is nearer to the file's order.
"""

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from typing import Final

from doorsheet.layout.alike import in_file_order, loosely
from doorsheet.layout.bound import centre_bound, inversions
from doorsheet.layout.clusters import Freedom
from doorsheet.layout.groups import Group, Members, along_the_spine
from doorsheet.layout.numbered import Network, Side, Standing, count, settle_side, spread, turned

__all__ = ["forget", "solve_groups"]

_ROUNDS: Final = 12
_SHAKES: Final = 90
"""Times that a group whose order is not proved is shaken; a third of it beyond the size of one sheet."""

_SHAKEN_PAIRS: Final = 1_000_000
"""Pairs of wires that all shakes may look at; above some hundred wires that makes them fewer."""

_SMALL: Final = 150
"""Up to so many clusters, groups are looked at from every start, for the one nearest to the file's order."""

_SEARCHED: Final = 400
"""Up to so many clusters, groups that a quick search left unproved are searched again."""

_QUICK: Final = 10_000
"""Comparisons of kinds that a first search may make."""

_STEPS: Final = 240_000
"""Comparisons of kinds before the second search gives up, about a second and a half."""


_MOST_KNOWN: Final = 2000
"""Groups whose order is kept, some kilobytes each: tried sheets and drives wired alike share them."""


def forget() -> None:
    """Let go of all orders, as a fresh process has it."""
    _solved.cache_clear()


def solve_groups(network: Network, groups: Sequence[Members], quick: bool) -> list[Group]:
    """Put each group in order, as if there were nothing else; those built alike are solved once."""
    return [_renamed(network, members, _solved(_apart(network, members), quick)) for members in groups]


def _apart(network: Network, members: Members) -> Network:
    """Return a network of a group alone, in file order: equal wherever it stands."""
    left, right = network.left, network.right
    near = spread((cluster, left.terminals[cluster]) for cluster in members.left)
    far = spread((cluster, right.terminals[cluster]) for cluster in members.right)
    return Network(_part(left, members.left, near, far), _part(right, members.right, far, near))


def _part(side: Side, members: Sequence[int], own: dict[int, int], other: dict[int, int]) -> Side:
    rank = {block: n for n, block in enumerate(sorted({side.block[cluster] for cluster in members}))}
    return Side(
        tuple(tuple(own[terminal] for terminal in side.terminals[cluster]) for cluster in members),
        tuple(side.freedom[cluster] for cluster in members),
        tuple(rank[side.block[cluster]] for cluster in members),
        tuple(n for n, cluster in enumerate(members) for _ in side.terminals[cluster]),
        tuple(tuple(other[target] for target in side.to[terminal]) for terminal in own),
    )


@lru_cache(_MOST_KNOWN)
def _solved(network: Network, quick: bool) -> Group:
    return _solve_group(network) if quick else _solve_at_length(network, _solved(network, True))


def _renamed(network: Network, members: Members, alone: Group) -> Group:
    """Return a group that was put in order alone, under the numbers that it has in its network."""

    def side(own: Side, order: Sequence[Standing], numbers: Sequence[int]) -> tuple[Standing, ...]:
        names = [terminal for cluster in numbers for terminal in own.terminals[cluster]]
        return tuple((numbers[cluster], tuple(names[t] for t in terminals)) for cluster, terminals in order)

    return alone._replace(
        left=side(network.left, alone.left, members.left),
        right=side(network.right, alone.right, members.right),
    )


def _solve_group(network: Network) -> Group:
    """Put one group in order.

    On a sheet that a person compares with the one before it, the order nearest to the file's is
    looked for among those with as few crossings; beyond that size only the crossings count.
    """
    bound, settled = _bound(network), _Settled(network)
    small = _small(network)
    best: Group | None = None
    for start in _starts(network):
        found = _back_and_forth(settled, start, bound)
        if best is None or found.crossings < best.crossings:
            best = _nearer_to_file(network, found)
        elif small and found.crossings == best.crossings:
            best = min(best, _nearer_to_file(network, found), key=_disorder)
        if best.crossings == bound and (not small or not _disorder(best)):
            break
    assert best is not None
    if best.crossings == bound:
        return best
    return _nearer_to_file(network, _look_at_all(network, best, _QUICK))


def _solve_at_length(network: Network, known: Group) -> Group:
    """Shake a group that isn't proved, and search it again."""
    if known.crossings == known.bound:
        return known
    best = _shaken(network, known)
    if _size(network) <= _SEARCHED:
        best = _look_at_all(network, best, _STEPS)
    return _nearer_to_file(network, best)


def _size(network: Network) -> int:
    return len(network.left.terminals) + len(network.right.terminals)


def _small(network: Network) -> bool:
    return _size(network) <= _SMALL


def _bound(network: Network) -> int:
    left, right = network.left, network.right
    edges = [
        (cluster, right.home[target])
        for cluster, terminals in enumerate(left.terminals)
        for terminal in terminals
        for target in left.to[terminal]
    ]
    blocks = sorted((left.block[a], right.block[b]) for a, b in edges)
    return max(centre_bound(edges), inversions([b for _, b in blocks]))


def _starts(network: Network) -> Iterator[tuple[Standing, ...]]:
    left, right = network.left, network.right
    file_order = tuple(enumerate(right.terminals))
    yield file_order
    held = _loose(left, tuple(enumerate(left.terminals)))
    yield settle_side(right, range(len(file_order)), held, circles=False).order
    spine = along_the_spine(network)
    yield spine
    yield spine[::-1]
    yield file_order[::-1]


class _Settled:
    """Each side settled under an order of the other; most shakes lead back to orders that were met before."""

    def __init__(self, network: Network) -> None:
        left, right = network.left, network.right
        all_left, all_right = range(len(left.terminals)), range(len(right.terminals))

        def under(order: tuple[Standing, ...], loose: bool) -> tuple[Standing, ...]:
            held = _loose(right, order) if loose else spread(order)
            return settle_side(left, all_left, held, circles=False).order

        self.left = cache(under)
        self.right = cache(lambda order: settle_side(right, all_right, spread(order), circles=False))


def _back_and_forth(settled: _Settled, start: tuple[Standing, ...], bound: int) -> Group:
    """Hold one side and settle the other, in turn, while that saves crossings."""
    best: Group | None = None
    for _ in range(_ROUNDS):
        left = settled.left(start if best is None else best.right, best is None)
        right = settled.right(left)
        if best is not None and right.crossings >= best.crossings:
            break
        best = Group(left, right.order, right.crossings, bound)
        if right.crossings <= bound:
            break
    assert best is not None
    return best


def _shaken(network: Network, known: Group) -> Group:
    """Turn a stretch of the strip over, or move it, and go back and forth again; keep what is no worse.

    The stretches are drawn by a fixed rule, so that the same file gives the same sheet.
    """
    draw = _draws()
    settled = _Settled(network)
    best = here = known
    size = len(known.right)
    wires = sum(network.right.wires(cluster) for cluster, _ in known.right)
    most = _SHAKES if _small(network) else _SHAKES // 3
    for _ in range(max(3, min(most, _SHAKEN_PAIRS // (wires * wires)))):
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
        found = _back_and_forth(settled, tuple(order), known.bound)
        if found.crossings <= here.crossings:
            here = found
            if found.crossings < best.crossings:
                best = found
                if best.crossings == best.bound:
                    break
    return best


def _draws() -> Iterator[int]:
    """Yield numbers without a pattern, always the same ones (a linear congruential generator)."""
    state = 1
    while True:
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        yield state >> 33


def _loose(side: Side, order: Sequence[Standing]) -> dict[int, int]:
    """Return the places of an order in which clusters that may be turned are not yet turned either way."""
    return loosely(side, [(c, own if side.freedom[c] is Freedom.FIXED else None) for c, own in order])


def _look_at_all(network: Network, known: Group, steps: int) -> Group:
    """Try the hubs of the side on which there is less to look at."""
    from doorsheet.layout.search import effort, search  # most sheets are proved without it

    if known.crossings == known.bound:
        return known
    near, far = network.left, network.right
    on_left = effort(near, far) < effort(far, near)
    found = search(*((near, far) if on_left else (far, near)), known.crossings, steps)
    bound = max(found.bound, known.bound)
    if found.order is None:
        return known._replace(bound=bound)
    left, right = found.order if on_left else found.order[::-1]
    return Group(left, right, found.crossings, bound)


def _nearer_to_file(network: Network, group: Group) -> Group:
    """Turn a group over, and exchange alike clusters, where that leaves more in the file's order."""
    tried = [group]
    left, right = turned(network.left, group.left), turned(network.right, group.right)
    if left is not None and right is not None:
        tried.append(group._replace(left=left, right=right, crossings=count(left, right, network.left)))
    for one in [*tried] if _small(network) else ():  # those on the left are exchanged first
        near, far = in_file_order(network.left, one.left, network.right, one.right)
        far, near = in_file_order(network.right, far, network.left, near)
        tried.append(one._replace(left=near, right=far))
    return min(tried, key=lambda one: (one.crossings, _disorder(one)))


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
