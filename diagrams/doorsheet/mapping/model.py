"""What a person writes: the mapping, checked field by field.

This room holds no electrical reasoning: whether what is written can work is
asked in `doorsheet.circuit`.  What a user may leave out is ``None`` or empty
here, and becomes a default with a name, or a blank, further on.

Every cold run pays for building this model, so: one build for all tables
(`defer_build`; defaults by `model_construct`, since an instance made in the
usual way would build its class there and then), short forms by one validator
for each class rather than one for each use, and annotations that are objects,
not strings to compile (no ``from __future__ import annotations``).
"""

import datetime
from collections.abc import Mapping as AbstractMapping
from typing import Annotated, ClassVar, Final, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    ModelWrapValidatorHandler,
    PrivateAttr,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticCustomError
from pydantic_core.core_schema import str_schema

__all__ = [
    "CONTACT_NAMES",
    "OUTPUT_KEYS",
    "READING_LIMIT_V",
    "SWITCHED_NAMES",
    "AnalogSource",
    "Controller",
    "ControllerInput",
    "Drive",
    "DriveContact",
    "Link",
    "Mapping",
    "Output",
    "Potentiometer",
    "Screen",
    "Selector",
    "SheetFields",
    "SignalWires",
    "SpeedControl",
    "SpeedWires",
    "Switch",
    "SwitchedControl",
    "SwitchedWires",
    "WireSpec",
]

SWITCHED_NAMES: Final = (
    "run-forward",
    "run-reverse",
    "enable",
    "fault-reset",
    "jog",
    "preset-speed-1",
    "preset-speed-2",
    "preset-speed-3",
)
"""Controls that close an input of the drive, by the name of their table."""

CONTACT_NAMES: Final = ("fault", "running")
"""Contacts of the drive that report back to the controller, by the name of their table."""

OUTPUT_KEYS: Final[AbstractMapping[str, tuple[str, ...]]] = {
    "isolated": ("plus", "minus"),
    "contact": ("terminals",),
    "open-collector": ("signal", "common", "joins"),
    "logic-level": ("signal", "common"),
}
"""Which keys, besides `kind`, an output of each kind can have."""

READING_LIMIT_V: Final = 1000.0
"""A meter reading beyond this, either sign, is a slip of the pen."""


def _kebab(name: str) -> str:
    return name.replace("_", "-")


class _Text:
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


Terminal = Annotated[str, _Text(20)]
"""A terminal's label exactly as it is printed beside the terminal."""

Name = Annotated[str, _Text(60)]
"""What a machine, a device or a part is called."""

Line = Annotated[str, _Text(300, 0)]
"""One line of free text."""

Colour = Annotated[str, _Text(40)]
"""A wire's colour: a name ("white", "white/brown") or letters of IEC 60757 ("WH", "WHBN")."""

WireNumber = Annotated[str, _Text(8)]
"""The number on a wire's ferrules."""

Volts = Annotated[float | Literal["unknown"], BeforeValidator(_read_volts)]
"""A meter reading; "unknown" says that nobody has measured it yet."""

Date = Annotated[datetime.date, Field(strict=True), BeforeValidator(_read_date)]
"""A day of the calendar."""


class _Entry(BaseModel):
    """A table of the mapping: unknown keys are refused, values never change after reading."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        alias_generator=_kebab,
        populate_by_name=True,
        allow_inf_nan=False,
        defer_build=True,
    )


class _ShortEntry(_Entry):
    """A table for which a plain text may stand: the value of its key `_short_key`."""

    _short_key: ClassVar[str]

    @model_validator(mode="before")
    @classmethod
    def _widen(cls, value: object) -> object:
        return {cls._short_key: value} if isinstance(value, str) else value


class SheetFields(_Entry):
    """Fields of the title block (after ISO 7200); what is left out stays a blank to write on."""

    drawn_by: Name | None = None
    approved_by: Name | None = None
    owner: Name | None = None
    site: Name | None = None
    number: Name | None = None
    date: Date | None = None
    revision: Annotated[str, _Text(8, 0)] | None = None
    notes: tuple[Line, ...] = ()


class Link(_Entry):
    """A jumper between two terminals of the drive's strip."""

    between: tuple[Terminal, Terminal]
    note: Line | None = None


class Selector(_Entry):
    """A slide switch or plug-on jumper on the drive's board, and how it is set."""

    name: Name
    set: Name


class Drive(_Entry):
    """The variable-frequency drive."""

    name: Name = "Drive"
    discharge: Name | None = None
    manual: Name | None = None
    serial: Name | None = None
    links: tuple[Link, ...] = ()
    selectors: tuple[Selector, ...] = ()


class Controller(_Entry):
    """The machine controller."""

    name: Name = "Controller"


class WireSpec(_ShortEntry):
    """What is known of one wire before it is fitted."""

    _short_key: ClassVar[str] = "colour"

    colour: Colour | None = None
    number: WireNumber | None = None


class SwitchedWires(_Entry):
    """The wires of a switched control; the feed's wire goes to the bench switch only."""

    input: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()
    feed: WireSpec = WireSpec.model_construct()


class SpeedWires(_Entry):
    """The wires of the speed control; the supply's wire goes to the potentiometer only."""

    signal: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()
    supply: WireSpec = WireSpec.model_construct()


class SignalWires(_Entry):
    """The two wires of a contact that reports back."""

    signal: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()


class Screen(_ShortEntry):
    """A screen round the wires of one control, and the end at which it is earthed."""

    _short_key: ClassVar[str] = "earthed"

    earthed: Literal["drive", "controller", "both", "none"]
    terminal: Terminal | None = None


