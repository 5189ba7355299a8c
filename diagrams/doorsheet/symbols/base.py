"""What every symbol shares.  Millimetres, y up, one drawing unit is 1 mm.

A symbol is a schemdraw element that also knows, for each of its segments, what
the segment is for (its role) and which colour of wire it shows (its ink), since
schemdraw keeps neither.  Where things stand on a sheet is no business of this
room, and no symbol writes text: that is measured and placed in `doorsheet.page`.
"""

import math
from collections.abc import Sequence
from copy import copy
from itertools import pairwise
from typing import Any, Final, Self, TypeAlias

from doorsheet.symbols.bare import (
    BBox,
    Element,
    Point,
    Segment,
    SegmentArc,
    SegmentCircle,
    SegmentPoly,
    drawing_stack,
)

__all__ = [
    "CELL", "DOT_RADIUS", "HOLE", "LINK", "LINK_BAR", "ROLES", "SCREEN", "SYMBOL", "SYMBOL_BODY",
    "SYMBOL_SOLID", "SYMBOL_THICK", "WIRE_CORE", "WIRE_EDGE", "WIRE_TRACER", "XY", "LeftPart", "Symbol",
    "check_span",
]  # fmt: skip

XY: TypeAlias = tuple[float, float]
_Segment: TypeAlias = Segment | SegmentPoly | SegmentCircle | SegmentArc

# The strings are those of `doorsheet.page.display.Role`, which this room may not import; a test compares.
CELL: Final = "cell"
HOLE: Final = "hole"
LINK: Final = "link"
LINK_BAR: Final = "link-bar"
SYMBOL: Final = "symbol"
SYMBOL_THICK: Final = "symbol-thick"
SYMBOL_BODY: Final = "symbol-body"
SYMBOL_SOLID: Final = "symbol-solid"
SCREEN: Final = "screen"
WIRE_EDGE: Final = "wire-edge"
WIRE_CORE: Final = "wire-core"
WIRE_TRACER: Final = "wire-tracer"

DOT_RADIUS: Final = 0.7
"""Junction dot, mm: at least five thin lines across (IEC 61082-1 practice, from memory)."""

_THIN_PT, _THICK_PT = 0.25 / 25.4 * 72, 0.5 / 25.4 * 72
_LOOK: Final[dict[str, dict[str, Any]]] = {  # how schemdraw's own canvases show a role; our sheets don't ask
    SYMBOL: {},
    LINK: {"lw": _THICK_PT},
    LINK_BAR: {"fill": "black"},
    SYMBOL_THICK: {"lw": _THICK_PT},
    SYMBOL_SOLID: {"fill": "black"},
    SYMBOL_BODY: {"fill": "white"},
    CELL: {"fill": "white"},
    HOLE: {"fill": "white"},
    SCREEN: {"ls": "--"},
    WIRE_EDGE: {"lw": 1.3 / 25.4 * 72},
    WIRE_CORE: {"lw": 0.8 / 25.4 * 72, "color": "gray"},
    WIRE_TRACER: {"lw": 0.8 / 25.4 * 72, "color": "white", "ls": "--"},
}
_PLAIN: Final[dict[str, Any]] = {"lw": _THIN_PT, "zorder": 2}  # one z-order: drawn as listed
_STYLE: Final = {role: {**_PLAIN, **look} for role, look in _LOOK.items()}
ROLES: Final = frozenset(_STYLE)

_HEAD_LENGTH, _HEAD_WIDTH = 1.5, 1.2


def check_span(span: float, what: str = "part") -> None:
    """Raise ValueError where two rows stand too close for a symbol between them, mm."""
    if not (math.isfinite(span) and span >= 7.5):
        raise ValueError(f"a {what}'s rows stand at least 7.5 mm apart, not {span!r}")


class _Ellipse(SegmentArc):
    """A whole ellipse; schemdraw bounds an arc by 500 trial points, which costs more than all else."""

    def get_bbox(self) -> BBox:
        x, y = self.center
        return BBox(x - self.width / 2, y - self.height / 2, x + self.width / 2, y + self.height / 2)


def _fresh_fields() -> dict[str, object]:
    """Return the fields that schemdraw gives an element in its ``__init__``, beyond those of ``__new__``."""
    before, drawing_stack.pause = drawing_stack.pause, True  # not into a drawing that is open at import
    try:
        made = Element()
    finally:
        drawing_stack.pause = before
    unmade = vars(Element.__new__(Element))  # type: ignore[no-untyped-call]
    return {name: value for name, value in vars(made).items() if name not in unmade}


_FRESH: Final = _fresh_fields()


