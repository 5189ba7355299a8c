"""What every command has: its options, the caution, findings, why it gives up, and where it writes: never
over its own source, over others' work only with `--force`.
"""

import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, NoReturn, TextIO, TypeAlias

import typer

if TYPE_CHECKING:
    from doorsheet import Finding
    from doorsheet.job.action import Action
    from doorsheet.mapping.reading import ReadMapping

__all__ = [
    "CAUTION", "Force", "Format", "MappingFile", "Printable", "argument", "check_format", "check_target",
    "give_up", "giving_up", "is_pipe", "option", "pipe", "plural", "print_findings", "print_json",
    "print_next", "print_old_words", "print_text", "progress", "stop_at",
]  # fmt: skip

CAUTION: Final = (
    "Mains and stored charge can kill: follow the drive's manual and the local code; "
    "if unsure, ask a qualified person."
)

_SCREENFUL: Final = 7
"""Problems of three lines each that a terminal of 24 lines shows at once; one more is shown too."""

_PATIENCE_S: Final = 1.0
_LONG_S: Final = 5.0


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


class Printable(TextIOWrapper):
    """A stream that whatever is printed arrives on: no escape of the user's reaches the terminal, and what
    its code page lacks is written as an escape.
    """

    def __init__(self, plain: TextIOWrapper) -> None:
        coding, line_by_line = plain.encoding, plain.line_buffering
        super().__init__(plain.detach(), coding, "backslashreplace", line_buffering=line_by_line)

    def write(self, text: str) -> int:
        """Write text with everything that can't be seen as an escape; progress may go back along its line."""
        from doorsheet.mapping.problems import printable

        if text.startswith("\r"):
            super().write("\r" + printable(text.strip("\r")) + "\r" * text[1:].endswith("\r"))
        else:
            super().write(printable(text))
        return len(text)


def print_text(text: str) -> None:
    """Print a text that programs read to the byte, in UTF-8; on a terminal, where people do, as all else."""
    if isinstance(sys.stdout, TextIOWrapper) and not sys.stdout.isatty():
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode())
    else:
        print(text, end="")


def print_json(data: object, plainly: bool = False) -> None:
    """Print data for programs; `plainly`, letters beyond ASCII as they are."""
    import json

    print(json.dumps(data, indent=2, ensure_ascii=not plainly))


def print_findings(findings: "Sequence[Finding]", file: Path, stream: TextIO, whole: bool = False) -> None:
    """Print findings as a colleague says them: a screenful, or the whole."""
    from dataclasses import replace

    from doorsheet.checks.grouped import as_text

    # with the path as the person gave it, so that a terminal can link it
    said = as_text([replace(finding, file=str(file)) for finding in findings], whole)
    if said:
        print(said, file=stream)


def print_next(action: "Action | None", file: Path) -> None:
    """Say what comes next, if anything, and the caution."""
    from doorsheet.choice import as_typed
    from doorsheet.circuit.parts import of_drive

    if action is not None:
        print(f"next: {of_drive(action.drive, action.title)} (doorsheet next {as_typed(file)})")
    print(CAUTION)


def print_old_words(read: "ReadMapping", file: Path) -> None:
    """Say which keys of a mapping have another name now."""
    from doorsheet.mapping.checks import old_keys, toml_data
    from doorsheet.mapping.locate import locate

    text = read.source.text
    for line, old, new in old_keys(toml_data(text), locate(text)):
        print(f"{file}:{line}: {old} is called {new} now; the old word is still read", file=sys.stderr)


@contextmanager
def giving_up(file: Path | None = None, consequence: str = "") -> Iterator[Callable[[str], None]]:
    """Say what the user can mend, where something of that kind is raised inside, and end with 2.

    It gives what is told meanwhile what is being done.
    """
    from doorsheet import UserError

    try:
        with progress() as tell:
            yield tell
    except UserError as error:
        give_up(error, file, consequence)


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Give what says on a terminal what is being done, once that takes longer than a second.

    Each word stands in place of the one before, and none is left in the end.  Where nobody says anything,
    whoever waits long is told that the work goes on.
    """
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from threading import Timer

    start, shown = time.monotonic(), 0

    def show(what: str) -> None:
        nonlocal shown
        words = f"{what}; Ctrl-C stops it"
        print(f"\r{words}".ljust(shown + 1), end="", file=sys.stderr, flush=True)
        shown = len(words)

    def say_so() -> None:
        if not shown:
            show("Still at work: a large plant can take minutes")

    timer = Timer(_LONG_S, say_so)
    timer.daemon = True
    timer.start()
    try:
        yield lambda what: show(what) if time.monotonic() - start >= _PATIENCE_S else None
    finally:
        timer.cancel()
        if shown:
            print("\r" + " " * shown + "\r", end="", file=sys.stderr, flush=True)


def plural(count: int, word: str) -> str:
    """Return so many of something: "1 stop", "2 stops"."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def check_format(asked: str, known: Sequence[str] = ("text", "json")) -> None:
    """End with 2 for a format that doesn't exist."""
    if asked not in known:
        names = (", " if len(known) > 2 else " or ").join(known)
        give_up(ValueError(f"no format {asked!r}: {names}"))


def stop_at(findings: "Iterable[Finding]") -> None:
    """End with 1 where a finding is a stop."""
    if any(finding.severity == "stop" for finding in findings):
        raise typer.Exit(1)


def give_up(error: Exception, file: Path | None = None, consequence: str = "") -> NoReturn:
    """Say what is wrong, once for each problem, and end with 2."""
    from dataclasses import replace

    from doorsheet import MappingError
    from doorsheet.mapping.problems import render

    if isinstance(error, MappingError):
        count = len(error.problems) + error.more
        for problem in error.problems[: _SCREENFUL if count > _SCREENFUL + 1 else None]:
            print(render(replace(problem, file=str(file)) if file else problem), file=sys.stderr)
        if count > _SCREENFUL + 1:
            print(f"and {count - _SCREENFUL} more", file=sys.stderr)
        if any(problem.line is not None for problem in error.problems):
            total = f"{plural(count, 'problem')} in the mapping"
            print(f"{total}; {consequence}" if consequence else total, file=sys.stderr)
    else:
        print(f"doorsheet: {error}", file=sys.stderr)
    raise typer.Exit(2)


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
