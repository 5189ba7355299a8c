"""What could come to the analog input."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, RUN, SPEED, Neighbour, codes, prove, reason

NEIGHBOURS: dict[str, Neighbour] = {
    "A401": ('compliance = "24 V"', 'compliance = "12 V"'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


def test_ways_by_which_too_much_comes_to_the_analog_input() -> None:
    limit = '[drive]\nlinks = [{{ between = ["{}", "AI1"] }}]\nanalog = {{ limit = "12 V" }}\n'
    inputs = 'inputs = { voltage = "24 V" }\n'
    given = 'reference = { voltage = "24 V" }\n'
    run = RUN + 'feed = "+24V"\n'
    assert "the inputs' supply" in reason("A401", HEAD + limit.format("+24V") + inputs + run + SPEED)
    pot = SPEED.replace('source = { signal = "AO1", common = "0V" }\n', "")
    assert "the reference supply" in reason("A401", HEAD + limit.format("X") + given + pot)
    assert "A401" not in codes(HEAD + limit.format("X") + given.replace("24 V", "12 V") + pot)
    over = SPEED.replace('common = "0V"', 'common = "0V", top = "12.1 V"')
    assert "source AO1" in reason("A401", HEAD + limit.format("X") + over)
