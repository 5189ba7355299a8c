"""Commons that meet: by links, by outputs that share a 0 V, by bridges at the controller."""

from __future__ import annotations

import pytest

from tests.checks.cases import HEAD, REVERSE, RUN, SPEED, Neighbour, codes, found, opened, reason

NEIGHBOURS: dict[str, Neighbour] = {
    "N102": ('["COM", "AGND"]', '["COM", "AGND"], note = "manual, page 12"'),
    "N103": ('minus = "0V"', 'minus = "Y1-"'),
    "N104": ('signal = "AI1"\ncommon = "COM"', 'signal = "AI1"\ncommon = "AGND"'),
    "N106": ('"DI2"\ncommon = "AGND"', '"DI2"\ncommon = "COM"'),
    "L106": ('["AO1", "0V"]', '["AO1", "X9"]'),
}


def test_outputs_on_the_controllers_zero_join_the_commons_too() -> None:
    """The analog output's 0 V is the open collector's: both commons meet there, nobody isolated."""
    shared = opened("24.0").replace('common = "M"', 'common = "0V"') + SPEED
    assert "joins the switch common COM to the speed common AGND" in reason("N102", shared)
    assert "N102" not in codes(opened("24.0") + SPEED)


BRIDGED = HEAD + '[controller]\nlinks = [{ between = ["Y1-", "0V"] }]\n' + RUN + SPEED


def test_a_bridge_at_the_controller_joins_the_commons_as_one_terminal_does() -> None:
    """The switch current has the same way whether the return ends on 0 V or is bridged to it."""
    assert "a bridge at the controller, Y1- to 0V, joins the switch common COM" in reason("N103", BRIDGED)
    (bridged,) = [one for one in found(BRIDGED) if one.code == "N103"]
    assert bridged.line == 3 and "take the bridge out" in bridged.do
    chain = BRIDGED.replace('"0V"] }', '"X"] }, { between = ["X", "0V"] }')
    assert "N103" in codes(chain)
    assert "N103" not in codes(BRIDGED.replace('"0V"]', '"X9"]'))
    assert "N103" not in codes(BRIDGED.replace('"0V"]', '"0V"], note = "manual, page 12"'))
    noted = chain.replace('"0V"]', '"0V"], note = "manual, page 12"')
    assert "a bridge at the controller, Y1- to X" in reason("N103", noted)
    opened_up = opened("24.0").replace(HEAD, HEAD + '[controller]\nlinks = [{ between = ["M", "0V"] }]\n')
    assert "a bridge at the controller, M to 0V" in reason("N102", opened_up + SPEED)


def test_a_bridge_from_the_other_side_of_an_isolated_output_is_no_better() -> None:
    """The input then hangs on the speed's 0 V, and is on for good where that is its common."""
    text = BRIDGED.replace('"Y1-", "0V"', '"Y1+", "0V"')
    assert "joins the input DI1 to the speed common AGND" in reason("N103", text)


def test_a_chain_of_bridges_shorts_the_speed_signal() -> None:
    chain = '[controller]\nlinks = [{ between = ["AO1", "X"] }, { between = ["X", "0V"] }]\n'
    (said,) = [one for one in found(HEAD + chain + SPEED) if one.code == "L106"]
    assert said.line == 3 and set(said.terminals) == {"AO1", "X", "0V"}
    assert "L106" not in codes(HEAD + chain.replace('"X", "0V"', '"Y", "0V"') + SPEED)


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ("24V", "to AO1+, which the drive feeds: two supplies work against each other"),
        ("0V", "AO1+, which the drive feeds to 0V (a 0 V by its label): a short circuit"),
        ("X9", ""),
    ],
)
def test_a_bridge_to_an_output_that_the_drive_feeds_is_one_to_its_supply(other: str, said: str) -> None:
    pair = '"AO1-", plus = "AO1+", feed = "+24V", gives = "4-20 mA"'
    text = f'{HEAD}[controller]\nlinks = [{{ between = ["{other}", "AO1+"] }}]\n{SPEED}'
    text = text.replace('"AO1", common = "0V"', pair)
    assert ("L106" in codes(text)) is bool(said)
    assert not said or said in reason("L106", text)


