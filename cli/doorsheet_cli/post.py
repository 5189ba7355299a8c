"""The command `post`: a question for a forum, as picture, Markdown and plain text."""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doorsheet_cli.say import CAUTION, check_format, giving_up, print_findings, stop_at
from doorsheet_cli.targets import Force, MappingFile, option

if TYPE_CHECKING:
    from doorsheet.post import Post

__all__ = ["post"]

_READ_IT: str = "Fill in the blanks, and read all of it before you post it: free text stands as you wrote it."


def post(
    file: MappingFile,
    to: Annotated[Path | None, option("Write into this folder.  [default: that of FILE]")] = None,
    stage: Annotated[
        str, typer.Option(help="The stage you are at: bench, the control moved last, or final.")
    ] = "final",
    drive: Annotated[str, option("Of several drives only this one, by its name.")] = "",
    private: Annotated[
        bool,
        typer.Option("--private", help="Keep names, owner, site, serial number, notes; carry the mapping."),
    ] = False,
    format_: Annotated[
        str, typer.Option("--format", help="markdown; bbcode, for boards that know nothing else; or text.")
    ] = "markdown",
    force: Force = False,
) -> None:
    """Write a question that is complete at the first go: a picture, and the text to go with it."""
    from doorsheet.mapping import read_mapping
    from doorsheet.output.writing import write_files
    from doorsheet.post import FORMATS, make_post, private_words

    check_format(format_, tuple(FORMATS))
    folder = to if to is not None else file.parent
    with giving_up(file):
        read = read_mapping(file)
        stem = f"{Path(read.source.name).stem}-post"
        made = make_post(read, stem, stage, private, drive)
        files = ((folder / name, data) for name, data in _files(made, stem, format_))
        written = write_files(files, force)
    print_findings(made.findings, file, sys.stderr)
    print(", ".join(map(str, written)))
    if not private:
        print("Left out: names, owner, site, drawing and serial number, notes, remarks, the mapping itself.")
        for word in private_words(read):
            if word in made.text("text"):
                print(f'Mind: "{word}", which is private, also stands elsewhere in the post.')
    print(_READ_IT)
    print(CAUTION)
    stop_at(made.findings)


def _files(made: "Post", stem: str, format_: str) -> Iterator[tuple[str, bytes]]:
    from doorsheet.output.figure import to_png
    from doorsheet.post import FORMATS

    for name, one in zip(made.picture_names, made.pictures, strict=True):
        yield name, to_png(one.page, one.dpi)
    yield f"{stem}{FORMATS[format_][0]}", made.text(format_).encode()
