"""Readings in words, in one place: cells of the drive's frame, a line of text, a figure with its unit."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from doorsheet.circuit.parts import Expected, Reading

__all__ = [
    "BLANK",
    "STATE_WORDS",
    "cell",
    "default_notes",
    "figure_text",
    "listed",
    "phrase",
    "range_text",
    "volts",
]

BLANK: Final = "______"
"""A line to write on."""

STATE_WORDS: Final[dict[str, str]] = {
    "open": "open {}",
    "closed": "closed {}",
    "low": "{} low end",
    "mid": "{} middle",
    "high": "{} high end",
    "rest": "{} stopped",
    "half": "{} half speed",
    "full": "{} full speed",
    "reverse": "{} full reverse",
    "supply": "{}",
}
"""Each state of a reading as a line of text says it; "current" stands in no such line."""

_TOLD: Final = frozenset(STATE_WORDS) - {"mid", "half"}


def listed(words: tuple[str, ...] | list[str]) -> str:
    """Join words as a sentence does.

    >>> listed(["DI1", "DI2", "DI3"])
    'DI1, DI2 and DI3'
    """
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def volts(value: float) -> str:
    """Print a reading as a meter shows it: 24.3 V, −12.2 V."""
    return f"{value:g} V".replace("-", "−")


def cell(value: Expected, places: int = 1) -> str:
    """Return a figure without its unit, for a column: "24.3", "0–0.4*", "±24"; "" for a blank.

    Milliamperes for a current.  A measured figure stands as it was written; a `*` marks a default.
    """
    if value.low is None or value.high is None:
        return ""
    scale = 1000 if value.unit == "A" else 1
    low, high = value.low * scale, value.high * scale
    if value.origin == "measured":
        return (f"{low:g}" if low == high else f"{low:g}..{high:g}").replace("-", "−").replace("..", "–")
    text = range_text(low, high, places)
    either = "±" if value.either_sign and text != "0" else ""
    return f"{either}{text}{'*' if value.origin == 'default' else ''}"


def figure_text(value: Expected, places: int = 1) -> str:
    """Return a figure with its unit: "24.3 V", "0–0.4 V*", "4 mA"; a line to write on for a blank.

    >>> figure_text(Expected("closed", 0.0, 0.4, "V", "default"))
    '0–0.4 V*'
    """
    unit = "mA" if value.unit == "A" else value.unit
    text = cell(value, places)
    if not text:
        return f"{BLANK} {unit}"
    return f"{text.removesuffix('*')} {unit}{'*' if text.endswith('*') else ''}"


def phrase(reading: Reading, states: frozenset[str] = _TOLD) -> str:
    """Return a reading in one line: "open 24.3 V, closed 0–0.4 V*"; "" where the black lead stands."""
    if reading.contact:
        return f"contact {reading.contact} at rest"
    told = [value for value in reading.values if value.state in states]
    return ", ".join(STATE_WORDS[value.state].format(figure_text(value)) for value in told)


def default_notes(readings: Iterable[Reading]) -> tuple[str, ...]:
    """Return the defaults that readings lean on, each once: what a `*` stands for."""
    told = (words for reading in readings for value in reading.values for words in value.defaults)
    return tuple(dict.fromkeys(told))


def range_text(low: float, high: float, places: int = 1) -> str:
    """Print a range as a meter of so many places shows it: "0–0.4", "21.6–26.4", "0 to −0.4".

    Ends no further apart than the meter's last digit are one figure, their middle.
    """
    first, last = _rounded(low, places), _rounded(high, places)
    if first == last or high - low <= 10.0**-places:
        return _rounded((low + high) / 2, places)
    if high <= 0:
        first, last = last, first  # the end nearest to nothing first
    return f"{first} to {last}" if "−" in first + last else f"{first}–{last}"


def _rounded(value: float, places: int) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".") if places else f"{value:.0f}"
    return "0" if text in ("-0", "") else text.replace("-", "−")
