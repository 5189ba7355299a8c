"""The command `current`: whether a sheet, or a code read off a door, is still true.

Ends with 1 when any is anything but current.
"""

from pathlib import Path
from typing import Annotated

import typer

from doorsheet_cli.say import CAUTION, giving_up
from doorsheet_cli.targets import MappingFile, argument

__all__ = ["current"]


def current(
    file: MappingFile,
    asked: Annotated[
        list[str] | None,
        argument(
            "[SHEET or CODE]...",
            "Sheets, photographs of them, or codes as they stand in the title block.  "
            "[default: the sheets beside FILE]",
        ),
    ] = None,
) -> None:
    """Say whether sheets are still what the mapping says."""
    from doorsheet.current import Verdict, beside, standings
    from doorsheet.mapping.code import mapping_code, shown
    from doorsheet.mapping.reading import read_mapping

    with giving_up(file):
        read = read_mapping(file)
        what = tuple(map(_meant, asked)) if asked else beside(read, file)
        found = standings(read, what)
    print(f"{file}: its sheets' codes begin {shown(mapping_code(read.source.text))}")
    for one in found:
        print(f"{one.what}: {one.verdict}{':' if one.details else ','} {one.words}")
        for line in one.details:
            print(f"  {line}")
    if not found:
        print("no sheet of it stands beside it")
    print("Compare the sheet with the machine too: no code can tell what a hand has changed.")
    print(CAUTION)
    if any(one.verdict != Verdict.CURRENT for one in found):
        raise typer.Exit(1)


def _meant(words: str) -> str | Path:
    """Return a file for what names one, else a code as typed."""
    from doorsheet.sheet import SHEET_ENDINGS

    path = Path(words)
    return path if path.exists() or path.suffix.lower() in SHEET_ENDINGS else words
