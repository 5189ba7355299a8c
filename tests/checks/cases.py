"""For every code the mapping that trips it and the change that is just enough to cure it.

The mappings are the examples of the table of codes; a cure replaces words in one.
"""

from __future__ import annotations

from itertools import pairwise

from doorsheet.checks import run_checks
from doorsheet.circuit.codes import CODES
from doorsheet.checks.finding import Finding
from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Stage
from doorsheet.mapping.reading import parse_mapping

__all__ = ["CURES", "FAMILIES", "cured", "found", "tripping"]

KNOWN = """
[stop]
category = "0"
hardware = "contactor K9"
"""

ALL_KNOWN = """
[drive]
isolated = "yes"
manual = "Manual 12, edition 3"
discharge = "5 min"

[drive.inputs]
type = 3
current = "5 mA"

[controller.outputs]
voltage = "60 V"
current = "100 mA"
leakage = "0.1 mA"
"""

FAMILIES = {"O202": "O201", "A102": "A101"}
"""The same question asked twice, mildly and sharply: a cure of the sharp one may leave the mild one."""

CURES: dict[str, tuple[str, ...]] = {
    # code: words to replace, words instead, and so on; just inside the bound where there is one
    "T101": ('[run-reverse]\ninput  = "DI1"', '[run-reverse]\ninput  = "DI2"'),
    "T102": ('"Y1+", minus = "Y1-" }\nmeter  = 24.3\n\n', '"Y9+", minus = "Y1-" }\nmeter  = 24.3\n\n'),
    "T103": ('"DI3"\ncommon = "COM"', '"DI3"\ncommon = "CM3"'),
    "L101": ('input  = "DI1"\n', 'input  = "DI1"\ncommon = "COM"\n'),
    "L102": ('["DI1", "COM"]', '["DI9", "COM"]'),
    "L103": ('["+24V", "COM"]', '["+24V", "EXT"]'),
    "N101": ('["+10V", "AI1"]', '["+10V", "AI2"]'),
    "N102": ('["COM", "AGND"]', '["COM", "AGND"], note = "manual, page 12"'),
    "N103": ('minus = "0V"', 'minus = "Y1-"'),
    "N104": ('signal = "AI1"\ncommon = "COM"', 'signal = "AI1"\ncommon = "AGND"'),
    "P101": ('minus = "Y1-" }\n', 'minus = "Y1-" }\nmeter = 24.3\n'),
    "P102": ("meter  = -24.3", "meter  = 24.3"),
    "P103": ("meter  = -24.3", "meter  = 24.3"),
    "P104": ("meter  = 4.2", "meter  = 8.0"),
    "P105": ("meter  = 0", "meter  = 8"),
    "P106": ("meter  = 12.1", "meter  = 19.2"),  # 24 V less 20 %
    "P107": ("meter-closed = 14", "meter-closed = 13.2"),  # leaves 11.1 V of 24.3 V; on at 11 V
    "B101": ('common = "COM"\n', 'common = "COM"\nfeed = "+24V"\n'),
    "R101": ("black on DI1: 24.3 V", "black on DI1: -24.3 V"),
    "R102": ("-21.8 V", "-21.9 V"),  # 24.3 V less a tenth is 21.87 V
    "R103": ("21.9 V", "21.8 V"),
    "R104": ("25.5 V", "25.2 V"),  # 24.2 V and 5 % of the largest: 25.47 V; and less than 1 V from 24.3 V
    "R105": ("19.4 V", "19.5 V"),  # 24.3 V less a fifth is 19.44 V
    "R106": ("23.2 V", "23.3 V"),
    "R107": ("9.89 V", "9.9 V"),
    "R108": ("9.79 V", "9.8 V"),
    "O101": ('{ kind = "logic-level", signal = "P5", common = "GND" }', '{ plus = "Y1+", minus = "Y1-" }'),
    "O201": ('voltage = "24 V"', 'voltage = "24.3 V"'),
    "O202": ('voltage = "30 V"', 'voltage = "30.4 V"'),  # 1.25 x 24.3 = 30.375
    "O203": ('reverse = "7 V"', 'reverse = "24 V"'),
    "O204": ('current = "4 mA"', 'current = "5 mA"'),
    "O205": ('saturation = "1.2 V"', 'saturation = "1 V"'),  # 24 - 1 = 23
    "O206": ('leakage = "2 mA"', 'leakage = "1.5 mA"'),
    "O207": ('minimum = "10 mA"', 'minimum = "5 mA"'),
    "O208": ('"ac"', '"dc"'),
    "O209": ('"pulses"', '"off"'),
    "A101": ('value = "1 kohm"', 'value = "1.06 kohm"'),  # 9.434 + 0.5 = 9.934 mA
    "A102": ('value = "1.2 kohm"', 'value = "1.34 kohm"'),  # 7.463 + 0.5 = 7.963 mA
    "A103": ('power = "10 mW"', 'power = "20 mW"'),  # 10^2 / 5000
    "A104": ('value = "10 kohm"', 'value = "1.35 kohm"'),  # k = 0.0675: 0.985 %
    "A105": ('"logarithmic"', '"linear"'),
    "A106": ("4-20 mA", "0-10 V"),
    "A201": (', range = "0-5 V"', ', range = "0-10 V"'),
    "A202": ('range = "4-20 mA"', 'range = "0-10 V"'),
    "A203": ('range  = "2-10 V"', 'range  = "0-10 V"'),
    "A204": ('range  = "0-20 mA"', 'range  = "4-20 mA"'),
    "A205": ('range  = "0-5 V"', 'range  = "0-10 V"'),
    "A301": ('load = "6 kohm"', 'load = "5 kohm"'),  # two of 10 kohm in parallel
    "A302": ('resistance = "200 ohm"', 'resistance = "101 ohm"'),  # 101/10101 = 0.99990 %
    "A303": ('resistance = "10 kohm"', 'resistance = "49.5 kohm"'),  # 500/50000
    "A304": ('length    = "4000 m"', 'length    = "1940 m"'),  # 2 x 1.94 x 26 = 100.9 ohm
    "A305": ('top = "9.5 V"', 'top = "9.8 V"'),
    "A306": ('series = "10 kohm"', 'series = "202 ohm"'),  # 202/20202 = 0.99990 %
    "A401": ('compliance = "24 V"', 'compliance = "12 V"'),
    "S101": ('"both"', '"drive"'),
    "S102": ('"none"', '"controller"'),
    "W101": ('input = "brown"', 'input = "white"'),
    "W102": ('common = { number = "7" }', 'common = { number = "8" }'),
    "W103": ('common = "black"', 'common = "brown"'),
    "W104": ("cores = 1", "cores = 2"),
    "C101": ("green-yellow", "violet"),
    "C102": ('"green"', '"violet"'),
    "C103": ("white/green", "white/violet"),
    "C104": ("gold", "violet"),
    "C105": ('region = "US"', 'region = "IEC"'),
    "C106": ('common = "brown"', 'common = "white/blue"'),
    "C107": ('region = "US"', 'region = "IEC"'),
    "F101": ("[run-forward]", '[drive]\ndischarge = "5 min"\n\n[run-forward]'),
    "F102": ('"no"', '"yes"'),
    "F103": ('"unknown"', '"yes"'),
    "X101": ("[run-forward]", KNOWN + "\n[run-forward]"),
    "X102": ('"none"', '"contactor K9"'),
    "X103": ('"forward"', '"stops"'),
    "U101": ("[run-forward]", ALL_KNOWN + "\n[run-forward]"),
}


def tripping(code: str) -> str:
    return f'machine = "Example"\n{CODES[code].example}'


def cured(code: str) -> str:
    text = tripping(code)
    words = CURES[code]
    for old, new in list(pairwise(words))[::2]:
        assert old in text, f"{code}: nothing to replace: {old}"
        text = text.replace(old, new)
    return text


def found(text: str, stages: tuple[Stage, ...] = (Stage.BENCH, Stage.FINAL)) -> tuple[Finding, ...]:
    """Return every finding of a mapping's text, each once."""
    read = parse_mapping(text, "example.toml")
    return tuple(dict.fromkeys(f for stage in stages for f in run_checks(read, join(read, stage))))
