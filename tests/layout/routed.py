"""Wires routed by the phases, and their geometry judged by nothing but coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from doorsheet.layout.channel import Tracks, assign_tracks, density, legs
from doorsheet.layout.order import Ordering, put_in_order
from doorsheet.layout.plan import Spacing
from doorsheet.layout.rows import Room, Rows, end_sequences, set_rows
from tests.layout.instances import Instance

__all__ = ["Line", "Routed", "crossings_by_sweep", "crossings_pair_by_pair", "route", "touching"]

NO_ROOM = Room({}, {}, {}, {}, {}, frozenset())


@dataclass(frozen=True)
class Line:
    """One wire: rows at both ends, and the column of its leg (None: straight)."""

    near: int
    far: int
    col: int | None


@dataclass(frozen=True)
class Routed:
    """Everything the phases gave."""

    ordering: Ordering
    rows: Rows
    tracks: Tracks
    density: int  # no packing has fewer tracks
    lines: tuple[Line, ...]
    width: int  # column of the clamps on the right


def route(instance: Instance, spacing: Spacing | None = None, as_fitted: bool = False) -> Routed:
    """Run order, rows and tracks."""
    spacing = spacing or Spacing()
    ordering = put_in_order(
        instance.left, instance.right, instance.pairs, links=instance.links, as_fitted=as_fitted
    )
    pairs = {str(n): pair for n, pair in enumerate(instance.pairs)}
    rows = set_rows(end_sequences(ordering, pairs), ordering, spacing, (NO_ROOM, NO_ROOM))
    vertical = legs(rows)
    tracks = assign_tracks(vertical, spacing)
    near = {end.wire: row for end, row in zip(rows.left, rows.left_rows, strict=True)}
    far = {end.wire: row for end, row in zip(rows.right, rows.right_rows, strict=True)}
    cols = {leg.wire: 1 + spacing.track * own for leg, own in zip(vertical, tracks.of, strict=True)}
    lines = []
    for wire in pairs:
        col = cols.get(wire)
        assert (near[wire] == far[wire]) is (col is None)
        lines.append(Line(near[wire], far[wire], col))
    most = density([leg.span for leg in vertical], spacing.foreign)
    return Routed(ordering, rows, tracks, most, tuple(lines), 2 + spacing.track * tracks.used)


def _segments(line: Line, width: int) -> list[tuple[int, int, int, int]]:
    """Return x, y, x, y of each stretch, left to right and top to bottom."""
    if line.col is None:
        return [(0, line.near, width, line.near)]
    top, bottom = sorted((line.near, line.far))
    return [
        (0, line.near, line.col, line.near),
        (line.col, top, line.col, bottom),
        (line.col, line.far, width, line.far),
    ]


def crossings_pair_by_pair(lines: Sequence[Line], width: int) -> int:
    """Count the points at which two wires cross, comparing every stretch with every other."""
    total = 0
    for one, other in combinations(lines, 2):
        for a in _segments(one, width):
            for b in _segments(other, width):
                for flat, upright in ((a, b), (b, a)):
                    if flat[1] == flat[3] and upright[0] == upright[2]:
                        total += flat[0] < upright[0] < flat[2] and upright[1] < flat[1] < upright[3]
    return total


def crossings_by_sweep(lines: Sequence[Line], width: int) -> int:
    """Count the same for many wires, column by column, with the rows of the flat stretches sorted."""
    from bisect import bisect_left, bisect_right, insort

    bent = sorted((line.col, line.near, line.far) for line in lines if line.col is not None)
    flat = sorted(line.near for line in lines)  # rows occupied at the left edge
    total = 0
    start = 0
    while start < len(bent):
        stop = start
        while stop < len(bent) and bent[stop][0] == bent[start][0]:
            stop += 1
        same_column = bent[start:stop]
        for _, near, _ in same_column:  # flat stretches left of the column end here: they don't cross it
            del flat[bisect_left(flat, near)]
        for _, near, far in same_column:
            top, bottom = sorted((near, far))
            total += bisect_left(flat, bottom) - bisect_right(flat, top)
        for _, _, far in same_column:
            insort(flat, far)
        start = stop
    return total


def touching(lines: Sequence[Line], apart: int) -> list[str]:
    """Return what is nearer than it may be: rows of two wires, and legs in one column."""
    out: list[str] = []
    owners = sorted({(row, n) for n, line in enumerate(lines) for row in (line.near, line.far)})
    for (upper, one), (lower, other) in pairwise(owners):
        if one != other and lower - upper < apart:
            out.append(f"rows {upper} and {lower} of wires {one} and {other}")
    by_column: dict[int, list[tuple[int, int]]] = {}
    for line in lines:
        if line.col is not None:
            by_column.setdefault(line.col, []).append((min(line.near, line.far), max(line.near, line.far)))
    for col, spans in by_column.items():
        spans.sort()
        for above, below in pairwise(spans):
            if below[0] - above[1] < apart:
                out.append(f"legs {above} and {below} in column {col}")
    return out
