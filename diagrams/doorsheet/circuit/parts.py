"""What is joined at one stage: blocks, parts, terminals, wires, links, screens.

Plain values that never change, with the mapping's words in them; how they come about is in
`doorsheet.circuit.join`, what is wrong with them in `doorsheet.checks`.  Named tuples
where nothing needs more: such a class costs a tenth of a dataclass to import, in every cold run.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Literal, NamedTuple, TypeAlias

from doorsheet.mapping.reading import Source
from doorsheet.trade.colours import WireColour
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "Block", "BlockKey", "BlockKind", "Circuit", "Expected", "Join", "Link", "OnWay", "Part",
    "PartKind", "Pin", "Rail", "Reading", "ScreenRound", "Sign", "Stage", "Step", "StripTerminal", "Terminal",
    "Use", "Wire", "cable_of", "of_drive",
]  # fmt: skip


class Stage(StrEnum):
    """What commands a control: bench parts, or what stays."""

    BENCH = "bench"
    FINAL = "final"


Use: TypeAlias = tuple[str, str]
"""A control of a machine: its drive ("" for a single one) and its name there."""


class Step(NamedTuple):
    """A state of the changeover: the controls in `moved` are on the controller, the others on the bench."""

    name: str  # "bench", the control that has just moved, or "final"
    moved: frozenset[Use]
    drive: str = ""  # of several, the one whose control has just moved
    just_moved: tuple[str, ...] = ()  # that control, and those that move with it

    def stage_of(self, drive: str, control: str) -> Stage:
        """Return which end of the changeover a control stands at."""
        return Stage.FINAL if self.name == "final" or (drive, control) in self.moved else Stage.BENCH

    @property
    def called(self) -> str:
        """What a user calls it: "run-forward", of several drives "pump-1.run-forward"."""
        return f"{self.drive}.{self.name}" if self.drive else self.name


def of_drive(drive: str, words: str) -> str:
    """Return words with the name of the drive that they are about, where there are several.

    >>> of_drive("pump-1", "DI1"), of_drive("", "DI1")
    ('pump-1 DI1', 'DI1')
    """
    return f"{drive} {words}" if drive else words


class BlockKind(StrEnum):
    """Who owns a group of parts; each block is one frame on the sheet."""

    CONTROLLER = "controller"
    BENCH = "bench"
    OPERATOR = "operator"
    FIELD = "field"
    DRIVE = "drive"


BlockKey: TypeAlias = tuple[BlockKind, str]
"""A frame of a machine: what it is and whose, "" for a single drive's and for the controller's."""


class Block(NamedTuple):
    """A frame of the sheet."""

    kind: BlockKind
    title: str
    drive: str = ""  # of several; the controller is of all of them

    @property
    def key(self) -> BlockKey:
        """What tells it from the others."""
        return self.kind, self.drive

    @property
    def full(self) -> str:
        """The title as a person reads it, with the drive's name where there are several."""
        if not self.drive:
            return self.title
        if self.kind is not BlockKind.DRIVE:
            return tr("{drive}: {frame}", drive=self.drive, frame=self.title.lower())
        # one without a name of its own is called by its table's
        return self.drive if self.title == tr("Drive") else f"{self.drive}: {self.title}"


class Terminal(NamedTuple):
    """One terminal: the block it belongs to, its label as printed, and whose it is of several drives."""

    block: BlockKind
    label: str
    drive: str = ""  # "" for a single drive, and for what several share: the controller

    def __str__(self) -> str:
        return self.label

    @property
    def home(self) -> BlockKey:
        """The frame that it stands in."""
        return self.block, self.drive

    @property
    def full(self) -> str:
        """The label, with the drive's name where there are several."""
        return of_drive(self.drive, self.label)


class Sign(StrEnum):
    """Polarity of a terminal."""

    PLUS = "+"
    MINUS = "−"
    UNKNOWN = "?"  # asked for, but no reading says it
    NONE = ""  # does not matter here


class PartKind(StrEnum):
    """What a part is, and so which symbol stands for it."""

    ISOLATED = tr_later("isolated output")
    CONTACT = tr_later("relay contact")
    OPEN_COLLECTOR = tr_later("open-collector output")
    HIGH_SIDE = tr_later("output that joins to plus")
    LOGIC = tr_later("logic-level output")
    SWITCH = tr_later("switch")
    POTENTIOMETER = tr_later("potentiometer")
    ANALOG_SOURCE = tr_later("analog output")
    CONTROLLER_INPUT = tr_later("controller input")
    DRIVE_CONTACT = tr_later("drive contact")
    RESISTOR = tr_later("resistor")
    FIELD_CONTACT = tr_later("contact on the machine")
    CONVERTER = tr_later("converter")


_RUNS: Final = ("run-forward", "run-reverse", "jog", "enable")
"""Controls without which the motor stands."""


class Pin(NamedTuple):
    """One connection of a part: its role there, the terminal it is led to, its polarity."""

    role: str
    terminal: Terminal
    sign: Sign = Sign.NONE


