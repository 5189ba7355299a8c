"""Figures with units as people write them: "24 V", "20,4..28,8 V", "24 V +-10 %", "0.75 mm2", "20 AWG".

Only reading: what a figure means for the circuit is asked in
`doorsheet.circuit`.  A parser of our own because a cold drawing has some 200 ms
in all: measured on the development machine, importing pint and making its
registry takes 235 ms, and quantiphy 15 ms while it knows neither ranges nor
tolerances, decimal commas, or which unit belongs where.  A dozen units are needed.
"""

from functools import cache
from typing import Final, NamedTuple

__all__ = ["UNIT_EXAMPLES", "Quantity", "QuantityError", "read_conductor", "read_quantity", "read_within"]


class QuantityError(ValueError):
    """Says what can't be read, in words that follow "the voltage ..."."""


class Quantity(NamedTuple):
    """A figure as a range in its base unit: both ends are the same where one figure was written."""

    low: float
    high: float
    unit: str

    @property
    def is_point(self) -> bool:
        """Whether one figure was written, not a range."""
        return self.low == self.high


_POWERS: Final[dict[str, dict[str, int]]] = {
    "V": {"V": 0, "mV": -3, "kV": 3, "VDC": 0},
    "A": {"A": 0, "mA": -3, "uA": -6, "µA": -6, "μA": -6, "nA": -9},
    "ohm": {
        "ohm": 0, "Ohm": 0, "ohms": 0, "R": 0, "Ω": 0,
        "kohm": 3, "kOhm": 3, "k": 3, "kΩ": 3,
        "Mohm": 6, "MOhm": 6, "MΩ": 6,
    },
    "ohm/km": {"ohm/km": 0, "Ohm/km": 0, "Ω/km": 0},
    "W": {"W": 0, "mW": -3, "kW": 3},
    "m": {"m": 0, "cm": -2, "mm": -3},
    "mm2": {"mm2": 0, "mm²": 0, "mm^2": 0},
    "%": {"%": 0},
    "°C": {"°C": 0, "C": 0, "ºC": 0},
    "rpm": {"rpm": 0, "1/min": 0},
    "Hz": {"Hz": 0, "kHz": 3},
    "s": {"s": 0, "ms": -3, "sec": 0, "second": 0, "seconds": 0},
}  # fmt: skip
"""Decimal power of each way to write a unit, by base unit."""

_FACTORS: Final[dict[str, dict[str, float]]] = {
    "m": dict.fromkeys(("ft", "feet"), 0.3048),  # exact by definition of the international foot (from memory)
    "s": {
        **dict.fromkeys(("min", "mins", "minute", "minutes"), 60.0),
        **dict.fromkeys(("h", "hour", "hours"), 3600.0),
    },
}
"""How many of the base unit are in a unit that is no decimal part or multiple of it."""

UNIT_EXAMPLES: Final[dict[str, str]] = {
    "V": "24 V", "A": "5 mA", "ohm": "10 kohm", "ohm/km": "26 ohm/km", "W": "0.25 W", "m": "12 m",
    "mm2": "0.75 mm2", "%": "20 %", "°C": "40 C", "rpm": "24000 rpm", "Hz": "400 Hz", "s": "5 s",
}  # fmt: skip
"""A figure of each base unit as it may be written."""

_TOLERANCE_MARKS: Final = ("+-", "±", "+/-")
_NUMERALS: Final = frozenset("0123456789.,-+")
_NEGATIVE_TOO: Final = frozenset({"V", "°C"})


def read_quantity(text: str, *units: str) -> Quantity:
    """Read a figure, a range or a figure with its tolerance in one of the base `units`.

    >>> read_quantity("4.7 kohm", "ohm")
    Quantity(low=4700.0, high=4700.0, unit='ohm')
    >>> read_quantity("20,4..28,8 V", "V")
    Quantity(low=20.4, high=28.8, unit='V')
    >>> read_quantity("24 V +-10 %", "V")
    Quantity(low=21.6, high=26.4, unit='V')

    Raises QuantityError when it isn't such a figure.
    """
    bare = " ".join(text.replace("\N{MINUS SIGN}", "-").replace("\N{OHM SIGN}", "Ω").split())
    for mark in _TOLERANCE_MARKS:
        head, found, tail = bare.partition(mark)
        if found:
            return _with_tolerance(_plain(head, units), tail.strip(), tail.strip())
    if bare.endswith("%") and "%" not in units and "/+" in bare:  # "24 V -15/+20 %"
        head, _, tail = bare.rpartition(" -")
        less, _, more = tail.removesuffix("%").partition("/+")
        return _with_tolerance(_plain(head, units), f"{less}%", f"{more}%")
    for mark in ("...", "..", "…", " to ", "–"):
        first, found, second = bare.partition(mark)
        if found:
            high = _plain(second, units)
            number, unit = _split(first)
            low = _plain(first if unit else f"{number} {_split(second)[1]}", units)
            if low.unit != high.unit or low.low > high.high:
                raise QuantityError("goes from the larger figure to the smaller: write the smaller first")
            return Quantity(low.low, high.high, high.unit)
    return _plain(bare, units)


