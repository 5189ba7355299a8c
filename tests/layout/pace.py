"""Instances of one-sided crossing minimisation in the PACE 2024 text format, for `doorsheet.layout.settle`.

A strip that is held, with clusters to be put in order beside it, is exactly this problem.  The format: ``c``
lines are comments; ``p ocr n0 n1 m``, then m lines ``a b`` with a in 1..n0, the side that is held in this
order, and b in n0+1..n0+n1.  A solution is n1 lines, the order of the free side.
"""

from __future__ import annotations

from dataclasses import dataclass

from doorsheet.layout.settle import settle

__all__ = ["PaceResult", "solve_pace"]


@dataclass(frozen=True, slots=True)
class PaceResult:
    """The order of the free side by the instance's own numbers, and what is proved about it."""

    order: tuple[int, ...]
    crossings: int
    lower_bound: int


def solve_pace(text: str) -> PaceResult:
    """Return the order with the fewest crossings found; vertices without edges come first."""
    rows = [line.split() for line in text.splitlines() if line and not line.startswith("c")]
    (held, free, _), edges = map(int, rows[0][2:5]), rows[1:]
    bundles: list[list[int]] = [[] for _ in range(free)]
    for a, b in edges:
        bundles[int(b) - held - 1].append(int(a))
    wired = [vertex for vertex, bundle in enumerate(bundles) if bundle]
    settled = settle([sorted(bundles[vertex]) for vertex in wired])
    lone = [vertex for vertex, bundle in enumerate(bundles) if not bundle]
    order = (held + 1 + vertex for vertex in (*lone, *(wired[index] for index in settled.order)))
    return PaceResult(tuple(order), settled.crossings, settled.bound)
