"""What every table of the mapping is made of: its base class, and the kinds of value a key can take.

The tables themselves are in `doorsheet.mapping.model`,
`doorsheet.mapping.controls` and `doorsheet.mapping.other_tables`.
"""

import datetime
from collections.abc import Callable
from contextlib import suppress
from typing import Annotated, ClassVar, Final, Literal, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, model_validator
from pydantic_core import CoreSchema, PydanticCustomError
from pydantic_core.core_schema import no_info_after_validator_function, str_schema

from doorsheet.mapping.quantities import QuantityError, read_conductor, read_within

__all__ = [
    "READING_LIMIT_V", "Amperes", "Celsius", "Colour", "Conductor", "Date", "Discharge", "Drop", "Entry",
    "Figure", "Filter", "Hertz", "Level", "Line", "LowHertz", "LowVoltage", "Metres", "Name", "Ohms",
    "OhmsPerKm", "Percent", "PulseHertz", "Rpm", "Seconds", "ShortEntry", "SmallAmperes", "SmallOhms",
    "Terminal", "Text", "Voltage", "VoltageOrCurrent", "Volts", "Watts", "WireNumber", "YesNo", "kebab",
    "volts_in",
]  # fmt: skip

READING_LIMIT_V: Final = 1000.0
"""A meter reading beyond this, either sign, is a slip of the pen."""


def kebab(name: str) -> str:
    """Return a name of the model as its key is written."""
    return name.replace("_", "-")


class Text:
    """How long a text may be; blanks round it are taken away.

    As `pydantic.StringConstraints` would say it, but handing over the finished
    schema, which is quicker to build; the model has some sixty texts.
    """

    __slots__ = ("longest", "shortest")

    def __init__(self, longest: int, shortest: int = 1) -> None:
        self.longest, self.shortest = longest, shortest

    def __get_pydantic_core_schema__(self, source: type[str], handler: GetCoreSchemaHandler) -> CoreSchema:
        return str_schema(strip_whitespace=True, min_length=self.shortest or None, max_length=self.longest)


class Figure:
    """A figure with its unit, kept as the text that was written; facts of the circuit read it again.

    `bounds` are ranges, one for each unit that it can have: from the least to the most that is taken.
    `read` is handed the text and these, and raises QuantityError where the text isn't such a figure.
    """

    __slots__ = ("bounds", "read")

    def __init__(self, *bounds: str, read: Callable[..., object] = read_within) -> None:
        self.bounds, self.read = bounds, read

    def __get_pydantic_core_schema__(self, source: type[str], handler: GetCoreSchemaHandler) -> CoreSchema:
        text = str_schema(strip_whitespace=True, min_length=1, max_length=40)
        return no_info_after_validator_function(self._check, text)

    def _check(self, text: str) -> str:
        try:
            self.read(text, *self.bounds)
        except QuantityError as error:
            raise PydanticCustomError("figure", "{said}", {"said": str(error)}) from None
        return text


def _read_wait(text: str, bound: str) -> None:
    """Read a time that a drive has printed on it: one figure, never a range; or "unknown"."""
    if text == "unknown":
        return
    try:
        reason = "" if read_within(text, bound).is_point else "is more than one time"
    except QuantityError as error:
        reason = str(error).partition(": ")[0]
    if reason:
        advice = "if it isn't there, leave it out for a blank"
        raise QuantityError(f'{reason}: copy it from the drive, like "10 min"; {advice}')


def _read_volts(value: object) -> object:
    """Take a number, or a number written as text with a decimal comma or its unit, as volts."""
    if value == "unknown" or value is None:
        return value
    number = volts_in(value)
    if number is None or number != number:  # NaN is the number that isn't itself
        raise PydanticCustomError("volts", 'a number of volts or "unknown"')
    if abs(number) > READING_LIMIT_V:  # before a float is made of it: an integer may be too long for one
        raise PydanticCustomError("volts_range", "from -1000 to 1000 V")
    return float(number)


