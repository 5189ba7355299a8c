"""Checks of what starts, reports and stops the motor."""

from __future__ import annotations

from tests.checks.cases import Neighbour, codes, reason, tripping

STOP_KNOWN = """
[stop]
category = "0"
hardware = "contactor K9"
acts = "supply"
"""

NEIGHBOURS: dict[str, Neighbour] = {
    "F105": ('"closed"', '"open"'),
    "L104": ("[preset-speed-1]", "[run-forward]"),
    "X101": ("[run-forward]", STOP_KNOWN + "\n[run-forward]"),
    "X102": ('"none"', '"contactor K9"'),
    "X103": ('"forward"', '"stops"'),
    "X104": ('acts = "supply"', 'acts = "supply"\ndelay = "4 s"'),
}


def test_a_stop_by_a_control_of_the_controller_is_none() -> None:
    text = tripping("X102").replace('"none"', '"run forward"')
    assert "which the controller closes" in reason("X102", text)
    by_hand = text.replace('output = { plus = "Y1+", minus = "Y1-" }', 'switch = "S1"')
    assert "X102" not in codes(by_hand)


def test_an_interlock_keeps_the_directions_apart() -> None:
    assert "X103" not in codes(tripping("X103") + '\n[controller]\ninterlock = "relay K2 breaks"\n')


def test_nothing_written_is_asked_and_none_is_found() -> None:
    """An interlock that is "none" is none; nothing written at all is U101's question."""
    both = tripping("X103").replace('[drive]\nboth-directions = "forward"\n', "")
    assert "X103" not in codes(both)
    assert "X103" in codes(both + '\n[controller]\ninterlock = "None"\n')
    assert "X103" not in codes(
        both + '\n[drive]\nboth-directions = "stops"\n[controller]\ninterlock = "none"\n'
    )


def test_a_stop_in_the_run_loop_that_also_takes_the_supply_is_one() -> None:
    chained = tripping("X102").replace('"none"', '"S0"').replace("meter", 'chain = ["S0"]\nmeter')
    assert "opens nothing but that input" in reason("X102", chained)
    assert "X102" not in codes(chained.replace('"S0"\n', '"S0"\nacts = "supply"\n', 1))


def test_the_delay_of_category_one_covers_the_ramp() -> None:
    """Power goes after standstill (IEC 60204-1 9.2.2): 4 s of ramp ask for 4 s of delay, not for 3.9 s."""
    text = tripping("X104").replace('acts = "supply"', 'acts = "torque-off"\ndelay = "{} s"')
    text += '\n[speeds]\nramp-down = "4 s"\n'
    assert "X104" not in codes(text.replace("{}", "4"))
    assert "the ramp takes 4 s" in reason("X104", text.replace("{}", "3.9"))
    assert "X104" not in codes(tripping("X104").replace('"supply"', '"enable"'))
