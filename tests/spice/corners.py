"""Points at which a network is solved: corners of its figures, ways through the outermost, stray currents."""

from __future__ import annotations

import random
from collections.abc import Sequence
from itertools import product

from tests.spice.decks import BIAS, Circuit, Floats, Point
from tests.spice.jobs import Asked, Job, values_of

__all__ = ["NOTHING", "all_points", "corner_points", "first_points", "inner_points", "stirred_points"]

NOTHING = {"V": 3e-3, "A": 1e-7}
"""Less than this is nothing: joints of a milliohm, diodes of 0.3 mV, gigohms from 30 V to 100 kohm."""


_SHARES = (0.0, 0.001, 0.003, 0.008, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.98, 1.0)
"""Close to the least as well: beside joints that are nothing a conductor's share turns at milliohms."""


def _middle(circuit: Circuit) -> Point:
    return {name: figure.at(2) for name, figure in circuit.figures.items()}


def first_points(circuit: Circuit, dice: random.Random) -> list[Point]:
    """Return the middle, each figure low and high, all low and all high, some corners, stray currents."""
    middle = _middle(circuit)
    points = [middle]
    for name, figure in circuit.figures.items():
        points += [middle | {name: figure.at(0)}, middle | {name: figure.at(1)}]
    figures = circuit.figures.items()
    points += [{name: figure.at(share) for name, figure in figures} for share in (0, 1)]
    points += [{name: figure.at(dice.randint(0, 1)) for name, figure in figures} for _ in range(6)]
    unknown = {name: figure for name, figure in figures if figure.unknown}
    for share in (2, 0, 1) if unknown else (2,):
        own = middle | {name: figure.at(share) for name, figure in unknown.items()}
        points += [own, own | {BIAS: 1.0}, own | {BIAS: -1.0}]
    return points


def _movers(circuit: Circuit, values: Floats, floor: float) -> dict[str, int]:
    """Return the figures that move an answer by themselves, and which way."""
    middle, found = _middle(circuit), {}
    for name, figure in circuit.figures.items():
        low, high = (circuit.place(middle | {name: figure.at(share)}) for share in (0, 1))
        if low is None or high is None:
            found[name] = 0
            continue
        moved = values[high] - values[low]
        if abs(moved) > floor * 1e-2:
            found[name] = 1 if moved > 0 else -1
    return found


def corner_points(job: Job) -> list[Point]:
    """Return for each answer the two corners to which its figures, one by one, pull it."""
    points: dict[frozenset[tuple[str, float]], Point] = {}
    for asked in job.asked:
        values = values_of(job.circuit, asked)
        if values is None or not len(values) or asked.level.floating or asked.level.conflict:
            continue
        movers = _movers(job.circuit, values, NOTHING[asked.level.unit])
        for sign in (-1, 1):
            ends = {n: job.circuit.figures[n].at(int(way * sign > 0)) for n, way in movers.items()}
            point = _middle(job.circuit) | ends
            points[frozenset(point.items())] = point
    return list(points.values())


def all_points(job: Job, asked: Sequence[Asked], dice: random.Random, most: int = 512) -> list[Point]:
    """Return every corner of the figures that move an answer, at random from more than `most`.

    And some of all figures: where no current flows in the middle, none of them moves anything by itself.
    """
    names: dict[str, None] = {}
    for one in asked:
        values = values_of(job.circuit, one)
        if values is not None:
            names |= dict.fromkeys(_movers(job.circuit, values, NOTHING[one.level.unit]))
    chosen, middle = list(names), _middle(job.circuit)
    every = list(product((0, 1), repeat=len(chosen))) if len(chosen) <= 12 else []
    if not every or len(every) > most:
        every = [tuple(dice.randint(0, 1) for _ in chosen) for _ in range(most)]
    figures = job.circuit.figures
    return [
        middle | {name: figures[name].at(share) for name, share in zip(chosen, shares, strict=True)}
        for shares in every
    ] + [{name: figure.at(dice.randint(0, 1)) for name, figure in figures.items()} for _ in range(most // 4)]


def inner_points(
    job: Job, asked: Sequence[Asked], steps: Sequence[float] = (), most: int = 400
) -> list[Point]:
    """Return the way of each figure through the outermost points, both ends and between; or `steps` from it.

    What is shared or bent may turn inside; what didn't move an answer in the middle may do so here.
    """
    points: dict[frozenset[tuple[str, float]], Point] = {}
    for one in asked:
        values = values_of(job.circuit, one)
        if values is None:
            continue
        for outermost in (int(values.argmin()), int(values.argmax())):
            base = {name: value for name, value in job.circuit.points[outermost].items() if name != BIAS}
            for name, figure in job.circuit.figures.items():
                ways = [figure.low + share * (figure.high - figure.low) for share in _SHARES]
                if steps:
                    at = max(base[name], 1e-3)
                    ways = [min(max(at * step, figure.low), figure.high) for step in steps]
                for value in ways:
                    point = base | {name: value}
                    if job.circuit.place(point) is None:
                        points[frozenset(point.items())] = point
                if len(points) >= most:
                    return list(points.values())[:most]
    return list(points.values())


def stirred_points(job: Job, asked: Sequence[Asked]) -> list[Point]:
    """Return the outermost points of volts once more, with stray currents."""
    points: dict[frozenset[tuple[str, float]], Point] = {}
    for one in asked:
        values = values_of(job.circuit, one)
        if values is not None and one.red is not None:
            for place in (int(values.argmin()), int(values.argmax())):
                for sign in (-1.0, 1.0):
                    point = job.circuit.points[place] | {BIAS: sign}
                    points[frozenset(point.items())] = point
    return list(points.values())
