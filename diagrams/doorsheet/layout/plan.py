"""Finished geometry in grid steps: columns to the right, rows downwards, 2.5 mm each at full scale 1.

What the phases of this room hand on to `doorsheet.page`, which turns steps into millimetres once and
places nothing anew.  Wires, clamps and columns lie on whole steps; edges of frames and cells on halves.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

from doorsheet.circuit.parts import BlockKey, Terminal
from doorsheet.layout.clusters import Cluster

__all__ = [
    "GRID_MM", "NO_CROSSINGS", "SIZES", "Columns", "Corner", "Crossings", "End", "Frame",
    "PlacedCluster", "PlacedTerminal", "Plan", "Size", "Spacing", "WireRoute", "wire_rows",
]  # fmt: skip

GRID_MM: Final = 2.5
"""One grid step, mm, before the drawing is enlarged."""


class Size(NamedTuple):
    """How large a schematic is drawn: everything in it times `zoom`; heights of capitals, mm, before that."""

    zoom: float
    label: float  # terminals
    text: float  # numbers, colours, readings
    job: float  # what a terminal is for
    title: float  # of a frame
    under: bool = True  # the job stands under the label, not beside it
    colour_words: bool = False  # the colour's name stands at the wire
    air: float = 1.5  # over and under the words of a row together, at least, mm on paper

    @property
    def small(self) -> float:
        """By how much what is written in something must be larger, where all else is drawn smaller."""
        return 1.0 / min(1.0, self.zoom)

    @property
    def line(self) -> float:
        """Height of a line between rows, a heading or terminals that are not used: whole half steps."""
        return 2.5 if self.close else 2.0

    @property
    def close(self) -> bool:
        """Whether rows are so close that only letters which don't hang below their line have room."""
        return self.zoom < 0.8

    @property
    def sign(self) -> float:
        """The side of the square that a polarity mark stands in, mm."""
        return 4.4 * self.small


SIZES: Final = (
    Size(2.0, 3.5, 2.5, 1.75, 2.5, colour_words=True),
    Size(1.4, 5.0 / 1.4, 2.5, 2.5 / 1.4, 2.5, colour_words=True),
    Size(1.4, 5.0 / 1.4, 2.5, 2.5 / 1.4, 2.5, colour_words=True, air=0.98),
    Size(1.0, 3.5, 2.5, 2.5, 3.5),
    Size(1.0, 3.5, 2.5, 2.5, 3.5, under=False),
    Size(0.8, 3.5 / 0.8, 2.5 / 0.8, 2.5 / 0.8, 2.5 / 0.8, air=0.56),
    Size(0.8, 3.5 / 0.8, 2.5 / 0.8, 2.5 / 0.8, 2.5 / 0.8, under=False, air=0.56),
    Size(0.7, 5.0, 2.5 / 0.7, 2.5 / 0.7, 2.5 / 0.7, air=0.49),
    Size(0.7, 5.0, 2.5 / 0.7, 2.5 / 0.7, 2.5 / 0.7, under=False, air=0.49),
)
"""Tried in turn: capitals of terminals are 7, 5, 3.5 mm, all heights those of ISO 3098; in the last ones only
rows and symbols are smaller, no letter is.
"""


class Corner(NamedTuple):
    """A point of the grid."""

    col: int
    row: int


class End(NamedTuple):
    """One end of a wire at a terminal; `wire` is None for a terminal that has none."""

    terminal: Terminal
    wire: str | None
    stub: str | None = None  # a wire that ends on the way

    @property
    def number(self) -> str | None:
        """The wire that begins here, whether it goes across or ends on the way."""
        return self.wire or self.stub


class Spacing(NamedTuple):
    """Smallest distances between rows, in steps."""

    terminal: int = 3  # between terminals of one cluster
    clamp: int = 3  # between two wires at one terminal
    cluster: int = 4  # between clusters of one frame
    foreign: int = 2  # between a wire's row and any other wire's row across the channel
    drain: int = 1  # extra below a screened pair that is earthed there
    track: int = 2  # between two vertical legs
    lattice: int = 1  # every row is a multiple of it, so that the two sides meet on rows
    stretch: int = 999  # a side is stretched by so much at most to make a wire straight
    extra_tracks: int | None = None
    """Tracks beyond the density that may be used to keep wires from crossing twice; None: all it takes."""


