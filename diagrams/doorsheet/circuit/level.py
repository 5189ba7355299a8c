"""A computed figure with the facts and the corner it rests on.

Room: circuit.  The forms themselves are in `switch_levels` and `speed_levels`.
"""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Mapping as AbstractMapping
from dataclasses import dataclass

from doorsheet.circuit.facts import Fact, Known, Unknown
from doorsheet.circuit.quantities import Interval, show, show_value, worst

__all__ = ["Corner", "Level", "level_of_fact", "make_level"]

Corner = AbstractMapping[str, float]
"""One value for each fact, by the fact's key."""


@dataclass(frozen=True, slots=True)
class Level:
    """A computed figure, the facts it rests on, and the corner at which each end is reached."""

    name: str
    interval: Interval
    unit: str
    facts: tuple[Fact, ...]
    low_at: str  # "voltage of the inputs' supply 20.4 V, ..."
    high_at: str

    @property
    def value(self) -> str:
        """The figure with its unit."""
        return show(self.interval, self.unit)

    @property
    def is_measured(self) -> bool:
        """Whether it is a meter's reading itself, not a sum on paper."""
        return len(self.facts) == 1 and self.facts[0].origin == "measured"


def make_level(
    name: str, unit: str, facts: AbstractMapping[str, Known], form: Callable[[Corner], float]
) -> Level | Unknown:
    """Evaluate `form` over the facts' ranges; give back the first fact that is unknown."""
    known: dict[str, Fact] = {}
    for key, fact in facts.items():
        if isinstance(fact, Unknown):
            return fact
        known[key] = fact
    found = worst(form, {key: fact.interval for key, fact in known.items()})
    low_at, high_at = (
        ", ".join(
            f"{known[key].name} {show_value(value, known[key].unit)}"
            for key, value in corner
            if not known[key].interval.is_point
        )
        for corner in (found.low_at, found.high_at)
    )
    return Level(name, found.interval, unit, tuple(known.values()), low_at, high_at)


def level_of_fact(name: str, fact: Known) -> Level | Unknown:
    """Return a fact as it is, as a level."""
    return fact if isinstance(fact, Unknown) else Level(name, fact.interval, fact.unit, (fact,), "", "")
