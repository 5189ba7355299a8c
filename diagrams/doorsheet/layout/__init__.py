"""The layout room: from the circuit to finished geometry in whole grid steps.

The phases, in the order they run, each in a module of its own:
clusters -> order -> strip -> rows -> channel -> place.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from doorsheet.circuit.parts import BlockKey, Circuit, Terminal
from doorsheet.layout.channel import Leg, Tracks, assign_tracks, legs
from doorsheet.layout.clusters import Cluster
from doorsheet.layout.ordered import Ordered, order_circuit
from doorsheet.layout.place import beyond_cells, set_columns, widths
from doorsheet.layout.plan import (
    GRID_MM,
    Columns,
    Corner,
    Crossings,
    End,
    Frame,
    PlacedCluster,
    PlacedTerminal,
    Plan,
    Size,
    Spacing,
    WireRoute,
)
from doorsheet.layout.rows import Ends, Room, Rows, least_height, set_rows
from doorsheet.layout.strip import Strip
from doorsheet.mapping.model import ExtraCrossings

__all__ = [
    "SPACINGS", "FitError", "FrameRoom", "Ordered", "Plan", "lay_out", "least_steps", "order_circuit",
]  # fmt: skip

SPACINGS = (
    Spacing(terminal=5, clamp=4, cluster=6),
    Spacing(terminal=4, clamp=3, cluster=5),
    Spacing(terminal=3, clamp=3, cluster=4),
    Spacing(terminal=3, clamp=2, cluster=3),
    Spacing(terminal=3, clamp=2, cluster=3, stretch=14),
    Spacing(terminal=3, clamp=2, cluster=3, stretch=3),
    Spacing(terminal=3, clamp=2, cluster=3, stretch=4, lattice=2),
    Spacing(terminal=3, clamp=2, cluster=3, stretch=1),
    Spacing(terminal=3, clamp=2, cluster=3, stretch=0, lattice=2),
)
"""Tried from roomy to tight; the first that fits the height is used."""
_MANY = 200
"""Wires of which it isn't tried whether two of them can share a row."""


class FitError(Exception):
    """The schematic needs more room than there is; says how much, in steps."""


class FrameRoom(NamedTuple):
    """What the frames ask for beyond their rows: by block, steps above and below; widths of titles, mm."""

    head: Mapping[BlockKey, float]
    foot: Mapping[BlockKey, float]
    title_mm: tuple[float, float] = (0.0, 0.0)


def least_steps(circuit: Circuit) -> int:
    """Return the height that no order of a circuit goes below, before it is put in order, steps."""
    clamp, terminal = min(one.clamp for one in SPACINGS), min(one.terminal for one in SPACINGS)
    ends = ({wire.near for wire in circuit.wires}, {wire.far for wire in circuit.wires})
    wires = len(circuit.wires)
    return max(clamp * (wires - len(own)) + terminal * (len(own) - 1) for own in ends) if wires else 0


def lay_out(
    ordered: Ordered,
    width: int,
    height: float,
    strip: Strip,
    size: Size,
    frames: FrameRoom,
    extra_crossings: ExtraCrossings = "never",
) -> Plan:
    """Lay the circuit out in `width` x `height` steps, `strip` in the rows of its drives.

    `extra_crossings` says what a wire may cross beyond what the order asks for: never; "to-fit" as little
    as lets the channel fit the width; "to-narrow" whatever the fewest tracks cost.

    Raises:
        FitError: with what it needs at the tightest spacing.
    """
    circuit, ordering = ordered.circuit, ordered.ordering
    rooms = _rooms(ordered, strip, frames, size)
    least = straight = widths(ordered, strip, size, frames.title_mm)
    needed = 0.0
    for spacing in _allowing(extra_crossings):
        lowest = least_height(ordered.ends, ordering, spacing, rooms)
        if lowest > height or least.total - 2 > width:
            needed = lowest
            continue
        rows, vertical, tracks = _ways(ordered, spacing, rooms)
        least = straight._replace(tracks=tracks.used)
        if spacing.extra_tracks is not None and extra_crossings == "to-fit":
            # tracks more than the fewest have the room that the fewest leave
            spare = max(0, width - least.total) // spacing.track
            tracks = assign_tracks(vertical, spacing._replace(extra_tracks=spare))
            least = least._replace(tracks=tracks.used)
        if least.total > width:
            least = least._replace(far_plates=False)
        if least.total > width and not any(one.earthed in ("controller", "both") for one in circuit.screens):
            least = least._replace(near_ring=least.near_ring and not least.far_ring)  # earthed elsewhere
        placed = _placed_frames(ordered, rows, rooms, size)
        top, bottom = min(frame.top for frame in placed[2]), max(frame.bottom for frame in placed[2])
        if any(far for _, far in ordered.rings.values()):  # an earth may hang below the last wire
            bottom = max(bottom, max((*rows.left_rows, *rows.right_rows)) + 3.5)
        needed = bottom - top
        if needed <= height and least.total <= width:
            columns = set_columns(least, width)
            routes = _routes(ordered, rows, columns, vertical, tracks, spacing)
            crossings = Crossings(
                ordering.crossings + tracks.extra_crossings, ordering.lower_bound, tracks.extra_crossings
            )
            beside = beyond_cells(ordered, columns)
            return Plan(size, *placed[:2], routes, placed[2], columns, top, bottom, crossings, beside)
    raise FitError(f"needs {least.total} x {needed} steps")