INSIDE = '[drive.inputs]\nsupply = "inside"\n'


@pytest.mark.parametrize(
    ("bridge", "said"),
    [
        ('"AO1", "24V"', "its volts reach the drive's speed input"),
        ('"AO1", "Y1+"', "the motor may start"),
        ('"AO1", "Y1-"', "the motor may start"),
        ('"24V", "0V"', "a short circuit"),
        ('"+5V", "24V"', "two supplies work against each other"),
        ('"24V", "Y1+"', "which leads to DI1: that supply meets the inputs' own"),
        ('"24V", "Y1-"', "which leads to COM: that supply meets the inputs' own"),
        # right: what feeds outputs, returns with each other, one 0 V at two terminals, what nobody knows
        ('"24V", "L+"', ""),
        ('"24V", "+24V"', ""),
        ('"Y1-", "Y2-"', ""),
        ('"0V", "GND"', ""),
        ('"AO1", "X9"', ""),
    ],
)
def test_a_bridge_that_joins_what_must_stay_apart(bridge: str, said: str) -> None:
    """Two voltages on one piece of wire: a short, or one that drives the other."""
    text = HEAD + f"[controller]\nlinks = [{{ between = [{bridge}] }}]\n" + INSIDE + RUN + SPEED
    assert ("L106" in codes(text)) is bool(said)
    assert not said or said in reason("L106", text)


def test_an_outside_supply_comes_in_by_a_bridge() -> None:
    """24 V to the plus side of an output at inputs whose common is plus: so the supply reaches them."""
    outside = INSIDE.replace('"inside"', '"outside"') + RUN.replace("24.0", "-24.0")
    bridge = HEAD + '[controller]\nlinks = [{ between = ["24V", "Y1+"] }]\n'
    assert "L106" not in codes(bridge + outside)
    assert "L106" in codes(bridge.replace("Y1+", "Y1-") + outside)  # at the input itself it is never on
    assert "L106" in codes(bridge + outside.replace('"outside"', '"inside"'))
    unsaid = RUN.replace("meter  = 24.0\n", "")  # nobody has measured, nor said who feeds the inputs
    assert "L106" not in codes(bridge + unsaid)


def test_a_bridge_over_several_drives_is_one_finding() -> None:
    one = (RUN + SPEED).replace("[", "[drives.North.")
    two = one.replace("North", "South").replace("Y1", "Y2").replace("AO1", "AO2")
    linked = '[controller]\nlinks = [{ between = ["Y2-", "AO1"] }]\n'
    (bridged,) = [finding for finding in found(HEAD + linked + one + two) if finding.code == "L106"]
    assert bridged.drive == "" and "leads to South COM" in bridged.reason


def test_bridges_are_seen_of_each_of_several_drives() -> None:
    one = (RUN + SPEED).replace("[", "[drives.North.")
    two = one.replace("North", "South").replace("Y1", "Y2").replace("0V", "M0").replace("AO1", "AO2")
    linked = '[controller]\nlinks = [{ between = ["Y2-", "M0"] }]\n'
    (bridged,) = [finding for finding in found(HEAD + linked + one + two) if finding.code == "N103"]
    assert bridged.drive == "South" and "a bridge at the controller, Y2- to M0" in bridged.reason


def test_one_bridge_is_one_finding_and_looped_returns_are_one_net() -> None:
    """Of two returns on it, and of returns that lead on from output to output."""
    both = BRIDGED.replace("links = [", 'links = [{ between = ["Y1-", "Y2-"] }, ') + REVERSE
    assert "N103" in codes(both) and reason("N103", both)
    looped = HEAD + '[controller]\nreturns = "looped"\n' + RUN + REVERSE.replace('"Y2-"', '"0V"') + SPEED
    assert "N103" in codes(looped)
    assert "N103" not in codes(looped.replace('minus = "0V"', 'minus = "Y2-"'))


def test_a_bridge_of_the_controller_is_no_link_of_the_drive() -> None:
    """Labels that both blocks have, +5V and GND, were looked for among the drive's links, and none found."""
    text = HEAD + '[controller]\nlinks = [{ between = ["+5V", "GND"] }]\n' + RUN + SPEED
    assert not codes(text) & {"L105", "N102"}


