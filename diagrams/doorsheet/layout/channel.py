"""Phase 4: vertical legs packed into tracks: as few tracks as can be without a crossing more.

Needs: legs with rows of their own, so that of two legs whose spans overlap exactly one
starts and one ends inside the other, or one lies inside the other.
Leaves: a track for each leg, 0 leftmost; no two legs with overlapping spans on one track.

Two overlapping legs that run the same way and don't lie one inside the other cross twice
unless the one further on turns first: both down, the lower further left; both up, the upper.  All
others cross once or never, however they are put.  So two numbers can't be gone below: the
density (legs over one row) and the longest chain of legs of which each must be left of
the last.  The sweep from top to bottom gives a starting leg the track that leaves
most room on the side to which such a chain grows.
"""

from bisect import bisect_left, insort
from collections.abc import Sequence
from typing import Final, NamedTuple, TypeAlias

from doorsheet.layout.plan import Spacing
from doorsheet.layout.rows import Rows

__all__ = ["Leg", "Span", "Tracks", "assign_tracks", "density", "legs", "longest_chain", "pack"]

_TRIES: Final = 12
"""Widths tried between what can't be gone below and the simple packing."""


class Span(NamedTuple):
    """A leg from its upper to its lower row; `down` when the wire goes down towards the right."""

    top: int
    bottom: int
    down: bool


class Tracks(NamedTuple):
    """The track of each leg, in the order given, 0 leftmost."""

    of: tuple[int, ...]
    used: int
    extra_crossings: int = 0  # beyond those that the order demands


def density(spans: Sequence[Span], clear: int = 1) -> int:
    """Return the most spans over one row; spans nearer than `clear` rows overlap."""
    events = sorted([(span.top, 1) for span in spans] + [(span.bottom + clear, -1) for span in spans])
    most = now = 0
    for _, step in events:
        now += step
        most = max(most, now)
    return most


def pack(spans: Sequence[Span], clear: int = 1, extra_tracks: int | None = None) -> Tracks:
    """Return the tracks; without a needless crossing unless `extra_tracks` forbids the room for it.

    `extra_tracks` is how many tracks beyond the density may be used to keep wires from crossing
    twice; None: as many as it takes.
    """
    if not spans:
        return Tracks((), 0)
    order = sorted(range(len(spans)), key=lambda index: spans[index])
    least = density(spans, clear)
    simple = _simple(spans, order, clear)
    limit = simple.used if extra_tracks is None else min(simple.used, least + extra_tracks)
    start = max(least, longest_chain(spans, clear))
    found = _fewest_faultless(spans, order, range(start, limit), clear)
    if found is not None:
        return found
    if limit == simple.used:
        return simple
    for strict in (True, False):
        found = _sweep(spans, order, limit, clear, strict)
        if found is not None:
            return found
    raise AssertionError("the density is always enough when crossings may be added")


def _fewest_faultless(
    spans: Sequence[Span], order: Sequence[int], counts: range, clear: int
) -> Tracks | None:
    """Return a packing without a crossing more that is as narrow as found: in strides, then in between."""
    stride = max(1, len(counts) // _TRIES)
    for coarse in range(0, len(counts), stride):
        best = _sweep(spans, order, counts[coarse], clear, strict=True)
        if best is None:
            continue
        failed, works = coarse - stride, coarse
        while works - failed > 1:
            middle = (failed + works) // 2
            found = _sweep(spans, order, counts[middle], clear, strict=True) if middle >= 0 else None
            if found is None:
                failed = middle
            else:
                best, works = found, middle
        return best
    return None


_Active: TypeAlias = list[tuple[int, int]]
"""Legs of one direction that the sweep is over: the row at which each ends, and its track; sorted."""


def _leave(active: _Active, row: int) -> list[int]:
    """Let go of those that end above a row; return their tracks."""
    place = bisect_left(active, (row, -1))
    gone = [track for _, track in active[:place]]
    del active[:place]
    return gone


def _ending_before(active: _Active, end: int) -> list[int]:
    """Return the tracks of those that a leg down to `end` reaches beyond."""
    return [track for _, track in active[: bisect_left(active, (end, -1))]]


def longest_chain(spans: Sequence[Span], clear: int = 1) -> int:
    """Return how many tracks the order of turning alone asks for."""
    order = sorted(range(len(spans)), key=lambda index: spans[index])
    stairs = (_stairs(spans, order, clear, down, beyond_all=False) for down in (True, False))
    return max(max(own.values(), default=-1) + 1 for own in stairs)


def _simple(spans: Sequence[Span], order: Sequence[int], clear: int) -> Tracks:
    """Stack like stairs: ups from the left, downs further right, each beyond all it overlaps."""
    ups, downs = (_stairs(spans, order, clear, down, beyond_all=True) for down in (False, True))
    total = sum(max(own.values(), default=-1) + 1 for own in (ups, downs))
    return Tracks(tuple(total - 1 - downs[n] if n in downs else ups[n] for n in range(len(spans))), total)


def _stairs(
    spans: Sequence[Span], order: Sequence[int], clear: int, down: bool, beyond_all: bool
) -> dict[int, int]:
    """Return tracks for the legs of one direction, each beyond all it overlaps, or would cross twice."""
    active: _Active = []
    out: dict[int, int] = {}
    for index in order:
        span = spans[index]
        if span.down is down:
            _leave(active, span.top - clear + 1)
            met = [track for _, track in active] if beyond_all else _ending_before(active, span.bottom)
            out[index] = 1 + max(met, default=-1)
            insort(active, (span.bottom, out[index]))
    return out


def _sweep(
    spans: Sequence[Span], order: Sequence[int], count: int, clear: int, strict: bool
) -> Tracks | None:
    """Pack into `count` tracks; when `strict`, None where that would cost a crossing."""
    free = (1 << count) - 1  # a bit for each track
    active: dict[bool, _Active] = {True: [], False: []}
    tracks = [0] * len(spans)
    extra = 0
    for index in order:
        span = spans[index]
        for legs in active.values():
            for freed in _leave(legs, span.top - clear + 1):
                free |= 1 << freed
        beyond = _ending_before(active[span.down], span.bottom)
        track = _choose(free, count, beyond, span.down)
        if track is None and strict:
            return None
        if track is None:  # the one on the wrong side of as few as possible
            track = (free & -free if span.down else free).bit_length() - 1
        extra += 2 * sum((other < track) is span.down for other in beyond)
        free &= ~(1 << track)
        tracks[index] = track
        insort(active[span.down], (span.bottom, track))
    return Tracks(tuple(tracks), count, extra)


def _choose(free: int, count: int, beyond: Sequence[int], down: bool) -> int | None:
    """Return the rightmost free track left of all `beyond` for a leg down; mirrored for a leg up."""
    if down:
        allowed = free & ((1 << min(beyond, default=count)) - 1)
        return allowed.bit_length() - 1 if allowed else None
    first = max(beyond, default=-1) + 1
    allowed = free >> first
    return first + (allowed & -allowed).bit_length() - 1 if allowed else None


# --- the wires of a sheet ------------------------------------------------


class Leg(NamedTuple):
    """The vertical leg of a bent wire, between its rows on the two sides."""

    wire: str
    near: int
    far: int

    @property
    def span(self) -> Span:
        """The rows that it runs over."""
        return Span(min(self.near, self.far), max(self.near, self.far), self.far > self.near)


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
    return pack([leg.span for leg in vertical], spacing.foreign, spacing.extra_tracks)
