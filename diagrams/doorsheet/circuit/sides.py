"""One control at one stage: its part, and the ways to the drive that it asks for (room: circuit).

Wires have no number or colour yet; that is `doorsheet.circuit.numbering`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from doorsheet.circuit.parts import (
    Part,
    PartKind,
    Pin,
    Sign,
    Stage,
    Terminal,
)
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

__all__ = [
    "BENCH",
    "CONTROLLER",
    "DRIVE",
    "OPERATOR",
    "Run",
    "Side",
    "control_sides",
    "drive_contacts",
    "polarity",
    "returning",
    "words",
]

DRIVE = "drive"
CONTROLLER = "controller"
BENCH = "bench"
OPERATOR = "operator"


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


@dataclass(slots=True)
class Side:
    """One control at one stage: its part and its runs."""

    part: Part
    runs: list[Run] = field(default_factory=list)


def words(name: str) -> str:
    """Return a control's name as a person says it: "preset speed 1"."""
    return name.replace("-", " ")


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


def control_sides(mapping: Mapping, stage: Stage) -> list[Side]:
    """Return each control's part and runs; contacts back are not fitted on the bench."""
    return [
        _side(mapping, name, stage)
        for name in mapping.control_names
        if stage is Stage.FINAL or not isinstance(mapping.control(name), DriveContact)
    ]


def drive_contacts(mapping: Mapping) -> Iterator[Part]:
    """Return the relay contacts inside the drive, once each."""
    seen: set[frozenset[str]] = set()
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, DriveContact) and frozenset(control.terminals) not in seen:
            seen.add(frozenset(control.terminals))
            pins = tuple(Pin("contact", Terminal(DRIVE, label)) for label in control.terminals)
            yield Part(PartKind.DRIVE_CONTACT, DRIVE, "", pins, name, words(name), normally=control.normally)


def _side(mapping: Mapping, name: str, stage: Stage) -> Side:
    control = mapping.control(name)
    if isinstance(control, SwitchedControl):
        return _switched(mapping, name, control, stage)
    if isinstance(control, SpeedControl):
        return _speed(name, control, stage)
    return _contact(name, control)


