"""Where a screen is earthed, and what runs beside the signal."""

from __future__ import annotations

from tests.checks.cases import Neighbour, codes, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "S101": ('"both"', '"drive"'),
    "S102": ('"none"', '"controller"'),
    "S103": ('"both"', '"drive"'),
    "S104": ("screen = false", "screen = true"),
    "S105": ("screen = false", "screen = true"),
    "S106": ('meter  = 24.3\ncable  = "W1"', 'meter  = 24.3\ncable  = "W2"'),
}


def test_both_ends_on_purpose_are_a_note() -> None:
    """IEC 61000-5-2 allows both (second hand): whoever names the clamp has chosen."""
    assert "S101" not in codes(tripping("S103"))


def test_single_wires_are_in_no_cable_together() -> None:
    assert "S106" not in codes(
        tripping("S106").replace('cable  = "W1"', "").replace('name   = "W1"', 'name = "W9"')
    )
