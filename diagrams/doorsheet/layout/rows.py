"""Phase 3: a row for every wire end.

Needs: the order of ends on both sides.
Leaves: a row for each end, so that as many wires as can be are straight, no
two wires share a row across the channel, and everything keeps its distance.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster
from doorsheet.layout.order import Ordering, Pair
from doorsheet.layout.plan import End, Spacing

__all__ = ["Rows", "end_sequences", "set_rows"]


@dataclass(frozen=True, slots=True)
class Rows:
    """Ends from top to bottom on each side, and the row of each."""

    left: tuple[End, ...]
    right: tuple[End, ...]
    left_rows: tuple[int, ...]
    right_rows: tuple[int, ...]


def end_sequences(ordering: Ordering, pairs: dict[str, Pair]) -> tuple[tuple[End, ...], tuple[End, ...]]:
    """List the ends of both sides; wires at one terminal stand in the order of their other ends."""
    left_at = _places(ordering.left)
    right_at = _places(ordering.right)

    def ends(side: Sequence[Cluster], own: int, other_at: dict[Terminal, int]) -> tuple[End, ...]:
        at: dict[Terminal, list[str]] = {}
        for number, pair in pairs.items():
            at.setdefault(pair[own], []).append(number)
        out: list[End] = []
        for cluster in side:
            for terminal in cluster.terminals:
                wires = sorted(at.get(terminal, ()), key=lambda number: other_at[pairs[number][1 - own]])
                out.extend([End(terminal, number) for number in wires] or [End(terminal, None)])
        return tuple(out)

    return ends(ordering.left, 0, right_at), ends(ordering.right, 1, left_at)


def _places(side: Sequence[Cluster]) -> dict[Terminal, int]:
    terminals = (terminal for cluster in side for terminal in cluster.terminals)
    return {terminal: index for index, terminal in enumerate(terminals)}


def set_rows(
    ordering: Ordering,
    pairs: dict[str, Pair],
    spacing: Spacing,
    drained: tuple[frozenset[str], frozenset[str]],
) -> Rows:
    """Give every end its row; `drained` holds, for each side, the last wires of screens earthed there."""
    left, right = end_sequences(ordering, pairs)
    gaps = (
        _gaps(left, ordering.left, spacing, drained[0]),
        _gaps(right, ordering.right, spacing, drained[1]),
    )
    straight = _longest_straight(left, right)
    rows: tuple[list[int], list[int]] = ([], [])
    ends = (left, right)
    last_foreign = [-spacing.foreign, -spacing.foreign]  # row of the last bent wire's end on each side

    def earliest(side: int) -> int:
        index = len(rows[side])
        return rows[side][-1] + gaps[side][index] if index else 0

    def place(side: int, row: int) -> None:
        if ends[side][len(rows[side])].wire is not None:
            last_foreign[side] = row
        rows[side].append(row)

    def lowest(side: int) -> int:
        """Return the earliest row of the next bent end, clear of the other side's ends."""
        row = earliest(side)
        if ends[side][len(rows[side])].wire is None:
            return row
        return max(row, last_foreign[1 - side] + spacing.foreign)

    for number in (*straight, None):
        stops = [
            next((i for i, end in enumerate(side) if end.wire == number and number is not None), len(side))
            for side in ends
        ]
        while len(rows[0]) < stops[0] or len(rows[1]) < stops[1]:
            open_sides = [side for side in (0, 1) if len(rows[side]) < stops[side]]
            side = min(open_sides, key=lowest)
            place(side, lowest(side))
        if number is not None:
            row = max(lowest(0), lowest(1))
            place(0, row)
            place(1, row)
    return Rows(left, right, tuple(rows[0]), tuple(rows[1]))


def _gaps(
    ends: Sequence[End], side: Sequence[Cluster], spacing: Spacing, drained: frozenset[str]
) -> list[int]:
    """Return the least distance of each end from the one above it."""
    home = {terminal: index for index, cluster in enumerate(side) for terminal in cluster.terminals}
    out = [0]
    for above, below in pairwise(ends):
        upper, lower = side[home[above.terminal]], side[home[below.terminal]]
        if above.terminal == below.terminal:
            gap = spacing.clamp
        elif upper is lower:
            gap = spacing.terminal
        elif upper.block != lower.block:
            gap = spacing.frame
        else:
            gap = spacing.cluster if upper.parts or lower.parts else spacing.terminal
        if above.wire in drained:
            gap += spacing.drain
        out.append(gap)
    return out


def _longest_straight(left: Sequence[End], right: Sequence[End]) -> list[str]:
    """Return as many wires as can be straight together: a longest increasing subsequence."""
    place = {end.wire: index for index, end in enumerate(right)}
    wires = [end.wire for end in left if end.wire is not None]
    tails: list[int] = []
    tail_wires: list[int] = []
    before: list[int] = []
    for index, wire in enumerate(wires):
        length = bisect_left(tails, place[wire])
        before.append(tail_wires[length - 1] if length else -1)
        tails[length : length + 1] = [place[wire]]
        tail_wires[length : length + 1] = [index]
    chosen: list[str] = []
    index = tail_wires[-1] if tail_wires else -1
    while index >= 0:
        chosen.append(wires[index])
        index = before[index]
    return chosen[::-1]
