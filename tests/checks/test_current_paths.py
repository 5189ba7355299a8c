"""Ways of current: returns, links, a second supply."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, RUN, Neighbour, codes, found

NEIGHBOURS: dict[str, Neighbour] = {
    "L101": ('input  = "DI1"\n', 'input  = "DI1"\ncommon = "COM"\n'),
    "L102": ('["DI1", "COM"]', '["DI9", "COM"]'),
    "L105": ('["+24V", "AI1"]', '["+24V", "X9"]'),
    "L103": ('["+24V", "COM"]', '["+24V", "EXT"]'),
}


@pytest.mark.parametrize(
    ("one", "other", "bad"),
    [
        # no speed in the mapping: the labels alone say what they are, and the finding says that they do
        ("+24V", "AI1", True),
        ("+10V", "AI1", True),
        ("+10V", "AGND", True),
        ("+24V", "AGND", True),
        ("+10V", "COM", True),
        ("+24V", "COM", True),  # a short, since COM is minus by its reading
        ("AI1", "AGND", True),
        ("AI1", "COM", True),
        ("+24V", "EXT", False),
        ("AGND", "PE", False),
    ],
)
def test_links_by_their_labels(one: str, other: str, bad: bool) -> None:
    text = HEAD + f'[drive]\nlinks = [{{ between = ["{one}", "{other}"] }}]\n' + RUN
    assert ("L105" in codes(text)) is bad


def test_a_switch_common_may_be_the_plus_of_the_inputs() -> None:
    """By the reading, or where nobody has measured: factory links from +24V to the common are usual."""
    link = HEAD + '[drive]\nlinks = [{ between = ["+24V", "COM"] }]\n'
    assert "L105" not in codes(link + RUN.replace("24.0", "-24.0"))
    assert "L105" not in codes(link + RUN.replace("meter  = 24.0\n", ""))


def test_a_link_to_another_input_or_the_supply_holds_an_input_on() -> None:
    other = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    linked = HEAD + '[drive]\nlinks = [{ between = ["DI1", "DI2"] }]\n' + RUN + other
    assert [f.control for f in found(linked) if f.code == "L102"] == ["run-forward", "run-reverse"]


def test_an_outside_supply_and_the_link_of_the_inside_one() -> None:
    inside = '[drive]\nlinks = [{ between = ["+24V", "COM"] }]\ninputs = { supply = "%s" }\n'
    fed = HEAD + inside + RUN + 'feed = "+24V"\n'
    assert "L103" in codes(fed % "outside")
    assert "L103" not in codes(fed % "inside")
