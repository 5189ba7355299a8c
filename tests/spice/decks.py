"""Circuits for ngspice, many in one process, each swept over a list of points of its figures."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from subprocess import TimeoutExpired
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
_MODELS = (".model ideal d(is=1e-12 n=5e-5)", ".model plateau nmos(level=1 kp=1e3 vto=0 lambda=0 is=1e-20)")
"""A diode that drops 20 uV at 5 mA; a transistor that saturates within millivolts."""

_STAY_S, _RAMP_S, _FARAD = 1e5, 1e3, 1e-6
"""The slow way: each point stays for so long, after a ramp, with a capacitor at every node; a gigohm and a
microfarad need 1000 s."""
_DECKS = 100  # to one process
_PATIENCE_S = 4.0  # with one circuit the slow way


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

    def deck(self, points: Sequence[Point], slow: bool) -> str:
        """Return a circuit that is swept over its points; the slow way they follow each other in time."""
        lines = ["* one circuit", *_MODELS, "Vk k 0 0", _line("s", points, BIAS, slow)]
        places = {name: f"p{index}" for index, name in enumerate(self.figures)}
        lines += [_line(place, points, name, slow) for name, place in places.items()]
        for count, element in enumerate(self.elements):
            a, b = self.names[element.a], self.names[element.b]
            if a == b:
                continue
            values = [f"v({places[f.name]})" if f.ranges else f"{f.low:.12g}" for f in element.figures]
            if element.lines == OHM and not element.figures[0].ranges:
                lines.append(f"Re{count} {a} {b} {max(element.figures[0].low, 1e-3):.12g}")
            else:
                own = element.lines.format(*values, a=a, b=b, x=f"x{count}_").split(";")
                own = [line.strip().replace("#", f"e{count}_{at}", 1) for at, line in enumerate(own)]
                lines += [line for line in own if line]
        dice = random.Random(7)
        for node, name in self.names.items():
            if slow:
                lines.append(f"C{name} {name} 0 {_FARAD}")
            if self.island[node] == node:
                lines.append(f"Rg{name} {name} 0 1")
            else:
                lines.append(f"Gs{name} 0 {name} s 0 {dice.choice([-1, 1]) * _STRAY_A * dice.uniform(0.6, 1)}")
        options = ".options reltol=1e-5 abstol=1e-12 vntol=1e-8 itl1=400 itl2=400"
        if slow:
            options = ".options reltol=1e-6 abstol=1e-13 vntol=1e-10 trtol=1e6 method=gear maxord=2 itl4=30"
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


def _line(node: str, points: Sequence[Point], name: str, slow: bool) -> str:
    """Return the source that gives a figure its value at each point."""
    values = [point.get(name, 0.0) for point in points]
    if len(set(values)) == 1:
        return f"V{node} {node} 0 {values[0]:.12g}"
    if not slow:
        pairs = ",".join(f"{at},{value:.12g}" for at, value in enumerate(values))
        return f"B{node} {node} 0 V = pwl(v(k),{pairs})"
    times = [(at * _STAY_S + shift, value) for at, value in enumerate(values) for shift in (_RAMP_S, _STAY_S)]
    return f"V{node} {node} 0 PWL(0 {values[0]:.12g} {' '.join(f'{at:.12g} {v:.12g}' for at, v in times)})"


def solve(ngspice: str, jobs: Iterable[tuple[Circuit, Sequence[Point]]]) -> Counter[str]:
    """Solve circuits at points and let them keep the volts; return at how many points, and where it gave up.

    What a sweep can't do is done again in time, which ngspice finds its way through nearly always.
    """
    quick = [(circuit, list(points)) for circuit, points in jobs if points]
    slow = [(circuit, rest) for circuit, rest in _batches(ngspice, quick, False) if rest]
    lost = sum(len(rest) for _, rest in _batches(ngspice, slow, True))
    every, hard = (sum(len(points) for _, points in some) for some in (quick, slow))
    return Counter({"points": every, "points the slow way": hard, "points given up": lost})


Work = list[tuple[Circuit, list[Point]]]


def _batches(ngspice: str, work: Work, slow: bool) -> Work:
    """Solve, and return the points that are left, since ngspice stops at the first that it can't solve."""
    left: Work = []
    step = 1 if slow else _DECKS
    for start in range(0, len(work), step):
        batch = work[start : start + step]
        for (circuit, points), values in zip(batch, _run(ngspice, batch, slow), strict=True):
            done = len(next(iter(values.values()))) if values else 0
            if done:
                circuit.keep(points[:done], values)
            left.append((circuit, points[done:]))
    return left


def _run(ngspice: str, batch: Work, slow: bool) -> list[dict[str, Floats]]:
    with TemporaryDirectory() as folder:
        base = Path(folder)
        control = ["* all", ".control", "set filetype=binary", "optran 1 0 0 0 0 0"]
        for number, (circuit, points) in enumerate(batch):
            # a sweep of one point needs a second
            own = points if len(points) > 1 else points * 2
            (base / f"d{number}.cir").write_text(circuit.deck(own, slow))
            sweep = f"tran 1 {len(own) * _STAY_S} 0 {_STAY_S / 5} uic" if slow else f"dc vk 0 {len(own) - 1} 1"
            control += [f"source {base}/d{number}.cir", sweep, f"write {base}/o{number}.raw"]
            control += ["destroy all", "remcirc"]
        (base / "all.cir").write_text("\n".join([*control, "quit 0", ".endc", ".end", ""]))
        with suppress(TimeoutExpired):  # what creeps from step to step is given up
            run(ngspice, "-b", base / "all.cir", timeout_s=_PATIENCE_S if slow else 600)
        return [
            _read(base / f"o{number}.raw", len(points), slow) for number, (_, points) in enumerate(batch)
        ]


def _read(path: Path, points: int, slow: bool) -> dict[str, Floats]:
    """Read a raw file: a head of text, then doubles, point by point; of times, the ends of the stays."""
    if not path.exists():
        return {}
    head, _, body = path.read_bytes().partition(b"Binary:\n")
    text = head.decode(errors="replace")
    names = [line.split()[1] for line in text.partition("Variables:\n")[2].splitlines() if line.strip()]
    table = np.frombuffer(body, np.float64).reshape(-1, len(names))
    if slow:
        times = table[:, 0]
        ends = [end for at in range(points) if (end := (at + 1) * _STAY_S) <= times[-1] * (1 + 1e-9)]
        table = table[[int(np.searchsorted(times, end * (1 + 1e-9))) - 1 for end in ends]]
    return {name.removeprefix("v(").removesuffix(")"): table[:points, at] for at, name in enumerate(names)}
