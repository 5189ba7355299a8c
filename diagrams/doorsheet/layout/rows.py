"""Phase 3: a row for every wire end.

Needs: the order of ends on both sides.
Leaves: a row for each end, so that as many wires as can be are straight, no
two wires share a row across the channel, and everything keeps its distance.
"""

import math
from collections.abc import Collection, Mapping, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple, TypeAlias

from doorsheet.circuit.parts import Terminal, Wire
from doorsheet.layout.bound import inversions_each
from doorsheet.layout.clusters import Cluster, places
from doorsheet.layout.order import Ordering, Pair
from doorsheet.layout.plan import End, Spacing

__all__ = ["Ends", "Room", "Rows", "end_sequences", "least_height", "set_rows"]

_BETWEEN_FRAMES = 1.5
"""Air between two frames, steps."""
_DRAIN_TO_RING = 5
"""From a wire with an earth under it to one with a ring over it: the bars would touch another screen."""
_NAME_OVER = 3
"""From a wire to one with a name over it."""


Ends: TypeAlias = tuple[str | None, str | None]
"""The wire that ends left, and the one that ends right."""


class Rows(NamedTuple):
    """Ends from top to bottom on each side, and the row of each."""

    left: tuple[End, ...]
    right: tuple[End, ...]
    left_rows: tuple[int, ...]
    right_rows: tuple[int, ...]


def end_sequences(
    ordering: Ordering, pairs: dict[str, Pair], stubs: Sequence[Wire] = ()
) -> tuple[tuple[End, ...], tuple[End, ...]]:
    """List the ends of both sides; wires at one terminal stand in the order of their other ends."""

    def ends(side: Sequence[Cluster], own: int, other_at: dict[Terminal, int]) -> tuple[End, ...]:
        at: dict[Terminal, list[str]] = {}
        for number, pair in pairs.items():
            at.setdefault(pair[own], []).append(number)
        out: list[End] = []
        for cluster in side:
            for terminal in cluster.terminals:
                wires = sorted(at.get(terminal, ()), key=lambda number: other_at[pairs[number][1 - own]])
                here = [End(terminal, number) for number in wires]
                here += [End(terminal, None, wire.number) for wire in stubs if wire.near == terminal]
                out.extend(here or [End(terminal, None)])
        return tuple(out)

    return ends(ordering.left, 0, places(ordering.right)), ends(ordering.right, 1, places(ordering.left))


class Room(NamedTuple):
    """What one side asks for beyond its wires' rows, steps."""

    half: Mapping[Terminal, float]  # from an outer wire of a terminal to its cell's edge; 1.5 unless said
    above: Mapping[Terminal, float]  # lines above its cell
    below: Mapping[Terminal, float]
    head: Mapping[int, float]  # of each frame: what stands in it over its first row
    foot: Mapping[int, float]
    drained: frozenset[str | None]  # last wires of screens earthed on this side
    ringed: frozenset[str | None] = frozenset()  # first wires of screens with a ring on this side
    named: frozenset[str | None] = frozenset()  # of rings with a name over their first wire

    def over(self, terminal: Terminal) -> float:
        """Return what stands over a terminal's first wire, in its frame."""
        return self.half.get(terminal, 1.5) + self.above.get(terminal, 0.0)

    def under(self, terminal: Terminal) -> float:
        """Return what stands under its last wire."""
        return self.half.get(terminal, 1.5) + self.below.get(terminal, 0.0)


def set_rows(
    ends: tuple[tuple[End, ...], tuple[End, ...]],
    ordering: Ordering,
    spacing: Spacing,
    rooms: tuple[Room, Room],
    apart: Collection[Ends] | None = None,
) -> Rows:
    """Give every end its row.

    Unless `apart` is None, ends of two wires that bend may have one row, the left end of the first and the
    right end of the second; but not those pairs that are in it.
    """
    left, right = ends
    gaps = (_gaps(left, ordering.left, spacing, rooms[0]), _gaps(right, ordering.right, spacing, rooms[1]))
    placing = _Placing((left, right), gaps, spacing, apart)
    at = [{end.wire: index for index, end in enumerate(side)} for side in (left, right)]
    natural = [list(accumulate(own)) for own in gaps]
    shift = [0, 0]
    for number in _straight(left, right):
        rows = [natural[side][at[side][number]] + shift[side] for side in (0, 1)]
        if abs(rows[0] - rows[1]) > spacing.stretch:
            continue
        shift = [shift[side] + max(rows) - rows[side] for side in (0, 1)]
        placing.up_to(at[0][number], at[1][number])
        placing.straight()
    placing.up_to(len(left), len(right))
    return Rows(left, right, tuple(placing.rows[0]), tuple(placing.rows[1]))


def least_height(
    ends: tuple[tuple[End, ...], tuple[End, ...]],
    ordering: Ordering,
    spacing: Spacing,
    rooms: tuple[Room, Room],
) -> float:
    """Return what the higher of both sides takes by itself, from frame to frame, steps."""
    highest = 0.0
    for own, side, room in zip(ends, (ordering.left, ordering.right), rooms, strict=True):
        if own:
            over = room.over(own[0].terminal) + room.head.get(side[0].block, 0.0)
            under = room.under(own[-1].terminal) + room.foot.get(side[-1].block, 0.0)
            highest = max(highest, over + sum(_gaps(own, side, spacing, room)) + under)
    return highest


