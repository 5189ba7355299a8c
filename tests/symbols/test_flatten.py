"""Flattening agrees with schemdraw's own reading of a drawing, and refuses what it would get wrong."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from schemdraw import Drawing
from schemdraw.elements import ResistorIEC
from schemdraw.segments import Segment, SegmentArc, SegmentCircle, SegmentPoly

from doorsheet.symbols import (
    Earth,
    IsolatedOutput,
    Symbol,
    TerminalCell,
    WirePath,
    flatten,
)
from tests.symbols.catalogue import everything


def drawn(*symbols: Symbol) -> Drawing:
    drawing = Drawing(show=False)
    for symbol in symbols:
        drawing.add(symbol)
    return drawing


def test_agrees_with_get_segments_for_every_symbol() -> None:
    placed = [s.at((3.3 * n, -2.5 * n)) for n, s in enumerate(everything())]
    pieces, segments = list(flatten(placed)), drawn(*placed).get_segments()
    assert len(pieces) == len(segments) > 0
    for piece, segment in zip(pieces, segments, strict=True):
        match segment:
            case Segment():
                kind, points, radii = "stroke", segment.path, (0.0, 0.0)
            case SegmentPoly():
                kind, points, radii = "area", segment.verts, (0.0, 0.0)
            case SegmentCircle():
                kind, points, radii = "oval", [segment.center], (segment.radius, segment.radius)
            case SegmentArc():
                kind, points, radii = "oval", [segment.center], (segment.width / 2, segment.height / 2)
            case _:
                raise AssertionError(segment)
        assert piece.kind == kind
        assert (piece.rx, piece.ry) == pytest.approx(radii, abs=0.0006)
        assert len(piece.points) == len(points)
        for (x, y), (sx, sy) in zip(piece.points, points, strict=True):
            assert (x, y) == pytest.approx((sx, -sy), abs=0.0006)


@pytest.mark.parametrize(
    "turn",
    [
        lambda s: s.theta(90), lambda s: s.up(), lambda s: s.scale(1.5), lambda s: s.scalex(2),
        lambda s: s.flip(), lambda s: s.reverse(), lambda s: s.anchor("last"),
    ],
)  # fmt: skip
def test_what_is_not_just_placed_is_refused(turn: Callable[[Symbol], object]) -> None:
    symbol = TerminalCell(14.0, 5.0).at((3.0, 5.0))
    assert list(flatten([symbol]))
    turn(symbol)
    with pytest.raises(ValueError, match="needs a place, and nothing else"):
        list(flatten([symbol]))


def test_order_role_ink_and_origin_are_kept() -> None:
    wire = WirePath([(0, 0), (10, 0)], "WH", "BN", origin="wire 3")
    pieces = list(flatten([Earth(origin="screen").at((1, 2)), wire.at((5, -7.5))]))
    assert [p.origin for p in pieces] == ["screen"] * 4 + ["wire 3"] * 3
    assert [(p.role, p.ink) for p in pieces[4:]] == [
        ("wire-edge", ""),
        ("wire-core", "WH"),
        ("wire-tracer", "BN"),
    ]
    assert pieces[0].points == ((1.0, -2.0), (1.0, 0.5)), "y grows downwards"
    assert pieces[4].points == ((5.0, 7.5), (15.0, 7.5))


def test_a_symbol_does_not_turn_with_the_element_before() -> None:
    drawing = Drawing(show=False)
    drawing.add(ResistorIEC().up())
    assert drawing.theta == 90, "schemdraw's pen is turned"
    earth = Earth().at((0, 0))
    drawing.add(earth)
    assert earth.transform.theta == 0


def test_a_symbol_needs_a_place() -> None:
    with pytest.raises(ValueError, match=r"Earth \(no origin\) needs a place"):
        list(flatten([Earth()]))
    other = drawn(Earth().at((1.0, 2.0)))
    with pytest.raises(ValueError, match=r"Earth \(screen\) needs a place"):
        list(flatten([Earth(origin="screen").at((other.elements[0], "top"))]))


def test_anchors_are_on_the_sheet_after_placing() -> None:
    part = IsolatedOutput(10.0, plus_first=False, origin="run").at((100, -50))
    drawn(part)
    assert (part["plus"], part["minus"]) == ((100, -60), (100, -50))
