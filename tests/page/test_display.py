"""The display list: numbers as they are drawn, and items that can't be."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from doorsheet.page.display import Area, Item, Oval, Pattern, Point, Role, Stroke, Text


def test_numbers_are_snapped_and_never_minus_zero() -> None:
    line = Stroke((Point(0.1 + 0.2, -0.0), Point(3.00049, -0.0004)), Role.RULE)
    assert line.points == ((0.3, 0.0), (3.0, 0.0))
    assert all(math.copysign(1, y) == 1 for _, y in line.points)


@pytest.mark.parametrize("value", [0.0005, 1.0005, 2.0015, -0.0005, 2.6745, 1e6 + 0.0005])
def test_halves_are_snapped_as_python_rounds(value: float) -> None:
    assert Oval(value, 0.0, 1.0, 1.0, Role.HOLE).x == round(value, 3)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize(
    "make",
    [
        lambda v: Stroke((Point(0.0, 0.0), Point(v, 0.0)), Role.RULE),
        lambda v: Oval(0.0, v, 1.0, 1.0, Role.HOLE),
        lambda v: Text(0.0, 0.0, "DI1", 2.5, v),
        lambda v: Pattern(v, 0.0, 1.0, ("1",)),
    ],
)
def test_what_is_no_length_is_refused(make: Callable[[float], Item], bad: float) -> None:
    with pytest.raises(ValueError, match="not a length"):
        make(bad)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Stroke((Point(0.0, 0.0),), Role.RULE),
        lambda: Area((Point(0.0, 0.0), Point(1.0, 0.0)), Role.BOX),
        lambda: Oval(0.0, 0.0, 0.0, 1.0, Role.HOLE),
        lambda: Text(0.0, 0.0, " ", 2.5, 0.0),
        lambda: Pattern(0.0, 0.0, 1.0, ("10",)),
    ],
)
def test_items_that_show_nothing_are_refused(make: Callable[[], Item]) -> None:
    with pytest.raises(ValueError):
        make()
