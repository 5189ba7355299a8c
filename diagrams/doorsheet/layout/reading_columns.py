"""A reading as the short figures that stand in the columns of its terminal's row (room: layout).

The only place of this room that knows how `Reading` holds its figures.
"""

from typing import Final, NamedTuple

from doorsheet.circuit.parts import Reading
from doorsheet.circuit.reading_words import cell
from doorsheet.trade.language import tr, tr_later

__all__ = ["Cells", "reading_cells", "said_in_words"]


class Cells(NamedTuple):
    """Two figures under their headings; an empty one is a box to write into, None is nothing at all."""

    heads: tuple[str, str]
    unit: str
    figures: tuple[str | None, str | None]


_PAIRS: Final = (
    ("open", "closed", (tr_later("open"), tr_later("closed"))),
    ("low", "high", (tr_later("least"), tr_later("most"))),
    ("reverse", "full", (tr_later("reverse"), tr_later("forward"))),
    ("rest", "full", (tr_later("least"), tr_later("most"))),
)
"""Two states that stand in one row, and the words over their columns."""


def reading_cells(reading: Reading | None) -> Cells | None:
    """Return the figures of a reading; None where the meter's figure is not asked for.

    >>> from doorsheet.circuit.parts import BlockKind, Expected, Terminal
    >>> opened = Expected("open", 24.3, 24.3, "V", "measured")
    >>> closed = Expected("closed", 0, 0.4, "V", "default")
    >>> reading_cells(Reading("1", Terminal(BlockKind.DRIVE, "DI1"), None, (opened, closed))).figures
    ('24.3', '0–0.4*')
    """
    if reading is None or reading.against == reading.terminal or not reading.values:
        return None
    for first, second, heads in _PAIRS:
        one, other = reading.value(first), reading.value(second)
        if one is not None and other is not None:
            return Cells(
                (tr(heads[0]), tr(heads[1])), "mA" if one.unit == "A" else "V", (cell(one), cell(other))
            )
    return Cells(("", ""), "V", (cell(reading.values[0]), None))


def said_in_words(reading: Reading | None) -> str:
    """Return what a reading says of a contact of the drive, which has no voltage of its own."""
    if reading is None or not reading.contact:
        return ""
    return tr("open at rest") if reading.contact == "open" else tr("closed at rest")
