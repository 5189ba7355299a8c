"""Small mappings to vary: a lathe with its figures, and ways to change one line of it."""

from __future__ import annotations

from doorsheet.circuit.parts import BlockKind, Reading, Terminal
from doorsheet.electrics import Solved, solve
from doorsheet.electrics.figures import Figures
from doorsheet.mapping import parse_mapping

__all__ = ["LATHE", "at", "changed", "figures_of", "reading", "solved"]

LATHE = """\
machine = "Lathe"
[drive.inputs]
voltage = "24 V"
resistance = "4.7 kohm"
[drive.reference]
voltage = "10 V"
[drive.analog]
resistance = "10 kohm"
[controller]
supply = "24 V"
[controller.outputs]
saturation = "0.4 V"
leakage = "10 uA"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "O1+", minus = "O1-" }
meter = 24.0
[run-reverse]
input = "DI2"
common = "COM"
output = { plus = "O2+", minus = "O2-" }
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
potentiometer = { value = "2 kohm" }
source = { signal = "AO1", common = "0V", gives = "0-10 V", resistance = "50 ohm" }
"""


def changed(text: str = LATHE, /, **lines: str) -> str:
    """Return the lathe with other lines: ``meter="meter = -24.0"`` replaces the first that begins so."""
    rows = text.split("\n")
    for key, line in lines.items():
        start = key.replace("_", "-")
        place = next(index for index, row in enumerate(rows) if row.startswith(f"{start} = "))
        rows[place] = line
    return "\n".join(rows)


def solved(text: str = LATHE, stage: str = "final") -> Solved:
    return solve(parse_mapping(text, "lathe.toml"), stage)


def figures_of(text: str = LATHE) -> Figures:
    return Figures(parse_mapping(text, "lathe.toml"))


def at(label: str, drive: str = "") -> Terminal:
    return Terminal(BlockKind.DRIVE, label, drive)


def reading(text: str, label: str, stage: str = "final") -> Reading:
    """Return the reading at a terminal of the drive."""
    return next(found for found in solved(text, stage).circuit.readings if found.terminal.label == label)
