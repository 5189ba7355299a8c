"""Whether both sides can be ordered with no more than so many crossings, asked of a general solver (CP-SAT).

A truth value says which of two clusters of a frame stands above the other, and how a cluster is turned; no
three stand in a circle.  Two wires cross where their ends stand in opposite order on the two sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING, TypeAlias

from doorsheet.circuit.parts import Terminal
from doorsheet.layout.clusters import Cluster, Freedom
from tests.layout.instances import Instance

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    Literal: TypeAlias = "cp_model.LinearExprT"

__all__ = ["can_be_drawn"]


def can_be_drawn(instance: Instance, crossings: int, most_work: float) -> bool | None:
    """Return whether an order has at most so many crossings; None if the solver gave up.

    `most_work` is the solver's own deterministic time, the same on every machine.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    near = _above(model, instance.left)
    far = _above(model, instance.right)
    crossed: list[Literal] = []
    for (a, b), (c, d) in combinations(instance.pairs, 2):
        if a != c and b != d:
            cross = model.new_bool_var("")
            model.add(cross >= near[a, c] - far[b, d])
            model.add(cross >= far[b, d] - near[a, c])
            crossed.append(cross)
    model.add(sum(crossed) <= crossings)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = most_work
    status = solver.solve(model)
    return {cp_model.OPTIMAL: True, cp_model.FEASIBLE: True, cp_model.INFEASIBLE: False}.get(status)


def _above(model: cp_model.CpModel, side: Sequence[Cluster]) -> dict[tuple[Terminal, Terminal], Literal]:
    """Return, for each two terminals of a side, the truth of the first standing above the second."""
    out: dict[tuple[Terminal, Terminal], Literal] = {}

    def either(one: Terminal, other: Terminal, value: Literal) -> None:
        out[one, other] = value
        out[other, one] = 1 - value

    for cluster in side:
        turned: Literal = 1 if cluster.freedom is Freedom.FIXED else model.new_bool_var("")
        for one, other in combinations(cluster.terminals, 2):
            either(one, other, model.new_bool_var("") if cluster.freedom is Freedom.FREE else turned)
        if cluster.freedom is Freedom.FREE:
            _no_circles(model, cluster.terminals, out)
    for upper, lower in combinations(side, 2):
        value: Literal = (
            model.new_bool_var("") if upper.block == lower.block else int(upper.block < lower.block)
        )
        for one in upper.terminals:
            for other in lower.terminals:
                either(one, other, value)
    blocks = {cluster.block for cluster in side}
    for block in blocks:
        _no_circles(model, [cluster.terminals[0] for cluster in side if cluster.block == block], out)
    return out


def _no_circles(
    model: cp_model.CpModel, terminals: Sequence[Terminal], above: dict[tuple[Terminal, Terminal], Literal]
) -> None:
    for a, b, c in combinations(terminals, 3):
        around = above[a, b] + above[b, c] + above[c, a]
        model.add(around >= 1)
        model.add(around <= 2)
