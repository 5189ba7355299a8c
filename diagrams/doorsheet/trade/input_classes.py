"""Room `trade`: operating ranges of digital inputs by IEC 61131-2.

Read in a public article that quotes the table; nobody held the standard.
"""

from typing import Final, NamedTuple

__all__ = ["INPUT_CLASSES", "InputClass"]


class InputClass(NamedTuple):
    """Standard operating range of a 24 V DC input that sinks current, V and A.

    Surely on from `on_v` and `on_a`; surely off up to `off_v` or below `off_a`.
    """

    on_v: float
    on_a: float
    off_v: float
    off_a: float


INPUT_CLASSES: Final[dict[int, InputClass]] = {
    1: InputClass(on_v=15.0, on_a=0.002, off_v=5.0, off_a=0.0005),
    2: InputClass(on_v=11.0, on_a=0.006, off_v=5.0, off_a=0.002),
    3: InputClass(on_v=11.0, on_a=0.002, off_v=5.0, off_a=0.0015),
}
"""IEC 61131-2:2007, standard operating ranges of digital inputs (V, a public article quoting the table).

That off is sure up to 5 V or below the least transition current is from memory (M).
"""
