"""Circuits for ngspice, many in one process, each swept over a list of points of its figures."""

from __future__ import annotations

import os
import random
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import numpy.typing as npt

from tests.judges.tools import run
from tests.spice.figures import Figure
from tests.spice.netlist import MILLIOHM, OHM, PLATEAU, Element, Key
from tests.spice.wiring import Node

__all__ = ["BIAS", "Circuit", "Floats", "Point", "solve"]

Floats = npt.NDArray[np.float64]
Point = dict[str, float]
"""Values of figures by name; `BIAS` is a share of a stray current into every node."""

BIAS = "bias"
METERED = ("wire", "input", "touch", "to earth", "earthed", "link", "supply", "feed", "reference", "source")
_STRAY_A = 1e-10
_MODELS = (
    ".model ideal d(is={} n={})",
    ".model plateau nmos(level=1 kp={} vto=0 lambda=0 is=1e-20)",
    ".model faint nmos(level=1 kp=10 vto=0 lambda=0 is=1e-20)",
)
_USUAL, _SHARP = ("1e-11", "5e-4", PLATEAU), ("1e-12", "5e-5", "1e5")
"""A diode that drops 0.3 mV at 5 mA, or a tenth of it; transistors that limit milliamperes within two
millivolts, or a tenth of it, and microamperes within millivolts.
"""

_DECKS = 100  # to one process
_IN_MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # small files by the hundred
_PATIENCE = 4  # points of one circuit that can't be solved, each takes long to try


@dataclass
class Circuit:
    """Elements, and volts and amperes at every point that was solved."""

    elements: Sequence[Element]
    points: list[Point] = field(default_factory=list)
    volts: dict[Node, Floats] = field(default_factory=dict)
    amps: dict[Key, Floats] = field(default_factory=dict)  # of the wires and inputs
    lost: int = 0  # points that ngspice gave up on
    nothing_ohm: float = 1e-3  # what stands for no resistance
    before: Circuit | None = None  # what was found at the same points with another nothing

    def __post_init__(self) -> None:
        nodes = dict.fromkeys(node for element in self.elements for node in (element.a, element.b))
        self.names = {node: f"n{index}" for index, node in enumerate(nodes)}
        known = {figure.name: figure for element in self.elements for figure in element.figures}
        self.figures: dict[str, Figure] = {name: fig for name, fig in known.items() if fig.ranges}
        self.keys = {element.key: element for element in self.elements}
        self._taken_in()
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

    def deck(self, points: Sequence[Point], tight: bool, patient: bool) -> str:
        """Return a circuit that is swept over its points.

        Tight, to smaller tolerances and with sharper curves.  Patient, with ngspice's steps of gmin: where
        those don't help either it takes ten times as long.
        """
        curves = _SHARP if tight else _USUAL
        models = "\n".join(_MODELS).format(*curves)
        lines = ["* one circuit", models, "Vk k 0 0", _line("s", points, BIAS)]
        places = {name: f"p{index}" for index, name in enumerate(self.figures)}
        lines += [_line(place, points, name) for name, place in places.items()]
        for count, element in enumerate(self.elements):
            a, b = self.names[element.a], self.names[element.b]
            if a == b:
                continue
            values = [f"v({places[f.name]})" if f.ranges else f"{f.low:.12g}" for f in element.figures]
            if element.key[0] in METERED:
                lines.append(f"Vm{count} {a} m{count} 0")
                a = f"m{count}"
            if element.lines == OHM and not element.figures[0].ranges:
                lines.append(f"Re{count} {a} {b} {max(element.figures[0].low, self.nothing_ohm):.12g}")
            else:
                own = (
                    element.lines.replace(MILLIOHM, f"{self.nothing_ohm:g}")
                    .replace(f"/{PLATEAU})", f"/{curves[2]})")
                    .format(*values, a=a, b=b, x=f"x{count}_")
                    .split(";")
                )
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
        close = "reltol=1e-8 vntol=1e-8" if tight else "reltol=1e-7 vntol=1e-7"
        options = f".options {close} abstol=1e-10 gmin=1e-15 itl1=200 itl2=100 srcsteps=0"
        options += "" if patient else " gminsteps=0"
        return "\n".join([*lines, options, ".end", ""])

    def keep(self, points: Sequence[Point], values: dict[str, Floats]) -> None:
        """Take in what was solved for some points."""
        self.points += points
        self._taken_in()
        for count, element in enumerate(self.elements):
            if f"vm{count}" in values:
                new = values[f"vm{count}"]
                self.amps[element.key] = np.concatenate((self.amps.get(element.key, new[:0]), new))
        for node, name in self.names.items():
            new = values[name]
            self.volts[node] = np.concatenate((self.volts[node], new)) if node in self.volts else new

    def _taken_in(self) -> None:
        """Note where each point stands, which are without stray currents, and which go with which."""
        self._places = {frozenset(point.items()): place for place, point in enumerate(self.points)}
        self.sober = np.array([BIAS not in point for point in self.points], bool)
        # with known figures at their middle, and elsewhere
        self.stirred: dict[float, list[tuple[int, int]]] = {-1.0: [], 1.0: []}
        known = [(name, figure.at(2)) for name, figure in self.figures.items() if not figure.unknown]
        self.stirred_ends: list[tuple[int, int]] = []
        for place, point in enumerate(self.points):
            if BIAS in point:
                plain = self.place({name: value for name, value in point.items() if name != BIAS})
                middle = all(point[name] == value for name, value in known)
                if plain is not None:
                    (self.stirred[point[BIAS]] if middle else self.stirred_ends).append((place, plain))

    def place(self, point: Point) -> int | None:
        """Return where a point stands among those that were solved."""
        return self._places.get(frozenset(point.items()))

    def drop_unlike(self, other: Circuit) -> None:
        """Drop the points at which another solution of the same circuit is not there, or differs.

        What it found at the others is kept beside ours.
        """
        places = [other.place(point) for point in self.points]
        alike = [
            (index, place)
            for index, place in enumerate(places)
            if place is not None
            and all(
                abs(v[index] - other.volts[n][place]) <= 1e-3 * (1 + abs(v[index]))
                for n, v in self.volts.items()
            )
        ]
        self.lost += len(places) - len(alike)
        self._keep([index for index, _ in alike])
        self.before = other
        other._keep([place for _, place in alike])

    def _keep(self, places: Sequence[int]) -> None:
        self.points = [self.points[place] for place in places]
        self._taken_in()
        self.volts = {node: values[places] for node, values in self.volts.items()}
        self.amps = {key: values[places] for key, values in self.amps.items()}

    def across(self, a: Node, b: Node) -> Floats | None:
        """Return volts between two nodes; None where nothing joins them."""
        if a not in self.names or b not in self.names or self.island[a] != self.island[b]:
            return None
        return self.volts[a] - self.volts[b]


