"""When two readings are of one thing, as far as a meter tells, and when one can kill.

Apart from `meter`, so that what only compares figures need not be able to read lines.
"""

from typing import Final

__all__ = [
    "DANGEROUS_AC_V",
    "DANGEROUS_V",
    "PLAUSIBLE_V",
    "SAME_V",
    "SUPPLY_TOLERANCE",
    "least_of_supply",
    "proves_sign",
    "signs_differ",
]  # fmt: skip

SAME_V: Final = 0.5
"""Two readings of the same thing may always lie this far apart, V (common practice, no source)."""


DANGEROUS_V: Final = 60.0
"""The most of a protective extra-low voltage on a machine, V DC, in dry places: EN 60204-1 6.4.1 a), quoted
word for word in a public engineers' mailing list.  What reads more is no supply of inputs."""

DANGEROUS_AC_V: Final = 25.0
"""The same of alternating current, V AC: the same paragraph."""

PLAUSIBLE_V: Final = (8.0, 30.0)
"""An open input of its own supply reads from here to here (see the source of the check P104)."""


SUPPLY_TOLERANCE: Final = 0.2
"""How far a single given supply voltage may be out.

IEC 61131-2 has 20.4 V to 28.8 V on 24 V (seen at second hand); taken as a fifth both ways.
"""


_LOGIC_V: Final = 2.0
"""What reads less may be a diode's drop, or stray (common practice, no source)."""


def least_of_supply(low_v: float) -> float:
    """Return from where on a reading is a supply's, V, where the supply is given: 5 V logic has 4 V."""
    return max(_LOGIC_V, min(PLAUSIBLE_V[0], low_v * (1 - SUPPLY_TOLERANCE)))


def proves_sign(volts: float, least: float = PLAUSIBLE_V[0]) -> bool:
    """Whether an open reading is a supply's, from the least on, and so shows which of its two points is plus.

    Stray volts have a sign too, and so has what a closed switch or a diode drops: it says nothing.
    """
    return least <= abs(volts) <= DANGEROUS_V


def signs_differ(one: float, other: float) -> bool:
    """Whether two readings, V, are of opposite sign and neither is as good as nothing."""
    return one * other < 0 and min(abs(one), abs(other)) > SAME_V
