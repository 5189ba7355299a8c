"""What each table of the mapping is: read by people in messages and editors.

Room: mapping.  What its keys mean is in `doorsheet.mapping.words`.
"""

from collections.abc import Mapping as AbstractMapping
from typing import Final

__all__ = ["SHORT_FORMS", "TABLES"]

TABLES: Final[AbstractMapping[str, str]] = {
    "Mapping": "Terminal mapping of one machine: a drive, its controller, and the wires between them.",
    "SheetFields": "Fields of the title block, where what is left out stays a blank to write on; how the "
    "sheet is drawn.",
    "Revision": "One row of the revision table.",
    "Drive": "The variable-frequency drive.",
    "DriveUnit": "One of several drives on a controller: all that a drive has, and its controls.",
    "DriveSetting": "A setting of the drive: what it was, what it was set to, what it read after that.",
    "Link": "A jumper between two terminals of the drive's strip, or of the controller.",
    "Selector": "A slide switch or plug-on jumper on the drive's board, and how it is set.",
    "SwitchInputs": "What the drive's manual says of its switch inputs.",
    "Reference": "The drive's supply for a potentiometer.",
    "AnalogInput": "The drive's speed input.",
    "OutputRatings": "What the controller's outputs can bear and give, unless one says otherwise for itself.",
    "Cable": "A cable by the name that controls give it; without one, the cable of all that name none.",
    "Stop": "How the machine is stopped without the controller.",
    "Controller": "The machine controller.",
    "ControllerSetting": "A setting of the controller.",
    "Done": "Something that was done on the machine, when, and what came of it; or why it was put off.",
    "Rail": "A terminal rail between controller and drive: every wire goes through a terminal of it.",
    "WireSpec": "What is known of one wire before it is fitted.",
    "SwitchedWires": "The two wires of a switched control.",
    "SpeedWires": "The wires of the speed control.",
    "SignalWires": "The two wires of a contact that reports back.",
    "Screen": "A screen round the wires of one control, and the end at which it is earthed.",
    "Output": "The controller's output that closes the drive's input in the final stage.",
    "Switch": "A hand-operated switch: the bench part, or the final device where no output is named.",
    "SwitchedControl": "A control that closes one switch input of the drive.",
    "ChainContact": "A contact in a control's loop, such as a door's, and the wire that leads on from it.",
    "AnalogSource": "The controller's output for the speed: analog, or pulses for a converter.",
    "Converter": "A part that makes a voltage of the controller's pulses.",
    "Potentiometer": "The potentiometer of the bench stage, or the final device where no source is named.",
    "SpeedControl": "The speed reference: a signal, its common, and the supply of the bench potentiometer.",
    "ControllerInput": "The controller's input that a contact of the drive closes.",
    "DriveContact": "A relay contact of the drive that reports back to the controller.",
    "Motor": "What the motor's plate says, what lies between it and the tool, and the drive's limits for it.",
    "Speeds": "What the controller commands, what was measured, and how long the drive takes.",
}
"""What each table is, by the name of its class in the model."""

SHORT_FORMS: Final[AbstractMapping[str, str]] = {
    "ChainContact": "name",
    "Rail": "name",
    "WireSpec": "colour",
    "Screen": "earthed",
    "Switch": "name",
    "Potentiometer": "value",
}
"""Tables for which a text may stand, by the name of their class, and the key that it then is."""
