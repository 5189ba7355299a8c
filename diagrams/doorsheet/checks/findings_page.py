"""Every code in words: for `doorsheet explain`, and as the page gallery/findings.md.

The page is written from the checks, never by hand: tests compare them.
`python gallery/write_codes.py` writes both.
"""

from typing import Final

from doorsheet.checks import every_code
from doorsheet.checks.check import SUBJECTS
from doorsheet.checks.finding import Code, Severity
from doorsheet.choice import nearest

__all__ = ["code_list", "explained", "findings_page", "near_code"]

_INTRO: Final = """\
# Findings

What `doorsheet check` can say, by code. `doorsheet explain CODE` prints one entry. Written by
`python gallery/write_codes.py` from the checks in `diagrams/doorsheet/checks`: change those, not this page.

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
    return "\n".join(f"{code.code}  {code.severity:{width}}  {code.title}" for code in every_code().values())


def near_code(wrote: str) -> str | None:
    """Return the code that `wrote` was most likely meant to be: same letter first, then same digits.

    >>> near_code("O2O1")
    'O201'
    """
    plain, known = wrote.strip().upper(), every_code()
    if plain in known:
        return plain
    digits = plain[:1] + plain[1:].replace("O", "0").replace("I", "1").replace("L", "1")
    return next(iter(nearest(digits, known)), None)


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
    codes = every_code().values()
    rows = "".join(f"| {code.code} | {code.severity} | {code.title} |\n" for code in codes)
    parts = [_INTRO, f"| code | severity | what it finds |\n| --- | --- | --- |\n{rows}"]
    for letter, subject in SUBJECTS.items():
        parts += [f"## {letter}: {subject}\n", *(_entry(code) for code in codes if code.code[0] == letter)]
    return "\n".join(parts).rstrip() + "\n"


def _entry(code: Code) -> str:
    formula = f"Formula: `{code.formula}`\n\n" if code.formula else ""
    return (
        f"### {code.code}: {code.title}\n\n**{code.severity}.** {code.rule}\n\n{formula}"
        f"Source: {code.source}.\n\n```toml\n{code.example.rstrip()}\n```\n"
    )