def _allowing(extra_crossings: ExtraCrossings) -> Iterator[Spacing]:
    """Yield the spacings to try in turn: "to-fit" first all of them without a crossing more."""
    if extra_crossings != "to-narrow":
        yield from SPACINGS
    if extra_crossings != "never":
        for spacing in SPACINGS:
            yield spacing._replace(extra_tracks=0)


_TRIES = 6


def _ways(
    ordered: Ordered, spacing: Spacing, rooms: tuple[Room, Room]
) -> tuple[Rows, tuple[Leg, ...], Tracks]:
    """Return rows and tracks: two wires that bend share a row where one ends before the other begins.

    Which ones those are is known when they have their tracks; then those that overlap are put apart.
    """
    apart: set[Ends] = set()
    tries = _TRIES if spacing.extra_tracks is None and len(ordered.pairs) < _MANY else 0
    while True:
        rows = set_rows(ordered.ends, ordered.ordering, spacing, rooms, apart if tries else None)
        vertical = legs(rows)
        tracks = assign_tracks(vertical, spacing)
        at = {row: end.wire for end, row in zip(rows.left, rows.left_rows, strict=True)}
        both = [
            (at[row], end.wire)
            for end, row in zip(rows.right, rows.right_rows, strict=True)
            if end.wire is not None and at.get(row) not in (None, end.wire)
        ]
        track = {leg.wire: own for leg, own in zip(vertical, tracks.of, strict=True)}
        overlapping = {(a, b) for a, b in both if track[a or ""] >= track[b or ""]}
        if not overlapping:
            return rows, vertical, tracks
        apart |= overlapping
        tries -= 1


def _rooms(ordered: Ordered, strip: Strip, frames: FrameRoom, size: Size) -> tuple[Room, Room]:
    """Return what both sides ask for beyond their wires' rows."""
    rank = {block.key: index for index, block in enumerate(ordered.circuit.blocks)}
    head, foot = (
        {rank[key]: steps for key, steps in own.items() if key in rank} for own in (frames.head, frames.foot)
    )
    half = {terminal: row.half for terminal, row in strip.rows.items()}
    above = {terminal: size.line * len(row.above) for terminal, row in strip.rows.items()}
    below = {terminal: size.line * len(row.below) for terminal, row in strip.rows.items()}
    ends = (end for join in ordered.joins if join.wire is not None for end in (join.a, join.b))
    plates = {ordered.spine.backs.get(end, end): 1.0 for end in ends}  # of looped wires
    last = [
        frozenset(
            ends[-1].number
            for screen, ends in dict(ordered.ringed_ends(side)).items()
            if screen.earthed in (here, "both")
        )
        for side, here in enumerate(("controller", "drive"))
    ]
    first = [frozenset(ends[0].number for _, ends in ordered.ringed_ends(side)) for side in (0, 1)]
    named = frozenset(end.number for _, end in ordered.named_rings)
    return (
        Room({}, plates, {}, head, foot, last[0], first[0]),
        Room(half, above, below, head, foot, last[1], first[1], named),
    )


