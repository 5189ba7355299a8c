from __future__ import annotations

import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.mapping import MappingError, parse_mapping, quantities
from doorsheet.mapping.quantities import UNIT_EXAMPLES, QuantityError, read_conductor, read_quantity


def test_doctests() -> None:
    failed, tried = doctest.testmod(quantities)
    assert tried and not failed


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("24 V", "V", 24, 24),
        ("24V", "V", 24, 24),
        (" 24  V DC ", "V", 24, 24),
        ("-12,2 V", "V", -12.2, -12.2),
        ("\N{MINUS SIGN}12.2 V", "V", -12.2, -12.2),
        ("300 mV", "V", 0.3, 0.3),
        ("5 mA", "A", 0.005, 0.005),
        ("50 uA", "A", 50e-6, 50e-6),
        ("50 \N{MICRO SIGN}A", "A", 50e-6, 50e-6),
        ("50 \N{GREEK SMALL LETTER MU}A", "A", 50e-6, 50e-6),
        ("10 kohm", "ohm", 10e3, 10e3),
        ("10 k\N{OHM SIGN}", "ohm", 10e3, 10e3),
        ("10 k\N{GREEK CAPITAL LETTER OMEGA}", "ohm", 10e3, 10e3),
        ("10k", "ohm", 10e3, 10e3),
        ("4.7k", "ohm", 4700, 4700),
        ("20.4..28.8 V", "V", 20.4, 28.8),
        ("20,4 .. 28,8 V", "V", 20.4, 28.8),
        ("20.4 V to 28.8 V", "V", 20.4, 28.8),
        ("20.4\N{EN DASH}28.8 V", "V", 20.4, 28.8),
        ("500 mV..2 V", "V", 0.5, 2),
        ("24 V +-10 %", "V", 21.6, 26.4),
        ("24 V \N{PLUS-MINUS SIGN} 2 V", "V", 22, 26),
        ("24 V -15/+20 %", "V", 20.4, 28.8),
        ("10 kohm +/- 20%", "ohm", 8000, 12000),
        ("0.25 W", "W", 0.25, 0.25),
        ("12 m", "m", 12, 12),
        ("10 ft", "m", 3.048, 3.048),
        ("20 %", "%", 20, 20),
        ("40 C", "°C", 40, 40),
        ("26 ohm/km", "ohm/km", 26, 26),
        ("23 400 rpm", "rpm", 23400, 23400),
        ("3 mins", "s", 180, 180),
        ("1 minute", "s", 60, 60),
        ("30 sec", "s", 30, 30),
    ],
)
def test_ways_to_write(text: str, unit: str, low: float, high: float) -> None:
    found = read_quantity(text, unit)
    assert (found.low, found.high, found.unit) == (pytest.approx(low), pytest.approx(high), unit)
    assert found.is_point is (low == high)


@pytest.mark.parametrize(
    ("text", "unit", "says"),
    [
        ("24", "V", "has no unit"),
        ("", "V", "has no unit"),
        ("volts", "V", "suitable unit"),
        ("24 A", "V", "suitable unit"),
        ("24 v", "V", "suitable unit"),
        ("24 Vac", "V", "suitable unit"),
        ("1,000 V", "V", "one or a thousand"),
        ("1.2.3 V", "V", "can be read"),
        ("--5 V", "V", "can be read"),
        ("-+5 V", "V", "can be read"),
        ("V", "V", "can be read"),
        ("28..20 V", "V", "smaller first"),
        ("-5 mA", "A", "below zero"),
        ("24 V +-120 %", "V", "below 100"),
        ("٢٤ V", "V", "suitable unit"),
        ("nan V", "V", "suitable unit"),
        ("1e3 V", "V", "suitable unit"),
    ],
)
def test_what_is_refused(text: str, unit: str, says: str) -> None:
    with pytest.raises(QuantityError, match=says):
        read_quantity(text, unit)


@given(
    st.decimals(min_value=0, max_value=10**6, places=3),
    st.sampled_from([("mA", "A", -3), ("kohm", "ohm", 3)]),
)
def test_figures_are_rounded_once(value: Decimal, unit: tuple[str, str, int]) -> None:
    """The nearest float of the exact decimal: "5 mA" is 0.005, not 5 times 0.001 with its error."""
    name, base, power = unit
    assert read_quantity(f"{value} {name}", base).low == float(value * Decimal(10) ** power)


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused(text: str) -> None:
    for unit in UNIT_EXAMPLES:
        try:
            found = read_quantity(text, unit)
        except QuantityError:
            continue
        assert found.low <= found.high


def test_examples_are_read() -> None:
    for unit, example in UNIT_EXAMPLES.items():
        assert read_quantity(example, unit).unit == unit


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("0.75 mm2", (0.75, "mm2")),
        ("0,75 mm²", (0.75, "mm2")),
        ("20 AWG", (20, "AWG")),
        ("AWG 20", (20, "AWG")),
    ],
)
def test_conductors(text: str, size: tuple[float, str]) -> None:
    assert read_conductor(text) == size


@pytest.mark.parametrize("text", ["0 mm2", "0.75", "AWG", "20.5 AWG", "99 AWG", "3 m"])
def test_conductors_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        read_conductor(text)


@pytest.mark.parametrize(
    ("table", "line", "says"),
    [
        ("[drive.inputs]", 'voltage = "24"', "has no unit"),
        ("[drive.inputs]", "voltage = 24", "must be text"),
        ("[drive.inputs]", "type = 4", "must be one of 1, 2, 3"),
        ("[drive.inputs]", 'on = "3 W"', "suitable unit"),
        ("[[cables]]", 'conductor = "99 AWG"', "no gauge"),
        ("[[cables]]", "class = 6", "must be one of 1, 2, 5"),
        ("[drive.inputs]", 'volts = "24 V"', "did you mean"),
    ],
)
def test_problems_have_words(table: str, line: str, says: str) -> None:
    with pytest.raises(MappingError) as caught:
        parse_mapping(f'machine = "M"\n{table}\n{line}\n', "m.toml")
    assert "m.toml:3" in str(caught.value)
    assert says in str(caught.value)
