"""What each item of a page is for, and how that looks: the one table of roles and pens.

No geometry and no renderer belongs here.  Two stroke widths serve everything
but wires and the sheet's frame; colours are few so that a grey photocopy
still reads: nothing is told by a colour alone.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final, NamedTuple, Self

from doorsheet.trade.colours import SCREEN_RGB

__all__ = [
    "FONT_FAMILIES", "FRAME_MM", "INK", "PAPER", "PENS", "THICK_MM", "THIN_MM", "WIRE_CORE_MM",
    "WIRE_EDGE_MM", "Pen", "Role", "ink_colour",
]  # fmt: skip

THIN_MM: Final = 0.25
THICK_MM: Final = 0.5
FRAME_MM: Final = 0.7
WIRE_EDGE_MM: Final = 1.5
WIRE_CORE_MM: Final = 1.0
STOP_MM: Final = 1.2

INK: Final = "#1a1a1a"  # near black: every outline, every text
PAPER: Final = "#ffffff"
_SOFT: Final = "#4a4a4a"  # 8.9:1 on white, still text in a grey print
_TINT: Final = "#eef2f6"  # what is a device, against what is paper
_SHADE: Final = "#dfe3e8"  # terminals that are not used
_PALE: Final = "#fff8e1"
_ALERT: Final = "#9b2423"  # RAL 3001 signal red as screen colour, from memory; 8:1 on white
_SIGN: Final = "#f9a800"  # RAL 1003 signal yellow as screen colour, from memory

FONT_FAMILIES: Final = ("DejaVu Sans", "Verdana", "sans-serif")


class Pen(NamedTuple):
    """The look of one role; `None` means not drawn, an empty dash a solid line.

    `inked` says which part takes the colour that the item's `ink` names: "stroke", "fill" or neither.
    Polylines are never filled, whatever `fill` says.
    """

    stroke: str | None = None
    width_mm: float = 0.0
    fill: str | None = None
    dash: tuple[float, ...] = ()  # mm on, mm off
    text: str | None = None
    inked: str = ""
    round_joins: bool = False  # wires turn corners; everything else is mitred


class Role(StrEnum):
    """What an item is for, and the pen that draws it."""

    pen: Pen

    def __new__(cls, name: str, pen: Pen | None = None) -> Self:
        """Make the name alone the role's value: by it a role is looked up, and shown."""
        made = str.__new__(cls, name)
        made._value_, made.pen = name, pen or Pen()
        return made

    SHEET_FRAME = "sheet-frame", Pen(INK, FRAME_MM)  # thick frame round the page
    BOX = "box", Pen(INK, THIN_MM, fill=PAPER)  # thin frame of a table, title block or box, white inside
    RULE = "rule", Pen(INK, THIN_MM)  # thin line inside a table
    # frame of the controller, the drive, the bench parts: tinted inside
    DEVICE = "device", Pen(INK, THICK_MM, fill=_TINT)
    CELL = "cell", Pen(INK, THIN_MM, fill=PAPER)  # a terminal's cell with its label
    HOLE = "hole", Pen(INK, THIN_MM, fill=PAPER)  # the clamp a wire enters: a circle
    LINK = "link", Pen(INK, WIRE_EDGE_MM)  # a jumper on the strip
    LINK_BAR = "link-bar", Pen(fill=INK)  # one between neighbours
    UNUSED = "unused", Pen(INK, THIN_MM, fill=_SHADE)  # a line of the strip for terminals that are not used
    SIGN_FILLED = "sign-filled", Pen(INK, THIN_MM, fill=INK)  # the square behind a plus
    DISC = "disc", Pen(fill=INK)  # behind the number of a finding
    SYMBOL = "symbol", Pen(INK, THIN_MM)  # outlines of circuit symbols, unfilled
    SYMBOL_THICK = "symbol-thick", Pen(INK, THICK_MM)  # transistor bases, contact blades
    SYMBOL_BODY = "symbol-body", Pen(INK, THIN_MM, fill=PAPER)  # outlined and white inside
    SYMBOL_SOLID = "symbol-solid", Pen(fill=INK)  # arrow heads, junction dots
    SCREEN = "screen", Pen(INK, THIN_MM, dash=(1.5, 0.8))  # dashed outline round screened wires
    WIRE_EDGE = "wire-edge", Pen(INK, WIRE_EDGE_MM, round_joins=True)  # dark edge of a wire
    WIRE_CORE = "wire-core", Pen(INK, WIRE_CORE_MM, inked="stroke", round_joins=True)  # its colour (ink)
    # second colour of a two-colour wire, dashed (ink)
    WIRE_TRACER = "wire-tracer", Pen(INK, WIRE_CORE_MM, dash=(2.0, 2.0), inked="stroke", round_joins=True)
    WIRE_LABEL = "wire-label", Pen(INK, THIN_MM, fill=PAPER)  # plate behind a wire's number
    # a wire that is disconnected at this stage
    WIRE_FREE = "wire-free", Pen(_SOFT, THIN_MM, dash=(1.0, 1.0), round_joins=True)
    SWATCH = "swatch", Pen(INK, THIN_MM, fill=PAPER, inked="fill")  # colour sample in a table (ink)
    WARNING_BOX = "warning-box", Pen(INK, THICK_MM, fill=_PALE)
    # triangle of the warning sign
    SIGN_YELLOW = "sign-yellow", Pen(INK, THICK_MM, fill=_SIGN, round_joins=True)
    SIGN_BLACK = "sign-black", Pen(fill=INK)  # its flash
    STOP_MARK = "stop-mark", Pen(_ALERT, STOP_MM)  # outlines and strokes on a sheet that must not be used
    STOP_FILL = "stop-fill", Pen(fill=_ALERT)  # its bar, flags and hatched border
    STOP_BOX = "stop-box", Pen(_ALERT, THICK_MM, fill=PAPER)  # frame of the words about a stop
    BLANK = "blank", Pen(INK, THIN_MM)  # line to write on
    SCALE = "scale", Pen(INK, THIN_MM, fill=INK)  # bar to check the print's scale
    GRID = "grid", Pen(_SHADE, THIN_MM)  # lines to read a plot by
    BAND = "band", Pen(_SOFT, THIN_MM, fill=_SHADE)  # what is usual, or to be expected, in a plot
    CODE = "code", Pen(fill=INK)  # dark modules of a symbol that a telephone reads
    TEXT = "text", Pen(text=INK)
    TEXT_SOFT = "text-soft", Pen(text=_SOFT)  # secondary text
    TEXT_ALERT = "text-alert", Pen(text=_ALERT)  # words about a stop
    TEXT_INVERSE = "text-inverse", Pen(text=PAPER)  # on a filled ground


PENS: Final[Mapping[Role, Pen]] = {role: role.pen for role in Role}


def ink_colour(letters: str) -> str:
    """Give the screen colour of one IEC 60757 colour; raises ValueError when there is no such colour."""
    if letters not in SCREEN_RGB:
        raise ValueError(f"no ink for the colour {letters!r}")
    return SCREEN_RGB[letters]
