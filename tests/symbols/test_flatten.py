"""Flattening agrees with schemdraw's own reading of the drawing, and refuses what it would get wrong."""

from __future__ import annotations

import math

import pytest
from schemdraw import Drawing
from schemdraw.elements import ResistorIEC
from schemdraw.segments import Segment, SegmentArc, SegmentCircle, SegmentPoly

from doorsheet.symbols import (
    Contact,
    Earth,
    IsolatedOutput,
    Symbol,
    TerminalCell,
    WirePath,
    assemble,
    flatten,
)
from tests.symbols.catalogue import everything


def compare(drawing: Drawing) -> None:
    """Hold `flatten` against `Drawing.get_segments`, piece by piece."""
    pieces, segments = flatten(drawing), drawing.get_segments()
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


def test_agrees_with_get_segments_for_every_symbol() -> None:
    compare(assemble(s.at((3.3 * n, -2.5 * n)) for n, s in enumerate(everything())))


def test_agrees_when_turned_mirrored_and_scaled() -> None:
    def some() -> list[Symbol]:
        return [IsolatedOutput(10.0), Contact(10.0), TerminalCell(14.0, 5.0), Earth()]

    for n, s in enumerate(some()):
        turned = s.at((10.0 * n, 5.0))
        turned.theta(90 * (n + 1))
        compare(assemble([turned]))
    for n, s in enumerate(some()):
        scaled = s.at((10.0 * n, 5.0))
        scaled.scale(1.5)
        compare(assemble([scaled]))
    for n, s in enumerate(some()):
        mirrored = s.at((10.0 * n, 5.0))
        mirrored.flip().reverse()
        compare(assemble([mirrored]))


def test_order_role_ink_and_origin_are_kept() -> None:
    wire = WirePath([(0, 0), (10, 0)], "WH", "BN", origin="wire 3")
    pieces = flatten(assemble([Earth(origin="screen").at((1, 2)), wire.at((5, -7.5))]))
    assert [p.origin for p in pieces] == ["screen"] * 4 + ["wire 3"] * 3
    assert [(p.role, p.ink) for p in pieces[4:]] == [
        ("wire-edge", ""),
        ("wire-core", "WH"),
        ("wire-tracer", "BN"),
    ]
    assert pieces[0].points == ((1.0, -2.0), (1.0, 0.5)), "y grows downwards"
    assert pieces[4].points == ((5.0, 7.5), (15.0, 7.5))


def test_numbers_are_snapped_and_never_minus_zero() -> None:
    pieces = flatten(assemble([WirePath([(0.1 + 0.2, 0.0), (3.0, 0.0)], "WH").at((0, 0))]))
    assert pieces[0].points == ((0.3, 0.0), (3.0, 0.0))
    assert all(math.copysign(1, v) == 1 for v in pieces[0].points[0])


def test_a_symbol_does_not_turn_with_the_element_before() -> None:
    drawing = Drawing(show=False)
    drawing.add(ResistorIEC().up())
    assert drawing.theta == 90, "schemdraw's pen is turned"
    earth = Earth().at((0, 0))
    drawing.add(earth)
    assert earth.transform.theta == 0


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_coordinates_that_are_no_numbers_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="not a length"):
        flatten(assemble([Earth().at((bad, 0))]))


def test_elements_without_roles_are_refused() -> None:
    drawing = Drawing(show=False)
    drawing.add(ResistorIEC().at((0, 0)))
    with pytest.raises(ValueError, match="ResistorIEC has segments without a role"):
        flatten(drawing)
    labelled = Earth().at((0, 0))
    labelled.label("PE")
    with pytest.raises(ValueError, match="Earth has segments without a role"):
        flatten(assemble([labelled]))


def test_unequal_zoom_is_refused() -> None:
    squeezed = TerminalCell(14.0).at((0, 0))
    squeezed.scalex(2)
    with pytest.raises(ValueError, match="zoomed unequally"):
        flatten(assemble([squeezed]))


def test_a_symbol_needs_a_place_and_is_used_once() -> None:
    with pytest.raises(ValueError, match=r"Earth \(no origin\) is without a place"):
        assemble([Earth()])
    earth = Earth(origin="screen").at((0, 0))
    assemble([earth])
    with pytest.raises(ValueError, match=r"Earth \(screen\) is used already"):
        assemble([earth])


def test_anchors_are_on_the_sheet_after_placing() -> None:
    part = IsolatedOutput(10.0, plus_first=False, origin="run").at((100, -50))
    assemble([part])
    assert (part["plus"], part["minus"]) == ((100, -60), (100, -50))