class Output(_Entry):
    """What closes a drive input in the final stage.

    ``isolated``: optocoupler transistor, needs `plus` and `minus`.
    ``contact``: relay contact without polarity, `terminals` names its two sides.
    ``open-collector``: transistor that joins `signal` to the controller's own
    0 V (`joins` = "minus") or to its own plus supply (`joins` = "plus");
    `common` is the controller's 0 V.
    ``logic-level``: a few volts, a few milliamperes, `signal` and `common`.
    """

    kind: Literal["isolated", "contact", "open-collector", "logic-level"] = "isolated"
    plus: Terminal | None = None
    minus: Terminal | None = None
    terminals: tuple[Terminal, Terminal] | None = None
    signal: Terminal | None = None
    common: Terminal | None = None
    joins: Literal["minus", "plus"] = "minus"

    @model_validator(mode="after")
    def _keys_fit_kind(self) -> Self:
        """Refuse keys of another kind; reading a file says the same with lines and advice."""
        given = {key for key in self.model_fields_set if getattr(self, key) is not None} - {"kind"}
        if misfits := given.difference(OUTPUT_KEYS[self.kind]):
            raise ValueError(f"{', '.join(sorted(misfits))} can't belong to an output of kind {self.kind}")
        if self.kind == "isolated" and not given:
            raise ValueError("an isolated output needs plus, minus or both")
        return self


class Switch(_ShortEntry):
    """A hand-operated switch: the bench part, or the final device where no output is named."""

    _short_key: ClassVar[str] = "name"

    name: Annotated[str, _Text(12)]
    terminals: tuple[Terminal, Terminal] = ("1", "2")


class SwitchedControl(_Entry):
    """A control that closes one switch input of the drive."""

    input: Terminal
    common: Terminal | None = None
    feed: Terminal | None = None  # where the bench switch takes plus from, for an input that wants it fed in
    output: Output | None = None
    switch: Switch | None = None
    wires: SwitchedWires = SwitchedWires.model_construct()
    meter: Volts | None = None
    cable: Name | None = None
    screen: Screen | None = None

    @property
    def reading_v(self) -> float | None:
        """The meter's reading, V; None when it is left out or "unknown"."""
        return None if self.meter == "unknown" else self.meter


class AnalogSource(_Entry):
    """The controller's analog output for the speed."""

    signal: Terminal
    common: Terminal | None = None
    range: Literal["0-10 V", "0-5 V", "4-20 mA", "0-20 mA"] = "0-10 V"


class Potentiometer(_ShortEntry):
    """The potentiometer: the bench part, or the final device where no source is named."""

    _short_key: ClassVar[str] = "value"

    name: Annotated[str, _Text(12)] = "RV1"
    value: Annotated[str, _Text(20)] | None = None
    terminals: tuple[Terminal, Terminal, Terminal] = ("1", "2", "3")


class SpeedControl(_Entry):
    """The speed reference: a signal, its common, and the supply of the bench potentiometer."""

    signal: Terminal
    common: Terminal | None = None
    supply: Terminal | None = None
    range: Literal["0-10 V", "0-5 V", "2-10 V", "4-20 mA", "0-20 mA"] | None = None
    source: AnalogSource | None = None
    potentiometer: Potentiometer | None = None
    wires: SpeedWires = SpeedWires.model_construct()
    cable: Name | None = None
    screen: Screen | None = None


class ControllerInput(_Entry):
    """The controller's input that a contact of the drive closes."""

    signal: Terminal
    common: Terminal | None = None


class DriveContact(_Entry):
    """A relay contact of the drive that reports back to the controller."""

    terminals: tuple[Terminal, Terminal]
    normally: Literal["open", "closed"] = "open"
    input: ControllerInput
    wires: SignalWires = SignalWires.model_construct()
    cable: Name | None = None
    screen: Screen | None = None


class Mapping(_Entry):
    """One machine: a drive, what commands it, and the wires between them."""

    machine: Name
    sheet: SheetFields = SheetFields.model_construct()
    drive: Drive = Drive.model_construct()
    controller: Controller = Controller.model_construct()
    run_forward: SwitchedControl | None = None
    run_reverse: SwitchedControl | None = None
    enable: SwitchedControl | None = None
    fault_reset: SwitchedControl | None = None
    jog: SwitchedControl | None = None
    preset_speed_1: SwitchedControl | None = None
    preset_speed_2: SwitchedControl | None = None
    preset_speed_3: SwitchedControl | None = None
    speed: SpeedControl | None = None
    fault: DriveContact | None = None
    running: DriveContact | None = None

    _order: tuple[str, ...] = PrivateAttr(default=())

    @model_validator(mode="wrap")
    @classmethod
    def _keep_file_order(cls, data: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        mapping = handler(data)
        if isinstance(data, AbstractMapping):
            controls = {*SWITCHED_NAMES, *CONTACT_NAMES, "speed"}
            mapping._order = tuple(key for raw in data if (key := _kebab(str(raw))) in controls)
        return mapping

    @property
    def control_names(self) -> tuple[str, ...]:
        """Names of the controls present, in the order of the file."""
        return self._order

    def control(self, name: str) -> SwitchedControl | SpeedControl | DriveContact:
        """Return the control whose table is called `name`; KeyError when the file has none."""
        found = getattr(self, name.replace("-", "_")) if name in self._order else None
        if found is None:
            raise KeyError(name)
        assert isinstance(found, SwitchedControl | SpeedControl | DriveContact)
        return found
