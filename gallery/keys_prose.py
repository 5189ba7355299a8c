"""What gallery/mapping.md says besides the words of the model: headings, what follows where a key is left out,
how things hang together.
"""

from __future__ import annotations

from typing import Final

__all__ = ["HEAD", "HEADINGS", "LEFT_OUT", "PROSE"]

HEAD: Final = """\
# The mapping, key by key

Written by `python gallery/write_keys.py` from the model of the mapping: change that, or the script, not this page.

One TOML file describes one machine. Write each terminal's label exactly as it is printed beside the terminal; labels may use any left-to-right script that the sheet's font holds, and what can't be drawn is refused with the reason. A row of blanks, of whatever kind, counts as one space. Labels that look alike but are written differently (`0` and `O`, `1` and `I` and `l`, letters of two scripts, capitals) are two terminals, and a finding names both.

Only `machine` must be there, and in each table the keys marked "required". Everything else may be left out: what nobody wrote down becomes a blank on the sheet, or a default with a name, marked `*`. Unknown keys are refused, with the nearest known one. Old names of keys are still read, and `check` tells their new ones: {old}; a reading `stopped` is `standing`. Controls are drawn in an order that crosses no wires where there is one, otherwise in the order of the file.

Figures are text with a unit: `"24 V"`, `"4.7 kohm"`, a range `"20.4..28.8 V"`, a tolerance `"24 V +-10 %"`. A decimal comma is read as a point. One beyond what its row says is refused, as is a supply or a resistor of nothing. More in a list than its row says is refused with its line; a file may have 1 000 000 bytes.
"""

HEADINGS: Final = {
    "Mapping": "Top of the file",
    "Drive": "`[drive]`",
    "DriveUnit": "`[drives.NAME]`",
    "Link": "Jumpers, `links`",
    "Selector": "Switches on the board, `selectors`",
    "SwitchInputs": "`[drive.inputs]`",
    "Reference": "`[drive.reference]`",
    "AnalogInput": "`[drive.analog]`",
    "DriveSetting": "`[[drive.settings]]`",
    "Controller": "`[controller]`",
    "OutputRatings": "`[controller.outputs]`",
    "ControllerSetting": "`[[controller.settings]]`",
    "SwitchedControl": "Switched controls",
    "Output": "Its `output`",
    "Switch": "Its `switch`",
    "ChainContact": "A contact of its `chain`",
    "SwitchedWires": "Its `wires`",
    "SpeedControl": "`[speed]`",
    "AnalogSource": "`[speed.source]`",
    "Converter": "The `converter` of pulses",
    "Potentiometer": "The `potentiometer`",
    "SpeedWires": "The `wires` of the speed",
    "DriveContact": "`[fault]` and `[running]`",
    "ControllerInput": "Their `input`",
    "SignalWires": "Their `wires`",
    "WireSpec": "A wire",
    "Screen": "A `screen`",
    "Cable": "`[[cables]]`",
    "Rail": "`rail`",
    "Stop": "`[stop]`",
    "Motor": "`[motor]`",
    "Speeds": "`[speeds]`",
    "Done": "`[[done]]`",
    "SheetFields": "`[sheet]`",
    "Revision": "`[[sheet.revisions]]`",
}
"""The tables in the order of the page, and where each stands."""

_RATINGS: Final = dict.fromkeys(
    ("voltage", "current", "saturation", "leakage", "reverse", "minimum", "rest", "switches"),
    "what `[controller.outputs]` says",
)
_SIGNALS: Final = {"cable": "single wires, or the cable that has no name", "screen": "none", "wires": "assigned"}

