"""A laid-out schematic at its place: grid steps turned into millimetres, once.

Before the drawing is enlarged: `doorsheet.page.finish` does that with everything at once.
"""

from collections.abc import Mapping
from typing import NamedTuple, TypeAlias

from doorsheet.circuit.parts import BlockKey, BlockKind, Circuit, Sign, Terminal
from doorsheet.layout import Ordered
from doorsheet.layout.plan import GRID_MM, Plan
from doorsheet.layout.strip import Strip

__all__ = ["FrameTexts", "Places", "Way", "terminal_group"]

Way: TypeAlias = tuple[tuple[float, float], ...]
"""Corners of a wire, mm."""


class FrameTexts(NamedTuple):
    """What a frame says over its first row and under its last one."""

    title: tuple[str, ...]
    head: tuple[str, ...]
    foot: tuple[str, ...]


class Places(NamedTuple):
    """What is drawn, and where its columns and rows lie; (0, 0) is column 0 at the plan's top."""

    ordered: Ordered
    plan: Plan
    strip: Strip
    texts: Mapping[BlockKey, FrameTexts]

    @property
    def circuit(self) -> Circuit:
        """What is drawn."""
        return self.ordered.circuit

    def x(self, col: float) -> float:
        """Return the place of a column, mm."""
        return col * GRID_MM

    def y(self, row: float) -> float:
        """Return the place of a row, mm."""
        return (row - self.plan.top) * GRID_MM

    def edge_row(self, terminal: Terminal) -> float:
        """Return the row of a terminal at the frames' outer edge, in steps."""
        row = self.ordered.spine.backs.get(terminal, terminal)
        return next(t.middle for placed in self.plan.left for t in placed.terminals if t.terminal == row)

    @property
    def rail_x(self) -> float:
        """Return the middle of the terminal rail, mm."""
        return self.x(self.plan.columns.rail or 0)

    def sign(self, terminal: Terminal) -> Sign:
        """Return the polarity mark of a terminal."""
        if terminal.block is BlockKind.DRIVE:
            return self.strip.rows[terminal].sign
        pins = (pin for part in self.circuit.parts for pin in part.pins)
        return next((pin.sign for pin in pins if pin.terminal == terminal), Sign.NONE)


def terminal_group(terminal: Terminal) -> str:
    """Return the name of the group of items that a terminal is."""
    return "terminal-" + " ".join(filter(None, (terminal.block.value, terminal.drive, terminal.label)))
