"""Ways of current: returns, links, a second supply."""

from __future__ import annotations

import pytest

from tests.checks.cases import FED, HEAD, REVERSE, RUN, SPEED, Neighbour, codes, found, reason

NEIGHBOURS: dict[str, Neighbour] = {
    "N101": ('["+10V", "+24V"]', '["+10V", "X9"]'),
    "N105": ('"yes"', '"no"'),
    "L101": ('input  = "DI1"\n', 'input  = "DI1"\ncommon = "COM"\n'),
    "L102": ('["DI1", "COM"]', '["DI9", "COM"]'),
    "L107": ('["K1:23", "K1:14"]', '["K1:23", "K1:24"]'),
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
    linked = HEAD + '[drive]\nlinks = [{ between = ["DI1", "DI2"] }]\n' + RUN + REVERSE
    assert [f.control for f in found(linked) if f.code == "L102"] == ["run-forward", "run-reverse"]


@pytest.mark.parametrize(
    ("other", "said"),
    [
        # pulled up by the link the input never comes on, and the output that closes shorts 24 V
        ("+24V", "+24V (24 V by its label): its switch does not decide, and its output may short a supply"),
        # the failure table's own word of such a touch: run forward may come on
        ("AI1", "the speed signal AI1"),
        ("GND", "GND (a 0 V by its label)"),
        ("X9", None),
    ],
)
def test_a_link_from_an_input_to_what_must_stay_apart(other: str, said: str | None) -> None:
    text = HEAD + f'[drive]\nlinks = [{{ between = ["DI1", "{other}"] }}]\n' + RUN + SPEED
    assert ("L102" in codes(text)) is (said is not None)
    assert said is None or said in reason("L102", text)


def test_an_outside_supply_and_the_link_of_the_inside_one() -> None:
    inside = '[drive]\nlinks = [{ between = ["+24V", "COM"] }]\ninputs = { supply = "%s" }\n'
    for text in (RUN + 'feed = "+24V"\n', RUN.replace("24.0", "-24.0")):  # named as the feed, or by its label
        assert "L103" in codes(HEAD + inside % "outside" + text)
        assert "L103" not in codes(HEAD + inside % "inside" + text)
    assert "L103" not in codes(
        HEAD + inside.replace("+24V", "EXT") % "outside" + RUN.replace("24.0", "-24.0")
    )


_ON_PLUS = RUN.replace('"COM"', '"CM"').replace("24.0", "-24.0")
_UNREAD_PLUS = (
    RUN.replace('"COM"', '"+24V"')
    .replace("meter  = 24.0\n", "")
    .replace('{ plus = "Y1+", minus = "Y1-" }', '{ kind = "contact", terminals = ["K1:13", "K1:14"] }')
)
_ON_MINUS = REVERSE.replace("Y2-", "Y1+")
"""The output of run-forward has its plus side on the plus CM: so has what shares that terminal."""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (_ON_PLUS + _ON_MINUS, "CM (plus by the reading of run forward) and COM (minus by the reading"),
        (_ON_PLUS + SPEED.replace('"0V"', '"Y1+"'), "AGND (the speed common) meet at Y1+"),
        (
            '[controller]\nlinks = [{ between = ["Y1+", "0V"], note = "one" }]\n' + _ON_PLUS + SPEED,
            "AGND (the speed common) meet at Y1+ and 0V",
        ),
        (_ON_PLUS.replace('"Y1+"', '"0V"'), "0V (the controller's 0 V by its label) meet at 0V"),
        (
            _UNREAD_PLUS + SPEED.replace('"0V"', '"K1:14"'),
            "+24V (24 V by its label) and AGND (the speed common) meet at K1:14",
        ),
        (_ON_PLUS + SPEED.replace("AGND", "CM"), "CM is plus by the reading of run forward, and it is named"),
        ('[drive.inputs]\nsupply-minus = "X0"\n' + _ON_PLUS + REVERSE.replace("COM", "X0").replace(
            "Y2-", "Y1+").replace("24.0", "0"), "X0 (the minus of the inputs' supply)"),
    ],
)  # fmt: skip
def test_the_plus_of_the_inputs_meets_no_minus(text: str, said: str) -> None:
    """By hand: CM is plus, since the red lead on the input reads minus; what a terminal joins is one net."""
    assert said in reason("L107", HEAD + text)
    right = text.replace('"Y1+"]', '"Y9"]').replace(', minus = "Y1+"', ', minus = "Y2-"')
    right = right.replace('plus = "0V"', 'plus = "Y1+"').replace('common = "Y1+"', 'common = "0V"')
    right = right.replace('common = "K1:14"', 'common = "0V"')
    right = right.replace('["Y1+", "0V"]', '["Y1-", "Y9"]')
    right = right.replace('signal = "AI1"\ncommon = "CM"', 'signal = "AI1"\ncommon = "AGND"')
    assert right != text and "L107" not in codes(HEAD + right)