class Symbol(Element):  # type: ignore[no-untyped-call]  # Element.__init_subclass__
    """A schemdraw element drawn by role; `origin` says what in the mapping it stands for.

    Give it a place with ``at((x, y))`` and hand it to `doorsheet.symbols.flatten.assemble`,
    once.  Unlike other schemdraw elements a symbol never joins an open ``with Drawing()``
    by itself; ``drawing.add(symbol)`` puts it there.
    """

    def __new__(cls, *_args: object, **_kwargs: object) -> Self:
        """Make the element; our arguments are no schemdraw settings, so they aren't passed on."""
        made: Self = super().__new__(cls)  # type: ignore[no-untyped-call]
        return made

    def __init__(self, origin: str = "") -> None:
        # In place of Element.__init__, which also enters the element in a list of the whole process, and so
        # into whatever `with Drawing()` a caller of ours, or another thread, holds open.
        vars(self).update({name: copy(value) for name, value in _FRESH.items()})
        self.elmparams["theta"] = 0  # never turned to the direction of the element before
        self.origin = origin
        self.placed = False  # whether it has been given a place
        self.roles: list[str] = []
        self.inks: list[str] = []

    def __init_subclass__(cls) -> None:
        """Set up schemdraw's defaults for the subclass."""
        super().__init_subclass__()  # type: ignore[no-untyped-call]

    def at(self, xy: XY | tuple[Element, str], dx: float = 0, dy: float = 0) -> Self:
        """Set the place of the symbol's (0, 0) in the drawing: mm, y up."""
        super().at(xy, dx, dy)
        self.placed = True
        return self

    def stroke(self, points: Sequence[XY], role: str = SYMBOL, ink: str = "") -> None:
        """Draw a polyline."""
        self._keep(Segment(points, **_STYLE[role]), role, ink)

    def lead(self, *points: XY, inner: Sequence[XY] = (), role: str = SYMBOL) -> None:
        """Draw a connection, horizontal and vertical only; `inner` begins it inside, at any slant."""
        for (ax, ay), (bx, by) in pairwise(points):
            if (ax == bx) is (ay == by):
                raise ValueError(f"lead from {ax:g}, {ay:g} to {bx:g}, {by:g} is slanted or empty")
        self.stroke((*inner, *points), role)

    def solid(self, points: Sequence[XY], role: str = SYMBOL_SOLID) -> None:
        """Draw a closed polygon, filled as its role says."""
        self._keep(SegmentPoly([Point(p) for p in points], **_STYLE[role]), role)

    def frame(self, left: float, bottom: float, right: float, top: float, role: str = SYMBOL_BODY) -> None:
        """Draw a rectangle, filled as its role says."""
        self.solid(((left, bottom), (right, bottom), (right, top), (left, top)), role)

    def circle(self, centre: XY, radius: float, role: str = SYMBOL) -> None:
        """Draw a circle."""
        self._keep(SegmentCircle(Point(centre), radius, **_STYLE[role]), role)

    def ellipse(self, centre: XY, rx: float, ry: float, role: str = SYMBOL) -> None:
        """Draw an axis-parallel ellipse."""
        whole = _Ellipse(Point(centre), 2 * rx, 2 * ry, theta1=0, theta2=360, **_STYLE[role])
        self._keep(whole, role)

    def dot(self, centre: XY) -> None:
        """Draw a junction dot."""
        self.circle(centre, DOT_RADIUS, SYMBOL_SOLID)

    def head(self, tip: XY, toward: XY, size: float = 1.0) -> None:
        """Draw an arrow head with its point at `tip`, pointing along the vector `toward`."""
        dx, dy = toward
        norm = math.hypot(dx, dy)
        ux, uy = dx / norm, dy / norm
        length, half = _HEAD_LENGTH * size, _HEAD_WIDTH * size / 2
        bx, by = tip[0] - ux * length, tip[1] - uy * length
        self.solid((tip, (bx - uy * half, by + ux * half), (bx + uy * half, by - ux * half)))

    def arrow(self, tail: XY, tip: XY, size: float = 1.0) -> None:
        """Draw a straight arrow; its shaft ends inside the head, so the point stays sharp."""
        dx, dy = tip[0] - tail[0], tip[1] - tail[1]
        part = 1 - 0.8 * _HEAD_LENGTH * size / math.hypot(dx, dy)
        self.stroke((tail, (tail[0] + dx * part, tail[1] + dy * part)))
        self.head(tip, (dx, dy), size)

    def broken(self, start: XY, end: XY) -> None:
        """Draw the broken line from an actuator to what it moves: four dashes, three gaps."""
        (x, y), (to_x, to_y) = start, end
        steps = [(x + (to_x - x) * step / 7, y + (to_y - y) * step / 7) for step in range(8)]
        for dash in range(0, 8, 2):
            self.stroke(steps[dash : dash + 2])

    def mushroom(self, grip: XY, moved: XY, radius: float) -> None:
        """Draw an emergency stop's actuator: a head, round where it is pressed, and what it moves."""
        (x, y), (to_x, to_y) = grip, moved
        away = math.atan2(y - to_y, x - to_x)
        arc = [away + math.pi * (step / 12 - 0.5) for step in range(13)]
        head = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in arc]
        self.stroke((*head, head[0]), SYMBOL_THICK)
        self.broken(grip, moved)

    def _keep(self, segment: _Segment, role: str, ink: str = "") -> None:
        self.segments.append(segment)
        self.roles.append(role)
        self.inks.append(ink)


class LeftPart(Symbol):
    """A part of the controller or of the bench: first row at y = 0, last at y = -`span`, leads end at x = 0.

    The body stands within x = -20 and 0, midway between the rows, and keeps within
    2.5 mm above the first and below the last row.  Up to a span of 12.5 mm the rows
    meet the body itself; beyond, the body keeps its size and upright leads reach out.
    """

    LEFT: Final = -20.0
    BODY_RIGHT: Final = -5.0

    def __init__(self, span: float, origin: str = "") -> None:
        super().__init__(origin)
        check_span(span)
        self.span = span
        self.mid = -span / 2
        self.wide = span > 12.5
        self.half = 5.5 if self.wide else span / 2 + 2.5

    def body(self, left: float = LEFT, right: float = BODY_RIGHT) -> None:
        """Draw the part's box."""
        self.frame(left, self.mid - self.half, right, self.mid + self.half)

    def row_lead(self, row: float, edge: float, column: float) -> None:
        """Draw the lead from a body's right `edge`, or its top or bottom at `column`, to x = 0 at `row`."""
        if self.wide:
            top = self.mid + math.copysign(self.half, row - self.mid)
            self.lead((column, top), (column, row), (0.0, row))
        else:
            self.lead((edge, row), (0.0, row))

    def pins(self, **rows: float) -> None:
        """Name the places where the leads end."""
        for name, row in rows.items():
            self.anchors[name] = (0.0, row)
