"""Networks made up at random, as plain descriptions: elements and netlists are made from them.

The figures are of the sizes that control cabinets have.  A description holds no formula.
"""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from doorsheet import network as net
from doorsheet.network import Element, Figure

__all__ = ["Part", "built", "figures", "random_parts"]


class Part(NamedTuple):
    """A kind of element, its key, its nodes in the constructor's order, its figures likewise."""

    kind: str
    key: str
    nodes: tuple[str, ...]
    figures: tuple[Figure, ...]


def built(parts: list[Part]) -> Iterator[Element]:
    """Yield the elements that the constructors make of descriptions."""
    for kind, key, nodes, figures in parts:
        if kind == "potentiometer":
            yield from net.potentiometer(key, *nodes, *figures)
        elif kind.startswith("type "):
            yield net.input_by_type(key, *nodes, int(kind[5:]), *figures)
        elif kind == "two-way supply":
            yield net.supply(key, *nodes, *figures, takes_back=True)
        elif kind == "supply":
            yield net.supply(key, *nodes, *figures)
        else:
            yield getattr(net, kind)(key, *nodes, *figures)


def figures(parts: list[Part]) -> dict[str, Figure]:
    """Give the figures that range, by name, in the order of the parts."""
    return {f.name: f for part in parts for f in part.figures if f.low < f.high}


class _Maker:
    def __init__(self, seed: int, most_ranges: int, share: bool) -> None:
        self.random = Random(seed)
        self.left = most_ranges
        self.share = share
        self.shared: dict[tuple[str, float, float], Figure] = {}
        self.count = 0

    def figure(self, what: str, low: float, high: float, wide: float = 0.3) -> Figure:
        """Give a figure somewhere from low to high; it ranges if ranges are left and luck has it."""
        least = low * (high / low) ** self.random.random() if low > 0 else self.random.uniform(low, high)
        kept = [figure for (kind, *_), figure in self.shared.items() if kind == what]
        if self.share and kept and self.random.random() < 0.4:
            return kept[0]
        self.count += 1
        name = f"{what} {self.count}"
        if self.left > 0 and self.random.random() < 0.6:
            self.left -= 1
            high = least + self.random.random() * max(wide * least, wide * (high - low) / 4)
            figure = Figure(name, least, min(high, 1.0) if what == "share" else high)
        else:
            figure = Figure(name, least, least)
        self.shared[what, low, high] = figure
        return figure

    def part(self, kind: str, key: str, nodes: tuple[str, ...]) -> Part:
        f = self.figure
        share = f("share", 0.0, 0.5, 2.0)
        match kind:
            case "resistor":
                made: tuple[Figure, ...] = (f("ohm", *self.random.choice([(0.01, 2), (100, 1e5)])),)
            case "supply" | "two-way supply":
                made = (f("volts", 5, 30), f("inner", 0.01, 100))
                if self.random.random() < 0.4:
                    made += (f("most", 0.02, 2),)
            case "current_source":
                made = (f("amps", 4e-3, 20e-3), f("compliance", 12, 24))
            case "transistor_open":
                made = (f("leak", 0, 5e-4), f("reverse", 0.6, 7))
                if self.random.random() < 0.5:
                    made += (f("bears", 20, 60),)
            case "transistor_closed":
                made = (f("drop", 0, 3), f("reverse", 0.6, 7))
            case "transistor_between":
                made = (share, f("drop", 0, 3), f("leak", 0, 5e-4), f("reverse", 0.6, 7))
            case "diode":
                made = (f("drop", 0.3, 1),)
            case "input_by_limit":
                made = (f("ohm", 500, 5000), f("limit", 2e-3, 5e-3))
            case _:
                assert kind.startswith("type "), kind
                made = (share,)
        return Part(kind, key, nodes, made)


_KINDS = (
    *(["resistor"] * 8),
    *(["transistor_open", "transistor_closed", "transistor_between", "diode"] * 1),
    *("input_by_limit", "type 1", "type 2", "type 3", "current_source", "supply", "two-way supply"),
)


def random_parts(
    seed: int, nodes: int = 5, more: int = 4, most_ranges: int = 6, share: bool = False
) -> list[Part]:
    """Make a network up: every node hangs on one before it, and some more elements lie across."""
    maker = _Maker(seed, most_ranges, share)
    random = maker.random
    parts = [maker.part("supply", "e0", ("n1", "n0"))]
    pairs = [(f"n{n}", f"n{random.randrange(n)}") for n in range(2, nodes)]
    pairs += [tuple(random.sample([f"n{n}" for n in range(nodes)], 2)) for _ in range(more)]  # type: ignore[misc]
    for number, (a, b) in enumerate(pairs, start=1):
        ends = (a, b) if random.random() < 0.5 else (b, a)
        parts.append(maker.part(random.choice(_KINDS), f"e{number}", ends))
    if random.random() < 0.4:
        low, wiper, high = random.sample([f"n{n}" for n in range(nodes)], 3)
        figures = (maker.figure("track", 1e3, 1e4), Figure(f"place {seed}", 0.3, 0.3 + 0.6 * random.random()))
        parts.append(Part("potentiometer", f"e{len(parts)}", (low, wiper, high), figures))
    random.shuffle(parts)
    return parts
