"""A figure of the installation with where it comes from; one that nobody gave says who to ask."""

from dataclasses import dataclass, replace
from enum import StrEnum

from doorsheet.circuit.reading_words import show
from doorsheet.network import Figure

__all__ = ["Fact", "Origin"]


class Origin(StrEnum):
    """Where a figure is from."""

    GIVEN = "given"
    MEASURED = "measured"
    DEFAULT = "default"
    STANDARD = "standard"
    COMPUTED = "computed"
    UNKNOWN = "unknown"  # from `low` to `high` is anything that it can be


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure, in its base unit; `key` tells it from every other of the installation.

    Of an UNKNOWN one, `low` and `high` are the widest that such a thing can be, and `ask` says where
    to find it.
    """

    key: str
    name: str  # "voltage of the inputs' supply"
    low: float
    high: float
    unit: str  # V, A, ohm, W, m, %, rpm; "" for a share
    origin: Origin
    where: str = ""  # "line 9", or the default's or the standard's name
    path: tuple[str | int, ...] = ()  # where the mapping says it, or would
    ask: str = ""
    line: int | None = None  # of the mapping

    @property
    def is_known(self) -> bool:
        """Whether somebody or something gives it."""
        return self.origin is not Origin.UNKNOWN

    def or_default(self, low: float, high: float, where: str) -> "Fact":
        """Return itself where somebody or something gives it, else a default with its name."""
        return self if self.is_known else self.told(low, high, Origin.DEFAULT, where)

    def told(
        self, low: float, high: float, origin: Origin, where: str = "", by: "Fact | None" = None
    ) -> "Fact":
        """Return it as known, with where from; or told `by` another fact, which stands in the mapping."""
        known = self if by is None else replace(self, path=by.path, line=by.line)
        where = where if by is None else by.where
        return replace(known, low=low, high=high, origin=origin, where=where, ask="")

    @property
    def figure(self) -> Figure:
        """The same for the solver."""
        return Figure(self.key, self.low, self.high, self.is_known)

    @property
    def value(self) -> str:
        """The figure with its unit: "24 V"; "unknown" without one."""
        return show(self.low, self.high, self.unit) if self.is_known else "unknown"

    @property
    def said(self) -> str:
        """Where it is from: "default: ...", "given⟬, line 9⟭"; in brackets what is for the file alone."""
        if self.line is not None and self.origin in (Origin.GIVEN, Origin.MEASURED):
            return f"{self.origin}⟬, {self.where}⟭"
        return f"{self.origin}: {self.where}" if self.where else str(self.origin)

    def __str__(self) -> str:
        return f"{self.value} ({self.said})" if self.is_known else f"unknown: {self.ask}"
