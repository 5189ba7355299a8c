"""Both sides free: the fewest crossings of a group of clusters, exactly, where few of them tie it together.

Needs: a group, and the crossings of an order found otherwise.
Leaves: the order with the fewest crossings, or proof that there is none with fewer.

The phases: clusters of one side that tie the group together (hubs: all but private terminals) are
placed from top to bottom in every order -> under each, the clusters of the other side are filled in,
kind by kind, private terminals following their wires (`doorsheet.layout.fill`).  While hubs are
placed, the wires placed so far say for each two kinds how many crossings either order of the two
costs at least; the sum of the smaller ones, with what private terminals cost at least, is a bound.
Of hubs that are alike one stands for all, and of an order and the same upside down, one.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from math import factorial, prod
from typing import NamedTuple

from doorsheet.layout.alike import Turn, is_private, kind_key, kind_of, kinds, loosely, turns
from doorsheet.layout.fill import Filler, states
from doorsheet.layout.numbered import Side, Standing, count, settle_side, spread, turned

__all__ = ["Searched", "effort", "search"]


class Searched(NamedTuple):
    """The best order of both sides, the one with the hubs first, if better than what was known; its crossings
    or those known; and what is proved.
    """

    order: tuple[tuple[Standing, ...], tuple[Standing, ...]] | None
    crossings: int
    bound: int


def effort(side: Side, other: Side) -> int:
    """Return how many orders of hubs there are, times the ways to have filled in part of the other side."""
    hubs = _hubs(side)
    orders = prod(len(turns(side, cluster)) for cluster in hubs)
    by_block = Counter(side.block[cluster] for cluster in hubs)
    alike = Counter(kind_key(side, cluster, other) for cluster in hubs)
    orders *= prod(map(factorial, by_block.values()))
    orders //= prod(map(factorial, alike.values()))
    return orders * states(kinds(other, side))


def search(side: Side, other: Side, known: int, steps: int) -> Searched:
    """Place the hubs of `side` in every order; look for fewer crossings than `known`."""
    walk = _Walk(side, other, known, steps)
    if walk.least < known:
        walk.down(walk.least)
    return Searched(walk.order, walk.best, min(walk.best, walk.open))


def _hubs(side: Side) -> list[int]:
    return [cluster for cluster in range(len(side.terminals)) if not is_private(side, cluster)]


class _Walk:
    """The state of the walk over all orders; what a step changes, it changes back."""

    def __init__(self, side: Side, other: Side, known: int, steps: int) -> None:
        self.side, self.other = side, other
        self.best, self.steps = known, steps
        self.open = known  # the least bound of what was left unseen
        self.order: tuple[tuple[Standing, ...], tuple[Standing, ...]] | None = None
        self.kinds = kinds(other, side)
        self.filler = Filler(side, self.kinds, steps // 8)
        self.least = self.filler.least
        hubs = _hubs(side)
        self.key = {cluster: kind_key(side, cluster, other) for cluster in hubs}
        self.turns = {cluster: turns(side, cluster) for cluster in hubs}
        self.waiting = sorted(hubs, key=lambda cluster: (side.block[cluster], cluster))
        self.placed: list[tuple[int, Turn]] = []
        self.same_upside_down = all(
            turned(own, tuple(enumerate(own.terminals))) is not None for own in (side, other)
        )
        # wires of each hub's terminal by kind
        self.ends: dict[int, Counter[int]] = {}
        for number, kind in enumerate(self.kinds):
            for _, target in kind.wires:
                self.ends.setdefault(target, Counter())[number] += 1
        self.to_come = [len(kind.wires) for kind in self.kinds]
        size = len(self.kinds)
        self.block = [kind.block for kind in self.kinds]
        sizes = [len(kind.members) for kind in self.kinds]
        self.many = [[n * m for m in sizes] for n in sizes]  # pairs of a kind with another, or with itself
        for number, n in enumerate(sizes):
            self.many[number][number] = n * (n - 1) // 2
        self.cost = [[0] * size for _ in range(size)]  # cost[r][s]: crossings known if r stands above s

    def down(self, bound: int) -> None:
        """Try everything that can follow."""
        if self.steps < 0:
            self.open = min(self.open, bound)
            return
        if not self.waiting:
            self._reached(bound)
            return
        seen: set[object] = set()
        block = self.side.block[self.waiting[0]]
        for index, cluster in enumerate(tuple(self.waiting)):
            if self.side.block[cluster] != block:
                break
            if self.key[cluster] in seen:
                continue
            seen.add(self.key[cluster])
            # branch and bound, in depth: what a hub adds is taken off again before the next one is tried
            for turn in self.turns[cluster]:
                before = list(self.to_come)
                changes = list(self._changes(cluster, turn))
                self.steps -= 1 + len(changes)
                raised = bound + self._apply(changes)
                if raised < self.best:
                    self.placed.append((cluster, turn))
                    del self.waiting[index]
                    self.down(raised)
                    self.waiting.insert(index, cluster)
                    self.placed.pop()
                for r, s, number in changes:
                    self.cost[r][s] -= number
                self.to_come = before

    def _changes(self, cluster: int, turn: Turn) -> Iterator[tuple[int, int, int]]:
        """Yield (r, s, crossings more with one of r above one of s) for a hub placed next."""
        levels = [(terminal,) for terminal in turn] if turn is not None else [self.side.terminals[cluster]]
        for level in levels:
            wires: dict[int, int] = {}
            for terminal in level:
                for number, ends in self.ends.get(terminal, {}).items():
                    wires[number] = wires.get(number, 0) + ends
            for number, ends in wires.items():
                self.to_come[number] -= ends
            for s, ends in wires.items():
                for r, later in enumerate(self.to_come):
                    if later:
                        yield r, s, ends * later

    def _apply(self, changes: Sequence[tuple[int, int, int]]) -> int:
        """Add crossings; return by how much that raises the bound."""
        raised = 0
        cost, many, block = self.cost, self.many, self.block
        for r, s, number in changes:
            row = cost[r]
            # the usual bound of one-sided crossing minimisation: of each pair the cheaper of its two orders,
            # so only what lifts the smaller one counts; pairs whose order is fixed count whole
            if r == s or block[r] < block[s]:
                raised += number * many[r][s]
            elif block[r] == block[s]:
                least, other = row[s], cost[s][r]
                if least < other:
                    raised += min(number, other - least) * many[r][s]
            row[s] += number
        return raised

    def _reached(self, bound: int) -> None:
        """Fill in the other side under the whole order; keep it when it is better."""
        if self.same_upside_down and len(self.placed) > 1 and self.placed[0][0] > self.placed[-1][0]:
            return
        filled = self.filler.fill(self.placed, self.cost, bound, self.best, self.steps)
        self.steps -= filled.steps
        if filled.sequence is None:
            self.open = min(self.open, filled.bound)
            return
        own, other = self._standing(filled.sequence)
        crossings = count(own, other, self.side)
        assert crossings >= filled.bound
        if crossings > filled.bound:  # the inside of a cluster was left to what follows
            self.open = min(self.open, filled.bound)
        if crossings < self.best:
            self.best, self.order = crossings, (own, other)

    def _standing(self, sequence: Sequence[int]) -> tuple[tuple[Standing, ...], tuple[Standing, ...]]:
        """Return both sides: private terminals in their gaps, every cluster turned as its wires come."""
        side, other = self.side, self.other
        rest = [iter(kind.members) for kind in self.kinds]
        filled = [(number, next(rest[number])) for number in sequence]
        alone = [(number, kind_of(other, (member,), side)) for number, member in filled]
        above: list[list[int]] = [[] for _ in range(len(self.placed) + 1)]  # private ones above each hub
        for gaps in self.filler.gaps(self.placed, alone):
            taken: set[int] = set()
            for private, hub in gaps:
                target = next(
                    target
                    for target in other.to[private.terminal]
                    if target not in taken
                    and side.block[home := side.home[target]] == private.block
                    and is_private(side, home)
                )
                taken.add(target)
                above[hub].append(side.home[target])
        order: list[tuple[int, Turn]] = []
        for n, alone_here in enumerate(above):
            order += [(cluster, None) for cluster in alone_here]
            order += self.placed[n : n + 1]
        order.sort(key=lambda placed: side.block[placed[0]])
        held = loosely(side, order)
        their = tuple(settle_side(other, (member,), held).order[0] for _, member in filled)
        at = spread(their)
        own = tuple(
            (cluster, turn) if turn is not None else settle_side(side, (cluster,), at).order[0]
            for cluster, turn in order
        )
        return own, their
