"""Checks of terminals: one job each, no more conductors than they hold, labels as printed."""

from __future__ import annotations

import pytest

import doorsheet
from doorsheet.circuit import Stage
from doorsheet.logbook.pasted import Listed, is_power
from tests.checks.cases import HEAD, REVERSE, RUN, SPEED, Beside, Neighbour, codes, found, reason, tripping
from tests.plants import TWO_PUMPS

NEIGHBOURS: dict[str, Neighbour] = {
    "T101": ('[run-reverse]\ninput  = "DI1"', '[run-reverse]\ninput  = "DI2"'),
    "T102": ('"Y1+", minus = "Y1-" }\nmeter  = 24.3\n\n', '"Y9+", minus = "Y1-" }\nmeter  = 24.3\n\n'),
    "T103": ('"DI3"\ncommon = "COM"', '"DI3"\ncommon = "CM3"'),
    "T104": ('"Com"', '"COM"'),
    "T107": ('mains = ["DI1"]', 'mains = ["L1"]'),
    "T108": ('"+24V"', '"DI1"'),
    "T106": ('minus = "Y1"', 'minus = "Y2"'),
    "T105": ('plus = "Y1-", minus = "Y1+"', 'plus = "Y1+", minus = "Y1-"'),
}

_PAIR = 'plus = "Y1-", minus = "Y1+"'
_PASSIVE = SPEED.replace('"AGND"', '"+24V"').replace('"0V"', '"0V", gives = "4-20 mA", powered-by = "drive"')
_BRIDGED = '\n[controller]\nlinks = [{ between = ["{}", "T+"] }]\n' + SPEED.replace('"AO1"', '"T-"')
_WHOLE = 'plus = "Y1+", minus = "Y1-"'
_OPEN = 'kind = "open-collector", signal = "{}", common = "{}"'
_READ = 'readings = ["red on {}, black on {}: 24 V"]\nmachine'
_PLUS = 'kind = "open-collector", signal = "Q1", joins = "plus", common = '

