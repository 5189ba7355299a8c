"""Phase 4: a vertical track for every wire that bends.

Needs: unique rows on both sides.
Leaves: tracks numbered from the left such that no two legs share a stretch and no pair of
wires crosses more often than the order of its ends demands, unless `Spacing.extra_tracks`
says to rather save the room.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from doorsheet.layout.channel import Span, density, pack
from doorsheet.layout.plan import Spacing
from doorsheet.layout.rows import Rows

__all__ = ["Leg", "Tracks", "assign_tracks", "legs"]


class Leg(NamedTuple):
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


@dataclass(frozen=True, slots=True)
class Tracks:
    """The track of each wire that bends, 0 leftmost."""

    of: dict[str, int]
    count: int
    density: int  # no packing has fewer tracks
    extra_crossings: int  # beyond those that the order demands


def legs(rows: Rows) -> tuple[Leg, ...]:
    """Return the vertical legs of all wires that are not straight, top to bottom on the left."""
    far = {end.wire: row for end, row in zip(rows.right, rows.right_rows, strict=True)}
    return tuple(
        Leg(end.wire, row, far[end.wire])
        for end, row in zip(rows.left, rows.left_rows, strict=True)
        if end.wire is not None and far[end.wire] != row
    )


def assign_tracks(vertical: Sequence[Leg], spacing: Spacing) -> Tracks:
    """Give each leg its track."""
    spans = [Span(leg.top, leg.bottom, leg.down) for leg in vertical]
    packed = pack(spans, spacing.foreign, spacing.extra_tracks)
    of = {leg.wire: track for leg, track in zip(vertical, packed.tracks, strict=True)}
    return Tracks(of, packed.count, density(spans, spacing.foreign), packed.extra_crossings)