def volts_in(value: object) -> float | None:
    """Return a number, or the number in a text such as "24,3 V", as volts; None for anything else."""
    if isinstance(value, str):
        return _number_in(value)
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def _number_in(text: str) -> float | None:
    """Return the number in "24.3", "24,3", "-24.3 V", "24.3 V DC"; None when it isn't plainly one."""
    bare = text.strip().removesuffix("DC").rstrip().removesuffix("V").rstrip()
    bare = bare.replace("\N{MINUS SIGN}", "-")
    digits = bare.removeprefix("-") if bare.startswith("-") else bare.removeprefix("+")
    whole, _, part = digits.replace(",", ".").partition(".")
    if "," in digits and len(part) == 3 and whole != "0":
        return None  # "1,000" may be one volt or a thousand
    if not (f"{whole}{part}".isascii() and f"{whole}{part}".isdigit()):
        return None
    number = float(f"{whole or 0}.{part or 0}")
    return -number if bare.startswith("-") else number


def _read_date(value: object) -> object:
    """Take a date written as text the way TOML writes dates; never a number of seconds."""
    if isinstance(value, str) and len(value.strip()) == len("2026-05-01"):
        with suppress(ValueError):
            return datetime.date.fromisoformat(value.strip())
    return value


Terminal = Annotated[str, Text(20)]
"""A terminal's label exactly as it is printed beside the terminal."""

Name = Annotated[str, Text(60)]
"""What a machine, a device or a part is called."""

Line = Annotated[str, Text(300, 0)]
"""One line of free text."""

Colour = Annotated[str, Text(40)]
"""A wire's colour: a name ("white", "white/brown") or letters of IEC 60757 ("WH", "WHBN")."""

WireNumber = Annotated[str, Text(8)]
"""The number on a wire's ferrules."""

Volts = Annotated[float | Literal["unknown"], BeforeValidator(_read_volts)]
"""A meter reading; "unknown" says that nobody has measured it yet."""

Voltage = Annotated[str, Figure("1 mV..1000 V")]
"""A voltage with its unit, "24 V", "20.4..28.8 V", "24 V +-10 %"; so for the next."""

LowVoltage = Annotated[str, Figure("1 mV..60 V")]  # no more is on any control terminal
Drop = Annotated[str, Figure("0 V..100 V")]
Amperes = Annotated[str, Figure("1 nA..100 A")]
SmallAmperes = Annotated[str, Figure("0 A..10 A")]
Ohms = Annotated[str, Figure("0.001 ohm..1000 Mohm")]
SmallOhms = Annotated[str, Figure("0 ohm..1 Mohm")]
Level = Annotated[str, Figure("-1000 V..1000 V", "0 A..10 A")]
VoltageOrCurrent = Annotated[str, Figure("1 mV..1000 V", "1 nA..10 A")]
OhmsPerKm = Annotated[str, Figure("0.001 ohm/km..100000 ohm/km")]
Metres = Annotated[str, Figure("1 mm..10000 m")]
Watts = Annotated[str, Figure("1 mW..1000 W")]
Percent = Annotated[str, Figure("0 %..49 %")]
Celsius = Annotated[str, Figure("-50 C..200 C")]
Rpm = Annotated[str, Figure("1 rpm..1000000 rpm")]
Hertz = Annotated[str, Figure("0.1 Hz..10 kHz")]
LowHertz = Annotated[str, Figure("0 Hz..10 kHz")]
PulseHertz = Annotated[str, Figure("0.1 Hz..10000 kHz")]
Seconds = Annotated[str, Figure("0 s..24 h")]
Filter = Annotated[str, Figure("0 s..60 s")]
Discharge = Annotated[str, Figure("1 s..24 h", read=_read_wait)]
Conductor = Annotated[str, Figure(read=read_conductor)]

YesNo: TypeAlias = Literal["yes", "no", "unknown"]

Date = Annotated[datetime.date, Field(strict=True), BeforeValidator(_read_date)]
"""A day of the calendar."""


class Entry(BaseModel):
    """A table of the mapping: unknown keys are refused, values never change after reading."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, alias_generator=kebab, populate_by_name=True, allow_inf_nan=False,
        defer_build=True,
    )  # fmt: skip


class ShortEntry(Entry):
    """A table for which a plain text may stand: the value of its key `short_key`."""

    short_key: ClassVar[str]

    @model_validator(mode="before")
    @classmethod
    def _widen(cls, value: object) -> object:
        return {cls.short_key: value} if isinstance(value, str) else value