class _Placing:
    """Rows given out from the top, always next to the end that can stand highest."""

    def __init__(
        self,
        ends: tuple[Sequence[End], Sequence[End]],
        gaps: tuple[list[int], list[int]],
        spacing: Spacing,
        apart: Collection[Ends] | None,
    ) -> None:
        self.ends = ends
        self.gaps = gaps
        self.foreign = spacing.foreign
        self.lattice = spacing.lattice
        self.apart = apart
        self.rows: tuple[list[int], list[int]] = ([], [])
        self.last_wired = [-self.foreign, -self.foreign]  # row of the last end with a wire on each side

    def up_to(self, left: int, right: int) -> None:
        """Place ends until so many stand on each side."""
        rows = self.rows
        while True:
            lowest: int | None = None
            for side, stop in ((0, left), (1, right)):
                if len(rows[side]) < stop:
                    row = self._lowest(side)
                    if lowest is None or row < lowest:
                        lowest, chosen = row, side
            if lowest is None:
                return
            self._place(chosen, lowest)

    def straight(self) -> None:
        """Place the next end of both sides on one row: the side that could stand higher is stretched."""
        row = max(self._lowest(0, shared=False), self._lowest(1, shared=False))
        self._place(0, row)
        self._place(1, row)

    def _lowest(self, side: int, shared: bool = True) -> int:
        """Return the earliest row of the next end, clear of the other side's wires."""
        index = len(self.rows[side])
        row = self.rows[side][-1] + self.gaps[side][index] if index else 0
        row = -(-row // self.lattice) * self.lattice
        if self.ends[side][index].wire is None:
            return row
        other = self.last_wired[1 - side]
        if shared and row <= other and self._may_share(side):
            return other
        return max(row, other + self.foreign)

    def _may_share(self, side: int) -> bool:
        """Whether the next end may have the row of the other side's last one."""
        if self.apart is None:
            return False
        mine = self.ends[side][len(self.rows[side])].wire
        placed = self.ends[1 - side][: len(self.rows[1 - side])]
        theirs = next(end.wire for end in reversed(placed) if end.wire is not None)
        pair = (mine, theirs) if side == 0 else (theirs, mine)
        return pair not in self.apart

    def _place(self, side: int, row: int) -> None:
        if self.ends[side][len(self.rows[side])].wire is not None:
            self.last_wired[side] = row
        self.rows[side].append(row)


def _gaps(ends: Sequence[End], side: Sequence[Cluster], spacing: Spacing, room: Room) -> list[int]:
    """Return the least distance of each end from the one above it."""
    home = {terminal: index for index, cluster in enumerate(side) for terminal in cluster.terminals}
    out = [0]
    for above, below in pairwise(ends):
        upper, lower = side[home[above.terminal]], side[home[below.terminal]]
        between = room.under(above.terminal) + room.over(below.terminal)
        if above.terminal == below.terminal:
            gap = spacing.clamp
        elif upper.block != lower.block:
            frames = room.foot.get(upper.block, 0.0) + _BETWEEN_FRAMES + room.head.get(lower.block, 0.0)
            gap = math.ceil(between + frames)
        else:
            parted = upper is not lower and (upper.parts or lower.parts)
            gap = max(spacing.cluster if parted else spacing.terminal, math.ceil(between))
        if above.number in room.drained:
            gap = max(gap + spacing.drain, _DRAIN_TO_RING if below.number in room.ringed else 0)
        out.append(max(gap, _NAME_OVER) if below.number in room.named else gap)
    return out


def _straight(left: Sequence[End], right: Sequence[End]) -> list[str]:
    """Return as many wires as can be straight together, top to bottom.

    That is a longest rising subsequence; of those, one whose wires cross least, since what a straight
    wire crosses must pass over it with a leg.
    """
    place = {end.wire: index for index, end in enumerate(right)}
    wires = [end.wire for end in left if end.wire is not None]
    places = [place[wire] for wire in wires]
    crossed = inversions_each(places)
    worth = 1 + sum(crossed)  # one more wire outweighs all crossings
    size = len(right)
    best = [(0, -1)] * (size + 1)  # binary indexed tree: the best chain that ends at or above a place
    before: list[int] = []
    for index, at in enumerate(places):
        value, last = 0, -1
        node = at
        while node:
            if best[node][0] > value:
                value, last = best[node]
            node &= node - 1
        before.append(last)
        value += worth - crossed[index]
        node = at + 1
        while node <= size:
            if value > best[node][0]:
                best[node] = (value, index)
            node += node & -node
    index = max((entry for entry in best), default=(0, -1))[1]
    chosen: list[str] = []
    while index >= 0:
        chosen.append(wires[index])
        index = before[index]
    return chosen[::-1]
