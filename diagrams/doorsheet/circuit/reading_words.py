"""Figures and readings in words, in one place: with a unit, as a line of text, in cells of a frame."""

from collections.abc import Iterable
from typing import Final

from doorsheet.circuit.parts import Expected, Part, Reading
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.meter import Taken
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "BLANK", "STATES_TAKEN", "STATE_WORDS", "at_rest", "cell", "default_notes", "figure_text", "listed",
    "normally", "phrase", "range_text", "range_words", "show", "show_past", "show_value", "state_taken",
    "volts",
]  # fmt: skip

_SCALES = {
    "V": (("V", 1.0), ("mV", 1e-3)),
    "A": (("A", 1.0), ("mA", 1e-3), ("µA", 1e-6)),
    "ohm": (("Mohm", 1e6), ("kohm", 1e3), ("ohm", 1.0)),
    "W": (("W", 1.0), ("mW", 1e-3)),
}
_STEP_DOWN = {"V": 0.1, "A": 1.0, "ohm": 1.0, "W": 0.1}  # below this many, the next smaller unit is used


def _scale(size: float, unit: str) -> tuple[str, float]:
    scales = _SCALES.get(unit, ((unit, 1.0),))
    for name, factor in scales:
        if size >= factor * _STEP_DOWN[unit] if unit in _STEP_DOWN else True:
            return name, factor
    return scales[-1] if size else scales[0] if unit in ("V", "W") else scales[-1]


def show_value(value: float, unit: str, digits: int = 4) -> str:
    """Print one figure with a unit of handy size: "24.3 V", "4.7 kohm", "−0.4 V".

    >>> show_value(0.0050213, "A"), show_value(4700, "ohm"), show_value(-12.2, "V")
    ('5.021 mA', '4.7 kohm', '−12.2 V')
    """
    return show(value, value, unit, digits)


def show(low: float, high: float, unit: str, digits: int = 4) -> str:
    """Print a range with a unit of handy size: "20.4..28.8 V", or one figure when both ends print alike.

    >>> show(20.4, 28.8, "V"), show(0, 0.0004, "A")
    ('20.4..28.8 V', '0..400 µA')
    """
    name, factor = _scale(max(abs(low), abs(high)), unit)
    first, last = (_digits(end / factor, digits) for end in (low, high))
    return f"{first} {name}" if first == last else f"{first}..{last} {name}"


def show_past(value: float, limit: float, unit: str, digits: int = 4) -> str:
    """Print a figure that is past a limit, with as many digits more as show that it is.

    >>> show_past(12.21, 12, "V", 2), show_past(14.6, 12, "V", 2)
    ('12.2 V', '15 V')
    """
    shown = (show_value(value, unit, more) for more in range(digits, 9) if float(f"{value:.{more}g}") > limit)
    return next(shown, show_value(value, unit, digits))


def _digits(value: float, digits: int) -> str:
    rounded = float(f"{value:.{digits}g}")
    text = f"{rounded:.12f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


BLANK: Final = "______"  # a line to write on
_AT_REST: Final = {
    "open": tr_later("open at rest"),
    "closed": tr_later("closed at rest"),
    "unknown": tr_later("at rest {blank}"),
}
_NORMALLY: Final = {
    "open": tr_later("normally open"),
    "closed": tr_later("normally closed"),
    None: tr_later("normally {blank}"),
}


def at_rest(contact: str) -> str:
    """Return how a contact of the drive is without power: "open at rest"; a line to write on if unknown."""
    return tr(_AT_REST[contact], blank=BLANK)


def normally(part: Part) -> str:
    """Return how a contact on the machine is while nothing acts on it: "normally open", or a line."""
    return tr(_NORMALLY[part.normally], blank=BLANK)


STATE_WORDS: Final[dict[str, str]] = {
    "open": tr_later("open {figure}"),
    "closed": tr_later("closed {figure}"),
    "low": tr_later("{figure} low end"),
    "mid": tr_later("{figure} middle"),
    "high": tr_later("{figure} high end"),
    "rest": tr_later("{figure} stopped"),
    "half": tr_later("{figure} half speed"),
    "full": tr_later("{figure} full speed"),
    "reverse": tr_later("{figure} full reverse"),
    "supply": "{figure}",
}
"""Each state of a reading as a line of text says it; "current" stands in no such line."""

_BETWEEN: Final = frozenset({"mid", "half"})  # no sheet shows them
_TOLD: Final = frozenset(STATE_WORDS) - _BETWEEN


