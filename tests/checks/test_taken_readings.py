"""Readings however the leads stood: relations that hold for every set of readings."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.meter_lines import POINTS, STATES, Line, potentials, reading_codes, said, swapped
from tests.layout.how_many import cases

LINES = st.lists(
    st.tuples(
        st.lists(st.sampled_from(POINTS), min_size=2, max_size=2, unique=True),
        st.integers(-300, 300),
        st.sampled_from(STATES),
    ).map(lambda made: (made[0][0], made[0][1], made[1] / 10, made[2])),
    max_size=9,
)


@settings(max_examples=cases(60), deadline=None)
@given(LINES, st.data())
def test_swapping_the_leads_with_the_sign_changes_nothing(lines: list[Line], data: st.DataObject) -> None:
    turned = [swapped(line) if data.draw(st.booleans()) else line for line in lines]
    assert said(turned) == said(lines)


@settings(max_examples=cases(60), deadline=None)
@given(
    st.lists(st.integers(-3000, 3000), min_size=len(POINTS), max_size=len(POINTS)),
    st.lists(st.permutations(POINTS).map(lambda order: (order[0], order[1])), max_size=15),
    st.sampled_from(STATES),
)
def test_any_potentials_are_free_of_contradiction(
    hundredths: list[int], pairs: list[tuple[str, str]], state: str
) -> None:
    """Each point at a potential of its own, whatever it is: no repeat and no triangle contradicts another."""
    at = {point: value / 100 for point, value in zip(POINTS, hundredths, strict=True)}
    assert not {"R101", "R102", "R104"} & set(reading_codes(potentials(pairs, at, state)))


@settings(max_examples=cases(60), deadline=None)
@given(
    st.integers(100, 3000),
    st.integers(-100, 100),
    st.booleans(),
    st.lists(st.permutations(POINTS).map(lambda order: (order[0], order[1])), max_size=15),
    st.lists(st.sampled_from(STATES), min_size=15, max_size=15),
)
def test_readings_of_a_sound_machine_have_no_finding(
    supply: int, between: int, minus: bool, pairs: list[tuple[str, str]], states: list[str]
) -> None:
    """Inputs at one supply, commons at most 1 V apart, a closed input at its common, a signal that stays."""
    open_v = -supply / 100 if minus else supply / 100
    at = {"DI1": open_v, "DI2": open_v, "COM": 0.0, "AGND": between / 100, "AI1": 5.0, "+10V": 10.0}
    shut = at | {"DI1": 0.0, "DI2": 0.0}
    lines = [
        line
        for pair, state in zip(pairs, states, strict=False)
        for line in potentials([pair], shut if state == "closed" else at, state)
    ]
    assert reading_codes(lines) == []
