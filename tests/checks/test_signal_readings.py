"""What was read at the speed signal, against what the mapping makes of it."""

from __future__ import annotations

import pytest

from doorsheet.checks.example import LOOP, driving
from tests.checks.cases import HEAD, Beside, Neighbour, codes, found, reason, tripping

NEIGHBOURS: dict[str, Neighbour] = {
    "A701": ("24.1 V", "11.9 V"),
    "A702": ("14.1 V", "12 V"),
    "A703": ("-4.9 V", "4.9 V"),
    "A704": ("4.1 V", "9.1 V"),
    "A705": ("3.2 V", "0.4 V"),
    "A706": ("2.5 V", "4.85 V"),
    "P112": ("3.2 V", "0.4 V"),
}

_BOTH = {'"0V" }': '"0V", range = "+-10 V" }', "0-10 V": "+-10 V"}
_LOOP = {
    '"0V" }': '"0V", range = "4-20 mA", compliance = "15 V" }',
    "0-10 V": "4-20 mA",
    "100 kohm": "250 ohm",
}

_LINKED = '\n[[drive.links]]\nbetween = ["COM", "AGND"]\nnote = "as the manual"\n'

_RUN = '\n[run-forward]\ninput = "DI1"\ncommon = "COM"\nmeter = 24.0\n'
_UNREAD = _RUN.replace("meter = 24.0\n", "")

BESIDE: tuple[Beside, ...] = (
    ("A701", {"24.1 V": "12.1 V"}, ""),
    ("A701", {"24.1 V": "-24.1 V"}, ""),
    ("A701", {'limit = "12 V"': "", "24.1 V": "20.1 V"}, "nobody wrote down"),  # twice its 10 V
    ("A701", {'limit = "12 V"': "", "24.1 V": "20 V"}, None),
    # a link has no resistance: against COM the signal reads what it reads against AGND
    ("A701", {"black on AGND": "black on COM", "": _LINKED}, "AI1 reads 24.1 V"),
    ("A701", {"red on AI1, black on AGND: 24.1": "red on COM, black on AI1: -24.1", "": _LINKED}, "24.1 V"),
    ("A701", {"black on AGND": "black on COM", "": _LINKED.replace('"AGND"', '"CM2"')}, None),
    ("A702", {"14.1 V": "12.1 V"}, ""),
    ("A702", {"14.1 V": "20.1 V"}, None),  # A701 stops for it
    # against a common that is known as minus: what its input gets is read against its own
    ("A702", {"black on AGND": "black on COM", "": _RUN}, "AI1 reads 14.1 V (measured, line 2) against COM"),
    ("A702", {"black on AGND": "black on COM", "14.1 V": "9.9 V", "": _RUN}, None),
    ("A702", {"black on AGND": "black on COM", "": _RUN.replace("24.0", "-24.0")}, None),  # it is plus
    ("A702", {"black on AGND": "black on COM", "": _RUN + _LINKED}, "against AGND"),
    # nobody has read yet which side of it is plus: it may be, and then the signal lies below it
    ("A702", {"black on AGND": "black on COM", "": _UNREAD}, "against COM"),
    ("A702", {"black on AGND": "black on COM", "14.1 V": "-14.1 V", "": _UNREAD}, None),
    ("A702", {"black on AGND": "black on COM", "14.1 V": "-30.1 V", "": _UNREAD}, ""),
    ("A702", {"black on AGND": "black on COM", "14.1 V": "9.9 V", "": _UNREAD}, None),
    ("A703", {"-4.9 V": "-0.6 V"}, ""),
    ("A704", {"4.1 V": "8.9 V"}, ""),
    ("A704", {"4.1 V": "11.1 V"}, ""),
    ("A705", {"3.2 V": "-0.6 V"}, ""),
    ("P112", {"3.2 V": "-0.6 V"}, "the link from COM to CM2 isn't there"),
    ("A705", {'["COM", "AGND"]': '["COM", "X"]'}, None),  # nothing joins them
    ("A706", {"2.5 V": "4.75 V"}, ""),
    ("A703", _BOTH, None),
    # at full reverse a negative reading is what the command gives
    ("A706", {**_BOTH, "2.5 V, plugged at 50 %": "-9.95 V, plugged at -100 %"}, None),
    ("A706", {**_BOTH, "2.5 V, plugged at 50 %": "9.9 V, plugged at -100 %"}, "where AO1 gives −10 V"),
    # half of 4-20 mA are 12 mA; a reading of 8 mA is another signal's
    ("A706", {**_LOOP, "2.5 V, plugged at 50 %": "8 mA, at 50 %"}, "where AO1 gives 12 mA"),
    ("A706", {**_LOOP, "2.5 V, plugged at 50 %": "12.1 mA, at 50 %"}, None),
)

DIALLED = (
    HEAD
    + """readings = [{}]
[drive.reference]
voltage = "10 V"
[drive.analog]
resistance = "20 kohm"
[speed]
signal = "AI1"
common = "AGND"
reference = "+10V"
range = "0-10 V"
potentiometer = "10 kohm"
source = {{ signal = "AO1", common = "0V", gives = "0-10 V" }}
"""
)


def test_a_reading_of_the_dial_is_not_held_against_the_source() -> None:
    """10 kohm in the middle on 20 kohm: 10 x 4/9 are 4.444 V (C); 4.1 V is neither that nor the 5 V."""
    free = '"red on AI1, black on AGND: 5 V, unplugged at 50 %", '
    for turned in ("red on AI1, black on AGND: {}", "red on AGND, black on AI1: -{}"):
        text = DIALLED.format(free + f'"{turned} V, plugged at 50 %"')
        assert not codes(text.replace("{}", "4.45")) & {"A706", "R107"}
        assert {"A706", "R107"} <= codes(text.replace("{}", "4.1"))
        bare = text.replace('reference = "+10V"\n', "").replace('potentiometer = "10 kohm"\n', "")
        assert {"A706", "R107"} <= codes(bare.replace("{}", "4.45"))


