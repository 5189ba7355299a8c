from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.circuit import ranges as quantities
from doorsheet.circuit.ranges import Interval, show, show_value, worst


def test_doctests() -> None:
    failed, tried = doctest.testmod(quantities)
    assert tried and not failed


def test_a_range_has_its_ends_in_order() -> None:
    with pytest.raises(ValueError, match="no range"):
        Interval(2, 1)
    with pytest.raises(ValueError, match="no range"):
        Interval(float("nan"), 1)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (24, "V", "24 V"),
        (0.05, "V", "50 mV"),
        (0.4, "V", "0.4 V"),
        (-12.2, "V", "−12.2 V"),
        (0, "V", "0 V"),
        (0.005, "A", "5 mA"),
        (50e-6, "A", "50 µA"),
        (1, "A", "1 A"),
        (4700, "ohm", "4.7 kohm"),
        (250, "ohm", "250 ohm"),
        (1e6, "ohm", "1 Mohm"),
        (0.25, "W", "0.25 W"),
        (24000, "rpm", "24000 rpm"),
        (12, "m", "12 m"),
    ],
)
def test_how_figures_print(value: float, unit: str, text: str) -> None:
    assert show_value(value, unit) == text


def test_how_ranges_print() -> None:
    assert show(Interval(20.4, 28.8), "V") == "20.4..28.8 V"
    assert show(Interval(24, 24.0000001), "V") == "24 V"
    assert show(Interval(-0.4, 0), "V") == "−0.4..0 V"


BOUNDS = st.builds(lambda low, more: Interval(low, low + more), st.floats(0.5, 50), st.floats(0, 10))


@given(BOUNDS, BOUNDS, BOUNDS, st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_nothing_inside_is_beyond_the_corners(
    a: Interval, b: Interval, c: Interval, x: float, y: float, z: float
) -> None:
    def form(at: dict[str, float]) -> float:
        return at["a"] * at["b"] / (at["b"] + at["c"])

    found = worst(form, {"a": a, "b": b, "c": c})  # type: ignore[arg-type]
    inside = {
        name: span.low + share * (span.high - span.low)
        for name, span, share in (("a", a, x), ("b", b, y), ("c", c, z))
    }
    assert found.interval.low - 1e-9 <= form(inside) <= found.interval.high + 1e-9
    assert form(dict(found.low_at)) == found.interval.low
    assert form(dict(found.high_at)) == found.interval.high


def test_no_range_is_one_corner() -> None:
    found = worst(lambda at: 7.0, {})
    assert found.interval == Interval.of(7) and found.low_at == ()
