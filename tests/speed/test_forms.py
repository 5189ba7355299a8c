"""Closed forms against published values; V: read in a public text, C: computed, M: from memory."""

from __future__ import annotations

import doctest
from types import ModuleType

import pytest

from doorsheet.speed import expect
from doorsheet.speed import known as facts
from doorsheet.speed import regression as fit
from doorsheet.speed.expect import poles_that_fit, slip, synchronous_rpm


@pytest.mark.parametrize(
    ("frequency", "poles", "rpm"),
    [
        # V: tables of two engineering reference sites; the form n = 120 f / p V: university slides
        (50, 2, 3000), (50, 4, 1500), (50, 6, 1000), (50, 8, 750),
        (60, 2, 3600), (60, 4, 1800), (60, 6, 1200), (60, 8, 900),
        # C
        (400, 2, 24000), (400, 4, 12000), (400, 6, 8000), (400, 8, 6000),
        (120, 4, 3600),  # V: worked problem 401 of an exam collection
        (50, 20, 300),  # V: textbook example 34.1 (which book: M)
        (800, 4, 24000),  # a spindle of 24 000 rpm is 2 poles at 400 Hz, or 4 at 800 Hz (forum thread)
    ],
)  # fmt: skip
def test_synchronous_speeds(frequency: float, poles: int, rpm: float) -> None:
    assert synchronous_rpm(frequency, poles) == rpm


@pytest.mark.parametrize("poles", [0, 1, 3, 5, 7, -2])
def test_odd_or_no_poles_are_refused(poles: int) -> None:
    with pytest.raises(ValueError, match="pairs"):
        synchronous_rpm(50, poles)


@pytest.mark.parametrize(
    ("field", "shaft", "percent"),
    [
        (1500, 1450, 3.333),  # V: an engineering reference site, and a lecturer's
        (3600, 2000, 44.4),  # V: worked problem 401: 4 poles at 120 Hz, 2000 rpm
        (300, 290, 3.333),  # V: textbook example 34.1: 20 poles, 50 Hz
        (1800, 1770, 1.667),  # C
        (1800, 1725, 4.167),  # C
        (3600, 3450, 4.167),  # C
    ],
)
def test_slips(field: float, shaft: float, percent: float) -> None:
    assert slip(field, shaft) * 100 == pytest.approx(percent, abs=0.05 if percent > 40 else 0.0005)


@pytest.mark.parametrize(
    ("poles", "share", "shaft"),
    [(8, 0.03, 727.5), (4, 0.04, 1440)],  # V: textbook examples 34.5 and 34.3, 50 Hz
)
def test_shaft_speeds_of_the_textbook(poles: int, share: float, shaft: float) -> None:
    assert slip(synchronous_rpm(50, poles), shaft) == pytest.approx(share)


@pytest.mark.parametrize(
    ("frequency", "poles", "shaft"),
    [
        # typical full-load speeds, V: an engineering reference site
        (60, 2, 3500), (60, 4, 1770), (60, 6, 1170), (60, 8, 870),
        (50, 2, 2900), (50, 4, 1450), (50, 6, 960), (50, 8, 720),
        (400, 2, 24000),  # no slip at all is a synchronous motor
    ],
)  # fmt: skip
def test_poles_that_fit_the_plate(frequency: float, poles: int, shaft: float) -> None:
    assert poles_that_fit(frequency, shaft) == poles


def test_no_poles_fit_a_shaft_faster_than_any_field() -> None:
    assert poles_that_fit(50, 3600) == 0


def test_no_slip_at_standstill() -> None:
    with pytest.raises(ValueError, match="stands still"):
        slip(0, 0)


@pytest.mark.parametrize("module", [facts, fit, expect], ids=lambda module: module.__name__)
def test_examples_in_docstrings(module: ModuleType) -> None:
    result = doctest.testmod(module)
    assert result.attempted > 0
    assert result.failed == 0
