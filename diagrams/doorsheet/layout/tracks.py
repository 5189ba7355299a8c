"""Phase 4: a vertical track for every wire that bends.

Needs: unique rows on both sides.
Leaves: tracks numbered from the left such that no two legs share a stretch and
no pair of wires crosses more often than the order of its ends demands.  Of two
legs that overlap and run the same way, the one nearer to where they go down
(or up) to must turn first: both down, the lower further left; both up, the upper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from doorsheet.layout.plan import Spacing
from doorsheet.layout.rows import Rows

__all__ = ["Leg", "assign_tracks", "legs"]


@dataclass(frozen=True, slots=True)
class Leg:
    """The vertical leg of a bent wire, between its rows on the two sides."""

    wire: str
    near: int
    far: int

    @property
    def top(self) -> int:
        """Its upper row."""
        return min(self.near, self.far)

    @property
    def bottom(self) -> int:
        """Its lower row."""
        return max(self.near, self.far)

    @property
    def down(self) -> bool:
        """Whether the wire goes down on its way to the strip."""
        return self.far > self.near


def legs(rows: Rows) -> tuple[Leg, ...]:
    """Return the vertical legs of all wires that are not straight, top to bottom on the left."""
    far = {end.wire: row for end, row in zip(rows.right, rows.right_rows, strict=True)}
    return tuple(
        Leg(end.wire, row, far[end.wire])
        for end, row in zip(rows.left, rows.left_rows, strict=True)
        if end.wire is not None and far[end.wire] != row
    )


def assign_tracks(vertical: Sequence[Leg], spacing: Spacing) -> dict[str, int]:
    """Return the track of each leg, 0 leftmost: the lowest that its predecessors allow."""
    downs = sorted((leg for leg in vertical if leg.down), key=lambda leg: -leg.near)
    ups = sorted((leg for leg in vertical if not leg.down), key=lambda leg: leg.near)
    tracks: dict[str, int] = {}
    placed: list[Leg] = []
    for same_way in (downs, ups):
        for index, leg in enumerate(same_way):
            before = [tracks[other.wire] for other in same_way[:index] if _near(leg, other, spacing)]
            track = max(before) + 1 if before else 0
            while any(tracks[other.wire] == track and _near(leg, other, spacing) for other in placed):
                track += 1
            tracks[leg.wire] = track
            placed.append(leg)
    return tracks


def _near(a: Leg, b: Leg, spacing: Spacing) -> bool:
    """Whether two legs on one track would touch or nearly touch."""
    return a.top < b.bottom + spacing.foreign and b.top < a.bottom + spacing.foreign
