"""The other side filled in under an order of hubs: kind by kind from top to bottom, at least cost.

Needs: kinds of clusters of one side, and the hubs of the other side in their order, each by its slots.
Leaves: the sequence of kinds with the fewest crossings, or what every sequence costs at least.

How many clusters of each kind stand above tells all that the next one's crossings depend on: which
wires pass above and below it, so also in which gap between hubs its private terminals stand best.
So a state is a count for each kind, and the cheapest way from none to all is looked for (A*).  What
remains to be paid is bounded by what kinds prefer pair by pair, plus what private terminals cost if
each could choose its side of every hub anew; the latter doesn't depend on the order of hubs, and is
worked out once.

Private terminals never cross one another within a frame: for a cluster further down more wires pass
above it and fewer below it, so its best gap never lies higher.
"""

from collections.abc import Iterator, Mapping, Sequence
from heapq import heappop, heappush
from itertools import accumulate, product
from math import prod
from operator import mul
from typing import NamedTuple

from doorsheet.layout.alike import Kind, Turn
from doorsheet.layout.numbered import Side

__all__ = ["Filled", "Filler", "states"]


class Filled(NamedTuple):
    """Kinds by number from top to bottom, None if none is better; their cost, or what all cost at least."""

    sequence: tuple[int, ...] | None
    bound: int
    steps: int


def states(kinds: Sequence[Kind]) -> int:
    """Return how many counts of the kinds can stand above, the frames from top to bottom."""
    blocks = dict.fromkeys(kind.block for kind in kinds)
    return sum(prod(len(k.members) + 1 for k in kinds if k.block == block) for block in blocks)


class Private(NamedTuple):
    """A private terminal of a cluster turned one way: slots of the cluster's own wires above and below."""

    terminal: int  # the cluster's own terminal
    block: int
    up: tuple[int, ...]
    down: tuple[int, ...]


class Way(NamedTuple):
    """A way to turn a cluster: crossings among its own wires to hubs, and its private terminals from the top.

    Those to private terminals of several frames count among its own; put as they come, none cross.
    """

    inside: int
    private: tuple[Private, ...]


class Slots:
    """The hubs of an order: each a slot, or one for each of its terminals where these stand fixed."""

    def __init__(self, side: Side, placed: Sequence[tuple[int, Turn]]) -> None:
        self.of: dict[int, int] = {}  # terminal: slot
        self.first: list[int] = []  # of each hub: its first slot
        count = 0
        for cluster, turn in placed:
            self.first.append(count)
            for n, terminal in enumerate(turn or side.terminals[cluster]):
                self.of[terminal] = count + n if turn else count
            count += len(turn) if turn else 1
        self.first.append(count)
        self.count = count
        blocks = [side.block[cluster] for cluster, _ in placed]
        self.gaps: dict[int, range] = {
            block: range(sum(b < block for b in blocks), sum(b <= block for b in blocks) + 1)
            for block in set(side.block)
        }  # hubs that a private terminal of a block may stand above; the last is the end

    def ways(self, kind: Kind) -> tuple[Way, ...]:
        """Return the ways to turn a cluster of a kind under this order."""
        return tuple(self._way(kind, turn) for turn in kind.turns)

    def _way(self, kind: Kind, turn: Turn) -> Way:
        if turn is None:
            return Way(0, tuple(Private(terminal, block, (), ()) for terminal, block in kind.private))
        level = {terminal: n for n, terminal in enumerate(turn)}
        hubs = [(level[terminal], self.of[target]) for terminal, target in kind.wires]
        own = sorted((level[terminal], block, terminal) for terminal, block in kind.private)
        lines = ([(n, slot) for n, slot in hubs], [(n, block) for n, block, _ in own])
        return Way(
            sum(a < c and b > d for ends in lines for a, b in ends for c, d in ends),
            tuple(
                Private(
                    terminal,
                    block,
                    tuple(slot for m, slot in hubs if m < n),
                    tuple(slot for m, slot in hubs if m > n),
                )
                for n, block, terminal in own
            ),
        )


