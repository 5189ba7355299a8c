"""Checks of the controller's outputs: kind, state at start, ratings."""

from __future__ import annotations

import pytest

from doorsheet.checks.example import TO_MINUS
from doorsheet.circuit import Stage
from tests.checks.cases import FED, HEAD, RUN, Beside, Neighbour, codes, found, reason, tripping
from tests.checks.planted_switches import FIVE, FIVE_CABLE

_ENABLE = """
[enable]
input = "DI9"
common = "COM"
output = {{ plus = "Y9+", minus = "Y9-", rest = "{}" }}
meter = 24.3
"""

_LONG = '[[cables]]\nlength = "{} m"\nconductor = "0.5 mm2"\n\n[run-forward]'
_LOWEST = {'24 V"\ncurrent = "5 mA"': '20.4..28.8 V"\nresistance = "4.8 kohm"'}
_SHARED = "\n[controller.outputs]\n"

NEIGHBOURS: dict[str, Neighbour] = {
    "O101": ('{ kind = "logic-level", signal = "P5", common = "GND" }', '{ plus = "Y1+", minus = "Y1-" }'),
    "O208": ('"ac"', '"dc"'),
    "O209": ('"pulses"', '"off"'),
    "O201": ('voltage = "24 V"', 'voltage = "24.3 V"'),
    "O202": ('voltage = "30 V"', 'voltage = "30.4 V"'),  # 1.25 x 24.3 = 30.375
    "O203": ('reverse = "7 V"', 'reverse = "24 V"'),
    "O204": ('current = "4 mA"', 'current = "5 mA"'),
    "O207": ('minimum = "10 mA"', 'minimum = "5 mA"'),
    "O205": ('saturation = "1.2 V"', 'saturation = "1 V"'),  # 24 - 1 = 23
    "O206": ('leakage = "2 mA"', 'leakage = "1.5 mA"'),
    "O210": ('["Y1+", "Y1-"]', '["Y1+", "Y9+"]'),
    "O211": ('voltage = "12 V"', 'voltage = "19.2 V"'),  # a quarter more is 24 V
}

