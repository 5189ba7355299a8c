"""What lies between controller and drive: a wire; besides wires, contacts in a control's loop, a converter.

Room: mapping.
"""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from doorsheet.mapping.entry import (
    Colour,
    Entry,
    Filter,
    Name,
    ShortEntry,
    Terminal,
    Text,
    Voltage,
    WireNumber,
    YesNo,
)

__all__ = ["ChainContact", "Converter", "WireSpec"]


class WireSpec(ShortEntry):
    """What is known of one wire before it is fitted."""

    short_key: ClassVar[str] = "colour"

    colour: Colour | None = None
    number: WireNumber | None = None


class ChainContact(ShortEntry):
    """A contact in a control's loop, such as a door's, and the wire that leads on from it."""

    short_key: ClassVar[str] = "name"

    name: Annotated[str, Text(12)]
    what: Name | None = None
    terminals: tuple[Terminal, Terminal] | None = None  # the controller's side first
    normally: Literal["open", "closed"] | None = None
    wire: WireSpec = WireSpec.model_construct()


class Converter(Entry):
    """A part that makes a voltage of the controller's pulses."""

    name: Annotated[str, Text(12)] = "U1"
    input: Terminal
    input_common: Terminal | None = None
    output: Terminal
    output_common: Terminal | None = None
    supply: Annotated[Terminal | None, Field(alias="supply-terminal")] = None
    supply_from: Terminal | None = None  # terminal of the controller
    supply_voltage: Voltage | None = None
    isolated: YesNo | None = None  # output from input
    filter: Filter | None = None  # time constant of its smoothing
