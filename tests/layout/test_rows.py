"""Rows, tracks and what comes of them: the drawn crossings are those of the order, nothing touches."""

from __future__ import annotations

from itertools import combinations, pairwise
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.layout.plan import Spacing
from tests.layout.how_many import cases
from tests.layout.instances import Instance, installation, nasty, realistic
from tests.layout.routed import Routed, crossings_by_sweep, crossings_pair_by_pair, route, touching

SEEDS = st.integers(0, 2**32)


def judged(instance: Instance, as_fitted: bool, spacing: Spacing | None = None) -> Routed:
    """Route an instance and check its geometry."""
    routed = route(instance, spacing, as_fitted)
    drawn = crossings_by_sweep(routed.lines, routed.width)
    assert drawn == routed.ordering.crossings + routed.tracks.extra_crossings
    assert touching(routed.lines, Spacing().foreign) == []
    assert routed.tracks.used >= routed.density
    return routed


@settings(max_examples=cases(300), deadline=None)
@given(SEEDS, st.booleans())
def test_nasty_ones_cross_as_their_order_does(seed: int, as_fitted: bool) -> None:
    random = Random(seed)
    routed = judged(nasty(random, random.randint(1, 9), random.randint(1, 12)), as_fitted)
    assert routed.tracks.extra_crossings == 0
    assert crossings_pair_by_pair(routed.lines, routed.width) == routed.ordering.crossings


@settings(max_examples=cases(80), deadline=None)
@given(SEEDS, st.booleans(), st.integers(1, 12))
def test_realistic_ones_cross_as_their_order_does(seed: int, as_fitted: bool, controls: int) -> None:
    routed = judged(realistic(Random(seed), controls), as_fitted)
    assert routed.tracks.extra_crossings == 0
    assert crossings_pair_by_pair(routed.lines, routed.width) == routed.ordering.crossings


@pytest.mark.parametrize("devices", [30, 100, 300, 1000])
@pytest.mark.parametrize("as_fitted", [True, False])
def test_large_ones_cross_as_their_order_does(devices: int, as_fitted: bool) -> None:
    routed = judged(installation(Random(devices), devices), as_fitted)
    assert routed.tracks.extra_crossings == 0


@pytest.mark.parametrize("extra", [0, 1, 5])
def test_tracks_can_be_kept_to_the_density_at_the_price_of_crossings(extra: int) -> None:
    instance = installation(Random(7), 200)
    full = judged(instance, True)
    tight = judged(instance, True, Spacing(extra_tracks=extra))
    assert full.tracks.used > full.density + extra  # or this shows nothing
    assert tight.tracks.used == tight.density + extra
    assert tight.tracks.extra_crossings > 0


@settings(max_examples=cases(120), deadline=None)
@given(SEEDS, st.booleans())
def test_as_many_wires_as_can_be_are_straight(seed: int, as_fitted: bool) -> None:
    """No larger set of wires has both ends in one order; all sets are tried."""
    random = Random(seed)
    routed = route(nasty(random, random.randint(1, 5), random.randint(2, 8)), as_fitted=as_fitted)
    wires = [end.wire for end in routed.rows.left if end.wire is not None]
    place = {end.wire: n for n, end in enumerate(routed.rows.right)}
    straight = sum(line.col is None for line in routed.lines)

    def rising(chosen: tuple[str, ...]) -> bool:
        return all(place[a] < place[b] for a, b in pairwise(chosen))

    assert not any(rising(chosen) for chosen in combinations(wires, straight + 1))


def test_rows_keep_their_distances_within_each_side() -> None:
    spacing = Spacing(terminal=3, clamp=4, cluster=6)
    for seed in range(cases(60)):
        instance = nasty(Random(seed), 6, 8)
        routed = route(instance, spacing)
        for side, ends, rows in (
            (routed.ordering.left, routed.rows.left, routed.rows.left_rows),
            (routed.ordering.right, routed.rows.right, routed.rows.right_rows),
        ):
            home = {terminal: cluster for cluster in side for terminal in cluster.terminals}
            for (above, upper), (below, lower) in pairwise(zip(ends, rows, strict=True)):
                one, other = home[above.terminal], home[below.terminal]
                least = spacing.terminal
                if above.terminal == below.terminal:
                    least = spacing.clamp
                elif one.block != other.block:
                    least = spacing.terminal + 2  # air between the frames
                assert lower - upper >= least
