"""Room `trade`: paper sizes.  Margins and what stands on the paper belong in `page`.

Sources: A3, A4 and A5 are ISO 216 (main A series); Letter and Tabloid are sizes A and B of
ASME Y14.1, exact inches of 25.4 mm.
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from doorsheet.choice import ChoiceError, nearest

__all__ = [
    "A3", "A4", "A5", "LETTER", "MM_PER_INCH", "PAPERS", "TABLOID", "Paper", "PaperName", "paper_named",
]  # fmt: skip

MM_PER_INCH = 25.4
PaperName: TypeAlias = Literal["A5", "A4", "A3", "Letter", "Tabloid"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper, lying one way or the other."""

    name: str
    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        if not all(math.isfinite(side) and side > 0 for side in (self.width_mm, self.height_mm)):
            raise ValueError(f"paper {self.name}: {self.width_mm} x {self.height_mm} mm is no size")

    def portrait(self) -> "Paper":
        """Give the same paper with its short side at the bottom."""
        return Paper(self.name, *sorted((self.width_mm, self.height_mm)))

    def landscape(self) -> "Paper":
        """Give the same paper with its long side at the bottom."""
        return Paper(self.name, *sorted((self.width_mm, self.height_mm), reverse=True))


A5 = Paper("A5", 148.0, 210.0)
A4 = Paper("A4", 210.0, 297.0)
A3 = Paper("A3", 297.0, 420.0)
LETTER = Paper("Letter", 8.5 * MM_PER_INCH, 11 * MM_PER_INCH)
TABLOID = Paper("Tabloid", 11 * MM_PER_INCH, 17 * MM_PER_INCH)

PAPERS: tuple[Paper, ...] = (A5, A4, A3, LETTER, TABLOID)
"""Every paper a sheet can be drawn on, portrait."""

_BY_NAME = {paper.name.casefold(): paper for paper in PAPERS} | {"ansi a": LETTER, "ansi b": TABLOID}


def paper_named(text: str) -> Paper:
    """Look a paper up by its name, in upper or lower case; portrait.

    Raises ValueError for any other name, with the names there are.

    >>> paper_named("a4").landscape()
    Paper(name='A4', width_mm=297.0, height_mm=210.0)
    """
    name = " ".join(text.casefold().split())
    if name in _BY_NAME:
        return _BY_NAME[name]
    near = nearest(name, _BY_NAME)
    hint = f"did you mean {_BY_NAME[near[0]].name}? " if near else ""
    names = ", ".join(paper.name for paper in PAPERS)
    raise ChoiceError(f'no paper is called "{text}": {hint}the sheet is drawn on {names}')
