"""Small mappings to vary: a lathe with its facts, and ways to change one line of it."""

from __future__ import annotations

from doorsheet.circuit.facts import Facts

from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Circuit, Reading, Stage
from doorsheet.mapping import parse_mapping

__all__ = ["LATHE", "changed", "facts_of", "joined", "reading"]

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
source = { signal = "AO1", common = "0V", resistance = "50 ohm" }
"""


def changed(**lines: str) -> str:
    """Return the lathe with other lines: ``meter="meter = -24.0"`` replaces the line that begins so."""
    text = LATHE
    for key, line in lines.items():
        rows = text.split("\n")
        start = key.replace("_", "-")
        place = next(index for index, row in enumerate(rows) if row.startswith(f"{start} = "))
        rows[place] = line
        text = "\n".join(rows)
    return text


def facts_of(text: str) -> Facts:
    return Facts(parse_mapping(text, "lathe.toml"))


def joined(text: str, stage: Stage = Stage.FINAL) -> Circuit:
    return join(parse_mapping(text, "lathe.toml"), stage)


def reading(text: str, terminal: str, stage: Stage = Stage.FINAL) -> Reading:
    """Return the reading at a terminal of the drive."""
    circuit = joined(text, stage)
    return next(reading for reading in circuit.readings if reading.terminal.label == terminal)