BESIDE: tuple[Beside, ...] = (
    ("O101", {"": '[drive.inputs]\nvoltage = "5 V"\n'}, "a few milliamperes at most, perhaps less than"),
    ("O201", {"24.3": "325"}, None),  # P108: nobody buys an output for that
    ("O201", {'"24 V"': '"25 V"'}, None),
    ("O202", {'"30 V"': '"30.37 V"'}, ""),
    ("O203", {', reverse = "7 V"': ""}, "may be on at once"),  # 24 V less 5 V of breakdown leaves 19 V
    ("O204", {"": 'meter-current = "3.9 mA"\n'}, None),  # what was measured decides over the manual's
    ("O204", {"": 'meter-current = "4.1 mA"\n'}, "measured"),
    ("O206", {'"2 mA"': '"1.51 mA"'}, ""),
    ("O206", {', leakage = "2 mA"': ""}, None),  # a default stops nothing
    (
        "O209",
        {"": '\n[enable]\ninput = "DI9"\ncommon = "COM"\nswitch = "S9"\nmeter = 24.3\n'},
        None,
    ),  # by hand
    ("O209", {"": _ENABLE.format("off")}, None),  # it withholds the motor
    ("O209", {"": _ENABLE.format("floats")}, ""),
    # what all outputs do counts for each
    ("O208", {', switches = "ac"': "", "": _SHARED + 'switches = "ac"\n'}, ""),
    ("O209", {', rest = "pulses"': "", "": _SHARED + 'rest = "floats"\n'}, ""),
    ("O209", {', rest = "pulses"': "", "": _SHARED + 'rest = "off"\n'}, None),
    # the supply's highest counts more than today's reading
    (
        "O201",
        {'"24 V"': '"25 V"', "[run-f": '[drive.inputs]\nvoltage = "20.4..28.8 V"\n\n[run-f'},
        "28.8 V (given",
    ),
    # 5 V by default, the least of five public data sheets (5, 6 and 7 V)
    ("O203", {', reverse = "7 V"': "", '"24 V"': '"5.1 V"'}, "default: the least of"),
    ("O203", {', reverse = "7 V"': "", '"24 V"': '"5 V"'}, None),
    ("O203", {'plus = "Y1+", minus = "Y1-"': TO_MINUS}, "polarity of DI1 is unproved"),
    # the lowest current counts for a contact: 20.4 V over 4.8 kohm are 4.25 mA
    ("O207", {**_LOWEST, '"10 mA"': '"5 mA"'}, "4.25 mA"),
    ("O207", {**_LOWEST, '"10 mA"': '"4.2 mA"'}, None),
    ("O207", {"= 24.3": "= -24.3"}, "switches only 5 mA"),  # the common is plus: it flows the other way
    # 0.5 mm2 class 5 has 39 ohm/km: 2 km there and back are 156 ohm, at 5 mA about 0.7 V
    ("O205", {'"1.2 V"': '"0.4 V"'}, None),
    ("O205", {'"1.2 V"': '"0.4 V"', "[run-forward]": _LONG.format(2000)}, ""),
    ("O205", {'"1.2 V"': '"0.4 V"', "[run-forward]": _LONG.format(900)}, None),
    # 24 V less 0.4 V is 23.6 V, above the 11 V of type 3 (V); with 13.1 V lost it is not
    ("O205", {'on = "23 V"\noff = "5 V"': "type = 3", "1.2 V": "0.4 V"}, None),
    ("O205", {'on = "23 V"\noff = "5 V"': "type = 3", "1.2 V": "13.1 V"}, "10.9 V"),
    # 0.5 mA is below the 1.5 mA of type 3, and the whole 0.5 mA of type 1 (V, M): safe, and no margin
    ("O206", {'"2 mA"': '"0.5 mA"'}, None),
    ("O206", {'"2 mA"': '"0.5 mA"', "= 3": "= 1", '"5 mA"': '"2 mA"'}, None),
    ("O206", {'"2 mA"': '"0.51 mA"', "= 3": "= 1", '"5 mA"': '"2 mA"'}, "standard: IEC 61131-2 type 1"),
    ("O211", {'"12 V"': '"5 V"\ncurrent = "10 mA"'}, "24 V"),
    ("O211", {'"12 V"': '"19.1 V"'}, "above 23.88 V"),
    ("O211", {'"12 V"': '"12 V"\nresistance = "1 kohm"\non = "8 V"\noff = "3 V"\nfed-from = "outside"'}, ""),
    ("O211", {', saturation = "0.5 V"': ""}, "can get 24 V"),  # nobody knows its drop: 4 V are not enough
    ("O211", {', saturation = "0.5 V"': "", '"12 V"': '"16 V"'}, None),
    ("O211", {'supply-voltage = "24 V"': 'name = "Controller"'}, None),  # nobody knows its volts
    ("O211", {'supply-voltage = "24 V"': 'supply-voltage = "12 V"'}, None),
    ("O211", {', joins = "plus"': ""}, None),  # the drive's own supply stays the only one
    ("O211", {'"12 V"': '"12 V"\nbears = "24 V"'}, None),  # the manual's figure, whatever is usual
    ("O211", {'"12 V"': '"12 V"\nbears = "23 V"'}, "above 23 V (given"),
    ("O211", {'"12 V"': '"24 V"\nbears = "23 V"'}, "above 23 V"),
    ("O211", {'voltage = "12 V"': 'bears = "23 V"'}, "above 23 V"),
    ("O211", {'voltage = "12 V"': 'bears = "24 V"'}, None),
)


def test_a_reversed_output_that_leaves_less_than_the_on_level_says_no_more() -> None:
    text = tripping("O203").replace(', reverse = "7 V"', "")
    # 1 V of 6 V is less than the 5 V of 24 V that are off for every type; 4 V of 9 V are more
    for volts, may in (("6 V", False), ("9 V", True)):
        low = reason("O203", text.replace('"24 V"', f'"{volts}"'))
        assert ("may be on at once" in low) is may


def test_thresholds_in_milliamperes() -> None:
    """On from 2.6 mA, off below 1.1 mA: a published example in the survey of practice."""
    inputs = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "{} mA"\non = "2.6 mA"\noff = "1.1 mA"\n'
    text = HEAD + inputs + RUN.replace('minus = "Y1-"', 'minus = "Y1-", leakage = "{} mA"')
    assert "O205" in codes(text.replace("{}", "2.6", 1).replace("{}", "1.0"))  # 0.4 V lost of 24 V
    assert not codes(text.replace("{}", "2.7", 1).replace("{}", "1.1")) & {"O205", "O206"}
    assert "O206" in codes(text.replace("{}", "2.7", 1).replace("{}", "1.2"))


