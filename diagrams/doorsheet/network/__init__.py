"""Network room: voltages and currents of a direct-current network whose figures are ranges.

Takes elements and gives answers; it knows nothing of mappings, drives, controllers or sheets.
"""

from __future__ import annotations

from doorsheet.network.answer import Answer, Memory, Network
from doorsheet.network.elements import (
    Element,
    Figure,
    Node,
    contact,
    current_source,
    diode,
    input_by_limit,
    input_by_ohm,
    input_by_type,
    potentiometer,
    resistor,
    supply,
    transistor_between,
    transistor_closed,
    transistor_open,
)

__all__ = [
    "Answer",
    "Element",
    "Figure",
    "Memory",
    "Network",
    "Node",
    "contact",
    "current_source",
    "diode",
    "input_by_limit",
    "input_by_ohm",
    "input_by_type",
    "potentiometer",
    "resistor",
    "supply",
    "transistor_between",
    "transistor_closed",
    "transistor_open",
]
