"""Two readings of the same points."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.checks.cases import HEAD, REVERSE, RUN, SPEED, Neighbour, codes, reason
from tests.checks.meter_lines import (
    OPEN,
    POINTS,
    STATES,
    Line,
    potentials,
    reading_codes,
    readings,
    said,
    swapped,
)
from tests.layout.how_many import cases

NEIGHBOURS: dict[str, Neighbour] = {
    "R101": ("black on DI1: 24.3 V", "black on DI1: -24.3 V"),
    "R102": ("-21.8 V", "-21.9 V"),  # 24.3 V less a tenth is 21.87 V
    "R103": ("21.9 V", "21.8 V"),
    "R109": ("21.8 V", "21.9 V"),
    "P115": ("24 V AC", "1.9 V AC"),
}


@pytest.mark.parametrize(
    ("lines", "more", "expected"),
    [
        # the same thing twice
        ([OPEN, ("COM", "DI1", 24.3, "open")], "", ["R101"]),
        ([OPEN, ("COM", "DI1", -24.3, "open")], "", []),
        ([("DI1", "COM", 0.5, "open"), ("DI1", "COM", -20.0, "open")], "", ["R102"]),  # 0.5 V is as good as 0
        ([("DI1", "COM", 0.6, "open"), ("DI1", "COM", -20.0, "open")], "", ["R101"]),
        ([("DI1", "COM", 0.25, "open"), ("DI1", "COM", -0.25, "open")], "", []),
        ([OPEN, ("DI1", "COM", 21.8, "open")], "", ["R102"]),
        ([OPEN, ("DI1", "COM", 21.9, "open")], "", []),
        ([("AI1", "AGND", 2.0, "open"), ("AI1", "AGND", 2.5, "open")], "", []),  # 20 %, yet only 0.5 V
        ([("AI1", "AGND", 2.0, "open"), ("AI1", "AGND", 2.6, "open")], "", ["R102"]),
        # a control's own meter is a reading
        ([OPEN], "meter = -24.3", ["R101"]),
        ([OPEN], "meter = 21.8", ["R102"]),
        ([OPEN], "meter = 21.9", []),
        ([OPEN], 'meter = "red on COM, black on DI1: 24.3 V"', ["R101"]),
        ([("DI1", "COM", 5.0, "closed")], "meter-closed = 0.2", ["R102"]),
        # open and closed
        ([OPEN, ("DI1", "COM", 21.9, "closed")], "", ["R103"]),
        ([OPEN, ("DI1", "COM", 21.8, "closed")], "", []),
        ([OPEN, ("COM", "DI1", 24.3, "closed")], "", ["R103"]),
        ([OPEN, ("DI1", "COM", 30.0, "closed")], "", ["R103"]),
        ([("DI1", "COM", 0.2, "open"), ("DI1", "COM", 24.0, "closed")], "", []),  # it needs plus fed to it
        ([("AI1", "AGND", 5.0, "open"), ("AI1", "AGND", 5.0, "closed")], "", []),  # no switch there
        ([], "meter = 24.3\nmeter-closed = 24.2", ["R103"]),
    ],
)
def test_what_trips_and_what_does_not(lines: list[Line], more: str, expected: list[str]) -> None:
    assert reading_codes(lines, more) == expected


@pytest.mark.parametrize("one", STATES)
@pytest.mark.parametrize("other", STATES)
def test_states_are_kept_apart(one: str, other: str) -> None:
    """Two figures of the same points contradict each other in one state, and are never a repeat in two."""
    repeated = {"R101", "R102", "R104"} & set(
        reading_codes([("AI1", "AGND", 9.0, one), ("AI1", "AGND", -3.0, other), ("DI1", "AGND", 2.0, one)])
    )
    assert bool(repeated) is (one == other)


def test_both_lines_and_figures_and_the_one_measurement_are_said() -> None:
    (finding,) = readings([OPEN, ("COM", "DI1", 24.3, "open")])
    assert finding.line == 4
    assert "24.3 V (measured, line 3) and −24.3 V (measured, line 4)" in finding.reason
    assert finding.do.endswith("DC volts, red on DI1, black on COM, open")
    assert finding.terminals == ("DI1", "COM")


def test_what_was_done_between_two_readings_is_named() -> None:
    dated = [
        f"red on DI1, black on COM: {volts} V, 2026-11-2{day} 10:00" for day, volts in ((4, 24), (6, 12))
    ]
    log = "".join(
        f'\n[[done]]\nwhat = "{what}"\nwhen = 2026-11-2{day}T09:00:00\n'
        for what, day in (("prove-dead", 4), ("move:run-forward", 5), ("speed", 7))
    )
    text = f"{HEAD}readings = {json.dumps(dated)}\n{RUN.replace('meter', '# meter')}"
    assert "done between" not in reason("R109", text)
    assert "done between them: move:run-forward" in reason("R109", text + log)
    assert "speed" not in reason("R109", text + log)
    again = json.dumps([*dated, dated[1].replace("-26", "-27")])
    assert "R109" not in codes(f"{HEAD}readings = {again}\n{RUN}")


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


@pytest.mark.parametrize(
    ("lines", "stops"),
    [
        (["DI1, black on COM: 24 V AC"], True),
        (["COM, black on DI1: 2 V AC, closed"], True),
        (["AI1, black on AGND: 5 V AC, plugged"], True),
        (["AGND, black on COM: 5 V AC"], False),  # two commons that float have stray volts between them
        (
            ["DI1, black on COM: 24 V AC, 2026-11-24 09:30", "DI1, black on COM: 24 V, 2026-11-24 09:30"],
            False,
        ),
        (["DI1, black on COM: 24 V AC", "COM, black on DI1: -24 V, 2026-11-24 09:30"], False),
        (["DI1, black on COM: 24 V AC, 2026-11-24 09:30", "DI1, black on COM: 0.1 V AC, 2026-11-25"], False),
        (["DI1, black on COM: 24 V AC, 2026-11-24 09:30", "DI1, black on COM: 24 V, 2026-11-23"], True),
        (["DI1, black on COM: 24 V AC, 2026-11-24 09:30", "DI1, black on COM: 24 V"], True),
        # there it is: on DC the meter shows next to nothing of it
        (["DI1, black on COM: 24 V AC, 2026-11-24 09:30", "DI1, black on COM: 0.3 V, 2026-11-25"], True),
        (["DI1, black on COM: 24 V AC, 2026-11-24 09:30", "DI2, black on COM: 24 V, 2026-11-25"], True),
    ],
)
def test_alternating_current_stops_until_direct_current_is_read_there(lines: list[str], stops: bool) -> None:
    text = f"{HEAD}readings = {json.dumps([f'red on {line}' for line in lines])}\n{RUN}{REVERSE}{SPEED}"
    assert ("P115" in codes(text)) is stops
