"""The command `post`: a question for a forum, as picture, Markdown and plain text."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["post"]


def post(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The mapping, a TOML file.", show_default=False)],
    to: Annotated[
        Path | None,
        typer.Option(help="Write into this folder.  [default: that of FILE]", show_default=False),
    ] = None,
    stage: Annotated[str, typer.Option(help="The stage you are at: bench or final.")] = "final",
    private: Annotated[
        bool,
        typer.Option("--private", help="Keep names, owner, site, serial number, and the mapping in the picture."),
    ] = False,
) -> None:
    """Write a question that is complete at the first go: a picture, and the text to go with it."""
    import doorsheet
    from doorsheet.mapping import read_mapping
    from doorsheet.output.figure import to_png
    from doorsheet.post import make_post
    from doorsheet_cli.main import CAUTION, _give_up, _print_findings

    folder = to if to is not None else file.parent
    try:
        made = make_post(read_mapping(file), f"{file.stem}-post", doorsheet.Stage(stage), private)
        written = [(folder / name, to_png(one.page, one.dpi)) for name, one in zip(made.picture_names, made.pictures, strict=True)]
        written.append((folder / f"{file.stem}-post.md", made.markdown.encode()))
        written.append((folder / f"{file.stem}-post.txt", made.plain.encode()))
        for path, data in written:
            doorsheet.write_whole(path, data)
    except (doorsheet.MappingError, doorsheet.PaperError, doorsheet.OutputError, doorsheet.ChoiceError) as error:
        _give_up(error, file)
    _print_findings(made.findings, file, sys.stderr)
    print(", ".join(str(path) for path, _ in written))
    left_out = "" if private else "Names, owner, site, serial number and the mapping itself are left out. "
    print(f"{left_out}Fill in the blanks, and read all of it before you post it: free text is as you wrote it.")
    print(CAUTION)
    if any(finding.severity == "stop" for finding in made.findings):
        raise typer.Exit(1)
