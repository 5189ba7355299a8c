"""Mappings of several drives on one controller, for tests of every room."""

from __future__ import annotations

from itertools import permutations

from doorsheet.mapping.controls import SWITCHED_NAMES

__all__ = ["LOOPED_PUMPS", "TWO_PUMPS", "everything", "plant"]

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

LOOPED_PUMPS = TWO_PUMPS.replace("[controller]", '[controller]\nreturns = "looped"') + "".join(
    f'[drives.{name}.enable]\ninput = "DI2"\ncommon = "COM"\nmeter = 24.0\n'
    f'output = {{ plus = "{output}+", minus = "{output}-" }}\n'
    for name, output in (("pump-1", "OUT3"), ("pump-2", "OUT4"))
)
"""The same pumps, each with two outputs whose returns are looped."""

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
        lines += [f'source = {{ signal = "AO{number}", common = "{group}M", gives = "0-10 V" }}']
        lines += [f"[{drive}.fault]", 'terminals = ["RA", "RC"]', 'normally = "open"']
        lines += [f'input = {{ signal = "IN{number}", common = "{group}L" }}']
    return "\n".join(lines) + "\n"


def everything(drives: int, sharing: int = 4, readings: int = 0) -> str:
    """Return a machine of so many drives with every control there is, and readings that nothing explains."""
    lines = ['machine = "Pumping station"', "[controller]", "conductors-per-terminal = 8"]
    labels = [*(f"DI{index}" for index in range(1, len(SWITCHED_NAMES) + 1)), "COM", "AGND", "RA", "RC"]
    for number in range(1, drives + 1):
        drive, group = f"drives.pump-{number}", (number - 1) // sharing + 1
        lines += [f"[{drive}]", 'discharge = "10 min"', "conductors-per-terminal = 8"]
        said = (
            f'"red on {red}, black on {black}: {3 + place * 1.37 % 20:.2f} V"'
            for place, (red, black) in zip(range(readings), permutations(labels, 2), strict=False)
        )
        lines += [f"readings = [{', '.join(said)}]", 'inputs = { voltage = "24 V", type = 3 }']
        for index, name in enumerate(SWITCHED_NAMES, 1):
            output = f"Q{len(SWITCHED_NAMES) * (number - 1) + index}"
            lines += [f"[{drive}.{name}]", f'input = "DI{index}"', 'common = "COM"']
            lines += [f'output = {{ plus = "{output}+", minus = "{output}-" }}']
        lines += [f"[{drive}.speed]", 'signal = "AI1"', 'common = "AGND"', 'reference = "+10V"']
        lines += [f'source = {{ signal = "AO{number}", common = "{group}M", gives = "0-10 V" }}']
        for name, (one, other, at) in {"fault": ("RA", "RC", "IN"), "running": ("RB", "RD", "IR")}.items():
            lines += [f"[{drive}.{name}]", f'terminals = ["{one}", "{other}"]']
            lines += [f'input = {{ signal = "{at}{number}", common = "{group}L" }}']
    return "\n".join(lines) + "\n"
