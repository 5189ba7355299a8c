"""What a mapping says besides the controls: facts, settings, revisions, the log, wires and their parts.

All optional.  Figures stay the text that was written, with their unit; `doorsheet.electrics`
reads them again and says where each is from.  The ratings of outputs are in `controls`, since each output has
them.  Which settings a drive needs, and which actions there are, is the business of `doorsheet.job`.
"""

import datetime
import re
from contextlib import suppress
from typing import Annotated, ClassVar, Final, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from doorsheet.mapping import entry

__all__ = [
    "YEARS", "AnalogInput", "Cable", "ChainContact", "ControllerSetting", "Converter", "Done", "DriveSetting",
    "Moment", "Rail", "Reference", "Revision", "Stop", "SwitchInputs", "WireSpec",
]  # fmt: skip


class WireSpec(entry.ShortEntry):
    """What is known of one wire before it is fitted."""

    short_key: ClassVar[str] = "colour"

    colour: entry.Colour | None = None
    number: entry.WireNumber | None = None


class ChainContact(entry.ShortEntry):
    """A contact in a control's loop, such as a door's, and the wire that leads on from it."""

    short_key: ClassVar[str] = "name"

    name: Annotated[str, entry.Text(12)]
    what: entry.Name | None = None
    terminals: tuple[entry.Terminal, entry.Terminal] | None = None  # the controller's side first
    normally: Literal["open", "closed"] | None = None
    wire: WireSpec = WireSpec.model_construct()


class Converter(entry.Entry):
    """A part that makes a voltage of the controller's pulses."""

    name: Annotated[str, entry.Text(12)] = "U1"
    input: entry.Terminal
    input_common: entry.Terminal | None = None
    output: entry.Terminal
    output_common: entry.Terminal | None = None
    supply: Annotated[entry.Terminal | None, Field(alias="supply-terminal")] = None
    supply_from: entry.Terminal | None = None  # terminal of the controller
    supply_voltage: entry.Voltage | None = None
    isolated: entry.YesNo | None = None  # output from input
    filter: entry.Filter | None = None  # time constant of its smoothing


class SwitchInputs(entry.Entry):
    """What the drive's manual says of its switch inputs."""

    voltage: entry.Voltage | None = None  # of the supply behind them, the drive's own
    current: entry.Amperes | None = None  # through one closed input at that voltage
    resistance: entry.Ohms | None = None
    type: Literal[1, 2, 3] | None = None  # IEC 61131-2
    on: entry.Level | None = None  # surely on from here: volts over the input, or current through it
    off: entry.Level | None = None  # surely off up to here
    limit: entry.Amperes | None = None  # where an input limits its current itself
    bears: entry.LowVoltage | None = None  # the most that may stand over it
    supply: Annotated[Literal["inside", "outside"] | None, Field(alias="fed-from")] = None
    supply_minus: entry.Terminal | None = None  # of that supply, where that feeds inputs or a loop
    earthed: entry.YesNo | None = None  # their common


class Reference(entry.Entry):
    """The drive's supply for a potentiometer."""

    voltage: entry.Voltage | None = None
    current: entry.Amperes | None = None  # the most it may give


class AnalogInput(entry.Entry):
    """The drive's speed input."""

    resistance: entry.Ohms | None = None
    limit: entry.VoltageOrCurrent | None = None  # the most it can take


class Cable(entry.Entry):
    """A cable by the name that controls give it; without one, the cable of all that name none."""

    name: entry.Name | None = None
    length: entry.Metres | None = None
    conductor: entry.Conductor | None = None
    strand_class: Annotated[Literal[1, 2, 5] | None, Field(alias="class")] = None  # IEC 60228
    resistance: entry.OhmsPerKm | None = None  # of one core, from its data sheet
    temperature: entry.Celsius | None = None
    cores: Annotated[int, Field(ge=1, le=200)] | None = None
    screen: bool | None = None


