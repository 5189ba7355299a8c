"""Closed forms of speed, on plain numbers (speed room).

No mapping is known here: a figure that isn't given never gets this far.
"""

__all__ = ["poles_that_fit", "slip", "synchronous_rpm"]


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
