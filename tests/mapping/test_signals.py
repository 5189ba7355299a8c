"""The table of ranges: complete, and true to the names that people write."""

from __future__ import annotations

import doctest
from typing import get_args

import pytest

from doorsheet.mapping import signals
from doorsheet.mapping.quantities import read_quantity
from doorsheet.mapping.signals import RANGES, InputRange, SourceRange


def test_doctests() -> None:
    failed, tried = doctest.testmod(signals)
    assert tried and not failed


def test_every_range_that_can_be_written_is_in_the_table_and_no_other() -> None:
    assert set(RANGES) == {*get_args(InputRange), *get_args(SourceRange)}


@pytest.mark.parametrize("name", sorted(RANGES))
def test_a_range_is_what_its_name_says(name: str) -> None:
    signal = RANGES[name]
    ends = name.replace("+-10", "-10..10") if "+" in name else name.replace("-", "..")
    assert read_quantity(ends, "V", "A") == (signal.low, signal.full, signal.unit)
    assert (signal.at(0), signal.at(1)) == (signal.rest, signal.full)
    assert signal.low <= signal.rest < signal.full


def test_the_sign_turns_only_a_range_with_a_reverse() -> None:
    """As IEC 60381-2 has it for voltages (from memory): 0 V rests between -10 V and +10 V."""
    assert {name for name, signal in RANGES.items() if signal.reverse is not None} == {"+-10 V"}
    assert RANGES["+-10 V"].at(-1) == -10 and RANGES["+-10 V"].rest == 0
