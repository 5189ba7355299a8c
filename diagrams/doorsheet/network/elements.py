"""Network room: what a network is made of. Each element joins two nodes; nothing is solved here."""

from collections.abc import Hashable
from math import isfinite
from typing import NamedTuple

from doorsheet.network import curves

__all__ = [
    "Element", "Figure", "Node", "contact", "current_source", "diode", "input_by_limit", "input_by_type",
    "potentiometer", "resistor", "supply", "transistor_between", "transistor_closed", "transistor_open",
]  # fmt: skip

Node = Hashable

_LEAST = 1e-3
_DECADES = 1e5
"""What nobody gave and may be this many times its least (a thousandth at least) is walked by decades."""


class _Figure(NamedTuple):
    name: str
    low: float
    high: float
    known: bool = True


class Figure(_Figure):
    """A quantity that may lie anywhere from `low` to `high`; figures of one name are one quantity.

    ``known=False`` says that nobody gave it: the range is then all that it can be, and its name is what
    is missing.  A fixed figure may go without a name.  Raises ValueError for a range that can't be.
    """

    __slots__ = ()

    def __new__(cls, name: str, low: float, high: float, known: bool = True) -> "Figure":
        """Check the range."""
        if not (isfinite(low) and isfinite(high) and low <= high):
            raise ValueError(f"{name or 'a figure'}: no range from {low} to {high}")
        if not name and low < high:
            raise ValueError(f"a figure that ranges from {low} to {high} needs a name")
        return super().__new__(cls, name, float(low), float(high), known)

    @property
    def by_decades(self) -> bool:
        """Say whether it spans so much that a walk must go by ratios, not by differences."""
        return not self.known and self.high >= _DECADES * max(self.low, _LEAST)

    def between(self, share: float) -> float:
        """Give its value at a share 0 to 1 of its range; by ratios where it spans decades."""
        if share in (0, 1):
            return self.high if share else self.low
        if self.by_decades:
            least = max(self.low, _LEAST)
            return float(least * (self.high / least) ** share)
        return self.low + share * (self.high - self.low)


class Element(NamedTuple):
    """Two nodes and what makes the curve between them of these figures; current counts from a to b."""

    key: Hashable
    a: Node
    b: Node
    shape: curves.Shape
    figures: tuple[Figure, ...]


def _share(key: Hashable, figure: Figure) -> Figure:
    if figure.high > 1:
        raise ValueError(f"{key}: {figure.name} is a share, and goes beyond 1: {figure.high}")
    return figure


def _element(key: Hashable, a: Node, b: Node, shape: curves.Shape, *figures: Figure | None) -> Element:
    given = tuple(figure for figure in figures if figure is not None)
    for figure in given:
        if figure.low < 0:
            raise ValueError(f"{key}: {figure.name or 'a figure'} is below zero: {figure.low}")
    return Element(key, a, b, shape, given)


def resistor(key: Hashable, a: Node, b: Node, ohm: Figure) -> Element:
    """Give a resistor: also a wire, a link, a burden. Nothing counts as a milliohm."""
    return _element(key, a, b, curves.OHMIC, ohm)


contact = resistor


def supply(
    key: Hashable,
    plus: Node,
    minus: Node,
    volts: Figure,
    inner_ohm: Figure,
    most_out_a: Figure | None = None,
    takes_back: bool = False,
) -> Element:
    """Give a supply; current counts from plus through it to minus, so what it gives is negative."""
    shape = curves.TWO_WAY if takes_back else curves.ONE_WAY
    return _element(key, plus, minus, shape, volts, inner_ohm, most_out_a)


def current_source(key: Hashable, out: Node, back: Node, amps: Figure, compliance_v: Figure) -> Element:
    """Give a current source, whose current leaves at `out`: it counts as negative, as a supply's does."""
    return _element(key, out, back, curves.DRIVING, amps, compliance_v)


def transistor_open(
    key: Hashable, plus: Node, minus: Node, leak_a: Figure, reverse_v: Figure, bears_v: Figure | None = None
) -> Element:
    """Give an open output: leakage above 0 V; breakdown, or a diode, at `reverse_v` backwards."""
    return _element(key, plus, minus, curves.LEAKING, leak_a, reverse_v, bears_v)


def transistor_closed(key: Hashable, plus: Node, minus: Node, drop_v: Figure, reverse_v: Figure) -> Element:
    """Give a closed output: its drop, then steep; backwards as when open."""
    return _element(key, plus, minus, curves.DROPPING, drop_v, reverse_v)


def transistor_between(
    key: Hashable,
    plus: Node,
    minus: Node,
    state: Figure,
    drop_v: Figure,
    leak_a: Figure,
    reverse_v: Figure,
    bears_v: Figure | None = None,
) -> Element:
    """Give the output of a controller that starts: anything from open (`state` 0) to closed (1)."""
    return _element(key, plus, minus, curves.STARTING, _share(key, state), drop_v, leak_a, reverse_v, bears_v)


def diode(key: Hashable, anode: Node, cathode: Node, drop_v: Figure) -> Element:
    """Give a diode: its drop, then steep; nothing backwards."""
    return _element(key, anode, cathode, curves.DROPPING, drop_v)


def input_by_type(key: Hashable, plus: Node, minus: Node, kind: int, family: Figure | None = None) -> Element:
    """Give a switch input of IEC 61131-2 type 1, 2 or 3: any curve from least (0) to most (1) current.

    Without a `family` it gets one of its own, named after its key.
    """
    share = _share(key, family or Figure(f"curve of {key}", 0.0, 1.0))
    return _element(key, plus, minus, curves.TYPED[kind], share)


def input_by_limit(key: Hashable, plus: Node, minus: Node, low_ohm: Figure, limit_a: Figure) -> Element:
    """Give an input that limits its current: ohmic below the knee, level above, alike both ways."""
    return _element(key, plus, minus, curves.LIMITING, low_ohm, limit_a)


def potentiometer(
    key: Hashable, low: Node, wiper: Node, high: Node, ohm: Figure, place: Figure
) -> tuple[Element, Element]:
    """Give the two halves of a track, keys ``(key, "low")`` and ``(key, "high")``; `place` 0 is low."""
    _share(key, place)
    return (
        _element((key, "low"), low, wiper, curves.LOW_SHARE, ohm, place),
        _element((key, "high"), wiper, high, curves.HIGH_SHARE, ohm, place),
    )
