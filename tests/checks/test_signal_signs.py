"""The sign of a range, and what the loss of its signal means."""

from __future__ import annotations

from tests.checks.cases import RUN, Neighbour, codes, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A207": ('range  = "0-10 V"', 'range  = "+-10 V"'),
    "A208": ('gives = "0-10 V" }', 'gives = "+-10 V" }'),
    "A209": (
        "[speed]",
        '[[drive.settings]]\nnumber = "P1"\nmeaning = "x"\ntopic = "signal-loss"\nread = "1"\n[speed]',
    ),
}


def test_the_two_ends_of_a_live_zero_are_those_of_the_standard() -> None:
    """NAMUR NE 43: 3.6 mA and less is a failure; 3.6 mA in 500 ohm are 1.8 V (second hand, C)."""
    assert "below 3.6 mA" in reason("A209", tripping("A209"))
    assert "below 1.8 V" in reason("A209", tripping("A203").replace("signal-loss", "display"))


def test_a_run_reverse_makes_one_sign_enough() -> None:
    reverse = RUN.replace("forward", "reverse").replace("DI1", "DI2").replace("Y1", "Y2")
    assert "A208" not in codes(tripping("A208") + reverse)