def listed(words: tuple[str, ...] | list[str]) -> str:
    """Join words as a sentence does.

    >>> listed(["DI1", "DI2", "DI3"])
    'DI1, DI2 and DI3'
    """
    if len(words) < 2:
        return "".join(words)
    return tr("{others} and {last}", others=", ".join(words[:-1]), last=words[-1])


def volts(value: float) -> str:
    """Print a reading as a meter shows it: 24.3 V, −12.2 V."""
    return f"{value:g} V".replace("-", "−")


def cell(value: Expected, places: int = 1) -> str:
    """Return a figure without its unit, for a column: "24.3", "0–0.4*", "±24"; "" for a blank.

    Milliamperes for a current.  A measured figure stands as it was written; a `*` marks a default.
    """
    value = value.shown
    text = _bare(value, places)
    return f"{text}{'*' * (value.origin == 'default')}" if text else ""


def _bare(value: Expected, places: int) -> str:
    if value.low is None or value.high is None:
        return ""
    scale = 1000 if value.unit == "A" else 1
    low, high = value.low * scale, value.high * scale
    if value.origin == "measured":
        return (f"{low:g}" if low == high else f"{low:g}..{high:g}").replace("-", "−").replace("..", "–")
    text = range_text(low, high, places)
    either = "±" if value.either_sign and text != "0" else ""
    return f"{either}{text}"


def figure_text(value: Expected, places: int = 1) -> str:
    """Return a figure with its unit: "24.3 V", "0–0.4 V*", "4 mA"; a line to write on for a blank.

    >>> figure_text(Expected("closed", 0.0, 0.4, "V", "default"))
    '0–0.4 V*'
    """
    unit, value = "mA" if value.unit == "A" else value.unit, value.shown
    text = _bare(value, places)
    return f"{text} {unit}{'*' * (value.origin == 'default')}" if text else f"{BLANK} {unit}"


def phrase(reading: Reading) -> str:
    """Return a reading in one line: "open 24.3 V, closed 0–0.4 V*"; "" where the black lead stands."""
    if reading.contact:
        return tr("contact {at_rest}", at_rest=at_rest(reading.contact))
    return ", ".join(_said(value) for value in reading.values if value.state in _TOLD)


def _said(value: Expected) -> str:
    figure = figure_text(value)
    return figure if value.state == "supply" else tr(STATE_WORDS[value.state], figure=figure)


STATES_TAKEN: Final = (
    *(tr_later("open"), tr_later("closed"), tr_later("plugged"), tr_later("unplugged")),
    *(tr_later("running"), tr_later("standing")),
)
"""Every state of a reading that was taken, as `state_taken` says it."""


def range_words(source: AnalogSource) -> str:
    """Return the range of a speed output: "0-10 V", "0-10 V (default)"."""
    return tr("{figure} (default)", figure=source.range) if source.range_is_default else str(source.range)


def state_taken(one: Taken) -> str:
    """Return the state in which a reading was taken, with the command where one was given."""
    state = tr(one.state)
    if one.command is None:
        return state
    return tr("{state}, at {percent:g} %", state=state, percent=one.command * 100)


def default_notes(readings: Iterable[Reading]) -> tuple[str, ...]:
    """Return the defaults that a sheet's readings lean on, each once: what a `*` stands for."""
    shown = (value for reading in readings for value in reading.values if value.state not in _BETWEEN)
    told = (words for value in shown for words in value.shown.defaults)
    return tuple(dict.fromkeys(told))


def range_text(low: float, high: float, places: int = 1, signed: str = "") -> str:
    """Print a range as a meter of so many places shows it: "0–0.4", "21.6–26.4", "0 to −0.4".

    `signed` stands between ends with a sign, where "to" has no room.
    Ends no further apart than the meter's last digit are one figure, their middle.
    """
    first, last = _rounded(low, places), _rounded(high, places)
    if first == last or high - low <= 10.0**-places:
        return _rounded((low + high) / 2, places)
    if high <= 0:
        first, last = last, first  # the end nearest to nothing first
    if "−" not in first + last:
        return f"{first}–{last}"
    return tr("{first} to {last}", first=first, last=last) if not signed else f"{first}{signed}{last}"


def _rounded(value: float, places: int) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".") if places else f"{value:.0f}"
    return "0" if text in ("-0", "") else text.replace("-", "−")
