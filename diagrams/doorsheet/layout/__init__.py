"""The layout room: from the circuit to finished geometry in whole grid steps.

The phases, in the order they run, each in a module of its own:
clusters -> order -> rows -> tracks -> place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from doorsheet.circuit.parts import BlockKey, Circuit, ScreenRound, Terminal
from doorsheet.layout.clusters import Cluster, clusters
from doorsheet.layout.order import Ordering, Pair, put_in_order
from doorsheet.layout.place import bracketed, inner_tracks, set_columns, widths
from doorsheet.layout.plan import (
    Columns,
    Corner,
    Crossings,
    End,
    Frame,
    MeasureText,
    PlacedCluster,
    PlacedTerminal,
    Plan,
    Spacing,
    WireRoute,
)
from doorsheet.layout.rows import Rows, end_sequences, set_rows
from doorsheet.layout.tracks import Leg, Tracks, assign_tracks, legs
from doorsheet.mapping.model import ExtraCrossings

__all__ = ["SPACINGS", "FitError", "Ordered", "Plan", "lay_out", "order_circuit"]

SPACINGS = (
    Spacing(terminal=5, clamp=4, cluster=6),
    Spacing(terminal=4, clamp=3, cluster=5),
    Spacing(terminal=3, clamp=3, cluster=4),
    Spacing(terminal=3, clamp=3, cluster=3),
)
"""Tried from roomy to tight; the first that fits the height is used."""


class FitError(Exception):
    """The schematic needs more room than there is; says how much, in steps."""

    def __init__(self, width: int, height: int) -> None:
        super().__init__(f"needs {width} x {height} steps")
        self.width = width
        self.height = height


@dataclass(frozen=True, slots=True)
class Ordered:
    """A circuit whose clusters and terminals stand in order."""

    circuit: Circuit
    ordering: Ordering
    pairs: dict[str, Pair]


def order_circuit(circuit: Circuit) -> Ordered:
    """Run the phases that don't depend on the paper: clusters and their order."""
    pairs = {wire.number: (wire.near, wire.far) for wire in circuit.wires}
    left, right = clusters(circuit)
    links = [(link.a, link.b) for link in circuit.links]
    ordering = put_in_order(left, right, tuple(pairs.values()), links=links, as_fitted=circuit.as_fitted)
    _, far = end_sequences(ordering, pairs)
    wires = [end.wire for end in far]
    screens = tuple(_ringed(circuit.screens, wires))
    return Ordered(replace(circuit, screens=screens), ordering, pairs)


def _ringed(screens: Sequence[ScreenRound], wires: list[str | None]) -> Iterator[ScreenRound]:
    """Say of each screen whether rings can be drawn for it; `wires` stand so at the drive."""
    round_: set[str] = set()
    for screen in screens:
        own = {wire for wire in screen.wires if wire in wires}
        alone = not own & round_
        ringed = alone and _together(screen, wires)
        if alone:
            round_ |= own
        yield replace(screen, alone=alone, ringed=ringed)


def _together(screen: ScreenRound, wires: list[str | None]) -> bool:
    """Whether no other wire stands between those of a screen."""
    places = [index for index, wire in enumerate(wires) if wire in screen.wires]
    return not any(
        wire is not None and wire not in screen.wires for wire in wires[min(places) : max(places) + 1]
    )


def lay_out(
    ordered: Ordered,
    measure: MeasureText,
    width: int,
    height: int,
    spacings: Sequence[Spacing] = SPACINGS,
    title_mm: tuple[float, float] = (0.0, 0.0),
    extra_crossings: ExtraCrossings = "never",
) -> Plan:
    """Lay the circuit out in `width` x `height` steps, rows of the frames' margins not counted.

    `title_mm` is the least width that titles need in the frames on the left and of the drive.
    `extra_crossings` says what a wire may cross beyond what the order asks for: never; "to-fit" as little
    as lets the channel fit the width; "to-narrow" whatever the fewest tracks cost.

    Raises:
        FitError: with what it needs at the tightest spacing.
    """
    circuit, ordering = ordered.circuit, ordered.ordering
    drained = _last_screened(ordered)
    for spacing in _allowing(spacings, extra_crossings):
        rows = set_rows(ordering, ordered.pairs, spacing, drained)
        vertical = legs(rows)
        tracks = assign_tracks(vertical, spacing)
        least = widths(circuit, ordering, tracks.count, measure, title_mm)
        if spacing.extra_tracks is not None and extra_crossings == "to-fit":
            # tracks more than the fewest have the room that the fewest leave
            spare = max(0, width - least.total) // spacing.track
            tracks = assign_tracks(vertical, replace(spacing, extra_tracks=spare))
            least = widths(circuit, ordering, tracks.count, measure, title_mm)
        bottom = max((*rows.left_rows, *rows.right_rows), default=0)
        if bottom <= height and least.total <= width:
            columns = set_columns(least, width)
            return _plan(ordered, rows, columns, vertical, tracks, spacing)
    raise FitError(least.total, bottom)


