"""One control at one stage: its part, and the ways to the drive that it asks for; the drive's terminals.

Wires have no number or colour yet; that is `doorsheet.circuit.join`.
"""

from collections.abc import Iterator
from itertools import takewhile
from typing import Final, NamedTuple

from doorsheet.circuit.parts import (
    BlockKind,
    Link,
    Part,
    PartKind,
    Pin,
    Sign,
    Stage,
    StripTerminal,
    Terminal,
    Use,
    Wire,
)
from doorsheet.mapping.controls import (
    DriveContact,
    Output,
    Potentiometer,
    SpeedControl,
    Switch,
    SwitchedControl,
    WireSpec,
    drive_ends,
)
from doorsheet.mapping.model import Mapping
from doorsheet.trade.colours import Purpose
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "CONTROL_WORDS", "Run", "Side", "control_sides", "drive_contacts", "is_pressed", "polarity", "returning",
    "strip_terminals", "words",
]  # fmt: skip


_PURPOSES: Final[dict[str, Purpose]] = {"supply": "plus", "feed": "plus", "common": "common"}
_REPORTS: Final[dict[str, Purpose]] = {"common": "return"}


class Run(NamedTuple):
    """A way between a part and the drive that one control asks for."""

    control: str
    role: str
    job: str
    near: Terminal
    far: Terminal
    spec: WireSpec
    cable: str
    drive: str = ""
    purpose: Purpose = "signal"
    group: Terminal | None = None  # the drive's common whose looped returns it belongs to

    @property
    def use(self) -> tuple[str, str, str]:
        """What it is for: drive, control, role."""
        return self.drive, self.control, self.role

    @property
    def wire(self) -> tuple[Terminal | None, Terminal]:
        """What tells its wire: its ends in the final stage; of the bench's feed what gives it."""
        passing = self.role == "feed" and self.near.block is BlockKind.BENCH
        return (None if passing else self.near), self.far


class Side(NamedTuple):
    """One control at one stage: its part, its runs, and what else is fitted on the way."""

    part: Part
    runs: tuple[Run, ...]
    more: tuple[Part, ...] = ()
    bridges: tuple[Link, ...] = ()

    @property
    def use(self) -> Use:
        """Drive and control."""
        return self.part.drive, self.part.control


CONTROL_WORDS: Final = (
    tr_later("run forward"), tr_later("run reverse"), tr_later("enable"), tr_later("fault reset"),
    tr_later("jog"), tr_later("preset speed 1"), tr_later("preset speed 2"), tr_later("preset speed 3"),
    tr_later("speed"), tr_later("fault"), tr_later("running"),
)  # fmt: skip
"""Every control as `words` says it."""


def words(name: str) -> str:
    """Return a control's name as a person says it: "preset speed 1"."""
    return tr(name.replace("-", " "))


def polarity(control: SwitchedControl) -> tuple[Sign, Sign]:
    """Return the signs of input and common that the meter's reading says, red lead on the input.

    An input that plus is fed to reads 0 V while it is open: there the feed says them.
    """
    if control.sign_v is None and control.feed is None:
        return Sign.UNKNOWN, Sign.UNKNOWN
    return (Sign.PLUS, Sign.MINUS) if (control.sign_v or 0.0) >= 0 else (Sign.MINUS, Sign.PLUS)


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
    """Yield the relay contacts inside a drive, one for each control that reports by it."""
    kind, block = PartKind.DRIVE_CONTACT, BlockKind.DRIVE
    for name in mapping.control_names:
        control = mapping.control(name)
        if isinstance(control, DriveContact):
            pins = tuple(Pin("contact", Terminal(block, label, drive)) for label in control.terminals)
            yield Part(kind, block, "", pins, name, drive, words(name), normally=control.normally)


def _side(mapping: Mapping, drive: str, name: str, stage: Stage) -> Side:
    control, said = mapping.control(name), words(name)
    ends: dict[str, tuple[str | None, str]]  # by role: the drive's terminal, and what the wire is for
    if isinstance(control, SwitchedControl):
        part = _switched(mapping, drive, name, control, stage)
        ends = {
            "input": (control.input, said),  # the signal wire is numbered before its return
            "common": (control.common, tr("{name}, return", name=said)),
            "feed": (control.feed, tr("{name}, feed", name=said)),
        }
    elif isinstance(control, SpeedControl):
        part = _speed(drive, name, control, stage)
        ends = {
            "signal": (control.signal, said),
            "common": (control.common, tr("speed, return")),
            "supply": (control.supply, tr("reference supply")),
            "feed": (control.feed, tr("feed of the analog output")),
        }
    else:
        pins = _pins(("signal", control.input.signal, Sign.NONE), ("common", control.input.common, Sign.NONE))
        part = Part(PartKind.CONTROLLER_INPUT, BlockKind.CONTROLLER, "", pins, name, drive, said)
        part = part._replace(normally=control.normally)
        ends = {
            "signal": (control.terminals[0], tr("{name} contact", name=said)),
            "common": (control.terminals[1], tr("{name} contact, return", name=said)),
        }
    near, cable = {pin.role: pin.terminal for pin in part.pins}, control.cable or ""
    purposes = _REPORTS if isinstance(control, DriveContact) else _PURPOSES
    runs = (
        Run(
            name, role, job, near[role], Terminal(BlockKind.DRIVE, label, drive),
            getattr(control.wires, role), cable, drive, purposes.get(role, "signal"),
        )
        for role, (label, job) in ends.items()
        if role in near and label is not None
    )  # fmt: skip
    return Side(part, tuple(runs))


