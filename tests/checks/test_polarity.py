"""Polarity by the meter's readings."""

from __future__ import annotations

import pytest

from doorsheet.circuit import Stage
from tests.checks.cases import HEAD, RUN, Neighbour, codes, found, prove, tripping


def opened(meter: str, joins: str = "minus") -> str:
    output = f'{{ kind = "open-collector", signal = "Q0", common = "M", joins = "{joins}" }}'
    return HEAD + RUN.replace('{ plus = "Y1+", minus = "Y1-" }', output).replace("24.0", meter)


NEIGHBOURS: dict[str, Neighbour] = {
    "P101": ('minus = "Y1-" }\n', 'minus = "Y1-" }\nmeter = 24.3\n'),
    "P102": ("meter  = -24.3", "meter  = 24.3"),
    "P103": ("meter  = -24.3", "meter  = 24.3"),
    "P104": ("meter  = 4.2", "meter  = 8.0"),
    "P105": ("meter  = 0", "meter  = 8"),
    "B101": ('common = "COM"\n', 'common = "COM"\nfeed = "+24V"\n'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


@pytest.mark.parametrize(
    ("meter", "joins", "bad"),
    [
        ("-24.0", "minus", True),
        ("0", "minus", True),
        ("24.0", "minus", False),
        ("24.0", "plus", True),
        ("0", "plus", False),
        ("0.9", "plus", False),
    ],
)
def test_fixed_polarity(meter: str, joins: str, bad: bool) -> None:
    assert ("P103" in codes(opened(meter, joins))) is bad


@pytest.mark.parametrize(
    ("meter", "code"),
    [
        ("0.99", "P105"),
        ("-0.5", "P105"),
        ("1.0", "P104"),
        ("7.99", "P104"),
        ("-30.1", "P104"),
        ("30.0", ""),
        ("-8", ""),
    ],
)
def test_readings_by_their_size(meter: str, code: str) -> None:
    assert codes(HEAD + RUN.replace("24.0", meter)) & {"P104", "P105"} == ({code} if code else set())


def test_a_switch_by_hand_to_common_does_nothing_either() -> None:
    by_hand = RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"').replace("24.0", "0")
    assert "P105" in codes(HEAD + by_hand)


def test_the_bench_switch_with_a_feed_is_fed() -> None:
    text = tripping("P105") + 'feed   = "+24V"\n'
    assert "P105" not in {f.code for f in found(text, (Stage.BENCH,))}
    assert "P105" in {f.code for f in found(text, (Stage.FINAL,))}
