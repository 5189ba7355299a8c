"""Which known mistake makes a line of just this gain and offset.

Only the comparison with what is known to happen: the verdict itself is in `doorsheet.speed.verdict`.
Where no source is named a cause is common practice or follows from 120 f / p.
"""

from collections.abc import Iterator
from itertools import product
from typing import Final, NamedTuple

from doorsheet.mapping.signals import RANGES
from doorsheet.speed.known import SpeedFacts, number
from doorsheet.speed.regression import Fit

__all__ = ["Hint", "factor_of", "is_near", "ranges_that_fit"]


def is_near(value: float, wanted: float, relative: float) -> bool:
    """Return whether a value lies within a share of the wanted one."""
    return abs(value - wanted) <= relative * abs(wanted)


def ranges_that_fit(facts: SpeedFacts, fit: Fit) -> str:
    """Name the mismatched ranges that give this line, a live zero on one side; empty when none does.

    A range that starts at zero on both sides gives a plain factor, which has other causes too.
    """
    if facts.full_scale_rpm is None:
        return ""
    fitting = []
    one_way = [(name, span) for name, span in RANGES.items() if span.reverse is None]
    for (source_name, source), (drive_name, drive) in product(one_way, repeat=2):
        if source.unit != drive.unit or (source.rest == 0) is (drive.rest == 0):
            continue
        width = drive.full - drive.rest
        gain, offset = (source.full - source.rest) / width, (source.rest - drive.rest) / width
        if is_near(fit.gain, gain, 0.05) and abs(fit.offset_rpm / facts.full_scale_rpm - offset) <= 0.04:
            known = (facts.path.source == source) + (facts.path.drive == drive)
            fitting.append((-known, f"a source of {source_name} into a drive set to {drive_name}"))
    best = min((known for known, _ in fitting), default=0)
    return " or ".join(words for known, words in fitting if known == best)


class Hint(NamedTuple):
    """A factor that has a known cause, and how near a gain must lie to it."""

    factor: float
    said: str
    causes: str
    relative: float = 0.03


_RANGE_CAUSE: Final = "a drive's range and a controller's range of which one is twice the other"
_FACTORS: Final = (
    # a half is taken from 0.45 to 0.55 (a knowledge-base article's bounds, to be confirmed)
    Hint(2, "2", f"{_RANGE_CAUSE}; half the poles counted; a reading doubled", 0.1),
    Hint(0.5, "1/2", f"{_RANGE_CAUSE}; twice the poles counted; a reading halved", 0.1),
    Hint(10, "10", "a display's scale, a digit too many", 0.1),
    Hint(0.1, "1/10", "a display's scale, a digit too few", 0.1),
    Hint(60, "60", "hertz or turns a second taken for turns a minute", 0.1),
    Hint(1 / 60, "1/60", "a reading in hertz or turns a second, not a minute", 0.1),
    Hint(3, "3", "6 poles taken for 2, or the other way round"),
    Hint(1 / 3, "1/3", "2 poles taken for 6, or the other way round"),
    Hint(1.5, "3/2", "6 poles taken for 4, or the other way round"),
    Hint(
        2 / 3, "2/3", "4 poles taken for 6; a series resistor half as large as the drive's input resistance"
    ),
)


def _hints(facts: SpeedFacts) -> Iterator[Hint]:
    """Yield the factors to think of: those that the mapping's own figures make come first."""
    if facts.ratio_is_given and abs(facts.ratio - 1) > 0.05:
        cause = "the belt's or gear's ratio, left out or counted twice, or the other shaft measured"
        yield Hint(facts.ratio, f"the ratio, {number(facts.ratio)}", cause)
        yield Hint(1 / facts.ratio, f"the ratio turned round, {number(1 / facts.ratio)}", cause)
        twice = "the belt's or gear's ratio entered the wrong way round: multiplied by it where it divides"
        yield Hint(facts.ratio**2, f"the ratio squared, {number(facts.ratio**2)}", twice)
        yield Hint(1 / facts.ratio**2, f"1 / ratio squared, {number(1 / facts.ratio**2)}", twice)
    if facts.poles is not None:
        share = facts.poles / 120
        yield Hint(
            share, f"{facts.poles} poles / 120", "a reading of the frequency in Hz, not of the speed", 0.05
        )
        cause = "a command taken as the frequency in Hz, not as the speed"
        yield Hint(1 / share, f"120 / {facts.poles} poles", cause, 0.05)
    yield from _FACTORS


def factor_of(facts: SpeedFacts, gain: float) -> Hint | None:
    """Return the factor that a gain is near to, the nearest first; None when none is near."""
    near = [hint for hint in _hints(facts) if is_near(gain, hint.factor, hint.relative)]
    return min(near, key=lambda hint: abs(gain / hint.factor - 1), default=None)
