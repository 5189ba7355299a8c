"""A laid-out schematic at its place on the page: grid steps turned into millimetres, once (page room)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, Sign, Wire
from doorsheet.layout.plan import GRID_MM, MeasureText, Plan
from doorsheet.page.display import Anchor, Role, Text

__all__ = ["LINE_MM", "Places"]

LINE_MM: Final = 4.2
"""From line to line of what is written beside symbols and in frames, mm."""


@dataclass(frozen=True, slots=True)
class Places:
    """What is drawn, and where its columns and rows lie."""

    circuit: Circuit
    plan: Plan
    left: float  # the x of column 0, mm
    top: float  # the y of row 0, mm
    measure: MeasureText

    def x(self, col: float) -> float:
        """Return the place of a column, mm."""
        return self.left + col * GRID_MM

    def y(self, row: float) -> float:
        """Return the place of a row, mm."""
        return self.top + row * GRID_MM

    @property
    def rail_x(self) -> float:
        """Return the middle of the terminal rail, mm."""
        return self.x(self.plan.columns.rail or 0)

    def text(
        self,
        x: float,
        y: float,
        content: str,
        cap: float,
        anchor: Anchor = "start",
        bold: bool = False,
        role: Role = Role.TEXT,
    ) -> Text:
        """Return a text as wide as it is measured."""
        return Text(x, y, content, cap, self.measure(content, cap, bold), anchor, bold, role)

    def screened_rows(self, wires: tuple[str, ...], at_drive: bool) -> tuple[int, int] | None:
        """Return first and last row of screened wires on one side; None when others stand between."""
        end = -1 if at_drive else 0
        rows = [route.corners[end].row for route in self.plan.routes if route.wire in wires]
        others = [route.corners[end].row for route in self.plan.routes if route.wire not in wires]
        if not rows or any(min(rows) < row < max(rows) for row in others):
            return None
        return min(rows), max(rows)

    def signs(self, wire: Wire) -> tuple[Sign, Sign]:
        """Return the polarity marks at a wire's near and far end."""
        pins = (pin for part in self.circuit.parts if part.block is not BlockKind.DRIVE for pin in part.pins)
        near = next((pin.sign for pin in pins if pin.terminal == wire.near), Sign.NONE)
        far = next((entry.sign for entry in self.circuit.strip if entry.terminal == wire.far), Sign.NONE)
        return near, far
