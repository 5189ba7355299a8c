"""Mappings of several drives on one controller, for tests of every room."""

from __future__ import annotations

__all__ = ["TWO_PUMPS", "plant"]

TWO_PUMPS = """\
machine = "Transfer pumps"

[controller]
name = "Station controller"
conductors-per-terminal = 4

[drives.pump-1]
name = "1.5 kW drive"
discharge = "10 min"
selectors = [{ name = "SW1", set = "down" }]

[drives.pump-1.run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-" }
meter = 24.3

[drives.pump-1.speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }

[drives.pump-1.fault]
terminals = ["RA", "RC"]
input = { signal = "IN1", common = "0V" }

[drives.pump-2]
name = "0.75 kW drive"
discharge = "5 min"
serial = "SN 0815"

[drives.pump-2.run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT2+", minus = "OUT2-" }
meter = 24.1

[drives.pump-2.speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO2", common = "0V" }
"""
"""Two pumps whose terminals are called alike, and a 0 V of the controller that both share."""

_SWITCHED = ("run-forward", "enable", "fault-reset")


def plant(drives: int, sharing: int = 4) -> str:
    """Return a machine of so many drives with ten wires each; `sharing` of them share a 0 V and a 24 V."""
    lines = ['machine = "Pumping station"', "[controller]", "conductors-per-terminal = 8"]
    for number in range(1, drives + 1):
        drive, group = f"drives.pump-{number}", (number - 1) // sharing + 1
        lines += [f"[{drive}]", f'name = "{number % 3 + 1}.5 kW drive"', 'discharge = "10 min"']
        lines += ["conductors-per-terminal = 4"]
        for index, name in enumerate(_SWITCHED, 1):
            output = f"Q{len(_SWITCHED) * (number - 1) + index}"
            lines += [f"[{drive}.{name}]", f'input = "DI{index}"', 'common = "COM"', "meter = 24.3"]
            lines += [f'output = {{ plus = "{output}+", minus = "{output}-" }}']
        lines += [f"[{drive}.speed]", 'signal = "AI1"', 'common = "AGND"', 'supply = "+10V"']
        lines += [f'source = {{ signal = "AO{number}", common = "{group}M" }}']
        lines += [f"[{drive}.fault]", 'terminals = ["RA", "RC"]']
        lines += [f'input = {{ signal = "IN{number}", common = "{group}L" }}']
    return "\n".join(lines) + "\n"
