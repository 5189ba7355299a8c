"""The other ways to the same findings: each check's branches that its example does not take."""

from __future__ import annotations

import pytest

from doorsheet.circuit import Stage
from tests.circuit.checks.cases import found, tripping

HEAD = 'machine = "Example"\n'

RUN = """
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.0
"""

SPEED = """
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
"""


def codes(text: str) -> set[str]:
    return {finding.code for finding in found(text)}


def reason(code: str, text: str) -> str:
    (finding,) = [finding for finding in found(text) if finding.code == code]
    return finding.reason


def opened(meter: str, joins: str = "minus") -> str:
    output = f'{{ kind = "open-collector", signal = "Q0", common = "M", joins = "{joins}" }}'
    return HEAD + RUN.replace('{ plus = "Y1+", minus = "Y1-" }', output).replace("24.0", meter)


# --- commons, isolation, links -------------------------------------------


def test_outputs_on_the_controllers_zero_join_the_commons_too() -> None:
    """The analog output's 0 V is the open collector's: both commons meet there, nobody isolated."""
    shared = opened("24.0").replace('common = "M"', 'common = "0V"') + SPEED
    assert "joins the switch common COM to the speed common AGND" in reason("N102", shared)
    assert "N102" not in codes(opened("24.0") + SPEED)


def test_links_in_a_chain_join_commons() -> None:
    chain = '[drive]\nlinks = [{ between = ["COM", "X"] }, { between = ["X", "AGND"] }]\n'
    assert "N102" in codes(HEAD + chain + RUN + SPEED)
    assert "N102" in codes(HEAD + chain.replace('"X"] }', '"X"], note = "manual" }') + RUN + SPEED)


def test_a_link_to_another_input_or_the_supply_holds_an_input_on() -> None:
    other = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    linked = HEAD + '[drive]\nlinks = [{ between = ["DI1", "DI2"] }]\n' + RUN + other
    assert [f.control for f in found(linked) if f.code == "L102"] == ["run-forward", "run-reverse"]


def test_an_outside_supply_and_the_link_of_the_inside_one() -> None:
    inside = '[drive]\nlinks = [{ between = ["+24V", "COM"] }]\ninputs = { supply = "%s" }\n'
    fed = HEAD + inside + RUN + 'feed = "+24V"\n'
    assert "L103" in codes(fed % "outside")
    assert "L103" not in codes(fed % "inside")


def test_two_supplies_of_the_drive_are_two_sources() -> None:
    """The reference and the inputs' supply linked together."""
    text = HEAD + '[drive]\nlinks = [{ between = ["+24V", "+10V"] }]\n' + RUN + 'feed = "+24V"\n' + SPEED
    said = reason("N101", text)
    assert "reference supply +10V" in said
    assert "the inputs' own supply" in said


# --- polarity ------------------------------------------------------------


@pytest.mark.parametrize(
    ("meter", "joins", "bad"),
    [
        ("-24.0", "minus", True),
        ("0", "minus", True),
        ("24.0", "minus", False),
        ("24.0", "plus", True),
        ("0", "plus", False),
        ("0.9", "plus", False),
    ],
)
def test_fixed_polarity(meter: str, joins: str, bad: bool) -> None:
    assert ("P103" in codes(opened(meter, joins))) is bad


@pytest.mark.parametrize(
    ("meter", "code"),
    [
        ("0.99", "P105"),
        ("-0.5", "P105"),
        ("1.0", "P104"),
        ("7.99", "P104"),
        ("-30.1", "P104"),
        ("30.0", ""),
        ("-8", ""),
    ],
)
def test_readings_by_their_size(meter: str, code: str) -> None:
    assert codes(HEAD + RUN.replace("24.0", meter)) & {"P104", "P105"} == ({code} if code else set())


def test_a_switch_by_hand_to_common_does_nothing_either() -> None:
    by_hand = RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"').replace("24.0", "0")
    assert "P105" in codes(HEAD + by_hand)


# --- levels --------------------------------------------------------------