def test_links_in_a_chain_join_commons() -> None:
    chain = '[drive]\nlinks = [{ between = ["COM", "X"] }, { between = ["X", "AGND"] }]\n'
    assert "N102" in codes(HEAD + chain + RUN + SPEED)
    assert "N102" in codes(HEAD + chain.replace('"X"] }', '"X"], note = "manual" }') + RUN + SPEED)


BY_DRIVE = SPEED.replace('common = "0V"', 'plus = "AO1+", feed = "+24V", gives = "4-20 mA"')


@pytest.mark.parametrize(
    ("minus", "links", "told"),
    [
        ("COM", '"COM", "AGND"', False),  # the loop's own way back
        ("X", '"COM", "X"], note = "manual" }, { between = ["X", "AGND"', False),
        ("X", '"X", "AGND"], note = "manual" }, { between = ["COM", "AGND"', True),  # none of the loop's
        ("X", '"COM", "AGND"', True),
        ("AGND", '"COM", "AGND"', True),  # it comes back without
        ("COM", '"COM", "AGND"], note = "manual" }, { between = ["AGND", "X"', True),
        ("", '"COM", "AGND"', True),  # nobody knows yet
        ("", '"COM", "AGND"], note = "manual', False),
    ],
)
def test_a_link_that_a_fed_loop_comes_back_by_needs_no_note(minus: str, links: str, told: bool) -> None:
    where = f'[drive.inputs]\nsupply-minus = "{minus}"\n' if minus else ""
    end = '" }]' if links.endswith("manual") else "] }]"
    text = HEAD + f"[drive]\nlinks = [{{ between = [{links}{end}\n{where}" + RUN + BY_DRIVE
    assert ("N102" in codes(text)) is told
    if told:
        (said,) = [one for one in found(text) if one.code == "N102"]
        assert ("where the supply at +24V has its minus" in said.do) is (not minus)


def test_two_commons_of_the_switches_of_which_one_is_the_speeds() -> None:
    """Apart inside, one input has no way back; joined by a link, or numbers of one name, they are one."""
    mixed = HEAD + RUN + REVERSE.replace('"COM"', '"AGND"') + SPEED
    (said,) = [one for one in found(mixed) if one.code == "N106"]
    assert (said.control, said.terminals) == ("run-reverse", ("DI2", "AGND", "COM"))
    assert "ohms from COM to AGND" in said.do and "N104" not in codes(mixed)
    linked = '[drive]\nlinks = [{ between = ["COM", "AGND"], note = "one inside" }]\n'
    assert "N106" not in codes(HEAD + linked + mixed.removeprefix(HEAD))
    assert "N106" not in codes(mixed.replace('"COM"', '"COM1"').replace('"AGND"', '"COM2"'))
    groups = HEAD + RUN.replace('"COM"', '"COM1"') + REVERSE.replace('"COM"', '"COM2"') + SPEED
    assert "N106" not in codes(groups)
    assert "N106" not in codes(mixed.replace('"COM"', '"AGND"'))


def test_the_bridge_at_the_output_is_the_one_to_take_out() -> None:
    """Another joins the 0 V to a second terminal, as the manual has it: that cures nothing."""
    one, other = (f'[[controller.links]]\nbetween = ["{a}", "0V"]\n' for a in ("M2", "AO1"))
    text = HEAD + one + 'note = "inside the controller"\n' + other + SPEED
    (finding,) = {each.reason: each for each in found(text) if each.code == "L106"}.values()
    assert finding.line == text[: text.index('"AO1", "0V"')].count("\n")  # its table's
    assert "the bridge AO1 – 0V" in finding.reason
    assert all("scale" not in each.do for each in found(text) if each.code == "A302")


def test_a_terminal_of_the_supply_is_no_misread_common() -> None:
    other = REVERSE.replace('"COM"', '"+24V"')
    assert "N106" not in codes(HEAD + RUN.replace('"COM"', '"AGND"') + other + SPEED)
    assert "N106" in codes(HEAD + RUN.replace('"COM"', '"AGND"') + REVERSE + SPEED)
