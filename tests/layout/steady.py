"""How much of a sheet stays where it is when a control is added."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster
from doorsheet.layout.order import put_in_order
from tests.layout.instances import added_control

__all__ = ["kept_share"]


def kept_share(seed: int, controls: int) -> float:
    """Return the share of terminals that keep their order among themselves, both sides together."""
    before, after = (
        put_in_order(one.left, one.right, one.pairs, links=one.links) for one in added_control(seed, controls)
    )
    kept = total = 0
    for old, new in ((before.left, after.left), (before.right, after.right)):
        place = {terminal: n for n, terminal in enumerate(_terminals(new))}
        own = [place[terminal] for terminal in _terminals(old) if terminal in place]
        kept += _longest_rising(own)
        total += len(own)
    return kept / total


def _terminals(side: Iterable[Cluster]) -> list[Terminal]:
    return [terminal for cluster in side for terminal in cluster.terminals]


def _longest_rising(places: Sequence[int]) -> int:
    tails: list[int] = []
    for place in places:
        at = bisect_left(tails, place)
        tails[at : at + 1] = [place]
    return len(tails)
