"""What manuals and data sheets say of the parts, as a mapping may give it; everything here is optional.

Room: mapping.  Figures stay the text that was written, with their unit;
`doorsheet.circuit.facts` reads them again and says where each is from.  The
ratings of outputs are in `doorsheet.mapping.controls`, since each output has them.
"""

from typing import Annotated, Literal

from pydantic import Field

from doorsheet.mapping.entry import (
    Amperes,
    Celsius,
    Conductor,
    Entry,
    Level,
    Metres,
    Name,
    Ohms,
    OhmsPerKm,
    Seconds,
    Terminal,
    Voltage,
    VoltageOrCurrent,
    YesNo,
)

__all__ = ["AnalogInput", "Cable", "Reference", "Stop", "SwitchInputs"]


class SwitchInputs(Entry):
    """What the drive's manual says of its switch inputs."""

    voltage: Voltage | None = None  # of the supply behind them, the drive's own
    current: Amperes | None = None  # through one closed input at that voltage
    resistance: Ohms | None = None
    type: Literal[1, 2, 3] | None = None  # IEC 61131-2
    on: Level | None = None  # surely on from here: volts over the input, or current through it
    off: Level | None = None  # surely off up to here
    limit: Amperes | None = None  # where an input limits its current itself
    supply: Annotated[Literal["inside", "outside"] | None, Field(alias="fed-from")] = None
    supply_minus: Terminal | None = None  # of that supply, where plus is fed to the inputs
    earthed: YesNo | None = None  # their common


class Reference(Entry):
    """The drive's supply for a potentiometer."""

    voltage: Voltage | None = None
    current: Amperes | None = None  # the most it may give


class AnalogInput(Entry):
    """The drive's speed input."""

    resistance: Ohms | None = None
    limit: VoltageOrCurrent | None = None  # the most it bears


class Cable(Entry):
    """A cable by the name that controls give it; without one, the cable of all that name none."""

    name: Name | None = None
    length: Metres | None = None
    conductor: Conductor | None = None
    strand_class: Annotated[Literal[1, 2, 5] | None, Field(alias="class")] = None  # IEC 60228
    resistance: OhmsPerKm | None = None  # of one core, from its data sheet
    temperature: Celsius | None = None
    cores: Annotated[int, Field(ge=1, le=200)] | None = None
    screen: bool | None = None


class Stop(Entry):
    """How the machine is stopped without the controller."""

    category: Literal["0", "1", "unknown"] | None = None  # IEC 60204-1
    hardware: Name | None = None
    acts: Literal["supply", "enable", "torque-off", "controller-input", "unknown"] | None = None
    delay: Seconds | None = None  # of category 1, after which power is removed
