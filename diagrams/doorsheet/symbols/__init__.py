"""The sheet's circuit symbols as schemdraw elements of our own, 1 unit = 1 mm, y up.

Geometry, sizes and anchors only: no places, no text, no colours.
`assemble` puts placed symbols into a drawing, `flatten` takes plain geometry out of it.
Importing this room imports schemdraw (without matplotlib), so do it where a sheet is drawn.
"""

from doorsheet.symbols.analog import AnalogSource, Potentiometer
from doorsheet.symbols.base import Symbol
from doorsheet.symbols.contacts import Burden, Contact, DriveContact, HandSwitch, StopButton
from doorsheet.symbols.flatten import Piece, assemble, flatten
from doorsheet.symbols.outputs import ControllerInput, IsolatedOutput, LogicOutput, OpenCollector
from doorsheet.symbols.single_row import Bus, SingleRow
from doorsheet.symbols.terminals import InLine, LinkBar, LinkBracket, Slot, TerminalCell
from doorsheet.symbols.wire_paths import Earth, ScreenRing, WirePath

__all__ = [
    "AnalogSource", "Burden", "Bus", "Contact", "ControllerInput", "DriveContact", "Earth",
    "HandSwitch", "InLine", "IsolatedOutput", "LinkBar", "LinkBracket", "LogicOutput", "OpenCollector",
    "Piece", "Potentiometer", "ScreenRing", "SingleRow", "Slot", "StopButton", "Symbol", "TerminalCell",
    "WirePath", "assemble", "flatten",
]  # fmt: skip