class Stop(entry.Entry):
    """How the machine is stopped without the controller."""

    category: Literal["0", "1", "unknown"] | None = None  # IEC 60204-1
    hardware: entry.Name | None = None
    acts: Literal["supply", "enable", "torque-off", "controller-input", "unknown"] | None = None
    delay: entry.Seconds | None = None  # of category 1, after which power is removed

    def is_called(self, *labels: str | None) -> bool:
        """Whether its device goes by one of these: "stop button -B0" by "B0", or by all its words."""
        said = (self.hardware or "").casefold()
        names = {said, *(word.lstrip("-") for word in re.split(r"[\s,;:()]+", said))}
        return any(label and label.casefold().lstrip("-") in names for label in labels)

    def has_terminal(self, *labels: str | None) -> bool:
        """Whether one of these is a terminal of its device: K5:13, or K5.13, of "safety relay K5"."""
        return self.is_called(*(re.split(r"[:.]", label)[0] for label in labels if label))


_Value = Annotated[str, entry.Text(30)]
"""A setting's value as the display shows it, "1", "50.0 Hz", "AI1"."""


class DriveSetting(entry.Entry):
    """A setting of the drive: what it was, what it was set to, what it read after that."""

    number: _Value  # as printed in the manual
    meaning: entry.Name
    # a decision of `job`, "run-source" or such, or the label of an input
    topic: Annotated[str, entry.Text(20)] | None = None
    factory: _Value | None = None
    set: _Value | None = None
    read: _Value | None = None
    date: entry.Date | None = None


class ControllerSetting(entry.Entry):
    """A setting of the controller."""

    name: entry.Name
    set: _Value
    read: _Value | None = None
    date: entry.Date | None = None


class Revision(entry.Entry):
    """One row of the revision table."""

    index: Annotated[str, entry.Text(8)]
    date: entry.Date | None = None
    who: entry.Name | None = None
    what: entry.Line | None = None
    why: entry.Line | None = None
    tested: Annotated[bool, Field(strict=True)] | None = None


class Rail(entry.ShortEntry):
    """A terminal rail between controller and drive: every wire goes through a terminal of it."""

    short_key: ClassVar[str] = "name"

    name: Annotated[str, entry.Text(8)]
    first: Annotated[int, Field(ge=0, le=900)] = 1  # number of its first terminal


YEARS: Final = range(2000, 2100)
"""A day beyond these is a slip of the pen."""


def _read_moment(value: object) -> object:
    """Take a day with its time, also as text; an offset is left off: the time is that of the clock there."""
    if isinstance(value, str):
        with suppress(ValueError):
            value = datetime.datetime.fromisoformat(value.strip())
    if not isinstance(value, datetime.datetime):
        return value
    if value.year not in YEARS:
        said = {"year": value.year, "first": YEARS[0], "last": YEARS[-1]}
        raise PydanticCustomError("figure", "is of the year {year}: write one from {first} to {last}", said)
    return value.replace(tzinfo=None, microsecond=0)


Moment = Annotated[datetime.datetime, Field(strict=True), BeforeValidator(_read_moment)]
"""A day and a time of the clock at the machine."""


class Done(entry.Entry):
    """Something that was done on the machine, when, and what came of it; or why it was put off."""

    what: Annotated[str, entry.Text(60)]  # id of an action: "prove-dead", "move:run-forward"
    when: Moment | None = None
    stage: Annotated[str, entry.Text(60)] | None = None  # as `draw --stage` takes it
    drive: Annotated[str, entry.Text(16)] | None = None  # of several drives
    result: Annotated[str, entry.Text(120)] | None = None
    put_off: Annotated[str, entry.Text(120)] | None = None  # why it can't be done now
    wires: Annotated[tuple[Annotated[str, entry.Text(200)], ...], Field(max_length=200)] = ()  # fitted by it
    remark: entry.Line | None = None