class Part(NamedTuple):
    """A switch, output, source or contact; pins in the order of its symbol, top to bottom."""

    kind: PartKind
    block: BlockKind
    name: str
    pins: tuple[Pin, ...]
    control: str
    drive: str  # that its control commands
    caption: str = ""  # what stands beside the symbol: "run forward"
    rating: str = ""  # what stands in the symbol: "0–10 V", "10 kohm"
    normally: Literal["open", "closed"] | None = None  # a contact while nothing acts on it; None is not known
    is_stop: bool = False  # the emergency stop's own contact, which opens where it is pressed

    @property
    def home(self) -> BlockKey:
        """The frame that it stands in."""
        return self.block, "" if self.block is BlockKind.CONTROLLER else self.drive

    @property
    def may_start(self) -> bool:
        """Whether it is a contact that starts the motor by closing again, if the drive lets it: its command
        still stands.  Letting out the emergency stop's own is proved with the stop.
        """
        return self.kind is PartKind.FIELD_CONTACT and self.control in _RUNS and not self.is_stop


def cable_of(cable: str, drive: str) -> tuple[str, str]:
    """Identify a cable: by its name, which drives may share; without a name it is the drive's own."""
    return ("", cable) if cable else (drive, "")


class Wire(NamedTuple):
    """One conductor with two ends."""

    number: str
    colour: WireColour
    colour_given: bool
    near: Terminal  # at the controller, the switch or the potentiometer
    far: Terminal  # at the drive
    control: str
    role: str
    controls: tuple[str, ...]  # every control that uses it; more than one for a shared return
    job: str
    cable: str
    drive: str = ""  # that its controls command
    way: "tuple[OnWay, ...]" = ()  # where it stands for the whole way to the drive: what comes before it

    @property
    def in_cable(self) -> bool:
        """Whether it lies in its control's cable; a loop at the controller lies in none."""
        return self.far.block is not BlockKind.CONTROLLER

    @property
    def conductors(self) -> "tuple[Wire, ...]":
        """Each conductor of its way by itself, from its near end on; most wires are one."""
        if not self.way:
            return (self,)
        return (*(on.wire for on in self.way), self._replace(near=self.way[-1].leaves, way=()))

    @property
    def uses(self) -> frozenset[Use]:
        """Its controls, each with the drive."""
        return frozenset((self.drive, control) for control in self.controls)


class OnWay(NamedTuple):
    """A conductor on the way to the drive, and the part that it leads into, which the next one leaves."""

    wire: Wire
    part: Part
    leaves: Terminal


class StripTerminal(NamedTuple):
    """A terminal of the drive that the sheet shows."""

    terminal: Terminal
    function: str
    sign: Sign
    free: bool = False
    gap: int = 0  # terminals of the strip as fitted that stand before it and aren't shown


class Link(NamedTuple):
    """A jumper between two terminals of one block: a link on the drive's strip, a bridge between switches."""

    a: Terminal
    b: Terminal
    note: str
    kind: Literal["link", "bridge"] = "link"


class Join(NamedTuple):
    """What joins two terminals of one frame left of the channel, drawn there: a bridge, or a looped wire."""

    a: Terminal
    b: Terminal
    wire: Wire | None = None  # None: a bridge


class ScreenRound(NamedTuple):
    """A screen round the wires of one control, as drawn round all of a cable with a name."""

    control: str
    drive: str
    wires: tuple[str, ...]
    earthed: str  # "drive", "controller", "both", "none"
    terminal: str  # where the drain lands, "" when not said
    cable: str = ""


class Rail(NamedTuple):
    """A terminal rail between controller and drive; wires keep their terminals through all stages."""

    name: str
    terminals: tuple[tuple[str, int], ...]  # a wire's number, and that of its terminal on the rail
    bridges: tuple[tuple[str, ...], ...] = ()  # wires joined there: the first alone goes on to the drive
    is_numbered: bool = False  # as it is drawn; until then the numbers are only the wires' order

    def number(self, wire: str) -> int:
        """Return the number of the terminal that a wire goes through; ValueError before it has one."""
        if not self.is_numbered:
            raise ValueError("a rail is numbered as it is drawn: layout.arrange.numbered")
        return dict(self.terminals)[wire]

    def label(self, wire: str) -> str:
        """Return that terminal as one writes it: "X1:3"; ValueError before the rail is numbered."""
        return f"{self.name}:{self.number(wire)}"

    def onward(self, wire: str) -> str:
        """Return the wire that goes on to the drive for one that ends on the rail, "" for any other."""
        return next((group[0] for group in self.bridges if wire in group[1:]), "")


class Expected(NamedTuple):
    """One figure of a reading, unrounded: its state, its ends, and what it was computed from.

    States: "open", "closed", "current" of a switch input; "low", "mid", "high" of a potentiometer;
    "rest", "half", "full", "reverse" of a source; "supply".
    """

    state: str
    low: float | None  # None for a blank
    high: float | None
    unit: str  # V or A
    origin: str  # "measured", "computed", "default" (leans on one), "blank"
    lines: tuple[int, ...] = ()  # of the mapping, where the facts stand that it is worked out from
    missing: tuple[str, ...] = ()  # of a blank: what would have to be known
    defaults: tuple[str, ...] = ()  # the defaults that it leans on, in words
    either_sign: bool = False  # which way round the meter reads is not known
    read: tuple[float, float] | None = None  # of a computed one: what the meter showed, where it agrees

    @property
    def shown(self) -> "Expected":
        """The figure as a sheet has it: where somebody read one that agrees, that."""
        if self.read is None:
            return self
        return self._replace(low=self.read[0], high=self.read[1], origin="measured", defaults=(), read=None)


