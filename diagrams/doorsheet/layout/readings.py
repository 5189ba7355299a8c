"""A reading as the short figures that stand in the columns of its terminal's row (room: layout).

The only place of this room that knows how `Reading` holds its figures.
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from doorsheet.circuit.parts import Reading

__all__ = ["Cells", "reading_cells", "said_in_words"]


class Cells(NamedTuple):
    """Two figures under their headings; an empty one is a box to write into, None is nothing at all."""

    heads: tuple[str, str]
    unit: str
    figures: tuple[str | None, str | None]


_HEADS: Final = {
    "open": ("open", "closed"),
    "low": ("least", "most"),
    "supply": ("", ""),
}
_BLANK: Final = re.compile(r"_+")
_STATE: Final = re.compile(
    r"\b(open|closed|stopped|stop|half|full speed|full|low end|high end|low|mid|top)\b"
)


def reading_cells(reading: Reading | None) -> Cells | None:
    """Return the figures of a reading; None where the meter's figure is not asked for.

    >>> from doorsheet.circuit.parts import Terminal
    >>> at = Terminal("drive", "DI1")
    >>> reading_cells(Reading("1", at, None, "open 24.3 V, closed 0 to 0.4 V*", "default")).figures
    ('24.3', '0–0.4*')
    >>> reading_cells(Reading("5", at, None, "0 V low end, ______ V high end", "rule"))
    Cells(heads=('least', 'most'), unit='V', figures=('0', ''))
    """
    if reading is None or reading.against == reading.terminal or said_in_words(reading):
        return None
    parts = reading.text.split(", ")
    unit = "mA" if "mA" in reading.text else "V"
    figures = [_figure(part) for part in parts]
    if len(parts) == 1:
        return Cells(_HEADS["supply"], unit, (figures[0], None))
    kind = "open" if parts[0].startswith("open") else "low"
    return Cells(_HEADS[kind], unit, (figures[0], figures[-1]))


def said_in_words(reading: Reading | None) -> str:
    """Return what a reading says of a contact of the drive, which has no voltage of its own."""
    text = reading.text if reading is not None else ""
    return text.removeprefix("contact ") if text.startswith("contact ") else ""


def _figure(part: str) -> str:
    """Return "24.3", "0–0.4*", "" for a blank.

    >>> _figure("closed within ±0.4 V*"), _figure("closed 0 to −0.4 V*"), _figure("open ______ V")
    ('±0.4*', '0 to −0.4*', '')
    """
    bare = _STATE.sub("", part.replace("within ", "").replace("to ±", "±"))
    bare = re.sub(r"\s*\bm?[VA]\b", "", bare).strip()
    if _BLANK.search(bare):
        return ""
    return bare if "−" in bare else bare.replace(" to ", "–")
