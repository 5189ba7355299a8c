"""Readings against what the mapping gives."""

from __future__ import annotations

from tests.checks.cases import Beside, Neighbour

NEIGHBOURS: dict[str, Neighbour] = {
    "P106": ("meter  = 12.1", "meter  = 19.2"),  # 24 V less 20 %
    "P107": ("meter-closed = 14", "meter-closed = 0.6"),  # 0.4 V by default, and 0.2 V
    "P112": ("4.1 V", "9.1 V"),  # 10 V by its label, less 10 %
}

BESIDE: tuple[Beside, ...] = (
    ("P106", {"12.1": "19.19"}, ""),
    ("P106", {"12.1": "28.81"}, ""),
    ("P107", {"meter-closed = 14": "meter-closed = 0.61"}, ""),
    ("P112", {"4.1 V": "8.9 V"}, ""),
)
