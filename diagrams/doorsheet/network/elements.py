"""What a network is made of: elements, and how much current each passes at each voltage.

Each element joins two nodes; nothing is solved here.  Every curve rises or is level, in straight pieces;
that one property gives a network one solution, which can't jump.  A step gets a milliohm, a level a
nanosiemens, so that nothing is singular.
"""

from bisect import bisect_right
from collections.abc import Callable, Hashable, Sequence
from enum import Enum
from functools import partial
from math import inf, isfinite
from typing import NamedTuple

__all__ = [
    "LEVEL_S", "OHMIC", "STEEP_S", "Curve", "Element", "Figure", "Node", "Rule", "Shape", "contact",
    "current_source", "diode", "input_by_limit", "input_by_type", "potentiometer", "resistor", "supply",
    "transistor_between", "transistor_closed", "transistor_open",
]  # fmt: skip

STEEP_S = 1e3
LEVEL_S = 1e-9
_ROUNDING_V = 1e-11
"""More than sums of some tens of volts are rounded by; a supply of a milliohm takes 10 nA back for it."""


class Curve(NamedTuple):
    """Current (A) over voltage (V): in piece k it is ``slopes[k] * v + offsets[k]``.

    Piece k ends at ``breaks[k]``, so there is one break fewer than pieces.
    """

    breaks: tuple[float, ...]
    slopes: tuple[float, ...]
    offsets: tuple[float, ...]

    def at(self, volts: float) -> float:
        """Give the current at a voltage."""
        piece = bisect_right(self.breaks, volts)
        return self.slopes[piece] * volts + self.offsets[piece]


class Rule(Enum):
    """Which way the current at a fixed voltage goes as a figure rises, if at all."""

    RISES = 1
    FALLS = 2
    WITH_VOLTS = 3
    AGAINST_VOLTS = 4
    IF_ALONE = 5  # rises if nothing else drives a current


class Shape(NamedTuple):
    """A name, and what makes a curve of an element's figures, in the order in which the element holds them.

    Where a shape drives, its curve is without current at its first (`volts`) or second figure
    (`compliance`), else at 0 V.  The rules go with the figures; `signs` builds proofs on them.
    """

    name: str
    curve: Callable[..., Curve]
    rules: tuple[Rule, ...]
    drives_at: int = -1


def bent(knees: Sequence[tuple[float, float]], slopes: Sequence[float]) -> Curve:
    """Give the curve through these knees (V, A) with these slopes before, between and after them.

    Each piece is drawn from the knee of least current: a level may be all that holds a node.
    """
    pairs = zip((knees[0], *knees), (*knees, knees[-1]), strict=True)
    starts = [min(pair, key=lambda knee: abs(knee[1])) for pair in pairs]
    offsets = [amps - slope * volts for (volts, amps), slope in zip(starts, slopes, strict=True)]
    return Curve(tuple([volts for volts, _ in knees]), tuple(slopes), tuple(offsets))


def combined(first: Curve, by: float, second: Curve, times: float) -> Curve:
    """Give the curve whose current is so much of one curve's and so much of another's."""
    breaks = tuple(sorted({*first.breaks, *second.breaks}))
    slopes, offsets = [], []
    for start in (-inf, *breaks):
        one, two = bisect_right(first.breaks, start), bisect_right(second.breaks, start)
        slopes.append(by * first.slopes[one] + times * second.slopes[two])
        offsets.append(by * first.offsets[one] + times * second.offsets[two])
    return Curve(breaks, tuple(slopes), tuple(offsets))


def _siemens(ohm: float) -> float:
    return min(1 / ohm, STEEP_S) if ohm > 0 else STEEP_S


def ohmic(ohm: float) -> Curve:
    """Give a resistor's line; nothing counts as a milliohm."""
    return Curve((), (_siemens(ohm),), (0.0,))


def two_way(volts: float, inner_ohm: float, most_a: float = inf) -> Curve:
    """Give a supply's line; current out is negative and ends at the limit, current back is taken."""
    slope = _siemens(inner_ohm)
    if most_a == inf:
        return Curve((), (slope,), (-slope * volts,))
    return bent([(volts - most_a / slope, -most_a)], (LEVEL_S, slope))


