"""A figure of the installation with where it comes from, and the table of all that a mapping may give.

One that nobody gave says who to ask.
"""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final, NamedTuple

from doorsheet.circuit.reading_words import show
from doorsheet.network import Figure
from doorsheet.trade.language import tr, tr_later

__all__ = ["DEFAULTS", "ROWS", "Fact", "Origin", "Row", "or_usual"]


class Origin(StrEnum):
    """Where a figure is from."""

    GIVEN = "given"
    MEASURED = "measured"
    DEFAULT = "default"
    STANDARD = "standard"
    COMPUTED = "computed"
    UNKNOWN = "unknown"  # from `low` to `high` is anything that it can be


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure, in its base unit; `key` tells it from every other of the installation.

    Of an UNKNOWN one, `low` and `high` are the widest that such a thing can be, and `ask` says where
    to find it.
    """

    key: str
    name: str  # "voltage of the inputs' supply"
    low: float
    high: float
    unit: str  # V, A, ohm, W, m, %, rpm; "" for a share
    origin: Origin
    where: str = ""  # "line 9", or the default's or the standard's name
    path: tuple[str | int, ...] = ()  # where the mapping says it, or would
    ask: str = ""
    line: int | None = None  # of the mapping

    @property
    def is_known(self) -> bool:
        """Whether somebody or something gives it."""
        return self.origin is not Origin.UNKNOWN

    def or_default(self, low: float, high: float, where: str) -> "Fact":
        """Return itself where somebody or something gives it, else a default with its name."""
        return self if self.is_known else self.told(low, high, Origin.DEFAULT, where)

    def told(
        self, low: float, high: float, origin: Origin, where: str = "", by: "Fact | None" = None
    ) -> "Fact":
        """Return it as known, with where from; or told `by` another fact, which stands in the mapping."""
        known = self if by is None else replace(self, path=by.path, line=by.line)
        where = where if by is None else by.where
        return replace(known, low=low, high=high, origin=origin, where=where, ask="")

    @property
    def figure(self) -> Figure:
        """The same for the solver."""
        return Figure(self.key, self.low, self.high, self.is_known)

    @property
    def value(self) -> str:
        """The figure with its unit: "24 V"; "unknown" without one."""
        return show(self.low, self.high, self.unit) if self.is_known else "unknown"

    @property
    def said(self) -> str:
        """Where it is from: "default: ...", "given⟬, line 9⟭"; in brackets what is for the file alone."""
        if self.line is not None and self.origin in (Origin.GIVEN, Origin.MEASURED):
            return f"{self.origin}⟬, {self.where}⟭"
        return f"{self.origin}: {self.where}" if self.where else str(self.origin)

    def __str__(self) -> str:
        return f"{self.value} ({self.said})" if self.is_known else f"unknown: {self.ask}"


class Row(NamedTuple):
    """One figure that a mapping may give: its words, where it stands, its units, who to ask, its widest."""

    name: str
    place: str
    unit: str  # "V", or "V A" where it may be in either
    ask: str
    low: float
    high: float
    up_to: bool = False  # a single figure means anything from nothing to it

    @property
    def path(self) -> tuple[str, ...]:
        """The keys that lead to it."""
        return tuple(self.place.split("."))


_ANALOG_OUT: Final = "look it up in the controller's manual under analog output"
_OUT: Final = "look it up in the controller's manual under outputs"
_DIGITAL: Final = "look it up in the drive's manual under switch inputs"
_ANALOG_IN: Final = "look it up in the drive's manual under analog input"

ROWS: Final[dict[str, Row]] = {
    # ---- the drive's switch inputs ----
    "input voltage": Row(
        tr_later("voltage of the inputs' supply"), "drive.inputs.voltage", "V", _DIGITAL, 0, 60),
    "input current": Row("current of the closed input", "drive.inputs.current", "A",
        "look it up in the drive's manual, or measure it in the closed loop", 0.5e-3, 30e-3),
    "input resistance": Row("resistance of the switch input", "drive.inputs.resistance", "ohm",
        "look up the current of one closed input in the drive's manual, or measure it", 800, 15e3),
    "input limit": Row(
        "current at which the input limits itself", "drive.inputs.limit", "A", _DIGITAL, 1e-3, 30e-3),
    "input bears": Row("most volts over a switch input", "drive.inputs.bears", "V", _DIGITAL, 0, 60),
    "input on": Row("on threshold of the switch input", "drive.inputs.on", "V A", _DIGITAL, 0, 60),
    "input off": Row("off threshold of the switch input", "drive.inputs.off", "V A", _DIGITAL, 0, 60),
    # ---- the drive's analog side ----
    "reference voltage": Row(tr_later("reference supply"), "drive.reference.voltage", "V",
        "measure it: DC volts against the speed common", 0, 24),
    "reference current": Row("limit of the reference supply", "drive.reference.current", "A",
        "look it up in the drive's manual under reference supply", 0, 1),
    "analog resistance": Row(
        "resistance of the speed input", "drive.analog.resistance", "ohm", _ANALOG_IN, 1e3, 10e6),
    "analog limit": Row("limit of the speed input", "drive.analog.limit", "V A", _ANALOG_IN, 0, 60),
    # ---- speed ----
    "burden": Row("burden resistor", "speed.burden", "ohm", "none is given", 0, 1e6),
    "series": Row("series resistor", "speed.series", "ohm", "none is given", 0, 1e6),
    "pot": Row("potentiometer", "speed.potentiometer.value", "ohm",
        "read it on the potentiometer, or measure it between its ends, unconnected", 500, 1e6),
    "pot power": Row("power rating of the potentiometer", "speed.potentiometer.power", "W",
        "look it up in the potentiometer's data sheet", 0, 10),
    "top speed": Row("top speed", "speed.top-speed", "rpm", "from the motor's plate", 0, 1e6),
    "source resistance": Row(
        tr_later("resistance of the analog output"), "speed.source.resistance", "ohm", _ANALOG_OUT, 0, 1e3),
    "source load": Row(
        tr_later("load limit of the analog output"), "speed.source.load", "ohm", _ANALOG_OUT, 0, 1e6),
    "source compliance": Row(
        tr_later("compliance of the analog output"), "speed.source.compliance", "V", _ANALOG_OUT, 5, 30),
    "source needs": Row(
        tr_later("what the analog output needs over itself"), "speed.source.needs", "V", _ANALOG_OUT, 0, 12),
    "source top": Row("top of the analog output", "speed.source.top", "V A", _ANALOG_OUT, 0, 24),
    "pulse level": Row("level of the pulses", "speed.source.level", "V", _ANALOG_OUT, 0, 30),
    "pulse frequency": Row(
        "frequency of the pulses", "speed.source.frequency", "Hz", "read the controller's setting", 0.1, 1e7),
    "converter supply": Row(
        tr_later("supply of the converter"), "speed.source.converter.supply-voltage", "V",
        "measure it at the converter: DC volts against its common", 0, 60),
    "converter filter": Row("time constant of the converter's filter", "speed.source.converter.filter", "s",
        "look it up in the converter's data sheet", 0, 60),
    # ---- the controller ----
    "controller supply": Row("controller's supply", "controller.supply-voltage", "V",
        "measure it at the controller's outputs, DC against its 0 V", 0, 60),
    # ---- outputs: of one, else of all ----
    "output voltage": Row("voltage rating of the output", "voltage", "V", _OUT, 0, 1e3),
    "output current": Row("current rating of the output", "current", "A", _OUT, 0, 10),
    "output reverse": Row(tr_later("reverse rating of the output"), "reverse", "V", _OUT, 0.3, 60),
    "output minimum": Row("least current of the contact", "minimum", "A", _OUT, 0, 1),
    "output saturation": Row(tr_later("drop of the closed output"), "saturation", "V", _OUT, 0, 4, True),
    "output leakage": Row(tr_later("leakage of the open output"), "leakage", "A", _OUT, 0, 2e-3, True),
}  # fmt: skip
"""Widest ends are common practice, no source, where the line above them names none; they only say how far an
unknown is followed, and never stand on paper."""

DEFAULTS: Final = {
    # the most that public data sheets of common optocouplers promise at a few mA: at 2.4 mA, and at 1 mA
    "output saturation": (0.0, 0.4, tr_later("data sheets of common optocouplers")),
    # their dark current is at most 100 nA at 25 °C; taken to 60 °C by the doubling steps of their own limits
    # that is up to 3.7 µA (computed), so 10 µA is above all of them
    "output leakage": (0.0, 10e-6, tr_later("data sheets of common optocouplers, taken to 60 °C")),
    # the least of five of them: 5, 6 and 7 V
    "output reverse": (5.0, 5.0, tr_later("the least of public data sheets of common optocouplers")),
    # what 600 ohm take at 20 mA, or more (read in a handbook's table of the standard)
    "source compliance": (
        12.0,
        30.0,
        tr_later("a current output drives 600 ohm (IEC 61131-2, by a handbook)"),
    ),
    "source needs": (0.0, 12.0, tr_later("common outputs that are fed need up to 12 V")),  # common practice
    "source load": (1e3, 1e3, tr_later("a voltage output drives 1 kohm (IEC 61131-2, by a handbook)")),
    "source resistance": (0.0, 0.0, tr_later("an analog output that holds its voltage under load")),
}
"""What a figure is where nobody gives it, V, A or ohm from least to most, and the default's name."""


def or_usual(given: Fact, what: str) -> Fact:
    """Return a figure of the table, or its default where nobody gives it."""
    low, high, where = DEFAULTS[what]
    return given.or_default(low, high, tr(where))
