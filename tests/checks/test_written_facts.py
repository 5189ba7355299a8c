"""Checks of what is written: figures that can't all be true, and what is not there."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import (
    FED,
    HEAD,
    REVERSE,
    RUN,
    SPEED,
    Beside,
    Neighbour,
    codes,
    found,
    reason,
    tripping,
)
from tests.judges.tools import python

ALL_KNOWN = """
[drive]
isolated = "yes"
manual = "Manual 12, edition 3"
discharge = "5 min"

[drive.inputs]
type = 3
earthed = "no"
current = "5 mA"

[controller.outputs]
voltage = "60 V"
current = "100 mA"
leakage = "0.1 mA"
rest = "off"
"""

NEIGHBOURS: dict[str, Neighbour] = {
    "F110": ('gives = "4-20 mA"', 'gives = "0-10 V"'),
    "F106": ('off = "12 V"', 'off = "7.9 V"'),
    "F107": ('read    = "hold"', 'read    = "Stop"'),
    "F108": ('ramp-up = "4 s"', 'ramp-up = "12 s"'),
    "U101": ("[run-forward]", ALL_KNOWN + "\n[run-forward]"),
}

_LABELLED = SPEED.replace("+10V", "{}").replace("{ signal", "{{ signal").replace("}\n", "}}\n") + (
    '[drive.reference]\nvoltage = "{}"\n'
)

_LOOPED = """
[speed]
signal = "AI1"
common = "AGND"
source = {{ plus = "AO1+", signal = "AO1-", feed = "{}", gives = "4-20 mA", powered-by = "drive" }}
"""
_CONVERTED = """
[speed]
signal = "AI1"
common = "AGND"
[speed.source]
kind = "pulse"
signal = "P1"
common = "0V"
[speed.source.converter]
input = "IN"
output = "OUT"
supply-from = "{}"
supply-voltage = "24 V"
"""

RANGED = SPEED.replace("source", 'range = "0-10 V"\nsource')
_RANGE = {'"ramp-up"': '"signal-range"', '"12 s"': '"4-20 mA"'}
_LOOP = RANGED.replace("0-10 V", "4-20 mA")

BESIDE: tuple[Beside, ...] = (
    ("F106", {"": _LABELLED.format("+24V", "10 V")}, "reference supply 10 V"),
    ("F106", {'on = "8 V"': 'voltage = "24 V"', '"COM"': '"COM"\nfeed = "+12V"'}, "its label +12V"),
    ("F106", {'on = "8 V"\noff = "12 V"': 'voltage = "24 V"\nbears = "20 V"'}, "bears what feeds it"),
    ("F106", {'on = "8 V"\noff = "12 V"': 'voltage = "24 V"\nbears = "24 V"'}, None),
    (
        "F110",
        {', gives = "4-20 mA"': "", '"0-10 V"': '"0-5 V"'},
        "0-5 V for Left, and 0-10 V (default) for Right",
    ),
    ("F110", {'"AO1", common = "0V", gives = "4': '"AO2", common = "0V", gives = "4'}, None),
    ("F106", {'on = "8 V"': "", "": _LABELLED.format("+10V", "11 V")}, None),
    ("F106", {'on = "8 V"': "", "": _LABELLED.format("VREF", "5 V")}, None),
    ("F106", {'on = "8 V"': 'voltage = "24 V"', "": _LOOPED.format("+10V")}, "its label +10V"),
    ("F106", {'on = "8 V"': 'voltage = "24 V"', "": _LOOPED.format("+24V")}, None),
    ("F106", {'on = "8 V"': "", "": _CONVERTED.format("+10V")}, "supply of the converter 24 V (given"),
    ("F106", {'on = "8 V"': "", "": _CONVERTED.format("+24V")}, None),
    ("F106", {'on = "8 V"': 'voltage = "24 V"', '"COM"': '"COM"\nfeed = "+24V"'}, None),
    ("F107", {'"stop"': '"50 Hz"', '"hold"': '"50.0"'}, None),  # a display may leave the unit out
    ("F107", {'"stop"': '"50 Hz"', '"hold"': '"40"'}, "was set to 50 Hz"),
    ("F107", {'"stop"': '"50 Hz"', '"hold"': '"50.0 Hz"'}, None),
    ("F107", {'"stop"': '"4 s"', '"hold"': '"4000 ms"'}, None),
    ("F107", {'"stop"': '"1"', '"hold"': '"0"'}, "reads 0"),
    ("F107", {'"stop"': '"1"', '"hold"': '"01"'}, None),
    ("F107", {'"stop"': '"4-20 mA"', '"hold"': '"4-20mA"'}, None),
    ("F107", {'set     = "stop"\n': ""}, None),  # nobody set it
    ("F108", {'"12 s"': '"3..5 s"'}, None),
    ("F108", {**_RANGE, "": RANGED}, "is set to 4-20 mA"),
    ("F108", {**_RANGE, '"12 s"': '"0 – 10V"', "": RANGED}, None),
    (
        "F108",
        {**_RANGE, '"12 s"': '"1"', "": RANGED},
        None,
    ),  # what a display's numbers mean is for its manual
    # a potentiometer on the bench gives volts, whatever feeds it and the input is set to in the end
    ("F108", {**_RANGE, '"12 s"': '"0-10 V"', "": _LOOP}, None),
    ("F108", {**_RANGE, '"12 s"': '"0-10 V"', "": _LOOP.replace('supply = "+10V"', "")}, None),
    ("F108", {**_RANGE, '"12 s"': '"2-10 V"', "": _LOOP.replace('supply = "+10V"', "")}, "is set to 2-10 V"),
    ("F108", {'"12 s"': '"2 s"'}, "is set to 2 s"),
    ("F108", {'"12 s"': '"12"'}, "is set to 12"),
    ("F108", {'"12 s"': '"4.0"'}, None),
    ("F108", {'"12 s"': '"40"'}, None),  # a display may count tenths of a second
    ("F108", {'"12 s"': '"fast"'}, None),
    (
        "F108",
        {'topic   = "ramp-up"\n': "", "what follows when the signal is lost": "Ramp up"},
        "is set to 12 s",
    ),
    ("F108", {'"12 s"': '"12 s"\nread = "4.0 s"'}, None),  # F107 says that it didn't stay
    ("F108", {'"12 s"': '"4 s"\nread = "12.0 s"'}, "reads 12.0 s"),
)


@pytest.mark.parametrize(
    ("topic", "value", "given", "bad"),
    [
        ("ramp-down", "9 s", '[speeds]\nramp-down = "4 s"', True),
        ("ramp-down", "9 s", '[speeds]\nramp-up = "4 s"', False),
        ("rated-frequency", "400 Hz", '[motor]\nfrequency = "50 Hz"', True),
        ("rated-frequency", "0.4 kHz", '[motor]\nfrequency = "400 Hz"', False),
        ("rated-speed", "1420 rpm", '[motor]\nspeed = "2850 rpm"', True),
        ("maximum-frequency", "100 Hz", '[motor]\nmax-frequency = "50 Hz"', True),
        ("maximum-frequency", "20 Hz", '[motor]\nmax-frequency = "50 Hz"', False),  # for the first runs
        ("rated-frequency", "50", '[motor]\nfrequency = "400 Hz"', True),
        ("rated-frequency", "50", '[motor]\nfrequency = "500 Hz"', True),
        ("rated-frequency", "5000", '[motor]\nfrequency = "50 Hz"', False),  # in hundredths
        ("maximum-frequency", "60", '[motor]\nmax-frequency = "50 Hz"', True),
        ("rated-current", "4 A", '[motor]\nfrequency = "50 Hz"', False),
    ],
)
def test_settings_against_what_the_mapping_gives(topic: str, value: str, given: str, bad: bool) -> None:
    text = tripping("F108").replace('topic   = "ramp-up"', f'topic = "{topic}"').replace("12 s", value)
    text = text.replace('[speeds]\nramp-up = "4 s"', given)
    assert [one.code for one in found(text) if one.code == "F108"] == ["F108"] * bad


def test_a_setting_of_the_controller_is_read_back_too() -> None:
    text = HEAD + RUN + '[[controller.settings]]\nname = "wait"\nset = "5 s"\nread = "2 s"\n'
    assert "the controller's wait was set to 5 s" in reason("F107", text)
    assert "F107" not in codes(text.replace("2 s", "5.0 s"))


def asked(text: str) -> str:
    return " ".join(finding.reason for finding in found(text) if finding.code == "U101")


def test_earth_is_asked_for_where_it_decides() -> None:
    """A switch to the common: a wire on earth is a closed one where the common is earthed."""
    assert "whether COM is earthed" in asked(tripping("U101"))
    assert "earthed" not in asked(tripping("U101") + '\n[drive.inputs]\nearthed = "no"\n')
    plus = RUN.replace('{ plus = "Y1+", minus = "Y1-" }', FED).replace("24.0", "0")
    assert "earthed" not in asked(HEAD + plus)  # earth on a fed wire takes plus away: method a)


def test_earth_is_asked_for_of_both_ends_of_a_touch() -> None:
    """A wire at DI1 on the fault contact's 0 V is closed where the controller's 0 V and COM are on earth."""
    fault = 'terminals = ["RA", "RC"]\nnormally = "open"\ninput = { signal = "IN1", common = "0V" }\n'
    text = (
        f'{tripping("U101")}\n[fault]\n{fault}[controller]\nearthed = "unknown"\n[drive.inputs]\nearthed = '
    )
    both = asked(f'{text}"unknown"\n')
    assert "whether COM is earthed" in both and "whether the controller's 0 V is earthed" in both
    own = asked(f'{text}"yes"\n')
    assert "COM is earthed" not in own and "whether the controller's 0 V is earthed" in own
    assert "earthed" not in asked(f'{text}"no"\n')


def test_a_current_that_was_measured_is_not_asked_for() -> None:
    question = "current of a closed input"
    assert question in asked(HEAD + RUN)
    assert question not in asked(HEAD + RUN + 'meter-current = "4.9 mA"\n')


def test_a_resistance_of_the_other_setting_is_no_answer() -> None:
    loop = SPEED.replace('common = "0V"', 'common = "0V", range = "4-20 mA"') + 'range = "4-20 mA"\n'
    text = HEAD + '[drive.analog]\nresistance = "22 kohm"\n' + loop
    assert "resistance of AI1 while it is set to milliamperes: 22 kohm can't be that" in asked(text)
    assert "resistance of AI1" not in asked(text.replace("22 kohm", "250 ohm"))
    assert "to volts: 250 ohm can't be that" in asked(
        text.replace("22 kohm", "250 ohm").replace("4-20 mA", "0-10 V")
    )


def test_where_the_minus_of_a_feed_is_joined_is_asked() -> None:
    by_hand = RUN.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"\nfeed = "+24V"').replace(
        "24.0", "0"
    )
    question = "whether COM is joined to the minus of the supply at +24V"
    assert question in asked(HEAD + by_hand)
    assert question not in asked(HEAD + by_hand + '\n[drive.inputs]\nsupply-minus = "COM"\n')


def test_what_preset_inputs_give_together_is_asked() -> None:
    """Each alone, or all as a binary number: that is for the drive's manual."""
    preset = '\n[preset-speed-1]\ninput = "DI7"\ncommon = "COM"\n'
    said = "none of DI7 closed, and with several"
    assert said in asked(tripping("U101") + preset) and said not in asked(tripping("U101"))
    given = f'{preset}[drive]\npresets = "together a binary number"\n'
    assert "closed, and with several" not in asked(tripping("U101") + given)


