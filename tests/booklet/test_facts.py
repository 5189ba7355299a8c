"""Every fact of the booklet: its words, its value; for each blank where to look."""

from __future__ import annotations

from doorsheet.booklet.facts import FactGroup, facts
from doorsheet.mapping import parse_mapping

ALL = """\
machine = "Press"
readings = ["red on DI1, black on COM: 24.2 V, open", "red on DI1, black on COM: 0.3 V, closed"]
[drive]
name = "2.2 kW drive"
discharge = "6 min"
manual = "Manual 7"
serial = "SN 1"
isolated = "no"
both-directions = "forward"
links = [{ between = ["+24V", "EXT"], note = "factory fitted" }, { between = ["M1", "M2"] }]
selectors = [{ name = "SW1", set = "mA" }]
[drive.inputs]
voltage = "24 V"
current = "5 mA"
on = "15 V"
off = "5 V"
limit = "9 mA"
bears = "36 V"
supply = "outside"
earthed = "yes"
supply-minus = "0V"
[controller]
name = "Press controller"
earthed = "no"
returns = "looped"
interlock = "in its program"
supply-voltage = "24 V"
links = [{ between = ["0V", "M"], note = "in the cabinet" }]
[controller.outputs]
voltage = "30 V"
current = "50 mA"
saturation = "1.2 V"
leakage = "0.1 mA"
rest = "floats"
[stop]
hardware = "contactor K1"
acts = "torque-off"
category = "1"
delay = "2 s"
[motor]
poles = 4
frequency = "50 Hz"
speed = "1440 rpm"
[speeds]
coast = "40 s"
[run-forward]
input = "DI1"
common = "COM"
meter = -24.3
meter-closed = 0.2
meter-current = "4.8 mA"
cable = "W1"
chain = [{ name = "B1", what = "door", terminals = ["11", "12"] }, { name = "B2", normally = "open" }]
output = { plus = "OUT1+", minus = "OUT1-" }
[run-reverse]
input = "DI2"
common = "COM"
feed = "+24V"
output = { kind = "open-collector", signal = "Q2", common = "0V", joins = "plus" }
[enable]
input = "DI3"
common = "COM"
output = { kind = "contact", terminals = ["K1:13", "K1:14"] }
[fault]
terminals = ["RA", "RC"]
normally = "closed"
input = { signal = "IN1", common = "0V" }
[speed]
signal = "AI1"
common = "AGND"
range = "4-20 mA"
burden = "500 ohm"
series = "47 ohm"
supply = "+10V"
potentiometer = "10 kohm"
top-speed = "3000 rpm"
source = { signal = "AO1", common = "0V", range = "4-20 mA", top = "19 mA", powered-by = "controller" }
"""

