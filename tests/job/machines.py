"""Five made-up machines, as a person knows them at first, and as they really are."""

from __future__ import annotations

__all__ = [
    "HOIST",
    "HOIST_TRUTH",
    "PRESS",
    "PRESS_TRUTH",
    "PUMPS",
    "PUMPS_TRUTH",
    "ROLLS",
    "ROLLS_TRUTH",
    "SAW",
    "SAW_TRUTH",
    "STARTS",
]

SAW = """
machine = "Cold saw 7"
[run-forward]
input = "DI1"
output = { plus = "OUT1+", minus = "OUT1-" }
[run-reverse]
input = "DI2"
output = { plus = "OUT2+", minus = "OUT2-" }
[speed]
signal = "AI1"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
"""
"""Known at first: which terminals there are."""

_KNOWN = """
[drive]
discharge = "8 min"
manual = "M 4, edition 2"
isolated = "yes"
inputs = { voltage = "24 V", resistance = "4700 ohm", type = 1 }
analog = { resistance = "100 kohm" }
reference = { voltage = "10 V" }
[stop]
hardware = "contactor K1"
[controller.outputs]
voltage = "30 V"
current = "50 mA"
saturation = "0.3 V"
leakage = "10 uA"
[speeds]
full-scale = "3000 rpm"
"""

SAW_TRUTH = (
    SAW.replace('input = "DI1"', 'input = "DI1"\ncommon = "COM"\nmeter = 24.1')
    .replace('input = "DI2"', 'input = "DI2"\ncommon = "COM"\nmeter = 24.1')
    .replace('signal = "AI1"', 'signal = "AI1"\ncommon = "AGND"\nrange = "0-10 V"\npotentiometer = "10 kohm"')
    + _KNOWN
)

PRESS = """
machine = "Bender 2"
[run-forward]
input = "FWD"
output = { plus = "Q1+", minus = "Q1-" }
[speed]
signal = "II"
source = { signal = "AO", common = "AC", range = "4-20 mA", powered-by = "controller" }
[fault]
terminals = ["F1", "F2"]
input = { signal = "IN4", common = "0V" }
"""

PRESS_TRUTH = PRESS.replace('input = "FWD"', 'input = "FWD"\ncommon = "CM"\nmeter = -23.8').replace(
    'signal = "II"', 'signal = "II"\ncommon = "GND"\nrange = "4-20 mA"'
).replace('"controller" }', '"controller", compliance = "15 V" }') + _KNOWN.replace(
    '"100 kohm"', '"250 ohm"'
).replace('reference = { voltage = "10 V" }\n', "")

PUMPS = """
machine = "Booster, two pumps"
[drives.pump-1.run-forward]
input = "DI1"
output = { plus = "K1+", minus = "K1-" }
[drives.pump-2.run-forward]
input = "DI1"
output = { plus = "K2+", minus = "K2-" }
"""

_PUMP = """
[drives.{0}]
discharge = "{1}"
manual = "M 4"
isolated = "yes"
inputs = {{ voltage = "24 V", resistance = "4700 ohm", type = 1 }}
[drives.{0}.run-forward]
input = "DI1"
common = "COM"
meter = 24.0
output = {{ plus = "{2}+", minus = "{2}-" }}
"""

PUMPS_TRUTH = (
    'machine = "Booster, two pumps"\n'
    + _PUMP.format("pump-1", "5 min", "K1")
    + _PUMP.format("pump-2", "10 min", "K2")
    + """
[stop]
hardware = "contactors K11, K12"
[controller.outputs]
voltage = "30 V"
current = "50 mA"
saturation = "0.3 V"
leakage = "10 uA"
"""
)

HOIST = """
machine = "Yard hoist"
[run-forward]
input = "DI1"
output = { kind = "contact", terminals = ["K1:13", "K1:14"] }
[run-reverse]
input = "DI2"
output = { kind = "contact", terminals = ["K2:13", "K2:14"] }
[preset-speed-1]
input = "DI3"
output = { kind = "contact", terminals = ["K3:13", "K3:14"] }
"""

HOIST_TRUTH = HOIST.replace('"DI1"', '"DI1"\ncommon = "COM"\nmeter = 23.6').replace(
    '"DI2"', '"DI2"\ncommon = "COM"\nmeter = 23.6'
).replace('"DI3"', '"DI3"\ncommon = "COM"\nmeter = 23.6') + _KNOWN.replace(
    'analog = { resistance = "100 kohm" }\nreference = { voltage = "10 V" }\n', ""
)

ROLLS = """
machine = "Roll stand"
[run-forward]
input = "DI1"
output = { kind = "open-collector", signal = "Q1", common = "0V" }
[enable]
input = "DI2"
output = { kind = "open-collector", signal = "Q2", common = "0V" }
[speed]
signal = "AI1"
supply = "+10V"
source = { signal = "AO1", common = "A0" }
"""

ROLLS_TRUTH = (
    ROLLS.replace('input = "DI1"', 'input = "DI1"\ncommon = "COM"\nmeter = 24.4')
    .replace('input = "DI2"', 'input = "DI2"\ncommon = "COM"\nmeter = 24.4')
    .replace('signal = "AI1"', 'signal = "AI1"\ncommon = "AGND"\nrange = "0-10 V"\npotentiometer = "5 kohm"')
    + _KNOWN
)

STARTS = {
    "saw": {
        "machine": "Cold saw 7",
        "run-forward.input": "DI1",
        "run-reverse.input": "DI2",
        "speed.signal": "AI1",
        "speed.reference": "+10V",
        "run-forward.output": "isolated OUT1+ OUT1-",
        "run-reverse.output": "isolated OUT2+ OUT2-",
        "speed.source": "AO1 0V",
    },
    "pumps": {
        "machine": "Booster, two pumps",
        "drives": "pump-1, pump-2",
        "pump-1.run-forward.input": "DI1",
        "pump-1.run-forward.output": "isolated K1+ K1-",
        "pump-2.run-forward.input": "DI1",
        "pump-2.run-forward.output": "isolated K2+ K2-",
    },
    "rolls": {
        "machine": "Roll stand",
        "run-forward.input": "DI1",
        "enable.input": "DI2",
        "speed.signal": "AI1",
        "speed.reference": "+10V",
        "run-forward.output": "open-collector Q1 0V",
        "enable.output": "open-collector Q2 0V",
        "speed.source": "AO1 A0",
    },
}
"""What is known of three of them when `start` asks; of everything else nobody knows anything yet."""
