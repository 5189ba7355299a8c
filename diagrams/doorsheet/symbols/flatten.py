"""From placed symbols to plain geometry, in millimetres with y down.

The only reader of schemdraw's drawing.  What the pieces look like is decided by
`doorsheet.page`, which turns each into an item of the display list.
"""

import math
import threading
from collections.abc import Iterable
from typing import Literal, NamedTuple

from doorsheet.symbols.bare import Drawing, Segment, SegmentArc, SegmentCircle, SegmentPoly, Transform
from doorsheet.symbols.base import XY, Symbol

__all__ = ["Piece", "assemble", "flatten"]

_ASSEMBLING = threading.RLock()  # schemdraw keeps state of the whole process: one drawing at a time


class Piece(NamedTuple):
    """One primitive: a polyline, a closed polygon, or an ellipse about its only point.  mm, y down."""

    kind: Literal["stroke", "area", "oval"]
    points: tuple[XY, ...]
    role: str
    ink: str = ""  # letters of one colour, IEC 60757, for the roles of wires
    origin: str = ""  # what in the mapping the symbol stands for
    rx: float = 0.0  # half axes of an oval
    ry: float = 0.0


def assemble(symbols: Iterable[Symbol]) -> Drawing:
    """Add symbols, each with its place set by ``at``, to a new drawing in the order given.

    Raises ValueError for a symbol without a place, or one that is in a drawing already.
    """
    with _ASSEMBLING:
        drawing = Drawing(show=False)
        for symbol in symbols:
            if symbol.absanchors or not symbol.placed:
                problem = "used already" if symbol.absanchors else "without a place"
                raise ValueError(f"{type(symbol).__name__} ({symbol.origin or 'no origin'}) is {problem}")
            drawing.add(symbol)
    return drawing


def flatten(drawing: Drawing) -> tuple[Piece, ...]:
    """Return what `drawing` holds as plain geometry, element by element, in order.

    The points are those of ``drawing.get_segments()``, negated in y and rounded to 0.001 mm;
    role, ink and origin come from the symbols.  Raises ValueError for an element that isn't a
    symbol or was labelled, a turn or zoom that isn't kept rightly, or a coordinate that isn't finite.
    """
    pieces: list[Piece] = []
    for symbol in drawing.elements:
        if not isinstance(symbol, Symbol) or len(symbol.segments) != len(symbol.roles):
            raise ValueError(f"{type(symbol).__name__} has segments without a role")
        transform = symbol.transform
        if transform.zoom[0] != transform.zoom[1]:
            raise ValueError(f"{type(symbol).__name__} is zoomed unequally: schemdraw misplaces its circles")
        for segment, role, ink in zip(symbol.segments, symbol.roles, symbol.inks, strict=True):
            pieces.append(_piece(segment, transform, role, ink, symbol.origin))
    return tuple(pieces)


def _piece(segment: object, transform: Transform, role: str, ink: str, origin: str) -> Piece:
    zoom = transform.zoom[0]
    match segment:
        case Segment():
            return Piece("stroke", _points(segment.path, transform), role, ink, origin)
        case SegmentPoly():
            return Piece("area", _points(segment.verts, transform), role, ink, origin)
        case SegmentCircle():
            radius = _mm(segment.radius * zoom)
            return Piece("oval", _points((segment.center,), transform), role, ink, origin, radius, radius)
        case SegmentArc() if (segment.angle + transform.theta) % 180 == 0:
            rx, ry = _mm(segment.width / 2 * zoom), _mm(segment.height / 2 * zoom)
            return Piece("oval", _points((segment.center,), transform), role, ink, origin, rx, ry)
    raise ValueError(f"{type(segment).__name__} of role {role!r} can't be flattened")


def _points(local: Iterable[XY], transform: Transform) -> tuple[XY, ...]:
    if transform.theta == 0 and transform.zoom[0] == 1:  # our sheets know no other case; six times faster
        (sx, sy), (lx, ly) = transform.shift, transform.localshift
        return tuple((_mm(x + lx + sx), _mm(-(y + ly + sy))) for x, y in local)
    return tuple((_mm(x), _mm(-y)) for x, y in transform.transform_array(list(local)))


def _mm(value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(f"not a length: {value!r}")
    return round(value, 3) + 0.0  # + 0.0 turns -0.0 into 0.0