def _routes(
    ordered: Ordered,
    rows: Rows,
    columns: Columns,
    vertical: tuple[Leg, ...],
    tracks: Tracks,
    spacing: Spacing,
) -> tuple[WireRoute, ...]:
    near = {end.wire: row for end, row in zip(rows.left, rows.left_rows, strict=True)}
    bent = {leg.wire: (leg, track) for leg, track in zip(vertical, tracks.of, strict=True)}
    routes: list[WireRoute] = []
    for wire in ordered.circuit.wires:
        row = near[wire.number]
        turns: tuple[Corner, ...] = ()
        if wire.number in bent:
            leg, track = bent[wire.number]
            col = columns.first_track + spacing.track * track
            turns, row = (Corner(col, row), Corner(col, leg.far)), leg.far
        first, last = Corner(columns.near, near[wire.number]), Corner(columns.far, row)
        routes.append(WireRoute(wire.number, (first, *turns, last)))
    return tuple(routes)


_Placed = tuple[tuple[PlacedCluster, ...], tuple[PlacedCluster, ...], tuple[Frame, ...]]


def _placed_frames(ordered: Ordered, rows: Rows, rooms: tuple[Room, Room], size: Size) -> _Placed:
    """Return both sides with their cells, and the frames round them."""
    frames: dict[int, Frame] = {}
    sides: list[tuple[PlacedCluster, ...]] = []
    ends = ((rows.left, rows.left_rows), (rows.right, rows.right_rows))
    for side, own, room in zip((ordered.ordering.left, ordered.ordering.right), ends, rooms, strict=True):
        cells = _cells(side, *own, room, size)
        if room.half:
            cells = _met(side, cells, room)
        sides.append(
            tuple(PlacedCluster(cluster, tuple(cells[t] for t in cluster.terminals)) for cluster in side)
        )
        for cluster in side:
            first, last = cells[cluster.terminals[0]], cells[cluster.terminals[-1]]
            top = first.rows[0] - room.over(first.terminal) - room.head.get(cluster.block, 0.0)
            bottom = last.rows[-1] + room.under(last.terminal) + room.foot.get(cluster.block, 0.0)
            key = ordered.circuit.blocks[cluster.block].key
            before = frames.get(cluster.block, Frame(key, top, bottom))
            frames[cluster.block] = Frame(key, min(before.top, top), max(before.bottom, bottom))
    return sides[0], sides[1], tuple(frames[block] for block in sorted(frames))


def _cells(
    side: Sequence[Cluster], ends: Sequence[End], rows: Sequence[int], room: Room, size: Size
) -> dict[Terminal, PlacedTerminal]:
    """Return the cells of a side, those left of the channel no higher than their labels ask for."""
    low = min(1.5, (0.85 * size.label + 0.1) / GRID_MM)  # letters may hang below their baseline
    at: dict[Terminal, list[tuple[int, str | None]]] = {}
    for end, row in zip(ends, rows, strict=True):
        at.setdefault(end.terminal, []).append((row, end.number))
    out: dict[Terminal, PlacedTerminal] = {}
    for terminal in (terminal for cluster in side for terminal in cluster.terminals):
        own = at[terminal]
        half = room.half.get(terminal, low)
        out[terminal] = PlacedTerminal(
            terminal, tuple(row for row, _ in own), tuple(wire for _, wire in own),
            own[0][0] - half, own[-1][0] + half,
        )  # fmt: skip
    return out


def _met(
    side: Sequence[Cluster], cells: Mapping[Terminal, PlacedTerminal], room: Room
) -> dict[Terminal, PlacedTerminal]:
    """Let cells of one frame grow till they meet: a gap would look like a row of which nothing is said."""
    out = dict(cells)
    for upper, lower in pairwise((cluster.block, t) for cluster in side for t in cluster.terminals):
        if upper[0] != lower[0]:
            continue
        above, below = out[upper[1]], out[lower[1]]
        lines = room.above.get(lower[1], 0.0) + room.below.get(upper[1], 0.0)
        grow = max(0.0, below.top - lines - above.bottom) / 2
        out[upper[1]] = above._replace(bottom=above.bottom + grow)
        out[lower[1]] = below._replace(top=below.top - grow)
    return out
