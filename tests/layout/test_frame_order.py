"""The order of frames, against all orders of frames tried, each with all orders of what stands in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.layout.clusters import Cluster
from doorsheet.layout.frame_order import best_frames
from doorsheet.layout.order import count_crossings
from tests.layout.brute import fewest_fixed, fewest_free
from tests.layout.how_many import cases
from tests.layout.instances import Instance, nasty


def framed(random: Random) -> Instance:
    """A small instance of up to three frames on each side."""
    small = nasty(random, random.randint(2, 4), random.randint(2, 5))
    frames = random.randint(1, 3)
    right = [cluster._replace(block=20 + random.randrange(frames)) for cluster in small.right]
    return replace(small, right=tuple(sorted(right, key=lambda cluster: cluster.block)), links=())


def every_order(side: Sequence[Cluster]) -> list[tuple[Cluster, ...]]:
    """Return a side under every order of its frames, numbered as they then stand."""
    frames = sorted({cluster.block for cluster in side})
    return [
        tuple(
            cluster._replace(block=place)
            for place, frame in enumerate(order)
            for cluster in side
            if cluster.block == frame
        )
        for order in permutations(frames)
    ]


@pytest.mark.parametrize("as_fitted", [False, True])
@settings(max_examples=cases(120), deadline=None)
@given(st.integers(0, 2**32))
def test_no_order_of_frames_crosses_less_than_what_is_proved(as_fitted: bool, seed: int) -> None:
    small = framed(Random(seed))
    if len(small.right) > 5:
        return
    fewest = fewest_fixed if as_fitted else fewest_free
    best = min(
        fewest(replace(small, left=left, right=right))
        for left, right in product(every_order(small.left), every_order(small.right))
    )
    found = best_frames(small.left, small.right, small.pairs, (), as_fitted, quick=False)
    assert found.crossings == count_crossings(found.left, found.right, small.pairs)
    assert found.lower_bound <= best <= found.crossings
