"""Checks of the controller's outputs: kind, state at start, ratings."""

from __future__ import annotations

import pytest

from tests.checks.cases import Neighbour, codes, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "O101": ('{ kind = "logic-level", signal = "P5", common = "GND" }', '{ plus = "Y1+", minus = "Y1-" }'),
    "O208": ('"ac"', '"dc"'),
    "O209": ('"pulses"', '"off"'),
    "O201": ('voltage = "24 V"', 'voltage = "24.3 V"'),
    "O202": ('voltage = "30 V"', 'voltage = "30.4 V"'),  # 1.25 x 24.3 = 30.375
    "O203": ('reverse = "7 V"', 'reverse = "24 V"'),
    "O204": ('current = "4 mA"', 'current = "5 mA"'),
    "O207": ('minimum = "10 mA"', 'minimum = "5 mA"'),
}


def test_what_all_outputs_do_counts_for_each() -> None:
    shared = tripping("O209").replace(', rest = "pulses"', "") + '\n[controller.outputs]\nrest = "floats"\n'
    assert "O209" in codes(shared)
    assert "O209" not in codes(shared.replace("floats", "off"))
    alternating = (
        tripping("O208").replace(', switches = "ac"', "") + '\n[controller.outputs]\nswitches = "ac"\n'
    )
    assert "O208" in codes(alternating)


def test_an_enable_that_is_surely_off_withholds_the_motor() -> None:
    enable = (
        '\n[enable]\ninput = "DI9"\ncommon = "COM"\noutput = { plus = "Y9+", minus = "Y9-", rest = "%s" }\n'
    )
    enable += "meter = 24.3\n"
    assert "O209" not in codes(tripping("O209") + enable % "off")
    assert "O209" in codes(tripping("O209") + enable % "floats")


def test_an_enable_by_hand_allows_any_state_at_start() -> None:
    by_hand = '\n[enable]\ninput  = "DI9"\ncommon = "COM"\nswitch = "S9"\nmeter  = 24.3\n'
    assert "O209" not in codes(tripping("O209") + by_hand)


@pytest.mark.parametrize(("code", "old", "new"), [("O202", '"30 V"', '"30.37 V"')])
def test_just_outside_the_bound(code: str, old: str, new: str) -> None:
    assert old in tripping(code)
    assert code in codes(tripping(code).replace(old, new))


def test_measured_current_decides_over_the_manuals() -> None:
    text = tripping("O204") + 'meter-current = "{} mA"\n'
    assert "O204" not in codes(text.replace("{}", "3.9"))
    assert "measured" in reason("O204", text.replace("{}", "4.1"))


def test_reverse_rating_by_default() -> None:
    """5 V, the least of five public data sheets (5, 6 and 7 V)."""
    text = tripping("O203").replace(', reverse = "7 V"', "").replace('"24 V"', '"{} V"')
    assert "default: the least of" in reason("O203", text.replace("{}", "5.1"))
    assert "O203" not in codes(text.replace("{}", "5"))


def test_what_a_reversed_output_does_is_said() -> None:
    """24 V less 5 V of breakdown leaves 19 V, above the 15 V at which every type is on; 12 V leaves 7 V."""
    text = tripping("O203").replace(', reverse = "7 V"', "")
    assert "may be on at once" in reason("O203", text)
    low = reason("O203", text.replace('"24 V"', '"9 V"'))
    assert "may be on at once" not in low  # 4 V are off for every type


def test_the_saturation_and_the_readings_are_enough() -> None:
    """What the meter showed stands in for [drive.inputs]: 24.3 V against a rating of 24 V."""
    assert "O201" in codes(tripping("O201"))
    deadly = tripping("O201").replace("24.3", "325")
    assert "O201" not in codes(deadly)  # P108: nobody buys an output for that


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
