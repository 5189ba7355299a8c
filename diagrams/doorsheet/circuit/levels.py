"""Every level that is computed, from one place: see `switch_levels` and `speed_levels`.

Room: circuit.  Imported only for mappings that give figures.
"""

from doorsheet.circuit.level import Level
from doorsheet.circuit.speed_levels import (
    pot_current,
    pot_error,
    pot_levels,
    pot_power_w,
    source_levels,
    source_load_ohm,
    top_speed,
)
from doorsheet.circuit.switch_levels import (
    feed_v,
    input_closed_v,
    input_leak_a,
    input_leak_v,
    switch_closed_v,
    switch_current,
    switch_open_v,
    wires_drop_v,
)

__all__ = [
    "Level",
    "feed_v",
    "input_closed_v",
    "input_leak_a",
    "input_leak_v",
    "pot_current",
    "pot_error",
    "pot_levels",
    "pot_power_w",
    "source_levels",
    "source_load_ohm",
    "switch_closed_v",
    "switch_current",
    "switch_open_v",
    "top_speed",
    "wires_drop_v",
]
