"""What commands a drive and what reports back, as a person writes it: wires, outputs, controls.

`doorsheet.mapping.model` says how the model is built, and why so.
"""

from collections.abc import Iterator
from collections.abc import Mapping as AbstractMapping
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal, Self

from pydantic import Field, ModelWrapValidatorHandler, PrivateAttr, model_validator

from doorsheet.mapping import entry
from doorsheet.mapping.other_tables import ChainContact, Converter, SwitchInputs, WireSpec
from doorsheet.mapping.quantities import read_quantity
from doorsheet.mapping.same_reading import PLAUSIBLE_V, proves_sign, supply_reads
from doorsheet.mapping.signals import InputRange, SourceRange
from doorsheet.mapping.speeds import Motor, Speeds

if TYPE_CHECKING:
    from doorsheet.mapping.meter import Taken
    from doorsheet.mapping.metered import Metered

__all__ = [
    "CONTACT_NAMES", "CONTROL_NAMES", "OUTPUT_KEYS", "PULSE_KEYS", "SWITCHED_NAMES",
    "AnalogSource", "ControllerInput", "Controls", "DriveContact", "Output", "OutputRatings", "Potentiometer",
    "Screen", "SignalWires", "SpeedControl", "SpeedWires", "Switch", "SwitchedControl", "SwitchedWires",
    "WireSpec", "drive_ends", "has_readings",
]  # fmt: skip

SWITCHED_NAMES: Final = (
    "run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1", "preset-speed-2",
    "preset-speed-3",
)  # fmt: skip
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


class OutputRatings(entry.Entry):
    """What the controller's outputs withstand and give, unless one says otherwise for itself."""

    voltage: entry.Voltage | None = None  # the most it withstands while open
    current: entry.Amperes | None = None  # the most it carries while closed
    saturation: entry.Drop | None = None  # the most it drops while closed
    leakage: entry.SmallAmperes | None = None  # the most it lets through while open, hot
    reverse: entry.Voltage | None = None  # the most it withstands the wrong way round
    minimum: entry.SmallAmperes | None = None  # the least current that keeps a contact clean
    rest: Literal["off", "floats", "pulses", "unknown"] | None = None  # while the controller starts
    switches: Literal["dc", "ac"] | None = None


class SwitchedWires(entry.Entry):
    """The two wires of a switched control."""

    input: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()
    feed: WireSpec = WireSpec.model_construct()  # to the bench switch only


class SignalWires(entry.Entry):
    """The two wires of a contact that reports back."""

    signal: WireSpec = WireSpec.model_construct()
    common: WireSpec = WireSpec.model_construct()


class SpeedWires(SignalWires):
    """The wires of the speed control."""

    feed: WireSpec = WireSpec.model_construct()  # to an analog output that the drive feeds
    supply: WireSpec = Field(WireSpec.model_construct(), alias="reference")  # to the potentiometer only


class Screen(entry.ShortEntry):
    """A screen round the wires of one control, and the end at which it is earthed."""

    short_key: ClassVar[str] = "earthed"

    earthed: Literal["drive", "controller", "both", "none"]
    terminal: entry.Terminal | None = None


