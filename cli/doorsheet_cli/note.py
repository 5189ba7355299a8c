"""The command `note`: a reading, something done, a setting or a speed goes into the mapping's file."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doorsheet_cli.say import CAUTION, giving_up, stop_at
from doorsheet_cli.targets import MappingFile, option

if TYPE_CHECKING:
    from doorsheet.logbook import Noted

__all__ = ["note", "print_noted"]


def note(
    file: MappingFile,
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS",
            help='What was read or done: "red on DI1, black on COM: 24.1 V open", "done emergency-stop: '
            'stops in 1.4 s", "P0-03 reads 1", "speed 6000 gives 5920 rpm", "voltage: 24 V", '
            '"remark: ...".',
            show_default=False,
        ),
    ],
    remark: Annotated[str, option("A remark that goes with it.")] = "",
    at: Annotated[
        datetime | None,
        typer.Option(
            formats=["%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M"],
            help="When it was, like 2026-11-25 14:05.  [default: now]",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Write a reading, something done, a setting or a speed into the mapping, and say what it settles."""
    from doorsheet.logbook import note as write

    with giving_up(file, "nothing was written"):
        noted = write(file, " ".join(words), at, remark)
    print_noted(noted, file)
    stop_at(noted.contradicted)


def print_noted(noted: Noted, file: Path) -> None:
    """Say what was written, what it settles and what comes next."""
    from doorsheet.circuit.parts import of_drive

    print("\n".join(noted.lines))
    if noted.next is not None:
        print(f"next: {of_drive(noted.next.drive, noted.next.title)} (doorsheet next {file})")
    print(CAUTION)
