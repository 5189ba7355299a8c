# ruff: noqa: E501 (rows of a table, read across)
"""Switch-side mappings with one realistic mistake each; the right mapping is the smallest change away.

Each row: the right mapping, its right words, the wrong ones in their place, the code that must be found,
and where: table and key of the wrong mapping.  None of them was looked up in the checks.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["PLANTED", "Planted"]


class Planted(NamedTuple):
    """One mistake."""

    mistake: str
    right: str  # the mapping, without its machine
    good: str  # words of it
    bad: str  # the words instead that make the mistake
    code: str
    table: str  # "" for the top of the file
    key: str  # "" for the table's own line


def control(
    name: str = "run-forward",
    n: int = 1,
    meter: str = "24.3",
    output: str = "",
    common: str = "COM",
    more: str = "",
) -> str:
    out = output or f'{{ plus = "Y{n}+", minus = "Y{n}-" }}'
    reading = f"meter = {meter}\n" if meter else ""
    back = f'common = "{common}"\n' if common else ""
    return f'\n[{name}]\ninput = "DI{n}"\n{back}output = {out}\n{reading}{more}'


def outputs(**ratings: str) -> str:
    return "\n[controller.outputs]\n" + "".join(f'{key} = "{value}"\n' for key, value in ratings.items())


def inputs(**figures: str) -> str:
    lines = (
        f"{key} = {value}\n" if value.isdigit() else f'{key} = "{value}"\n' for key, value in figures.items()
    )
    return "\n[drive.inputs]\n" + "".join(lines)


def setting(topic: str, value: str, more: str = "") -> str:
    return f'\n[[drive.settings]]\nnumber = "P1"\nmeaning = "x"\ntopic = "{topic}"\nset = "{value}"{more}\n'


def links(one: str, other: str, note: str = "") -> str:
    words = f', note = "{note}"' if note else ""
    return f'\n[drive]\nlinks = [\n  {{ between = ["{one}", "{other}"]{words} }},\n]\n'


RUN = control()
REVERSE = control("run-reverse", 2)
BOTH = RUN + REVERSE
SPEED = """
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
"""
POT = SPEED.replace('source = { signal = "AO1", common = "0V" }\n', 'potentiometer = "10 kohm"\n')
FED = '{ kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }'
OPEN = '{ kind = "open-collector", signal = "Q0", common = "M" }'
CONTACT = '{ kind = "contact", terminals = ["13", "14"] }'
THREE = "".join(control(name, n) for n, name in enumerate(("run-forward", "run-reverse", "enable"), 1))


def readings(*lines: str) -> str:
    return "readings = [\n" + "".join(f'  "{line}",\n' for line in lines) + "]\n"


def long_cable(metres: int) -> str:
    return f'\n[[cables]]\nlength = "{metres} m"\nconductor = "0.5 mm2"\n'


FIVE = inputs(voltage="24 V", resistance="4.8 kohm", on="22.1 V", off="5 V") + "".join(
    control(name, n, "24", f'{{ kind = "contact", terminals = ["K{n}", "KC"] }}')
    for n, name in enumerate(("run-forward", "enable", "fault-reset", "preset-speed-1", "preset-speed-2"), 1)
)
FIVE_CABLE = '\n[[cables]]\nlength = "700 m"\nresistance = "84.215 ohm/km"\n'
STOP = '\n[stop]\ncategory = "0"\nhardware = "contactor K9"\nacts = "supply"\n'
LATER = '\n[stop]\ncategory = "1"\nhardware = "contactor K9"\nacts = "supply"\ndelay = "4 s"\n'
CHAIN = RUN.replace("meter", 'chain = ["S0"]\nmeter')
LOCKED = RUN.replace("run-forward", "enable").replace("1", "2").replace("meter", 'chain = ["K9"]\nmeter')
FAULT = '\n[fault]\nterminals = ["RA", "RC"]\nnormally = "open"\ninput = { signal = "IN1", common = "0V" }\n'


def cable(name: str = "W1", **more: str) -> str:
    return f'\n[[cables]]\nname = "{name}"\n' + "".join(f"{key} = {value}\n" for key, value in more.items())


IN_W1 = control(more='cable = "W1"\nscreen = "drive"\n')
WIRES = control(more='wires = { input = "white", common = "brown" }\n')
NUMBERS = control(more='wires = { input = { number = "7" }, common = { number = "8" } }\n')
MORE_NUMBERS = NUMBERS + control("run-reverse", 2, more='wires = { common = { number = "9" } }\n')
SHARED = WIRES + control(
    "run-reverse", 2, output='{ plus = "Y2+", minus = "Y1-" }', more='wires = { common = "brown" }\n'
)

PLANTED: tuple[Planted, ...] = tuple(
    Planted(*row)
    for row in (
        # terminals and labels
        ("one input for both directions", BOTH, '"DI2"', '"DI1"', "T101", "run-reverse", "input"),
        ("the speed input as enable", RUN + control("enable", 3) + SPEED, '"DI3"', '"AI1"', "T101", "speed", "signal"),
        ("one output for both directions", BOTH, '"Y2+"', '"Y1+"', "T102", "run-reverse", "output"),
        ("a return on another's signal", BOTH, '"Y2-"', '"Y1+"', "T102", "run-reverse", "output"),
        ("three returns in one terminal", '\n[controller]\nreturns = "looped"\n' + THREE, 'returns = "looped"', 'returns = "own"', "T103", "enable", ""),
        ("a terminal for one takes two", "\n[drive]\nconductors-per-terminal = 2\n" + BOTH, "terminal = 2", "terminal = 1", "T103", "run-reverse", ""),
        ("Com beside COM", BOTH, 'input = "DI2"\ncommon = "COM"', 'input = "DI2"\ncommon = "Com"', "T104", "run-reverse", "common"),
        ("y1- beside Y1-", SHARED, '"Y2+", minus = "Y1-"', '"Y2+", minus = "y1-"', "T104", "run-reverse", "output"),
        ("plus named by the minus label", RUN, 'plus = "Y1+", minus = "Y1-"', 'plus = "Y1-", minus = "Y1+"', "T105", "run-forward", "output"),
        ("+24V as common of an output that brings plus", control(output=FED, meter="0"), 'common = "COM"\n', 'common = "+24V"\n', "T105", "run-forward", "common"),
        # ways of current
        ("no common", RUN, 'common = "COM"\n', "", "L101", "run-forward", ""),
        ("no minus side", RUN, ', minus = "Y1-"', "", "L101", "run-forward", "output"),
        ("no 0 V of an open collector", control(output=OPEN), ', common = "M"', "", "L101", "run-forward", "output"),
        ("a link holds an input on", links("DI9", "COM") + RUN, '"DI9"', '"DI1"', "L102", "run-forward", "input"),
        ("a link joins two inputs", links("DI1", "DI9") + BOTH, '"DI9"', '"DI2"', "L102", "run-forward", "input"),
        ("the inside supply's link beside an outside one", links("+24V", "EXT") + control(output=FED, meter="0", more='feed = "+24V"\n'), '"EXT"', '"COM"', "L103", "run-forward", "common"),
        ("preset speeds and no run", control("run-forward", 9) + control("preset-speed-1"), "[run-forward]", "[preset-speed-2]", "L104", "preset-speed-1", ""),
        ("24 V linked to the speed input", links("+24V", "X9") + RUN + POT, '"X9"', '"AI1"', "L105", "drive", "{ between"),
        ("the reference linked to its common", links("+10V", "X9") + RUN + POT, '"X9"', '"AGND"', "L105", "drive", "{ between"),
        ("the signal linked to its common", links("AI1", "X9") + RUN + POT, '"X9"', '"AGND"', "L105", "drive", "{ between"),
        ("the signal linked to the switch common", links("AI1", "X9") + RUN + POT, '"X9"', '"COM"', "L105", "drive", "{ between"),
        ("the inputs' supply shorted", links("+24V", "EXT") + RUN, '"EXT"', '"COM"', "L105", "drive", "{ between"),
        ("the reference on the switch common", links("+10V", "EXT") + RUN + POT, '"EXT"', '"COM"', "L105", "drive", "{ between"),
        ("the analog output bridged to its 0 V", '\n[controller]\nlinks = [\n  { between = ["AO1", "X9"] },\n]\n' + RUN + SPEED, '"X9"', '"0V"', "L106", "controller", "{ between"),
        # nets and earth
        ("two supplies linked", links("+24V", "EXT") + RUN + POT, '"EXT"', '"+10V"', "N101", "drive", "links"),
        ("commons linked without a reason", links("COM", "AGND", "manual, page 12") + RUN + SPEED, ', note = "manual, page 12"', "", "N102", "drive", "{ between"),
        ("an open collector on the analog 0 V", control(output=OPEN) + SPEED, 'common = "M"', 'common = "0V"', "N102", "run-forward", "output"),
        ("an isolated output on the analog 0 V", RUN + SPEED, '"Y1-"', '"0V"', "N103", "run-forward", "output"),
        ("a bridge from a return to the analog 0 V", '\n[controller]\nlinks = [\n  { between = ["Y1-", "Y9"] },\n]\n' + RUN + SPEED, '"Y9"', '"0V"', "N103", "controller", "{ between"),
        ("one switch on the speed common", BOTH + SPEED, '"COM"', '"AGND"', "N106", "run-reverse", "common"),
        ("one common for switches and speed", RUN + SPEED, '"AGND"', '"COM"', "N104", "speed", "common"),
        ("the switch on the earthed side", inputs(earthed="no") + RUN, '"no"', '"yes"', "N105", "drive.inputs", "earthed"),
        ("the controller's 0 V earthed", '\n[controller]\nearthed = "no"\n' + inputs(earthed="no") + control(output=OPEN), 'r]\nearthed = "no"', 'r]\nearthed = "yes"', "N105", "controller", "earthed"),
        # readings
        ("no reading", RUN, "meter = 24.3\n", "", "P101", "run-forward", "output"),
        ("readings of two signs", BOTH, "DI2\"\ncommon = \"COM\"\noutput = { plus = \"Y2+\", minus = \"Y2-\" }\nmeter = 24.3", "DI2\"\ncommon = \"COM\"\noutput = { plus = \"Y2+\", minus = \"Y2-\" }\nmeter = -24.3", "P102", "run-reverse", "meter"),
        ("an open collector the wrong way", control(output=OPEN), "24.3", "-24.3", "P103", "run-forward", "meter"),
        ("plus to an input that is joined to common", control(output=FED, meter="0"), "meter = 0", "meter = 24.3", "P103", "run-forward", "meter"),
        ("measured against the plus", control(output=FED, meter="0"), "meter = 0", "meter = -24.1", "P103", "run-forward", "meter"),
        ("a few volts", RUN, "24.3", "4.2", "P104", "run-forward", "meter"),
        ("too much for an input", RUN, "24.3", "45", "P113", "run-forward", "meter"),
        ("an input that needs plus", control(output=CONTACT), "24.3", "0.1", "P105", "run-forward", "meter"),
        ("12 V where 24 V are given", inputs(voltage="24 V") + RUN, "24.3", "12.1", "P106", "run-forward", "meter"),
        ("outside of the range given", inputs(voltage="22..26 V") + RUN, "24.3", "26.4", "P106", "run-forward", "meter"),
        ("half of it stays closed", control(more="meter-closed = 0.3\n"), "0.3", "11.9", "P107", "run-forward", "meter-closed"),
        ("a diode's drop closed", control(meter="", more="meter-closed = 0.3\n"), "0.3", "0.7", "P107", "run-forward", "meter-closed"),
        ("a bad contact", control(output=CONTACT, more="meter-closed = 0.1\n"), "0.1", "3.1", "P107", "run-forward", "meter-closed"),
        ("a plus output that gives nothing", '\n[controller]\nsupply = "24 V"\n' + control(output=FED.replace("}", ', saturation = "1 V" }'), meter="0", more="meter-closed = 23.4\n"), "23.4", "0.2", "P107", "run-forward", "meter-closed"),
        ("the drive's link voltage", RUN, "24.3", "325", "P108", "run-forward", "meter"),
        ("rectified mains at the speed input", readings("red on AI1, black on AGND: 10.1 V") + RUN + SPEED, "10.1", "207", "P108", "", '"red'),
        ("a deadly closed reading", control(more="meter-closed = 0.2\n"), "0.2", "-120", "P108", "run-forward", "meter-closed"),
        ("a diode's drop open", RUN, "24.3", "0.7", "P109", "run-forward", "meter"),
        ("open and closed exchanged", control(more="meter-closed = 0.2\n"), "meter = 24.3\nmeter-closed = 0.2", "meter = 0.2\nmeter-closed = 24.3", "P110", "run-forward", "meter"),
        ("one switch left closed", RUN + control("run-reverse", 2, "24.1"), "24.1", "0.2", "P111", "run-reverse", "meter"),
        ("a reference that sags", readings("red on +10V, black on AGND: 10.1 V") + RUN + SPEED, "10.1", "4.1", "A704", "", '"red'),
        ("volts between linked commons", readings("red on AGND, black on COM: 0.1 V") + links("COM", "AGND", "manual") + RUN + SPEED, "0.1 V", "3.1 V", "A705", "", '"red'),
        ("volts between commons joined at the controller", readings("red on CM2, black on COM: 0 V") + control(output='{ plus = "Y1+", minus = "YC" }') + control("run-reverse", 2, "24.3", '{ plus = "Y2+", minus = "YC" }', "CM2"), "COM: 0 V", "COM: 5 V", "A705", "", '"red'),
        ("a repeat with the other sign", readings("red on DI1, black on COM: 24.3 V", "red on COM, black on DI1: -24.3 V") + RUN, "-24.3 V", "24.3 V", "R101", "", '"red on COM'),
        ("a repeat that differs", readings("red on DI1, black on COM: 24.2 V") + RUN, "24.2 V", "20.2 V", "R102", "run-forward", "meter"),
        ("closed like open", control(more="meter-closed = 0.2\n"), "0.2", "24.1", "R103", "run-forward", "meter-closed"),
        ("three that don't add up", readings("red on AGND, black on COM: 0.1 V", "red on DI1, black on AGND: 24.2 V") + RUN + SPEED, "24.2 V", "27.4 V", "R104", "", '"red on AGND'),
        ("inputs unlike", RUN + control("run-reverse", 2, "24.1"), "24.1", "15.2", "R105", "run-reverse", "meter"),
        ("another common", readings("red on DI1, black on AGND: 24.2 V") + RUN + SPEED, "24.2 V", "12.2 V", "R106", "", '"red'),
        # outputs
        ("a logic output on an input", RUN, '{ plus = "Y1+", minus = "Y1-" }', '{ kind = "logic-level", signal = "P5", common = "GND" }', "O101", "run-forward", "output"),
        ("a 24 V output on 24.3 V", outputs(voltage="30 V") + RUN, "30 V", "24 V", "O201", "run-forward", "output"),
        ("a supply that goes to 28.8 V", inputs(voltage="20.4..26.4 V") + outputs(voltage="27 V") + RUN, "26.4", "28.8", "O201", "run-forward", "output"),
        ("a plus output on too high a supply", '\n[controller]\nsupply = "24 V"\n' + outputs(voltage="30 V") + control(output=FED, meter="0"), '"24 V"', '"36 V"', "O201", "run-forward", "output"),
        ("little to spare", outputs(voltage="60 V") + RUN, "60 V", "28 V", "O202", "run-forward", "output"),
        ("an unproved output that breaks down", inputs(voltage="24 V") + RUN, "meter = 24.3\n", "", "O203", "run-forward", "output"),
        ("more current than the output carries", inputs(voltage="24 V", current="5 mA") + outputs(current="10 mA") + RUN, "10 mA", "4 mA", "O204", "run-forward", "output"),
        ("a measured current above the rating", outputs(current="5 mA") + control(more='meter-current = "4.9 mA"\n'), "4.9", "7.2", "O204", "run-forward", "output"),
        ("a drop that leaves too little", inputs(voltage="12 V", type="3", current="5 mA") + outputs(saturation="0.4 V") + control(meter="12"), "0.4 V", "1.4 V", "O205", "run-forward", "input"),
        ("12 V on a type 1 input", inputs(voltage="12 V", type="3") + control(meter="12"), "type = 3", "type = 1", "O205", "run-forward", "input"),
        ("wires too long", inputs(voltage="24 V", current="20 mA", on="22 V", off="5 V") + long_cable(500) + RUN, "500 m", "2000 m", "O205", "run-forward", "input"),
        ("five on one return", FIVE + FIVE_CABLE, '"700 m"', '"900 m"', "O205", "run-forward", "input"),
        ("an on current that is not reached", inputs(voltage="24 V", current="4 mA", on="3 mA", off="1 mA") + RUN, '"3 mA"', '"4.1 mA"', "O205", "run-forward", "input"),
        ("leakage of a hot output", inputs(voltage="24 V", current="5 mA", type="3") + outputs(leakage="0.5 mA") + RUN, "0.5 mA", "2 mA", "O206", "run-forward", "input"),
        ("type 1 is off below 0.5 mA only", inputs(voltage="24 V", current="2 mA", type="2") + outputs(leakage="1 mA") + RUN, "type = 2", "type = 1", "O206", "run-forward", "input"),
        ("leakage of one output", inputs(voltage="24 V", current="2.3 mA", off="1.1 mA") + control(output='{ plus = "Y1+", minus = "Y1-", leakage = "1 mA" }'), '"1 mA" }', '"1.2 mA" }', "O206", "run-forward", "input"),
        ("a power contact on a small current", inputs(voltage="24 V", current="5 mA") + outputs(minimum="1 mA") + control(output=CONTACT), '"1 mA"', '"10 mA"', "O207", "run-forward", "output"),
        ("a triac output", control(output='{ plus = "Y1+", minus = "Y1-", switches = "dc" }'), '"dc"', '"ac"', "O208", "run-forward", "output"),
        ("all outputs are triacs", outputs(switches="dc") + RUN, '"dc"', '"ac"', "O208", "controller.outputs", "switches"),
        ("an output that pulses at start", control(output='{ plus = "Y1+", minus = "Y1-", rest = "off" }'), '"off"', '"pulses"', "O209", "run-forward", "output"),
        ("outputs that float at start", outputs(rest="off") + RUN, '"off"', '"floats"', "O209", "controller.outputs", "rest"),
        ("a bridge over an output", '\n[controller]\nlinks = [{ between = ["Y1+", "Y9"] }]\n' + RUN, '"Y9"', '"Y1-"', "O210", "run-forward", "input"),
        ("a bridge from output to output", '\n[controller]\nlinks = [{ between = ["Y1+", "Y9"] }]\n' + BOTH, '"Y9"', '"Y2+"', "O210", "run-forward", "input"),
        ("no feed for the switches switch", control(output=FED, meter="0", more='feed = "+24V"\n'), 'feed = "+24V"\n', "", "B101", "run-forward", "output"),
        # wires and cables
        ("two white cores", cable() + WIRES.replace("meter", 'cable = "W1"\nmeter'), '"brown"', '"white"', "W101", "run-forward", "wires"),
        ("one number, two potentials", NUMBERS, '"8"', '"7"', "W102", "run-forward", "wires"),
        ("a shared wire of two colours", SHARED, 'wires = { common = "brown" }', 'wires = { common = "black" }', "W103", "run-reverse", "wires"),
        ("too few cores", cable(cores="2") + WIRES.replace("meter", 'cable = "W1"\nmeter'), "cores = 2", "cores = 1", "W104", "[cables]", "cores"),
        ("one number, one potential", MORE_NUMBERS, '"9"', '"8"', "W105", "run-reverse", "wires"),
        ("a screen that the cable lacks", cable(screen="true") + IN_W1, "screen = true", "screen = false", "W106", "run-forward", "screen"),
        ("green-yellow on a control wire", WIRES, '"brown"', '"green-yellow"', "C101", "run-forward", "wires"),
        ("green in the US", 'region = "US"\n' + WIRES.replace('"white"', '"blue"'), '"blue"', '"green"', "C108", "run-forward", "wires"),
        # facts
        ("no discharge time", '\n[drive]\ndischarge = "5 min"\n' + RUN, 'discharge = "5 min"\n', "", "F101", "drive", ""),
        ("not isolated", '\n[drive]\nisolated = "yes"\n' + RUN, '"yes"', '"no"', "F102", "drive", "isolated"),
        ("isolation unknown", '\n[drive]\nisolated = "yes"\n' + RUN, '"yes"', '"unknown"', "F103", "drive", "isolated"),
        ("isolation not written", '\n[drive]\nisolated = "yes"\n' + RUN, 'isolated = "yes"\n', "", "F103", "drive", ""),
        ("a fault contact that closes on fault", RUN + FAULT, '"open"', '"closed"', "F105", "fault", "normally"),
        ("on below off", inputs(on="15 V", off="5 V") + RUN, '"15 V"', '"4 V"', "F106", "drive.inputs", "on"),
        ("on above the supply", inputs(voltage="24 V", on="15 V") + RUN, '"15 V"', '"25 V"', "F106", "drive.inputs", "on"),
        ("kohm for ohm", inputs(voltage="24 V", current="5 mA", resistance="4.8 kohm") + RUN, "4.8 kohm", "480 ohm", "F106", "drive.inputs", "resistance"),
        ("more than its limit", inputs(current="2.2 mA", limit="2.3 mA", resistance="2 kohm") + RUN, "2.2 mA", "8 mA", "F106", "drive.inputs", "limit"),
        ("another current measured", inputs(current="5 mA") + control(more='meter-current = "5.2 mA"\n'), "5.2", "10.4", "P114", "run-forward", "meter-current"),
        ("a setting that didn't stay", setting("run-source", "1", '\nread = "1"') + RUN, '\nread = "1"', '\nread = "0"', "F107", "[drive.settings]", "read"),
        ("a ramp set longer than the waits know", setting("ramp-up", "4.0 s") + '\n[speeds]\nramp-up = "4 s"\nwait-start = "5 s"\n' + RUN, '"4.0 s"', '"12 s"', "F108", "[drive.settings]", "set"),
        ("a motor of 50 Hz rated at 400 Hz", setting("rated-frequency", "50 Hz") + '\n[motor]\nfrequency = "50.0 Hz"\n' + RUN, '"50 Hz"', '"400 Hz"', "F108", "[drive.settings]", "set"),
        # stopping
        ("no stop written down", STOP + RUN, 'hardware = "contactor K9"\n', "", "X101", "stop", ""),
        ("nobody says what it acts on", STOP + RUN, 'acts = "supply"\n', "", "X101", "stop", ""),
        ("no stop at all", STOP + RUN, '"contactor K9"', '"none"', "X102", "stop", "hardware"),
        ("the run command as stop", STOP + RUN, '"contactor K9"', '"run forward"', "X102", "stop", "hardware"),
        ("a controller input as stop", STOP + RUN, '"contactor K9"', '"button on controller input"', "X102", "stop", "hardware"),
        ("a stop that the controller reads", STOP + RUN, 'acts = "supply"', 'acts = "controller-input"', "X102", "stop", "hardware"),
        ("a stop in the run input's loop", STOP.replace('acts = "supply"', 'acts = "enable"') + CHAIN, '"contactor K9"', '"S0"', "X102", "stop", "hardware"),
        ("a stop outside the enable's loop", STOP.replace('"supply"', '"enable"') + RUN + LOCKED, "contactor K9", "contactor K8", "X105", "stop", "hardware"),
        ("an interlock that is none", '\n[controller]\ninterlock = "relay K2"\n' + BOTH, '"relay K2"', '"none"', "X103", "run-reverse", "output"),
        ("both directions go forward", '\n[drive]\nboth-directions = "stops"\n' + BOTH, '"stops"', '"forward"', "X103", "run-reverse", "output"),
        ("category 1 that opens at once", LATER + RUN, 'delay = "4 s"\n', "", "X104", "stop", "category"),
        ("category 1 before the ramp ends", LATER + RUN + '\n[speeds]\nramp-down = "4 s"\n', 'delay = "4 s"', 'delay = "3 s"', "X104", "stop", "delay"),
    )
)  # fmt: skip