BESIDE: tuple[Beside, ...] = (
    ("T103", {"": "\n[drive]\nconductors-per-terminal = 3\n"}, None),
    # the common of a transistor's output is its 0 V, whichever side it joins to
    ("T105", {_PAIR: f'{_PLUS}"+24V"'}, "controller's 0 V, and by its label it is a supply"),
    ("T105", {_PAIR: f'{_PLUS}"P24"'.replace('joins = "plus", ', "")}, "by its label it is a supply"),
    ("T105", {_PAIR: f'{_PLUS}"0V"'}, None),
    ("T105", {_PAIR: f'{_PLUS}"M"'}, None),
    # by their labels: both ends of the analog pair, at the drive and at the controller; commons exchanged
    ("T105", {"": SPEED.replace('"AI1"', '"AGND"')}, "AGND is named as the speed signal, and"),
    ("T105", {"": SPEED.replace('"AGND"', '"AI2"')}, "AI2 is named as the speed common, and"),
    ("T105", {"": SPEED.replace('"+10V"', '"AI2"')}, "AI2 is named as the reference supply, and"),
    ("T105", {"": SPEED.replace('"AO1"', '"0V"')}, "0V is named as the source's signal, and"),
    ("T105", {"": SPEED.replace('"0V"', '"AO2"')}, "AO2 is named as the source's common, and"),
    ("T105", {'"COM"': '"AGND"', "": SPEED.replace('"AGND"', '"COM"')}, "AGND as a switch common"),
    ("T105", {_PAIR: f'{_PLUS}"M"', "": SPEED}, None),
    ("T105", {_PAIR: f'{_PLUS}"M"', "": SPEED.replace('"AGND"', '"COM"')}, None),  # one common for all
    ("T105", {_PAIR: f'{_PLUS}"M"', '"COM"': '"AGND"', "": SPEED}, None),
    # an open collector's sides, an input's and its common's, the analog pair by other usual names
    (
        "T105",
        {_PAIR: _OPEN.format("0V", "DO1")},
        '"0V" is named as the signal side and "DO1" is named as the',
    ),
    ("T105", {_PAIR: _OPEN.format("DO1", "0V")}, None),
    ("T105", {_PAIR: _OPEN.format("DO1", "0V"), '"DI1"': '"COMMON"'}, "COMMON is named as the switch input"),
    ("T105", {_PAIR: _OPEN.format("DO1", "0V"), '"COM"': '"FWD"'}, "FWD is named as the switch common"),
    ("T105", {_PAIR: _OPEN.format("DO1", "0V"), '"DI1"': '"FWD"', '"COM"': '"COMMON"'}, None),
    (
        "T105",
        {"": SPEED.replace('"AI1"', '"ACOM"').replace('"AGND"', "'X'")},
        "ACOM is named as the speed signal",
    ),
    ("T105", {"": SPEED.replace('"AGND"', '"AVI"')}, "AVI is named as the speed common"),
    ("T105", {_PAIR: _WHOLE, "": SPEED.replace('"AI1"', '"AVI"').replace('"AGND"', '"ACOM"')}, None),
    # halves of two channels; a return that several outputs share is that of a whole channel
    ("T105", {_PAIR: _WHOLE.replace("Y1-", "Y2-")}, "has Y1+ and Y2-, halves of two channels"),
    ("T105", {_PAIR: _WHOLE.replace("Y1-", "Y2-"), "": REVERSE.replace("Y2-", "Y1-")}, "has Y2+ and Y1-"),
    ("T105", {_PAIR: _WHOLE, "": REVERSE.replace("Y2-", "Y1-")}, None),
    ("T105", {_PAIR: _WHOLE.replace("Y1-", "Y-")}, None),
    ("T105", {_PAIR: _WHOLE.replace("Y1-", "M2-")}, None),
    # the signs of the analog pair; where the controller's supply feeds the output, its minus is the signal
    (
        "T105",
        {"": SPEED.replace('"AO1"', '"AO1-"').replace('"0V"', '"AO1+"')},
        "AO1- is named as the source's",
    ),
    (
        "T105",
        {"": SPEED.replace('"AI1"', '"AI1-"').replace('"AGND"', '"AI1+"')},
        "AI1+ is named as the speed c",
    ),
    ("T105", {_PAIR: f'{_PLUS}"M"', "": SPEED.replace('"AO1"', '"AO1+"').replace('"0V"', '"AO1-"')}, None),
    ("T105", {_PAIR: f'{_PLUS}"M"', "": SPEED.replace('"AI1"', '"AI1+"').replace('"AGND"', '"AI1-"')}, None),
    ("T105", {_PAIR: f'{_PLUS}"M"', "": _BRIDGED.replace("{}", "+24V")}, None),
    ("T105", {_PAIR: f'{_PLUS}"M"', "": _BRIDGED.replace("{}", "T9")}, "T- is named as the source's signal"),
    ("T107", {'mains = ["DI1"]': '"not used" = ["COM"]'}, "left out as not used"),
    (
        "T107",
        {'mains = ["DI1"]': 'mains = ["L"]', "machine": _READ.format("L", "COM")},
        "reading was",
    ),
    (
        "T107",
        {'mains = ["DI1"]': 'spare = ["U"]', "machine": _READ.format("U", "COM")},
        "reading was",
    ),
    ("T107", {'mains = ["DI1"]': 'spare = ["X"]', "machine": _READ.format("X", "COM")}, None),
    ("T107", {'mains = ["DI1"]': 'earth = ["PE"]', "machine": _READ.format("DI1", "PE")}, None),
    (
        "T108",
        {"": SPEED.replace('"AI1"', '"+10V"').replace('"supply"', "x")},
        "+10V is named as the speed signal",
    ),
    ("T108", {'"+24V"': '"DI1"', "": SPEED.replace('"AGND"', '"+10V"')}, "the speed common"),
    ("T108", {'"+24V"': '"L+"'}, "gives a supply's voltage"),
    ("T108", {'"+24V"': '"VDD"'}, "gives a supply's voltage"),
    (
        "T108",
        {'"+24V"': '"DI1"', "": SPEED.replace('"AO1"', '"+24V"')},
        "controller terminal +24V is named as",
    ),
    ("T108", {'"+24V"': '"DI1"', "": SPEED.replace('"AO1"', '"+10V"')}, "the source's signal"),
    ("T108", {'"+24V"': '"DI1"', "": SPEED}, None),
    ("T108", {'"+24V"': '"DI1"', 'common = "COM"': 'common = "+24V"'}, None),  # the inputs' plus
    # nor where the drive powers the loop: output turned round or not, the bench's wiper would bring 24 V
    ("T108", {'"+24V"': '"DI1"', "": _PASSIVE}, "the speed common"),
    ("T108", {'"+24V"': '"DI1"', "": _PASSIVE.replace('"drive"', '"controller"')}, "the speed common"),
    ("T108", {'"+24V"': '"DI1"', "": SPEED.replace('"0V"', '"+24V"')}, "the source's common"),
    ("T108", {'"+24V"': '"DI1"', "": _BRIDGED.replace("{}", "+24V")}, None),
)


