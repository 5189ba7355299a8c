"""A figure with where it comes from, or the lack of one; and how both are read from a mapping.

Room: circuit.  Which figures there are is in `switch_facts`, `speed_facts` and `cable_facts`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from doorsheet.circuit.quantities import Interval, show
from doorsheet.mapping.quantities import QuantityError, read_quantity
from doorsheet.mapping.reading import ReadMapping

__all__ = ["Fact", "FactReader", "Known", "Origin", "Unknown", "missing"]


class Origin(StrEnum):
    """Where a figure is from."""

    GIVEN = "given"
    MEASURED = "measured"
    DEFAULT = "default"
    STANDARD = "standard"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure that is known.  `where` is "line 9", or the default's or the standard's name."""

    name: str  # "voltage of the inputs' supply"
    interval: Interval
    unit: str  # V, A, ohm, W, m, %, rpm
    origin: Origin
    where: str
    path: tuple[str | int, ...] = ()

    @property
    def value(self) -> str:
        """The figure with its unit: "24 V"."""
        return show(self.interval, self.unit)

    @property
    def said(self) -> str:
        """Where it is from: "given, line 9", "default: ..."."""
        mark = ", " if self.where.startswith("line ") else ": "
        return f"{self.origin}{mark}{self.where}" if self.where else str(self.origin)

    def __str__(self) -> str:
        return f"{self.value} ({self.said})"


@dataclass(frozen=True, slots=True)
class Unknown:
    """A figure that nobody gave: what it is, and where to find or measure it."""

    name: str
    ask: str
    path: tuple[str | int, ...] = ()  # where the mapping would say it
    probes: tuple[str, ...] = ()  # drive terminals to measure between


Known = Fact | Unknown


def missing(*found: Known) -> Unknown | None:
    """Return the first of `found` that is unknown; None when all are known."""
    return next((fact for fact in found if isinstance(fact, Unknown)), None)


class FactReader:
    """Reads one mapping's figures, each with its line."""

    def __init__(self, read: ReadMapping) -> None:
        self.mapping = read.mapping
        self._source = read.source

    def _line(self, path: tuple[str | int, ...]) -> str:
        line = self._source.line_of(*path)
        return f"line {line}" if line else "from the mapping"

    def _fact(
        self,
        name: str,
        text: str | None,
        units: tuple[str, ...],
        path: tuple[str | int, ...],
        ask: str,
        up_to: bool = False,
        origin: Origin = Origin.GIVEN,
    ) -> Known:
        """Read one figure; with `up_to`, a single figure means anything from nothing to it."""
        if text is None:
            return Unknown(name, ask, path)
        try:
            low, high, unit = read_quantity(text, *units)
        except QuantityError as error:  # only texts that the model leaves free
            return Unknown(name, f'"{text}" {error}', path)
        interval = Interval(0.0 if up_to and low == high else low, high)
        return Fact(name, interval, unit, origin, self._line(path), path)

    def _manual(self, what: str) -> str:
        return f"look it up in the drive's manual under {what}"
