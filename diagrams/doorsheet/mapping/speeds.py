"""The motor's plate, and the speeds: what the controller commands, what was measured, how long it takes.

All optional.  Figures stay the text that was written, with their unit; what follows
from them is worked out in `doorsheet.speed`.
"""

from typing import Annotated, Final, Literal

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from doorsheet.mapping.entry import Entry, Hertz, Level, LowHertz, Metres, Percent, Rpm, Seconds

__all__ = ["SPEED_LIMIT_RPM", "Motor", "Speeds", "logged_pair"]

SPEED_LIMIT_RPM: Final = 10_000_000
"""A speed beyond this, either way, is a slip of the pen, even where 60 times too much was read."""

_MOST_PAIRS: Final = 200
_MOST_POLES: Final = 100


def _check_poles(value: object) -> object:
    """Refuse a number of poles that no motor has; what isn't a whole number is the model's business."""
    if not isinstance(value, int) or isinstance(value, bool):
        return value
    if not 2 <= value <= _MOST_POLES or value % 2:
        raise PydanticCustomError("figure", "is no motor's, poles come in pairs: write it like 2, 4 or 6")
    return value


def _check_pairs(value: object) -> object:
    """Take a list of pairs of numbers, or of threes; say which entry isn't one."""
    if not isinstance(value, list | tuple):
        raise PydanticCustomError(
            "figure", "must stand in a list: write it like [[6000, 5920], [12000, 11870]]"
        )
    for number, entry in enumerate(value, start=1):
        if not isinstance(entry, list | tuple) or len(entry) not in (2, 3) or not all(map(_is_number, entry)):
            raise PydanticCustomError(
                "figure",
                "have an entry {number} that isn't two or three numbers: write it like [6000, 5920]"
                " (commanded and real speed in rpm) or [6000, 5920, 2.5] (and the signal in V or mA)",
                {"number": number},
            )
        if any(abs(figure) > SPEED_LIMIT_RPM for figure in entry):
            raise PydanticCustomError(
                "figure", "have an entry {number} beyond ten million: read it again", {"number": number}
            )
    return value


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and value == value


Poles = Annotated[int, Field(ge=2, le=_MOST_POLES, multiple_of=2, strict=True), BeforeValidator(_check_poles)]
"""A number of poles: even."""

Ratio = Annotated[float, Field(gt=0, le=1000, strict=True)]
"""Turns of the tool for one turn of the motor."""

Pairs = Annotated[
    tuple[Annotated[tuple[float, ...], Field(min_length=2, max_length=3)], ...],
    Field(max_length=_MOST_PAIRS),
    BeforeValidator(_check_pairs),
]
"""Measured speeds: commanded and real, rpm; perhaps the signal at the drive's input, V or mA."""


class Motor(Entry):
    """What the motor's plate says, what lies between it and the tool, and the drive's limits for it."""

    poles: Poles | None = None
    frequency: Hertz | None = None  # rated
    speed: Rpm | None = None  # rated, at the shaft: what the slip follows from
    ratio: Ratio | None = None
    pulleys: tuple[Metres, Metres] | None = None  # diameters, the motor's and the tool's
    min_frequency: LowHertz | None = None  # the drive's: it never runs slower
    max_frequency: Hertz | None = None  # the drive's: at the top of its signal range

    @model_validator(mode="after")
    def _one_ratio(self) -> "Motor":
        """Refuse two ways of saying the ratio."""
        if self.pulleys is not None and self.ratio is not None:
            raise PydanticCustomError("figure", "has both a ratio and pulleys: keep one of them")
        return self


class Speeds(Entry):
    """What the controller commands, what was measured, and how long the drive takes."""

    full_scale: Rpm | None = None  # the commanded speed for which the controller gives its full signal
    offset: Level | None = None  # at the drive's input while zero is commanded
    tolerance_source: Percent | None = None  # each of the top speed
    tolerance_input: Percent | None = None
    tolerance_slip: Percent | None = None
    measured: Pairs = ()
    measured_at: Literal["tool", "motor"] | None = None
    ramp_up: Seconds | None = None  # the drive's, over the whole range of frequencies
    ramp_down: Seconds | None = None
    stops_by: Literal["ramp", "coast", "unknown"] | None = None  # when run opens
    coast: Seconds | None = None  # measured, from the top speed to standstill
    wait_start: Seconds | None = None  # the controller's, after it has closed run or changed the speed
    wait_stop: Seconds | None = None
    wait_margin: Seconds | None = None
    wait_cap: Seconds | None = None  # the longest wait that the controller takes


def logged_pair(commanded_rpm: float, real_rpm: float) -> str:
    """Return a measured speed as the log has it, which says when it was measured."""
    return f"{commanded_rpm:g} rpm commanded, {real_rpm:g} rpm measured"