def test_a_supply_joined_to_its_minus_is_no_question_of_noise() -> None:
    """The 0 V of the outputs leads to COM and to +24V: a dead short, not a little noise."""
    text = HEAD + RUN.replace('plus = "Y1+", minus = "Y1-"', f'{_PLUS}"0V"'.replace("plus", "minus"))
    assert "N102" in codes(text + SPEED) and "T108" not in codes(text + SPEED)
    assert "N102" not in codes(text + _PASSIVE) and "T108" in codes(text + _PASSIVE)


# L1 L2 L3 N PE U W: IEC 60445; the others, and which are both, are common practice, no source
_POWER = "L1 L2 L3 N PE U W U1 P+ N- P/+ N(-) PA/+ PC/- DC+ DC- B+ PB BR"
_EITHER = "S R T L V V1 P P- P1 N1 T1 FWD P24 PLC +10V 10V 24V B1 X1:L1"
POWER, EITHER = (labels.split() for labels in (_POWER, _EITHER))


@pytest.mark.parametrize("label", ["DI1", "COM", "AI1", "AGND", "RA"])
def test_power_labels_are_no_control_terminals_for_check_nor_interview(label: str) -> None:
    """Each of them in any place of the drive's stops and sends nobody there; what is both stays silent."""
    unread = RUN.replace("meter  = 24.0\n", "")
    fault = '\n[fault]\nterminals = ["RA", "RC"]\ninput = { signal = "IN1", common = "0V" }\n'
    for power in (*POWER, *EITHER):
        said = found((HEAD + unread + SPEED + fault).replace(f'"{label}"', f'"{power}"'))
        assert ("T107" in {one.code for one in said}) is (power in POWER)
        assert is_power(Listed(power), "enable.input") is (power in POWER)
        if power in POWER:
            wheres = [one.where for finding in said for one in finding.unknowns if power in one.what.split()]
            sent = [where for where in wheres if "ohms" in where or "lead" in where]
            assert not sent and ("P101" not in {one.code for one in said} or label not in unread)


@pytest.mark.parametrize(("code", "label"), [("A102", "+10V"), ("N106", "COM"), ("P101", "DI1")])
def test_no_other_finding_sends_a_lead_to_a_power_terminal(code: str, label: str) -> None:
    text = tripping(code)
    assert {"T107", code} & codes(text) == {code}
    assert {"T107", code} & codes(text.replace(f'"{label}"', '"PB"')) == {"T107"}


def test_one_analog_output_may_command_two_drives() -> None:
    one_output = TWO_PUMPS.replace("AO2", "AO1")
    assert "T102" not in codes(one_output)
    assert "T102" in codes(TWO_PUMPS.replace("OUT2+", "OUT1+"))


def test_one_terminal_may_give_plus_to_a_bench_switch_and_to_a_contact() -> None:
    """The drive's +24 V feeds a switch while the bench stands, and is the other side of a relay contact."""
    fed = HEAD + RUN.replace('common = "COM"', 'common = "COM"\nfeed = "P24"')
    relay = 'kind = "contact", terminals = ["13", "14"]'
    contact = f'\n[enable]\ninput = "DI5"\ncommon = "P24"\noutput = {{ {relay} }}\n'
    assert "T101" not in codes(fed + contact)
    assert "T101" in codes(fed + contact.replace(relay, 'plus = "Y5+"'))
    assert "T101" in codes(fed.replace("P24", "COM"))
    hand = contact.replace(f"output = {{ {relay} }}", 'switch = "S5"')
    assert "T101" in codes(fed + hand) and "T101" not in codes(fed + hand + "meter = -24.1\n")


def test_what_a_terminal_is_made_for_is_said() -> None:
    assert "given, line" in reason("T103", (HEAD + RUN + SPEED).replace(
        'common = "0V"', 'common = "Y1-"') + "\n[controller]\nconductors-per-terminal = 1\n")  # fmt: skip


@pytest.mark.parametrize(
    ("returns", "device"), [("own", "drive"), ("looped", "controller"), ("own", "controller")]
)
def test_a_loop_is_advised_where_one_would_help(returns: str, device: str) -> None:
    """The returns of the drive's common can go from output to output, unless they do; no others can."""
    tables = {"drive": "", "controller": f'returns = "{returns}"\n'}
    tables[device] += "conductors-per-terminal = 1\n"
    text = HEAD + "".join(f"[{name}]\n{lines}" for name, lines in tables.items()) + RUN + REVERSE
    advice = {one.do for one in found(text + SPEED.replace("0V", "Y1-")) if one.code == "T103"}
    assert advice and {"looped" in do for do in advice} == {device == "drive"}


ALIKE = {
    "script": ('"COM"', '"CO\N{CYRILLIC CAPITAL LETTER EM}"'),
    "zero": ('"COM"', '"C0M"'),
    "case": ('"COM"', '"Com"'),
    "blank": ('"COM"', '"C OM"'),
}


