"""Stopping, and both directions at once."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, codes, prove, reason, tripping

STOP_KNOWN = """
[stop]
category = "0"
hardware = "contactor K9"
acts = "supply"
"""

NEIGHBOURS: dict[str, Neighbour] = {
    "X101": ("[run-forward]", STOP_KNOWN + "\n[run-forward]"),
    "X102": ('"none"', '"contactor K9"'),
    "X103": ('"forward"', '"stops"'),
    "X104": ('acts = "supply"', 'acts = "supply"\ndelay = "4 s"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


def test_a_stop_by_a_control_of_the_controller_is_none() -> None:
    text = tripping("X102").replace('"none"', '"run forward"')
    assert "which the controller closes" in reason("X102", text)
    by_hand = text.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"')
    assert "X102" not in codes(by_hand)


def test_an_interlock_keeps_the_directions_apart() -> None:
    assert "X103" not in codes(tripping("X103") + '\n[controller]\ninterlock = "relay K2 breaks"\n')
