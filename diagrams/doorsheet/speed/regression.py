"""Straight lines through measured pairs, what is known of their uncertainty, and the verdict as a value.

What a line means for the machine is said in `doorsheet.speed.verdict`.
Closed forms in plain Python: a table of ten pairs does not pay for importing numpy.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import product
from typing import Final

__all__ = ["Fit", "Hinge", "Kind", "Measured", "Pair", "Verdict", "fit_hinge", "fit_line"]


@dataclass(frozen=True, slots=True)
class Pair:
    """One speed as commanded and as it really was, both signed by the direction."""

    commanded_rpm: float
    real_rpm: float
    signal: float | None = None  # read at the drive's speed input meanwhile, V or mA


@dataclass(frozen=True, slots=True)
class Fit:
    """The least-squares line real = offset + gain x commanded, and its standard uncertainties.

    The uncertainties are None for two pairs: a line through two points leaves nothing to judge it by.
    """

    count: int
    gain: float
    offset_rpm: float
    gain_u: float | None
    offset_u_rpm: float | None
    residual_sd_rpm: float | None
    residuals_rpm: tuple[float, ...]

    def at(self, commanded_rpm: float) -> float:
        """Return the line's real speed for a commanded one, rpm."""
        return self.offset_rpm + self.gain * commanded_rpm

    @property
    def worst_residual_rpm(self) -> float:
        """The largest distance of a pair from the line, rpm."""
        return max(map(abs, self.residuals_rpm))


def fit_line(pairs: Sequence[Pair]) -> Fit | None:
    """Fit a straight line by least squares; None when the pairs hold fewer than two different commands.

    With Sxx the sum of squares about the mean command and s the residual standard deviation on
    n - 2 degrees of freedom: u(gain) = s / sqrt(Sxx), u(offset) = s sqrt(1/n + mean^2 / Sxx).
    The forms of any textbook on regression; held against a reference data set in tests/speed.

    >>> fit_line([Pair(0, 10), Pair(1000, 990), Pair(2000, 2005)]).gain
    0.9975
    """
    count = len(pairs)
    if len({pair.commanded_rpm for pair in pairs}) < 2:
        return None
    mean_x = math.fsum(pair.commanded_rpm for pair in pairs) / count
    mean_y = math.fsum(pair.real_rpm for pair in pairs) / count
    sxx = math.fsum((pair.commanded_rpm - mean_x) ** 2 for pair in pairs)
    if sxx == 0:  # commands so near each other that their squares vanish
        return None
    sxy = math.fsum((pair.commanded_rpm - mean_x) * (pair.real_rpm - mean_y) for pair in pairs)
    gain = sxy / sxx
    offset = mean_y - gain * mean_x
    residuals = tuple((pair.real_rpm - mean_y) - gain * (pair.commanded_rpm - mean_x) for pair in pairs)
    if count == 2:
        return Fit(count, gain, offset, None, None, None, residuals)
    sd = math.sqrt(math.fsum(residual**2 for residual in residuals) / (count - 2))
    offset_u = sd * math.sqrt(1 / count + mean_x**2 / sxx)
    return Fit(count, gain, offset, sd / math.sqrt(sxx), offset_u, sd, residuals)


# ---- A line that stops at a level ----

FLAT_SHARE: Final = 0.01
"""Readings this near each other, as a share of the largest command, stand at one level."""

CLEAR_SHARE: Final = 0.02
"""A level counts when the line goes on past it by more than this share of the largest command."""


@dataclass(frozen=True, slots=True)
class Hinge:
    """A line that holds between two levels: a floor under the lowest pairs, a cap over the highest."""

    line: Fit
    middle: tuple[Pair, ...]
    floor_rpm: float | None
    cap_rpm: float | None
    floor_count: int
    cap_count: int