LEFT_OUT: Final[dict[str, dict[str, str]]] = {
    "Mapping": dict.fromkeys(
        ("run-forward", "run-reverse", "enable", "fault-reset", "jog", "preset-speed-1", "preset-speed-2",
         "preset-speed-3", "speed", "fault", "running"), "not used",
    ) | dict.fromkeys(("readings", "cables", "done", "rail"), "none")
    | {"drives": "one drive", "region": "no rules of a region", "sheet": "lines to write on"},
    "Drive": {
        "discharge": "a blank in the warning box", "strip": "the order that crosses no wires", "links": "none",
        "selectors": "none", "dropped": "none named", "settings": "none",
    },
    "Link": {"note": "none"},
    "DriveSetting": {"topic": "by its meaning"},
    "Controller": {
        "links": "none", "returns": "`\"own\"`", "loop-wires": "assigned", "settings": "none",
    },
    "SwitchedControl": _SIGNALS | {
        "common": "no way back: a stop", "output": "the hand switch stays in the final stage",
        "switch": "S1, S2, … with terminals 1 and 2", "feed": "the bench switch joins input and common",
        "chain": "none", "meter": "from `readings`, else unknown",
        "meter-closed": "from `readings`, else unknown",
    },
    "Output": _RATINGS | dict.fromkeys(("plus", "minus", "terminals", "signal", "common"), "by its kind, see below"),
    "Switch": {"terminals": "1 and 2"},
    "SwitchedWires": dict.fromkeys(("input", "common", "feed"), "assigned"),
    "SpeedWires": dict.fromkeys(("signal", "common", "reference"), "assigned"),
    "SignalWires": dict.fromkeys(("signal", "common"), "assigned"),
    "WireSpec": {"colour": "assigned", "number": "counted up from 1"},
    "ChainContact": {"wire": "assigned"},
    "SpeedControl": _SIGNALS | {
        "common": "no way back: a stop", "reference": "none; its wire is off in the final stage",
        "source": "the potentiometer stays in the final stage", "potentiometer": "RV1, value not given",
        "burden": "none", "series": "none",
    },
    "AnalogSource": {"gives": "`\"0-10 V\"`", "other-inputs": "none", "converter": "none"},
    "Converter": {"name": "U1"},
    "Potentiometer": {"name": "RV1", "terminals": "1, 2, 3"},
    "DriveContact": _SIGNALS,
    "Cable": {"name": "of all that name none", "class": "5", "temperature": "20 C"},
    "Speeds": {"measured": "none", "measured-at": "the tool"},
    "Motor": {"ratio": "1, or by its `pulleys`"},
    "Done": {"drive": "the only one", "put-off": "it was done", "remark": "none"},
    "SheetFields": dict.fromkeys(
        ("drawn-by", "approved-by", "owner", "site", "number", "date", "revision"), "a line to write on"
    ) | {"notes": "none", "revisions": "none"},
}
"""What holds where a key is left out, unless the model has a default or it just isn't known."""

