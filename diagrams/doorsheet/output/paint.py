"""What several formats ask of an item: colours, where a text begins, a pattern's outlines."""

import re
from collections import defaultdict
from functools import cache, lru_cache
from itertools import pairwise
from math import cos, radians, sin

from doorsheet.page.display import Pattern, Point, Role, Text
from doorsheet.page.style import PENS, ink_colour

__all__ = ["colours", "outlines", "rgb", "text_start"]

_EDGES = re.compile("1+|2+")


def colours(role: Role, ink: str, *, closed: bool) -> tuple[str | None, str | None]:
    """Give the colours of an item's stroke and fill, each None where it has none; lines are never filled."""
    pen = PENS[role]
    stroke = ink_colour(ink) if pen.inked == "stroke" else pen.stroke
    fill = ink_colour(ink) if pen.inked == "fill" else pen.fill
    return stroke, fill if closed else None


@cache
def rgb(colour: str) -> tuple[float, float, float]:
    """Turn "#rrggbb" into shares of red, green and blue from 0 to 1."""
    red, green, blue = bytes.fromhex(colour.removeprefix("#"))
    return red / 255, green / 255, blue / 255


def text_start(text: Text) -> Point:
    """Say where on its baseline a text begins, mm, by its anchor, its width and its angle."""
    before = text.width * {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    turn = radians(text.angle)
    return Point(text.x - before * cos(turn), text.y + before * sin(turn))


@lru_cache(32)
def outlines(pattern: Pattern) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Return the closed ways round all dark modules, in modules from the corner, the dark on their right.

    Outlines, not a square for each module: between squares a renderer leaves pale seams.  Every level edge
    is a run along a row; upright edges join the corners of a column two by two, from the top.
    """
    corners: list[tuple[int, int]] = []  # of each run where it begins and where it ends
    columns: dict[int, list[int]] = defaultdict(list)
    for y, (above, own) in enumerate(pairwise((0, *map(int, pattern.rows), 0))):
        # as decimals, which carry nothing: 1 is dark above the row alone, 2 in the row alone
        for run in _EDGES.finditer(str(above + 2 * own).zfill(len(pattern.rows))):
            for x in run.span()[:: 1 if run[0][0] == "2" else -1]:
                columns[x].append(len(corners))
                corners.append((x, y))
    onward = {}
    for column in columns.values():
        for upper, lower in zip(column[::2], column[1::2], strict=True):
            onward[upper], onward[lower] = lower, upper
    found, left = [], dict.fromkeys(range(0, len(corners), 2))
    while left:
        outline, at = [], next(iter(left))
        while at in left:
            del left[at]
            outline += corners[at : at + 2]
            at = onward[at + 1]
        found.append(tuple(outline))
    return tuple(found)