def test_two_conductors_are_a_question_and_three_a_caution() -> None:
    question = "whether the drive's terminals take two conductors"
    assert question in asked(HEAD + RUN + REVERSE)
    assert question not in asked(HEAD + RUN + REVERSE + "\n[drive]\nconductors-per-terminal = 2\n")
    assert question not in asked(HEAD + '\n[controller]\nreturns = "looped"\n' + RUN + REVERSE)


def test_what_outputs_do_at_start_is_asked() -> None:
    assert "what the outputs of run forward do while the controller starts" in asked(tripping("U101"))
    assert "while the controller starts" not in asked(
        tripping("U101") + '\n[controller.outputs]\nrest = "off"\n'
    )


@pytest.mark.parametrize(("label", "tries"), [("L1", False), ("+24V", False), ("DI1", True)])
def test_nobody_is_sent_to_try_what_is_no_input(label: str, tries: bool) -> None:
    """What must be known is asked all the same: of the manual alone."""
    text = HEAD + (RUN + REVERSE).replace('"DI1"', f'"{label}"')
    (asks,) = {one.do for one in found(text) if one.code == "U101"}
    assert f"with {label} and DI2 both closed" in asked(text)
    assert "while the controller starts" in asked(text)
    assert ("a test with the motor uncoupled" in asks) is tries
    assert ("through three starts" in asks) is tries


