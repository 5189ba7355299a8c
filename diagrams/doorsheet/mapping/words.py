"""What each key of the mapping means, and an example of it: read by people in messages and editors.

Room: mapping.  Only words live here; which values are taken is settled in
`doorsheet.mapping.model`.  Kept apart from the model because a sheet is drawn
without them: they are imported when a problem is explained or the schema written.
"""

from __future__ import annotations

from collections.abc import Mapping as AbstractMapping
from typing import Final, NamedTuple

__all__ = ["KEYS", "OTHER_WORDS", "SHORT_FORMS", "TABLES", "KeyWords"]


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
_SWITCHED: Final = '{ input = "DI1", common = "COM" }'
_CONTACT: Final = '{ terminals = ["RA", "RC"], input = { signal = "IN1", common = "0V" } }'

TABLES: Final[AbstractMapping[str, str]] = {
    "Mapping": "Terminal mapping of one machine: a drive, its controller, and the wires between them.",
    "SheetFields": "Fields of the title block; what is left out stays a blank to write on.",
    "Drive": "The variable-frequency drive.",
    "Link": "A jumper between two terminals of the drive's strip.",
    "Selector": "A slide switch or plug-on jumper on the drive's board, and how it is set.",
    "Controller": "The machine controller.",
    "WireSpec": "What is known of one wire before it is fitted.",
    "SwitchedWires": "The two wires of a switched control.",
    "SpeedWires": "The wires of the speed control.",
    "SignalWires": "The two wires of a contact that reports back.",
    "Screen": "A screen round the wires of one control, and the end at which it is earthed.",
    "Output": "The controller's output that closes the drive's input in the final stage.",
    "Switch": "A hand-operated switch: the bench part, or the final device where no output is named.",
    "SwitchedControl": "A control that closes one switch input of the drive.",
    "AnalogSource": "The controller's analog output for the speed.",
    "Potentiometer": "The potentiometer of the bench stage, or the final device where no source is named.",
    "SpeedControl": "The speed reference: a signal, its common, and the supply of the bench potentiometer.",
    "ControllerInput": "The controller's input that a contact of the drive closes.",
    "DriveContact": "A relay contact of the drive that reports back to the controller.",
}
"""What each table is, by the name of its class in the model."""

