"""Figures that can't all be true."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, prove

NEIGHBOURS: dict[str, Neighbour] = {
    "F106": ('off = "12 V"', 'off = "7.9 V"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])
