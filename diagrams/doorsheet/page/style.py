"""How each role looks: the one table of pens.

No geometry and no renderer belongs here.  Two stroke widths serve everything
but wires and the sheet's frame; colours are few so that a grey photocopy
still reads: nothing is told by a colour alone.
"""

from collections.abc import Mapping
from typing import Final, NamedTuple

from doorsheet.page.display import Role
from doorsheet.trade.colours import SCREEN_RGB

__all__ = [
    "FONT_FAMILIES", "FRAME_MM", "INK", "PAPER", "PENS", "THICK_MM", "THIN_MM", "WIRE_CORE_MM",
    "WIRE_EDGE_MM", "Pen", "ink_colour",
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


PENS: Final[Mapping[Role, Pen]] = {
    Role.SHEET_FRAME: Pen(INK, FRAME_MM),
    Role.BOX: Pen(INK, THIN_MM, fill=PAPER),
    Role.RULE: Pen(INK, THIN_MM),
    Role.DEVICE: Pen(INK, THICK_MM, fill=_TINT),
    Role.CELL: Pen(INK, THIN_MM, fill=PAPER),
    Role.HOLE: Pen(INK, THIN_MM, fill=PAPER),
    Role.LINK: Pen(INK, WIRE_EDGE_MM),
    Role.LINK_BAR: Pen(fill=INK),
    Role.UNUSED: Pen(INK, THIN_MM, fill=_SHADE),
    Role.SIGN_FILLED: Pen(INK, THIN_MM, fill=INK),
    Role.DISC: Pen(fill=INK),
    Role.SYMBOL: Pen(INK, THIN_MM),
    Role.SYMBOL_THICK: Pen(INK, THICK_MM),
    Role.SYMBOL_BODY: Pen(INK, THIN_MM, fill=PAPER),
    Role.SYMBOL_SOLID: Pen(fill=INK),
    Role.SCREEN: Pen(INK, THIN_MM, dash=(1.5, 0.8)),
    Role.WIRE_EDGE: Pen(INK, WIRE_EDGE_MM, round_joins=True),
    Role.WIRE_CORE: Pen(INK, WIRE_CORE_MM, inked="stroke", round_joins=True),
    # as long on as off: half of each colour shows
    Role.WIRE_TRACER: Pen(INK, WIRE_CORE_MM, dash=(2.0, 2.0), inked="stroke", round_joins=True),
    Role.WIRE_LABEL: Pen(INK, THIN_MM, fill=PAPER),
    Role.WIRE_FREE: Pen(_SOFT, THIN_MM, dash=(1.0, 1.0), round_joins=True),
    Role.SWATCH: Pen(INK, THIN_MM, fill=PAPER, inked="fill"),
    Role.WARNING_BOX: Pen(INK, THICK_MM, fill=_PALE),
    Role.SIGN_YELLOW: Pen(INK, THICK_MM, fill=_SIGN, round_joins=True),
    Role.SIGN_BLACK: Pen(fill=INK),
    Role.STOP_MARK: Pen(_ALERT, STOP_MM),
    Role.STOP_FILL: Pen(fill=_ALERT),
    Role.STOP_BOX: Pen(_ALERT, THICK_MM, fill=PAPER),
    Role.BLANK: Pen(INK, THIN_MM),
    Role.SCALE: Pen(INK, THIN_MM, fill=INK),
    Role.GRID: Pen(_SHADE, THIN_MM),
    Role.BAND: Pen(_SOFT, THIN_MM, fill=_SHADE),
    Role.CODE: Pen(fill=INK),
    Role.TEXT: Pen(text=INK),
    Role.TEXT_SOFT: Pen(text=_SOFT),
    Role.TEXT_ALERT: Pen(text=_ALERT),
    Role.TEXT_INVERSE: Pen(text=PAPER),
}


def ink_colour(letters: str) -> str:
    """Give the screen colour of one IEC 60757 colour; raises ValueError when there is no such colour."""
    if letters not in SCREEN_RGB:
        raise ValueError(f"no ink for the colour {letters!r}")
    return SCREEN_RGB[letters]
