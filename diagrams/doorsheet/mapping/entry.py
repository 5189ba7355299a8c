"""What every table of the mapping is made of: its base class, and the kinds of value a key can take.

Room: mapping.  The tables themselves are in `doorsheet.mapping.model`,
`doorsheet.mapping.controls` and `doorsheet.mapping.ratings`.
"""

import datetime
from typing import Annotated, ClassVar, Final, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, model_validator
from pydantic_core import CoreSchema, PydanticCustomError
from pydantic_core.core_schema import no_info_after_validator_function, str_schema

__all__ = [
    "READING_LIMIT_V",
    "Amperes",
    "Celsius",
    "Colour",
    "Conductor",
    "Date",
    "Entry",
    "Hertz",
    "Line",
    "Metres",
    "Name",
    "Ohms",
    "OhmsPerKm",
    "Percent",
    "Rpm",
    "Seconds",
    "ShortEntry",
    "Terminal",
    "Text",
    "Voltage",
    "VoltageOrCurrent",
    "Volts",
    "Watts",
    "WireNumber",
    "kebab",
]

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
        self.longest = longest
        self.shortest = shortest

    def __get_pydantic_core_schema__(self, source: type[str], handler: GetCoreSchemaHandler) -> CoreSchema:
        return str_schema(strip_whitespace=True, min_length=self.shortest or None, max_length=self.longest)


class _Figure:
    """A figure with its unit, kept as the text that was written; facts of the circuit read it again."""

    __slots__ = ("units",)

    def __init__(self, *units: str) -> None:
        self.units = units

    def __get_pydantic_core_schema__(self, source: type[str], handler: GetCoreSchemaHandler) -> CoreSchema:
        return no_info_after_validator_function(
            self._check, str_schema(strip_whitespace=True, min_length=1, max_length=40)
        )

    def _check(self, text: str) -> str:
        from doorsheet.mapping.quantities import QuantityError, read_conductor, read_quantity

        try:
            if self.units == ("conductor",):
                read_conductor(text)
            else:
                read_quantity(text, *self.units)
        except QuantityError as error:
            raise PydanticCustomError("figure", "{said}", {"said": str(error)}) from None
        return text


def _read_volts(value: object) -> object:
    """Take a number, or a number written as text with a decimal comma or its unit, as volts."""
    if value == "unknown" or value is None:
        return value
    number: float | None = None
    if isinstance(value, str):
        number = _number_in(value)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value)
    if number is None or number != number:  # NaN is the number that isn't itself
        raise PydanticCustomError("volts", 'a number of volts or "unknown"')
    if abs(number) > READING_LIMIT_V:
        raise PydanticCustomError("volts_range", "from -1000 to 1000 V")
    return number


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
        try:
            return datetime.date.fromisoformat(value.strip())
        except ValueError:
            return value
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

Voltage = Annotated[str, _Figure("V")]
"""A voltage with its unit, "24 V", "20.4..28.8 V", "24 V +-10 %"; so for the next."""

Amperes = Annotated[str, _Figure("A")]
Ohms = Annotated[str, _Figure("ohm")]
VoltageOrCurrent = Annotated[str, _Figure("V", "A")]
OhmsPerKm = Annotated[str, _Figure("ohm/km")]
Metres = Annotated[str, _Figure("m")]
Watts = Annotated[str, _Figure("W")]
Percent = Annotated[str, _Figure("%")]
Celsius = Annotated[str, _Figure("°C")]
Rpm = Annotated[str, _Figure("rpm")]
Hertz = Annotated[str, _Figure("Hz")]
Seconds = Annotated[str, _Figure("s")]
Conductor = Annotated[str, _Figure("conductor")]

Date = Annotated[datetime.date, Field(strict=True), BeforeValidator(_read_date)]
"""A day of the calendar."""


class Entry(BaseModel):
    """A table of the mapping: unknown keys are refused, values never change after reading."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        alias_generator=kebab,
        populate_by_name=True,
        allow_inf_nan=False,
        defer_build=True,
    )


class ShortEntry(Entry):
    """A table for which a plain text may stand: the value of its key `_short_key`."""

    _short_key: ClassVar[str]

    @model_validator(mode="before")
    @classmethod
    def _widen(cls, value: object) -> object:
        return {cls._short_key: value} if isinstance(value, str) else value