def five_outputs(on: str) -> str:
    """Return five inputs on one return of 800 m, and their on level, V."""
    return HEAD + FIVE.replace("22.1 V", f"{on} V") + FIVE_CABLE.replace("700 m", "800 m")


def test_all_closed_together_on_one_return() -> None:
    """Kirchhoff by hand: each input has its own wire r, all share the return r.

    Alone V = Vs R/(R + 2r + k), all five V = Vs R/(R + k + r + 5r); r = 800 m of AWG 24 (ASTM B258:
    0.5106 mm, IEC 60028: 1/58 ohm mm2/m) = 67.4 ohm, k = 0.1 ohm of a contact, R = 4.8 kohm.
    """
    r, ohm, contact = 0.8 * 84.215, 4800.0, 0.1
    one = 24 * ohm / (ohm + contact + 2 * r)
    five = 24 * ohm / (ohm + contact + 6 * r)
    assert (round(one, 1), round(five, 1)) == (23.3, 22.1)
    said = [f for f in found(five_outputs("22.2")) if f.code == "O205"]
    assert said
    assert all("closed together" in f.reason and "22.1" in f.figures[0].value for f in said)
    assert "O205" not in codes(five_outputs("22.1"))


def test_a_limiting_input_is_off_by_its_current() -> None:
    """0.5 mA through an input that limits at 2.3 mA: 0.78 V by its 1562 ohm below the knee, not 5.2 V of a
    straight line of 24 V and 2.3 mA (computed in the notes on values); type 1 is off at 0.5 mA and at 5 V.
    """
    inputs = '[drive.inputs]\nvoltage = "24 V"\n{}\noff = "5 V"\n'
    leaky = RUN.replace('minus = "Y1-"', 'minus = "Y1-", leakage = "0.5 mA"')
    straight = HEAD + inputs.format('current = "2.3 mA"') + leaky
    limiting = HEAD + inputs.format('resistance = "1562 ohm"\nlimit = "2.3 mA"') + leaky
    assert "O206" in codes(straight)
    assert "O206" not in codes(limiting)


@pytest.mark.parametrize(
    ("amps", "codes_said"),
    [("120 mA", {"P114"}), ("0.1 mA", {"P114"}), ("7 mA", {"P114", "O204"}), ("5 mA", set())],
)
def test_a_current_that_no_input_has_says_nothing_of_the_output(amps: str, codes_said: set[str]) -> None:
    """0.5 mA to 30 mA may be an input's (common practice, no source); 7 mA is more than the 6 mA rated."""
    inputs = '[drive.inputs]\nvoltage = "24 V"\ncurrent = "5 mA"\non = "2 mA"\noff = "1 mA"\n'
    rated = RUN.replace('"Y1-"', '"Y1-", current = "6 mA"')
    assert codes(f'{HEAD}{inputs}{rated}meter-current = "{amps}"\n') & {"P114", "O204", "O205"} == codes_said


@pytest.mark.parametrize(
    ("keys", "of_output"), [('switch = "S1"', False), ('output = { plus = "Y1+", minus = "Y1-" }', True)]
)
def test_a_better_output_is_no_remedy_where_there_is_none(keys: str, of_output: bool) -> None:
    inputs = '[drive.inputs]\nvoltage = "12 V"\non = "13 V"\noff = "5 V"\n'
    text = HEAD + inputs + RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', keys).replace("24.0", "12")
    said = [one for one in found(text, (Stage.FINAL,)) if one.code == "O205"]
    assert said and all(("output" in one.do) is of_output for one in said)


