"""One side settled exactly: against all orders, and against a solver for up to 40 devices."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.layout.bound import inversions, inversions_each, preference
from doorsheet.layout.settle import settle
from tests.layout.how_many import cases

BUNDLE = st.lists(st.integers(0, 8), min_size=1, max_size=5).map(sorted)


@settings(max_examples=cases(500), deadline=None)
@given(st.lists(BUNDLE, min_size=1, max_size=6))
def test_settled_equals_all_orders_tried(bundles: list[list[int]]) -> None:
    tried = (
        inversions([p for n in order for p in bundles[n]]) for order in permutations(range(len(bundles)))
    )
    found = settle(bundles)
    assert found.crossings == found.bound == min(tried)
    assert sorted(found.order) == list(range(len(bundles)))


@settings(max_examples=cases(500), deadline=None)
@given(st.lists(st.lists(st.integers(0, 30), min_size=1, max_size=2).map(sorted), min_size=1, max_size=40))
def test_two_wires_at_most_are_settled_by_their_means(bundles: list[list[int]]) -> None:
    by_mean = sorted(range(len(bundles)), key=lambda n: sum(bundles[n]) / len(bundles[n]))
    for place, upper in enumerate(by_mean):
        for lower in by_mean[place + 1 :]:
            assert preference(bundles[upper], bundles[lower]) <= 0
    assert settle(bundles).order == tuple(by_mean)


@given(st.lists(st.integers(0, 20), max_size=40))
def test_inversions_are_counted_pair_by_pair(places: list[int]) -> None:
    assert inversions(places) == sum(a > b for n, a in enumerate(places) for b in places[n + 1 :])


@given(st.permutations(range(12)))
def test_each_entry_knows_its_inversions(places: list[int]) -> None:
    def inverted(n: int, m: int) -> bool:
        return (n - m) * (places[n] - places[m]) < 0

    assert inversions_each(places) == [sum(inverted(n, m) for m in range(12)) for n in range(12)]


def test_circles_left_alone_still_have_a_bound_below() -> None:
    random = Random(3)
    bundles = [sorted(random.sample(range(30), 4)) for _ in range(12)]
    quick, full = settle(bundles, circles=False), settle(bundles)
    assert quick.bound < full.bound == full.crossings <= quick.crossings


def test_a_circle_too_long_to_be_solved_is_not_called_proved() -> None:
    random = Random(3)
    bundles = [sorted(random.sample(range(160), 4)) for _ in range(40)]
    fewest = sum(
        min(_crossed(upper, lower), _crossed(lower, upper))
        for n, upper in enumerate(bundles)
        for lower in bundles[n + 1 :]
    )
    found = settle(bundles)
    assert fewest <= found.bound < found.crossings
    assert inversions([p for n in found.order for p in bundles[n]]) == found.crossings


def _crossed(upper: list[int], lower: list[int]) -> int:
    return sum(a > b for a in upper for b in lower)


# --- the solver as a judge ---------------------------------------------------------


def _fewest_by_solver(bundles: list[list[int]]) -> int:
    """Order the bundles with CP-SAT: a truth value for each pair, no circle of three."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    size = len(bundles)
    above = {(u, v): model.new_bool_var(f"{u} above {v}") for u in range(size) for v in range(u)}
    for u in range(size):
        for v in range(u):
            for w in range(v):
                circle = cp_model.LinearExpr.weighted_sum([above[u, v], above[v, w], above[u, w]], [1, 1, -1])
                model.add_linear_constraint(circle, 0, 1)
    other_way = sum(_crossed(bundles[v], bundles[u]) for u, v in above)
    saved = [_crossed(bundles[u], bundles[v]) - _crossed(bundles[v], bundles[u]) for u, v in above]
    model.minimize(cp_model.LinearExpr.weighted_sum(list(above.values()), saved))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return other_way + round(solver.objective_value)


@pytest.mark.parametrize("size", [6, 10, 20, 30, 40])
@pytest.mark.parametrize("wires", [2, 3, 4])
def test_certificate_agrees_with_a_solver(size: int, wires: int) -> None:
    """Nothing is said to be proved that isn't, and devices of three wires, any number, are proved."""
    pytest.importorskip("ortools", reason="the solver is a test dependency")
    for seed in range(cases(2 if size < 40 else 1)):
        random = Random(f"{size}, {wires}, {seed}")
        places = range(size * wires)
        bundles = [sorted(random.sample(places, random.randint(1, wires))) for _ in range(size)]
        found, fewest = settle(bundles), _fewest_by_solver(bundles)
        assert found.bound <= fewest <= found.crossings
        assert found.crossings == found.bound or (size, wires) == (40, 4)
