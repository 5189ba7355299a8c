"""Room `trade`: the words of papers in the language that is spoken just now; English unless another is.

An entry is an English sentence with its figures named in braces; English is the entries themselves.  Words
are put into the language where they are made, so a whole paper is made under one `speaking`.  What checks
find, and what the command line says, is English for now and stands in no catalogue.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from pathlib import Path

__all__ = [
    "Language", "capital", "counted", "in_full", "language_from", "on_paper", "speaking", "tr", "tr_later",
]  # fmt: skip


class Language(Protocol):
    """Another language: what the standard library's `gettext.NullTranslations` is, and more."""

    def gettext(self, message: str) -> str:
        """Return an entry in this language; itself where it has none."""

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """Return the form of an entry that goes with a number of things."""


_SPOKEN: ContextVar[Language | None] = ContextVar("spoken", default=None)


def tr_later(words: str) -> str:
    """Mark words as an entry of the catalogue where they are kept, to be said by `tr` later."""
    return words


def tr(words: str, /, **figures: object) -> str:
    """Return an entry in the language spoken, its figures filled in.

    >>> tr("{wire} to {terminal}", wire="3 WH", terminal="DI1")
    '3 WH to DI1'
    """
    language = _SPOKEN.get()
    said = words if language is None else language.gettext(words)
    return said.format(**figures) if figures else said


def counted(one: str, many: str, count: int, /, **figures: object) -> str:
    """Return the entry that goes with `count`, which it may name as {count}; a language has its own forms.

    >>> counted("{count} stop", "{count} stops", 2)
    '2 stops'
    """
    language = _SPOKEN.get()
    own = (one if count == 1 else many) if language is None else language.ngettext(one, many, count)
    return own.format(count=count, **figures)


@contextmanager
def speaking(language: Language | None) -> Iterator[None]:
    """Speak a language within; None is English."""
    before = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def language_from(path: "Path") -> Language:
    """Return the language of a compiled catalogue (.mo).  Raises OSError for a file that is none."""
    from gettext import GNUTranslations

    with path.open("rb") as file:
        return GNUTranslations(file)


def capital(words: str) -> str:
    """Return words with a capital first, the rest as it is."""
    return f"{words[:1].upper()}{words[1:]}"


def in_full(words: str) -> str:
    """Return words as a terminal prints them; what is for who has the file alone stands between ⟬ and ⟭.

    No text of a mapping can hold these two: what can't be drawn is refused.

    >>> in_full("note it⟬: delay = ...⟭"), on_paper("note it⟬: delay = ...⟭")
    ('note it: delay = ...', 'note it')
    """
    return words.replace("⟬", "").replace("⟭", "")


def on_paper(words: str) -> str:
    """Return words for who has the paper and not the file."""
    return re.sub("⟬.*?⟭", "", words)