KEYS: Final[AbstractMapping[str, AbstractMapping[str, KeyWords]]] = {
    "Mapping": {
        "machine": KeyWords("machine's name, as the title block gives it", '"Wood lathe, bench 2"'),
        "sheet": KeyWords("title block's fields", '{ drawn-by = "A. B.", revision = "1" }'),
        "drive": KeyWords("variable-frequency drive", '{ name = "1.5 kW drive", discharge = "10 min" }'),
        "controller": KeyWords("machine controller", '{ name = "Lathe controller" }'),
        "run-forward": KeyWords("control that makes the drive run forward", _SWITCHED),
        "run-reverse": KeyWords("control that makes the drive run in reverse", _SWITCHED),
        "enable": KeyWords("control that enables the drive", _SWITCHED),
        "fault-reset": KeyWords("control that resets a fault of the drive", _SWITCHED),
        "jog": KeyWords("control that jogs the drive", _SWITCHED),
        "preset-speed-1": KeyWords("control that chooses the first preset speed", _SWITCHED),
        "preset-speed-2": KeyWords("control that chooses the second preset speed", _SWITCHED),
        "preset-speed-3": KeyWords("control that chooses the third preset speed", _SWITCHED),
        "speed": KeyWords("speed reference", '{ signal = "AI1", common = "AGND", supply = "+10V" }'),
        "fault": KeyWords("drive's contact that reports a fault", _CONTACT),
        "running": KeyWords("drive's contact that reports running", _CONTACT),
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
    },
    "Drive": {
        "name": KeyWords("drive's name, as the sheet gives it", '"1.5 kW drive, single-phase supply"'),
        "discharge": KeyWords("waiting time printed on the drive; left out, it stays a blank", '"10 min"'),
        "manual": KeyWords("drive's manual: title, number, edition", '"Manual 4711, 2024"'),
        "serial": KeyWords("drive's serial number", '"SN 0815"'),
        "links": KeyWords("jumpers on the drive's strip", '[{ between = ["PLC", "24V"] }]'),
        "selectors": KeyWords("switches on the drive's board", '[{ name = "SW1", set = "down" }]'),
    },
    "Link": {
        "between": KeyWords("two terminals that the jumper joins", '["PLC", "24V"]'),
        "note": KeyWords("remark on the jumper", '"as delivered"'),
    },
    "Selector": {
        "name": KeyWords("switch on the board, as printed", '"SW1"'),
        "set": KeyWords("position it is set to", '"down"'),
    },
    "Controller": {"name": KeyWords("controller's name, as the sheet gives it", '"Lathe controller"')},
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
        "supply": KeyWords(f"supply {_COLOUR}", '"blue"'),
    },
    "SignalWires": {
        "signal": KeyWords(f"signal {_COLOUR}", '"grey"'),
        "common": KeyWords(f"common {_COLOUR}", '"pink"'),
    },
    "Screen": {
        "earthed": _SCREEN,
        "terminal": KeyWords("terminal that takes the screen", '"PE"'),
    },
    "Output": {
        "kind": KeyWords("kind of output", '"isolated"'),
        "plus": KeyWords("plus side of an isolated output (collector)", '"OUT1+"'),
        "minus": KeyWords("minus side of an isolated output (emitter)", '"OUT1-"'),
        "terminals": KeyWords("two sides of a relay contact", '["1", "2"]'),
        "signal": KeyWords("terminal of an open-collector or logic-level output", '"OUT1"'),
        "common": KeyWords("controller's 0 V", '"0V"'),
        "joins": KeyWords("supply side that an open-collector output joins its signal to", '"minus"'),
    },
    "Switch": {
        "name": KeyWords("switch's name", '"S1"'),
        "terminals": KeyWords("switch's two terminals", '["1", "2"]'),
    },
    "SwitchedControl": {
        "input": KeyWords("drive terminal of the input that is closed", '"DI1"'),
        "common": KeyWords("drive terminal of the input's common", '"COM"'),
        "feed": KeyWords(
            "drive terminal that gives plus to the bench switch, for an input that wants plus fed in", '"P24"'
        ),
        "output": KeyWords("controller's output", '{ plus = "OUT1+", minus = "OUT1-" }'),
        "switch": KeyWords("hand-operated switch", '"S1"'),
        "wires": KeyWords("wires' colours", '{ input = "white", common = "brown" }'),
        "meter": KeyWords(
            'meter reading in volts, or "unknown" (DC, red lead on input, black on common, contact open)',
            "24.3",
        ),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "AnalogSource": {
        "signal": KeyWords("controller terminal of the analog output", '"AO1"'),
        "common": _CONTROLLER_COMMON,
        "range": KeyWords("range the output gives", '"0-10 V"'),
    },
    "Potentiometer": {
        "name": KeyWords("potentiometer's name", '"RV1"'),
        "value": KeyWords("resistance of the potentiometer", '"10 kΩ"'),
        "terminals": KeyWords("end, wiper and end of the potentiometer", '["1", "2", "3"]'),
    },
    "SpeedControl": {
        "signal": KeyWords("drive terminal of the speed input", '"AI1"'),
        "common": KeyWords("drive terminal of the speed input's common", '"AGND"'),
        "supply": KeyWords("drive terminal of the reference supply", '"+10V"'),
        "range": KeyWords("range the drive's input is set to", '"0-10 V"'),
        "source": KeyWords("controller's analog output", '{ signal = "AO1", common = "0V" }'),
        "potentiometer": KeyWords("bench potentiometer", '"10 kΩ"'),
        "wires": KeyWords("wires' colours", '{ signal = "grey", common = "pink", supply = "blue" }'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
    "ControllerInput": {
        "signal": KeyWords("controller terminal of the input", '"IN1"'),
        "common": _CONTROLLER_COMMON,
    },
    "DriveContact": {
        "terminals": KeyWords("drive terminals of the contact", '["RA", "RC"]'),
        "normally": KeyWords("how the contact stands without power", '"open"'),
        "input": KeyWords("controller's input", '{ signal = "IN1", common = "0V" }'),
        "wires": KeyWords("wires' colours", '{ signal = "grey", common = "pink" }'),
        "cable": _CABLE,
        "screen": _SCREEN,
    },
}
"""What each key means, by the name of the table's class and the key as written; ``the`` fits before each."""

SHORT_FORMS: Final[AbstractMapping[str, str]] = {
    "WireSpec": "colour",
    "Screen": "earthed",
    "Switch": "name",
    "Potentiometer": "value",
}
"""Tables for which a text may stand, by the name of their class, and the key that it then is."""

OTHER_WORDS: Final[AbstractMapping[str, tuple[str, ...]]] = {
    "color": ("colour",),
    "core": ("wires", "colour"),
    "cores": ("wires",),
    "forward": ("run-forward",),
    "fwd": ("run-forward",),
    "ground": ("common",),
    "gnd": ("common",),
    "com": ("common",),
    "inputs": ("input", "signal"),
    "in": ("input", "signal"),
    "jumper": ("links",),
    "jumpers": ("links",),
    "name": ("machine",),
    "out": ("output", "source"),
    "output": ("source", "input"),
    "input": ("signal",),
    "pot": ("potentiometer",),
    "reading": ("meter",),
    "reset": ("fault-reset",),
    "rev": ("run-reverse",),
    "reverse": ("run-reverse",),
    "shield": ("screen",),
    "title": ("machine",),
    "voltage": ("meter",),
    "volts": ("meter",),
    "wire": ("wires",),
}
"""Words people write for a key (common practice, no source) and the keys that may be meant."""
