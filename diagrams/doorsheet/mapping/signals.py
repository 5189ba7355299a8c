"""Ranges of a speed signal: the one table of them, for every room.

How a range is written, and what it is at rest and at full command; whether two
ranges fit each other is asked in `doorsheet.circuit`.
"""

import re
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

__all__ = ["RANGES", "InputRange", "Signal", "SourceRange", "range_in"]

SourceRange: TypeAlias = Literal["0-10 V", "0-5 V", "4-20 mA", "0-20 mA", "+-10 V"]
"""What a controller's analog output can give."""

InputRange: TypeAlias = Literal["0-10 V", "0-5 V", "2-10 V", "4-20 mA", "0-20 mA", "+-10 V"]
"""What a drive's speed input can be set to."""


@dataclass(frozen=True, slots=True)
class Signal:
    """A range as a signal at standstill, at full command, and at full command the other way, V or A."""

    rest: float  # at no command: not always the low end
    full: float
    reverse: float | None  # None where the sign can't turn the motor the other way
    unit: Literal["V", "A"]

    @property
    def low(self) -> float:
        """The least that the range holds."""
        return self.rest if self.reverse is None else self.reverse

    def at(self, command: float) -> float:
        """Return the signal, V or A, at a share of full command: 1 for all of it, -1 for all in reverse.

        >>> RANGES["4-20 mA"].at(0.5), RANGES["+-10 V"].at(-0.5)
        (0.012, -5.0)
        """
        end = self.reverse if command < 0 and self.reverse is not None else self.full
        return self.rest + (end - self.rest) * (abs(command) if self.reverse is not None else command)


RANGES: Final[dict[str, Signal]] = {
    "0-10 V": Signal(0.0, 10.0, None, "V"),
    "0-5 V": Signal(0.0, 5.0, None, "V"),
    "2-10 V": Signal(2.0, 10.0, None, "V"),
    "4-20 mA": Signal(0.004, 0.020, None, "A"),
    "0-20 mA": Signal(0.0, 0.020, None, "A"),
    "+-10 V": Signal(0.0, 10.0, -10.0, "V"),
}
"""Every range that a mapping can name, by its name."""


def range_in(words: str) -> tuple[str, str]:
    """Return what stands before a range at the end of words, and the range by its name; "" where none is.

    >>> range_in("4..20mA"), range_in("AO1 0V 0 to 10 V"), range_in("AO1 0V")
    (('', '4-20 mA'), ('AO1 0V ', '0-10 V'), ('AO1 0V', ''))
    """
    for name in RANGES:
        low, high, unit = re.split("[- ]", name)
        way = r"\s*(?:-|–|\.{2,3}|…|to)\s*"
        begin = r"(?:±|\+\s?/?\s?-)\s*" if low == "+" else rf"(?<![\w.,+±-]){low}(?:\s*V|\s*mA)?{way}"
        if found := re.search(rf"{begin}{high}\s*{unit}(?:\s?DC)?\s*$", words, re.IGNORECASE):
            return words[: found.start()], name
    return words, ""
