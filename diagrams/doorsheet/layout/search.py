"""Both sides free: the fewest crossings of a small group of clusters, by looking at all orders.

Needs: a group with few clusters on one side, and the crossings of an order found otherwise.
Leaves: the order with the fewest crossings, or proof that there is none with fewer.

The clusters of one side are placed from top to bottom in every order.  After each
the wires placed so far say, for each two clusters of the other side, how many crossings
either order of the two costs at least; the sum of the smaller ones is a bound.
With all placed, the other side is settled exactly.  Of clusters that differ only in
private terminals of equal kind, one stands for all, the first in the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import factorial
from typing import Final

from doorsheet.layout.clusters import Freedom
from doorsheet.layout.network import Arranged, Side, Standing, settle_side, spread

__all__ = ["Searched", "kind", "orders_to_try", "search"]

_TURNS_MOST: Final = 4
"""Free clusters of so many terminals are tried in every order, larger ones left to what follows."""


@dataclass(frozen=True, slots=True)
class Searched:
    """The best order of both sides, if better than what was known, and what is proved."""

    own: tuple[Standing, ...] | None
    other: tuple[Standing, ...] | None
    crossings: int
    bound: int | None  # None: given up


def search(
    side: Side, members: Sequence[int], other: Side, others: Sequence[int], known: int, steps: int
) -> Searched:
    """Place `members` of `side` in every order; look for fewer crossings than `known`."""
    walk = _Walk(side, members, other, others, known, steps)
    finished = walk.down(walk.forced)
    bound = min(walk.best, walk.doubtful) if finished else None
    return Searched(walk.own, walk.other_order, walk.best, bound)


def orders_to_try(side: Side, members: Sequence[int], other: Side) -> int:
    """Return how many orders there are, alike ones counted once."""
    total = 1
    blocks: dict[int, list[int]] = {}
    for cluster in members:
        blocks.setdefault(side.block[cluster], []).append(cluster)
        total *= len(_turns(side, cluster))
    for own in blocks.values():
        total *= factorial(len(own))
        kinds: dict[object, int] = {}
        for cluster in own:
            own_kind = kind(side, cluster, other)
            kinds[own_kind] = kinds.get(own_kind, 0) + 1
        for alike in kinds.values():
            total //= factorial(alike)
    return total


def kind(side: Side, cluster: int, other: Side) -> object:
    """Return a key that is equal for clusters which can be exchanged without changing anything."""
    pattern = [
        tuple(sorted(_target_kind(other, target) for target in side.to[terminal]))
        for terminal in side.terminals[cluster]
    ]
    freedom = side.freedom[cluster]
    if freedom is Freedom.MIRROR:
        pattern = min(pattern, pattern[::-1])
    elif freedom is Freedom.FREE:
        pattern.sort()
    return side.block[cluster], freedom, tuple(pattern)


def _target_kind(other: Side, target: int) -> tuple[int, int]:
    cluster = other.home[target]
    private = len(other.terminals[cluster]) == 1 and len(other.to[target]) == 1
    return (0, other.block[cluster]) if private else (1, target)


def _turns(side: Side, cluster: int) -> tuple[tuple[int, ...] | None, ...]:
    """Return the orders of a cluster's terminals to try; None where none costs a crossing more.

    Two ends can always be put as they go, one to a terminal; so can any number where the
    terminals may stand in any order.
    """
    terminals = side.terminals[cluster]
    most = max(len(side.to[terminal]) for terminal in terminals)
    freedom = side.freedom[cluster]
    if len(terminals) == 1 or (freedom is not Freedom.FIXED and side.wires(cluster) <= 2):
        return (None,)
    if freedom is Freedom.FIXED:
        return (terminals,)
    if freedom is Freedom.MIRROR:
        return terminals, terminals[::-1]
    if most == 1:
        return (None,)
    return tuple(permutations(terminals)) if len(terminals) <= _TURNS_MOST else (None,)


class _Walk:
    """The state of the walk over all orders; what a step changes, it changes back."""

    def __init__(
        self, side: Side, members: Sequence[int], other: Side, others: Sequence[int], known: int, steps: int
    ) -> None:
        self.side, self.other, self.others = side, other, tuple(others)
        self.best, self.doubtful, self.steps = known, known, steps
        self.own: tuple[Standing, ...] | None = None
        self.other_order: tuple[Standing, ...] | None = None
        number = {cluster: index for index, cluster in enumerate(self.others)}
        size = len(self.others)
        self.block = [other.block[cluster] for cluster in self.others]
        # wires of each member by cluster of the other side, terminal by terminal
        self.ends = {
            cluster: {
                terminal: [number[other.home[target]] for target in side.to[terminal]]
                for terminal in side.terminals[cluster]
            }
            for cluster in members
        }
        self.to_come = [other.wires(cluster) for cluster in self.others]
        self.cost = [[0] * size for _ in range(size)]  # cost[r][s]: crossings known if r stands above s
        self.forced = 0
        self.placed: list[tuple[int, tuple[int, ...] | None]] = []
        self.turns = {cluster: _turns(side, cluster) for cluster in members}
        self.kind = {cluster: kind(side, cluster, other) for cluster in members}
        self.waiting = sorted(members, key=lambda cluster: (side.block[cluster], cluster))

    def down(self, bound: int) -> bool:
        """Try everything that can follow; False when the steps are used up."""
        if not self.waiting:
            return self._reached()
        seen: set[object] = set()
        block = self.side.block[self.waiting[0]]
        for index, cluster in enumerate(tuple(self.waiting)):
            if self.side.block[cluster] != block:
                break
            if self.kind[cluster] in seen:
                continue
            seen.add(self.kind[cluster])
            for turn in self.turns[cluster]:
                self.steps -= 1
                if self.steps < 0:
                    return False
                changes = list(self._changes(cluster, turn))
                raised = bound + self._apply(changes, 1)
                finished = True
                if raised < self.best:
                    self.placed.append((cluster, turn))
                    del self.waiting[index]
                    finished = self.down(raised)
                    self.waiting.insert(index, cluster)
                    self.placed.pop()
                self._apply(changes, -1)
                for ends in self.ends[cluster].values():
                    for target in ends:
                        self.to_come[target] += 1
                if not finished:
                    return False
        return True

    def _changes(self, cluster: int, turn: tuple[int, ...] | None) -> Iterator[tuple[int, int, int]]:
        """Yield (r, s, crossings more with r above s) for a cluster placed next."""
        wires: dict[int, int] = {}
        for ends in self.ends[cluster].values():
            for target in ends:
                wires[target] = wires.get(target, 0) + 1
        for target, number in wires.items():
            self.to_come[target] -= number
        size = len(self.others)
        for s, number in wires.items():
            for r in range(size):
                if r != s and self.to_come[r]:
                    yield r, s, number * self.to_come[r]
        if turn is not None:
            order = [target for terminal in turn for target in sorted(self.ends[cluster][terminal])]
            above = [terminal for terminal in turn for _ in self.ends[cluster][terminal]]
            for i, s in enumerate(order):
                for j in range(i + 1, len(order)):
                    if order[j] != s and above[i] != above[j]:
                        yield order[j], s, 1

    def _apply(self, changes: Sequence[tuple[int, int, int]], sign: int) -> int:
        """Add (or take away) crossings; return by how much that raises the bound."""
        raised = 0
        cost, block = self.cost, self.block
        for r, s, number in changes:
            if block[r] < block[s]:
                raised += sign * number
            elif block[r] == block[s]:
                before = min(cost[r][s], cost[s][r])
                cost[r][s] += sign * number
                raised += min(cost[r][s], cost[s][r]) - before
        return raised

    def _reached(self) -> bool:
        """Settle the other side under the whole order; keep it when it is better."""
        held: dict[int, int] = {}
        for cluster, turn in self.placed:
            place = len(held)
            for index, terminal in enumerate(turn or self.side.terminals[cluster]):
                held[terminal] = place + index if turn is not None else place
        other = settle_side(self.other, self.others, held)
        if other.bound >= self.best:
            return True
        own, crossings = self._fitted(other)
        self.doubtful = min(self.doubtful, other.bound)
        if crossings < self.best:
            self.best = crossings
            self.own, self.other_order = own, other.order
        return True

    def _fitted(self, other: Arranged) -> tuple[tuple[Standing, ...], int]:
        """Return the placed clusters, those whose turn was left open turned to fit, and all crossings."""
        at = spread(other.order)
        own: list[Standing] = []
        more = 0
        for cluster, turn in self.placed:
            if turn is None:
                inside = settle_side(self.side, (cluster,), at)
                own.extend(inside.order)
                more += inside.crossings
            else:
                own.append((cluster, turn))
        return tuple(own), other.crossings + more