def _allowing(spacings: Sequence[Spacing], extra_crossings: ExtraCrossings) -> Iterator[Spacing]:
    """Yield the spacings to try in turn: "to-fit" first all of them without a crossing more."""
    if extra_crossings != "to-narrow":
        yield from spacings
    if extra_crossings != "never":
        for spacing in spacings:
            yield replace(spacing, extra_tracks=0)


def _last_screened(ordered: Ordered) -> tuple[frozenset[str], frozenset[str]]:
    """Return the lowest wire of each screen that is earthed at the controller, and at the drive."""
    left, right = end_sequences(ordered.ordering, ordered.pairs)

    def last(screen: ScreenRound, ends: tuple[End, ...]) -> str | None:
        own = [end.wire for end in ends if end.wire in screen.wires]
        return own[-1] if own else None

    near = {
        last(screen, left)
        for screen in ordered.circuit.screens
        if screen.alone and screen.earthed in ("controller", "both")
    }
    # the words about the screen stand at the drive's end, whichever end is earthed
    far = {
        last(screen, right)
        for screen in ordered.circuit.screens
        if screen.ringed and (screen.earthed in ("drive", "both") or not screen.footnoted)
    }
    return (
        frozenset(wire for wire in near if wire is not None),
        frozenset(wire for wire in far if wire is not None),
    )


def _plan(
    ordered: Ordered,
    rows: Rows,
    columns: Columns,
    vertical: tuple[Leg, ...],
    tracks: Tracks,
    spacing: Spacing,
) -> Plan:
    near = {end.wire: row for end, row in zip(rows.left, rows.left_rows, strict=True)}
    bent = {leg.wire: leg for leg in vertical}
    routes: list[WireRoute] = []
    for wire in ordered.circuit.wires:
        row = near[wire.number]
        leg = bent.get(wire.number)
        if leg is None:
            corners: tuple[Corner, ...] = (Corner(columns.near, row), Corner(columns.far, row))
        else:
            col = columns.first_track + spacing.track * tracks.of[wire.number]
            turns = (Corner(col, row), Corner(col, leg.far))
            corners = (Corner(columns.near, row), *turns, Corner(columns.far, leg.far))
        routes.append(WireRoute(wire.number, corners))
    left = _placed(ordered.ordering.left, rows.left, rows.left_rows)
    right = _placed(ordered.ordering.right, rows.right, rows.right_rows)
    return Plan(
        left=left,
        right=right,
        routes=tuple(routes),
        frames=_frames(ordered.circuit, left, right),
        columns=columns,
        rows=max((*rows.left_rows, *rows.right_rows), default=0),
        crossings=Crossings(
            ordered.ordering.crossings + tracks.extra_crossings,
            ordered.ordering.lower_bound,
            tracks.extra_crossings,
        ),
        inner_tracks=inner_tracks(ordered.circuit, ordered.ordering),
        left_out=_left_out(ordered, right),
    )


def _left_out(ordered: Ordered, right: Sequence[PlacedCluster]) -> dict[Terminal, bool]:
    """Say above which terminals words stand about those left out there: the first of a strip has no room."""
    aside = bracketed(ordered.circuit, ordered.ordering)
    gap = {entry.terminal for entry in ordered.circuit.strip if entry.gap}
    out: dict[Terminal, bool] = {}
    block: BlockKey | None = None
    for terminal, rows, _ in (terminal for placed in right for terminal in placed.terminals):
        first = terminal.home != block
        if terminal in gap and rows[0] > 0 and not (first and block is not None):
            out[terminal] = terminal in aside
        block = terminal.home
    return out


def _placed(side: Sequence[Cluster], ends: Sequence[End], rows: Sequence[int]) -> tuple[PlacedCluster, ...]:
    out: list[PlacedCluster] = []
    for cluster in side:
        terminals: list[PlacedTerminal] = []
        for terminal in cluster.terminals:
            own = [(row, end.wire) for end, row in zip(ends, rows, strict=True) if end.terminal == terminal]
            terminals.append(
                PlacedTerminal(terminal, tuple(row for row, _ in own), tuple(wire for _, wire in own))
            )
        out.append(PlacedCluster(cluster, tuple(terminals)))
    return tuple(out)


def _frames(
    circuit: Circuit, left: tuple[PlacedCluster, ...], right: tuple[PlacedCluster, ...]
) -> tuple[Frame, ...]:
    out: list[Frame] = []
    for index, block in enumerate(circuit.blocks):
        rows = [row for placed in (*left, *right) if placed.cluster.block == index for row in placed.rows]
        if rows:
            out.append(Frame(block.key, min(rows), max(rows)))
    return tuple(out)
