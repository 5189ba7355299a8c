"""What is wrong with a mapping's text, as data: place, words, reason, what to do.

Only how a problem is held and printed belongs here; finding
problems is the business of `reading`, and what the circuit can't do is a
finding of `doorsheet.circuit`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from doorsheet.choice import UserError

__all__ = ["MappingError", "Problem", "as_key", "printable", "render", "shorten"]

LONGEST_QUOTE: Final = 48
"""Most characters of the user's own words that are printed back."""
_LONGEST_SENTENCE: Final = 600
"""Most characters of a reason or an advice: longer ones hold words of the file that nobody foresaw."""


def as_key(name: str) -> str:
    """Return a name as a key of TOML: in quotes unless it is of ASCII letters, digits, hyphens alone.

    >>> as_key("pump-1"), as_key("Süd"), as_key('a"b')
    ('pump-1', '"Süd"', '"a\\\\"b"')
    """
    if name and name.isascii() and name.replace("-", "").replace("_", "0").isalnum():
        return name
    escaped = name.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing in a mapping that can't be read as it stands."""

    file: str  # name as the user gave it
    line: int | None  # 1-based; None when the problem is the file itself
    where: str  # dotted keys ("run-forward.output.plus"); empty for the file as a whole
    wrote: str  # the user's words, shortened; empty when there are none
    reason: str  # what is wrong, in a sentence without a full stop
    do: str  # what to do about it


class MappingError(UserError):
    """A mapping can't be read; holds every problem found, in the order of the lines.

    Of a file with very many, `more` says how many were not put into words.  Without a problem it can't be
    built: TypeError.
    """

    def __init__(self, problems: Iterable[Problem], more: int = 0) -> None:
        ordered = sorted(problems, key=lambda one: (one.line or 0, one.where))
        self.problems = tuple(
            replace(one, reason=shorten(one.reason, _LONGEST_SENTENCE), do=shorten(one.do, _LONGEST_SENTENCE))
            for one in ordered
        )
        self.more = more
        if not self.problems:
            raise TypeError("a MappingError has at least one problem")
        super().__init__("\n".join(render(problem) for problem in self.problems))

    def __reduce__(self) -> "tuple[type[MappingError], tuple[tuple[Problem, ...], int]]":
        """Pickle by the problems: the text is made from them again."""
        return MappingError, (self.problems, self.more)


def render(problem: Problem) -> str:
    """Print one problem as three lines: place, reason, what to do."""
    place = problem.file if problem.line is None else f"{problem.file}:{problem.line}"
    head = f"{place}: {problem.where}" if problem.where else f"{place}:"
    reason = f"{problem.reason}; wrote {problem.wrote}" if problem.wrote else problem.reason
    return f"{head}\n  {reason}\n  do: {problem.do}"


def shorten(text: str, most: int = LONGEST_QUOTE) -> str:
    """Return `text` on one line, cut at `most` characters.

    >>> shorten("one\\ntwo")
    'one\\\\ntwo'
    """
    line = printable(text[: most + 1]).replace("\n", "\\n")
    return line if len(text) <= most and len(line) <= most else line[: most - 1] + "…"


def printable(text: str) -> str:
    r"""Return `text` with everything but line ends that moves a cursor, turns a line round or can't be seen,
    as an escape that JSON reads too.

    >>> printable("a\x1b[2J\u202eb")
    'a\\u001b[2J\\u202eb'
    """
    if text.isprintable():
        return text
    known = {"\n": "\n", "\t": r"\t", "\r": r"\r"}
    codes = ((char, ord(char)) for char in text)
    escapes = ((char, f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}") for char, code in codes)
    return "".join(char if char.isprintable() else known.get(char, escape) for char, escape in escapes)
