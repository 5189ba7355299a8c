"""Legs packed into tracks: the classic channel examples, and what can't be gone below."""

from __future__ import annotations

import csv
from collections import defaultdict
from itertools import combinations, pairwise, product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.layout.channel import Span, Tracks, density, longest_chain, pack
from tests.layout.how_many import cases

Pin = tuple[str, str, int]
"""Net, side and column."""


def two_pin_wires(pins: list[Pin]) -> list[Span]:
    """Cut each net into wires from pin to pin, and give every wire end a row of its own.

    At one column wires that end come before those that start, so that the two wires of a pin
    in the middle of a net don't overlap.
    """
    nets: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for net, side, column in pins:
        nets[net].append((column, side))
    pieces = [piece for own in nets.values() for piece in pairwise(sorted(own))]
    ends = sorted(
        [(end[0], 0, n) for n, (_, end) in enumerate(pieces)]
        + [(start[0], 1, n) for n, (start, _) in enumerate(pieces)]
    )
    row = {(kind, n): place for place, (_, kind, n) in enumerate(ends)}
    out = []
    for n, (start, end) in enumerate(pieces):
        if start[0] == end[0]:  # from top to bottom in one column: no stretch along the channel
            continue
        out.append(Span(row[1, n], row[0, n], start[1] == "top"))
    return out


def check(spans: list[Span], packed: Tracks) -> None:
    """No two overlapping spans share a track; the extra crossings are counted right."""
    extra = 0
    for (a, at), (b, bt) in combinations(zip(spans, packed.of, strict=True), 2):
        upper, lower, ut, lt = (a, b, at, bt) if a < b else (b, a, bt, at)
        if lower.top > upper.bottom:
            continue
        assert at != bt
        if upper.down is lower.down and lower.bottom > upper.bottom:
            extra += 2 * (lt > ut if upper.down else lt < ut)
    assert extra == packed.extra_crossings
    assert not packed.of or max(packed.of) < packed.used


def deutsch() -> list[Pin]:
    with Path(__file__).with_name("deutsch.csv").open(encoding="utf-8") as lines:
        rows = csv.DictReader(line for line in lines if not line.startswith("#"))
        return [(row["net"], row["side"], int(row["column"])) for row in rows]


def test_deutschs_difficult_example_is_packed_at_its_density() -> None:
    pins = deutsch()
    assert len({net for net, _, _ in pins}) == 72
    assert max(column for _, _, column in pins) == 174
    spans = two_pin_wires(pins)
    assert len(pins) - 72 == 218
    assert density(spans) == 19
    packed = pack(spans, extra_tracks=0)
    check(spans, packed)
    assert packed.used == 19


def test_the_small_example_of_yoshimura_and_kuh_is_packed_at_its_density() -> None:
    """Pin rows of the example in "Efficient algorithms for channel routing", 1982; from memory."""
    top = (0, 1, 4, 5, 1, 6, 7, 0, 4, 9, 10, 10)
    bottom = (2, 3, 5, 3, 5, 2, 6, 8, 9, 8, 7, 9)
    pins = [
        (str(net), side, column)
        for side, nets in (("top", top), ("bottom", bottom))
        for column, net in enumerate(nets, 1)
        if net
    ]
    spans = two_pin_wires(pins)
    assert len(top) == len(bottom) == 12
    assert density(spans) == 5
    packed = pack(spans, extra_tracks=0)
    check(spans, packed)
    assert packed.used == 5


@st.composite
def span_lists(draw: st.DrawFn, most: int = 12) -> list[Span]:
    """Spans with all rows different."""
    count = draw(st.integers(1, most))
    rows = draw(st.permutations(range(2 * count)))
    downs = draw(st.lists(st.booleans(), min_size=count, max_size=count))
    return [
        Span(min(a, b), max(a, b), down)
        for (a, b), down in zip(zip(rows[::2], rows[1::2], strict=True), downs, strict=True)
    ]


@settings(max_examples=cases(400), deadline=None)
@given(span_lists(), st.none() | st.integers(0, 4))
def test_packed_without_overlap_and_counted_right(spans: list[Span], extra: int | None) -> None:
    packed = pack(spans, extra_tracks=extra)
    check(spans, packed)
    assert packed.used >= density(spans)
    if extra is None:
        assert packed.extra_crossings == 0
        assert packed.used >= longest_chain(spans)
    else:
        assert packed.used <= density(spans) + extra


@settings(max_examples=cases(150), deadline=None)
@given(span_lists(most=5))
def test_small_ones_need_as_many_tracks_as_the_best_of_all_packings(spans: list[Span]) -> None:
    """All packings tried: the sweep finds the fewest tracks without a needless crossing, or one more."""
    packed = pack(spans)
    fewest = next(
        count
        for count in range(1, len(spans) + 1)
        if any(_faultless(spans, tracks) for tracks in product(range(count), repeat=len(spans)))
    )
    assert max(density(spans), longest_chain(spans)) <= fewest <= packed.used <= fewest + 1


def _faultless(spans: list[Span], tracks: tuple[int, ...]) -> bool:
    for (a, at), (b, bt) in combinations(zip(spans, tracks, strict=True), 2):
        upper, lower, ut, lt = (a, b, at, bt) if a < b else (b, a, bt, at)
        if lower.top > upper.bottom:
            continue
        if at == bt:
            return False
        if upper.down is lower.down and lower.bottom > upper.bottom and (lt > ut) is upper.down:
            return False
    return True


@pytest.mark.parametrize("length", [1, 2, 9])
@pytest.mark.parametrize("down", [True, False])
def test_stairs_need_a_track_for_each_step(length: int, down: bool) -> None:
    """Each leg overlaps only the next, so two tracks would do if crossings cost nothing."""
    spans = [Span(4 * n, 4 * n + 6, down) for n in range(length)]
    assert density(spans) == min(length, 2)
    packed = pack(spans)
    assert (packed.used, packed.extra_crossings) == (length, 0)
    tight = pack(spans, extra_tracks=0)
    assert tight.used == min(length, 2)
    check(spans, tight)


def test_spans_nearer_than_the_clearance_overlap() -> None:
    spans = [Span(0, 4, True), Span(6, 9, True)]
    assert density(spans, clear=2) == 1
    assert density(spans, clear=3) == 2
    assert pack(spans, clear=3, extra_tracks=0).used == 2
