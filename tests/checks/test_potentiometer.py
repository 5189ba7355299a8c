"""Checks of the potentiometer: its track and place, what it draws, how far it is out."""

from __future__ import annotations

import pytest

from doorsheet.circuit.reading_words import phrase
from doorsheet.electrics import solve
from doorsheet.mapping.reading import parse_mapping
from tests.checks.cases import HEAD, SPEED, Beside, Neighbour, codes, found, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A105": ('"logarithmic"', '"linear"'),
    "A106": ("4-20 mA", "0-10 V"),
    "A108": ('range  = "0-10 V"', 'supply = "+10V"'),
    "A101": ('value = "1 kohm"', 'value = "1.06 kohm"'),  # 9.434 + 0.5 = 9.934 mA
    "A102": ('value = "1.2 kohm"', 'value = "1.34 kohm"'),  # 7.463 + 0.5 = 7.963 mA
    "A103": ('power = "10 mW"', 'power = "20 mW"'),  # 10^2 / 5000
    "A104": ('value = "10 kohm"', 'value = "7.2 kohm"'),  # k = 0.36: 4.93 %
    "A107": ('"5 V"', '"9.1 V"'),  # within a tenth of 10 V,
}

BESIDE: tuple[Beside, ...] = (
    ("A106", {"4-20 mA": "2-10 V"}, "volts from 0 V up, and input AI1 is set to 2-10 V"),
    ("A106", {"4-20 mA": "+-10 V"}, None),
    ("A102", {'"1.2 kohm"': '"1.33 kohm"'}, ""),  # 7.519 + 0.5 mA, of 10 mA
    ("A104", {'"10 kohm"': '"7.5 kohm"'}, ""),  # k = 0.375: 5.12 %
    ("A104", {"20 kohm": "47 kohm"}, None),  # 3.01 % (C): usual
    ("A104", {"20 kohm": "100 kohm"}, None),  # 1.45 %
    ("A107", {'"5 V"': '"8.9 V"'}, ""),
    ("A107", {'"5 V"': '"11.1 V"'}, ""),
    # an input of unknown resistance is never counted at its least: 10 kohm draw 1 mA, 990 ohm 10.1 mA
    ("A101", {'resistance = "20 kohm"': 'limit = "12 V"', '"1 kohm"': '"2 kohm"'}, None),
    ("A101", {'resistance = "20 kohm"': 'limit = "12 V"', '"1 kohm"': '"990 ohm"'}, ""),
    # k = Rp/Rin into 10 kohm; exact worst errors of full scale, computed from x/(1 + k x (1-x)); the
    # first, 12.158511, and 6.672556 are below the bounds of a public text (rclab.de, 7.5 % for 0.5) (C, V)
    ("A104", {'"20 kohm"': '"10 kohm"'}, "up to 12.2 % of full scale"),
    ("A104", {'"10 kohm"': '"5 kohm"', '"20 kohm"': '"10 kohm"'}, "up to 6.67 % of full scale"),
    ("A104", {'"10 kohm"': '"20 kohm"', 'resistance = "20 kohm"': 'resistance = "10 kohm"'}, "up to 20.7 %"),
)


@pytest.mark.parametrize(
    ("volts", "taken", "words", "never"),
    [
        # no input can be set to end at 24 V or 12 V: the volts themselves must go
        ("24 V", "0-10 V", "take VREF off the potentiometer", ("set the input", "or scale it")),
        ("12 V", "0-10 V", "reference of 10 V", ("set the input", "or scale it")),
        ("10 V", "0-5 V", "set the input to a range that ends at 10 V", ("take VREF off", "scale it")),
        ("5 V", "0-10 V", "set the input to a range that ends at 5 V, or scale it", ("take VREF off",)),
        ("7 V", "0-10 V", "scale it in the drive", ("take VREF off", "set the input")),
    ],
)
def test_a_scale_keeps_no_volts_off_an_input(
    volts: str, taken: str, words: str, never: tuple[str, ...]
) -> None:
    text = tripping("A107").replace('"5 V"', f'"{volts}"').replace("0-10 V", taken)
    (do,) = {one.do for one in found(text) if one.code == "A107"}
    assert words in do and not any(other in do for other in never)


def test_a_dial_that_nobody_spoke_of_is_drawn_all_the_same() -> None:
    """The bench sheet has it on the input, so the range is to fit it; what feeds it is a question there."""
    text = HEAD + SPEED.replace('supply = "+10V"\n', "").replace('"0V"', '"0V", range = "4-20 mA"')
    assert "volts from 0 V up" in reason("A106", text + 'range = "4-20 mA"\n')
    assert "A108" not in codes(text + 'range = "4-20 mA"\n')
    volts = text.replace("4-20 mA", "0-10 V") + 'range = "0-10 V"\n'
    assert not codes(volts) & {"A106", "A108"}


def test_an_end_that_nothing_feeds_is_a_blank_on_the_sheet() -> None:
    """No reference is invented: the low end is 0 V whatever feeds it, the high end nobody knows."""
    read = parse_mapping(tripping("A108"), "m.toml")
    signal = solve(read, "bench").circuit.readings[0]
    assert phrase(signal) == "0 V low end, ______ V high end"


def test_reference_unknown_says_nothing() -> None:
    """An unknown limit is no finding but a question."""
    text = tripping("A101").replace('current = "10 mA"\n', "")
    assert not codes(text) & {"A101", "A102"}
    assert "what +10V may give" in reason("U101", text)


def test_the_burden_goes_in_only_after_the_potentiometer() -> None:
    """500 ohm across the input would draw 20 mA from the reference; they are fitted with the source."""
    text = (
        HEAD
        + """
[drive.reference]
voltage = "10 V"
current = "5 mA"
[drive.analog]
resistance = "100 kohm"
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
burden = "500 ohm"
potentiometer = "10 kohm"
source = { signal = "AO1", common = "0V", range = "0-20 mA", powered-by = "controller" }
"""
    )
    assert not [finding for finding in found(text) if finding.code.startswith("A1")]


def test_a_potentiometer_that_stays_is_set_for_good() -> None:
    """Nothing is "set back for the controller" where no controller commands the speed."""
    for code in ("A106", "A107"):
        stays = tripping(code)
        moves = stays.replace('"AI1"', '"AI1"\nsource = { signal = "AO1", common = "0V" }', 1)
        said = [next(one.do for one in found(text) if one.code == code) for text in (stays, moves)]
        assert ["controller" in one for one in said] == [False, True]