@dataclass(frozen=True, slots=True)
class WireRoute:
    """The way one wire takes over the sheet, from its near terminal to the strip."""

    wire: str
    corners: tuple[Corner, ...]

    def __post_init__(self) -> None:
        for a, b in pairwise(self.corners):
            if (a.col == b.col) is (a.row == b.row):
                raise ValueError(f"wire {self.wire}: leg {a} to {b} is slanted or empty")

    @property
    def straight(self) -> bool:
        """Whether it has no bend."""
        return len(self.corners) == 2


class PlacedTerminal(NamedTuple):
    """A terminal with the row of each of its wires, top to bottom, and the edges of its cell, in steps."""

    terminal: Terminal
    rows: tuple[int, ...]
    wires: tuple[str | None, ...]
    top: float
    bottom: float

    @property
    def middle(self) -> float:
        """The row of its label, in steps; half a step where two wires are an odd distance apart."""
        return (self.rows[0] + self.rows[-1]) / 2


class PlacedCluster(NamedTuple):
    """A cluster with its placed terminals, top to bottom."""

    cluster: Cluster
    terminals: tuple[PlacedTerminal, ...]


def wire_rows(side: Iterable[PlacedCluster]) -> dict[str, int]:
    """Return the row of each wire's end on one side, in steps."""
    placed = (terminal for cluster in side for terminal in cluster.terminals)
    ends = (end for one in placed for end in zip(one.wires, one.rows, strict=True))
    return {wire: row for wire, row in ends if wire is not None}


class Frame(NamedTuple):
    """A block's frame: its upper and lower edge, in steps."""

    block: BlockKey
    top: float
    bottom: float


class Columns(NamedTuple):
    """Where things stand from left to right, in steps from the schematic's left edge."""

    left_frame: int  # left edge of the frames; joints lie on it and before it
    left_name: int
    left_cell: int  # left edge of the cells; the symbols' leads end here
    near: int  # clamps of the left cells
    label: int  # middle of the wire labels
    near_ring: int | None  # screens at the controller's end
    way: int  # where parts in a wire's way begin
    rail: int | None  # middle of the terminal rail's cells
    first_track: int
    far_ring: int | None
    far_label: int | None  # second label of the wires that bend
    far: int  # clamps of the strip
    right_cell: int  # right edge of the strip's cells; links and contacts of the drive lie beyond
    right_frame: int  # burdens lie beyond
    end: int


class Crossings(NamedTuple):
    """How often wires cross, of one sheet or of several together."""

    drawn: int
    needed: int  # a proved bound: no order of what is drawn crosses less
    extra: int = 0  # of those drawn: accepted for a narrower channel, beyond what the order asks for

    @property
    def proved(self) -> bool:
        """Whether it is proved that no drawing crosses less."""
        return self.drawn == self.needed

    @classmethod
    def summed(cls, sheets: "Iterable[Crossings]") -> "Crossings":
        """Return those of several sheets together; a bound for each is a bound for the sum."""
        return cls(*map(sum, zip(NO_CROSSINGS, *sheets, strict=True)))


NO_CROSSINGS: Final = Crossings(0, 0)


class Plan(NamedTuple):
    """The laid-out schematic."""

    size: Size
    left: tuple[PlacedCluster, ...]
    right: tuple[PlacedCluster, ...]
    routes: tuple[WireRoute, ...]
    frames: tuple[Frame, ...]
    columns: Columns
    top: float  # of the highest frame, in steps; not below 0
    bottom: float  # of the lowest
    crossings: Crossings
    beyond_cells: dict[tuple[Terminal, Terminal], int]  # links, contacts, burdens: steps right of the cells