PROSE: Final = {
    "SwitchedControl": """\

The sign of `meter` decides the polarity, not a label: above zero the output's plus side goes to the input, below zero its minus side does. Without a reading, or with 0 V, the plus side is shown on the input, unproved, and a box waits for the mark.

Two controls that share both ends of a return share its wire: give its colour once.

### Readings

Write down each reading as you take it: where the two leads stood, the figure, and the state unless it is open. Doorsheet turns the sign where the leads are the other way round.

```toml
machine = "Wood lathe, bench 2"
readings = [
    "red on COM, black on DI1: -12.2 V",
    "red on DI1, black on COM: 0.3 V, closed",
    "red AI1 black AGND 9.98 V unplugged",
    "red on AI1, black on AGND: 9.96 V, plugged",
]

[run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-" }

[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }
```

A line may end with the day and time, and a remark in brackets: `"red on DI1, black on COM: 24.1 V, open, 2026-11-25 14:05 (motor cold)"`; `doorsheet note` writes it so. Of readings of the same points in the same state the newest counts as soon as one has a date, also before a `meter`; the older stay as history, and R109 says where the last two differ. Where they differ in sign, none counts until a third confirms one.

States are `open`, `closed`, `unplugged`, `plugged`, `standing` and `running` (of the motor), also `on` and `off` for closed and open; readings of a signal in the last four are taken at one command. A reading of the speed signal may end with its command, `"red on AI1, black on AGND: 5.02 V, plugged, at 50 %"` (or `command 50 %`), and may be a current, `"red on AI1, black on AO1: 12.1 mA"`: the meter then stands in the wire, and a lead may be on the controller's output. Labels are those of the mapping; all of the drive's terminals that it names anywhere may be probed. A control without a `meter` takes its open reading from here, the largest if there are several, none if their signs differ; `meter-closed` likewise. One control's reading may also stand as its meter: `meter = "red on COM, black on DI1: -12.2 V"`. The checks R101 to R108 hold the readings against each other and name the one measurement that settles a contradiction. P106, P107 and P112 hold each against what the mapping gives, worked out for the state that it was taken in, and name the single mistakes that would explain it. Alternating current is written `V AC`; no control terminal has it, and only the danger is weighed. A reading above 60 V DC or 25 V AC stops everything, no other check uses it, and no newer one replaces it: strike it out if it was a slip.
""",
    "Output": """\

| `kind` | what it is | keys |
| --- | --- | --- |
| `"isolated"` (default) | optocoupler transistor, both sides free | `plus`, `minus` |
| `"contact"` | relay contact, no polarity | `terminals`, two of them |
| `"open-collector"` | transistor tied to the controller's supply | `signal`, `common` (the controller's 0 V), `joins`: `"minus"` (default) joins the signal to 0 V, `"plus"` to plus |
| `"logic-level"` | a few volts, a few milliamperes; refused on a switch input | `signal`, `common` |
""",
    "AnalogSource": """\

A `source` in milliamperes may say who powers its loop, `powered-by`: `"controller"`, `"drive"` or `"unknown"`. One that gives pulses has `kind = "pulse"` in place of `"analog"`, the `frequency` and `level` of the pulses, and a `converter` to a voltage, whose range is what the source `gives`:

```toml
machine = "Router"

[speed]
signal = "AI1"
common = "AGND"

[speed.source]
kind = "pulse"
signal = "P1"
common = "0V"
frequency = "1 kHz"
level = "5 V"
converter = { name = "U1", input = "IN", input-common = "GND", output = "OUT", output-common = "COM", supply = "V+", supply-from = "+24V", supply-voltage = "24 V", isolated = "yes", filter = "47 ms" }
```
""",
    "DriveContact": """\

```toml
machine = "Circulation pump 3"

[drive]
links = [{ between = ["+24V", "EXT"], note = "factory fitted" }]
selectors = [{ name = "SW2", set = "V" }]

[run-forward]
input = "DI1"
common = "COM"
output = { kind = "contact", terminals = ["13", "14"] }
meter = "unknown"

[running]
terminals = ["RO1", "RO2"]
normally = "open"
input = { signal = "IN7", common = "24V" }
wires = { signal = "violet", common = { colour = "orange", number = "12" } }
```
""",
    "DriveUnit": """\

Several drives on one controller. In place of `[drive]`, each drive has a table `[drives.NAME]` that holds what `[drive]` holds, with its controls, its `readings`, `motor` and `speeds` inside: `[drives.NAME.run-forward]`, `[drives.NAME.speed]` and so on. The name is yours, up to 16 characters; it stands on the sheet with all that is this drive's, since terminals of two drives may be called alike. The rest of the file is shared. A file has either `[drive]` or `[drives.NAME]`.

```toml
machine = "Transfer pumps"

[controller]
conductors-per-terminal = 3

[drives.pump-1]
discharge = "10 min"

[drives.pump-1.run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-" }
meter = 24.3

[drives.pump-1.speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }

[drives.pump-2]
discharge = "5 min"

[drives.pump-2.run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT2+", minus = "OUT2-" }
meter = 24.1

[drives.pump-2.speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO2", common = "0V" }
```

Each drive has a frame of its own, in the order of the file. If one of them gives its `strip`, the terminals of the others stand in the order of the file too. Wires are numbered on from drive to drive; colours begin again with each, except in a cable with a name. Terminals of the controller are shared: returns of several drives may land on one, an output that acts for two drives is a stop. The warning box has the waiting time of all drives, each by name where they differ, and a blank as long as one is unknown. If one sheet can't hold them all, drives are kept together as far as that takes no further sheet.

One drive changes over after the other, in the order of the file, each one control at a time: `--stage pump-1.run-forward` (`"pump-1 forward"` will do) shows that control on the controller, what moved before it too, and everything else still on the bench. The contacts that report back come last, in the final stage. The booklet has chapters for each drive, and for each step a sheet with the drive at work alone. `doorsheet post` asks about all drives, with `--drive pump-2` about one. `doorsheet speeds` reports on one after the other and writes their plots as NAME-1, NAME-2 and so on; as JSON it gives a list.
""",
    "WireSpec": """\

A wire is a colour, or `{ colour = "white", number = "401" }`. Left out, numbers count up from 1 and colours are assigned: red first for a supply and never on a common, blue first for a common, never green or yellow; an assigned colour is marked † on the sheet. A wire keeps number and colour through all stages.

Colours are names or letters of IEC 60757, in upper or lower case: black BK, brown BN, red RD, orange OG, yellow YE, green GN, blue BU, violet VT, grey GY, white WH, pink PK, gold GD, turquoise TQ, silver SR. Two colours are written `"white/brown"`, `"white brown"` or `"WHBN"`.
""",
    "Cable": """\

```toml
machine = "Wood lathe, bench 2"

[drive.inputs]
voltage = "24 V"
current = "5 mA"

[controller.outputs]
voltage = "30 V"
current = "50 mA"

[run-forward]
input = "DI1"
common = "COM"
output = { plus = "OUT1+", minus = "OUT1-", saturation = "0.3 V" }
meter = 24.3
meter-closed = 0.2

[[cables]]
length = "12 m"
conductor = "0.75 mm2"
```
""",
    "DriveSetting": """\

```toml
machine = "Wood lathe, bench 2"

[[drive.settings]]
number = "P1"
meaning = "who says run"
topic = "run-source"
factory = "0"
set = "1"

[motor]
poles = 2
frequency = "50 Hz"

[speeds]
full-scale = "3000 rpm"
measured = [[600, 590], [2400, 2370]]

[speed]
signal = "AI1"
common = "AGND"
source = { signal = "AO1", common = "0V" }
```
""",
    "Done": """\

`doorsheet note` writes it; by hand it is written so:

```toml
machine = "Wood lathe, bench 2"

[run-forward]
input = "DI1"
common = "COM"

[[done]]
what = "emergency-stop"
when = 2026-11-25T14:05:00
stage = "bench"
result = "stops in 1.4 s"
```

An action that stands here says that somebody did it, not that it is still true: after a change it is done again. Nothing that is drawn or found follows from this log; R109 names what was done between two readings that differ.
""",
}
"""What stands below a table."""
