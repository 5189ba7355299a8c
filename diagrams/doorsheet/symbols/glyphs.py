"""Small signs that several symbols carry inside.  Nothing here is a symbol by itself."""

from collections.abc import Sequence
from typing import NamedTuple

from doorsheet.symbols.base import SYMBOL_THICK, XY, Symbol

__all__ = ["Limb", "Limbs", "led", "light", "plus_sign", "pulse", "rail", "ramp", "transistor"]


class Limb(NamedTuple):
    """A slanted stroke from a transistor's base bar to where its lead begins."""

    start: XY
    end: XY


class Limbs(NamedTuple):
    """The two limbs of a transistor, for the caller to draw as the beginning of the leads."""

    collector: Limb
    emitter: Limb


def transistor(symbol: Symbol, bar: XY, along: XY, out: XY, *, pnp: bool = False, size: float = 1.0) -> Limbs:
    """Draw base bar and emitter arrow; return both limbs.

    `bar` is the middle of the base bar, `along` the unit vector on which the collector lies,
    `out` the one in which both limbs lead away.  The emitter's arrow points out of an NPN
    and into a PNP transistor (IEC 60617-5, from memory).
    """

    def place(u: float, v: float) -> XY:
        return (bar[0] + size * (u * along[0] + v * out[0]), bar[1] + size * (u * along[1] + v * out[1]))

    symbol.stroke((place(-2.2, 0), place(2.2, 0)), SYMBOL_THICK)
    emitter = Limb(place(-0.9, 0), place(-2.6, 2.4))
    dx, dy = emitter.end[0] - emitter.start[0], emitter.end[1] - emitter.start[1]
    share = 0.18 if pnp else 0.88
    tip = (emitter.start[0] + dx * share, emitter.start[1] + dy * share)
    symbol.head(tip, (-dx, -dy) if pnp else (dx, dy), size)
    return Limbs(Limb(place(0.9, 0), place(2.6, 2.4)), emitter)


def led(symbol: Symbol, centre: XY, left: float) -> None:
    """Draw a light-emitting diode, anode on top, its leads running to x = `left`."""
    x, y = centre
    symbol.lead((x, y + 1.3), (x, y + 3.4), (left, y + 3.4))
    symbol.lead((x, y - 1.3), (x, y - 3.4), (left, y - 3.4))
    symbol.stroke(((x - 1.7, y + 1.3), (x + 1.7, y + 1.3), (x, y - 1.3), (x - 1.7, y + 1.3)))
    symbol.stroke(((x - 1.7, y - 1.3), (x + 1.7, y - 1.3)))


def light(symbol: Symbol, tail: XY, reach: XY, apart: float = 1.6, size: float = 0.75) -> None:
    """Draw the two parallel arrows of light; `tail` is the upper one's tail, `reach` its vector."""
    for drop in (0.0, apart):
        x, y = tail[0], tail[1] - drop
        symbol.arrow((x, y), (x + reach[0], y + reach[1]), size)


def pulse(symbol: Symbol, centre: XY, width: float = 6.0, height: float = 3.0) -> None:
    """Draw one square pulse."""
    x, y = centre[0] - width / 2, centre[1] - height / 2
    corners = ((0, 0), (1, 0), (1, 1), (2, 1), (2, 0), (3, 0))
    symbol.stroke([(x + third * width / 3, y + up * height) for third, up in corners])


def ramp(symbol: Symbol, centre: XY, width: float = 5.0, height: float = 3.0) -> None:
    """Draw a slope between two axes: a quantity that takes any value."""
    x, y = centre[0] - width / 2, centre[1] - height / 2
    symbol.stroke(((x, y + height), (x, y), (x + width, y)))
    symbol.stroke(((x, y), (x + width, y + height)))


def plus_sign(symbol: Symbol, centre: XY, arm: float = 0.8) -> None:
    """Draw a plus sign."""
    x, y = centre
    symbol.stroke(((x - arm, y), (x + arm, y)))
    symbol.stroke(((x, y - arm), (x, y + arm)))


def rail(symbol: Symbol, way: Sequence[XY], rise: float) -> None:
    """Draw a way on to a short level rail, `rise` above its end; below, when negative: the 0 V bar."""
    x, y = way[-1]
    symbol.lead((x, y), (x, y + rise), inner=way[:-1])
    symbol.stroke(((x - 1.3, y + rise), (x + 1.3, y + rise)), SYMBOL_THICK)