def _line(node: str, points: Sequence[Point], name: str) -> str:
    """Return the source that gives a figure its value at each point."""
    values = [point.get(name, 0.0) for point in points]
    if len(set(values)) == 1:
        return f"V{node} {node} 0 {values[0]:.12g}"
    pairs = ",".join(f"{at},{value:.12g}" for at, value in enumerate(values))
    return f"B{node} {node} 0 V = pwl(v(k),{pairs})"


def solve(
    ngspice: str, jobs: Iterable[tuple[Circuit, Sequence[Point]]], tight: bool = False, patient: bool = False
) -> Counter[str]:
    """Solve circuits at points and let them keep what is found; return at how many, and where it gave up.

    ngspice stops at the first point that it can't solve: then it goes on behind that.  Tight tolerances let
    it give up more often, and settle for a wrong solution more seldom; patient, it gives up more seldom.
    """
    waiting, counts = [(circuit, list(points)) for circuit, points in jobs if points], Counter[str]()
    failed = Counter[int]()
    counts["points"] = sum(len(points) for _, points in waiting)
    while waiting:
        again = []
        for start in range(0, len(waiting), _DECKS):
            batch = waiting[start : start + _DECKS]
            for (circuit, points), values in zip(batch, _run(ngspice, batch, tight, patient), strict=True):
                done = len(next(iter(values.values()))) if values else 0
                if done:
                    circuit.keep(points[:done], values)
                if done < len(points):
                    failed[id(circuit)] += 1
                    circuit.lost += 1
                    stays = failed[id(circuit)] < _PATIENCE
                    counts["points given up"] += 1 if stays else len(points) - done
                    if stays and points[done + 1 :]:
                        again.append((circuit, points[done + 1 :]))
        waiting = again
    return counts


def _run(
    ngspice: str, batch: Sequence[tuple[Circuit, list[Point]]], tight: bool, patient: bool
) -> list[dict[str, Floats]]:
    with TemporaryDirectory(dir=_IN_MEMORY) as folder:
        base = Path(folder)
        # without its last resort, which takes a second and finds nothing here
        control = ["* all", ".control", "set filetype=binary", "optran 1 0 0 0 0 0"]
        for number, (circuit, points) in enumerate(batch):
            # a sweep of one point needs a second
            own = points if len(points) > 1 else points * 2
            (base / f"d{number}.cir").write_text(circuit.deck(own, tight, patient))
            control += [f"source {base}/d{number}.cir", f"dc vk 0 {len(own) - 1} 1"]
            control += [f"write {base}/o{number}.raw", "destroy all", "remcirc"]
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
    return {re.sub(r"^[vi]\((.*)\)$", r"\1", name): table[:, at] for at, name in enumerate(names)}