def test_thresholds_in_milliamperes() -> None:
    """On from 2.6 mA, off below 1.1 mA: a published example in the survey of practice."""
    inputs = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "{} mA"\non = "2.6 mA"\noff = "1.1 mA"\n'
    text = HEAD + inputs + RUN.replace('minus = "Y1-"', 'minus = "Y1-", leakage = "{} mA"')
    assert "O205" in codes(text.replace("{}", "2.6", 1).replace("{}", "1.0"))  # 0.4 V lost of 24 V
    assert not codes(text.replace("{}", "2.7", 1).replace("{}", "1.1")) & {"O205", "O206"}
    assert "O206" in codes(text.replace("{}", "2.7", 1).replace("{}", "1.2"))


def test_the_wires_take_their_part_of_the_on_level() -> None:
    """0.5 mm2 class 5 has 39 ohm/km: 2 km there and back are 156 ohm, at 5 mA about 0.7 V."""
    base = tripping("O205").replace('saturation = "1.2 V"', 'saturation = "0.4 V"')
    long = base.replace(
        "[run-forward]", '[[cables]]\nlength = "2000 m"\nconductor = "0.5 mm2"\n\n[run-forward]'
    )
    assert "O205" not in codes(base)
    assert "O205" in codes(long)
    assert "O205" not in codes(long.replace("2000 m", "900 m"))


def test_a_default_leakage_stops_nothing() -> None:
    assert "O206" not in codes(tripping("O206").replace(', leakage = "2 mA"', ""))


def test_measured_current_decides_over_the_manuals() -> None:
    text = tripping("O204") + 'meter-current = "{} mA"\n'
    assert "O204" not in codes(text.replace("{}", "3.9"))
    assert "measured" in reason("O204", text.replace("{}", "4.1"))


def test_an_enable_by_hand_allows_any_state_at_start() -> None:
    by_hand = '\n[enable]\ninput  = "DI9"\ncommon = "COM"\nswitch = "S9"\nmeter  = 24.3\n'
    assert "O209" not in codes(tripping("O209") + by_hand)


# --- analog --------------------------------------------------------------


def test_volts_into_milliamperes() -> None:
    assert "nearly shorts" in reason("A202", HEAD + SPEED + 'range = "4-20 mA"\n')


def test_a_burden_makes_volts_of_milliamperes() -> None:
    text = tripping("A202") + 'burden = "500 ohm"\n'
    assert "A202" not in codes(text)
    assert {"A204", "A106"} <= codes(text)  # 2 V at zero; and the bench potentiometer finds the burden


def test_current_source_and_what_it_can_push() -> None:
    """20 mA through 500 ohm need 10 V (C)."""
    loop = HEAD + '[drive.analog]\nresistance = "500 ohm"\n' + SPEED.replace(
        'common = "0V"', 'common = "0V", range = "4-20 mA", {}'
    ) + 'range = "4-20 mA"\n'  # fmt: skip
    assert "can push 9.9 V" in reason("A301", loop.replace("{}", 'compliance = "9.9 V"'))
    assert "A301" not in codes(loop.replace("{}", 'compliance = "10 V"'))
    assert "at most" in reason("A301", loop.replace("{}", 'load = "499 ohm"'))
    assert "A301" not in codes(loop.replace("{}", 'load = "500 ohm"'))


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


def test_reference_unknown_says_nothing() -> None:
    """An unknown limit is no finding but a question."""
    text = tripping("A101").replace('current = "10 mA"\n', "")
    assert not codes(text) & {"A101", "A102"}
    assert "what +10V may give" in reason("U101", text)


