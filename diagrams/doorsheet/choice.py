"""What every room may raise for what the user can mend, and the word that was meant."""

from collections.abc import Iterable

__all__ = ["ChoiceError", "UserError", "nearest"]


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
