"""What PDF and PNG both ask of an item: its colours, and where its text begins (output room)."""

from __future__ import annotations

from functools import cache
from math import cos, radians, sin

from doorsheet.page.display import Point, Role, Text
from doorsheet.page.style import PENS, ink_colour

__all__ = ["colours", "rgb", "text_start"]


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