class Reading(NamedTuple):
    """What the meter must show at the drive's end of a wire; words for it are in `reading_words`."""

    wire: str
    terminal: Terminal
    against: Terminal | None  # where the black lead stands; the terminal itself for the common's own wire
    values: tuple[Expected, ...]
    contact: str = ""  # of a contact that reports back, at rest: "open", "closed" or "unknown"

    def value(self, state: str) -> Expected | None:
        """Return the figure of one state, if it has one."""
        return next((value for value in self.values if value.state == state), None)


@dataclass(frozen=True, slots=True)
class Circuit:
    """Everything that is wired to what at one stage, in the order of the file."""

    step: Step
    source: Source
    blocks: tuple[Block, ...]
    parts: tuple[Part, ...]
    wires: tuple[Wire, ...]
    strip: tuple[StripTerminal, ...]
    links: tuple[Link, ...]
    screens: tuple[ScreenRound, ...]
    readings: tuple[Reading, ...]
    free_wires: tuple[Wire, ...]  # of other stages, not fitted at this one: their far ends are free
    free_parts: tuple[Part, ...] = ()  # what stands on the way in the end, and isn't fitted yet
    rail: Rail | None = None
    as_fitted: bool = False  # the strip stands in the drive's own order
    moved: frozenset[str] = frozenset()  # numbers of the wires that this step moved, fitted or took off
    stubs: tuple[Wire, ...] = ()  # wires that a drawing ends on the way: at a bridge of the rail, at a part
    joins: tuple[Join, ...] = ()  # bridges and loops that a drawing shows at the frames' outer edges
    aside: tuple[Wire, ...] = ()  # conductors whose ends a drawing says in words
    told: tuple[str, ...] = ()  # what else a drawing says under itself
    in_line: bool = True  # parts on a wire's way are drawn there; else its plate names them

    @property
    def stage(self) -> Stage:
        """BENCH as long as nothing has moved, FINAL when everything has or some has."""
        return Stage.BENCH if self.step.name == "bench" else Stage.FINAL

    @property
    def drives(self) -> tuple[str, ...]:
        """The drives shown, by name, from top to bottom; one without a name where there is but one."""
        return tuple(block.drive for block in self.blocks if block.kind is BlockKind.DRIVE)

    @property
    def drives_moved(self) -> frozenset[str]:
        """The drives of which this step moved, fitted or took off a wire."""
        of = {wire.number: wire.drive for wire in (*self.wires, *self.free_wires)}
        return frozenset(of[number] for number in self.moved)

    @property
    def conductors(self) -> tuple[Wire, ...]:
        """The wires to the drive, each conductor by itself where parts stand on the way."""
        return tuple(each for wire in self.wires for each in wire.conductors)

    @property
    def shown(self) -> tuple[Wire, ...]:
        """Every conductor that a drawing shows or says, once each, by number: loops and stubs as well."""
        loops = (join.wire for join in self.joins if join.wire is not None)
        each = {wire.number: wire for wire in (*self.conductors, *self.aside, *self.stubs, *loops)}
        return tuple(each[number] for number in sorted(each, key=lambda number: (len(number), number)))

    def wire(self, number: str) -> Wire:
        """Return the wire with that number."""
        return next(wire for wire in self.wires if wire.number == number)

    def fed_by(self, stub: Wire) -> tuple[Wire, Part] | None:
        """Return the way, and the part there, that a wire feeds; None for one that ends on the rail."""
        ways = ((wire, on.part) for wire in self.wires for on in wire.way)
        return next((way for way in ways if stub.far in (pin.terminal for pin in way[1].pins)), None)

    def on_rail(self, wire: Wire) -> str:
        """Return the rail's terminal, "X1:3", of a wire that goes over it at this stage, else nothing."""
        if self.rail is None or wire.far.block is not BlockKind.DRIVE:
            return ""
        return self.rail.label(wire.number)

    def lands(self, wire: Wire) -> str:
        """Return where a wire's far end lands: a terminal's label, or "bridge to X1:1" of one that ends on
        the rail, where another goes on to the drive for it.
        """
        if self.rail is not None and (onward := self.rail.onward(wire.number)):
            return tr("bridge to {terminal}", terminal=self.rail.label(onward))
        return wire.far.full

    def through(self, wire: Wire) -> str:
        """Return the words " through X1:3" for a wire that goes over the terminal rail, else none."""
        label = self.on_rail(wire)
        return " " + tr("through {terminal}", terminal=label) if label else ""

    def reading_of(self, number: str) -> Reading | None:
        """Return the reading expected at the drive's end of that wire, if one is."""
        return next((reading for reading in self.readings if reading.wire == number), None)
