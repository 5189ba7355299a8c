"""Who powers a milliampere loop."""

from __future__ import annotations

from tests.checks.cases import Neighbour, codes, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A501": ('"drive"', '"controller"'),
    "A502": ('"drive"', '"controller"'),
    "A503": ('gives = "0-20 mA" }', 'gives = "0-20 mA", powered-by = "drive" }'),
}


def test_an_output_that_pushes_by_itself_is_active() -> None:
    """Whoever gives the compliance has read that the output has a supply of its own."""
    active = tripping("A503").replace('gives = "0-20 mA" }', 'gives = "0-20 mA", compliance = "15 V" }')
    assert not codes(active) & {"A501", "A502", "A503"}
