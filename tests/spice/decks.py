"""Circuits for ngspice, many in one process, each swept over a list of points of its figures."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import numpy.typing as npt

from tests.judges.tools import run
from tests.spice.figures import Figure
from tests.spice.netlist import OHM, Element
from tests.spice.wiring import Node

__all__ = ["BIAS", "Circuit", "Floats", "Point", "solve"]

Floats = npt.NDArray[np.float64]
Point = dict[str, float]
"""Values of figures by name; `BIAS` is a share of a stray current into every node."""

BIAS = "bias"
_STRAY_A = 1e-10
_IDEAL = 5e-5  # of a junction's volts at one current: 20 uV at 5 mA
_DECKS = 100  # to one process


@dataclass
class Circuit:
    """Elements, and the volts of their nodes at every point that was solved."""

    elements: Sequence[Element]
    points: list[Point] = field(default_factory=list)
    volts: dict[Node, Floats] = field(default_factory=dict)

    def __post_init__(self) -> None:
        nodes = dict.fromkeys(node for element in self.elements for node in (element.a, element.b))
        self.names = {node: f"n{index}" for index, node in enumerate(nodes)}
        known = {figure.name: figure for element in self.elements for figure in element.figures}
        self.figures: dict[str, Figure] = {name: fig for name, fig in known.items() if fig.ranges}
        self.keys = {element.key: element for element in self.elements}
        assert len(self.keys) == len(self.elements)
        self.island = self._islands()

    def _islands(self) -> dict[Node, Node]:
        """Return for each node the one that stands for all that anything joins it to."""
        to = {node: node for node in self.names}

        def top(node: Node) -> Node:
            while to[node] != node:
                node = to[node]
            return node

        for element in self.elements:
            to[top(element.a)] = top(element.b)
        return {node: top(node) for node in to}

    def value(self, figure: Figure, point: Point) -> float:
        return point.get(figure.name, figure.low) if figure.ranges else figure.low

    def deck(self, points: Sequence[Point]) -> str:
        lines = [
            "* one circuit",
            f".model ideal d(is=1e-12 n={_IDEAL})",
            "Vk k 0 0",
            f"Bs s 0 V = {_table(points, BIAS)}",
        ]
        places = {name: f"p{index}" for index, name in enumerate(self.figures)}
        lines += [f"B{place} {place} 0 V = {_table(points, name)}" for name, place in places.items()]
        for count, element in enumerate(self.elements):
            a, b = self.names[element.a], self.names[element.b]
            if a == b:
                continue
            values = [f"v({places[f.name]})" if f.ranges else f"{f.low:.12g}" for f in element.figures]
            if element.lines == OHM and not element.figures[0].ranges:
                lines.append(f"Re{count} {a} {b} {max(element.figures[0].low, 1e-3):.12g}")
                continue
            own = element.lines.format(*values, a=a, b=b, x=f"x{count}_").split(";")
            own = [line.strip().replace("#", f"e{count}_{at}", 1) for at, line in enumerate(own)]
            lines += [line for line in own if line]
        dice = random.Random(7)
        for node, name in self.names.items():
            if self.island[node] == node:
                lines.append(f"Rg{name} {name} 0 1")
            else:
                lines.append(
                    f"Gs{name} 0 {name} s 0 {dice.choice([-1, 1]) * _STRAY_A * dice.uniform(0.6, 1)}"
                )
        options = ".options reltol=1e-4 abstol=1e-10 vntol=1e-6 itl1=100 itl2=100"
        return "\n".join([*lines, options, ".end", ""])

    def keep(self, points: Sequence[Point], values: dict[str, Floats]) -> None:
        """Take in what was solved for some points."""
        self.points += points
        for node, name in self.names.items():
            new = values[name]
            self.volts[node] = np.concatenate((self.volts[node], new)) if node in self.volts else new

    def across(self, a: Node, b: Node) -> Floats | None:
        """Return volts between two nodes; None where nothing joins them."""
        if a not in self.names or b not in self.names or self.island[a] != self.island[b]:
            return None
        return self.volts[a] - self.volts[b]

    def wire_a(self, element: Element) -> Floats:
        """Return the current through a plain resistor, at every point."""
        (ohm,) = element.figures
        values = np.array([max(self.value(ohm, point), 1e-3) for point in self.points])
        return (self.volts[element.a] - self.volts[element.b]) / values


def _table(points: Sequence[Point], name: str) -> str:
    values = [point.get(name, 0.0) for point in points]
    if len(set(values)) == 1:
        return f"{values[0]:.12g}"
    pairs = ",".join(f"{at},{value:.12g}" for at, value in enumerate(values))
    return f"pwl(v(k),{pairs})"


def solve(ngspice: str, jobs: Iterable[tuple[Circuit, Sequence[Point]]]) -> int:
    """Solve circuits at points and let them keep the volts; return at how many points ngspice gave up."""
    waiting, lost = [(circuit, list(points)) for circuit, points in jobs if points], 0
    while waiting:
        again = []
        for start in range(0, len(waiting), _DECKS):
            batch = waiting[start : start + _DECKS]
            for (circuit, points), values in zip(batch, _run(ngspice, batch), strict=True):
                done = len(next(iter(values.values()))) if values else 0
                if done:
                    circuit.keep(points[:done], values)
                if done < len(points):  # it stops at the first that it can't solve
                    lost += 1
                    if rest := points[done + 1 :]:
                        again.append((circuit, rest))
        waiting = again
    return lost


def _run(ngspice: str, batch: Sequence[tuple[Circuit, list[Point]]]) -> list[dict[str, Floats]]:
    with TemporaryDirectory() as folder:
        base = Path(folder)
        control = ["* all", ".control", "set filetype=binary"]
        for number, (circuit, points) in enumerate(batch):
            # a sweep of one point needs a second
            (base / f"d{number}.cir").write_text(circuit.deck(points if len(points) > 1 else points * 2))
            end = max(len(points) - 1, 1)
            control += [f"source {base}/d{number}.cir", f"dc vk 0 {end} 1", f"write {base}/o{number}.raw"]
            control += ["destroy all", "remcirc"]
        (base / "all.cir").write_text("\n".join([*control, "quit 0", ".endc", ".end", ""]))
        run(ngspice, "-b", base / "all.cir", timeout_s=600)
        return [_read(base / f"o{number}.raw", len(points)) for number, (_, points) in enumerate(batch)]


def _read(path: Path, points: int) -> dict[str, Floats]:
    """Read a raw file: a head of text, then doubles, point by point."""
    if not path.exists():
        return {}
    head, _, body = path.read_bytes().partition(b"Binary:\n")
    text = head.decode(errors="replace")
    names = [line.split()[1] for line in text.partition("Variables:\n")[2].splitlines() if line.strip()]
    table = np.frombuffer(body, np.float64).reshape(-1, len(names))[:points]
    return {name.removeprefix("v(").removesuffix(")"): table[:, at] for at, name in enumerate(names)}
