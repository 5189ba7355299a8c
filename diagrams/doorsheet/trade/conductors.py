"""Room `trade`: what a copper conductor's resistance can be, by standards and makers' tables.

Marks: V read in a public text that quotes the standard, C computed.  Nobody held an original standard,
so a clause is a place to look, no proof of conformity.
"""

from math import pi
from typing import Final

__all__ = [
    "ALPHA_20", "AWG_EXCESS", "CONDUCTOR_OHM_PER_KM", "RHO_20", "awg_most_ohm_per_km", "conductor_ohm_per_km",
]  # fmt: skip

RHO_20: Final = 1 / 58
"""Resistivity of annealed copper at 20 °C, ohm mm2/m: IEC 60028:1925, NBS Handbook 100 (V)."""

ALPHA_20: Final = 0.00393
"""Temperature coefficient of copper's resistance at 20 °C, 1/K: IEC 60028 (V)."""

CONDUCTOR_OHM_PER_KM: Final[dict[int, dict[float, float]]] = {
    2: {0.5: 36.7, 0.75: 24.8, 1.0: 18.2, 1.5: 12.2, 2.5: 7.56},
    5: {
        0.14: 138.0, 0.22: 99.0, 0.25: 79.0, 0.34: 56.0, 0.5: 40.1, 0.75: 26.7, 1.0: 20.0,
        1.5: 13.7, 2.5: 8.21,
    },
}  # fmt: skip
"""Most resistance of a tinned conductor at 20 °C, ohm/km, by class and size in mm2: plain ones have less.

From 0.5 mm2 on IEC 60228 Tables 2 and 3 (V, makers' pages that quote them); class 1 equals class 2 in this
range.  Below, where that standard does not reach, a cable maker's public table after DIN VDE 0295 (V).
"""

AWG_EXCESS: Final = 1.25
"""How much more than solid copper a stranded, tinned wire of a gauge can have: the most of published
charts is 24.5 % (41/40 tinned, 24 AWG), as compared in public makers' charts (V)."""


def conductor_ohm_per_km(size_mm2: float, strand_class: int = 5, temperature_c: float = 20.0) -> float:
    """Return the most that 1 km of a copper conductor has, ohm, at `temperature_c`.

    KeyError for a size or class that the tables here don't hold: nothing is interpolated.

    >>> conductor_ohm_per_km(0.75), conductor_ohm_per_km(0.75, 1)
    (26.7, 24.8)
    """
    table = CONDUCTOR_OHM_PER_KM[2 if strand_class == 1 else strand_class]
    return table[size_mm2] * (1 + ALPHA_20 * (temperature_c - 20))


def awg_most_ohm_per_km(gauge: int, temperature_c: float = 20.0) -> float:
    """Return the most that 1 km of a wire of a gauge has, stranded and tinned, ohm.

    `RHO_20` over the cross section of a solid wire (C), of 0.127 mm x 92^((36 - gauge)/39), ASTM B258 (V).
    """
    diameter_mm = float(0.127 * 92 ** ((36 - gauge) / 39))
    solid = 1000 * RHO_20 / (pi / 4 * diameter_mm**2)
    return AWG_EXCESS * solid * (1 + ALPHA_20 * (temperature_c - 20))