def _pins(*ends: tuple[str, str | None, Sign]) -> tuple[Pin, ...]:
    """Return the pins of a part of the controller: role, terminal, sign; those whose terminal is named."""
    block = BlockKind.CONTROLLER
    return tuple(Pin(role, Terminal(block, label), sign) for role, label, sign in ends if label is not None)


def _switched(mapping: Mapping, drive: str, name: str, control: SwitchedControl, stage: Stage) -> Part:
    if control.output is not None and stage is Stage.FINAL:
        return _output_part(drive, name, control, control.output)
    switch = control.switch or Switch(name=_switch_name(mapping, name))
    block = BlockKind.OPERATOR if control.output is None and stage is Stage.FINAL else BlockKind.BENCH
    first, second = (Terminal(block, f"{switch.name}:{label}", drive) for label in switch.terminals)
    pins = (Pin("input", first), Pin("feed" if control.feed is not None else "common", second))
    part = Part(PartKind.SWITCH, block, switch.name, pins, name, drive, words(name))
    pressed = is_pressed(mapping, switch.name)
    return part._replace(normally="closed" if pressed else "open", is_stop=pressed)


_RELAYS: Final = ("K", "Q")
"""Class letters of what a person doesn't press: relays, contactors (IEC 81346-2)."""


def is_pressed(mapping: Mapping, contact: str, what: str | None = None) -> bool:
    """Whether a contact of that name is the emergency stop's own, no relay's that the stop acts by."""
    stop = mapping.stop
    return stop is not None and stop.is_called(contact, what) and not contact.upper().startswith(_RELAYS)


def _switch_name(mapping: Mapping, name: str) -> str:
    controls = [(other, mapping.control(other)) for other in mapping.control_names]
    given = {other: one.switch for other, one in controls if isinstance(one, SwitchedControl)}
    taken = {switch.name for switch in given.values() if switch is not None}
    # "wire 1 from S1:1 to S1": where the drive's terminals are called so too, nobody knows which is which
    taken |= {label for _, control in controls for _, label in drive_ends(control)}
    taken |= {*mapping.drive.strip}
    chains = (one.chain for _, one in controls if isinstance(one, SwitchedControl))
    taken |= {contact.name for chain in chains for contact in chain}
    unnamed = [other for other, switch in given.items() if switch is None]
    names = (f"S{count}" for count in range(1, 1000))
    # a bench switch by the emergency stop's name would pass for it
    free = (one for one in names if one not in taken and not is_pressed(mapping, one))
    return dict(zip(unnamed, free, strict=False))[name]


def _output_part(drive: str, name: str, control: SwitchedControl, output: Output) -> Part:
    kind, stem = PartKind.LOGIC, ""
    if output.kind == "isolated":
        turned = polarity(control)[0] is Sign.MINUS
        plus, minus = ("common", "input") if turned else ("input", "common")
        kind, stem = PartKind.ISOLATED, _stem(output.plus, output.minus)
        pins = _pins((plus, output.plus, Sign.PLUS), (minus, output.minus, Sign.MINUS))
    elif output.kind == "contact":
        ends = zip(("input", "common"), output.terminals or (), strict=False)
        kind, pins = PartKind.CONTACT, _pins(*((role, label, Sign.NONE) for role, label in ends))
    else:
        if output.kind == "open-collector":
            kind = PartKind.HIGH_SIDE if output.joins == "plus" else PartKind.OPEN_COLLECTOR
        pins = _pins(("input", output.signal, Sign.PLUS), ("common", output.common, Sign.MINUS))
    return Part(kind, BlockKind.CONTROLLER, stem, pins, name, drive, words(name))


def _stem(plus: str | None, minus: str | None) -> str:
    """Return what two terminal labels share: "OUT1" for "OUT1+" and "OUT1-"."""
    both = takewhile(lambda pair: pair[0] == pair[1], zip(plus or "", minus or "", strict=False))
    return "".join(one for one, _ in both).rstrip(" .:-_/+")


