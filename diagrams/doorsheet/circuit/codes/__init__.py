"""Every code of a finding: what it means, by which rule, from which source.

Room: circuit.  The table is the one place where a code's severity, words and
source stand: checks, `doorsheet explain` and gallery/findings.md all read it.
Letters by subject: T terminals, L loops, N nets, P polarity and readings,
B bench, R readings against each other, O outputs and levels, A analog, S screens, W wires, C colours,
F facts of the drive, X stopping, U unknown.
"""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes.analog import ANALOG
from doorsheet.circuit.codes.code import Code
from doorsheet.circuit.codes.meter import METER
from doorsheet.circuit.codes.outputs import OUTPUTS
from doorsheet.circuit.codes.safety import SAFETY
from doorsheet.circuit.codes.structure import STRUCTURE
from doorsheet.circuit.codes.wires import WIRES

__all__ = ["CODES", "Code", "near_code"]

CODES: Final[dict[str, Code]] = {
    code.code: code for code in (*STRUCTURE, *METER, *OUTPUTS, *ANALOG, *WIRES, *SAFETY)
}
"""Each code's entry, in the order of the page."""


def near_code(wrote: str) -> str | None:
    """Return the code that `wrote` was most likely meant to be: same letter first, then same digits.

    >>> near_code("O2O1")
    'O201'
    """
    import difflib

    plain = wrote.strip().upper()
    if plain in CODES:
        return plain
    digits = plain[:1] + plain[1:].replace("O", "0").replace("I", "1").replace("L", "1")
    near = difflib.get_close_matches(digits, CODES, n=1, cutoff=0.6)
    return near[0] if near else None
