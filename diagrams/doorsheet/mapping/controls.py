"""What commands a drive and what reports back, as a person writes it: wires, outputs, controls.

Room: mapping.  `doorsheet.mapping.model` says how the model is built, and why so.
"""

from collections.abc import Mapping as AbstractMapping
from typing import Annotated, ClassVar, Final, Literal, Self

from pydantic import PrivateAttr, model_validator

from doorsheet.mapping.entry import (
    Amperes,
    Colour,
    Entry,
    Name,
    Ohms,
    Percent,
    Rpm,
    ShortEntry,
    Terminal,
    Text,
    Voltage,
    VoltageOrCurrent,
    Volts,
    Watts,
    WireNumber,
    kebab,
)

__all__ = [
    "CONTACT_NAMES",
    "CONTROL_NAMES",
    "OUTPUT_KEYS",
    "RATING_KEYS",
    "SWITCHED_NAMES",
    "AnalogSource",
    "ControllerInput",
    "Controls",
    "DriveContact",
    "Output",
    "OutputRatings",
    "Potentiometer",
    "Screen",
    "SignalWires",
    "SpeedControl",
    "SpeedWires",
    "Switch",
    "SwitchedControl",
    "SwitchedWires",
    "WireSpec",
    "file_order",
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

CONTROL_NAMES: Final = (*SWITCHED_NAMES, *CONTACT_NAMES, "speed")
"""All that a drive can have of its own, by the name of their table."""

OUTPUT_KEYS: Final[AbstractMapping[str, tuple[str, ...]]] = {
    "isolated": ("plus", "minus"),
    "contact": ("terminals",),
    "open-collector": ("signal", "common", "joins"),
    "logic-level": ("signal", "common"),
}
"""Which keys, besides `kind`, an output of each kind can have."""


class OutputRatings(Entry):
    """What the controller's outputs can bear and give, unless one output says otherwise for itself."""

    voltage: Voltage | None = None  # the most it bears while open
    current: Amperes | None = None  # the most it carries while closed
    saturation: Voltage | None = None  # the most it drops while closed
    leakage: Amperes | None = None  # the most it lets through while open, hot
    reverse: Voltage | None = None  # the most it bears the wrong way round
    minimum: Amperes | None = None  # the least current that keeps a contact clean
    rest: Literal["off", "floats", "pulses", "unknown"] | None = None  # while the controller starts
    switches: Literal["dc", "ac"] | None = None


RATING_KEYS: Final = tuple(OutputRatings.model_fields)
"""Names of what is known of an output, of any kind."""


class WireSpec(ShortEntry):
    """What is known of one wire before it is fitted."""

    _short_key: ClassVar[str] = "colour"

    colour: Colour | None = None
    number: WireNumber | None = None


class SwitchedWires(Entry):
    """The wires of a switched control; the feed's wire goes to the bench switch only."""

    input: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()
    feed: WireSpec = WireSpec.model_construct()


class SpeedWires(Entry):
    """The wires of the speed control; the supply's wire goes to the potentiometer only."""

    signal: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()
    supply: WireSpec = WireSpec.model_construct()


class SignalWires(Entry):
    """The two wires of a contact that reports back."""

    signal: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()


class Screen(ShortEntry):
    """A screen round the wires of one control, and the end at which it is earthed."""

    _short_key: ClassVar[str] = "earthed"

    earthed: Literal["drive", "controller", "both", "none"]
    terminal: Terminal | None = None


class Output(OutputRatings):
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
        given = {key for key in self.model_fields_set if getattr(self, key) is not None}
        given -= {"kind", *RATING_KEYS}
        if misfits := given.difference(OUTPUT_KEYS[self.kind]):
            raise ValueError(f"{', '.join(sorted(misfits))} can't belong to an output of kind {self.kind}")
        if self.kind == "isolated" and not given:
            raise ValueError("an isolated output needs plus, minus or both")
        return self


class Switch(ShortEntry):
    """A hand-operated switch: the bench part, or the final device where no output is named."""

    _short_key: ClassVar[str] = "name"

    name: Annotated[str, Text(12)]
    terminals: tuple[Terminal, Terminal] = ("1", "2")


class SwitchedControl(Entry):
    """A control that closes one switch input of the drive."""

    input: Terminal
    common: Terminal | None = None
    feed: Terminal | None = None  # where the bench switch takes plus from, for an input that wants it fed in
    output: Output | None = None
    switch: Switch | None = None
    wires: SwitchedWires = SwitchedWires.model_construct()
    meter: Volts | None = None
    meter_closed: Volts | None = None
    meter_current: Amperes | None = None  # through the closed switch
    cable: Name | None = None
    screen: Screen | None = None

    @property
    def reading_v(self) -> float | None:
        """The meter's reading, V; None when it is left out or "unknown"."""
        return None if self.meter == "unknown" else self.meter

    @property
    def closed_v(self) -> float | None:
        """The meter's reading with the switch closed, V; None when it is left out or "unknown"."""
        return None if self.meter_closed == "unknown" else self.meter_closed


class AnalogSource(Entry):
    """The controller's analog output for the speed."""

    signal: Terminal
    common: Terminal | None = None
    range: Literal["0-10 V", "0-5 V", "4-20 mA", "0-20 mA"] = "0-10 V"
    resistance: Ohms | None = None  # inside the source
    load: Ohms | None = None  # of a voltage source the least, of a current source the most
    compliance: Voltage | None = None  # the most that a current source can push
    top: VoltageOrCurrent | None = None  # what it really gives at full command
    other_inputs: tuple[Ohms, ...] = ()  # resistances of further inputs that it feeds


class Potentiometer(ShortEntry):
    """The potentiometer: the bench part, or the final device where no source is named."""

    _short_key: ClassVar[str] = "value"

    name: Annotated[str, Text(12)] = "RV1"
    value: Annotated[str, Text(20)] | None = None
    terminals: tuple[Terminal, Terminal, Terminal] = ("1", "2", "3")
    tolerance: Percent | None = None
    taper: Literal["linear", "logarithmic"] | None = None
    power: Watts | None = None


class SpeedControl(Entry):
    """The speed reference: a signal, its common, and the supply of the bench potentiometer."""

    signal: Terminal
    common: Terminal | None = None
    supply: Terminal | None = None
    range: Literal["0-10 V", "0-5 V", "2-10 V", "4-20 mA", "0-20 mA"] | None = None
    source: AnalogSource | None = None
    potentiometer: Potentiometer | None = None
    burden: Ohms | None = None  # resistor across signal and common at the drive
    series: Ohms | None = None  # resistor in the signal's wire
    top_speed: Rpm | None = None
    wires: SpeedWires = SpeedWires.model_construct()
    cable: Name | None = None
    screen: Screen | None = None


class ControllerInput(Entry):
    """The controller's input that a contact of the drive closes."""

    signal: Terminal
    common: Terminal | None = None


class DriveContact(Entry):
    """A relay contact of the drive that reports back to the controller."""

    terminals: tuple[Terminal, Terminal]
    normally: Literal["open", "closed"] = "open"
    input: ControllerInput
    wires: SignalWires = SignalWires.model_construct()
    cable: Name | None = None
    screen: Screen | None = None


def file_order(data: AbstractMapping[object, object]) -> tuple[str, ...]:
    """Return the names of the controls in a table, in the order in which they are written."""
    return tuple(key for raw in data if (key := kebab(str(raw))) in CONTROL_NAMES)


class Controls(Entry):
    """What commands a drive and what reports back, and the order in which the file has it."""

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

    @property
    def control_names(self) -> tuple[str, ...]:
        """Names of the controls present, in the order of the file."""
        return self._order