def fit_hinge(pairs: Sequence[Pair]) -> Hinge | None:
    """Find levels at the top, at the bottom or at both that a straight line can't explain; None without.

    Two pairs at one level show it.  One is enough only when three others lie on a line as they should.
    The levels taken are those that leave the least squares, a quarter of the straight line's at the most.
    """
    ordered = tuple(sorted(pairs, key=lambda pair: pair.commanded_rpm))
    straight = fit_line(ordered)
    if straight is None:
        return None
    scale = max(abs(pair.commanded_rpm) for pair in ordered)
    found, bound = None, math.fsum(stray**2 for stray in straight.residuals_rpm) / 4
    for bottom, top in product(_counts(ordered, scale), _counts(ordered[::-1], scale)):
        hinge = _hinge(ordered, bottom, top, scale) if bottom + top else None
        if hinge is not None and (squares := _squares(ordered, hinge)) < bound:
            found, bound = hinge, squares
    return found


def _squares(ordered: tuple[Pair, ...], hinge: Hinge) -> float:
    floor, cap = ordered[: hinge.floor_count], ordered[len(ordered) - hinge.cap_count :]
    strays = [pair.real_rpm - (hinge.floor_rpm or 0.0) for pair in floor]
    strays += [pair.real_rpm - (hinge.cap_rpm or 0.0) for pair in cap]
    return math.fsum(stray**2 for stray in (*hinge.line.residuals_rpm, *strays))


def _counts(ordered: tuple[Pair, ...], scale: float) -> tuple[int, ...]:
    """Return how many of the first pairs may stand at one level: none, one, or all that are level."""
    flat = 0
    reals: list[float] = []
    for pair in ordered:
        reals.append(pair.real_rpm)
        if max(reals) - min(reals) > FLAT_SHARE * scale:
            break
        flat += 1
    return tuple(sorted({0, 1, max(flat - 1, 0), flat}))


def _hinge(ordered: tuple[Pair, ...], bottom: int, top: int, scale: float) -> Hinge | None:
    """Return the line between so many pairs at a floor and at a cap; None when it doesn't end at them."""
    last = len(ordered) - top
    floor, middle, cap = ordered[:bottom], ordered[bottom:last], ordered[last:]
    line = fit_line(middle)
    if line is None or line.gain <= 0:
        return None
    if not (_ends_at(line, middle, cap, scale, 1) and _ends_at(line, middle, floor, scale, -1)):
        return None
    return Hinge(line, middle, _mean(floor), _mean(cap), bottom, top)


def _ends_at(line: Fit, middle: tuple[Pair, ...], level: tuple[Pair, ...], scale: float, up: int) -> bool:
    """Return whether a line comes to a level and would clearly go on past it; without a level it may.

    With `up` = 1 to one above its middle, with -1 to one below: the same turned about the origin.
    """
    mean = _mean(level)
    if mean is None:
        return True
    flat, clear = FLAT_SHARE * scale, CLEAR_SHARE * scale
    alone = len({pair.commanded_rpm for pair in level}) == 1
    if line.worst_residual_rpm > (flat / 2 if alone else flat) or (alone and line.count < 3):
        return False
    ends = (middle[::up][-1], level[::up][0], level[::up][-1])
    last, near, far = (up * line.at(pair.commanded_rpm) for pair in ends)
    return (
        max(abs(pair.real_rpm - mean) for pair in level) <= flat
        and near >= up * mean - flat
        and far > up * mean + max(clear, 4 * line.worst_residual_rpm)
        and last <= up * mean + flat
    )


def _mean(pairs: Sequence[Pair]) -> float | None:
    return math.fsum(pair.real_rpm for pair in pairs) / len(pairs) if pairs else None


class Kind(StrEnum):
    """What the measured speeds show."""

    NORMAL = "normal"
    CREEPS = "turns at zero command"
    OUTLIER = "one pair off the line"
    GAIN = "gain"
    OFFSET = "offset"
    SLIP = "slip under load"
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
        floor, cap = (self.hinge.floor_rpm, self.hinge.cap_rpm) if self.hinge is not None else (None, None)
        found = found if floor is None else max(found, floor)
        return found if cap is None else min(found, cap)

    @property
    def strays_rpm(self) -> tuple[float, ...]:
        """How far each pair lies from the line and its levels, rpm; empty without a line."""
        lines = ((pair, self.line_at(pair.commanded_rpm)) for pair in self.pairs)
        return tuple(pair.real_rpm - line for pair, line in lines if line is not None)

    @property
    def worst_deviation_rpm(self) -> float:
        """The largest difference of a real speed from its command, rpm."""
        return max(abs(pair.real_rpm - pair.commanded_rpm) for pair in self.pairs)
