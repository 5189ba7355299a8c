"""Where a screen is earthed, and what runs beside the signal."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, codes, prove, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "S101": ('"both"', '"drive"'),
    "S102": ('"none"', '"controller"'),
    "S103": ('"both"', '"drive"'),
    "S104": ("screen = false", "screen = true"),
    "S105": ("screen = false", "screen = true"),
    "S106": ('meter  = 24.3\ncable  = "W1"', 'meter  = 24.3\ncable  = "W2"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


def test_both_ends_on_purpose_are_a_note() -> None:
    """IEC 61000-5-2 allows both (second hand): whoever names the clamp has chosen."""
    assert "S101" not in codes(tripping("S103"))


def test_single_wires_are_in_no_cable_together() -> None:
    assert "S106" not in codes(
        tripping("S106").replace('cable  = "W1"', "").replace('name   = "W1"', 'name = "W9"')
    )
