"""What every command says: the cautions, findings, and why it gives up."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NoReturn, TextIO

import typer

if TYPE_CHECKING:
    from doorsheet import Finding

__all__ = ["CAUTION", "give_up", "print_findings", "print_old_words"]

CAUTION: Final = (
    "Mains and stored charge can kill: follow the drive's manual and the local code; "
    "if unsure, ask a qualified person."
)


def print_findings(findings: Sequence[Finding], file: Path, stream: TextIO, whole: bool = False) -> None:
    """Print findings as a colleague says them: a screenful, or the whole."""
    from dataclasses import replace

    from doorsheet.checks.grouped import as_text

    # with the path as the person gave it, so that a terminal can link it
    said = as_text([replace(finding, file=str(file)) for finding in findings], whole)
    if said:
        print(said, file=stream)


def print_old_words(file: Path) -> None:
    """Say which keys of a mapping have another name now; it is one that was read."""
    import tomllib

    from doorsheet.mapping.locate import locate
    from doorsheet.mapping.old_words import old_keys

    text = file.read_text(encoding="utf-8-sig")
    for line, old, new in old_keys(tomllib.loads(text), locate(text)):
        print(f"{file}:{line}: {old} is called {new} now; the old word is still read", file=sys.stderr)


def give_up(error: Exception, file: Path | None = None, consequence: str = "") -> NoReturn:
    """Say what is wrong, once for each problem, and end with 2."""
    from dataclasses import replace

    from doorsheet import MappingError
    from doorsheet.mapping.problems import render

    if isinstance(error, MappingError):
        for problem in error.problems:
            print(render(replace(problem, file=str(file)) if file else problem), file=sys.stderr)
        count = len(error.problems)
        if any(problem.line is not None for problem in error.problems):
            total = f"{count} problem{'' if count == 1 else 's'} in the mapping"
            print(f"{total}; {consequence}" if consequence else total, file=sys.stderr)
    else:
        print(f"doorsheet: {error}", file=sys.stderr)
    raise typer.Exit(2)
