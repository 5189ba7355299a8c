"""Who powers a milliampere loop."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, codes, prove, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A501": ('"drive"', '"controller"'),
    "A502": ('"drive"', '"controller"'),
    "A503": ('gives = "0-20 mA" }', 'gives = "0-20 mA", powered-by = "drive" }'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


def test_an_output_that_pushes_by_itself_is_active() -> None:
    """Whoever gives the compliance has read that the output has a supply of its own."""
    active = tripping("A503").replace('gives = "0-20 mA" }', 'gives = "0-20 mA", compliance = "15 V" }')
    assert not codes(active) & {"A501", "A502", "A503"}
