"""What a person writes: the mapping, checked field by field.

This room holds no electrical reasoning: whether what is written can work is
asked in `doorsheet.circuit`.  What a user may leave out is ``None`` or empty
here, and becomes a default with a name, or a blank, further on.

Every cold run pays for building this model, so: one build for all tables
(`defer_build`; defaults by `model_construct`, since an instance made in the
usual way would build its class there and then), short forms by one validator
for each class rather than one for each use, tables that few mappings have built
only for those (`Later`), and annotations that are objects,
not strings to compile (no ``from __future__ import annotations``).
"""

from collections.abc import Mapping as AbstractMapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal, Self, TypeAlias

from pydantic import Field, ModelWrapValidatorHandler, PrivateAttr, model_validator

from doorsheet.mapping.entry import (
    READING_LIMIT_V,
    Amperes,
    Colour,
    Date,
    Entry,
    Line,
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
from doorsheet.mapping.later import Later

if TYPE_CHECKING:
    from doorsheet.mapping.drives import DriveUnit
    from doorsheet.mapping.meter import Metered, Taken
    from doorsheet.mapping.rail import Rail
    from doorsheet.mapping.ratings import AnalogInput, Cable, Reference, Stop, SwitchInputs
    from doorsheet.mapping.settings import ControllerSetting, DriveSetting, Revision
    from doorsheet.mapping.speeds import Motor, Speeds
else:
    AnalogInput = Annotated[object, Later("ratings", "AnalogInput")]
    Cable = Annotated[object, Later("ratings", "Cable")]
    DriveUnit = Annotated[object, Later("drives", "DriveUnit")]
    Reference = Annotated[object, Later("ratings", "Reference")]
    Stop = Annotated[object, Later("ratings", "Stop")]
    SwitchInputs = Annotated[object, Later("ratings", "SwitchInputs")]
    Rail = Annotated[object, Later("rail", "Rail")]
    ControllerSetting = Annotated[object, Later("settings", "ControllerSetting")]
    DriveSetting = Annotated[object, Later("settings", "DriveSetting")]
    Revision = Annotated[object, Later("settings", "Revision")]
    Motor = Annotated[object, Later("speeds", "Motor")]
    Speeds = Annotated[object, Later("speeds", "Speeds")]

__all__ = [
    "CONTACT_NAMES",
    "CONTROL_NAMES",
    "OUTPUT_KEYS",
    "RATING_KEYS",
    "READING_LIMIT_V",
    "SWITCHED_NAMES",
    "AnalogSource",
    "Controller",
    "ControllerInput",
    "Controls",
    "Drive",
    "DriveContact",
    "ExtraCrossings",
    "Link",
    "Mapping",
    "Output",
    "OutputRatings",
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
    "file_order",
    "has_readings",
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


Dropped = dict[Annotated[str, Text(60)], tuple[Terminal, ...]]
"""Terminals that the manual draws and the sheet doesn't, under the reason why."""


ExtraCrossings: TypeAlias = Literal["never", "to-fit", "to-narrow"]
"""When wires may cross more often than their order needs, which saves width between the frames."""


class SheetFields(Entry):
    """Fields of the title block (after ISO 7200), where what is left out stays a blank to write on; how the
    sheet is drawn.
    """

    drawn_by: Name | None = None
    approved_by: Name | None = None
    owner: Name | None = None
    site: Name | None = None
    number: Name | None = None
    date: Date | None = None
    revision: Annotated[str, Text(8, 0)] | None = None
    notes: tuple[Line, ...] = ()
    revisions: tuple[Revision, ...] = ()
    extra_crossings: ExtraCrossings = "never"


class Link(Entry):
    """A jumper between two terminals of the drive's strip."""

    between: tuple[Terminal, Terminal]
    note: Line | None = None


class Selector(Entry):
    """A slide switch or plug-on jumper on the drive's board, and how it is set."""

    name: Name
    set: Name


class Drive(Entry):
    """The variable-frequency drive."""

    name: Name = "Drive"
    discharge: Name | None = None
    manual: Name | None = None
    serial: Name | None = None
    strip: tuple[Terminal, ...] = ()  # as fitted; left out: the sheet chooses the order
    links: tuple[Link, ...] = ()
    selectors: tuple[Selector, ...] = ()
    inputs: SwitchInputs | None = None
    reference: Reference | None = None
    analog: AnalogInput | None = None
    isolated: Literal["yes", "no", "unknown"] | None = None  # control terminals from the mains
    both_directions: Literal["stops", "forward", "reverse", "unknown"] | None = None
    conductors_per_terminal: Annotated[int, Field(ge=1, le=8)] | None = None
    dropped: Dropped = Field(default_factory=dict)
    settings: tuple[DriveSetting, ...] = ()


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


class Controller(Entry):
    """The machine controller."""

    name: Name = "Controller"
    supply: Voltage | None = None  # what an output that joins to plus gives
    outputs: Annotated[OutputRatings, Later("model", "OutputRatings")] | None = None
    interlock: Name | None = None  # what keeps both directions from closing together
    conductors_per_terminal: Annotated[int, Field(ge=1, le=8)] | None = None
    settings: tuple[ControllerSetting, ...] = ()


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


class Mapping(Controls):
    """One machine: a drive, what commands it, and the wires between them."""

    machine: Name
    sheet: SheetFields = SheetFields.model_construct()
    drive: Drive = Drive.model_construct()
    drives: dict[Annotated[str, Text(16)], DriveUnit] | None = None  # several, in place of `drive`
    controller: Controller = Controller.model_construct()
    cables: tuple[Cable, ...] = ()
    stop: Stop | None = None
    region: Literal["IEC", "US"] | None = None
    rail: Rail | None = None
    readings: Annotated[
        tuple[Line, ...], Field(max_length=200)
    ] = ()  # as taken: "red on COM, black on DI1: -12.2 V"
    motor: Motor | None = None
    speeds: Speeds | None = None

    _taken: "tuple[Taken, ...]" = PrivateAttr(default=())
    _metered: dict[tuple[str, str], int] = PrivateAttr(default_factory=dict)

    @model_validator(mode="wrap")
    @classmethod
    def _keep_file_order(cls, data: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        if not isinstance(data, AbstractMapping):
            return handler(data)
        metered = _metered(data)
        mapping = handler(data if metered is None else metered.data)
        mapping._order = file_order(data)
        if metered is not None:
            if metered.flaws:  # reading a file says the same with lines and advice
                raise ValueError(metered.flaws[0].reason)
            mapping._taken, mapping._metered = metered.taken, metered.sources
        return mapping

    def with_order(self, names: tuple[str, ...]) -> Self:
        """Return itself with the order of its controls, for a mapping that no file gave."""
        self._order = names
        return self

    def units(self) -> tuple[tuple[str, "Mapping"], ...]:
        """Return one mapping for each drive, by name; of a single drive itself, without one."""
        if not self.drives:
            return (("", self),)
        from doorsheet.mapping.drives import mapping_of

        return tuple((name, mapping_of(self, unit)) for name, unit in self.drives.items())

    @property
    def taken(self) -> "tuple[Taken, ...]":
        """The readings, taken apart, in the order of the file."""
        return self._taken

    @property
    def metered(self) -> AbstractMapping[tuple[str, str], int]:
        """Index of the reading that a control's `meter` or `meter-closed` is from, if it is from one."""
        return self._metered

    def control(self, name: str) -> SwitchedControl | SpeedControl | DriveContact:
        """Return the control whose table is called `name`; KeyError when the file has none."""
        found = getattr(self, name.replace("-", "_")) if name in self._order else None
        if found is None:
            raise KeyError(name)
        assert isinstance(found, SwitchedControl | SpeedControl | DriveContact)
        return found


def has_readings(data: AbstractMapping[str, object]) -> bool:
    """Whether a mapping's data hold readings in words, in their list or as a control's meter."""
    return bool(data.get("readings")) or any(map(_has_words, data.values()))


def _has_words(table: object) -> bool:
    meter = table.get("meter") if isinstance(table, AbstractMapping) else None
    return isinstance(meter, str) and "red" in meter.casefold()


def _metered(data: AbstractMapping[str, object]) -> "Metered | None":
    """Return the data with meters from readings; None when there are none."""
    if not has_readings(data):
        return None
    from doorsheet.mapping.meter import with_meters

    return with_meters(data)
