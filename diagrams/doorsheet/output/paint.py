"""What several formats ask of an item: colours, where a text begins, a pattern's outlines."""

from collections import defaultdict
from functools import cache, lru_cache
from math import cos, radians, sin

from doorsheet.page.display import Pattern, Point, Role, Text
from doorsheet.page.style import PENS, ink_colour

__all__ = ["colours", "outlines", "rgb", "text_start"]


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

    Outlines, not a square for each module: between squares a renderer leaves pale seams.
    """
    count = len(pattern.rows)
    rows = ("0" * (count + 2), *(f"0{row}0" for row in pattern.rows), "0" * (count + 2))
    ends: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for y in range(count):
        above, own, below = rows[y : y + 3]
        for x in range(count):
            if own[x + 1] == "1":
                if above[x + 1] == "0":
                    ends[x, y].append((x + 1, y))
                if own[x + 2] == "0":
                    ends[x + 1, y].append((x + 1, y + 1))
                if below[x + 1] == "0":
                    ends[x + 1, y + 1].append((x, y + 1))
                if own[x] == "0":
                    ends[x, y + 1].append((x, y))
    found = []
    while ends:
        found.append(_followed(next(iter(ends)), ends))
    return tuple(found)


def _followed(
    start: tuple[int, int], ends: dict[tuple[int, int], list[tuple[int, int]]]
) -> tuple[tuple[int, int], ...]:
    """Take one closed way out of `ends`, its corners only; where two go on, the one that turns right."""
    way, here, before = [start], start, (0, 0)
    while here != start or len(way) == 1:
        choices = ends[here]
        right = (here[0] - before[1], here[1] + before[0])
        to = right if right in choices else choices[0]
        choices.remove(to)
        if not choices:
            del ends[here]
        step = (to[0] - here[0], to[1] - here[1])
        if step == before:
            way.pop()
        way.append(to)
        here, before = to, step
    return tuple(way[:-1])
