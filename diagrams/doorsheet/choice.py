"""What every room may raise for what the user can mend, and the word that was meant."""

import re
import shlex
from collections.abc import Iterable

__all__ = ["ChoiceError", "UserError", "as_typed", "nearest"]


class UserError(Exception):
    """Something that the user can mend; its text says what, and how. Never a fault of ours."""


class ChoiceError(UserError, ValueError):
    """A stage, a drive, a paper or a format that doesn't exist; the text names those that do."""


def nearest(word: str, names: Iterable[str], cutoff: float = 0.6, most: int = 1) -> list[str]:
    """Return the names that a misspelt word is nearest to, `most` of them; none below `cutoff`, a share of 1.

    >>> nearest("comon", ("input", "common"))
    ['common']
    """
    import difflib  # only when something is misspelt: it takes time to import

    return difflib.get_close_matches(word, list(names), most, cutoff)


def as_typed(file: object) -> str:
    """Return a file's name as a command line needs it: in quotes where a shell would take it apart.

    The same on every system, since paper has it too: all shells know double quotes.

    >>> as_typed("mill.toml"), as_typed("bench mill.toml")
    ('mill.toml', '"bench mill.toml"')
    """
    name = str(file)
    if shlex.quote(name) == name or re.fullmatch(r"[\w.:/\\-]+", name):
        return name
    return shlex.quote(name) if set('"$`!') & set(name) else f'"{name}"'