# name and value
KNOWN = {
    "Drive": [
        ("name, as on the plate", "2.2 kW drive"),
        ("serial number", "SN 1"),
        ("manual: title, number, edition", "Manual 7"),
        ("time to wait after switch-off", "6 min"),
        ("control terminals isolated from mains", "no"),
        ("supply of the switch inputs", "from outside"),
        ("its voltage", "24 V"),
        ("current of one closed input", "5 mA"),
        ("on from", "15 V"),
        ("off up to", "5 V"),
        ("an input limits its current at", "9 mA"),
        ("an input bears at most", "36 V"),
        ("common of the switch inputs", "earthed"),
        ("minus of the supply that feeds the inputs", "0V"),
        ("both directions closed", "forward"),
        ("link +24V – EXT", "factory fitted"),
        ("link M1 – M2", "in place"),
        ("SW1", "set to mA"),
    ],
    "Controller": [
        ("name, as on the plate", "Press controller"),
        ("its 0 V", "not earthed"),
        ("bridge 0V – M", "in the cabinet"),
        ("returns of its outputs to one common", "one wire, looped on from output to output"),
        ("outputs bear, open", "30 V"),
        ("outputs carry, closed", "50 mA"),
        ("drop, closed", "1.2 V"),
        ("leakage, open", "0.1 mA"),
        ("while it starts", "floats"),
        ("interlock of the directions", "in its program"),
        ("supply of its outputs", "24 V"),
    ],
    "Motor and stopping": [
        ("poles", "4"),
        ("rated frequency", "50 Hz"),
        ("rated speed", "1440 rpm"),
        ("emergency stop acts on", "contactor K1"),
        ("it takes away", "safe torque off"),
        ("stop category", "1"),
        ("power is removed after", "2 s"),
        ("coast time from full speed", "40 s"),
    ],
    "Run forward": [
        ("input, common", "DI1, COM"),
        ("closed by", "isolated: OUT1+, OUT1-"),
        ("contact B2, unworked", "open"),
        ("open, at the input", "−24.3 V"),
        ("closed, at the input", "0.2 V"),
        ("current when closed", "4.8 mA"),
        ("cable", "W1"),
    ],
    "Run reverse": [
        ("input, common", "DI2, COM"),
        ("plus for the bench switch", "+24V"),
        ("closed by", "open-collector: Q2"),
    ],
    "Enable": [
        ("input, common", "DI3, COM"),
        ("closed by", "contact: K1:13, K1:14"),
    ],
    "Fault": [
        ("contact at the drive", "RA / RC"),
        ("without power", "closed"),
        ("input of the controller", "IN1 / 0V"),
    ],
    "Speed": [
        ("signal, common", "AI1, AGND"),
        ("range set at the drive", "4-20 mA"),
        ("controller's output", "AO1, 4-20 mA"),
        ("at full command", "19 mA"),
        ("its loop is powered by", "controller"),
        ("burden, across signal and common", "500 ohm"),
        ("resistor in the signal's wire", "47 ohm"),
        ("potentiometer", "10 kohm"),
        ("reference supply, terminal", "+10V"),
        ("speed at full signal", "3000 rpm"),
    ],
    "Readings, as taken": [
        ("red on DI1, black on COM, open", "24.2 V"),
        ("red on DI1, black on COM, closed", "0.3 V"),
    ],
}


def of(text: str) -> tuple[FactGroup, ...]:
    return facts(parse_mapping(text, "m.toml"))


def test_every_key_is_a_fact() -> None:
    found = {
        group.title: [(row.name, row.value) for row in group.rows if row.value is not None]
        for group in of(ALL)
    }
    assert found == KNOWN
    assert not {row.where for group in of(ALL) for row in group.rows if row.value is not None} - {""}


def test_what_is_of_the_machine_is_no_single_drives() -> None:
    shared = {(group.title, row.name) for group in of(ALL) for row in group.rows if row.shared}
    controller = {("Controller", name) for name, _ in KNOWN["Controller"]}
    controller.add(("Controller", "torque of its terminals, Nm"))
    stop = {("Motor and stopping", name) for name, _ in KNOWN["Motor and stopping"][3:7]}
    assert shared == controller | stop


BARE = """machine = "Press"
[run-forward]
input = "DI1"
[enable]
input = "DI3"
feed = "+24V"
[run-reverse]
input = "DI2"
output = { kind = "open-collector", signal = "Q2", common = "0V", joins = "plus" }
[fault]
terminals = ["RA", "RC"]
input = { signal = "IN1" }
[speed]
signal = "AI1"
source = { kind = "pulse", signal = "P1" }
"""
_METER = [
    ("open, at the input", "meter: red on input, black on common"),
    ("closed, at the input", "the same, closed"),
    ("current when closed", "meter for mA in the wire"),
    ("cable", "look"),
]
BLANKS = {
    "Drive": [
        ("name, as on the plate", "its plate"),
        ("serial number", "its plate"),
        ("manual: title, number, edition", "its cover"),
        ("firmware", "its display"),
        ("torque of its control terminals, Nm", "its manual"),
        ("time to wait after switch-off", "its label"),
        ("control terminals isolated from mains", "its manual"),
        ("supply of the switch inputs", "its manual, and the link"),
        ("its voltage", "its manual"),
        ("current of one closed input", "its manual"),
        ("on from", "its manual"),
        ("off up to", "its manual"),
        ("an input limits its current at", "its manual"),
        ("an input bears at most", "its manual"),
        ("common of the switch inputs", "its manual, or measure, dead"),
        ("minus of the supply that feeds the inputs", "its manual"),
        ("both directions closed", "its manual"),
        ("links on the strip", "look: which, between what"),
        ("slide switches on the board", "look: which, set to what"),
    ],
    "Controller": [
        ("name, as on the plate", "its plate"),
        ("torque of its terminals, Nm", "its manual"),
        ("its 0 V", "measure, dead: 0 V to earth"),
        ("outputs bear, open", "its manual"),
        ("outputs carry, closed", "its manual"),
        ("drop, closed", "its manual"),
        ("leakage, open", "its manual"),
        ("while it starts", "measure: start it, drive unpowered"),
        ("interlock of the directions", "who built it"),
        ("supply of its outputs", "measure"),
    ],
    "Motor and stopping": [
        ("poles", "the motor's plate"),
        ("rated frequency", "the motor's plate"),
        ("rated speed", "the motor's plate"),
        ("rated voltage, current", "the motor's plate"),
        ("emergency stop acts on", "the power circuit's drawing"),
        ("it takes away", "the power circuit's drawing"),
        ("stop category", "the risk assessment"),
        ("coast time from full speed", "measure"),
    ],
    "Run forward": _METER,
    "Run reverse": _METER,
    "Enable": _METER,
    "Fault": [("without power", "the drive's manual"), ("cable", "look")],
    "Speed": [
        ("range set at the drive", "its settings, link or slide switch"),
        ("at full command", "meter, drive unplugged"),
        ("frequency of its pulses at full command", "the controller's manual"),
        ("level of its pulses", "the controller's manual"),
        ("converter of the pulses", "look: its name and terminals"),
        ("potentiometer", "its print; meter, wires off"),
        ("reference supply, terminal", "the drive's manual"),
        ("speed at full signal", "measure"),
        ("cable", "look"),
    ],
}