class Output(OutputRatings):
    """The controller's output that closes the drive's input in the final stage.

    ``isolated``: optocoupler transistor, needs `plus` and `minus`.
    ``contact``: relay contact without polarity, `terminals` names its two sides.
    ``open-collector``: transistor that joins `signal` to the controller's own
    0 V (`joins` = "minus") or to its own plus supply (`joins` = "plus");
    `common` is the controller's 0 V.
    ``logic-level``: a few volts, a few milliamperes, `signal` and `common`.
    """

    kind: Literal["isolated", "contact", "open-collector", "logic-level"] = "isolated"
    plus: entry.Terminal | None = None
    minus: entry.Terminal | None = None
    terminals: tuple[entry.Terminal, entry.Terminal] | None = None
    signal: entry.Terminal | None = None
    common: entry.Terminal | None = None
    joins: Literal["minus", "plus"] = "minus"

    @model_validator(mode="after")
    def _keys_fit_kind(self) -> Self:
        """Refuse keys of another kind; reading a file says the same with lines and advice."""
        given = {key for key in self.model_fields_set if getattr(self, key) is not None}
        given -= {"kind", *OutputRatings.model_fields}
        if misfits := given.difference(OUTPUT_KEYS[self.kind]):
            raise ValueError(f"{', '.join(sorted(misfits))} can't belong to an output of kind {self.kind}")
        if self.kind == "isolated" and not given:
            raise ValueError("an isolated output needs plus, minus or both")
        return self

    @property
    def is_one_way(self) -> bool:
        """Whether it is a transistor that joins an input to minus, which has to be plus."""
        return self.kind in ("isolated", "open-collector") and self.joins == "minus"


class Switch(entry.ShortEntry):
    """A hand-operated switch: the bench part, or the final device where no output is named."""

    short_key: ClassVar[str] = "name"

    name: Annotated[str, entry.Text(12)]
    terminals: tuple[entry.Terminal, entry.Terminal] = ("1", "2")


class SwitchedControl(entry.Entry):
    """A control that closes one switch input of the drive."""

    input: entry.Terminal
    common: entry.Terminal | None = None
    feed: entry.Terminal | None = None  # where the bench switch takes plus from, for an input that needs it
    output: Output | None = None
    switch: Switch | None = None
    chain: Annotated[tuple[ChainContact, ...], Field(max_length=8)] = ()  # from the output on to the input
    wires: SwitchedWires = SwitchedWires.model_construct()
    meter: entry.Volts | None = None
    meter_closed: entry.Volts | None = None
    meter_current: entry.SmallAmperes | None = None  # through the closed switch
    cable: entry.Name | None = None
    screen: Screen | None = None

    _supply_v: tuple[float, float] = PrivateAttr(default=PLAUSIBLE_V)

    @property
    def supply_v(self) -> tuple[float, float]:
        """From where to where a reading is that of a supply, V; by the one given, if any is."""
        return self._supply_v

    @property
    def reading_v(self) -> float | None:
        """The meter's reading, V; None when it is left out or "unknown"."""
        return None if self.meter == "unknown" else self.meter

    @property
    def sign_v(self) -> float | None:
        """The open reading if it proves which of input and common is plus, V; else None."""
        read = self.reading_v
        return read if read is not None and proves_sign(read, self._supply_v) else None

    @property
    def closed_v(self) -> float | None:
        """The meter's reading with the switch closed, V; None when it is left out or "unknown"."""
        return None if self.meter_closed == "unknown" else self.meter_closed


PULSE_KEYS: Final = ("frequency", "level", "converter")
"""Keys of a speed source whose `kind` is "pulse" alone."""


