"""Open inputs that read about nothing."""

from __future__ import annotations

import pytest

from doorsheet.circuit.parts import Stage
from tests.checks.cases import HEAD, RUN, Neighbour, codes, found, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "P105": ("meter  = 0", "meter  = 8"),
    "P109": ("meter  = 0.7", "meter  = 24.3"),
    "P110": ("meter  = 0.2\nmeter-closed = 24.1", "meter  = 24.1\nmeter-closed = 0.2"),
    "P111": ("meter  = 0.2", "meter  = 24.0"),
    "B101": ('common = "COM"\n', 'common = "COM"\nfeed = "+24V"\n'),
}


def test_a_switch_by_hand_to_common_does_nothing_either() -> None:
    by_hand = RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"').replace("24.0", "0")
    assert "P105" in codes(HEAD + by_hand)
    assert "P105" not in codes(HEAD + by_hand + 'feed = "+24V"\n')  # it stays on its feed


def test_the_bench_switch_with_a_feed_is_fed() -> None:
    text = tripping("P105") + 'feed   = "+24V"\n'
    assert "P105" not in {f.code for f in found(text, (Stage.BENCH,))}
    assert "P105" in {f.code for f in found(text, (Stage.FINAL,))}


@pytest.mark.parametrize("code", ["P109", "P110", "P111"])
def test_a_slip_is_no_input_that_wants_plus(code: str) -> None:
    assert not {"P103", "P105", "O205", "P107", "R103"} & codes(tripping(code))


def test_readings_of_an_input_that_is_fed_are_no_slip() -> None:
    """Open about 0 V and closed the supply is what a plus output makes of a fed input."""
    fed = '{ kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }'
    text = tripping("P110").replace('{ plus = "Y1+", minus = "Y1-" }', fed)
    assert not {"P110", "P105"} & codes(text)
