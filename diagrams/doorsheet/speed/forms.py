"""Closed forms of speed, on plain numbers (speed room).

No mapping is known here: a figure that isn't given never gets this far.
"""

import math
from collections.abc import Iterable

__all__ = [
    "poles_that_fit",
    "pulley_ratio",
    "ramp_s",
    "root_sum_square",
    "slip",
    "synchronous_rpm",
    "worst_case",
]


def synchronous_rpm(frequency_hz: float, poles: int) -> float:
    """Return the speed of the rotating field, 120 f / p.

    Source: any textbook of electrical machines; values in tests/speed with their sources.

    >>> synchronous_rpm(400, 2)
    24000.0

    Raises:
        ValueError: for a number of poles that is odd or below 2.
    """
    if poles < 2 or poles % 2:
        raise ValueError(f"{poles} poles: poles come in pairs")
    return 120 * frequency_hz / poles


def slip(synchronous: float, shaft: float) -> float:
    """Return how far the shaft lags behind the field, as a share of the field's speed.

    >>> round(slip(1500, 1450), 5)
    0.03333

    Raises:
        ValueError: when the field stands still.
    """
    if synchronous == 0:
        raise ValueError("there is no slip against a field that stands still")
    return (synchronous - shaft) / synchronous


def poles_that_fit(frequency_hz: float, shaft_rpm: float) -> int:
    """Return the number of poles whose field runs just ahead of the shaft; 0 when there is none.

    >>> poles_that_fit(50, 1450)
    4
    """
    return int(60 * frequency_hz / shaft_rpm + 1e-9) * 2


def pulley_ratio(motor_diameter: float, tool_diameter: float) -> float:
    """Return the tool's turns for one turn of the motor: the belt runs the same length over both.

    The belt's own slip is left out.

    >>> pulley_ratio(60, 120)
    0.5
    """
    return motor_diameter / tool_diameter


def worst_case(percents: Iterable[float]) -> float:
    """Return the error when all parts fall on the same side: their sum."""
    return math.fsum(percents)


def root_sum_square(percents: Iterable[float]) -> float:
    """Return the error to allow for when the parts are independent: the root of the sum of squares."""
    return math.hypot(*percents)


def ramp_s(whole_s: float, share: float) -> float:
    """Return the time of a ramp over a share of the range that its setting counts.

    In most drives that range is from zero to the highest frequency (from memory: see its manual).

    >>> ramp_s(6, 0.5)
    3.0
    """
    return whole_s * share
