# ruff: noqa: E501 (rows of a table, read across)
"""Speed signals with one mistake each, and the nearest right mapping.

Every mistake was made on paper first, from what people do wrong; none is copied from a check's example.
"""

from __future__ import annotations

from tests.checks.planted_switches import Planted

__all__ = ["PLANTS"]

BENCH = """\
[drive.reference]
voltage = "10 V"
current = "10 mA"
[drive.analog]
resistance = "100 kohm"
limit = "12 V"
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "0-10 V"
potentiometer = { value = "10 kohm", taper = "linear", power = "100 mW" }
"""

VOLTS = """\
readings = [
    "red on AI1, black on AGND: 10 V, unplugged at 100 %",
    "red on AI1, black on AGND: 9.98 V, plugged at 100 %",
    "red on AI1, black on AGND: 4.99 V, plugged at 50 %",
]
[drive]
links = [{ between = ["DI9", "X9"] }]
[drive.reference]
voltage = "10 V"
[drive.analog]
resistance = "20 kohm"
limit = "12 V"
[[cables]]
name = "W1"
length = "10 m"
conductor = "0.5 mm2"
screen = true
[[cables]]
name = "W2"
length = "10 m"
screen = false
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter = 24.0
cable = "W3"
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "0-10 V"
source = { signal = "AO1", common = "0V", range = "0-10 V", resistance = "20 ohm", load = "1 kohm" }
cable = "W1"
screen = "drive"
"""

LOOP = """\
[[drive.settings]]
number = "P12"
meaning = "what follows when the signal is lost"
topic = "signal-loss"
set = "stop"
[drive.analog]
resistance = "250 ohm"
[speed]
signal = "AI2"
common = "AGND"
range = "4-20 mA"
[speed.source]
signal = "AO2"
common = "0V"
range = "4-20 mA"
powered-by = "controller"
load = "500 ohm"
"""

BURDEN = """\
[[drive.settings]]
number = "P12"
meaning = "what follows when the signal is lost"
topic = "signal-loss"
set = "stop"
[drive.analog]
resistance = "100 kohm"
limit = "15 V"
[speed]
signal = "AI1"
common = "AGND"
range = "2-10 V"
burden = "500 ohm"
[speed.source]
signal = "AO2"
common = "0V"
range = "4-20 mA"
powered-by = "controller"
"""

SIGNS = """\
[drive.analog]
resistance = "20 kohm"
[run-forward]
input = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter = 24.0
[speed]
signal = "AI1"
common = "AGND"
range = "+-10 V"
source = { signal = "AO1", common = "0V", range = "+-10 V" }
"""

PULSES = """\
[drive.analog]
resistance = "20 kohm"
limit = "12 V"
[run-forward]
input = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q0", common = "0V" }
meter = 24.0
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "0-10 V"
[speed.source]
kind = "pulse"
signal = "PWM"
common = "0V"
level = "5 V"
frequency = "5 kHz"
[speed.source.converter]
name = "U1"
input = "IN"
input-common = "G1"
output = "OUT"
output-common = "G2"
supply = "V+"
supply-from = "24V"
filter = "22 ms"
isolated = "yes"
"""

TWO = """\
[drives.left.analog]
resistance = "20 kohm"
[drives.left.speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = { signal = "AO1", common = "0V", resistance = "50 ohm", load = "2 kohm" }
[drives.right.analog]
resistance = "20 kohm"
[drives.right.speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = { signal = "AO1", common = "0V", resistance = "50 ohm", load = "2 kohm" }
"""

_SOURCE = (
    'source = { signal = "AO1", common = "0V", range = "0-10 V", resistance = "20 ohm", load = "1 kohm" }'
)
_READ_FULL = '"red on AI1, black on AGND: 9.98 V, plugged at 100 %"'
_READ_HALF = '"red on AI1, black on AGND: 4.99 V, plugged at 50 %"'


def _source(more: str) -> str:
    return f'source = {{ signal = "AO1", common = "0V", {more} }}'


def _plants(right: str, rows: tuple[tuple[str, str, str, str, str, str], ...]) -> list[Planted]:
    return [Planted(name, right, *row) for name, *row in rows]


