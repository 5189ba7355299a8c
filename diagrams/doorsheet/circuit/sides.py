"""One control at one stage: its part, and the ways to the drive that it asks for (room: circuit).

Wires have no number or colour yet; that is `doorsheet.circuit.numbering`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from typing import Final

from doorsheet.circuit.parts import BlockKind, Link, Part, PartKind, Pin, Sign, Stage, Terminal, Use
from doorsheet.mapping.controls import (
    DriveContact,
    Output,
    Potentiometer,
    SpeedControl,
    Switch,
    SwitchedControl,
    WireSpec,
)
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "CONTROL_WORDS", "Run", "Side", "control_sides", "drive_contacts", "polarity", "returning", "words",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Run:
    """A way between a part and the drive that one control asks for."""

    control: str
    role: str
    job: str
    near: Terminal
    far: Terminal
    spec: WireSpec
    cable: str
    drive: str = ""
    group: Terminal | None = None  # the drive's common whose looped returns it belongs to

    @property
    def use(self) -> tuple[str, str, str]:
        """What it is for: drive, control, role."""
        return self.drive, self.control, self.role


@dataclass(slots=True)
class Side:
    """One control at one stage: its part, its runs, and what else is fitted on the way."""

    part: Part
    runs: list[Run] = field(default_factory=list)
    more: tuple[Part, ...] = ()
    bridges: tuple[Link, ...] = ()

    @property
    def use(self) -> Use:
        """Drive and control."""
        return self.part.drive, self.part.control


CONTROL_WORDS: Final = (
    *(
        tr_later("run forward"),
        tr_later("run reverse"),
        tr_later("enable"),
        tr_later("fault reset"),
        tr_later("jog"),
    ),
    *(tr_later("preset speed 1"), tr_later("preset speed 2"), tr_later("preset speed 3"), tr_later("speed")),
    *(tr_later("fault"), tr_later("running")),
)
"""Every control as `words` says it."""


def words(name: str) -> str:
    """Return a control's name as a person says it: "preset speed 1"."""
    return tr(name.replace("-", " "))


def polarity(control: SwitchedControl) -> tuple[Sign, Sign]:
    """Return the signs of input and common that the meter's reading says, red lead on the input."""
    if control.reading_v is None or control.reading_v == 0:
        return Sign.UNKNOWN, Sign.UNKNOWN
    return (Sign.PLUS, Sign.MINUS) if control.reading_v > 0 else (Sign.MINUS, Sign.PLUS)


def returning(control: SwitchedControl) -> str | None:
    """Return the controller's terminal that a control's return wire lands on, if it is named."""
    output = control.output
    if output is None:
        return None
    if output.kind == "isolated":
        return output.plus if polarity(control)[0] is Sign.MINUS else output.minus
    if output.kind == "contact":
        return output.terminals[1] if output.terminals else None
    return output.common


def control_sides(mapping: Mapping, drive: str, stage: Stage) -> list[Side]:
    """Return part and runs of each control of one drive; contacts back are not fitted on the bench."""
    return [
        _side(mapping, drive, name, stage)
        for name in mapping.control_names
        if stage is Stage.FINAL or not isinstance(mapping.control(name), DriveContact)
    ]


def drive_contacts(mapping: Mapping, drive: str) -> Iterator[Part]:
    """Return the relay contacts inside a drive, once each."""
    seen: set[frozenset[str]] = set()
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, DriveContact) and frozenset(control.terminals) not in seen:
            seen.add(frozenset(control.terminals))
            pins = tuple(
                Pin("contact", Terminal(BlockKind.DRIVE, label, drive)) for label in control.terminals
            )
            yield Part(
                PartKind.DRIVE_CONTACT, BlockKind.DRIVE, "", pins, name, drive, words(name),
                normally=control.normally,
            )  # fmt: skip


def _side(mapping: Mapping, drive: str, name: str, stage: Stage) -> Side:
    control = mapping.control(name)
    if isinstance(control, SwitchedControl):
        return _switched(mapping, drive, name, control, stage)
    if isinstance(control, SpeedControl):
        return _speed(drive, name, control, stage)
    return _contact(drive, name, control)


def _switched(mapping: Mapping, drive: str, name: str, control: SwitchedControl, stage: Stage) -> Side:
    if control.output is None or stage is Stage.BENCH:
        switch = control.switch or Switch(name=_switch_name(mapping, name))
        block = BlockKind.OPERATOR if control.output is None and stage is Stage.FINAL else BlockKind.BENCH
        first, second = (Terminal(block, f"{switch.name}:{label}", drive) for label in switch.terminals)
        other = "feed" if control.feed is not None else "common"
        pins: tuple[Pin, ...] = (Pin("input", first), Pin(other, second))
        part = Part(PartKind.SWITCH, block, switch.name, pins, name, drive, words(name))
    else:
        part = _output_part(drive, name, control, control.output)
    far = {"input": control.input, "common": control.common, "feed": control.feed}
    said = words(name)
    jobs = {"input": said, "common": tr("{name}, return", name=said), "feed": tr("{name}, feed", name=said)}
    specs = {"input": control.wires.input, "common": control.wires.common, "feed": control.wires.feed}
    side = Side(part)
    for pin in part.pins:
        terminal, role = far[pin.role], pin.role
        if terminal is not None:
            far_end = Terminal(BlockKind.DRIVE, terminal, drive)
            side.runs.append(
                Run(name, role, jobs[role], pin.terminal, far_end, specs[role], control.cable or "", drive)
            )
    side.runs.sort(key=lambda run: run.role != "input")  # the signal wire is numbered before its return
    return side