@pytest.mark.parametrize("old, new", ALIKE.values(), ids=ALIKE)
def test_labels_that_look_alike_are_named_both(old: str, new: str) -> None:
    said = reason("T104", HEAD + RUN + REVERSE.replace(old, new))
    assert old in said and new in said


def test_an_input_that_looks_like_another_is_found() -> None:
    twin = REVERSE.replace("DI2", "D\N{CYRILLIC CAPITAL LETTER BYELORUSSIAN-UKRAINIAN I}1")
    assert "T101" not in codes(HEAD + RUN + twin)
    assert "U+0406" in reason("T104", HEAD + RUN + twin)


@pytest.mark.parametrize("blank", ["  ", "\N{NO-BREAK SPACE}", "\N{THIN SPACE} "])
def test_a_blank_is_a_blank(blank: str) -> None:
    """What looks the same is one terminal: the second use of an input stops."""
    text = HEAD + RUN.replace("DI1", "DI 1") + REVERSE.replace("DI2", f"DI{blank}1")
    assert "T101" in codes(text) and "T104" not in codes(text)


def test_labels_of_the_controller_are_compared_over_all_drives() -> None:
    other = TWO_PUMPS.replace('"OUT2+"', '"0UT1+"')
    assert other != TWO_PUMPS
    (said,) = {(f.drive, f.reason) for f in found(other) if f.code == "T104"}
    assert said[0] == "pump-2" and '"OUT1+" and "0UT1+"' in said[1]


LOOP = (
    RUN + 'chain = [{ name = "K1", terminals = ["13", "14"] }, { name = "K1", terminals = ["23", "24"] }]\n'
)
PULSED = SPEED.replace(
    'signal = "AO1"',
    'kind = "pulse", converter = { input = "IN", input-common = "C", output = "OUT", output-common = "C" },'
    ' signal = "AO1"',
)
TWICE = {
    "output": RUN.replace('"Y1-"', '"Y1+"'),
    "contact": RUN.replace('plus = "Y1+", minus = "Y1-"', 'kind = "contact", terminals = ["1", "1"]'),
    "open-collector": RUN.replace(
        'plus = "Y1+", minus = "Y1-"', 'kind = "open-collector", signal = "1", common = "1"'
    ),
    "logic": RUN.replace('plus = "Y1+", minus = "Y1-"', 'kind = "logic-level", signal = "1", common = "1"'),
    "switch": RUN + 'switch = { name = "S1", terminals = ["1", "1"] }\n',
    "source": SPEED.replace('"0V"', '"AO1"'),
    "potentiometer": SPEED + 'potentiometer = { terminals = ["1", "1", "3"] }\n',
    "whole potentiometer": SPEED + 'potentiometer = { terminals = ["1", "1", "1"] }\n',
    "drive's contact": RUN + '[fault]\nterminals = ["RA", "RA"]\ninput = { signal = "IN1" }\n',
    "controller's input": RUN
    + '[fault]\nterminals = ["RA", "RC"]\ninput = { signal = "IN1", common = "IN1" }\n',
    "link": RUN + '[[drive.links]]\nbetween = ["COM", "COM"]\n',
    "bridge": RUN + '[[controller.links]]\nbetween = ["Y1+", "Y1+"]\n',
    "contact in a loop": LOOP.replace('"14"', '"13"'),
    "one contact twice": RUN + 'chain = ["K1", "K1"]\n',
    "converter": PULSED.replace('output = "OUT"', 'output = "IN"'),
}


@pytest.mark.parametrize("text", TWICE.values(), ids=TWICE)
def test_a_part_joined_with_itself_stops_on_a_marked_sheet(text: str) -> None:
    sheets = [doorsheet.draw_text(HEAD + text, stage) for stage in Stage]
    stopped = [sheet for sheet in sheets if "T106" in {stop.code for stop in sheet.stops}]
    assert stopped and all("STOP: do not connect" in sheet.to_svg() for sheet in stopped)


@pytest.mark.parametrize("text", [LOOP, PULSED], ids=["two contacts of one device", "a common of both sides"])
def test_what_may_be_shared_is_not_found(text: str) -> None:
    assert "T106" not in codes(HEAD + text)


def test_every_conductor_of_a_loop_through_two_contacts_of_one_device_is_there() -> None:
    ends = {(wire.near.label, wire.far.label) for wire in doorsheet.draw_text(HEAD + LOOP).circuit.wires}
    assert {("Y1+", "K1:13"), ("K1:14", "K1:23"), ("K1:24", "DI1")} <= ends