# fmt: off
PLANTS = (
    *_plants(
        BENCH,
        (
            ("pot of 1 kohm on 10 mA", '"10 kohm"', '"1 kohm"', "A101", "speed", "potentiometer"),
            ("pot of 500 ohm", '"10 kohm"', '"500 ohm", tolerance = "20 %"', "A101", "speed", "potentiometer"),
            ("reference gives 1 mA", '"10 mA"', '"1 mA"', "A101", "speed", "potentiometer"),
            ("pot takes nine tenths", '"10 mA"', '"1.2 mA"', "A102", "speed", "potentiometer"),
            ("tiny trimmer", '"100 mW"', '"5 mW"', "A103", "speed", "potentiometer"),
            ("input of 10 kohm", '"100 kohm"', '"10 kohm"', "A104", "speed", "potentiometer"),
            ("pot of 100 kohm", '"10 kohm"', '"100 kohm"', "A104", "speed", "potentiometer"),
            ("audio track", '"linear"', '"logarithmic"', "A105", "speed", "potentiometer"),
            ("input left in mA", '"0-10 V"', '"0-20 mA"', "A106", "speed", "range"),
            ("reference of 5 V", 'voltage = "10 V"', 'voltage = "5 V"', "A107", "speed", "range"),
            ("input set to 0-5 V", '"0-10 V"', '"0-5 V"', "A107", "speed", "range"),
            ("the end has no supply", 'supply = "+10V"\n', "", "A108", "speed", "potentiometer"),
            ("fed from 24 V", 'voltage = "10 V"', 'voltage = "24 V"', "A401", "speed", "signal"),
        ),
    ),
    *_plants(
        VOLTS,
        (
            ("5 V source", 'range = "0-10 V", resistance', 'range = "0-5 V", resistance', "A201", "speed", "range"),
            ("10 V into 5 V", 'range = "0-10 V"\nsource', 'range = "0-5 V"\nsource', "A205", "speed", "range"),
            ("live zero expected", 'range = "0-10 V"\nsource', 'range = "2-10 V"\nsource', "A203", "speed", "range"),
            ("source left in mA", 'range = "0-10 V", resistance = "20 ohm", load = "1 kohm"', 'range = "4-20 mA", compliance = "11 V"', "A202", "speed", "range"),
            ("input left in mA", 'range = "0-10 V"\nsource', 'range = "0-20 mA"\nsource', "A202", "speed", "range"),
            ("top of 9.6 V", _SOURCE, _source('top = "9.6 V"'), "A305", "speed", "source"),
            ("top above the range", _SOURCE, _source('top = "11 V"'), "A205", "speed", "range"),
            ("top in mA", _SOURCE, _source('top = "20 mA"'), "A206", "speed", "source"),
            ("top of one volt", _SOURCE, _source('top = "1 V"'), "A206", "speed", "source"),
            ("top above the limit", _SOURCE, _source('top = "12.5 V"'), "A401", "speed", "signal"),
            ("output of 500 ohm", '"20 ohm"', '"500 ohm"', "A302", "speed", "source"),
            ("many inputs", '"1 kohm" }', '"1 kohm", other-inputs = ["2 kohm", "2 kohm"] }', "A301", "speed", "source"),
            ("weak output", 'load = "1 kohm"', 'load = "30 kohm"', "A301", "speed", "source"),
            ("burden left on volts", 'cable = "W1"\nscreen', 'burden = "500 ohm"\ncable = "W1"\nscreen', "A301", "speed", "source"),
            ("filter of 10 kohm", 'cable = "W1"\nscreen', 'series = "10 kohm"\ncable = "W1"\nscreen', "A306", "speed", "series"),
            ("4 km of thin wire", '"10 m"\nconductor', '"4000 m"\nconductor', "A304", "speed", ""),
            ("24 V read", _READ_FULL, '"red on AI1, black on AGND: 24.1 V"', "A701", "", '"red on AI1, black on AGND: 24.1'),
            ("full signal exchanged", _READ_FULL, '"red on AI1, black on AGND: -9.98 V, plugged"', "A703", "", '"red on AI1, black on AGND: -9.98'),
            ("signal exchanged", _READ_HALF, '"red on AI1, black on AGND: -5.0 V, plugged"', "A703", "", '"red on AI1, black on AGND: -5.0'),
            ("leads turned, so negative", _READ_HALF, '"red on AGND, black on AI1: 5.0 V, plugged"', "A703", "", '"red on AGND, black on AI1: 5.0'),
            ("reference sags", _READ_HALF, '"red on +10V, black on AGND: 4.1 V"', "A704", "", '"red on +10V, black on AGND: 4.1'),
            ("reference is another terminal", _READ_HALF, '"red on +10V, black on AGND: 24.2 V"', "P113", "", '"red on +10V, black on AGND: 24.2'),
            ("half of half", _READ_HALF, '"red on AI1, black on AGND: 2.5 V, plugged at 50 %"', "A706", "", '"red on AI1, black on AGND: 2.5'),
            ("output stuck at zero", _READ_HALF, '"red on AI1, black on AGND: 0 V, unplugged at 50 %"', "A706", "", '"red on AI1, black on AGND: 0'),
            ("sags on plugging", "9.98 V, plugged at 100 %", "9.7 V, plugged at 100 %", "R107", "", '"red on AI1, black on AGND: 9.7'),
            ("sags while running", _READ_FULL + ",\n    " + _READ_HALF, '"red on AI1, black on AGND: 9.98 V, stopped", "red on AI1, black on AGND: 8 V, running"', "R108", "", '"red on AI1, black on AGND: 9.98'),
            ("screen at both ends", 'screen = "drive"', 'screen = "both"', "S101", "speed", "screen"),
            ("screen nowhere", 'screen = "drive"', 'screen = "none"', "S102", "speed", "screen"),
            ("screen of a cable without", 'cable = "W1"\nscreen', 'cable = "W2"\nscreen', "S104", "speed", "screen"),
            ("cable without a screen", 'cable = "W1"\nscreen = "drive"', 'cable = "W2"', "S105", "speed", ""),
            ("24 V in the signal's cable", 'cable = "W3"', 'cable = "W1"', "S106", "speed", "cable"),
        ),
    ),
    Planted("commons joined and apart", VOLTS.replace('"DI9", "X9"] }', '"COM", "AGND"], note = "as the manual" }'), _READ_HALF, '"red on COM, black on AGND: 2.2 V"', "A705", "", '"red on COM, black on AGND: 2.2'),
    *_plants(
        LOOP,
        (
            ("nobody says who powers", 'powered-by = "controller"\n', "", "A503", "speed.source", ""),
            ("powered-by unknown", '"controller"\n', '"unknown"\n', "A503", "speed.source", ""),
            ("the drive powers it, past its supply", '"controller"', '"drive"', "A504", "speed.source", "powered-by"),
            ("both power it", 'powered-by = "controller"', 'powered-by = "drive"\ncompliance = "15 V"', "A501", "speed.source", "powered-by"),
            ("can't push that far", 'load = "500 ohm"', 'compliance = "4 V"', "A301", "speed.source", ""),
            ("more ohms than it drives", '"500 ohm"', '"200 ohm"', "A301", "speed.source", ""),
            ("long loop, push not known", 'resistance = "250 ohm"', 'resistance = "700 ohm"', "A301", "speed.source", ""),
            ("loss not decided", 'topic = "signal-loss"', 'topic = "display"', "A209", "speed", "range"),
            ("live zero on 0-20", 'common = "AGND"\nrange = "4-20 mA"', 'common = "AGND"\nrange = "0-20 mA"', "A204", "speed", "range"),
            ("0-20 on a live zero", 'common = "0V"\nrange = "4-20 mA"', 'common = "0V"\nrange = "0-20 mA"', "A203", "speed", "range"),
            ("input left in volts", 'common = "AGND"\nrange = "4-20 mA"', 'common = "AGND"\nrange = "2-10 V"', "A202", "speed", "range"),
            ("burden left in", "[speed.source]", 'burden = "500 ohm"\n[speed.source]', "A308", "speed", "burden"),
            ("top of 18 mA", 'load = "500 ohm"', 'top = "18 mA"', "A305", "speed.source", "top"),
            ("top in volts", 'load = "500 ohm"', 'top = "10 V"', "A206", "speed.source", "top"),
        ),
    ),
    *_plants(
        BURDEN,
        (
            ("burden left out", 'burden = "500 ohm"\n', "", "A202", "speed", "range"),
            ("burden of 250 ohm", '"500 ohm"', '"250 ohm"', "A201", "speed", "range"),
            ("burden of 600 ohm", '"500 ohm"', '"600 ohm"', "A205", "speed", "range"),
            ("input of 10 kohm beside it", '"100 kohm"', '"10 kohm"', "A303", "speed", "burden"),
            ("set to 0-10 V", '"2-10 V"', '"0-10 V"', "A204", "speed", "range"),
            ("nothing powers it", '"controller"', '"drive"', "A502", "speed.source", "powered-by"),
            ("push of 9 V", 'powered-by = "controller"', 'compliance = "9 V"', "A301", "speed.source", ""),
            ("push not known", '"500 ohm"', '"650 ohm"', "A307", "speed.source", ""),
        ),
    ),
    *_plants(
        SIGNS,
        (
            ("input of one sign", 'range = "+-10 V"\nsource', 'range = "0-10 V"\nsource', "A207", "speed", "range"),
            ("source of one sign", 'range = "+-10 V" }', 'range = "0-10 V" }', "A208", "speed", "range"),
            ("source of 0-5 V", 'range = "+-10 V" }', 'range = "0-5 V" }', "A201", "speed", "range"),
        ),
    ),
    *_plants(
        PULSES,
        (
            ("fed from 12 V", 'supply-from = "24V"', 'supply-from = "12V"', "A602", "speed.source.converter", ""),
            ("fed 12 V, as measured", 'supply-from = "24V"', 'supply-from = "24V"\nsupply-voltage = "11.8 V"', "A602", "speed.source.converter", ""),
            ("fed from the reference", 'supply-from = "24V"', 'supply-from = "+10V"', "A603", "speed.source.converter", ""),
            ("pulses of 1.8 V", 'level = "5 V"', 'level = "1.8 V"', "A604", "speed.source", "level"),
            ("pulses of 50 kHz", '"5 kHz"', '"50 kHz"', "A604", "speed.source", "frequency"),
            ("carrier of 500 Hz", '"5 kHz"', '"500 Hz"', "A605", "speed.source.converter", ""),
            ("quick filter", '"22 ms"', '"1 ms"', "A605", "speed.source.converter", ""),
            ("slow filter", '"22 ms"', '"470 ms"', "A606", "speed.source.converter", ""),
            ("not isolated", 'isolated = "yes"', 'isolated = "no"', "A607", "speed.source.converter", ""),
            ("isolation not known", 'isolated = "yes"\n', "", "A607", "speed.source.converter", ""),
            ("carrier not known", 'frequency = "5 kHz"\n', "", "A608", "speed.source", ""),
            ("no converter", PULSES[PULSES.index("[speed.source.converter]") :], "", "A601", "speed.source", ""),
        ),
    ),
    Planted("fed from 15 V, limit not known", BENCH.replace('limit = "12 V"\n', ""), 'voltage = "10 V"', 'voltage = "15 V"', "A402", "speed", "signal"),
    Planted("24 V read, limit not known", VOLTS.replace('limit = "12 V"\n', ""), _READ_FULL, '"red on AI1, black on AGND: 24.1 V"', "A701", "", '"red on AI1, black on AGND: 24.1'),
    Planted("13 V on a range of 10 V, which it bears", VOLTS.replace('"12 V"', '"15 V"'), _READ_FULL, '"red on AI1, black on AGND: 13.1 V"', "A702", "", '"red on AI1, black on AGND: 13.1'),
    Planted("a second drive of 1 kohm on one output", TWO, '[drives.right.analog]\nresistance = "20 kohm"', '[drives.right.analog]\nresistance = "1 kohm"', "A301", "drives.left.speed", "source"),
    Planted("one output of 500 ohm sags under two", TWO.replace("50 ohm", "60 ohm"), '[drives.right.analog]\nresistance = "20 kohm"', '[drives.right.analog]\nresistance = "5 kohm"', "A302", "drives.left.speed", "source"),
)
# fmt: on
"""Each with one mistake."""