@pytest.mark.parametrize(("black", "asks"), [("COM", True), ("AGND", False)])
def test_over_another_common_the_signal_is_asked_for_over_its_own(black: str, asks: bool) -> None:
    text = HEAD + _RUN.replace("\n[", f'readings = ["red on AI1, black on {black}: 14.1 V"]\n[', 1)
    text += '[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "0-10 V"\n'
    (above,) = (one for one in found(text) if one.code == "A702")
    assert ("measure AI1 against AGND" in above.do) is asks
    assert ("take the wire off AI1" in above.do) is not asks


def test_unplugged_there_is_no_dial() -> None:
    assert "A706" in codes(DIALLED.format('"red on AI1, black on AGND: 4.45 V, unplugged at 50 %"'))


@pytest.mark.parametrize(
    ("volts", "likely"),
    [("4.1", "draws too much"), ("14", "another supply"), ("-10", "red lead on +10V, black on AGND")],
)
def test_an_overload_takes_volts_away_and_adds_none(volts: str, likely: str) -> None:
    """The reference gives 10 V by its label."""
    told = [one for one in found(tripping("A704").replace("4.1", volts)) if one.code == "A704"]
    words = ("draws too much", "another supply", "red lead on +10V, black on AGND")
    assert [[word for word in words if word in one.do] for one in told] == [[likely]]


@pytest.mark.parametrize(("other", "own"), [("9.1", "8.9"), ("10.9", "11.2"), ("10", "8.9")])
def test_no_nearer_reading_of_the_reference_hides_one_that_is_off(other: str, own: str) -> None:
    """10 V by its label, within 10 %: what else was read changes nothing, and what is right stays silent."""
    line = '"red on +10V, black on AGND: {} V"'.format
    text = tripping("A704")
    assert line("4.1") in text
    both = text.replace(line("4.1"), f"{line(other)}, {line(own)}")
    (told,) = [one for one in found(both) if one.code == "A704"]
    assert f"reads {own} V" in told.reason and "should give 10 V (default: its label" in told.reason
    assert "A704" not in codes(text.replace(line("4.1"), f"{line(other)}, {line('9.6')}"))


@pytest.mark.parametrize("code", ["A704", "A705"])
def test_a_reading_of_the_reference_or_of_joined_commons_is_told_once(code: str) -> None:
    """One cause, one finding: what does not fit the drawing is told as what it is."""
    own = {"A704", "A705", "P112", "R102", "R104", "R106"}
    assert own & codes(tripping(code)) == {code}


_IN_AMPS = (
    HEAD + '[drive.analog]\nresistance = "250 ohm"\nlimit = "30 mA"\n' + driving(LOOP, "4-20 mA")
)  # 30 mA over 250 ohm are 7.5 V; the potentiometer of its reference gives 10 V to an input set to volts


@pytest.mark.parametrize(
    ("read", "said"),
    [
        ("red on AO1, black on AI1: 96 mA, plugged at 50 %", "AI1 gets 96 mA"),
        ("red on AO1, black on AI1: -30.1 mA, plugged at 50 %", "can take 30 mA"),
        ("red on AO1, black on AI1: 29.9 mA, plugged at 50 %", ""),
        ("red on AO1, black on AI1: 96 mA, unplugged at 50 %", ""),  # it goes through the meter alone
        ("red on AI1, black on AGND: 12 V, plugged at 50 %", "over 250 ohm (given, line 4) is 48 mA"),
        ("red on AI1, black on AGND: 9.9 V, plugged at 100 %", ""),
        ("red on AI1, black on AGND: 12 V, unplugged at 50 %", ""),
    ],
)
def test_more_milliamperes_than_the_input_can_take(read: str, said: str) -> None:
    text = f'readings = ["{read}"]\n' + _IN_AMPS
    assert ("A701" in codes(text)) is bool(said)
    assert not said or said in reason("A701", text)
    assert not said or not codes(text) & {"A702", "A706"}  # nobody is sent to measure there
    in_volts = text.replace(
        'limit = "30 mA"', 'limit = "24 V"'
    )  # of a limit in volts nobody knows its amperes
    assert "A701" not in codes(in_volts)


@pytest.mark.parametrize(
    ("when", "wires", "told"),
    [
        ("10:00", "AO1", True),
        ("08:00", "AO1", False),  # the bench's potentiometer, for which the input is set to volts
        ("10:00", "RV1:2", False),
        ("", "AO1", False),
    ],
)
def test_after_the_source_is_on_it_no_potentiometer_gives_the_volts(
    when: str, wires: str, told: bool
) -> None:
    """9 V over 250 ohm are 36 mA (Ohm's law); 7.4 V are 29.6 mA, which it can take."""
    date = f", 2026-11-28 {when}" if when else ""
    text = f'readings = ["red on AI1, black on AGND: 9 V, plugged{date}"]\n' + _IN_AMPS
    text += f'\n[[done]]\nwhat = "move:speed"\nwhen = 2026-11-28T09:00:00\nwires = ["speed: AI1 – {wires}"]\n'
    assert ("A701" in codes(text)) is told
    assert "A701" not in codes(text.replace(": 9 V", ": 7.4 V"))