@pytest.mark.parametrize(("volts", "contradict"), [("5", True), ("12", True), ("15", False)])
def test_no_wire_helps_an_input_of_a_type_that_its_voltage_does_not_go_with(
    volts: str, contradict: bool
) -> None:
    """Type 1 comes on at 15 V (IEC 61131-2): of 15 V the output takes 0.4 V, 5 V never are enough."""
    inputs = f'[drive.inputs]\nvoltage = "{volts} V"\ntype = 1\n'
    said = [one.do for one in found(HEAD + inputs + RUN.replace("24.0", volts)) if one.code == "O205"]
    assert said and {"are of inputs for 24 V" in do for do in said} == {contradict}
    assert {"thicker" in do for do in said} == {not contradict}
    reasons = [one.reason for one in found(HEAD + inputs + RUN.replace("24.0", volts)) if one.code == "O205"]
    assert {"nobody can tell whether it comes on" in why for why in reasons} == {contradict}
    assert {"gets only" in why for why in reasons} == {not contradict}
    read = inputs.replace(f'voltage = "{volts} V"\n', "")  # a supply that was read says the same
    if contradict and volts != "5":  # which without a given voltage is no supply
        whys = [one.reason for one in found(HEAD + read + RUN.replace("24.0", volts)) if one.code == "O205"]
        assert whys and all("12 V (measured" in why for why in whys)


@pytest.mark.parametrize(("volts", "asked"), [("12", True), ("24", False)])
def test_levels_are_asked_for_where_the_type_says_none(volts: str, asked: bool) -> None:
    inputs = f'[drive.inputs]\nvoltage = "{volts} V"\ntype = 1\n'
    what = {one.what for each in found(HEAD + inputs + RUN.replace("24.0", volts)) for one in each.unknowns}
    assert ("the inputs' on and off levels" in what) is asked


def test_what_nothing_feeds_has_its_place_between_plus_and_input() -> None:
    """A contact from the input to the minus of its supply: no supply in that loop, no current (Kirchhoff)."""
    fed = '[drive.inputs]\nvoltage = "24 V"\ntype = 1\nfed-from = "outside"\n'
    contact = 'kind = "contact", terminals = ["11", "14"]'
    low = RUN.replace('plus = "Y1+", minus = "Y1-"', contact).replace("meter  = 24.0", 'feed = "+24V"')
    (said,) = [one for one in found(HEAD + fed + 'supply-minus = "COM"\n' + low) if one.code == "O205"]
    assert "nothing feeds it" in said.reason and "between +24V and DI1" in said.do
    assert "saturation" not in said.do and "contact, " not in said.do
    for output in (contact, 'plus = "Y1+", minus = "Y1-"'):  # `feed` says it, whoever knows the on level
        bare = found(HEAD + low.replace(contact, output), (Stage.FINAL,))
        assert [one.reason for one in bare if one.code == "O205"] == [
            "closed, DI1 gets about nothing: nothing feeds it"
        ]
    for right in (  # the output brings plus; the input has a supply; it stays on its hand switch
        low.replace(f"{{ {contact} }}", FED),
        low + "meter = 24\n",
        low.replace(f"output = {{ {contact} }}", 'switch = "S1"'),
    ):
        assert "O205" not in codes(HEAD + right)
    assert all(one.code != "O205" for one in found(HEAD + low, (Stage.BENCH,)))  # its switch there has plus
    high = low.replace('common = "COM"', 'common = "+24V"').replace('feed = "+24V"', "meter = -24")
    assert "O205" not in codes(HEAD + fed + high)
    (unsaid,) = {one.do for one in found(HEAD + fed + RUN.replace("meter  = 24.0", "")) if one.code == "O205"}
    assert "measure DI1 against COM" in unsaid and "saturation" not in unsaid


def test_a_bench_switch_fed_from_a_supply_whose_minus_nothing_joins() -> None:
    """No loop, no current (Kirchhoff): a better output cures nothing, the missing join does."""
    text = HEAD + '[drive.inputs]\nvoltage = "24 V"\ntype = 1\nsupply-minus = "0V"\n'
    text += RUN.replace('{ plus = "Y1+", minus = "Y1-" }', FED).replace("24.0", "0") + 'feed = "+24V"\n'
    (said,) = [one for one in found(text) if one.code == "O205"]
    assert "on the bench it is fed from +24V, whose supply has its minus at 0V" in said.reason
    assert "whether COM and 0V may be joined" in said.do and "saturation" not in said.do
    link = '[drive]\nlinks = [{ between = ["COM", "0V"] }]\n'
    assert "O205" not in codes(text.replace(HEAD, HEAD + link))
    assert "O205" not in codes(text.replace('supply-minus = "0V"', 'supply-minus = "COM"'))
