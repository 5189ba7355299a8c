"""Straight pieces of line on a plane: how they lie to each other, and to boxes (for judges of drawings)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from tests.judges.shapes import XY, Box, Outline

__all__ = [
    "APART_MM",
    "TOUCH_MM",
    "Leg",
    "apart",
    "cross",
    "crosses_box",
    "distance",
    "enters",
    "far",
    "grown",
    "lines_meet",
    "on_edge",
    "overlap",
    "share_end",
    "too_near",
    "upright_or_level",
]

APART_MM = 3.0
TOUCH_MM = 0.01  # what counts as the same place: files are written to a thousandth


@dataclass(frozen=True)
class Leg:
    """A straight piece of line."""

    a: XY
    b: XY

    @property
    def level(self) -> bool:
        return abs(self.a.y - self.b.y) <= TOUCH_MM

    @property
    def upright(self) -> bool:
        return abs(self.a.x - self.b.x) <= TOUCH_MM

    @cached_property
    def box(self) -> Box:
        return Box(
            min(self.a.x, self.b.x), min(self.a.y, self.b.y), max(self.a.x, self.b.x), max(self.a.y, self.b.y)
        )

    def __str__(self) -> str:
        return f"line {self.a.x:g}, {self.a.y:g} to {self.b.x:g}, {self.b.y:g}"


def far(one: XY, other: XY) -> float:
    return math.hypot(one.x - other.x, one.y - other.y)


def upright_or_level(a: XY, b: XY) -> bool:
    return abs(a.x - b.x) <= TOUCH_MM or abs(a.y - b.y) <= TOUCH_MM


def distance(point: XY, leg: Leg) -> float:
    """Return how far a point is from a leg."""
    dx, dy = leg.b.x - leg.a.x, leg.b.y - leg.a.y
    long = dx * dx + dy * dy
    part = 0.0 if long == 0 else ((point.x - leg.a.x) * dx + (point.y - leg.a.y) * dy) / long
    part = min(1.0, max(0.0, part))
    return far(point, XY(leg.a.x + part * dx, leg.a.y + part * dy))


def share_end(one: Leg, other: Leg) -> bool:
    return any(far(a, b) <= TOUCH_MM for a in (one.a, one.b) for b in (other.a, other.b))


def beside(one: Leg, other: Leg) -> tuple[float, float] | None:
    """Return how far apart two parallel legs are, and how long they run side by side; else None."""
    a, b = one.box, other.box
    if one.level and other.level:
        return abs(one.a.y - other.a.y), min(a.right, b.right) - max(a.left, b.left)
    if one.upright and other.upright:
        return abs(one.a.x - other.a.x), min(a.bottom, b.bottom) - max(a.top, b.top)
    return None


def overlap(one: Leg, other: Leg) -> bool:
    pair = beside(one, other)
    return pair is not None and pair[0] <= TOUCH_MM and pair[1] > TOUCH_MM


def too_near(one: Leg, other: Leg) -> bool:
    """Whether parallel legs run too close, or one ends less than that from where the other begins."""
    pair = beside(one, other)
    if pair is None:
        return False
    gap, along = pair
    return gap < APART_MM - TOUCH_MM and (along > TOUCH_MM or (gap <= TOUCH_MM and along > -APART_MM))


def cross(one: Leg, other: Leg) -> bool:
    """Whether a level and an upright leg cross, each inside the other."""
    if one.level is other.level:
        return False
    level, upright = (one.box, other.box) if one.level else (other.box, one.box)
    return level.left < upright.left < level.right and upright.top < level.top < upright.bottom


def lines_meet(one: Leg, other: Leg) -> bool:
    """Whether two legs at any slant have a point in common."""
    if apart(one.box, other.box, TOUCH_MM):
        return False
    ends = ((one.a, other), (one.b, other), (other.a, one), (other.b, one))
    if any(distance(point, leg) <= TOUCH_MM for point, leg in ends):
        return True
    return side(one, other.a) * side(one, other.b) < 0 and side(other, one.a) * side(other, one.b) < 0


def side(leg: Leg, point: XY) -> float:
    return (leg.b.x - leg.a.x) * (point.y - leg.a.y) - (leg.b.y - leg.a.y) * (point.x - leg.a.x)


def crosses_box(leg: Leg, box: Box) -> bool:
    """Whether some of a leg is inside a box."""
    if apart(leg.box, box, TOUCH_MM):
        return False
    if box.has(leg.a, -TOUCH_MM) or box.has(leg.b, -TOUCH_MM):
        return True
    left, top, right, bottom = box
    corners = (XY(left, top), XY(right, top), XY(right, bottom), XY(left, bottom), XY(left, top))
    return sum(lines_meet(leg, Leg(a, b)) for a, b in pairwise(corners)) >= 2


def enters(leg: Leg, shape: Outline) -> bool:
    """Whether a leg comes into a closed shape; one that is round all of it is a frame."""
    box = shape.box
    if not grown(leg.box, TOUCH_MM).meets(grown(box, -2 * TOUCH_MM)) or box.holds(leg.box):
        return False
    return not shape.is_rectangle or crosses_box(leg, box)


def apart(one: Box, other: Box, spare: float) -> bool:
    return (
        one.right + spare < other.left
        or other.right + spare < one.left
        or one.bottom + spare < other.top
        or other.bottom + spare < one.top
    )


def grown(box: Box, by: float) -> Box:
    return Box(box.left - by, box.top - by, box.right + by, box.bottom + by)


def on_edge(point: XY, box: Box) -> bool:
    return box.has(point, TOUCH_MM) and not box.has(point, -TOUCH_MM)
