"""A test as a line: what to do, what to expect (job room)."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from doorsheet.trade.language import tr_later

__all__ = ["DEAD", "Power", "Trial", "live"]

DEAD: Final = tr_later("Power off, lock off, wait, prove dead.")
"""What comes before hands go in again."""


class Power(StrEnum):
    """Whether the drive has power."""

    OFF = "off"
    ON = "on"


@dataclass(frozen=True, slots=True)
class Trial:
    """One line: what to do, what to expect, the unit of what is measured ("" for words), the power."""

    do: str
    expect: str
    unit: str = ""
    power: Power = Power.OFF


def live(do: str, expect: str, unit: str = "") -> Trial:
    """Return a line that needs the drive's power."""
    return Trial(do, expect, unit, Power.ON)
