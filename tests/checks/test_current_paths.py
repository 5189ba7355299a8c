"""Ways of current: returns, links, a second supply."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, RUN, Neighbour, codes, found, prove

NEIGHBOURS: dict[str, Neighbour] = {
    "L101": ('input  = "DI1"\n', 'input  = "DI1"\ncommon = "COM"\n'),
    "L102": ('["DI1", "COM"]', '["DI9", "COM"]'),
    "L105": ('["+24V", "AI1"]', '["+24V", "AI2"]'),
    "L103": ('["+24V", "COM"]', '["+24V", "EXT"]'),
}
"""By code: words of its example, and those instead that are just enough to mend it."""


@pytest.mark.parametrize("code", NEIGHBOURS)
def test_its_example_has_it_and_the_nearest_right_mapping_has_not(code: str) -> None:
    prove(code, NEIGHBOURS[code])


def test_a_link_to_another_input_or_the_supply_holds_an_input_on() -> None:
    other = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    linked = HEAD + '[drive]\nlinks = [{ between = ["DI1", "DI2"] }]\n' + RUN + other
    assert [f.control for f in found(linked) if f.code == "L102"] == ["run-forward", "run-reverse"]


def test_an_outside_supply_and_the_link_of_the_inside_one() -> None:
    inside = '[drive]\nlinks = [{ between = ["+24V", "COM"] }]\ninputs = { supply = "%s" }\n'
    fed = HEAD + inside + RUN + 'feed = "+24V"\n'
    assert "L103" in codes(fed % "outside")
    assert "L103" not in codes(fed % "inside")