def one_way(volts: float, inner_ohm: float, most_a: float = inf) -> Curve:
    """Give the curve of a supply that takes no current back.

    Without a load it stands at its volts, by rounding a little above: there it must hold them still.
    """
    slope = _siemens(inner_ohm)
    if most_a == inf:
        return bent([(volts + _ROUNDING_V, slope * _ROUNDING_V)], (slope, LEVEL_S))
    knees = [(volts - most_a / slope, -most_a), (volts + _ROUNDING_V, slope * _ROUNDING_V)]
    return bent(knees, (LEVEL_S, slope, LEVEL_S))


def driving(amps: float, compliance_v: float) -> Curve:
    """Give a current source's curve: its amps up to its compliance, then no more."""
    return bent([(compliance_v - amps / STEEP_S, -amps), (compliance_v, 0.0)], (LEVEL_S, STEEP_S, LEVEL_S))


def leaking(leak_a: float, reverse_v: float, bears_v: float = inf) -> Curve:
    """Give an open transistor's curve: breakdown backwards, nothing, leakage, breakdown forwards."""
    knees = [(-reverse_v, -LEVEL_S * reverse_v), (0.0, 0.0), (leak_a / STEEP_S, leak_a)]
    if bears_v == inf:
        return bent(knees, (STEEP_S, LEVEL_S, STEEP_S, LEVEL_S))
    knees.append((max(bears_v, knees[-1][0]), leak_a + LEVEL_S * bears_v))
    return bent(knees, (STEEP_S, LEVEL_S, STEEP_S, LEVEL_S, STEEP_S))


def dropping(drop_v: float, reverse_v: float = inf) -> Curve:
    """Give the curve of a closed transistor, or of a diode: nothing up to the drop, then steep."""
    if reverse_v == inf:
        return bent([(drop_v, LEVEL_S * drop_v)], (LEVEL_S, STEEP_S))
    return bent([(-reverse_v, -LEVEL_S * reverse_v), (drop_v, LEVEL_S * drop_v)], (STEEP_S, LEVEL_S, STEEP_S))


def starting(share: float, drop_v: float, leak_a: float, reverse_v: float, bears_v: float = inf) -> Curve:
    """Give a curve anywhere between an open transistor's (0) and that of one that also conducts (1)."""
    return combined(leaking(leak_a, reverse_v, bears_v), 1.0, dropping(drop_v, reverse_v), share)


def limiting(low_ohm: float, limit_a: float) -> Curve:
    """Give the curve of an input that limits its current: ohmic up to the limit, then level, both ways."""
    slope = _siemens(low_ohm)
    knee_v = limit_a / slope
    return bent([(-knee_v, -limit_a), (knee_v, limit_a)], (LEVEL_S, slope, LEVEL_S))


def _typed(share: float, *, on_v: float, least_a: float, most_a: float) -> Curve:
    """Give a curve anywhere between the least (0) and the most (1) that a type of input may draw.

    Least: nothing up to the on region, then its least current.  Most: its most current from 0 V on.
    What it does backwards is not defined: the least curve draws as much there as the most does forwards.
    """
    foot_v = on_v - least_a / STEEP_S
    foot_a = LEVEL_S * foot_v
    least = bent(
        [(-most_a / STEEP_S, -most_a), (0.0, 0.0), (foot_v, foot_a), (on_v, foot_a + least_a)],
        (LEVEL_S, STEEP_S, LEVEL_S, STEEP_S, LEVEL_S),
    )
    most = bent([(0.0, 0.0), (most_a / STEEP_S, most_a)], (LEVEL_S, STEEP_S, LEVEL_S))
    return combined(least, 1 - share, most, share)


_UP, _DOWN, _WITH, _AGAINST = Rule.RISES, Rule.FALLS, Rule.WITH_VOLTS, Rule.AGAINST_VOLTS

