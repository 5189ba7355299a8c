"""What each key of the mapping means, and an example of it: read by people in messages and editors.

Only words live here; which values are taken is settled in `model` and `controls`.  They are
imported when a problem is explained or the schema written: a sheet is drawn without them.
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
_CONTROLLER_COMMON: Final = ("controller terminal of the signal's common", '"0V"')
_SCREEN: Final = ('screened cable\'s earthed end: "drive", "controller", "both" or "none"', '"drive"')
_CABLE: Final = ("cable the wires run in, as text", '"4 x 0.34 mm2, screened"')
_CONDUCTORS: Final = ("number of conductors that one terminal is made for", "2")
_SWITCHED: Final = '{ input = "DI1", common = "COM" }'
_CONTACT: Final = '{ terminals = ["RA", "RC"], input = { signal = "IN1", common = "0V" } }'
_RATINGS: Final[AbstractMapping[str, tuple[str, str]]] = {
    "voltage": ("most that the open output withstands", '"30 V"'),
    "current": ("most that the closed output carries", '"50 mA"'),
    "saturation": ("most that the closed output drops", '"0.4 V"'),
    "leakage": ("most that the open output lets through when hot", '"0.1 mA"'),
    "reverse": ("most that the output withstands the wrong way round", '"6 V"'),
    "minimum": ("least current that keeps a contact clean", '"5 mA"'),
    "rest": ("what the output does while the controller starts", '"off"'),
    "switches": ('kind of current that the output switches: "dc" or "ac"', '"dc"'),
}
_DRIVE_KEYS: Final[AbstractMapping[str, tuple[str, str]]] = {
    "name": ("drive's name, as the sheet gives it", '"1.5 kW drive, single-phase supply"'),
    "discharge": ("waiting time printed on the drive; left out, it stays a blank", '"10 min"'),
    "manual": ("drive's manual: title, number, edition", '"Manual 4711, 2024"'),
    "serial": ("drive's serial number", '"SN 0815"'),
    "strip": (
        "control terminals in the order in which they stand on the drive, used or not; "
        "left out, the sheet chooses the order that crosses no wires",
        '["DI1", "DI2", "COM", "AI1", "AGND", "+10V"]',
    ),
    "links": ("jumpers on the drive's strip", '[{ between = ["EXT", "24V"] }]'),
    "selectors": ("switches on the drive's board", '[{ name = "SW1", set = "down" }]'),
    "inputs": ("facts of the drive's switch inputs", '{ voltage = "24 V", current = "5 mA" }'),
    "reference": ("facts of the reference supply", '{ voltage = "10 V", current = "10 mA" }'),
    "analog": ("facts of the speed input", '{ resistance = "20 kohm", limit = "12 V" }'),
    "isolated": ("whether the control terminals are isolated from the mains", '"yes"'),
    "both-directions": ("what the drive does with both directions closed", '"stops"'),
    "presets": (
        "at which speed the drive runs with no preset speed closed, and with several",
        '"none: standing; 1 and 2 together: speed 3"',
    ),
    "conductors-per-terminal": _CONDUCTORS,
    "dropped": (
        "terminals that the manual draws and the sheet leaves out, by reason",
        '{ mains = ["L1", "L2"], "not used" = ["DI3"] }',
    ),
    "settings": ("drive's settings", '[{ number = "P0-03", meaning = "run command source", set = "1" }]'),
}
_CONTROL_KEYS: Final[AbstractMapping[str, tuple[str, str]]] = {
    "run-forward": ("control that makes the drive run forward", _SWITCHED),
    "run-reverse": ("control that makes the drive run in reverse", _SWITCHED),
    "enable": ("control that enables the drive", _SWITCHED),
    "fault-reset": ("control that resets a fault of the drive", _SWITCHED),
    "jog": ("control that jogs the drive", _SWITCHED),
    "preset-speed-1": ("control that chooses the first preset speed", _SWITCHED),
    "preset-speed-2": ("control that chooses the second preset speed", _SWITCHED),
    "preset-speed-3": ("control that chooses the third preset speed", _SWITCHED),
    "speed": ("speed reference", '{ signal = "AI1", common = "AGND", reference = "+10V" }'),
    "fault": ("drive's contact that reports a fault", _CONTACT),
    "running": ("drive's contact that reports running", _CONTACT),
    "readings": (
        "meter readings, as taken: where the red and the black lead stood, volts DC (of the speed signal mA "
        "too), then open (left out), closed, unplugged, plugged, standing or running, and of the speed "
        "signal the command",
        '["red on COM, black on DI1: -12.2 V", "red on DI1, black on COM: 0.2 V, closed"]',
    ),
    "motor": ("motor's plate, and what it drives", '{ poles = 2, frequency = "400 Hz" }'),
    "speeds": ("commanded and measured speeds, ramps and waits", '{ full-scale = "24000 rpm" }'),
}

_TABLES: Final[AbstractMapping[str, AbstractMapping[str, tuple[str, str]]]] = {
    "Mapping": {
        "machine": ("machine's name, as the title block gives it", '"Wood lathe, bench 2"'),
        "sheet": ("title block's fields", '{ drawn-by = "A. B.", revision = "1" }'),
        "drive": ("variable-frequency drive", '{ name = "1.5 kW drive", discharge = "10 min" }'),
        "drives": (
            "table of drives, where one controller has several: each with its controls inside",
            '{ pump-1 = { run-forward = { input = "DI1", common = "COM" } } }',
        ),
        "controller": ("machine controller", '{ name = "Lathe controller" }'),
        **_CONTROL_KEYS,
        "cables": ("cables", '[{ name = "W1", length = "12 m", conductor = "0.75 mm2" }]'),
        "stop": ("how the machine is stopped without the controller", '{ category = "0" }'),
        "rail": ("terminal rail that every wire goes through", '"X1"'),
        "region": ('colour rules that hold: "IEC" or "US"', '"IEC"'),
        "done": ("log of what was done", '[{ what = "prove-dead", when = 2026-11-25T14:05:00 }]'),
    },
    "Done": {
        "what": ("action that was done, as the next step names it", '"emergency-stop"'),
        "when": ("day and time it was done", "2026-11-25T14:05:00"),
        "stage": ("stage of the changeover at which it was done", '"bench"'),
        "drive": ("drive it was done on, where there are several", '"pump-1"'),
        "result": ("result, in a few words", '"stops in 1.4 s"'),
        "wires": ("wires and parts that it fitted, by control", '["run-forward: DI1 – OUT1+"]'),
        "put-off": ("reason why it couldn't be done then and was put off", '"meter\'s fuse blown"'),
        "remark": ("remark on it", '"cover off, motor cold"'),
    },
    "Rail": {
        "name": ("rail's name, as it is written on it", '"X1"'),
        "first": ("number of the rail's first terminal in use", "1"),
    },
    "SheetFields": {
        "drawn-by": ("who drew the sheet", '"A. B."'),
        "approved-by": ("who approved the sheet", '"C. D."'),
        "owner": ("who owns the machine", '"Workshop"'),
        "site": ("where the machine stands", '"Hall 2"'),
        "number": ("drawing's number", '"L-02"'),
        "date": ("day the sheet was drawn", "2026-05-01"),
        "revision": ("revision of the sheet", '"1"'),
        "notes": ("lines of free text for the sheet", '["Fitted on a door of steel"]'),
        "revisions": ("table of revisions", '[{ index = "A", what = "first issue" }]'),
        "extra-crossings": (
            'when wires may cross more often than their order needs, for a narrower channel: "never"; '
            '"to-fit", where the sheet would otherwise need larger paper or more sheets; "to-narrow", always',
            '"to-fit"',
        ),
        "paper": ("paper that the sheet is drawn on, lying or standing", '"A5"'),
    },
    "Revision": {
        "index": ("revision's letter or number", '"B"'),
        "date": ("day of the change", "2026-11-25"),
        "who": ("who made the change", '"A. B."'),
        "what": ("what was changed", '"reverse wired"'),
        "why": ("why it was changed", '"tapping needs it"'),
        "tested": ("whether the machine was tested after the change", "true"),
    },
    "Drive": _DRIVE_KEYS,
    "DriveUnit": {**_DRIVE_KEYS, **_CONTROL_KEYS},
    "DriveSetting": {
        "number": ("setting's number as the manual prints it", '"P0-03"'),
        "meaning": ("setting's meaning in plain words", '"run command source"'),
        "topic": ('decision it answers: "run-source" and the like, or the label of an input', '"run-source"'),
        "factory": ("value as delivered", '"0"'),
        "set": ("value it was set to", '"1"'),
        "read": ("value read back after a power cycle", '"1"'),
        "date": ("day it was set", "2026-11-25"),
    },
    "SwitchInputs": {
        "voltage": ("voltage of the drive's own supply for its switch inputs", '"24 V"'),
        "current": ("current through one closed switch input at that voltage", '"5 mA"'),
        "resistance": ("resistance of one switch input", '"4.7 kohm"'),
        "type": ("type of the switch inputs by IEC 61131-2: 1, 2 or 3", "3"),
        "on": ("voltage over the input, or current through it, from which it is surely on", '"15 V"'),
        "off": ("voltage over the input, or current through it, up to which it is surely off", '"5 V"'),
        "limit": ("current at which a switch input limits itself", '"6 mA"'),
        "bears": ("most volts that may stand over a switch input, by the drive's manual", '"36 V"'),
        "fed-from": ('side that feeds the inputs: "inside" the drive, or "outside"', '"inside"'),
        "supply-minus": (
            "drive terminal that is the minus of the inputs' own supply, where that feeds inputs or a loop",
            '"0V"',
        ),
        "earthed": ("whether the common of the switch inputs is joined to earth", '"no"'),
    },
    "Reference": {
        "voltage": ("voltage of the reference supply", '"10 V"'),
        "current": ("most that the reference supply may give", '"10 mA"'),
    },
    "AnalogInput": {
        "resistance": ("resistance of the speed input", '"20 kohm"'),
        "limit": ("most that the speed input can take", '"12 V"'),
    },
    "OutputRatings": _RATINGS,
    "Cable": {
        "name": ("cable's name, as the controls give it; left out: of all that give none", '"W1"'),
        "length": ("cable's length", '"12 m"'),
        "conductor": ("size of one conductor", '"0.75 mm2"'),
        "class": ("class of the conductor by IEC 60228: 1, 2 or 5; left out: 5", "5"),
        "resistance": ("resistance of one conductor by the cable's data sheet", '"26 ohm/km"'),
        "temperature": ("highest temperature of the conductor; left out: 20 C", '"40 C"'),
        "cores": ("number of cores in the cable", "4"),
        "screen": ("whether the cable has a screen", "true"),
    },
    "Stop": {
        "category": ('stop category by IEC 60204-1: "0", "1" or "unknown"', '"0"'),
        "hardware": ("device that stops the machine without the controller", '"contactor K1"'),
        "acts": (
            'what that device takes away: "supply" of the drive, "enable", "torque-off", or it is a '
            '"controller-input" alone; or "unknown"',
            '"supply"',
        ),
        "delay": ("time after which power is removed, for category 1", '"4 s"'),
    },
    "Link": {
        "between": ("two terminals that the jumper joins", '["EXT", "24V"]'),
        "note": ("remark on the jumper", '"as delivered"'),
    },
    "Selector": {
        "name": ("switch on the board, as printed", '"SW1"'),
        "set": ("position it is set to", '"down"'),
    },
    "Controller": {
        "name": ("controller's name, as the sheet gives it", '"Lathe controller"'),
        "supply-voltage": ("voltage that an output that joins to plus gives", '"24 V"'),
        "outputs": ("ratings of the controller's outputs", '{ voltage = "30 V", current = "50 mA" }'),
        "interlock": ("what keeps both directions from closing together", '"relay K2"'),
        "conductors-per-terminal": _CONDUCTORS,
        "links": ("bridges between terminals of the controller", '[{ between = ["0V", "GND"] }]'),
        "returns": (
            'way that outputs share a common of the drive: "own", a wire for each; "looped", one wire to '
            'the first output and on from output to output; "rail", joined by bridges on the rail',
            '"own"',
        ),
        "loop-wires": (
            "wires between the outputs of looped returns, in their order",
            '["blue", { number = "9" }]',
        ),
        "earthed": ("whether the controller's 0 V is joined to earth", '"yes"'),
        "settings": ("controller's settings", '[{ name = "full-scale speed", set = "2400 rpm" }]'),
    },
    "ControllerSetting": {
        "name": ("setting's name as the controller gives it", '"full-scale speed"'),
        "set": ("value it was set to", '"2400 rpm"'),
        "read": ("value read back after a power cycle", '"2400 rpm"'),
        "date": ("day it was set", "2026-11-25"),
    },
    "WireSpec": {
        "colour": (_COLOUR, '"white"'),
        "number": ("number on the wire's ferrules; left out, it is assigned", '"3"'),
    },
    "SwitchedWires": {
        "input": (f"input {_COLOUR}", '"white"'),
        "common": (f"common {_COLOUR}", '"brown"'),
        "feed": (f"bench feed {_COLOUR}", '"red"'),
    },
    "SpeedWires": {
        "signal": (f"signal {_COLOUR}", '"grey"'),
        "common": (f"common {_COLOUR}", '"pink"'),
        "feed": (f"{_COLOUR} of the feed, to an analog output in its loop", '"red"'),
        "reference": (f"reference supply's {_COLOUR}", '"blue"'),
    },
    "SignalWires": {"signal": (f"signal {_COLOUR}", '"grey"'), "common": (f"common {_COLOUR}", '"pink"')},
    "Screen": {"earthed": _SCREEN, "terminal": ("terminal that takes the screen", '"PE"')},
    "Output": {
        "kind": ("kind of output", '"isolated"'),
        "plus": ("plus side of an isolated output (collector)", '"OUT1+"'),
        "minus": ("minus side of an isolated output (emitter)", '"OUT1-"'),
        "terminals": ("two sides of a relay contact", '["1", "2"]'),
        "signal": ("terminal of an open-collector or logic-level output", '"OUT1"'),
        "common": ("controller's 0 V", '"0V"'),
        "joins": ("supply side that an open-collector output joins its signal to", '"minus"'),
        **_RATINGS,
    },
    "Switch": {"name": ("switch's name", '"S1"'), "terminals": ("switch's two terminals", '["1", "2"]')},
    "SwitchedControl": {
        "input": ("drive terminal of the input that is closed", '"DI1"'),
        "common": ("drive terminal of the input's common", '"COM"'),
        "feed": (
            "drive terminal that gives plus to the bench switch, for an input that needs plus fed to it",
            '"+24V"',
        ),
        "output": ("controller's output", '{ plus = "OUT1+", minus = "OUT1-" }'),
        "switch": ("hand-operated switch", '"S1"'),
        "chain": (
            "contacts in the control's loop, in order from the controller's output to the drive's input",
            '["B1", { name = "B2", what = "door", terminals = ["13", "14"], wire = "white" }]',
        ),
        "wires": ("wires' colours", '{ input = "white", common = "brown" }'),
        "meter": (
            'meter reading in volts, or "unknown" (DC, red lead on input, black on common, contact open); '
            'or in words, "red on COM, black on DI1: -12.2 V"',
            "24.3",
        ),
        "meter-closed": (
            "meter reading with what stands in the final stage closed, in volts, or "
            '"unknown" (leads as for meter)',
            "0.2",
        ),
        "meter-current": ("measured current through the closed contact", '"4.9 mA"'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "ChainContact": {
        "name": ("contact's name", '"B1"'),
        "what": ("what the contact is, in a few words", '"door"'),
        "terminals": ("contact's two terminals, the controller's side first", '["13", "14"]'),
        "normally": ('contact\'s state while nothing acts on it: "open" or "closed"', '"closed"'),
        "wire": (f"onward {_COLOUR}; it leads from the contact towards the drive", '"white"'),
    },
    "AnalogSource": {
        "kind": ('kind of output: "analog", or "pulse" with a converter to a voltage', '"analog"'),
        "signal": ("controller terminal of the analog or pulse output", '"AO1"'),
        "common": _CONTROLLER_COMMON,
        "plus": ("controller terminal of an output's plus, which the drive feeds", '"AO1+"'),
        "feed": ("terminal of the drive's supply that feeds the output's plus, in its loop", '"+24V"'),
        "gives": ("range that the output gives, or its converter", '"0-10 V"'),
        "frequency": ("frequency of the pulses", '"1 kHz"'),
        "level": ("voltage of a pulse", '"5 V"'),
        "converter": (
            "converter of the pulses to a voltage",
            '{ name = "U1", input = "IN", output = "OUT" }',
        ),
        "powered-by": (
            'who powers the loop of a milliampere range: "controller", "drive" or "unknown"',
            '"controller"',
        ),
        "resistance": ("resistance inside the analog output", '"50 ohm"'),
        "load": ("least load of a voltage output, most load of a current output", '"1 kohm"'),
        "compliance": ("most that a current output can push", '"12 V"'),
        "needs": ("least voltage over a current output that the drive feeds", '"8 V"'),
        "top": ("what the output really gives at full command", '"9.6 V"'),
        "other-inputs": ("resistances of further inputs on the same output", '["10 kohm"]'),
    },
    "Converter": {
        "name": ("converter's name", '"U1"'),
        "input": ("converter's terminal that takes the pulses", '"IN"'),
        "input-common": ("converter's terminal of the pulses' common", '"GND"'),
        "output": ("converter's terminal that gives the voltage", '"OUT"'),
        "output-common": ("converter's terminal of the voltage's common", '"COM"'),
        "supply-terminal": ("converter's terminal for its supply", '"V+"'),
        "supply-from": ("controller terminal that supplies the converter", '"+24V"'),
        "supply-voltage": ("voltage that supplies the converter", '"15 V"'),
        "isolated": ("whether the converter's output is isolated from its input", '"yes"'),
        "filter": ("time constant of the converter's filter", '"47 ms"'),
    },
    "Potentiometer": {
        "name": ("potentiometer's name", '"RV1"'),
        "value": ("resistance of the potentiometer", '"10 kΩ"'),
        "terminals": ("low end, wiper and high end of the potentiometer", '["1", "2", "3"]'),
        "tolerance": ("tolerance of the potentiometer's value", '"20 %"'),
        "taper": ('taper of the potentiometer: "linear" or "logarithmic"', '"linear"'),
        "power": ("power that the potentiometer can take", '"0.25 W"'),
    },
    "SpeedControl": {
        "signal": ("drive terminal of the speed input", '"AI1"'),
        "common": ("drive terminal of the speed input's common", '"AGND"'),
        "reference": ("drive terminal of the reference supply", '"+10V"'),
        "range": ("range the drive's input is set to", '"0-10 V"'),
        "source": ("controller's analog output", '{ signal = "AO1", common = "0V" }'),
        "potentiometer": ("bench potentiometer", '"10 kΩ"'),
        "burden": ("resistor across signal and common at the drive", '"500 ohm"'),
        "series": ("resistor in the signal's wire", '"10 kohm"'),
        "top-speed": ("speed at the top of the range", '"24000 rpm"'),
        "wires": ("wires' colours", '{ signal = "grey", common = "pink", reference = "blue" }'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "ControllerInput": {
        "signal": ("controller terminal of the input", '"IN1"'),
        "common": _CONTROLLER_COMMON,
    },
    "DriveContact": {
        "terminals": ("drive terminals of the contact", '["RA", "RC"]'),
        "normally": ("contact's state without power", '"open"'),
        "input": ("controller's input", '{ signal = "IN1", common = "0V" }'),
        "wires": ("wires' colours", '{ signal = "grey", common = "pink" }'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "Motor": {
        "poles": ("number of poles, by the motor's plate: an even one", "2"),
        "frequency": ("rated frequency, by the motor's plate", '"400 Hz"'),
        "speed": ("rated speed of the shaft, by the motor's plate", '"23400 rpm"'),
        "ratio": ("turns of the tool for one turn of the motor", "0.5"),
        "pulleys": ("diameters of the motor's pulley and of the tool's", '["60 mm", "120 mm"]'),
        "min-frequency": ("lowest frequency that the drive gives while it runs", '"5 Hz"'),
        "max-frequency": (
            "highest frequency that the drive gives, at the top of its signal range",
            '"400 Hz"',
        ),
    },
    "Speeds": {
        "full-scale": ("commanded speed for which the controller gives its full signal", '"24000 rpm"'),
        "offset": ("signal at the drive's input while zero is commanded", '"50 mV"'),
        "tolerance-source": ("controller's output's tolerance, of the top speed", '"1 %"'),
        "tolerance-input": ("drive's input's tolerance, of the top speed", '"1 %"'),
        "tolerance-slip": ("slip's tolerance, of the top speed", '"2 %"'),
        "measured": (
            "measured speeds: commanded and real in rpm, perhaps the signal in V or mA",
            "[[6000, 5920]]",
        ),
        "measured-at": ('measured shaft: "tool" or "motor"; left out: the tool', '"tool"'),
        "ramp-up": ("drive's ramp from zero to its highest frequency", '"5 s"'),
        "ramp-down": ("drive's ramp from its highest frequency to zero", '"5 s"'),
        "stops-by": ('way that the drive stops when run opens: "ramp", "coast" or "unknown"', '"ramp"'),
        "coast": ("measured time from the top speed to standstill without the drive", '"40 s"'),
        "wait-start": ("controller's wait after it has closed run or changed the speed", '"6 s"'),
        "wait-stop": ("controller's wait after it has opened run", '"6 s"'),
        "wait-margin": ("time to be added to what the drive needs", '"0.5 s"'),
        "wait-cap": ("longest wait that the controller takes", '"20 s"'),
    },
}

KEYS: Final[AbstractMapping[str, AbstractMapping[str, KeyWords]]] = {
    table: {key: KeyWords(*said) for key, said in keys.items()} for table, keys in _TABLES.items()
}
"""What each key means, by the name of the table's class and the key as written; ``the`` fits before each."""
