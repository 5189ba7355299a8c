"""A question's parts as Markdown, BBCode and plain text.  What they say belongs in `twin`."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple
from urllib.parse import quote

from doorsheet.trade.language import tr

__all__ = ["FORMATS", "Section", "Table", "bare", "bracketed", "escaped", "written"]

_SPECIAL: Final = frozenset("\\`*_[]<>|#~$&")
_ADDRESS: Final = re.compile(r"(?i)(?<=http)(?=s?://)|(?<=ftp)(?=://)|(?<=\bww)(?=w\.)|(?=@)")
_BREAK: Final = "\u200b"
"""A zero-width space: it is not seen, and makes an address or a tag no address and no tag."""


@dataclass(frozen=True, slots=True)
class Table:
    """Headings, and rows of as many cells."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.heads) for row in self.rows):
            raise ValueError("a row has another number of cells than the table has headings")


class Section(NamedTuple):
    """A heading with lines and a table, either may be left out; "" for what stands above all headings."""

    title: str
    lines: tuple[str, ...] = ()
    table: Table | None = None


def bare(text: str) -> str:
    """Return text on one line, in which no board finds an address to link.

    >>> bare("see www.example.org")
    'see ww\\u200bw.example.org'
    """
    return _ADDRESS.sub(_BREAK, " ".join(text.split()))


def escaped(text: str) -> str:
    """Return text so that Markdown shows it as it stands.

    >>> escaped("OUT1_A*")
    'OUT1\\\\_A\\\\*'
    """
    return "".join(f"\\{char}" if char in _SPECIAL else char for char in bare(text))


def bracketed(text: str) -> str:
    """Return text so that BBCode shows it as it stands, which knows no escape: no bracket begins a tag.

    >>> bracketed("[b]")
    '[\\u200bb]'
    """
    return bare(text).replace("[", f"[{_BREAK}")


def _markdown(title: str, pictures: Sequence[tuple[str, str]], sections: Sequence[Section]) -> Iterator[str]:
    yield f"# {escaped(title)}"
    for section in sections:
        yield ""
        if section.title:
            yield f"**{escaped(section.title)}**\n" if section.lines else f"**{escaped(section.title)}**"
        yield from (f"- {escaped(line)}" for line in section.lines)
        if section.table is not None:
            yield ""
            yield f"| {' | '.join(map(escaped, section.table.heads))} |"
            yield f"|{' --- |' * len(section.table.heads)}"
            yield from (f"| {' | '.join(map(escaped, row))} |" for row in section.table.rows)
        if section is sections[_BEFORE_PICTURE]:
            for name, words in pictures:
                yield f"\n![{escaped(words)}](<{quote(name)}>)"


def _bbcode(title: str, pictures: Sequence[tuple[str, str]], sections: Sequence[Section]) -> Iterator[str]:
    yield f"[b]{bracketed(title)}[/b]"
    for section in sections:
        yield ""
        if section.title:
            yield f"[b]{bracketed(section.title)}[/b]"
        if section.lines:
            yield "[list]" + "\n".join(f"[*]{bracketed(line)}" for line in section.lines) + "[/list]"
        if section.table is not None:  # its blanks stay
            rows = (_ADDRESS.sub(_BREAK, row).replace("[", f"[{_BREAK}") for row in _columns(section.table))
            yield from ("[code]", *rows, "[/code]")
        if section is sections[_BEFORE_PICTURE]:
            for name, words in pictures:
                attach = tr("(attach {file} here: {shows})", file=bracketed(name), shows=bracketed(words))
                yield f"\n{attach}"


def _text(title: str, pictures: Sequence[tuple[str, str]], sections: Sequence[Section]) -> Iterator[str]:
    yield from (title, "=" * len(title))
    for section in sections:
        yield ""
        if section.title:
            yield from (section.title, "-" * len(section.title))
        yield from (f"* {line}" for line in section.lines)
        if section.table is not None:
            yield from _columns(section.table)
        if section is sections[_BEFORE_PICTURE]:
            for name, words in pictures:
                yield "\n" + tr("Picture {name}: {shows}", name=name, shows=words)


_BEFORE_PICTURE: Final = 2
"""What is asked and what was measured stand before the picture."""

FORMATS: Final = {"markdown": (".md", _markdown), "bbcode": (".bbcode", _bbcode), "text": (".txt", _text)}
"""By name: the ending of the file, and what writes it."""


def written(kind: str, title: str, pictures: Sequence[tuple[str, str]], sections: Sequence[Section]) -> str:
    """Write a question in one of the formats; `pictures` are file names and what they show, in words."""
    return "\n".join(FORMATS[kind][1](title, pictures, sections)) + "\n"


def _columns(table: Table) -> Iterator[str]:
    rows = (table.heads, *table.rows)
    widths = [max(len(row[index]) for row in rows) for index in range(len(table.heads))]
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
