"""The text twin's parts, as Markdown and as plain text (post room).  What they say belongs in `twin`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

__all__ = ["Section", "Table", "escaped", "markdown", "plain"]

_SPECIAL: Final = frozenset("\\`*_[]<>|#~$&")


@dataclass(frozen=True, slots=True)
class Table:
    """Headings, and rows of as many cells."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.heads) for row in self.rows):
            raise ValueError("a row has another number of cells than the table has headings")


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with lines, a table, and a block to paste into; each may be left out."""

    title: str
    lines: tuple[str, ...] = ()
    table: Table | None = None
    paste: str = ""


def escaped(text: str) -> str:
    """Return text so that Markdown shows it as it stands.

    >>> escaped("OUT1_A*")
    'OUT1\\\\_A\\\\*'
    """
    return "".join(f"\\{char}" if char in _SPECIAL else char for char in text)


def markdown(title: str, sections: Sequence[Section], pictures: Sequence[tuple[str, str]]) -> str:
    """Write a post as Markdown; `pictures` are file names and what they show, in words."""
    lines = [f"# {escaped(title)}", ""]
    for name, words in pictures:
        lines += [f"![{escaped(words)}](<{name}>)", ""]
    for section in sections:
        lines += [f"## {escaped(section.title)}", ""]
        lines += [f"- {escaped(line)}" for line in section.lines]
        lines += [""] if section.lines else []
        if section.table is not None:
            lines += [*_pipes(section.table), ""]
        if section.paste:
            lines += ["```", section.paste, "```", ""]
    return "\n".join(lines)


def _pipes(table: Table) -> Iterator[str]:
    yield f"| {' | '.join(map(escaped, table.heads))} |"
    yield f"|{' --- |' * len(table.heads)}"
    for row in table.rows:
        yield f"| {' | '.join(map(escaped, row))} |"


def plain(title: str, sections: Sequence[Section], pictures: Sequence[tuple[str, str]]) -> str:
    """Write the same post as plain text, its tables in columns."""
    lines = [title, "=" * len(title), ""]
    for name, words in pictures:
        lines += [f"Picture {name}: {words}", ""]
    for section in sections:
        lines += [section.title, "-" * len(section.title)]
        lines += [f"* {line}" for line in section.lines]
        if section.table is not None:
            lines += _columns(section.table)
        if section.paste:
            lines += [f"    {line}" for line in section.paste.split("\n")]
        lines.append("")
    return "\n".join(lines)


def _columns(table: Table) -> Iterator[str]:
    rows = (table.heads, *table.rows)
    widths = [max(len(row[index]) for row in rows) for index in range(len(table.heads))]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