def read_within(text: str, *bounds: str) -> Quantity:
    """Read such a figure and hold it against `bounds`: a range in each unit that it can have.

    >>> read_within("5 mA", "1 mV..1000 V", "0 A..10 A")
    Quantity(low=0.005, high=0.005, unit='A')

    Raises QuantityError when it isn't such a figure, or reaches beyond its bounds.
    """
    limits = {limit.unit: (limit, bound) for bound in bounds for limit in (_bound(bound),)}
    found = read_quantity(text, *limits)
    limit, bound = limits[found.unit]
    if not (limit.low <= found.low and found.high <= limit.high):
        raise QuantityError(f"must be from {bound.replace('..', ' to ')}")
    return found


@cache
def _bound(text: str) -> Quantity:
    return read_quantity(text, *UNIT_EXAMPLES)


def read_conductor(text: str) -> tuple[float, str]:
    """Return a conductor's size and what it counts: (0.75, "mm2") or (20, "AWG").

    >>> read_conductor("AWG 20"), read_conductor("0,75 mm²")
    ((20.0, 'AWG'), (0.75, 'mm2'))
    """
    bare = text.strip()
    if "AWG" in bare.upper():
        gauge = bare.upper().replace("AWG", "").replace("#", "").strip()
        if not gauge.isdecimal() or not 0 <= int(gauge) <= 40:
            raise QuantityError('is no gauge from 0 to 40: write it like "20 AWG"')
        return float(gauge), "AWG"
    return read_within(bare, "0.01 mm2..1000 mm2").low, "mm2"


def _with_tolerance(middle: Quantity, less: str, more: str) -> Quantity:
    below, above = _share(less, middle), _share(more, middle)
    return Quantity(_rounded(middle.low - below), _rounded(middle.high + above), middle.unit)


def _share(text: str, of: Quantity) -> float:
    """Return a tolerance in the figure's base unit: a percentage of it, or a figure of its own."""
    if text.endswith("%"):
        share = _plain(text, ("%",)).low
        if not 0 <= share < 100:
            raise QuantityError("needs a tolerance of 0 % or more, and below 100 %")
        return abs(of.low) * share / 100
    share = _plain(text, (of.unit,)).low
    if share < 0:
        raise QuantityError("has a tolerance below zero")
    return share


def _rounded(value: float) -> float:
    return float(f"{value:.12g}")  # 24 - 2.4 is 21.6 to a person


def _plain(text: str, units: tuple[str, ...]) -> Quantity:
    number, unit = _split(text)
    for base in units:
        power = _POWERS[base].get(unit)
        if power is not None:
            value = _number(number, power)
        elif unit in _FACTORS.get(base, ()):
            value = _number(number, 0) * _FACTORS[base][unit]
        else:
            continue
        if value < 0 and base not in _NEGATIVE_TOO:
            raise QuantityError("is below zero")
        return Quantity(value, value, base)
    examples = " or ".join(f'"{UNIT_EXAMPLES.get(base, base)}"' for base in units)
    if not unit:
        raise QuantityError(f"has no unit: write it like {examples}")
    raise QuantityError(f"isn't a figure with a suitable unit: write it like {examples}")


def _split(text: str) -> tuple[str, str]:
    """Split "24 V" into its number and its unit, as written."""
    bare = text.strip()
    end = 0
    while end < len(bare) and (bare[end] in _NUMERALS or _groups_digits(bare, end)):
        end += 1
    unit = bare[end:].strip().replace(" ", "")
    return bare[:end].replace(" ", ""), unit.removesuffix("DC") if unit in ("VDC", "mADC") else unit


def _groups_digits(text: str, at: int) -> bool:
    """Tell whether the blank at `at` stands between groups of digits, as in "23 400 rpm"."""
    group = text[at + 1 : at + 4]
    after = text[at + 4 : at + 5]
    digits = text[at - 1 : at].isdigit() and len(group) == 3 and group.isdigit()
    return text[at] == " " and digits and not after.isdigit() and after != "/"


def _number(digits: str, power: int) -> float:
    """Return a decimal number times a power of ten, rounded once."""
    sign = "-" if digits.startswith("-") else ""
    whole, mark, part = digits[digits[:1] in ("-", "+") :].replace(",", ".").partition(".")
    if "," in digits and len(part) == 3 and whole != "0":
        raise QuantityError(f'has "{digits}", which may be one or a thousand: write it with a decimal point')
    if not (f"{whole}{part}".isascii() and f"{whole}{part}".isdigit()) or (mark and not part):
        raise QuantityError("isn't a figure that can be read")
    return float(f"{sign}{whole or 0}.{part or 0}e{power}")
