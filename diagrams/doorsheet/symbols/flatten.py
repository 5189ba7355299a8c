"""Symbols room: from placed symbols to plain geometry, in millimetres with y down.

What the pieces look like is decided by `doorsheet.page`, which turns each into an item of the display list.
"""

from collections.abc import Iterable, Iterator
from typing import Final, Literal, NamedTuple

from doorsheet.symbols.bare import Segment, SegmentArc, SegmentCircle, SegmentPoly
from doorsheet.symbols.base import XY, Symbol

__all__ = ["Piece", "flatten"]

_OTHERWISE: Final = ("anchor", "d", "flip", "reverse", "zoom")
"""What schemdraw keeps of an element that is turned, mirrored or scaled: on sheets none is."""


class Piece(NamedTuple):
    """One primitive: a polyline, a closed polygon, or an ellipse about its only point.  mm, y down."""

    kind: Literal["stroke", "area", "oval"]
    points: tuple[XY, ...]
    role: str
    ink: str = ""  # letters of one colour, IEC 60757, for the roles of wires
    origin: str = ""  # what in the mapping the symbol stands for
    rx: float = 0.0  # half axes of an oval
    ry: float = 0.0


def flatten(symbols: Iterable[Symbol]) -> Iterator[Piece]:
    """Yield the plain geometry of symbols, each with its place set by ``at``, in the order given.

    The points are those that ``get_segments()`` of a schemdraw drawing with these symbols has, negated in y;
    role, ink and origin come from the symbols.  Raises ValueError for a symbol without a place, or one that
    is turned, mirrored or scaled.
    """
    for symbol in symbols:
        turned = symbol.params["theta"] or any(name in symbol.params for name in _OTHERWISE)
        if symbol.place is None or turned:
            named = f"{type(symbol).__name__} ({symbol.origin or 'no origin'})"
            raise ValueError(f"{named} needs a place, and nothing else, to stand on a sheet")
        for segment, role, ink in zip(symbol.segments, symbol.roles, symbol.inks, strict=True):
            yield _piece(segment, symbol.place, role, ink, symbol.origin)


def _piece(segment: object, place: XY, role: str, ink: str, origin: str) -> Piece:
    left, up = place

    def moved(*local: XY) -> tuple[XY, ...]:
        return tuple((x + left, -(y + up)) for x, y in local)

    match segment:
        case Segment():
            return Piece("stroke", moved(*segment.path), role, ink, origin)
        case SegmentPoly():
            return Piece("area", moved(*segment.verts), role, ink, origin)
        case SegmentCircle():
            return Piece("oval", moved(segment.center), role, ink, origin, segment.radius, segment.radius)
        case SegmentArc():
            half = segment.width / 2, segment.height / 2
            return Piece("oval", moved(segment.center), role, ink, origin, *half)
    raise ValueError(f"{type(segment).__name__} of role {role!r} can't be flattened")
