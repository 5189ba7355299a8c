from __future__ import annotations

import doctest

import pytest

from doorsheet.circuit import reading_words
from doorsheet.circuit.reading_words import show, show_value


def test_doctests() -> None:
    failed, tried = doctest.testmod(reading_words)
    assert tried and not failed


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
        (2e-7, "A", "0.2 µA"),
        (0.002, "V", "2 mV"),
        (2e-5, "V", "0.02 mV"),
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
    assert show(20.4, 28.8, "V") == "20.4..28.8 V"
    assert show(24, 24.0000001, "V") == "24 V"
    assert show(-0.4, 0, "V") == "−0.4..0 V"
