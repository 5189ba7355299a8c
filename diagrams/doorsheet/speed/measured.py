"""What measured speeds show, as values: the pairs, the line through them, the verdict (speed room).

How the verdict is come to is in `doorsheet.speed.verdict`.
"""

from dataclasses import dataclass
from enum import StrEnum

from doorsheet.speed.regression import Fit, Hinge, Pair

__all__ = ["Kind", "Measured", "Verdict"]


class Kind(StrEnum):
    """What the measured speeds show."""

    NORMAL = "normal"
    CREEPS = "turns at zero command"
    OUTLIER = "one pair off the line"
    GAIN = "gain"
    OFFSET = "offset"
    GAIN_AND_OFFSET = "gain and offset"
    NON_LINEAR = "non-linear"
    SATURATED = "saturated at the top"
    HELD_UP = "held up at the bottom"
    STUCK = "stuck"
    WRONG_RANGE = "wrong range"
    FACTOR = "factor"
    REVERSED = "reversed"
    TOO_FEW = "too few pairs"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the pairs show, by which figures, and what to do; the last two are whole sentences."""

    kind: Kind
    reason: str
    do: str
    factor: float | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """The pairs, the line through them (without those at a level), and the verdict."""

    pairs: tuple[Pair, ...]
    fit: Fit | None
    hinge: Hinge | None
    tolerance_rpm: float
    verdict: Verdict
    is_trim: bool  # whether the line is near enough to the right one to be trimmed

    def line_at(self, commanded_rpm: float) -> float | None:
        """Return what the line gives for a command, held between the levels if there are any, rpm."""
        if self.fit is None:
            return None
        found = self.fit.at(commanded_rpm)
        if self.hinge is not None and self.hinge.floor_rpm is not None:
            found = max(found, self.hinge.floor_rpm)
        if self.hinge is not None and self.hinge.cap_rpm is not None:
            found = min(found, self.hinge.cap_rpm)
        return found

    @property
    def strays_rpm(self) -> tuple[float, ...]:
        """How far each pair lies from the line and its levels, rpm; empty without a line."""
        lines = [self.line_at(pair.commanded_rpm) for pair in self.pairs]
        return tuple(
            pair.real_rpm - line for pair, line in zip(self.pairs, lines, strict=True) if line is not None
        )

    @property
    def worst_deviation_rpm(self) -> float:
        """The largest difference of a real speed from its command, rpm."""
        return max(abs(pair.real_rpm - pair.commanded_rpm) for pair in self.pairs)
