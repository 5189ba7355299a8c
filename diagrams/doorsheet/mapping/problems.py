"""What is wrong with a mapping's text, as data: place, words, reason, what to do.

Room: mapping.  Only how a problem is held and printed belongs here; finding
problems is the business of `reading`, and what the circuit can't do is a
finding of `doorsheet.circuit`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

__all__ = ["MappingError", "Problem", "render", "shorten"]

LONGEST_QUOTE: Final = 48
"""Most characters of the user's own words that are printed back."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing in a mapping that can't be read as it stands."""

    file: str  # name as the user gave it
    line: int | None  # 1-based; None when the problem is the file itself
    where: str  # dotted keys ("run-forward.output.plus"); empty for the file as a whole
    wrote: str  # the user's words, shortened; empty when there are none
    reason: str  # what is wrong, in a sentence without a full stop
    do: str  # what to do about it


class MappingError(Exception):
    """A mapping can't be read; holds every problem found, in the order of the lines."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(problems, key=_by_line))
        super().__init__("\n".join(render(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type[MappingError], tuple[tuple[Problem, ...]]]:
        """Pickle by the problems: the text is made from them again."""
        return MappingError, (self.problems,)


def _by_line(problem: Problem) -> tuple[int, str]:
    return (problem.line or 0, problem.where)


def render(problem: Problem) -> str:
    """Print one problem as three lines: place, reason, what to do."""
    place = problem.file if problem.line is None else f"{problem.file}:{problem.line}"
    head = f"{place}: {problem.where}" if problem.where else f"{place}:"
    reason = f"{problem.reason}; wrote {problem.wrote}" if problem.wrote else problem.reason
    return f"{head}\n  {reason}\n  do: {problem.do}"


def shorten(text: str) -> str:
    """Return `text` on one line, cut at `LONGEST_QUOTE` characters.

    >>> shorten("one\\ntwo")
    'one\\\\ntwo'
    """
    line = "".join(char if char.isprintable() else repr(char)[1:-1] for char in text)
    return line if len(line) <= LONGEST_QUOTE else line[: LONGEST_QUOTE - 1] + "…"
