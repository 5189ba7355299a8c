"""Closed forms of the trade, and the tables of standards they rest on: numbers in, number out.

Room: circuit.  Nothing here knows a mapping; `levels` applies these to one.
Marks: V read in a public text that quotes the standard, M from memory,
C computed from the formula.  Nobody held an original standard, so a clause is
a place to look, no proof of conformity.
"""

from __future__ import annotations

from math import log
from typing import Final, NamedTuple

__all__ = [
    "ALPHA_20",
    "CONDUCTOR_OHM_PER_KM",
    "INPUT_CLASSES",
    "RHO_20",
    "InputClass",
    "awg_area_mm2",
    "awg_diameter_mm",
    "awg_ohm_per_km",
    "conductor_ohm_per_km",
    "discharge_s",
    "saturation_drive_a",
    "switched_current_a",
]

RHO_20: Final = 1 / 58
"""Resistivity of annealed copper at 20 °C, ohm mm2/m: IEC 60028:1925, NBS Handbook 100 (V)."""

ALPHA_20: Final = 0.00393
"""Temperature coefficient of copper's resistance at 20 °C, 1/K: IEC 60028 (V)."""

CONDUCTOR_OHM_PER_KM: Final[dict[tuple[int, bool], dict[float, float]]] = {
    (2, False): {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41},
    (2, True): {0.5: 36.7, 0.75: 24.8, 1.0: 18.2, 1.5: 12.2, 2.5: 7.56},
    (5, False): {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98},
    (5, True): {0.5: 40.1, 0.75: 26.7, 1.0: 20.0, 1.5: 13.7, 2.5: 8.21},
}
"""Most resistance of a conductor at 20 °C, ohm/km, by (class, tinned) and size in mm2.

IEC 60228 Tables 2 and 3 (V, makers' pages that quote them); class 1 equals class 2 in this range.
"""


def conductor_ohm_per_km(
    size_mm2: float, strand_class: int = 5, tinned: bool = False, temperature_c: float = 20.0
) -> float:
    """Return the most that 1 km of a copper conductor has, ohm, by IEC 60228 at `temperature_c`.

    KeyError for a size or class that the tables here don't hold: nothing is interpolated.

    >>> conductor_ohm_per_km(0.75)
    26.0
    """
    table = CONDUCTOR_OHM_PER_KM[2 if strand_class == 1 else strand_class, tinned]
    return table[size_mm2] * (1 + ALPHA_20 * (temperature_c - 20))


def awg_diameter_mm(gauge: int) -> float:
    """Return a solid wire's diameter: 0.127 mm x 92^((36 - gauge)/39), ASTM B258 (V)."""
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def awg_area_mm2(gauge: int) -> float:
    """Return a solid wire's cross section, from its diameter (C)."""
    return 0.7853981633974483 * awg_diameter_mm(gauge) ** 2


def awg_ohm_per_km(gauge: int, temperature_c: float = 20.0) -> float:
    """Return the resistance of 1 km of solid wire, ohm: `RHO_20` over its cross section (C).

    A stranded conductor of the same gauge has some 2 % more (from memory).
    """
    return 1000 * RHO_20 / awg_area_mm2(gauge) * (1 + ALPHA_20 * (temperature_c - 20))


def switched_current_a(supply_v: float, drop_v: float, input_ohm: float, wires_ohm: float = 0.0) -> float:
    """Return the current round one closed switch: what the supply has left over the resistances (C)."""
    return (supply_v - drop_v) / (input_ohm + wires_ohm)


def saturation_drive_a(collector_a: float, transfer_ratio: float) -> float:
    """Return the least LED current that saturates an optocoupler for `collector_a`.

    I(C) <= CTR x I(F) (V2: seen at second hand); ageing and heat may ask for twice that (M).
    """
    return collector_a / transfer_ratio


def discharge_s(resistance_ohm: float, capacitance_f: float, from_v: float, to_v: float) -> float:
    """Return how long an RC takes from one voltage to another, s: R C ln(V0/V) (V); 0 when it is there.

    Only for values that someone gives: Doorsheet never prints a discharge time it computed.
    """
    return 0.0 if from_v <= to_v else resistance_ohm * capacitance_f * log(from_v / to_v)


class InputClass(NamedTuple):
    """Standard operating range of a 24 V DC input that sinks current, V and A.

    Surely on from `on_v` and `on_a`; surely off up to `off_v` or below `off_a`.
    """

    on_v: float
    on_a: float
    off_v: float
    off_a: float
    most_v: float = 30.0
    most_a: float = 0.015


INPUT_CLASSES: Final[dict[int, InputClass]] = {
    1: InputClass(on_v=15.0, on_a=0.002, off_v=5.0, off_a=0.0005),
    2: InputClass(on_v=11.0, on_a=0.006, off_v=5.0, off_a=0.002, most_a=0.03),
    3: InputClass(on_v=11.0, on_a=0.002, off_v=5.0, off_a=0.0015),
}
"""IEC 61131-2:2007, standard operating ranges of digital inputs (V, a public article quoting the table).

That off is sure up to 5 V or below the least transition current is from memory (M).
"""
