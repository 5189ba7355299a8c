"""Contacts, hand-operated or not, of the controller, the bench and the drive."""

import math
from typing import Final, Literal

from doorsheet.symbols.base import SYMBOL_THICK, LeftPart, Symbol, check_span

__all__ = ["Burden", "Contact", "DriveContact", "HandSwitch", "Normally", "StopButton"]

Normally = Literal["open", "closed"] | None
"""How a contact is while nothing acts on it; where nobody knows, two dots wait for a blade."""

_HALF_GAP: Final = 2.5  # from the middle to the fixed side, and to the blade's pivot
_SLANT: Final = math.radians(30)  # blade off the contact's axis
_CLOSED: Final = math.radians(22)  # the same of a break contact


def _leads(symbol: Symbol, x: float, span: float, half: float) -> None:
    """Draw the leads from above and below a body in column `x` to the rows 0 and -`span`."""
    mid = -span / 2
    symbol.lead((x, mid + half), (x, 0.0), (0.0, 0.0))
    symbol.lead((x, mid - half), (x, -span), (0.0, -span))


def _blade(symbol: Symbol, x: float, mid: float, normally: Normally) -> None:
    """Draw blade and fixed side about (x, mid): pivot below, blade to the left when open."""
    pivot, fixed = mid - _HALF_GAP, mid + _HALF_GAP
    if normally is None:
        symbol.dot((x, pivot))
        symbol.dot((x, fixed))
        return
    if normally == "open":
        length = 5.6
        tip = (x - length * math.sin(_SLANT), pivot + length * math.cos(_SLANT))
    else:  # crosses the tick at the fixed side and shows a little beyond
        run = 2 * _HALF_GAP * math.tan(_CLOSED)
        beyond = 1.16
        tip = (x + run * beyond, pivot + 2 * _HALF_GAP * beyond)
        symbol.stroke(((x, fixed), (x + run + 0.5, fixed)))
    symbol.stroke(((x, pivot), tip), SYMBOL_THICK)


class Contact(LeftPart):
    """Make or break contact, upright between its rows, drawn without current in the coil.

    Open: blade 30 degrees off the axis (IEC 60617 07-02-01, from memory); closed: blade across
    a tick on the fixed side (07-02-03, from memory).  Anchors: one (first row), two (last row).
    """

    COLUMN: Final = -11.0

    def __init__(self, span: float, normally: Normally = "open", *, origin: str = "") -> None:
        super().__init__(span, origin)
        _leads(self, self.COLUMN, span, _HALF_GAP)
        _blade(self, self.COLUMN, self.mid, normally)
        self.pins(one=0.0, two=-span)


class HandSwitch(Contact):
    """Make contact with a hand actuator: a broken line to a bar (IEC 60617 07-07-01, from memory).

    Anchors: one (first row), two (last row).
    """

    def __init__(self, span: float, *, origin: str = "") -> None:
        super().__init__(span, "open", origin=origin)
        grip = self.COLUMN - 7.5
        blade = self.COLUMN - _HALF_GAP * math.tan(_SLANT)  # where the blade passes the middle
        self.stroke(((grip, self.mid - 1.6), (grip, self.mid + 1.6)), SYMBOL_THICK)
        self.broken((grip, self.mid), (blade, self.mid))


class StopButton(Contact):
    """Break contact with an emergency stop's actuator: a broken line to a mushroom head.

    IEC 60617 07-02-03 and 02-13-08, from memory.  Anchors: one (first row), two (last row).
    """

    def __init__(self, span: float, *, origin: str = "") -> None:
        super().__init__(span, "closed", origin=origin)
        blade = self.COLUMN + _HALF_GAP * math.tan(_CLOSED)  # where the blade passes the middle
        self.mushroom((self.COLUMN - 6.5, self.mid), (blade, self.mid), 1.6)


class _AtStrip(Symbol):
    """Something between two terminals of a strip: leads start at x = 0 and run right, rows 0 and -`span`."""

    COLUMN: float = 5.0

    def __init__(self, span: float, what: str, origin: str) -> None:
        super().__init__(origin)
        check_span(span, what)
        self.mid = -span / 2
        self.anchors["one"], self.anchors["two"] = (0.0, 0.0), (0.0, -span)


class DriveContact(_AtStrip):
    """A contact of the drive; make and break as in `Contact`.  Anchors: one (first row), two (last row)."""

    def __init__(self, span: float, normally: Normally = "open", *, origin: str = "") -> None:
        super().__init__(span, "contact", origin)
        _leads(self, self.COLUMN, span, _HALF_GAP)
        _blade(self, self.COLUMN, self.mid, normally)


class Burden(_AtStrip):
    """A resistor across two terminals: a box, 1:2.5 (IEC 60617 04-01-01, from memory).

    Anchors: one (first row), two (last row).
    """

    COLUMN = 3.0
    HALF_WIDTH: Final = 1.2

    def __init__(self, span: float, *, origin: str = "") -> None:
        super().__init__(span, "burden", origin)
        x, side = self.COLUMN, self.HALF_WIDTH
        self.frame(x - side, self.mid - 3.0, x + side, self.mid + 3.0)
        _leads(self, x, span, 3.0)
