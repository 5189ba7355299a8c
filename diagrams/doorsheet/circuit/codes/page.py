"""The table of codes in words: for `doorsheet explain`, and as the page gallery/findings.md (room: circuit).

The page is written from the table, never by hand: a test compares the two.
"""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.codes import CODES, Code
from doorsheet.circuit.findings import Severity

__all__ = ["code_list", "explained", "findings_page"]

_SUBJECTS: Final = {
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
"""What the first letter of a code stands for."""

_INTRO: Final = """\
# Findings

What `doorsheet check` can say, by code. `doorsheet explain CODE` prints one entry. Written from the
table of codes by `doorsheet.circuit.codes.page.findings_page`: change the table, not this page.

- **stop**: don't connect; the sheet is marked across, and the command ends with 1.
- **caution**: it may work, and it may not; the sheet says so in its box.
- **note**: worth knowing; nothing more happens.

Each finding names file and line, wires and terminals, the figures with their origin (given, measured,
default, standard, computed), and what to do. Figures are ranges: a check holds at the worst corner,
and prints the corner. A clean check does not make a machine safe.
"""


def code_list() -> str:
    """Return every code with its severity and title, a line each."""
    width = max(len(severity) for severity in Severity)
    return "\n".join(f"{code.code}  {code.severity:{width}}  {code.title}" for code in CODES.values())


def explained(code: Code) -> str:
    """Return one entry as plain text: rule, formula, source, example."""
    from textwrap import fill, indent

    def part(name: str, text: str) -> str:
        return fill(text, 96, initial_indent=f"{name:9}", subsequent_indent=" " * 9)

    parts = [f"{code.code}  {code.severity}  {code.title}", "", part("Rule", code.rule)]
    if code.formula:
        parts.append(part("Formula", code.formula))
    parts += [part("Source", code.source), "Example", indent(code.example.rstrip(), "    ")]
    return "\n".join(parts)


def findings_page() -> str:
    """Return gallery/findings.md: every code, by subject."""
    parts = [_INTRO]
    for letter, subject in _SUBJECTS.items():
        parts.append(f"## {letter}: {subject}\n")
        parts += [_entry(code) for code in CODES.values() if code.code.startswith(letter)]
    return "\n".join(parts).rstrip() + "\n"


def _entry(code: Code) -> str:
    formula = f"Formula: `{code.formula}`\n\n" if code.formula else ""
    return (
        f"### {code.code}: {code.title}\n\n**{code.severity}.** {code.rule}\n\n{formula}"
        f"Source: {code.source}.\n\n```toml\n{code.example.rstrip()}\n```\n"
    )
