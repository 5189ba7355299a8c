"""What each key of the mapping means, and an example of it: read by people in messages and editors.

Room: mapping.  Only words live here; which values are taken is settled in
`doorsheet.mapping.model` and `doorsheet.mapping.controls`.  Kept apart from the model
because a sheet is drawn without them: they are imported when a problem is explained or the schema written.
"""

from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

__all__ = ["KEYS", "KeyWords"]


class KeyWords(NamedTuple):
    """What a key stands for, and a value as it would be written in TOML."""

    meaning: str
    example: str

    @property
    def noun(self) -> str:
        """Return the meaning up to its first comma, colon, semicolon or bracket.

        >>> KeyWords("drive's name, as the sheet gives it", '"Drive"').noun
        "drive's name"
        """
        return min((self.meaning.partition(mark)[0] for mark in (", ", ": ", "; ", " (")), key=len)


_COLOUR: Final = 'wire\'s colour: a name ("white", "white/brown") or letters of IEC 60757 ("WH")'
_CONTROLLER_COMMON: Final = KeyWords("controller terminal of the signal's common", '"0V"')
_SCREEN: Final = KeyWords('screened cable\'s earthed end: "drive", "controller", "both" or "none"', '"drive"')
_CABLE: Final = KeyWords("cable the wires run in, as text", '"4 x 0.34 mm2, screened"')
_CONDUCTORS: Final = KeyWords("number of conductors that one terminal is made for", "2")
_SWITCHED: Final = '{ input = "DI1", common = "COM" }'
_CONTACT: Final = '{ terminals = ["RA", "RC"], input = { signal = "IN1", common = "0V" } }'
_RATINGS: Final[AbstractMapping[str, KeyWords]] = {
    "voltage": KeyWords("most that the open output withstands", '"30 V"'),
    "current": KeyWords("most that the closed output carries", '"50 mA"'),
    "saturation": KeyWords("most that the closed output drops", '"0.4 V"'),
    "leakage": KeyWords("most that the open output lets through when hot", '"0.1 mA"'),
    "reverse": KeyWords("most that the output withstands the wrong way round", '"6 V"'),
    "minimum": KeyWords("least current that keeps a contact clean", '"5 mA"'),
    "rest": KeyWords("what the output does while the controller starts", '"off"'),
    "switches": KeyWords('kind of current that the output switches: "dc" or "ac"', '"dc"'),
}
_DRIVE_KEYS: Final[AbstractMapping[str, KeyWords]] = {
    "name": KeyWords("drive's name, as the sheet gives it", '"1.5 kW drive, single-phase supply"'),
    "discharge": KeyWords("waiting time printed on the drive; left out, it stays a blank", '"10 min"'),
    "manual": KeyWords("drive's manual: title, number, edition", '"Manual 4711, 2024"'),
    "serial": KeyWords("drive's serial number", '"SN 0815"'),
    "strip": KeyWords(
        "control terminals in the order in which they stand on the drive, used or not; "
        "left out, the sheet chooses the order that crosses no wires",
        '["DI1", "DI2", "COM", "AI1", "AGND", "+10V"]',
    ),
    "links": KeyWords("jumpers on the drive's strip", '[{ between = ["EXT", "24V"] }]'),
    "selectors": KeyWords("switches on the drive's board", '[{ name = "SW1", set = "down" }]'),
    "inputs": KeyWords("facts of the drive's switch inputs", '{ voltage = "24 V", current = "5 mA" }'),
    "reference": KeyWords("facts of the reference supply", '{ voltage = "10 V", current = "10 mA" }'),
    "analog": KeyWords("facts of the speed input", '{ resistance = "20 kohm", limit = "12 V" }'),
    "isolated": KeyWords("whether the control terminals are isolated from the mains", '"yes"'),
    "both-directions": KeyWords("what the drive does with both directions closed", '"stops"'),
    "conductors-per-terminal": _CONDUCTORS,
    "dropped": KeyWords(
        "terminals that the manual draws and the sheet leaves out, by reason",
        '{ mains = ["L1", "L2"], "not used" = ["DI3"] }',
    ),
    "settings": KeyWords(
        "drive's settings", '[{ number = "P0-03", meaning = "run command source", set = "1" }]'
    ),
}
_CONTROL_KEYS: Final[AbstractMapping[str, KeyWords]] = {
    "run-forward": KeyWords("control that makes the drive run forward", _SWITCHED),
    "run-reverse": KeyWords("control that makes the drive run in reverse", _SWITCHED),
    "enable": KeyWords("control that enables the drive", _SWITCHED),
    "fault-reset": KeyWords("control that resets a fault of the drive", _SWITCHED),
    "jog": KeyWords("control that jogs the drive", _SWITCHED),
    "preset-speed-1": KeyWords("control that chooses the first preset speed", _SWITCHED),
    "preset-speed-2": KeyWords("control that chooses the second preset speed", _SWITCHED),
    "preset-speed-3": KeyWords("control that chooses the third preset speed", _SWITCHED),
    "speed": KeyWords("speed reference", '{ signal = "AI1", common = "AGND", reference = "+10V" }'),
    "fault": KeyWords("drive's contact that reports a fault", _CONTACT),
    "running": KeyWords("drive's contact that reports running", _CONTACT),
    "readings": KeyWords(
        "meter readings, as taken: where the red and the black lead stood, volts DC (of the speed signal mA "
        "too), then open (left out), closed, unplugged, plugged, standing or running, and of the speed "
        "signal the command",
        '["red on COM, black on DI1: -12.2 V", "red on DI1, black on COM: 0.2 V, closed"]',
    ),
    "motor": KeyWords("motor's plate, and what it drives", '{ poles = 2, frequency = "400 Hz" }'),
    "speeds": KeyWords("commanded and measured speeds, ramps and waits", '{ full-scale = "24000 rpm" }'),
}

