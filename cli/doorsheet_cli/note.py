"""The command `note`: a reading, something done, a setting or a speed goes into the mapping's file."""

from datetime import datetime
from typing import Annotated

import typer

from doorsheet_cli.say import giving_up, print_next, stop_at
from doorsheet_cli.targets import MappingFile, argument, option

__all__ = ["note"]


def note(
    file: MappingFile,
    words: Annotated[
        list[str],
        argument(
            "WORDS",
            'What was read or done: "red on DI1, black on COM: 24.1 V open", "done emergency-stop: stops in '
            '1.4 s", "P0-03 reads 1", "speed 6000 gives 5920 rpm", "voltage: 24 V", "remark: ...".',
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
    print("\n".join(noted.lines))
    print_next(noted.next, file)
    stop_at(noted.contradicted)
