"""What a finding's code means, and which codes are known so far (room: checks).

A code stands with its check, in the module of its subject: see `check`.  Here is
only what it is made of, and the order in which codes are shown.
"""

from typing import Final, NamedTuple

from doorsheet.checks.finding import Severity

__all__ = ["SUBJECTS", "Code", "add_code", "known_code", "known_codes"]

SUBJECTS: Final = {
    "T": "Terminals",
    "L": "Loops",
    "N": "Nets",
    "P": "Polarity and readings",
    "B": "Bench",
    "R": "Readings against each other",
    "O": "Outputs and levels",
    "A": "Speed signal",
    "S": "Screens",
    "W": "Wires",
    "C": "Colours",
    "F": "Facts of the drive",
    "X": "Stopping",
    "U": "Unknown",
}
"""What the first letter of a code stands for, in the order of the page."""


class Code(NamedTuple):
    """What a finding's code means; `example` is a mapping, but for its machine's name, that has it."""

    code: str
    severity: Severity
    title: str  # in a line, no full stop
    rule: str  # when it is found, and why it matters, in a sentence or two
    formula: str  # what is compared; "" when nothing is
    source: str  # the physical reason, or the standard with how it was seen, or "common practice, no source"
    example: str  # as TOML, without its `machine` line
    module: str  # where its check stands


_KNOWN: dict[str, Code] = {}


def add_code(code: Code) -> None:
    """Make a code known; raises ValueError for one that is known already, or of no subject."""
    if code.code in _KNOWN or code.code[0] not in SUBJECTS:
        raise ValueError(f"{code.code} of {code.module} is used already, or its letter is no subject")
    _KNOWN[code.code] = code


def known_code(code: str) -> Code:
    """Return what a code means; its check must have been imported."""
    return _KNOWN[code]


def known_codes() -> dict[str, Code]:
    """Return every code whose check has been imported: by subject, then by number."""
    subjects = tuple(SUBJECTS)
    return {code: _KNOWN[code] for code in sorted(_KNOWN, key=lambda code: (subjects.index(code[0]), code))}
