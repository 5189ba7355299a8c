"""Labels that deserve a second look."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, prove

NEIGHBOURS: dict[str, Neighbour] = {
    "T104": ('"Com"', '"COM"'),
    "T105": ('plus = "Y1-", minus = "Y1+"', 'plus = "Y1+", minus = "Y1-"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])
