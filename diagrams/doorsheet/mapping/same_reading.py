"""When two readings are of one thing, as far as a meter tells, and when one can kill.

Apart from `meter`, so that what only compares figures need not be able to read lines.
"""

from typing import Final

__all__ = [
    "DANGEROUS_AC_V",
    "DANGEROUS_V",
    "LOGIC_V",
    "MISSED_SHARE",
    "PLAUSIBLE_V",
    "REFERENCE_TOLERANCE",
    "SAME_V",
    "SUPPLY_TOLERANCE",
    "proves_sign",
    "signs_differ",
    "supply_reads",
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


MISSED_SHARE: Final = 0.02
"""Share of the range by which a signal may miss what its command gives (common practice, no source)."""

REFERENCE_TOLERANCE: Final = 0.1
"""Share by which a reference may read off what it is said to give (common practice, no source)."""

SUPPLY_TOLERANCE: Final = 0.2
"""How far a single given supply voltage may be out.

IEC 61131-2 has 20.4 V to 28.8 V on 24 V (seen at second hand); taken as a fifth both ways.
"""


LOGIC_V: Final = 2.0
"""What reads less may be a diode's drop, or stray (common practice, no source)."""


def supply_reads(low_v: float, high_v: float) -> tuple[float, float]:
    """Return from where to where a reading is of a supply that is given, V: 5 V logic begins at 4 V.

    What a switch input surely bears ends it: IEC 61131-2 has 30 V for one of 24 V, and a quarter more than is
    rated holds for other voltages too (6.25 V for 5 V, 60 V for 48 V).
    """
    least = max(LOGIC_V, min(PLAUSIBLE_V[0], low_v * (1 - SUPPLY_TOLERANCE)))
    return least, min(1.25 * high_v, DANGEROUS_V)


def proves_sign(volts: float, supply: tuple[float, float] = PLAUSIBLE_V) -> bool:
    """Whether an open reading is a supply's, within its bounds, and so shows which of its points is plus.

    Stray volts have a sign too, and so has what a closed switch or a diode drops: it says nothing.
    """
    return supply[0] <= abs(volts) <= supply[1]


def signs_differ(one: float, other: float) -> bool:
    """Whether two readings, V, are of opposite sign and neither is as good as nothing."""
    return one * other < 0 and min(abs(one), abs(other)) > SAME_V