OHMIC = Shape("ohmic", ohmic, (_AGAINST,))
# the two of a potentiometer's track
LOW_SHARE = Shape("low share", lambda ohm, place: ohmic(ohm * place), (_AGAINST, _AGAINST))
HIGH_SHARE = Shape("high share", lambda ohm, place: ohmic(ohm * (1 - place)), (_AGAINST, _WITH))
TWO_WAY = Shape("two way", two_way, (_DOWN, Rule.IF_ALONE, _DOWN), drives_at=0)
ONE_WAY = Shape("one way", one_way, (_DOWN, _UP, _DOWN), drives_at=0)
DRIVING = Shape("driving", driving, (_DOWN, _DOWN), drives_at=1)
LEAKING = Shape("leaking", leaking, (_UP, _UP, _DOWN))
DROPPING = Shape("dropping", dropping, (_DOWN, _UP))
STARTING = Shape("starting", starting, (_WITH, _DOWN, _UP, _UP, _DOWN))
LIMITING = Shape("limiting", limiting, (_AGAINST, _WITH))
TYPED = {
    1: Shape("type 1", partial(_typed, on_v=15.0, least_a=2e-3, most_a=15e-3), (_UP,)),
    2: Shape("type 2", partial(_typed, on_v=11.0, least_a=6e-3, most_a=30e-3), (_UP,)),
    3: Shape("type 3", partial(_typed, on_v=11.0, least_a=2e-3, most_a=15e-3), (_UP,)),
}
"""By type of input: the on region of IEC 61131-2:2007, standard operating ranges of digital inputs."""


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
    shape: Shape
    figures: tuple[Figure, ...]


def _share(key: Hashable, figure: Figure) -> Figure:
    if figure.high > 1:
        raise ValueError(f"{key}: {figure.name} is a share, and goes beyond 1: {figure.high}")
    return figure


def _element(key: Hashable, a: Node, b: Node, shape: Shape, *figures: Figure | None) -> Element:
    given = tuple(figure for figure in figures if figure is not None)
    for figure in given:
        if figure.low < 0:
            raise ValueError(f"{key}: {figure.name or 'a figure'} is below zero: {figure.low}")
    return Element(key, a, b, shape, given)


def resistor(key: Hashable, a: Node, b: Node, ohm: Figure) -> Element:
    """Give a resistor: also a wire, a link, a burden. Nothing counts as a milliohm."""
    return _element(key, a, b, OHMIC, ohm)


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
    shape = TWO_WAY if takes_back else ONE_WAY
    return _element(key, plus, minus, shape, volts, inner_ohm, most_out_a)


def current_source(key: Hashable, out: Node, back: Node, amps: Figure, compliance_v: Figure) -> Element:
    """Give a current source, whose current leaves at `out`: it counts as negative, as a supply's does."""
    return _element(key, out, back, DRIVING, amps, compliance_v)


def transistor_open(
    key: Hashable, plus: Node, minus: Node, leak_a: Figure, reverse_v: Figure, bears_v: Figure | None = None
) -> Element:
    """Give an open output: leakage above 0 V; breakdown, or a diode, at `reverse_v` backwards."""
    return _element(key, plus, minus, LEAKING, leak_a, reverse_v, bears_v)


def transistor_closed(key: Hashable, plus: Node, minus: Node, drop_v: Figure, reverse_v: Figure) -> Element:
    """Give a closed output: its drop, then steep; backwards as when open."""
    return _element(key, plus, minus, DROPPING, drop_v, reverse_v)


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
    return _element(key, plus, minus, STARTING, _share(key, state), drop_v, leak_a, reverse_v, bears_v)


def diode(key: Hashable, anode: Node, cathode: Node, drop_v: Figure) -> Element:
    """Give a diode: its drop, then steep; nothing backwards."""
    return _element(key, anode, cathode, DROPPING, drop_v)


def input_by_type(key: Hashable, plus: Node, minus: Node, kind: int, family: Figure | None = None) -> Element:
    """Give a switch input of IEC 61131-2 type 1, 2 or 3: any curve from least (0) to most (1) current.

    Without a `family` it gets one of its own, named after its key.
    """
    share = _share(key, family or Figure(f"curve of {key}", 0.0, 1.0))
    return _element(key, plus, minus, TYPED[kind], share)


def input_by_limit(key: Hashable, plus: Node, minus: Node, low_ohm: Figure, limit_a: Figure) -> Element:
    """Give an input that limits its current: ohmic below the knee, level above, alike both ways."""
    return _element(key, plus, minus, LIMITING, low_ohm, limit_a)


def potentiometer(
    key: Hashable, low: Node, wiper: Node, high: Node, ohm: Figure, place: Figure
) -> tuple[Element, Element]:
    """Give the two halves of a track, keys ``(key, "low")`` and ``(key, "high")``; `place` 0 is low."""
    _share(key, place)
    return (
        _element((key, "low"), low, wiper, LOW_SHARE, ohm, place),
        _element((key, "high"), wiper, high, HIGH_SHARE, ohm, place),
    )