def test_a_plus_by_its_reading_is_linked_to_no_minus() -> None:
    link = '[drive]\nlinks = [{{ between = ["CM", "{}"], note = "as found" }}]\n'
    for other, said in (("AGND", "the speed common"), ("COM", "minus by the reading of run reverse")):
        text = HEAD + link.format(other) + _ON_PLUS + REVERSE + SPEED
        assert f"CM (plus by the reading of run forward) to {other} ({said}" in reason("L105", text)
        assert "L107" not in codes(text)
    for other in ("+24V", "X9"):
        assert "L105" not in codes(HEAD + link.format(other) + _ON_PLUS + REVERSE + SPEED)


def test_two_supplies_of_the_drive_are_two_sources() -> None:
    """The reference and the inputs' supply linked together."""
    text = HEAD + '[drive]\nlinks = [{ between = ["+24V", "+10V"] }]\n' + RUN + 'feed = "+24V"\n' + SPEED
    said = reason("N101", text)
    assert "reference supply +10V" in said
    assert "the inputs' own supply" in said


EARTHED = '\n[drive.inputs]\nearthed = "yes"\n'


def test_the_forbidden_side_is_between_input_and_earthed_common() -> None:
    """Four cases of the trade's notes (IEC 60204-1 9.4.3): fed or joined, earthed or floating."""
    plus = RUN.replace('{ plus = "Y1+", minus = "Y1-" }', FED).replace("24.0", "0")
    assert "N105" in codes(HEAD + RUN + EARTHED)
    assert "N105" not in codes(HEAD + plus + EARTHED)
    assert "N105" not in codes(HEAD + RUN + EARTHED.replace("yes", "no"))
    assert "N105" not in codes(HEAD + RUN)  # a question
    # a contact between plus, its common, and the input: on earth, where minus is, the input is off
    switched = (
        'input = "DI1"\ncommon = "+24V"\nmeter = -24\noutput = { kind = "contact", terminals = ["1", "2"] }\n'
    )
    named = EARTHED.rstrip() + '\nsupply-minus = "0V"\n'
    assert "N105" not in codes(f"{HEAD}[run-forward]\n{switched}{named}")
    assert "N105" in codes(f"{HEAD}[run-forward]\n{switched}{EARTHED}")


@pytest.mark.parametrize(
    ("stop", "advised"),
    [
        ("", True),
        ('[stop]\nhardware = "contactor K1"\nacts = "supply"\n', False),
        ('[stop]\nhardware = "safety relay K2"\nacts = "torque-off"\n', False),
        ('[stop]\nhardware = "relay K3"\nacts = "enable"\n', True),
        ('[stop]\nhardware = "none"\nacts = "supply"\n', True),
        ('[stop]\nhardware = "contactor K1"\nacts = "unknown"\n', True),
    ],
)
def test_a_stop_that_takes_the_power_away_is_advised_only_where_there_is_none(
    stop: str, advised: bool
) -> None:
    (said,) = (one.do for one in found(HEAD + RUN + EARTHED + stop) if one.code == "N105")
    assert ("let the stop device take the power away" in said) is advised
    assert "monitor its insulation" in said


def test_one_fact_is_one_finding() -> None:
    assert "a wire of DI1 and DI2 that chafes" in reason("N105", HEAD + RUN + REVERSE + EARTHED)
