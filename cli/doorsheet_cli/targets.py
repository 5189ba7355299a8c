"""Where a command writes: never over its own source, over others' work only with `--force`."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, TypeAlias

import typer

from doorsheet_cli.say import give_up

__all__ = ["Force", "Format", "MappingFile", "argument", "check_target", "is_pipe", "option", "pipe"]

Force: TypeAlias = Annotated[
    bool, typer.Option("--force", help="Replace what stands there, whoever made it.", show_default=False)
]
"""The option of every command that writes a file."""

MappingFile: TypeAlias = Annotated[
    Path, typer.Argument(metavar="FILE", help="The mapping, a TOML file.", show_default=False)
]
"""The first argument of every command that reads a mapping from a file, and from no pipe."""

Format: TypeAlias = Annotated[str, typer.Option("--format", help="text, or json for programs.")]
"""The option of every command that programs may read."""


def option(words: str, *names: str) -> object:
    """Return an option whose words say what is done without it."""
    return typer.Option(*names, help=words, show_default=False)


def argument(name: str, words: str) -> object:
    """Return an argument, called so in the help."""
    return typer.Argument(metavar=name, help=words, show_default=False)


def check_target(source: Path, target: Path, endings: Sequence[str] = (), what: str = "the mapping") -> None:
    """End with 2 for a target that is the source itself, or has an ending that isn't written.

    `what` says what the source is.  Without `endings` any will do.
    """
    from doorsheet import ChoiceError
    from doorsheet.sheet import FORMATS

    ending = target.suffix.lower().removeprefix(".")
    if is_pipe(target) and (not ending or ending in endings):
        return
    if _same(source, target):
        if ending in FORMATS and what == "the mapping":
            give_up(
                ChoiceError(f"{source} is a sheet; name the mapping, a .toml file (recover gets it back)")
            )
        give_up(ChoiceError(f"{target} is {what} itself: name another file"))
    if endings and ending not in endings:
        said = f"ends in .{ending}" if ending else "has no ending"
        *first, last = (f".{known}" for known in endings)
        names = f"{', '.join(first)} or {last}" if first else last
        give_up(ChoiceError(f"{target} {said}: name a file that ends in {names}"))


def is_pipe(target: Path) -> bool:
    """Whether a target means what is piped on: "-", or with the ending of a format "-.pdf"."""
    return target.stem == "-" and len(target.parts) == 1


def pipe(pages: Sequence[bytes]) -> None:
    """Write a file to standard output; ends with 2 where it takes several files."""
    from doorsheet import ChoiceError

    if len(pages) > 1:
        give_up(ChoiceError(f"a pipe takes one file, and these are {len(pages)}: write a PDF, --to -.pdf"))
    sys.stdout.flush()
    sys.stdout.buffer.write(pages[0])


def _same(one: Path, other: Path) -> bool:
    try:
        return one.resolve() == other.resolve() or one.samefile(other)
    except (OSError, RuntimeError, ValueError):
        return False