KEYS: Final[AbstractMapping[str, AbstractMapping[str, KeyWords]]] = {
    "Mapping": {
        "machine": KeyWords("machine's name, as the title block gives it", '"Wood lathe, bench 2"'),
        "sheet": KeyWords("title block's fields", '{ drawn-by = "A. B.", revision = "1" }'),
        "drive": KeyWords("variable-frequency drive", '{ name = "1.5 kW drive", discharge = "10 min" }'),
        "drives": KeyWords(
            "table of drives, where one controller has several: each with its controls inside",
            '{ pump-1 = { run-forward = { input = "DI1", common = "COM" } } }',
        ),
        "controller": KeyWords("machine controller", '{ name = "Lathe controller" }'),
        **_CONTROL_KEYS,
        "cables": KeyWords("cables", '[{ name = "W1", length = "12 m", conductor = "0.75 mm2" }]'),
        "stop": KeyWords("how the machine is stopped without the controller", '{ category = "0" }'),
        "rail": KeyWords("terminal rail that every wire goes through", '"X1"'),
        "region": KeyWords('colour rules that hold: "IEC" or "US"', '"IEC"'),
        "done": KeyWords("log of what was done", '[{ what = "prove-dead", when = 2026-11-25T14:05:00 }]'),
    },
    "Done": {
        "what": KeyWords("action that was done, as the next step names it", '"emergency-stop"'),
        "when": KeyWords("day and time it was done", "2026-11-25T14:05:00"),
        "stage": KeyWords("stage of the changeover at which it was done", '"bench"'),
        "drive": KeyWords("drive it was done on, where there are several", '"pump-1"'),
        "result": KeyWords("result, in a few words", '"stops in 1.4 s"'),
        "put-off": KeyWords("reason why it couldn't be done then and was put off", '"meter\'s fuse blown"'),
        "remark": KeyWords("remark on it", '"cover off, motor cold"'),
    },
    "Rail": {
        "name": KeyWords("rail's name, as it is written on it", '"X1"'),
        "first": KeyWords("number of the rail's first terminal in use", "1"),
    },
    "SheetFields": {
        "drawn-by": KeyWords("who drew the sheet", '"A. B."'),
        "approved-by": KeyWords("who approved the sheet", '"C. D."'),
        "owner": KeyWords("who owns the machine", '"Workshop"'),
        "site": KeyWords("where the machine stands", '"Hall 2"'),
        "number": KeyWords("drawing's number", '"L-02"'),
        "date": KeyWords("day the sheet was drawn", "2026-05-01"),
        "revision": KeyWords("revision of the sheet", '"1"'),
        "notes": KeyWords("lines of free text for the sheet", '["Fitted on a door of steel"]'),
        "revisions": KeyWords("table of revisions", '[{ index = "A", what = "first issue" }]'),
        "extra-crossings": KeyWords(
            'when wires may cross more often than their order needs, for a narrower channel: "never"; '
            '"to-fit", where the sheet would otherwise need larger paper or more sheets; "to-narrow", always',
            '"to-fit"',
        ),
        "paper": KeyWords("paper that the sheet is drawn on, lying or standing", '"A5"'),
    },
    "Revision": {
        "index": KeyWords("revision's letter or number", '"B"'),
        "date": KeyWords("day of the change", "2026-11-25"),
        "who": KeyWords("who made the change", '"A. B."'),
        "what": KeyWords("what was changed", '"reverse wired"'),
        "why": KeyWords("why it was changed", '"tapping needs it"'),
        "tested": KeyWords("whether the machine was tested after the change", "true"),
    },
    "Drive": _DRIVE_KEYS,
    "DriveUnit": {**_DRIVE_KEYS, **_CONTROL_KEYS},
    "DriveSetting": {
        "number": KeyWords("setting's number as the manual prints it", '"P0-03"'),
        "meaning": KeyWords("setting's meaning in plain words", '"run command source"'),
        "topic": KeyWords(
            'decision it answers: "run-source" and the like, or the label of an input', '"run-source"'
        ),
        "factory": KeyWords("value as delivered", '"0"'),
        "set": KeyWords("value it was set to", '"1"'),
        "read": KeyWords("value read back after a power cycle", '"1"'),
        "date": KeyWords("day it was set", "2026-11-25"),
    },
    "SwitchInputs": {
        "voltage": KeyWords("voltage of the drive's own supply for its switch inputs", '"24 V"'),
        "current": KeyWords("current through one closed switch input at that voltage", '"5 mA"'),
        "resistance": KeyWords("resistance of one switch input", '"4.7 kohm"'),
        "type": KeyWords("type of the switch inputs by IEC 61131-2: 1, 2 or 3", "3"),
        "on": KeyWords("voltage over the input, or current through it, from which it is surely on", '"15 V"'),
        "off": KeyWords(
            "voltage over the input, or current through it, up to which it is surely off", '"5 V"'
        ),
        "limit": KeyWords("current at which a switch input limits itself", '"6 mA"'),
        "fed-from": KeyWords('side that feeds the inputs: "inside" the drive, or "outside"', '"inside"'),
        "supply-minus": KeyWords(
            "drive terminal that is the minus of the inputs' own supply, where plus is fed to the inputs",
            '"0V"',
        ),
        "earthed": KeyWords("whether the common of the switch inputs is joined to earth", '"no"'),
    },
    "Reference": {
        "voltage": KeyWords("voltage of the reference supply", '"10 V"'),
        "current": KeyWords("most that the reference supply may give", '"10 mA"'),
    },
    "AnalogInput": {
        "resistance": KeyWords("resistance of the speed input", '"20 kohm"'),
        "limit": KeyWords("most that the speed input can take", '"12 V"'),
    },
    "OutputRatings": _RATINGS,
    "Cable": {
        "name": KeyWords("cable's name, as the controls give it; left out: of all that give none", '"W1"'),
        "length": KeyWords("cable's length", '"12 m"'),
        "conductor": KeyWords("size of one conductor", '"0.75 mm2"'),
        "class": KeyWords("class of the conductor by IEC 60228: 1, 2 or 5; left out: 5", "5"),
        "resistance": KeyWords("resistance of one conductor by the cable's data sheet", '"26 ohm/km"'),
        "temperature": KeyWords("highest temperature of the conductor; left out: 20 C", '"40 C"'),
        "cores": KeyWords("number of cores in the cable", "4"),
        "screen": KeyWords("whether the cable has a screen", "true"),
    },
    "Stop": {
        "category": KeyWords('stop category by IEC 60204-1: "0", "1" or "unknown"', '"0"'),
        "hardware": KeyWords("device that stops the machine without the controller", '"contactor K1"'),
        "acts": KeyWords(
            'what that device takes away: "supply" of the drive, "enable", "torque-off", or it is a '
            '"controller-input" alone; or "unknown"',
            '"supply"',
        ),
        "delay": KeyWords("time after which power is removed, for category 1", '"4 s"'),
    },
    "Link": {
        "between": KeyWords("two terminals that the jumper joins", '["EXT", "24V"]'),
        "note": KeyWords("remark on the jumper", '"as delivered"'),
    },
    "Selector": {
        "name": KeyWords("switch on the board, as printed", '"SW1"'),
        "set": KeyWords("position it is set to", '"down"'),
    },
    "Controller": {
        "name": KeyWords("controller's name, as the sheet gives it", '"Lathe controller"'),
        "supply-voltage": KeyWords("voltage that an output that joins to plus gives", '"24 V"'),
        "outputs": KeyWords("ratings of the controller's outputs", '{ voltage = "30 V", current = "50 mA" }'),
        "interlock": KeyWords("what keeps both directions from closing together", '"relay K2"'),
        "conductors-per-terminal": _CONDUCTORS,
        "links": KeyWords("bridges between terminals of the controller", '[{ between = ["0V", "GND"] }]'),
        "returns": KeyWords(
            'way that outputs share a common of the drive: "own", a wire for each; "looped", one wire to '
            'the first output and on from output to output; "rail", joined by bridges on the rail',
            '"own"',
        ),
        "loop-wires": KeyWords(
            "wires between the outputs of looped returns, in their order", '["blue", { number = "9" }]'
        ),
        "earthed": KeyWords("whether the controller's 0 V is joined to earth", '"yes"'),
        "settings": KeyWords("controller's settings", '[{ name = "full-scale speed", set = "2400 rpm" }]'),
    },
    "ControllerSetting": {
        "name": KeyWords("setting's name as the controller gives it", '"full-scale speed"'),
        "set": KeyWords("value it was set to", '"2400 rpm"'),
        "read": KeyWords("value read back after a power cycle", '"2400 rpm"'),
        "date": KeyWords("day it was set", "2026-11-25"),
    },
    "WireSpec": {
        "colour": KeyWords(_COLOUR, '"white"'),
        "number": KeyWords("number on the wire's ferrules; left out, it is assigned", '"3"'),
    },
    "SwitchedWires": {
        "input": KeyWords(f"input {_COLOUR}", '"white"'),
        "common": KeyWords(f"common {_COLOUR}", '"brown"'),
        "feed": KeyWords(f"bench feed {_COLOUR}", '"red"'),
    },
    "SpeedWires": {
        "signal": KeyWords(f"signal {_COLOUR}", '"grey"'),
        "common": KeyWords(f"common {_COLOUR}", '"pink"'),
        "reference": KeyWords(f"reference supply's {_COLOUR}", '"blue"'),
    },
    "SignalWires": {
        "signal": KeyWords(f"signal {_COLOUR}", '"grey"'),
        "common": KeyWords(f"common {_COLOUR}", '"pink"'),
    },
    "Screen": {"earthed": _SCREEN, "terminal": KeyWords("terminal that takes the screen", '"PE"')},
    "Output": {
        "kind": KeyWords("kind of output", '"isolated"'),
        "plus": KeyWords("plus side of an isolated output (collector)", '"OUT1+"'),
        "minus": KeyWords("minus side of an isolated output (emitter)", '"OUT1-"'),
        "terminals": KeyWords("two sides of a relay contact", '["1", "2"]'),
        "signal": KeyWords("terminal of an open-collector or logic-level output", '"OUT1"'),
        "common": KeyWords("controller's 0 V", '"0V"'),
        "joins": KeyWords("supply side that an open-collector output joins its signal to", '"minus"'),
        **_RATINGS,
    },
    "Switch": {
        "name": KeyWords("switch's name", '"S1"'),
        "terminals": KeyWords("switch's two terminals", '["1", "2"]'),
    },
    "SwitchedControl": {
        "input": KeyWords("drive terminal of the input that is closed", '"DI1"'),
        "common": KeyWords("drive terminal of the input's common", '"COM"'),
        "feed": KeyWords(
            "drive terminal that gives plus to the bench switch, for an input that needs plus fed to it",
            '"+24V"',
        ),
        "output": KeyWords("controller's output", '{ plus = "OUT1+", minus = "OUT1-" }'),
        "switch": KeyWords("hand-operated switch", '"S1"'),
        "chain": KeyWords(
            "contacts in the control's loop, in order from the controller's output to the drive's input",
            '["B1", { name = "B2", what = "door", terminals = ["13", "14"], wire = "white" }]',
        ),
        "wires": KeyWords("wires' colours", '{ input = "white", common = "brown" }'),
        "meter": KeyWords(
            'meter reading in volts, or "unknown" (DC, red lead on input, black on common, contact open); '
            'or in words, "red on COM, black on DI1: -12.2 V"',
            "24.3",
        ),
        "meter-closed": KeyWords(
            'meter reading with the contact closed, in volts, or "unknown" (leads as for meter)', "0.2"
        ),
        "meter-current": KeyWords("measured current through the closed contact", '"4.9 mA"'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "ChainContact": {
        "name": KeyWords("contact's name", '"B1"'),
        "what": KeyWords("what the contact is, in a few words", '"door"'),
        "terminals": KeyWords("contact's two terminals, the controller's side first", '["13", "14"]'),
        "normally": KeyWords('contact\'s state while nothing acts on it: "open" or "closed"', '"closed"'),
        "wire": KeyWords(f"onward {_COLOUR}; it leads from the contact towards the drive", '"white"'),
    },
    "AnalogSource": {
        "kind": KeyWords('kind of output: "analog", or "pulse" with a converter to a voltage', '"analog"'),
        "signal": KeyWords("controller terminal of the analog or pulse output", '"AO1"'),
        "common": _CONTROLLER_COMMON,
        "gives": KeyWords("range that the output gives, or its converter", '"0-10 V"'),
        "frequency": KeyWords("frequency of the pulses", '"1 kHz"'),
        "level": KeyWords("voltage of a pulse", '"5 V"'),
        "converter": KeyWords(
            "converter of the pulses to a voltage", '{ name = "U1", input = "IN", output = "OUT" }'
        ),
        "powered-by": KeyWords(
            'who powers the loop of a milliampere range: "controller", "drive" or "unknown"', '"controller"'
        ),
        "resistance": KeyWords("resistance inside the analog output", '"50 ohm"'),
        "load": KeyWords("least load of a voltage output, most load of a current output", '"1 kohm"'),
        "compliance": KeyWords("most that a current output can push", '"12 V"'),
        "top": KeyWords("what the output really gives at full command", '"9.6 V"'),
        "other-inputs": KeyWords("resistances of further inputs on the same output", '["10 kohm"]'),
    },
    "Converter": {
        "name": KeyWords("converter's name", '"U1"'),
        "input": KeyWords("converter's terminal that takes the pulses", '"IN"'),
        "input-common": KeyWords("converter's terminal of the pulses' common", '"GND"'),
        "output": KeyWords("converter's terminal that gives the voltage", '"OUT"'),
        "output-common": KeyWords("converter's terminal of the voltage's common", '"COM"'),
        "supply-terminal": KeyWords("converter's terminal for its supply", '"V+"'),
        "supply-from": KeyWords("controller terminal that supplies the converter", '"+24V"'),
        "supply-voltage": KeyWords("voltage that supplies the converter", '"15 V"'),
        "isolated": KeyWords("whether the converter's output is isolated from its input", '"yes"'),
        "filter": KeyWords("time constant of the converter's filter", '"47 ms"'),
    },
    "Potentiometer": {
        "name": KeyWords("potentiometer's name", '"RV1"'),
        "value": KeyWords("resistance of the potentiometer", '"10 kΩ"'),
        "terminals": KeyWords("low end, wiper and high end of the potentiometer", '["1", "2", "3"]'),
        "tolerance": KeyWords("tolerance of the potentiometer's value", '"20 %"'),
        "taper": KeyWords('taper of the potentiometer: "linear" or "logarithmic"', '"linear"'),
        "power": KeyWords("power that the potentiometer can take", '"0.25 W"'),
    },
    "SpeedControl": {
        "signal": KeyWords("drive terminal of the speed input", '"AI1"'),
        "common": KeyWords("drive terminal of the speed input's common", '"AGND"'),
        "reference": KeyWords("drive terminal of the reference supply", '"+10V"'),
        "range": KeyWords("range the drive's input is set to", '"0-10 V"'),
        "source": KeyWords("controller's analog output", '{ signal = "AO1", common = "0V" }'),
        "potentiometer": KeyWords("bench potentiometer", '"10 kΩ"'),
        "burden": KeyWords("resistor across signal and common at the drive", '"500 ohm"'),
        "series": KeyWords("resistor in the signal's wire", '"10 kohm"'),
        "top-speed": KeyWords("speed at the top of the range", '"24000 rpm"'),
        "wires": KeyWords("wires' colours", '{ signal = "grey", common = "pink", reference = "blue" }'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "ControllerInput": {
        "signal": KeyWords("controller terminal of the input", '"IN1"'),
        "common": _CONTROLLER_COMMON,
    },
    "DriveContact": {
        "terminals": KeyWords("drive terminals of the contact", '["RA", "RC"]'),
        "normally": KeyWords("contact's state without power", '"open"'),
        "input": KeyWords("controller's input", '{ signal = "IN1", common = "0V" }'),
        "wires": KeyWords("wires' colours", '{ signal = "grey", common = "pink" }'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "Motor": {
        "poles": KeyWords("number of poles, by the motor's plate: an even one", "2"),
        "frequency": KeyWords("rated frequency, by the motor's plate", '"400 Hz"'),
        "speed": KeyWords("rated speed of the shaft, by the motor's plate", '"23400 rpm"'),
        "ratio": KeyWords("turns of the tool for one turn of the motor", "0.5"),
        "pulleys": KeyWords("diameters of the motor's pulley and of the tool's", '["60 mm", "120 mm"]'),
        "min-frequency": KeyWords("lowest frequency that the drive gives while it runs", '"5 Hz"'),
        "max-frequency": KeyWords(
            "highest frequency that the drive gives, at the top of its signal range", '"400 Hz"'
        ),
    },
    "Speeds": {
        "full-scale": KeyWords(
            "commanded speed for which the controller gives its full signal", '"24000 rpm"'
        ),
        "offset": KeyWords("signal at the drive's input while zero is commanded", '"50 mV"'),
        "tolerance-source": KeyWords("controller's output's tolerance, of the top speed", '"1 %"'),
        "tolerance-input": KeyWords("drive's input's tolerance, of the top speed", '"1 %"'),
        "tolerance-slip": KeyWords("slip's tolerance, of the top speed", '"2 %"'),
        "measured": KeyWords(
            "measured speeds: commanded and real in rpm, perhaps the signal in V or mA", "[[6000, 5920]]"
        ),
        "measured-at": KeyWords('measured shaft: "tool" or "motor"; left out: the tool', '"tool"'),
        "ramp-up": KeyWords("drive's ramp from zero to its highest frequency", '"5 s"'),
        "ramp-down": KeyWords("drive's ramp from its highest frequency to zero", '"5 s"'),
        "stops-by": KeyWords(
            'way that the drive stops when run opens: "ramp", "coast" or "unknown"', '"ramp"'
        ),
        "coast": KeyWords("measured time from the top speed to standstill without the drive", '"40 s"'),
        "wait-start": KeyWords("controller's wait after it has closed run or changed the speed", '"6 s"'),
        "wait-stop": KeyWords("controller's wait after it has opened run", '"6 s"'),
        "wait-margin": KeyWords("time to be added to what the drive needs", '"0.5 s"'),
        "wait-cap": KeyWords("longest wait that the controller takes", '"20 s"'),
    },
}
"""What each key means, by the name of the table's class and the key as written; ``the`` fits before each."""