def test_each_blank_says_where_to_look() -> None:
    groups = of(BARE)
    found = {
        group.title: [(row.name, row.where) for row in group.rows if row.value is None] for group in groups
    }
    assert found == BLANKS
    assert {group.title: group.blanks for group in groups} == {
        title: len(rows) for title, rows in BLANKS.items()
    }
    rows = {(group.title, row.name): row.value for group in groups for row in group.rows}
    assert rows["Run forward", "input, common"] == "DI1, (no common given)"
    assert rows["Run forward", "closed by"] == "a hand switch, which stays"
    assert rows["Fault", "input of the controller"] == "IN1"


def test_more_outputs_and_a_stop_in_time_have_blanks_of_their_own() -> None:
    more = BARE + '[stop]\ncategory = "1"\n[preset-speed-1]\ninput = "DI4"\n'
    more += 'output = { plus = "OUT1+", minus = "OUT1-" }\n'
    blanks = {
        (group.title, row.name): row.where for group in of(more) for row in group.rows if row.value is None
    }
    assert blanks["Controller", "returns of its outputs to one common"] == "look"
    assert blanks["Motor and stopping", "power is removed after"] == "its relay's setting"


CONVERTER = """machine = "Press"
[speed]
signal = "AI1"
common = "AGND"
source = { kind = "pulse", signal = "P1", common = "0V", frequency = "1 kHz", level = "5 V", CONVERTER }
"""


def test_a_converter_has_its_facts_and_blanks() -> None:
    given = (
        'converter = { name = "U1", input = "I", output = "Q", isolated = "yes", supply = "V", '
        'supply-from = "24V",'
    )
    known = of(CONVERTER.replace("CONVERTER", given + ' supply-voltage = "24 V", filter = "0.1 s" }'))
    rows = {row.name: (row.value, row.where) for group in known for row in group.rows}
    assert rows["frequency of its pulses at full command"] == ("1 kHz", "")
    assert rows["level of its pulses"] == ("5 V", "")
    assert rows["converter of the pulses"] == ("U1, gives 0-10 V (default)", "")
    assert rows["output of U1 from its input"] == ("isolated", "")
    assert rows["supply of U1 from"] == ("24V", "")
    assert rows["voltage of that supply of U1"] == ("24 V", "")
    assert rows["time constant of U1"] == ("0.1 s", "")
    bare = of(CONVERTER.replace("CONVERTER", 'converter = { name = "U1", input = "I", output = "Q" }'))
    rows = {row.name: (row.value, row.where) for group in bare for row in group.rows}
    assert rows["output of U1 from its input"] == (None, "the converter's sheet")
    assert rows["supply of U1 from"] == (None, "look")
    assert rows["voltage of that supply of U1"] == (None, "the converter's sheet")
    assert rows["time constant of U1"] == (None, "the converter's sheet")
