"""The commands `compare` and `current`: two revisions side by side, and whether a sheet is still true.

`compare` ends with 0 whether or not they differ: that is an answer, not a fault.  `current` ends with 1 when
any sheet is anything but current.
"""

from pathlib import Path
from typing import Annotated

import typer

from doorsheet_cli.say import CAUTION, check_format, giving_up, print_json
from doorsheet_cli.targets import Force, Format, MappingFile, argument, check_target, option

__all__ = ["compare", "current"]


def compare(
    old: Annotated[Path, argument("OLD", "A mapping, or a sheet or photograph of it.")],
    new: Annotated[Path, argument("NEW", "The same of the other revision.")],
    to: Annotated[
        Path | None, option("Draw NEW with what changed marked here, as .svg, .pdf or .png.")
    ] = None,
    stage: Annotated[str, typer.Option(help="The stage that is drawn.")] = "final",
    force: Force = False,
    format_: Format = "text",
) -> None:
    """Say what changed between two revisions, and what must be tested again."""
    import doorsheet
    from doorsheet.compare.in_words import as_data, as_text
    from doorsheet.sheet import FORMATS

    check_format(format_)
    if to is not None:
        check_target(old, to, FORMATS, "one of the two")
        check_target(new, to, FORMATS, "one of the two")
    with giving_up():
        told = doorsheet.compare_revisions(old, new)
        written = () if to is None else doorsheet.draw_changes(told, stage).save(to, force)
    if format_ == "json":
        print_json(as_data(told), plainly=True)
        return
    print(as_text(told))
    if written:
        print(f"\n{', '.join(map(str, written))}: the sheet with what changed marked")
    print(f"\n{CAUTION}")


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