HOIST = Path(__file__).parent / "planted" / "hoist.toml"
SCRIPT = "from tests.checks.test_written_facts import unknown; print(unknown())"


def unknown() -> str:
    text = HOIST.read_text(encoding="utf-8")
    return "; ".join(one.what for finding in found(text) for one in finding.unknowns)


def test_what_is_unknown_stands_in_the_same_order_in_every_process() -> None:
    """Two commons and two zeros of a controller, of which nobody says whether they are earthed."""
    here = unknown()
    assert here.count("earthed") >= 4
    assert {python(SCRIPT, PYTHONHASHSEED=seed) for seed in "12"} == {here}


@pytest.mark.parametrize(
    ("was_set", "read", "agree"),
    [
        ("1 420 rpm", "1420", True),
        ("coast", "Coast (1)", True),
        ("terminals (1)", "1", True),
        ("5 s", "5 sec", True),
        ("\N{MINUS SIGN}10", "-10", True),
        ("1,5 kW", "1500 W", True),
        ("coast (1)", "ramp (0)", False),
        ("1.5 kW", "1.4 kW", False),
        ("4 kHz", "4 Hz", False),
    ],
)
def test_a_value_is_the_same_in_other_words(was_set: str, read: str, agree: bool) -> None:
    setting = f'[[drive.settings]]\nnumber = "P1"\nmeaning = "x"\nset = "{was_set}"\nread = "{read}"\n'
    assert ("F107" not in codes(HEAD + RUN + setting)) is agree
