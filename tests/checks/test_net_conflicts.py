"""Checks of nets: two sources on one, commons that meet, isolation that is bridged, earth."""

from __future__ import annotations

from tests.checks.cases import HEAD, RUN, SPEED, Neighbour, codes, reason

NEIGHBOURS: dict[str, Neighbour] = {
    "N101": ('["+10V", "+24V"]', '["+10V", "X9"]'),
    "N102": ('["COM", "AGND"]', '["COM", "AGND"], note = "manual, page 12"'),
    "N103": ('minus = "0V"', 'minus = "Y1-"'),
    "N104": ('signal = "AI1"\ncommon = "COM"', 'signal = "AI1"\ncommon = "AGND"'),
    "N105": ('"yes"', '"no"'),
}


def opened(meter: str, joins: str = "minus") -> str:
    output = f'{{ kind = "open-collector", signal = "Q0", common = "M", joins = "{joins}" }}'
    return HEAD + RUN.replace('{ plus = "Y1+", minus = "Y1-" }', output).replace("24.0", meter)


def test_outputs_on_the_controllers_zero_join_the_commons_too() -> None:
    """The analog output's 0 V is the open collector's: both commons meet there, nobody isolated."""
    shared = opened("24.0").replace('common = "M"', 'common = "0V"') + SPEED
    assert "joins the switch common COM to the speed common AGND" in reason("N102", shared)
    assert "N102" not in codes(opened("24.0") + SPEED)


def test_links_in_a_chain_join_commons() -> None:
    chain = '[drive]\nlinks = [{ between = ["COM", "X"] }, { between = ["X", "AGND"] }]\n'
    assert "N102" in codes(HEAD + chain + RUN + SPEED)
    assert "N102" in codes(HEAD + chain.replace('"X"] }', '"X"], note = "manual" }') + RUN + SPEED)


def test_two_supplies_of_the_drive_are_two_sources() -> None:
    """The reference and the inputs' supply linked together."""
    text = HEAD + '[drive]\nlinks = [{ between = ["+24V", "+10V"] }]\n' + RUN + 'feed = "+24V"\n' + SPEED
    said = reason("N101", text)
    assert "reference supply +10V" in said
    assert "the inputs' own supply" in said


EARTHED = '\n[drive.inputs]\nearthed = "yes"\n'


def test_the_forbidden_side_is_between_input_and_earthed_common() -> None:
    """Four cases of the trade's notes (IEC 60204-1 9.4.3): fed or joined, earthed or floating."""
    fed = '{ kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }'
    plus = RUN.replace('{ plus = "Y1+", minus = "Y1-" }', fed).replace("24.0", "0")
    assert "N105" in codes(HEAD + RUN + EARTHED)
    assert "N105" not in codes(HEAD + plus + EARTHED)
    assert "N105" not in codes(HEAD + RUN + EARTHED.replace("yes", "no"))
    assert "N105" not in codes(HEAD + RUN)  # a question


def test_one_fact_is_one_finding() -> None:
    reverse = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    assert "a wire of DI1 and DI2 that chafes" in reason("N105", HEAD + RUN + reverse + EARTHED)
