"""What is joined at one stage: blocks, parts, terminals, wires, links, screens.

Plain values that never change, with the mapping's words in them; how they come about is in
`doorsheet.circuit.join`, what is wrong with them in `doorsheet.checks`.  Named tuples
where nothing needs more: such a class costs a tenth of a dataclass to import, in every cold run.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, NamedTuple

from doorsheet.mapping.reading import Source
from doorsheet.trade.colours import WireColour

__all__ = [
    "Block",
    "BlockKind",
    "Circuit",
    "Elsewhere",
    "Expected",
    "FreeWire",
    "Link",
    "Part",
    "PartKind",
    "Pin",
    "Rail",
    "Reading",
    "ScreenRound",
    "Sign",
    "Stage",
    "Step",
    "StripTerminal",
    "Terminal",
    "Wire",
    "is_drive",
    "unit_of",
]


class Stage(StrEnum):
    """What commands a control: bench parts, or what stays."""

    BENCH = "bench"
    FINAL = "final"


class Step(NamedTuple):
    """A state of the changeover: the controls in `moved` are on the controller, the others on the bench."""

    name: str  # "bench", the control that has just moved, or "final"
    moved: frozenset[str]

    def stage_of(self, control: str) -> Stage:
        """Return which end of the changeover a control stands at."""
        return Stage.FINAL if self.name == "final" or control in self.moved else Stage.BENCH


def is_drive(block: str) -> bool:
    """Whether a block is a drive: the only one, or one of several ("drive pump-1")."""
    return block == "drive" or block.startswith("drive ")


def unit_of(block: str) -> str:
    """Return which of several drives a block belongs to; "" for what they share, and for a single drive.

    >>> unit_of("bench pump-1"), unit_of("controller")
    ('pump-1', '')
    """
    return block.partition(" ")[2]


class BlockKind(StrEnum):
    """Who owns a group of parts; each block is one frame on the sheet."""

    CONTROLLER = "controller"
    BENCH = "bench"
    OPERATOR = "operator"
    FIELD = "field"
    DRIVE = "drive"


class Block(NamedTuple):
    """A frame of the sheet: `key` is what terminals refer to, `title` what a person reads."""

    key: str
    kind: BlockKind
    title: str


class Terminal(NamedTuple):
    """One terminal: the block it belongs to and its label as printed."""

    block: str
    label: str

    def __str__(self) -> str:
        return self.label

    @property
    def full(self) -> str:
        """The label, with the drive's name where there are several."""
        return f"{unit} {self.label}" if (unit := unit_of(self.block)) else self.label


class Sign(StrEnum):
    """Polarity of a terminal."""

    PLUS = "+"
    MINUS = "−"
    UNKNOWN = "?"  # asked for, but no reading says it
    NONE = ""  # does not matter here


class PartKind(StrEnum):
    """What a part is, and so which symbol stands for it."""

    ISOLATED = "isolated output"
    CONTACT = "relay contact"
    OPEN_COLLECTOR = "open-collector output"
    HIGH_SIDE = "output that joins to plus"
    LOGIC = "logic-level output"
    SWITCH = "switch"
    POTENTIOMETER = "potentiometer"
    ANALOG_SOURCE = "analog output"
    CONTROLLER_INPUT = "controller input"
    DRIVE_CONTACT = "drive contact"
    RESISTOR = "resistor"
    FIELD_CONTACT = "contact on the machine"
    CONVERTER = "converter"


class Pin(NamedTuple):
    """One connection of a part: its role there, the terminal it is led to, its polarity."""

    role: str
    terminal: Terminal
    sign: Sign = Sign.NONE


class Part(NamedTuple):
    """A switch, output, source or contact; pins in the order of its symbol, top to bottom."""

    kind: PartKind
    block: str
    name: str
    pins: tuple[Pin, ...]
    control: str
    caption: str = ""  # what stands beside the symbol: "run forward"
    rating: str = ""  # what stands in the symbol: "0–10 V", "10 kohm"
    normally: Literal["open", "closed"] = "open"


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


class FreeWire(NamedTuple):
    """A wire of another stage that is not fitted at this one, and the terminal it leaves free."""

    number: str
    colour: WireColour
    far: Terminal
    job: str
    control: str = ""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Wires of a terminal that stand on another sheet."""

    terminal: Terminal
    wires: tuple[str, ...]
    sheet: int


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


@dataclass(frozen=True, slots=True)
class ScreenRound:
    """A screen round the wires of one control."""

    control: str
    wires: tuple[str, ...]
    earthed: str  # "drive", "controller", "both", "none"
    terminal: str  # where the drain lands, "" when not said
    alone: bool = True  # no ring of another screen goes round a wire of it: two rings there would be one
    ringed: bool = True  # its wires stand together at the drive, so that a ring can be drawn there
    footnoted: bool = False  # on a small sheet the words about it stand below, not at the ring


class Rail(NamedTuple):
    """A terminal rail between controller and drive; wires keep their terminals through all stages."""

    name: str
    terminals: tuple[tuple[str, int], ...]  # a wire's number, and that of its terminal on the rail

    def number(self, wire: str) -> int:
        """Return the number of the terminal that a wire goes through."""
        return dict(self.terminals)[wire]

    def label(self, wire: str) -> str:
        """Return that terminal as one writes it: "X1:3"."""
        return f"{self.name}:{self.number(wire)}"


class Expected(NamedTuple):
    """One figure of a reading, unrounded: its state, its ends, and what it was computed from."""

    state: str  # "open", "closed", "current", "low", "mid", "high", "stopped", "half", "full", "supply"
    low: float
    high: float
    unit: str  # V or A
    origin: str  # "measured", "computed"
    said_from: str  # "voltage of the inputs' supply 24 V (given, line 9); ..."
    lines: tuple[int, ...] = ()  # of the mapping, where those facts stand


@dataclass(frozen=True, slots=True)
class Reading:
    """What the meter must show at the drive's end of a wire, and where each figure is from."""

    wire: str
    terminal: Terminal
    against: Terminal | None
    text: str  # beside the terminal: "open 24.3 V, closed 0 V"
    origin: str  # "measured", "computed", "rule", "default" (leans on one), "blank"
    values: tuple[Expected, ...] = ()  # of a mapping that gives the facts to compute with


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
    free_wires: tuple[FreeWire, ...]
    sheet: int = 1  # of `sheets`, when the installation takes several
    sheets: int = 1
    elsewhere: tuple[Elsewhere, ...] = ()
    rail: Rail | None = None
    as_fitted: bool = False  # the strip stands in the drive's own order
    moved: frozenset[str] = frozenset()  # numbers of the wires that this step moved, fitted or took off
    tight: bool = False  # said in the fewest words, on lines as short as can be

    @property
    def stage(self) -> Stage:
        """BENCH as long as nothing has moved, FINAL when everything has or some has."""
        return Stage.BENCH if self.step.name == "bench" else Stage.FINAL

    def block(self, key: str) -> Block:
        """Return the block called `key`."""
        return next(block for block in self.blocks if block.key == key)

    def wire(self, number: str) -> Wire:
        """Return the wire with that number."""
        return next(wire for wire in self.wires if wire.number == number)

    def through(self, number: str) -> str:
        """Return the words " through X1:3" for a wire that goes over the terminal rail, else none."""
        return f" through {self.rail.label(number)}" if self.rail is not None else ""

    def reading_of(self, number: str) -> Reading | None:
        """Return the reading expected at the drive's end of that wire, if one is."""
        return next((reading for reading in self.readings if reading.wire == number), None)
