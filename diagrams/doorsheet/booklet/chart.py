"""A small plot in the sheets' own pens: measured speed against the commanded one (booklet room)."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from doorsheet.booklet.leaf import WIDTH_MM
from doorsheet.page.boxes import Block, line, rectangle, rule
from doorsheet.page.display import Group, Item, Oval, Point, Role, Stroke
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL

if TYPE_CHECKING:
    from doorsheet.speed.regression import Fit, Pair

__all__ = ["chart", "ticks"]

_HEIGHT_MM: Final = 62.0
_LEFT_MM: Final = 18.0
_FOOT_MM: Final = 12.0
_TOP_MM: Final = 4.0
_PLOT_MM: Final = 62.0
_APART_MM: Final = 22.0


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Return four to eight round numbers from `low` to `high`, steps of 1, 2 or 5 times a power of ten.

    >>> ticks(0, 24000)
    (0.0, 5000.0, 10000.0, 15000.0, 20000.0)
    """
    span = high - low
    if not span > 0:
        return (low,)
    power = 10.0 ** math.floor(math.log10(span))
    step = next(step for step in (power / 5, power / 2, power, power * 2) if span / step <= 7.0)
    first = math.ceil(low / step - 1e-9)
    return tuple(round(count * step, 9) + 0.0 for count in range(first, math.floor(high / step + 1e-9) + 1))


def chart(pairs: "Sequence[Pair]", fit: "Fit | None") -> Block:
    """Plot the pairs with the ideal line and the fitted one; beside it what is left of each pair's error."""
    commands = [pair.commanded_rpm for pair in pairs]
    reals = [pair.real_rpm for pair in pairs]
    low, high = min(0.0, *commands, *reals), max(1.0, *commands, *reals)
    items = _Plot(tr("commanded rpm"), tr("measured rpm"), (low, high), (low, high), 0.0)
    out = [*items.frame(), *items.line((low, low), (high, high), Role.WIRE_FREE)]
    if fit is not None:
        start, end = ((x, fit.at(x)) for x in (low, high))
        out += items.line(items.inside(start), items.inside(end), Role.SYMBOL)
    out += items.points(list(zip(commands, reals, strict=True)))
    errors = [
        pair.real_rpm - (fit.at(pair.commanded_rpm) if fit is not None else pair.commanded_rpm)
        for pair in pairs
    ]
    most = max(1.0, *(abs(error) for error in errors)) * 1.15
    left = _LEFT_MM + _PLOT_MM + _APART_MM
    rest = _Plot(tr("commanded rpm"), tr("off the line, rpm"), (low, high), (-most, most), left - _LEFT_MM)
    out += [*rest.frame(), *rest.line((low, 0.0), (high, 0.0), Role.WIRE_FREE)]
    out += rest.points(list(zip(commands, errors, strict=True)))
    words = tr("dashed: as commanded; line: fitted") if fit is not None else tr("dashed: as commanded")
    out.append(line(_LEFT_MM, _HEIGHT_MM + 3.5, words, role=Role.TEXT_SOFT))
    return Block((Group("chart", tuple(out), tr("measured speeds")),), WIDTH_MM, _HEIGHT_MM + 5.0)


class _Plot:
    """One frame with its scales."""

    def __init__(
        self, across: str, up: str, x: tuple[float, float], y: tuple[float, float], shift_mm: float
    ) -> None:
        self._across, self._up, self._x, self._y = across, up, x, y
        self._left = _LEFT_MM + shift_mm
        self._wide = min(_PLOT_MM, WIDTH_MM - self._left - 1.0)
        self._high = _HEIGHT_MM - _TOP_MM - _FOOT_MM

    def _place(self, point: tuple[float, float]) -> Point:
        x = self._left + (point[0] - self._x[0]) / (self._x[1] - self._x[0]) * self._wide
        y = _TOP_MM + (self._y[1] - point[1]) / (self._y[1] - self._y[0]) * self._high
        return Point(x, y)

    def inside(self, point: tuple[float, float]) -> tuple[float, float]:
        """Hold a point within the upright scale."""
        return point[0], min(max(point[1], self._y[0]), self._y[1])

    def frame(self) -> list[Item]:
        bottom = _TOP_MM + self._high
        out: list[Item] = [rectangle(self._left, _TOP_MM, self._wide, self._high, Role.BOX)]
        for value in ticks(*self._x):
            x = self._place((value, self._y[0])).x
            out.append(rule(x, bottom, x, bottom + 1.2))
            out.append(line(x, bottom + 1.8 + CAP_SMALL, f"{value:g}".replace("-", "−"), anchor="middle"))
        for value in ticks(*self._y):
            y = self._place((self._x[0], value)).y
            out.append(rule(self._left - 1.2, y, self._left, y))
            out.append(
                line(self._left - 1.8, y + CAP_SMALL / 2, f"{value:g}".replace("-", "−"), anchor="end")
            )
        out.append(line(self._left + self._wide, _HEIGHT_MM - 0.8, self._across, anchor="end"))
        out.append(line(self._left, _TOP_MM - 1.6, self._up))
        return out

    def line(self, start: tuple[float, float], end: tuple[float, float], role: Role) -> list[Item]:
        return [Stroke((self._place(start), self._place(end)), role)]

    def points(self, values: Sequence[tuple[float, float]]) -> list[Item]:
        places = [self._place(self.inside(value)) for value in values]
        return [Oval(x, y, 0.9, 0.9, Role.SYMBOL_SOLID) for x, y in places]
