"""What was read at the speed signal, against what the mapping makes of it."""

from __future__ import annotations

from tests.checks.cases import Beside, Neighbour, codes, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A701": ("24.1 V", "11.9 V"),
    "A702": ("24.1 V", "12 V"),
    "A703": ("-4.9 V", "4.9 V"),
    "A704": ("4.1 V", "9.1 V"),
    "A705": ("3.2 V", "0.4 V"),
    "A706": ("2.5 V", "4.85 V"),
}

BESIDE: tuple[Beside, ...] = (
    ("A701", "24.1 V", "12.1 V", ""),
    ("A701", "24.1 V", "-24.1 V", ""),
    ("A702", "24.1 V", "12.1 V", ""),
    ("A703", "-4.9 V", "-0.6 V", ""),
    ("A704", "4.1 V", "8.9 V", ""),
    ("A704", "4.1 V", "11.1 V", ""),
    ("A705", "3.2 V", "-0.6 V", ""),
    ("A705", '["COM", "AGND"]', '["COM", "X"]', None),  # nothing joins them
    ("A706", "2.5 V", "4.75 V", ""),
)


def test_a_signal_of_both_signs_may_be_negative() -> None:
    text = tripping("A703").replace('"0V" }', '"0V", range = "+-10 V" }').replace("0-10 V", "+-10 V")
    assert "A703" not in codes(text)


def test_at_full_reverse_a_negative_reading_is_what_the_command_gives() -> None:
    text = tripping("A706").replace('"0V" }', '"0V", range = "+-10 V" }').replace("0-10 V", "+-10 V")
    assert "A706" not in codes(text.replace("2.5 V, plugged at 50 %", "-9.95 V, plugged at -100 %"))
    assert "where AO1 gives −10 V" in reason(
        "A706", text.replace("2.5 V, plugged at 50 %", "9.9 V, plugged at -100 %")
    )


def test_milliamperes_of_a_loop_are_read_too() -> None:
    """Half of 4-20 mA are 12 mA; a reading of 8 mA is another signal's."""
    text = tripping("A706").replace('"0V" }', '"0V", range = "4-20 mA", compliance = "15 V" }')
    text = text.replace("0-10 V", "4-20 mA").replace("100 kohm", "250 ohm")
    line = "red on AI1, black on AGND: 2.5 V, plugged at 50 %"
    assert "where AO1 gives 12 mA" in reason(
        "A706", text.replace(line, "red on AI1, black on AGND: 8 mA, at 50 %")
    )
    assert "A706" not in codes(text.replace(line, "red on AI1, black on AGND: 12.1 mA, at 50 %"))
