"""Figures for findings, from facts and levels (room: checks)."""

from typing import Literal

from doorsheet.checks.finding import Figure
from doorsheet.circuit.ranges import show_value
from doorsheet.electrics import Level
from doorsheet.electrics.fact import Fact

__all__ = ["of_fact", "of_level"]

End = Literal["low", "high"]


def of_fact(fact: Fact, end: End | None = None) -> Figure:
    """Return a fact with its origin: as it stands, or only one end of its range."""
    if end is None:
        return Figure(fact.name, fact.value, fact.said)
    return Figure(fact.name, show_value(fact.low if end == "low" else fact.high, fact.unit), fact.said)


def of_level(name: str, level: Level, end: End) -> Figure:
    """Return one end of a solved level, and the figures that it is computed from."""
    said = "; ".join(f"{fact.name} {fact}" for fact in level.facts)
    value = level.low if end == "low" else level.high
    return Figure(name, show_value(value, level.unit), f"computed: {said}" if said else "computed")