def _speed(drive: str, name: str, control: SpeedControl, stage: Stage) -> Part:
    source = control.source
    if source is not None and stage is Stage.FINAL:
        pins = _pins(("signal", source.signal, Sign.PLUS), ("common", source.common, Sign.MINUS))
        if source.feed is not None:  # its current comes in at its plus and leaves at the signal
            pins = _pins(("feed", source.plus, Sign.PLUS), ("signal", source.signal, Sign.MINUS))
        kind, said, shown = PartKind.ANALOG_SOURCE, words(name), source.rating
        if source.kind == "pulse":  # its range is there behind the converter only
            shown = f"{tr('pulses')} {source.level or ''}".rstrip()
        return Part(kind, BlockKind.CONTROLLER, "", pins, name, drive, said, shown)
    pot = control.potentiometer or Potentiometer()
    block = BlockKind.OPERATOR if source is None and stage is Stage.FINAL else BlockKind.BENCH
    low, wiper, high = (Terminal(block, f"{pot.name}:{label}", drive) for label in pot.terminals)
    ends = (Pin("supply", high), Pin("signal", wiper), Pin("common", low))
    return Part(PartKind.POTENTIOMETER, block, pot.name, ends, name, drive, words(name), pot.value or "")


# --- the drive's terminals ------------------------------------------------


def strip_terminals(
    mapping: Mapping, drive: str, wires: tuple[Wire, ...], free: tuple[Wire, ...], links: tuple[Link, ...]
) -> tuple[StripTerminal, ...]:
    """Return the terminals of a drive that controls and links name, in the order of the file or as fitted."""
    said: dict[Terminal, list[tuple[str, Sign]]] = {}
    for name in mapping.control_names:
        for label, function, sign in _functions(name, mapping.control(name)):
            said.setdefault(Terminal(BlockKind.DRIVE, label, drive), []).append((function, sign))
    ends = (end for link in links for end in (link.a, link.b) if end.home == (BlockKind.DRIVE, drive))
    said |= {terminal: [] for terminal in ends if terminal not in said}
    left = {wire.far for wire in free} - {wire.far for wire in wires}
    entries = []
    for terminal, own in said.items():
        function = ", ".join(dict.fromkeys(function for function, _ in own))
        entries.append(
            StripTerminal(terminal, function, _one_sign({sign for _, sign in own}), terminal in left)
        )
    return _as_fitted(entries, mapping.drive.strip)


def _as_fitted(entries: list[StripTerminal], strip: tuple[str, ...]) -> tuple[StripTerminal, ...]:
    """Put terminals in the order in which they stand on the drive; those it doesn't name come last."""
    place = {label: index for index, label in enumerate(strip)}
    out: list[StripTerminal] = []
    before = -1
    for entry in sorted(entries, key=lambda entry: place.get(entry.terminal.label, len(strip))):
        here = place.get(entry.terminal.label)
        out.append(entry if here is None else entry._replace(gap=here - before - 1))
        before = before if here is None else here
    return tuple(out)


def _one_sign(signs: set[Sign]) -> Sign:
    if {Sign.PLUS, Sign.MINUS} <= signs:
        return Sign.UNKNOWN  # readings contradict each other: the checks say so
    return next((sign for sign in (Sign.PLUS, Sign.MINUS, Sign.UNKNOWN) if sign in signs), Sign.NONE)


def _functions(
    name: str, control: SwitchedControl | SpeedControl | DriveContact
) -> Iterator[tuple[str, str, Sign]]:
    signs: dict[str, Sign] = {}
    if isinstance(control, SwitchedControl):
        signs = dict(zip(("input", "common"), _input_signs(control), strict=True))
    elif isinstance(control, SpeedControl) and control.source is not None:
        signs = {"signal": Sign.PLUS, "common": Sign.MINUS}
    said = {
        "input": words(name),
        "common": tr("speed common") if isinstance(control, SpeedControl) else tr("switch common"),
        "feed": tr("feed of the analog output") if name == "speed" else tr("feed for the switches"),
        "signal": tr("speed signal"),
        "reference": tr("reference supply"),
        "terminals": tr("{name} contact", name=words(name)),
    }
    yield from ((label, said[key], signs.get(key, Sign.NONE)) for key, label in drive_ends(control))


def _input_signs(control: SwitchedControl) -> tuple[Sign, Sign]:
    """Return the marks at input and common: by the reading, an empty one where nobody took it; then by
    construction for an output that feeds plus, and for a contact, which can't be turned round, none to be
    proved.
    """
    output = control.output
    if control.sign_v is not None or output is None or output.kind == "isolated" or output.is_one_way:
        return polarity(control)
    return (Sign.NONE, Sign.NONE) if output.kind == "contact" else (Sign.PLUS, Sign.MINUS)