# --- just outside the bound, and which end of a range decides -------------


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("A102", '"1.2 kohm"', '"1.33 kohm"'),  # 7.519 + 0.5 mA, of 10 mA
        ("A304", '"4000 m"', '"1945 m"'),  # 2 x 50.57 ohm before 10 kohm
        ("P106", "12.1", "19.19"),
        ("P106", "12.1", "28.81"),
        ("O202", '"30 V"', '"30.37 V"'),
        ("O206", '"2 mA"', '"1.51 mA"'),
        ("A305", '"9.5 V"', '"9.79 V"'),
        ("A302", '"200 ohm"', '"102 ohm"'),
        ("P107", "meter-closed = 14", "meter-closed = 13.4"),
    ],
)
def test_just_outside_the_bound(code: str, old: str, new: str) -> None:
    assert old in tripping(code)
    assert code in codes(tripping(code).replace(old, new))


def test_reverse_rating_by_default() -> None:
    """7 V, by the data sheet of a registered type."""
    text = tripping("O203").replace(', reverse = "7 V"', "").replace('"24 V"', '"{} V"')
    assert "default: data sheet" in reason("O203", text.replace("{}", "7.1"))
    assert "O203" not in codes(text.replace("{}", "7"))


def test_the_supplys_highest_counts_more_than_todays_reading() -> None:
    text = tripping("O201").replace('"24 V"', '"25 V"')
    assert "O201" not in codes(text)
    ranged = text.replace("[run-forward]", '[drive.inputs]\nvoltage = "20.4..28.8 V"\n\n[run-forward]')
    assert "20.4..28.8 V (given" in reason("O201", ranged)


def test_the_lowest_current_counts_for_a_contact() -> None:
    """20.4 V over 4.8 kohm are 4.25 mA."""
    text = tripping("O207").replace(
        'voltage = "24 V"\ncurrent = "5 mA"', 'voltage = "20.4..28.8 V"\nresistance = "4.8 kohm"'
    )
    assert "4.25 mA" in reason("O207", text.replace('"10 mA"', '"5 mA"'))
    assert "O207" not in codes(text.replace('"10 mA"', '"4.2 mA"'))


def test_the_bench_switch_with_a_feed_is_fed() -> None:
    text = tripping("P105") + 'feed   = "+24V"\n'
    assert "P105" not in {f.code for f in found(text, (Stage.BENCH,))}
    assert "P105" in {f.code for f in found(text, (Stage.FINAL,))}


def test_cores_alike_in_two_cables_are_no_mistake() -> None:
    one = RUN + 'wires = { input = "white", common = "brown" }\ncable = "W1"\n'
    other = one.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    assert "W101" not in codes(HEAD + one + other.replace('"W1"', '"W2"'))
    assert "W101" in codes(HEAD + one + other)


# --- stopping, regions ---------------------------------------------------


def test_a_stop_by_a_control_of_the_controller_is_none() -> None:
    text = tripping("X102").replace('"none"', '"run forward"')
    assert "which the controller closes" in reason("X102", text)
    by_hand = text.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"')
    assert "X102" not in codes(by_hand)


def test_an_interlock_keeps_the_directions_apart() -> None:
    assert "X103" not in codes(tripping("X103") + '\n[controller]\ninterlock = "relay K2 breaks"\n')


def test_colours_without_a_region() -> None:
    for code in ("C105", "C106", "C107"):
        text = tripping(code)
        assert code not in codes(
            "\n".join(line for line in text.split("\n") if not line.startswith("region"))
        )


def test_cores_of_a_named_cable_are_exempt() -> None:
    assert "C107" not in codes(tripping("C107") + 'cable = "W1"\n')
    assert "C106" not in codes(tripping("C106") + 'cable = "W1"\n')


def test_a_return_may_be_white_in_region_us() -> None:
    text = tripping("C107").replace('input = "grey", common = "brown"', 'input = "blue", common = "white"')
    assert "C107" not in codes(text)


def test_a_terminal_made_for_three_holds_three() -> None:
    text = tripping("T103")
    assert "T103" not in codes(text + "\n[drive]\nconductors-per-terminal = 3\n")
    assert "given, line" in reason("T103", tripping("A201").replace("[speed]", RUN + "\n[speed]").replace(
        'common = "0V"', 'common = "Y1-"') + "\n[controller]\nconductors-per-terminal = 1\n")  # fmt: skip
