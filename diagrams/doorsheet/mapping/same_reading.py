"""When two readings are of one thing, as far as a meter tells.

Room: mapping.  Apart from `meter`, so that what only compares figures need not be able to read lines.
"""

from __future__ import annotations

from typing import Final

__all__ = ["SAME_V", "signs_differ"]

SAME_V: Final = 0.5
"""Two readings of the same thing may always lie this far apart, V (common practice, no source)."""


def signs_differ(one: float, other: float) -> bool:
    """Whether two readings, V, are of opposite sign and neither is as good as nothing."""
    return one * other < 0 and min(abs(one), abs(other)) > SAME_V
