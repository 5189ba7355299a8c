"""A better order of clusters whose preferences run in circles, where the exact step gives up.

Needs: what it costs to break each preference, and an order.
Leaves: an order that breaks no more: stretches of it are shaken and every cluster in them put
back where it costs least, by a fixed rule, so that the same file gives the same sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final, TypeAlias

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

    Whole: TypeAlias = NDArray[numpy.int64]

__all__ = ["draws", "shaken"]

_WINDOW: Final = 24
"""Clusters of a stretch that is shaken, at most."""

_WORK: Final = 30_000_000
"""Pairs compared before it is left, about a second."""

_FIXED_COST: Final = 2_000
"""A move costs as much as so many pairs, however few there are."""


def draws() -> Iterator[int]:
    """Yield numbers without a pattern, always the same ones (a linear congruential generator)."""
    state = 1
    while True:
        state = (state * 6364136223846793005 + 1442695040888963407) % 2**64
        yield state >> 33


def shaken(weight: Sequence[Sequence[int]], order: Sequence[int], effort: float) -> tuple[list[int], int]:
    """Return an order that breaks no more than the one given, and what it saves.

    `weight[u][v]` is what it costs to put v above u; about 1 s times `effort` is spent.
    """
    import numpy  # a sheet never gets here: only what no exact step can do

    breaks = numpy.array(weight, dtype=numpy.int64)
    signed = breaks.T - breaks  # of u above v, less the other way round
    size = len(order)
    best = here = numpy.array(order, dtype=numpy.int64)
    saved = now = 0
    draw = draws()
    work = effort * _WORK
    while work > 0:
        window = 2 + next(draw) % min(_WINDOW, size - 1)
        first = next(draw) % (size - window + 1)
        tried = here.copy()
        change = 0
        for _ in range(1 + next(draw) % 4):
            goes, comes = first + next(draw) % window, first + next(draw) % window
            change += _moved(tried, goes, comes, signed)
        members = tried[first : first + window].tolist()
        moving = True
        while moving:
            moving = False
            for member in members:
                gain = _best_place(tried, member, signed)
                change += gain
                moving |= gain < 0
                work -= size + _FIXED_COST
        if change <= 0:
            here, now = tried, now + change
            if now < saved:
                best, saved = here, now
    return best.tolist(), -saved


def _moved(order: Whole, goes: int, comes: int, signed: Whole) -> int:
    """Move the one at one place to another; return what that costs."""
    member = order[goes]
    row = signed[member]
    if goes < comes:
        change = -int(row[order[goes + 1 : comes + 1]].sum())
        order[goes:comes] = order[goes + 1 : comes + 1].copy()
    else:
        change = int(row[order[comes:goes]].sum())
        order[comes + 1 : goes + 1] = order[comes:goes].copy()
    order[comes] = member
    return change


def _best_place(order: Whole, member: int, signed: Whole) -> int:
    """Put one where it costs least; return what that costs, nothing or less."""
    here = int((order == member).argmax())
    costs = signed[member][order]
    below = costs[::-1].cumsum()[::-1]  # what standing above each of them, and all further down, costs
    place = int(below.argmin()) if below.min() < 0 else len(order)
    if (int(below[place]) if place < len(order) else 0) >= int(below[here]):
        return 0
    return _moved(order, here, place if place < here else place - 1, signed)
