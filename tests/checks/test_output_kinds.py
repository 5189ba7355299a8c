"""Outputs by their kind and their state at start."""

from __future__ import annotations

from tests.checks.cases import Neighbour, codes, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "O101": ('{ kind = "logic-level", signal = "P5", common = "GND" }', '{ plus = "Y1+", minus = "Y1-" }'),
    "O208": ('"ac"', '"dc"'),
    "O209": ('"pulses"', '"off"'),
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
