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

from typing import Annotated, Final, Literal, TypeAlias

from pydantic import Field, PrivateAttr

from doorsheet.mapping import other_tables
from doorsheet.mapping.controls import (
    Controls,
    DriveContact,
    OutputRatings,
    SpeedControl,
    SwitchedControl,
    WireSpec,
)
from doorsheet.mapping.entry import Date, Discharge, Entry, Line, Name, Terminal, Text, Voltage, YesNo
from doorsheet.trade.paper import PaperName

__all__ = ["Controller", "Drive", "DriveUnit", "ExtraCrossings", "Link", "Mapping", "Selector", "SheetFields"]

Labels = Annotated[tuple[Terminal, ...], Field(max_length=100)]
Dropped = Annotated[dict[Annotated[str, Text(60)], Labels], Field(max_length=20)]
"""Terminals that the manual draws and the sheet doesn't, under the reason why."""


ExtraCrossings: TypeAlias = Literal["never", "to-fit", "to-narrow"]
"""When wires may cross more often than their order needs, which saves width between the frames."""


class SheetFields(Entry):
    """Fields of the title block, where what is left out stays a blank to write on; how the sheet is drawn.

    They are those of ISO 7200.
    """

    drawn_by: Name | None = None
    approved_by: Name | None = None
    owner: Name | None = None
    site: Name | None = None
    number: Name | None = None
    date: Date | None = None
    revision: Annotated[str, Text(8, 0)] | None = None
    notes: Annotated[tuple[Line, ...], Field(max_length=20)] = ()
    revisions: Annotated[tuple[other_tables.Revision, ...], Field(max_length=50)] = ()
    extra_crossings: ExtraCrossings = "never"
    paper: PaperName | None = None


class Link(Entry):
    """A jumper between two terminals of the drive's strip, or of the controller."""

    between: tuple[Terminal, Terminal]
    note: Line | None = None


Links = Annotated[tuple[Link, ...], Field(max_length=20)]


class Selector(Entry):
    """A slide switch or plug-on jumper on the drive's board, and how it is set."""

    name: Name
    set: Name


class Drive(Entry):
    """The variable-frequency drive."""

    name: Name = "Drive"
    discharge: Discharge | None = None
    manual: Name | None = None
    serial: Name | None = None
    strip: Labels = ()  # as fitted; left out: the sheet chooses the order
    links: Links = ()
    selectors: Annotated[tuple[Selector, ...], Field(max_length=20)] = ()
    inputs: other_tables.SwitchInputs | None = None
    reference: other_tables.Reference | None = None
    analog: other_tables.AnalogInput | None = None
    isolated: YesNo | None = None  # control terminals from the mains
    both_directions: Literal["stops", "forward", "reverse", "unknown"] | None = None
    presets: Name | None = None  # the speed with no preset closed, and with several
    conductors_per_terminal: Annotated[int, Field(ge=1, le=8)] | None = None
    dropped: Dropped = Field(default_factory=dict)
    settings: Annotated[tuple[other_tables.DriveSetting, ...], Field(max_length=200)] = ()


class Controller(Entry):
    """The machine controller."""

    name: Name = "Controller"
    supply_voltage: Voltage | None = None  # what an output that joins to plus gives
    outputs: OutputRatings | None = None
    interlock: Name | None = None  # what keeps both directions from closing together
    conductors_per_terminal: Annotated[int, Field(ge=1, le=8)] | None = None
    links: Links = ()
    returns: Literal["own", "looped", "rail"] | None = None  # how outputs share a common of the drive
    loop_wires: Annotated[tuple[WireSpec, ...], Field(max_length=16)] = ()  # of looped returns, in order
    earthed: YesNo | None = None  # its 0 V
    settings: Annotated[tuple[other_tables.ControllerSetting, ...], Field(max_length=200)] = ()


class DriveUnit(Drive, Controls):
    """One of several drives on a controller: all that a drive has, and its controls."""

    def model_post_init(self, context: object, /) -> None:
        """Have the controls know what feeds their inputs."""
        super().model_post_init(context)
        self.fed_by(self.inputs)


_SHARED: Final = ("machine", "sheet", "controller", "cables", "stop", "region", "rail", "done")
"""What all drives of a machine have together."""

Drives = Annotated[dict[Annotated[str, Text(16)], DriveUnit], Field(max_length=16)]


class Mapping(Controls):
    """Terminal mapping of one machine: a drive, its controller, and the wires between them."""

    machine: Name
    sheet: SheetFields = SheetFields.model_construct()
    drive: Drive = Drive.model_construct()
    drives: Drives | None = None  # several, in place of `drive`
    controller: Controller = Controller.model_construct()
    cables: Annotated[tuple[other_tables.Cable, ...], Field(max_length=50)] = ()
    stop: other_tables.Stop | None = None
    region: Literal["IEC", "US"] | None = None
    rail: other_tables.Rail | None = None
    done: Annotated[tuple[other_tables.Done, ...], Field(max_length=500)] = ()  # in the order of the file

    def model_post_init(self, context: object, /) -> None:
        """Have the controls know what feeds their inputs."""
        super().model_post_init(context)
        self.fed_by(self.drive.inputs)

    _units: "tuple[tuple[str, Mapping], ...] | None" = PrivateAttr(default=None)

    def units(self) -> tuple[tuple[str, "Mapping"], ...]:
        """Return one mapping for each drive, by name; of a single drive itself, without one."""
        if not self.drives:
            return (("", self),)
        if self._units is None:
            self._units = tuple((name, self._of_one(unit)) for name, unit in self.drives.items())
        return self._units

    def _of_one(self, unit: DriveUnit) -> "Mapping":
        """Return one of several drives as a mapping of its own, with what it shares with the others."""
        own = {name: getattr(unit, name) for name in Controls.model_fields}
        shared = {name: getattr(self, name) for name in _SHARED}
        return Mapping.model_construct(**shared, drive=unit, **own).like(unit)

    @property
    def stop_device(self) -> str:
        """What stops the motor without the controller, "" where nobody names it."""
        named = (self.stop and self.stop.hardware) or ""
        return "" if named.lower() in ("none", "no", "unknown") else named

    def control(self, name: str) -> SwitchedControl | SpeedControl | DriveContact:
        """Return the control whose table is called `name`; KeyError when the file has none."""
        found = getattr(self, name.replace("-", "_")) if name in self._order else None
        if found is None:
            raise KeyError(name)
        assert isinstance(found, SwitchedControl | SpeedControl | DriveContact)
        return found

    @property
    def switched(self) -> dict[str, SwitchedControl]:
        """The controls that close a switch input, by name, in the order of the file."""
        controls = ((name, self.control(name)) for name in self.control_names)
        return {name: one for name, one in controls if isinstance(one, SwitchedControl)}
