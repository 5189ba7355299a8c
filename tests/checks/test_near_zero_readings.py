"""Open inputs that read about nothing."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, prove

NEIGHBOURS: dict[str, Neighbour] = {
    "P105": ("meter  = 0", "meter  = 8"),
    "P109": ("meter  = 0.7", "meter  = 24.3"),
    "P110": ("meter  = 0.2\nmeter-closed = 24.1", "meter  = 24.1\nmeter-closed = 0.2"),
    "P111": ("meter  = 0.2", "meter  = 24.0"),
    "B101": ('common = "COM"\n', 'common = "COM"\nfeed = "+24V"\n'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])
