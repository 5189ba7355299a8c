"""Checks of what comes to the analog input: too much, or milliamperes that nothing powers."""

from __future__ import annotations

from tests.checks.cases import HEAD, SPEED, Neighbour, codes, found, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A401": ('voltage = "24 V"', 'voltage = "12 V"'),
    "A402": ('resistance = "20 kohm"', 'resistance = "20 kohm"\nlimit = "15 V"'),
    "A501": ('"drive"', '"controller"'),
    "A502": ('"drive"', '"controller"'),
    "A503": ('gives = "0-20 mA" }', 'gives = "0-20 mA", powered-by = "drive" }'),
}


def said(text: str) -> str:
    """Return what A401 says, at every stage."""
    return "; ".join(finding.reason for finding in found(text) if finding.code == "A401")


def test_ways_by_which_too_much_comes_to_the_analog_input() -> None:
    limit = '[drive]\nanalog = {{ limit = "12 V", resistance = "20 kohm" }}\n{}'
    given = 'reference = { voltage = "24 V" }\n'
    linked = given + 'links = [{ between = ["+10V", "AI1"] }]\n'
    assert "reference supply 24 V" in said(HEAD + limit.format(linked) + SPEED)
    over = SPEED.replace('common = "0V"', 'common = "0V", top = "12.1 V"')
    assert "12.1 V" in said(HEAD + limit.format("") + over)
    assert "A401" not in codes(HEAD + limit.format("") + over.replace("12.1", "12"))
    low = limit.replace("12 V", "9 V").format("")
    signs = SPEED.replace('common = "0V"', 'common = "0V", range = "+-10 V"').replace('supply = "+10V"\n', "")
    assert "10 V" in said(HEAD + low + signs + 'range = "+-10 V"\n')


def test_milliamperes_are_held_against_a_limit_in_milliamperes() -> None:
    """10 V on an input of 250 ohm are 40 mA (C); it bears 30 mA."""
    text = HEAD + '[drive.analog]\nlimit = "30 mA"\nresistance = "250 ohm"\n' + SPEED + 'range = "0-20 mA"\n'
    assert "40 mA" in said(text)
    assert "A401" not in codes(text.replace("30 mA", "40 mA"))


def test_an_unknown_figure_is_no_stop() -> None:
    assert not codes(tripping("A401").replace('voltage = "24 V"', 'current = "10 mA"')) & {"A401", "A402"}


def test_an_output_that_pushes_by_itself_is_active() -> None:
    """Whoever gives the compliance has read that the output has a supply of its own."""
    active = tripping("A503").replace('gives = "0-20 mA" }', 'gives = "0-20 mA", compliance = "15 V" }')
    assert not codes(active) & {"A501", "A502", "A503"}