class Filler:
    """Kinds of one side, to be filled in under many orders of the other."""

    def __init__(self, side: Side, kinds: Sequence[Kind], most: int) -> None:
        """With more states than `most`, what private terminals cost is not worked out in advance."""
        self.side = side
        self.kinds = tuple(kinds)
        self.sizes = [len(kind.members) for kind in kinds]
        *self.strides, every = accumulate((size + 1 for size in self.sizes), mul, initial=1)
        self.full = every - 1
        ends = [kind.block for kind in kinds]
        self.run = [(ends.index(b), len(ends) - ends[::-1].index(b)) for b in dict.fromkeys(ends)]
        self.private_blocks = sorted({block for kind in kinds for _, block in kind.private})
        self.rest = self._private_rest() if self.private_blocks and states(kinds) <= most else {}
        self.least = self.rest.get(0, 0)

    # --- what private terminals cost at least -------------------------------

    def _private_rest(self) -> dict[int, int]:
        """Return, for each state, what the private terminals of all that remain cost at least."""
        hubs = sorted({self.side.home[target] for kind in self.kinds for _, target in kind.wires})
        wires = [[0] * len(hubs) for _ in self.kinds]
        for own, kind in zip(wires, self.kinds, strict=True):
            for _, target in kind.wires:
                own[hubs.index(self.side.home[target])] += 1
        total = _sums(self.sizes, wires)
        where = {
            block: [(self.side.block[hub] > block) - (self.side.block[hub] < block) for hub in hubs]
            for block in self.private_blocks
        }  # of each hub: 1 where it stands in a lower frame than the block, -1 in an upper one
        rest = {self.full: 0}
        # dynamic programming over counts, from all back to none: the numbers are the digits of one whole
        # number, of mixed radix, so that a state is a key and one cluster more is one stride further
        for here, start, stop in self._states_from_the_end():
            code = sum(map(mul, here, self.strides))
            if code in rest:  # all of a frame is no other state than none of the next
                continue
            above, stray = _sums(here, wires), self._stray(here)
            costs: list[int] = []
            for k in range(start, stop):
                if here[k] == self.sizes[k]:
                    continue
                cost = rest[code + self.strides[k]]
                if self.kinds[k].private:  # a cluster's own wires are not passed
                    below = [t - up - own for t, up, own in zip(total, above, wires[k], strict=True)]
                    for _, block in self.kinds[k].private:
                        cost += stray.get(block, 0)
                        for up, down, place in zip(above, below, where[block], strict=True):
                            cost += (min(up, down), up, down)[place]
                costs.append(cost)
            rest[code] = min(costs)
        return rest

    def _states_from_the_end(self) -> Iterator[tuple[list[int], int, int]]:
        """Yield the counts of each state, and the first and last kind of its frame."""
        for start, stop in reversed(self.run):
            upper, lower = self.sizes[:start], [0] * (len(self.sizes) - stop)
            for own in product(*(range(size, -1, -1) for size in self.sizes[start:stop])):
                yield [*upper, *own, *lower], start, stop

    def _stray(self, here: Sequence[int]) -> dict[int, int]:
        """Return, for each frame, how many private terminals of lower ones belong to what stands above."""
        if len(self.private_blocks) < 2:
            return {}
        count = dict.fromkeys(self.private_blocks, 0)
        for n, kind in zip(here, self.kinds, strict=True):
            if n:
                for _, block in kind.private:
                    count[block] += n
        out: dict[int, int] = {}
        lower = 0
        for block in reversed(self.private_blocks):
            out[block] = lower
            lower += count[block]
        return out

    # --- filling in -----------------------------------------------------------

    def fill(
        self,
        placed: Sequence[tuple[int, Turn]],
        cost: Sequence[Sequence[int]],
        bound: int,
        best: int,
        steps: int,
    ) -> Filled:
        """Look for a sequence cheaper than `best`; `cost[r][s]` is that of one of r above one of s."""
        slots = Slots(self.side, placed)
        kinds, sizes, strides = self.kinds, self.sizes, self.strides
        size = len(kinds)
        ways = [slots.ways(kind) for kind in kinds]
        inside = [min(way.inside for way in own) for own in ways]
        bound += sum(n * own for n, own in zip(sizes, inside, strict=True))
        # what it costs more than the least to have one of r above one of s
        more = [
            [
                max(0, cost[r][s] - cost[s][r]) if kinds[r].block == kinds[s].block and r != s else 0
                for s in range(size)
            ]
            for r in range(size)
        ]
        wires = [_by_slot(kind, slots) for kind in kinds]
        total = _sums(sizes, wires)
        reached: dict[int, int] = {0: bound}
        came: dict[int, int] = {}
        closed: set[int] = set()
        heap = [(bound, 0, 0)]
        used = 0
        # A* (Hart, Nilsson and Raphael 1968), as Dijkstra's search on what a step costs beyond what was
        # counted for it in advance: a value is at once what is paid and what the rest costs at least
        while heap:
            least, _, code = heappop(heap)
            if least >= best:
                break
            if code == self.full:
                return Filled(self._back(came), least, used)
            if code in closed:
                continue
            closed.add(code)
            if used > steps:
                return Filled(None, least, used)
            here = [code // stride % (n + 1) for stride, n in zip(strides, sizes, strict=True)]
            above = _sums(here, wires)
            stray = self._stray(here)
            start, stop = next(run for run in self.run if here[run[0] : run[1]] != sizes[run[0] : run[1]])
            for k in range(start, stop):
                if here[k] == sizes[k]:
                    continue
                used += 1 + slots.count * len(kinds[k].private) // 8
                after = code + strides[k]
                if after in closed:
                    continue
                extra = sum(
                    (sizes[s] - here[s]) * over for s, over in enumerate(more[k][start:stop], start) if over
                )
                if kinds[k].private:
                    below = [t - up - n for t, up, n in zip(total, above, wires[k], strict=True)]
                    own_cost = min(_cost(way, slots, above, below, stray) for way in ways[k])
                else:
                    own_cost = inside[k]
                value = least + extra + own_cost - inside[k]
                if self.rest:
                    value += self.rest[after] - self.rest[code]
                if value < best and value < reached.get(after, best):
                    reached[after] = value
                    came[after] = k
                    heappush(heap, (value, -after, after))
        return Filled(None, best, used)

    def _back(self, came: Mapping[int, int]) -> tuple[int, ...]:
        out: list[int] = []
        code = self.full
        while code:
            out.append(came[code])
            code -= self.strides[came[code]]
        return tuple(reversed(out))

    def gaps(
        self, placed: Sequence[tuple[int, Turn]], sequence: Sequence[tuple[int, Kind]]
    ) -> Iterator[tuple[tuple[Private, int], ...]]:
        """Yield where private terminals stand: above the hub of which number in the order.

        For a sequence of clusters: of each the number of its kind, and itself as a kind.
        """
        slots = Slots(self.side, placed)
        wires = [_by_slot(kind, slots) for kind in self.kinds]
        above, below = [0] * slots.count, _sums(self.sizes, wires)
        here = [0] * len(self.kinds)
        for number, alone in sequence:
            own = wires[number]
            below = [down - n for down, n in zip(below, own, strict=True)]
            stray = self._stray(here)
            way = min(slots.ways(alone), key=lambda way: _cost(way, slots, above, below, stray))
            yield tuple((private, _gap(private, slots, above, below)[1]) for private in way.private)
            above = [up + n for up, n in zip(above, own, strict=True)]
            here[number] += 1


def _sums(counts: Sequence[int], wires: Sequence[Sequence[int]]) -> list[int]:
    """Return the wires to each hub or slot of so many clusters of each kind."""
    return [sum(map(mul, counts, own)) for own in zip(*wires, strict=True)]


def _by_slot(kind: Kind, slots: Slots) -> list[int]:
    out = [0] * slots.count
    for _, target in kind.wires:
        out[slots.of[target]] += 1
    return out


def _cost(
    way: Way, slots: Slots, above: Sequence[int], below: Sequence[int], stray: Mapping[int, int]
) -> int:
    """Return the crossings of a cluster placed next: inside it, and of its private terminals' wires."""
    out = way.inside
    for private in way.private:
        out += _gap(private, slots, above, below)[0] + stray.get(private.block, 0)
    return out


def _gap(private: Private, slots: Slots, above: Sequence[int], below: Sequence[int]) -> tuple[int, int]:
    """Return the fewest crossings of a private terminal's wire, and the highest gap that has them.

    In a gap it crosses the wires from above to hubs below the gap, and those from below to hubs above.
    """
    if private.up or private.down:
        above, below = list(above), list(below)
        for slot in private.up:
            above[slot] += 1
        for slot in private.down:
            below[slot] += 1
    # from gap to gap only the hub between changes its part: a running sum in place of one for each gap
    gaps = slots.gaps[private.block]
    first = slots.first
    at = first[gaps.start]
    cost = sum(below[:at]) + sum(above[at:])
    best, where = cost, gaps.start
    for hub in gaps[1:]:
        for slot in range(at, first[hub]):
            cost += below[slot] - above[slot]
        at = first[hub]
        if cost < best:
            best, where = cost, hub
    return best, where
