"""What a larger installation costs: counted in layouts, not in seconds, and cut as well as by trying all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from random import Random

import pytest

import doorsheet
from doorsheet.layout import Ordered, Plan, both_sides, least_steps
from doorsheet.page import compose, fit, split
from doorsheet.page.cuts import TOO_MANY, Runs, cheapest_cuts
from tests.plants import everything, plant

GALLERY = Path(__file__).parents[2] / "gallery"

Run = tuple[int, int]


def counted(monkeypatch: pytest.MonkeyPatch, text: str) -> Counter[str]:
    """Draw, and count what takes long: groups put in order, runs laid out."""
    count = Counter[str]()

    def counting(module: object, name: str) -> None:
        plainly = getattr(module, name)

        def call(*args: object, **more: object) -> object:
            count[name] += 1
            return plainly(*args, **more)

        monkeypatch.setattr(module, name, call)

    both_sides.forget()
    split._in_order.cache_clear()
    with monkeypatch.context() as monkeypatch:
        counting(both_sides, "_solve_group")
        counting(compose, "fit")
        count["sheets"] = len(doorsheet.draw_text(text, paper="A4").pages)
    return count


def test_layouts_grow_with_the_sheets_not_with_their_square(monkeypatch: pytest.MonkeyPatch) -> None:
    few, many = (counted(monkeypatch, plant(drives)) for drives in (6, 12))
    assert few["sheets"] > 2 and many["sheets"] <= 2 * few["sheets"]
    assert many["fit"] < 16 * many["sheets"]
    assert many["fit"] < 2.5 * few["fit"]
    # drives wired alike, on other sheets, are put in order once
    assert many["_solve_group"] < 1.5 * few["_solve_group"]


def best_of_all(
    weights: Sequence[int], cost: Callable[[int], Run], fits: Callable[[int, int], bool]
) -> object:
    """Return what the best plan of the fewest sheets costs, and its cuts, by looking at every plan."""

    @cache
    def best(start: int) -> tuple[int, tuple[tuple[int, int, int, int], ...]] | None:
        if start == len(weights):
            return 0, ()
        found = []
        for stop in range(start + 1, len(weights) + 1):
            behind = best(stop) if fits(start, stop) else None
            if behind is not None:
                sheets, rest = behind
                drives, terminals, uneven, _ = rest[0] if rest else (0, 0, 0, 0)
                own, weight = cost(stop), sum(weights[start:stop]) ** 2
                found.append(
                    (sheets + 1, ((drives + own[0], terminals + own[1], uneven + weight, -stop), *rest))
                )
        return min(found, default=None)

    return best(0)


@pytest.mark.parametrize("seed", range(60))
def test_the_cuts_are_those_that_trying_every_plan_finds(seed: int) -> None:
    draw = Random(seed)
    weights = [draw.randint(1, 4) for _ in range(draw.randint(1, 24))]
    most = draw.randint(4, 14)
    costs = {at: (draw.randint(0, 1), draw.randint(0, 3)) for at in range(1, len(weights))}
    costs[len(weights)] = (0, 0)

    def fits(start: int, end: int) -> bool:
        return sum(weights[start:end]) <= most

    found = cheapest_cuts(weights, costs.__getitem__, Runs(fits), len(weights))
    known = best_of_all(weights, costs.__getitem__, fits)
    assert found is not None and isinstance(known, tuple)
    assert [end for _, end in found] == [-one[3] for one in known[1]]
    assert cheapest_cuts(weights, costs.__getitem__, Runs(fits), len(found)) == found
    if len(found) > 1:
        assert cheapest_cuts(weights, costs.__getitem__, Runs(fits), len(found) - 1) is TOO_MANY


def test_a_part_that_fits_nowhere_is_told() -> None:
    assert cheapest_cuts([1, 9, 1], lambda _: (0, 0), Runs(lambda a, b: (a, b) == (0, 1)), 3) is None


@pytest.mark.parametrize(("most", "sheets", "each"), [(16, 13, 8), (13, 16, 12.5)])
def test_few_runs_are_tried(most: int, sheets: int, each: float) -> None:
    """At most one for each part, where the sheets are nearly full; else fewer."""
    tried: list[Run] = []

    def fits(start: int, end: int) -> bool:
        tried.append((start, end))
        return end - start <= most

    found = cheapest_cuts([2] * 200, lambda at: (int(at % 10 > 0), 1), Runs(fits), 200)
    assert found is not None and len(found) == sheets
    assert len(tried) < each * sheets
    assert max(end - start for start, end in tried) <= 2 * most  # none that is far too long
    assert len({*tried}) == len(tried)


def test_larger_sheets_tell_that_smaller_ones_do_not_do() -> None:
    """Forty on seven sheets of six: whoever has four on each is out at the third."""
    tried: list[Run] = []

    def fits(start: int, end: int) -> bool:
        tried.append((start, end))
        return end - start <= 3

    six = Runs(lambda start, end: end - start <= 6)
    assert cheapest_cuts([1] * 40, lambda _: (0, 0), six, 40) is not None
    assert cheapest_cuts([1] * 40, lambda _: (0, 0), Runs(fits, six.full), 7) is TOO_MANY
    assert max(start for start, _ in tried) <= 6


def test_no_plan_goes_below_the_least_height(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[float] = []
    plainly = fit.lay_out

    def judged(ordered: Ordered, *args: object, **more: object) -> Plan:
        plan = plainly(ordered, *args, **more)  # type: ignore[arg-type]
        seen.append((plan.bottom - plan.top) / least_steps(ordered.circuit))
        return plan

    monkeypatch.setattr(fit, "lay_out", judged)
    for path in sorted(GALLERY.rglob("*.toml")):
        doorsheet.draw(path)
    doorsheet.draw_text(everything(1))
    assert len(seen) > 10 and min(seen) > 1.0