def _switch_name(mapping: Mapping, name: str) -> str:
    taken = {
        control.switch.name
        for other in mapping.control_names
        if isinstance(control := mapping.control(other), SwitchedControl) and control.switch
    }
    unnamed = [
        other
        for other in mapping.control_names
        if isinstance(control := mapping.control(other), SwitchedControl) and control.switch is None
    ]
    free = (f"S{count}" for count in range(1, 1000) if f"S{count}" not in taken)
    return dict(zip(unnamed, free, strict=False))[name]


def _output_part(drive: str, name: str, control: SwitchedControl, output: Output) -> Part:
    block, at = BlockKind.CONTROLLER, partial(Terminal, BlockKind.CONTROLLER)
    caption = words(name)
    if output.kind == "isolated":
        reversed_ = polarity(control)[0] is Sign.MINUS
        plus_role, minus_role = ("common", "input") if reversed_ else ("input", "common")
        pins = []
        if output.plus is not None:
            pins.append(Pin(plus_role, at(output.plus), Sign.PLUS))
        if output.minus is not None:
            pins.append(Pin(minus_role, at(output.minus), Sign.MINUS))
        stem = _stem(output.plus, output.minus)
        return Part(PartKind.ISOLATED, block, stem, tuple(pins), name, drive, caption)
    if output.kind == "contact":
        roles = ("input", "common")
        ends = output.terminals or ()
        pins = [Pin(role, at(label)) for role, label in zip(roles, ends, strict=False)]
        return Part(PartKind.CONTACT, block, "", tuple(pins), name, drive, caption)
    kind = PartKind.LOGIC
    signs = (Sign.PLUS, Sign.MINUS)
    if output.kind == "open-collector":
        kind = PartKind.HIGH_SIDE if output.joins == "plus" else PartKind.OPEN_COLLECTOR
    pins = []
    if output.signal is not None:
        pins.append(Pin("input", at(output.signal), signs[0]))
    if output.common is not None:
        pins.append(Pin("common", at(output.common), signs[1]))
    return Part(kind, block, "", tuple(pins), name, drive, caption)


def _stem(plus: str | None, minus: str | None) -> str:
    """Return what two terminal labels share: "OUT1" for "OUT1+" and "OUT1-"."""
    if plus is None or minus is None:
        return ""
    shared = 0
    while shared < min(len(plus), len(minus)) and plus[shared] == minus[shared]:
        shared += 1
    return plus[:shared].rstrip(" .:-_/+")


def _speed(drive: str, name: str, control: SpeedControl, stage: Stage) -> Side:
    specs = {"signal": control.wires.signal, "common": control.wires.common, "supply": control.wires.supply}
    far = {"signal": control.signal, "common": control.common, "supply": control.supply}
    jobs = {"signal": words("speed"), "common": tr("speed, return"), "supply": tr("reference supply")}
    if control.source is not None and stage is Stage.FINAL:
        source = control.source
        block = BlockKind.CONTROLLER
        pins = [Pin("signal", Terminal(block, source.signal), Sign.PLUS)]
        if source.common is not None:
            pins.append(Pin("common", Terminal(block, source.common), Sign.MINUS))
        rating = source.range.replace("-", "–")
        part = Part(PartKind.ANALOG_SOURCE, block, "", tuple(pins), name, drive, words(name), rating)
    else:
        pot = control.potentiometer or Potentiometer()
        block = BlockKind.OPERATOR if control.source is None and stage is Stage.FINAL else BlockKind.BENCH
        low, wiper, high = (Terminal(block, f"{pot.name}:{label}", drive) for label in pot.terminals)
        ends = (Pin("supply", high), Pin("signal", wiper), Pin("common", low))
        part = Part(PartKind.POTENTIOMETER, block, pot.name, ends, name, drive, words(name), pot.value or "")
    side = Side(part)
    for role in ("signal", "common", "supply"):
        pin = next((pin for pin in part.pins if pin.role == role), None)
        terminal = far[role]
        if pin is not None and terminal is not None:
            far_end = Terminal(BlockKind.DRIVE, terminal, drive)
            side.runs.append(
                Run(name, role, jobs[role], pin.terminal, far_end, specs[role], control.cable or "", drive)
            )
    return side


def _contact(drive: str, name: str, control: DriveContact) -> Side:
    entry, block = control.input, BlockKind.CONTROLLER
    pins = [Pin("signal", Terminal(block, entry.signal))]
    if entry.common is not None:
        pins.append(Pin("common", Terminal(block, entry.common)))
    part = Part(
        PartKind.CONTROLLER_INPUT, block, "", tuple(pins), name, drive, words(name), normally=control.normally
    )
    specs = {"signal": control.wires.signal, "common": control.wires.common}
    said = words(name)
    jobs = {"signal": tr("{name} contact", name=said), "common": tr("{name} contact, return", name=said)}
    ends = dict(zip(("signal", "common"), control.terminals, strict=True))
    runs = [
        Run(
            name, pin.role, jobs[pin.role], pin.terminal, Terminal(BlockKind.DRIVE, ends[pin.role], drive),
            specs[pin.role], control.cable or "", drive,
        )
        for pin in pins
    ]  # fmt: skip
    return Side(part, runs)