def _switched(mapping: Mapping, name: str, control: SwitchedControl, stage: Stage) -> Side:
    if control.output is None or stage is Stage.BENCH:
        switch = control.switch or Switch(name=_switch_name(mapping, name))
        block = OPERATOR if control.output is None and stage is Stage.FINAL else BENCH
        first, second = (Terminal(block, f"{switch.name}:{label}") for label in switch.terminals)
        other = "feed" if control.feed is not None and block == BENCH else "common"
        pins: tuple[Pin, ...] = (Pin("input", first), Pin(other, second))
        part = Part(PartKind.SWITCH, block, switch.name, pins, name, words(name))
    else:
        part = _output_part(name, control, control.output)
    far = {"input": control.input, "common": control.common, "feed": control.feed}
    jobs = {"input": words(name), "common": f"{words(name)}, return", "feed": f"{words(name)}, feed"}
    specs = {"input": control.wires.input, "common": control.wires.common, "feed": control.wires.feed}
    side = Side(part)
    for pin in part.pins:
        terminal, role = far[pin.role], pin.role
        if terminal is not None:
            far_end = Terminal(DRIVE, terminal)
            side.runs.append(
                Run(name, role, jobs[role], pin.terminal, far_end, specs[role], control.cable or "")
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


def _output_part(name: str, control: SwitchedControl, output: Output) -> Part:
    def at(label: str) -> Terminal:
        return Terminal(CONTROLLER, label)

    caption = words(name)
    if output.kind == "isolated":
        reversed_ = polarity(control)[0] is Sign.MINUS
        plus_role, minus_role = ("common", "input") if reversed_ else ("input", "common")
        pins = []
        if output.plus is not None:
            pins.append(Pin(plus_role, at(output.plus), Sign.PLUS))
        if output.minus is not None:
            pins.append(Pin(minus_role, at(output.minus), Sign.MINUS))
        return Part(
            PartKind.ISOLATED, CONTROLLER, _stem(output.plus, output.minus), tuple(pins), name, caption
        )
    if output.kind == "contact":
        roles = ("input", "common")
        ends = output.terminals or ()
        pins = [Pin(role, at(label)) for role, label in zip(roles, ends, strict=False)]
        return Part(PartKind.CONTACT, CONTROLLER, "", tuple(pins), name, caption)
    kind = PartKind.LOGIC
    signs = (Sign.PLUS, Sign.MINUS)
    if output.kind == "open-collector":
        kind = PartKind.HIGH_SIDE if output.joins == "plus" else PartKind.OPEN_COLLECTOR
    pins = []
    if output.signal is not None:
        pins.append(Pin("input", at(output.signal), signs[0]))
    if output.common is not None:
        pins.append(Pin("common", at(output.common), signs[1]))
    return Part(kind, CONTROLLER, "", tuple(pins), name, caption)


def _stem(plus: str | None, minus: str | None) -> str:
    """Return what two terminal labels share: "OUT1" for "OUT1+" and "OUT1-"."""
    if plus is None or minus is None:
        return ""
    shared = 0
    while shared < min(len(plus), len(minus)) and plus[shared] == minus[shared]:
        shared += 1
    return plus[:shared].rstrip(" .:-_/+")


def _speed(name: str, control: SpeedControl, stage: Stage) -> Side:
    specs = {"signal": control.wires.signal, "common": control.wires.common, "supply": control.wires.supply}
    far = {"signal": control.signal, "common": control.common, "supply": control.supply}
    jobs = {"signal": "speed", "common": "speed, return", "supply": "reference supply"}
    if control.source is not None and stage is Stage.FINAL:
        source = control.source
        pins = [Pin("signal", Terminal(CONTROLLER, source.signal), Sign.PLUS)]
        if source.common is not None:
            pins.append(Pin("common", Terminal(CONTROLLER, source.common), Sign.MINUS))
        rating = source.range.replace("-", "–")
        part = Part(PartKind.ANALOG_SOURCE, CONTROLLER, "", tuple(pins), name, "speed", rating)
    else:
        pot = control.potentiometer or Potentiometer()
        block = OPERATOR if control.source is None and stage is Stage.FINAL else BENCH
        low, wiper, high = (Terminal(block, f"{pot.name}:{label}") for label in pot.terminals)
        ends = (Pin("supply", high), Pin("signal", wiper), Pin("common", low))
        part = Part(PartKind.POTENTIOMETER, block, pot.name, ends, name, "speed", pot.value or "")
    side = Side(part)
    for role in ("signal", "common", "supply"):
        pin = next((pin for pin in part.pins if pin.role == role), None)
        terminal = far[role]
        if pin is not None and terminal is not None:
            far_end = Terminal(DRIVE, terminal)
            side.runs.append(
                Run(name, role, jobs[role], pin.terminal, far_end, specs[role], control.cable or "")
            )
    return side


def _contact(name: str, control: DriveContact) -> Side:
    entry = control.input
    pins = [Pin("signal", Terminal(CONTROLLER, entry.signal))]
    if entry.common is not None:
        pins.append(Pin("common", Terminal(CONTROLLER, entry.common)))
    part = Part(
        PartKind.CONTROLLER_INPUT, CONTROLLER, "", tuple(pins), name, words(name), normally=control.normally
    )
    specs = {"signal": control.wires.signal, "common": control.wires.common}
    jobs = {"signal": f"{words(name)} contact", "common": f"{words(name)} contact, return"}
    ends = dict(zip(("signal", "common"), control.terminals, strict=True))
    runs = [
        Run(name, pin.role, jobs[pin.role], pin.terminal, Terminal(DRIVE, ends[pin.role]), specs[pin.role],
             control.cable or "")
        for pin in pins
    ]  # fmt: skip
    return Side(part, runs)
