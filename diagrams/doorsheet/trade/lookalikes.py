"""Room `trade`: labels that an eye takes for one another.

Source: the table of confusable characters of Unicode (UTS #39, confusables.txt), asked through
`confusable_homoglyphs`.  Labels of plain ASCII, nearly all there are, need only the six entries below;
a test holds them against that table.
"""

from functools import cache
from typing import Final

__all__ = ["seen_as"]

_ASCII: Final = str.maketrans({"0": "O", "1": "l", "I": "l", "|": "l", "m": "rn", "`": "'", '"': "''"})


def seen_as(label: str) -> tuple[str, str, str]:
    """Return what a label is seen as: two that agree in one of the three are alike to the eye.

    In turn: without regard to capitals; to look-alike characters; to both.  Blanks never count.

    >>> seen_as("DI 1")[1] == seen_as("Dl1")[1], seen_as("Com")[0] == seen_as("COM")[0]
    (True, True)
    """
    bare = "".join(label.split())
    return bare.casefold(), _shape(bare), _shape(bare.upper())


def _shape(text: str) -> str:
    if not text.isascii():
        from unicodedata import normalize

        text = "".join(map(_prototype, normalize("NFKC", text)))
    return text.translate(_ASCII)


@cache
def _prototype(char: str) -> str:
    """Return the character that the table names for all that look like `char`.

    The table as the library gives it is a star: a prototype has many neighbours, each of them only that one.
    """
    near = _neighbours(char)
    if len(near) != 1:
        return char
    return min(char, near[0]) if _neighbours(near[0]) == [char] else near[0]


def _neighbours(char: str) -> list[str]:
    from confusable_homoglyphs.confusables import is_confusable

    return [other["c"] for found in is_confusable(char) or () for other in found["homoglyphs"]]