class AnalogSource(entry.Entry):
    """The controller's output for the speed: analog, or pulses for a converter."""

    kind: Literal["analog", "pulse"] = "analog"
    signal: entry.Terminal  # of an output that the drive feeds its minus
    common: entry.Terminal | None = None
    plus: entry.Terminal | None = None  # of an output that the drive feeds
    feed: entry.Terminal | None = None  # the drive's terminal that feeds it there
    range: SourceRange = Field("0-10 V", alias="gives")  # what the output gives, or its converter
    frequency: entry.PulseHertz | None = None  # of the pulses
    level: entry.Voltage | None = None  # of a pulse
    converter: Converter | None = None
    powered_by: Literal["controller", "drive", "unknown"] | None = None  # the loop of a milliampere range
    resistance: entry.SmallOhms | None = None  # inside the source
    load: entry.Ohms | None = None  # of a voltage source the least, of a current source the most
    compliance: entry.Voltage | None = None  # the most that a current source can push
    needs: entry.Voltage | None = None  # over a current output that another supply feeds, the least
    top: entry.VoltageOrCurrent | None = None  # what it really gives at full command
    other_inputs: Annotated[tuple[entry.Ohms, ...], Field(max_length=16)] = ()  # further ones it feeds

    @property
    def range_is_default(self) -> bool:
        """Whether nobody wrote down what it gives."""
        return "range" not in self.model_fields_set

    @property
    def other_end(self) -> str | None:
        """Its terminal beside the signal's: its common, or its plus where the drive feeds it."""
        return self.common if self.feed is None else self.plus

    @property
    def powered(self) -> Literal["controller", "drive", "unknown"] | None:
        """Who powers the loop of a milliampere range; None where nobody says."""
        return "drive" if self.feed is not None else self.powered_by

    @property
    def gives_at(self) -> tuple[str, str | None]:
        """Where its range can be measured, red and black: its own terminals, or its converter's."""
        one = self.converter
        if one is None:
            return self.signal, self.other_end
        common = one.output_common or ("? out" if self.common is not None else None)  # as in circuit.fittings
        return f"{one.name}:{one.output}", common and f"{one.name}:{common}"

    @property
    def gives_by_itself(self) -> bool:
        """Whether its range is there with nothing on it: not in a loop that the drive powers."""
        return self.powered != "drive" and (self.kind == "analog" or self.converter is not None)

    @property
    def rating(self) -> str:
        """What stands in the symbol of what gives its range: "0–10 V", with a * where that is the default."""
        return self.range.replace("+-", "±").replace("-", "–") + "*" * self.range_is_default


class Potentiometer(entry.ShortEntry):
    """The potentiometer of the bench stage, or the final device where no source is named."""

    short_key: ClassVar[str] = "value"

    name: Annotated[str, entry.Text(12)] = "RV1"
    value: entry.Ohms | None = None
    terminals: tuple[entry.Terminal, entry.Terminal, entry.Terminal] = ("1", "2", "3")
    tolerance: entry.Percent | None = None
    taper: Literal["linear", "logarithmic"] | None = None
    power: entry.Watts | None = None


class SpeedControl(entry.Entry):
    """The speed reference: a signal, its common, and the supply of the bench potentiometer."""

    signal: entry.Terminal
    common: entry.Terminal | None = None
    supply: entry.Terminal | None = Field(None, alias="reference")
    range: InputRange | None = None
    source: AnalogSource | None = None
    potentiometer: Potentiometer | None = None
    burden: entry.Ohms | None = None  # resistor across signal and common at the drive
    series: entry.SmallOhms | None = None  # resistor in the signal's wire
    top_speed: entry.Rpm | None = None
    wires: SpeedWires = SpeedWires.model_construct()
    cable: entry.Name | None = None
    screen: Screen | None = None

    @property
    def feed(self) -> str | None:
        """The drive's terminal that feeds the analog output, if one does."""
        return self.source.feed if self.source is not None else None

    @property
    def in_the_end(self) -> InputRange | None:
        """The range that the drive's input has to be set to for the controller's signal.

        Where nobody says it is the source's, if no burden makes volts of that; else nobody can tell.
        """
        if self.range is not None or self.source is None:
            return self.range
        return None if self.burden is not None and self.source.range.endswith("mA") else self.source.range

    @property
    def set_to(self) -> InputRange:
        """That range, the usual volts where nobody can tell."""
        return self.in_the_end or "0-10 V"


class ControllerInput(entry.Entry):
    """The controller's input that a contact of the drive closes."""

    signal: entry.Terminal
    common: entry.Terminal | None = None


class DriveContact(entry.Entry):
    """A relay contact of the drive that reports back to the controller."""

    terminals: tuple[entry.Terminal, entry.Terminal]
    normally: Literal["open", "closed"] | None = None
    input: ControllerInput
    wires: SignalWires = SignalWires.model_construct()
    cable: entry.Name | None = None
    screen: Screen | None = None


