"""Figures for findings, from facts and levels (room: checks)."""

from __future__ import annotations

from typing import Literal

from doorsheet.checks.finding import Figure
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.levels import Level
from doorsheet.circuit.quantities import show_value

__all__ = ["of_fact", "of_level"]

End = Literal["low", "high"]


def of_fact(fact: Fact, end: End | None = None) -> Figure:
    """Return a fact with its origin: as it stands, or only one end of its range."""
    if end is None:
        return Figure(fact.name, fact.value, fact.said)
    value = fact.interval.low if end == "low" else fact.interval.high
    return Figure(fact.name, show_value(value, fact.unit), fact.said)


def of_level(level: Level, end: End) -> Figure:
    """Return one end of a computed level, and the corner at which it is reached."""
    value, corner = (
        (level.interval.low, level.low_at) if end == "low" else (level.interval.high, level.high_at)
    )
    said = f"computed: {corner}" if corner else "computed"
    return Figure(level.name, show_value(value, level.unit), said)
