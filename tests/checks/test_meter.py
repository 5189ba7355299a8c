"""Readings against each other: what trips and what is just inside, what is asked for, relations."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.checks.finding import Finding
from tests.circuit.checks.cases import found

POINTS = ("DI1", "DI2", "COM", "AI1", "AGND", "+10V")
STATES = ("open", "closed", "unplugged", "plugged", "stopped", "running")

MACHINE = """machine = "Example"
readings = [
{lines}]

[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "Y1+", minus = "Y1-" }}
{more}
[run-reverse]
input = "DI2"
common = "COM"
output = {{ plus = "Y2+", minus = "Y2-" }}

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range = "0-10 V"
source = {{ signal = "AO1", common = "0V" }}
"""

Line = tuple[str, str, float, str]
"""Red, black, volts, state."""


def written(line: Line) -> str:
    red, black, volts, state = line
    return f"red on {red}, black on {black}: {volts!r} V, {state}"


def swapped(line: Line) -> Line:
    red, black, volts, state = line
    return black, red, -volts, state


def said(lines: Sequence[Line], more: str = "") -> tuple[Finding, ...]:
    text = MACHINE.format(lines="".join(f'"{written(line)}",\n' for line in lines), more=more)
    return found(text)


def readings(lines: Sequence[Line], more: str = "") -> list[Finding]:
    """Return the findings about readings against each other."""
    return [finding for finding in said(lines, more) if finding.code.startswith("R")]


def codes(lines: Sequence[Line], more: str = "") -> list[str]:
    return sorted(finding.code for finding in readings(lines, more))


OPEN = ("DI1", "COM", 24.3, "open")


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
        ([("DI1", "COM", 0.2, "open"), ("DI1", "COM", 24.0, "closed")], "", []),  # it wants plus fed in
        ([("AI1", "AGND", 5.0, "open"), ("AI1", "AGND", 5.0, "closed")], "", []),  # no switch there
        ([], "meter = 24.3\nmeter-closed = 24.2", ["R103"]),
        # two inputs of one common
        ([OPEN, ("DI2", "COM", 19.4, "open")], "", ["R105"]),
        ([OPEN, ("COM", "DI2", -19.5, "open")], "", []),
        ([OPEN, ("DI2", "COM", 0.9, "open")], "", []),  # P105 says what that is
        ([OPEN, ("DI2", "COM", 12.0, "closed")], "", []),
        # another common
        ([OPEN, ("DI1", "AGND", 23.2, "open")], "", ["R106"]),
        ([OPEN, ("DI1", "AGND", 23.3, "open")], "", []),
        ([OPEN, ("AGND", "DI1", -23.2, "open")], "", ["R106"]),
        ([OPEN, ("DI1", "AGND", 0.0, "closed")], "", []),
        ([OPEN, ("DI1", "+10V", 14.0, "open")], "", []),  # no common
        # sagging
        ([("AI1", "AGND", 10.0, "unplugged"), ("AI1", "AGND", 9.89, "plugged")], "", ["R107"]),
        ([("AI1", "AGND", 10.0, "unplugged"), ("AGND", "AI1", -9.9, "plugged")], "", []),
        ([("AI1", "AGND", 0.0, "unplugged"), ("AI1", "AGND", 0.05, "plugged")], "", []),
        ([("AI1", "AGND", 0.0, "unplugged"), ("AI1", "AGND", 0.06, "plugged")], "", ["R107"]),
        ([("DI1", "COM", 24.0, "unplugged"), ("DI1", "COM", 20.0, "plugged")], "", ["R107"]),
        ([("AI1", "AGND", 10.0, "stopped"), ("AI1", "AGND", 9.79, "running")], "", ["R108"]),
        ([("AI1", "AGND", 10.0, "stopped"), ("AGND", "AI1", -9.8, "running")], "", []),
        ([("AI1", "AGND", 0.9, "stopped"), ("AI1", "AGND", 10.0, "running")], "", []),  # nothing commanded
        ([("AI1", "AGND", 10.0, "stopped"), ("AI1", "AGND", 5.0, "plugged")], "", []),
    ],
)
def test_what_trips_and_what_does_not(lines: list[Line], more: str, expected: list[str]) -> None:
    assert codes(lines, more) == expected


@pytest.mark.parametrize("one", STATES)
@pytest.mark.parametrize("other", STATES)
def test_states_are_kept_apart(one: str, other: str) -> None:
    """Two figures of the same points contradict each other in one state, and are never a repeat in two."""
    repeated = {"R101", "R102", "R104"} & set(
        codes([("AI1", "AGND", 9.0, one), ("AI1", "AGND", -3.0, other), ("DI1", "AGND", 2.0, one)])
    )
    assert bool(repeated) is (one == other)


def test_both_lines_and_figures_and_the_one_measurement_are_said() -> None:
    (finding,) = readings([OPEN, ("COM", "DI1", 24.3, "open")])
    assert finding.line == 4
    assert "24.3 V (measured, line 3) and −24.3 V (measured, line 4)" in finding.reason
    assert finding.do.endswith("DC volts, red on DI1, black on COM, open")
    assert finding.terminals == ("DI1", "COM")


# ---- Three points ----


def test_three_readings_that_do_not_add_up() -> None:
    lines: list[Line] = [("DI1", "COM", 24.0, "open"), ("AGND", "COM", 0.0, "open")]
    assert codes([*lines, ("DI1", "AGND", 25.2, "open")]) == ["R106"]  # 5 % of 25.2 V is 1.26 V
    assert "R104" in codes([*lines, ("DI1", "AGND", 25.3, "open")])
    small: list[Line] = [("AI1", "AGND", 3.0, "open"), ("AGND", "COM", 0.0, "open")]
    assert codes([*small, ("AI1", "COM", 3.5, "open")]) == []
    (finding,) = readings([*small, ("COM", "AI1", -3.6, "open")])
    assert finding.code == "R104"
    assert "leave 0.6 V" in finding.reason
    for line in (3, 4, 5):
        assert f"(measured, line {line})" in finding.reason
    assert "red on AI1, black on AGND, open; all three are as likely" in finding.do


def potentials(lines: Sequence[tuple[str, str]], at: dict[str, float], state: str = "open") -> list[Line]:
    return [(red, black, round(at[red] - at[black], 2), state) for red, black in lines]


PAIRS = (("DI1", "COM"), ("DI2", "COM"), ("AGND", "COM"), ("DI1", "DI2"), ("DI1", "AGND"), ("DI2", "AGND"))
AT = {"DI1": 24.3, "DI2": 24.1, "COM": 0.0, "AGND": 0.1}


@pytest.mark.parametrize("wrong", range(len(PAIRS)))
def test_the_reading_in_most_triangles_is_taken_again(wrong: int) -> None:
    """Of all six readings between four points one is out by 5 V: two triangles break, both blame that one."""
    lines = potentials(PAIRS, AT)
    red, black, volts, state = lines[wrong]
    lines[wrong] = (red, black, volts + 5, state)
    triangles = [finding for finding in readings(lines) if finding.code == "R104"]
    assert len(triangles) == 2
    for finding in triangles:
        again = f"take this one again: DC volts, red on {red}, black on {black}, open; "
        assert finding.do == again + "it stands in 2 of the 2 sets of three that don't add up"


def test_two_inputs_each_closed_by_itself_make_no_triangle() -> None:
    lines: list[Line] = [
        ("DI1", "COM", 0.2, "closed"),
        ("DI2", "COM", 0.2, "closed"),
        ("DI1", "DI2", 24.0, "closed"),  # one of them closed: which is not said
    ]
    assert codes(lines) == []
    assert codes([(red, black, volts, "plugged") for red, black, volts, _ in lines]) == ["R104"]


# ---- What is known already is not asked for ----


@pytest.mark.parametrize(
    ("commons", "do"),
    [
        (None, "measure DC volts, red on AGND, black on COM, open: about 3 V means"),
        (3.1, "nothing to measure, red on AGND, black on COM, open, reads 3.1 V (measured, line 5)"),
        (0.0, "measure once more: DC volts, red on DI1, black on AGND, open"),
    ],
)
def test_another_common_settled_by_the_commons(commons: float | None, do: str) -> None:
    lines: list[Line] = [("DI1", "COM", 24.0, "open"), ("DI1", "AGND", 21.0, "open")]
    if commons is not None:
        lines.append(("AGND", "COM", commons, "open"))
    (finding,) = [finding for finding in readings(lines) if finding.code == "R106"]
    assert finding.do.startswith(do)


@pytest.mark.parametrize(
    ("between", "do"),
    [
        (None, "measure DC volts, red on DI1, black on DI2, open: about 12 V means"),
        (12.1, "nothing to measure, red on DI1, black on DI2, open, reads 12.1 V (measured, line 5)"),
        (0.0, "measure once more: DC volts, red on DI2, black on COM, open"),
    ],
)
def test_unlike_inputs_settled_by_each_other(between: float | None, do: str) -> None:
    lines: list[Line] = [("DI1", "COM", 24.0, "open"), ("DI2", "COM", 12.0, "open")]
    if between is not None:
        lines.append(("DI2", "DI1", -between, "open"))
    (finding,) = [finding for finding in readings(lines) if finding.code == "R105"]
    assert finding.do.startswith(do)


# ---- Relations ----

LINES = st.lists(
    st.tuples(
        st.lists(st.sampled_from(POINTS), min_size=2, max_size=2, unique=True),
        st.integers(-300, 300),
        st.sampled_from(STATES),
    ).map(lambda made: (made[0][0], made[0][1], made[1] / 10, made[2])),
    max_size=9,
)


@settings(max_examples=60, deadline=None)
@given(LINES, st.data())
def test_swapping_the_leads_with_the_sign_changes_nothing(lines: list[Line], data: st.DataObject) -> None:
    turned = [swapped(line) if data.draw(st.booleans()) else line for line in lines]
    assert said(turned) == said(lines)


@settings(max_examples=60, deadline=None)
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
    assert not {"R101", "R102", "R104"} & set(codes(potentials(pairs, at, state)))


@settings(max_examples=60, deadline=None)
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
    assert codes(lines) == []