def drive_ends(control: SwitchedControl | SpeedControl | DriveContact) -> Iterator[tuple[str, str]]:
    """Yield key and label of each terminal of the drive that a control names."""
    if isinstance(control, DriveContact):
        yield from (("terminals", label) for label in control.terminals)
        return
    for name in ("input", "signal", "common", "feed", "supply"):
        label = getattr(control, name, None)
        if label is not None:
            yield "reference" if name == "supply" else name, label


class Controls(entry.Entry):
    """What commands a drive and what reports back, in the order of the file; its motor, speeds, readings."""

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
    # as taken: "red on COM, black on DI1: -12.2 V"
    readings: Annotated[tuple[entry.Line, ...], Field(max_length=200)] = ()
    motor: Motor | None = None
    speeds: Speeds | None = None

    _order: tuple[str, ...] = PrivateAttr(default=())
    _read: "Metered | None" = PrivateAttr(default=None)

    @model_validator(mode="wrap")
    @classmethod
    def _keep_order_and_readings(cls, data: object, handler: ModelWrapValidatorHandler[Self]) -> Self:
        if not isinstance(data, AbstractMapping):
            return handler(data)
        metered = None
        if has_readings(data):
            from doorsheet.mapping.metered import with_meters

            metered = with_meters(data)
        table = handler(metered.data if metered else data)
        table._order = tuple(key for raw in data if (key := entry.kebab(str(raw))) in CONTROL_NAMES)
        if metered and metered.flaws:  # reading a file says the same with lines and advice
            raise ValueError(metered.flaws[0].reason)
        # without a list, a `meter` in words is but its figure
        if metered and (metered.taken or metered.replaced):
            table._read = metered._replace(data={})
        return table

    @property
    def control_names(self) -> tuple[str, ...]:
        """Names of the controls present, in the order of the file."""
        return self._order

    @property
    def taken(self) -> "tuple[Taken, ...]":
        """The readings of direct current that count, taken apart, in the order of the file."""
        return tuple(one for one in self._read.counting if one.unit != "V AC") if self._read else ()

    @property
    def alternating(self) -> "tuple[Taken, ...]":
        """The same of alternating current."""
        return tuple(one for one in self._read.counting if one.unit == "V AC") if self._read else ()

    @property
    def every_taken(self) -> "tuple[Taken, ...]":
        """All readings, those too that newer ones have replaced."""
        return self._read.taken if self._read else ()

    @property
    def replaced(self) -> "tuple[tuple[Taken, Taken], ...]":
        """Readings that no longer count, each with the newest of the same thing."""
        return self._read.replaced if self._read else ()

    @property
    def metered(self) -> AbstractMapping[tuple[str, str], int]:
        """Index of the reading that a control's `meter` or `meter-closed` is from, if it is from one."""
        return self._read.sources if self._read else {}

    def fed_by(self, inputs: SwitchInputs | None) -> None:
        """Have the controls know the supply of the drive's inputs, such as that of 5 V logic."""
        if inputs is None or inputs.voltage is None:
            return
        for one in self.__dict__.values():
            if isinstance(one, SwitchedControl):
                least, most = supply_reads(*read_quantity(inputs.voltage, "V")[:2])
                one._supply_v = least, read_quantity(inputs.bears, "V").high if inputs.bears else most

    def like(self, other: "Controls") -> Self:
        """Return itself with the order of controls, and the readings, of another."""
        self._order, self._read = other._order, other._read
        return self


def has_readings(table: AbstractMapping[str, object]) -> bool:
    """Whether the data of one drive hold readings in words, in their list or as a control's meter."""
    tables = (control for control in table.values() if isinstance(control, AbstractMapping))
    in_words = (isinstance(one.get("meter"), str) and "red" in one["meter"].casefold() for one in tables)
    return bool(table.get("readings")) or any(in_words)
