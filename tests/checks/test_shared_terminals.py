"""Terminals: one job each, no more conductors than they hold."""

from __future__ import annotations

from tests.checks.cases import HEAD, RUN, SPEED, Neighbour, codes, reason, tripping
from tests.plants import TWO_PUMPS

NEIGHBOURS: dict[str, Neighbour] = {
    "T101": ('[run-reverse]\ninput  = "DI1"', '[run-reverse]\ninput  = "DI2"'),
    "T102": ('"Y1+", minus = "Y1-" }\nmeter  = 24.3\n\n', '"Y9+", minus = "Y1-" }\nmeter  = 24.3\n\n'),
    "T103": ('"DI3"\ncommon = "COM"', '"DI3"\ncommon = "CM3"'),
}


def test_one_analog_output_may_command_two_drives() -> None:
    one_output = TWO_PUMPS.replace("AO2", "AO1")
    assert "T102" not in codes(one_output)
    assert "T102" in codes(TWO_PUMPS.replace("OUT2+", "OUT1+"))


def test_a_terminal_made_for_three_holds_three() -> None:
    text = tripping("T103")
    assert "T103" not in codes(text + "\n[drive]\nconductors-per-terminal = 3\n")
    assert "given, line" in reason("T103", (HEAD + RUN + SPEED).replace(
        'common = "0V"', 'common = "Y1-"') + "\n[controller]\nconductors-per-terminal = 1\n")  # fmt: skip
