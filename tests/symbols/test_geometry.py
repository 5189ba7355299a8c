"""What every symbol keeps to, and what makes each of them right in the trade's eyes."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest

from doorsheet.page.display import Role
from doorsheet.symbols import (
    AnalogSource,
    Bus,
    Contact,
    DriveContact,
    HandSwitch,
    IsolatedOutput,
    LinkBar,
    LinkBracket,
    OpenCollector,
    Piece,
    Potentiometer,
    ScreenRing,
    SingleRow,
    Symbol,
    TerminalCell,
    WirePath,
    assemble,
    flatten,
)
from doorsheet.symbols.base import ROLES, LeftPart
from tests.symbols.catalogue import EVERYTHING, LEFT, SPANS

XY = tuple[float, float]
Leg = tuple[XY, XY]


def pieces_of(symbol: Symbol) -> tuple[Piece, ...]:
    """Geometry of one symbol at (0, 0): mm, y DOWN."""
    return flatten(assemble([symbol.at((0, 0))]))


def strokes(pieces: tuple[Piece, ...], *roles: str) -> list[tuple[XY, ...]]:
    return [p.points for p in pieces if p.kind == "stroke" and (not roles or p.role in roles)]


def legs(points: tuple[XY, ...]) -> list[Leg]:
    return list(pairwise(points))


def level(leg: Leg) -> bool:
    (ax, ay), (bx, by) = leg
    return (ax == bx) is not (ay == by)


def heads(pieces: tuple[Piece, ...]) -> list[tuple[XY, ...]]:
    """Arrow heads, tip first."""
    return [p.points for p in pieces if p.kind == "area" and p.role == "symbol-solid" and len(p.points) == 3]


def on_leg(point: XY, leg: Leg, slack: float = 0.002) -> bool:
    (ax, ay), (bx, by) = leg
    return math.dist(leg[0], point) + math.dist(point, leg[1]) <= math.dist((ax, ay), (bx, by)) + slack


def pin_stroke(pieces: tuple[Piece, ...], pin: XY) -> tuple[XY, ...]:
    """The only stroke that ends at a pin, turned so that the pin is last."""
    found = [s for s in strokes(pieces) if pin in (s[0], s[-1])]
    assert len(found) == 1, f"{len(found)} strokes at {pin}"
    return found[0] if found[0][-1] == pin else found[0][::-1]


def test_roles_are_those_of_the_display_list() -> None:
    assert {role.value for role in Role} >= ROLES
    drawn = {piece.role for make in EVERYTHING.values() for piece in pieces_of(make())}
    assert drawn == ROLES


def extent(pieces: tuple[Piece, ...]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what is drawn: mm, y DOWN."""
    xs = [x + side for p in pieces for x, _ in p.points for side in (-p.rx, p.rx)]
    ys = [y + side for p in pieces for _, y in p.points for side in (-p.ry, p.ry)]
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("span", SPANS)
@pytest.mark.parametrize("name", LEFT)
def test_left_part_box_and_rows(name: str, span: float) -> None:
    part = LEFT[name](span)
    whole = part.span
    pieces = pieces_of(part)
    left, top, right, bottom = extent(pieces)
    higher = 4.0 if isinstance(part, AnalogSource) else 2.5
    assert left >= -20.0 - 1e-9 and right <= 1e-9
    assert top >= -higher - 1e-9 and bottom <= whole + higher + 1e-9
    pins = [y for pin, (_, y) in part.anchors.items() if pin != "centre"]
    assert len(pins) == (3 if isinstance(part, Potentiometer) else 2)
    assert {0.0, -whole} <= set(pins)
    for row in (0.0, -whole):
        lead = legs(pin_stroke(pieces, (0.0, -row + 0.0)))
        assert lead[-1][0][1] == lead[-1][1][1] and lead[-1][0][0] < 0, "comes in level, from the left"
        assert all(level(leg) for leg in lead[1:])
    touching = [s for s in strokes(pieces) if any(x == 0 for x, _ in s)]
    assert len(touching) == len(pins), "nothing but the leads touches x = 0"


@pytest.mark.parametrize("name", EVERYTHING)
def test_no_line_runs_along_another(name: str) -> None:
    """No two straight stretches of one symbol lie on each other, box edges counted."""
    pieces = [p for p in pieces_of(EVERYTHING[name]()) if not p.role.startswith("wire-")]
    stretches: list[tuple[int, Leg]] = []
    for place, piece in enumerate(pieces):
        if piece.kind == "stroke":
            stretches += [(place, leg) for leg in legs(piece.points)]
        elif piece.kind == "area" and piece.role != "symbol-solid":
            stretches += [(place, leg) for leg in legs((*piece.points, piece.points[0]))]
    for (i, a), (j, b) in combinations(stretches, 2):
        if i == j or not (level(a) and level(b)):
            continue
        for along, across in ((0, 1), (1, 0)):
            lines = {a[0][across], a[1][across], b[0][across], b[1][across]}
            if len(lines) == 1:
                low = max(min(a[0][along], a[1][along]), min(b[0][along], b[1][along]))
                high = min(max(a[0][along], a[1][along]), max(b[0][along], b[1][along]))
                assert high - low <= 0, (pieces[i], pieces[j])


@pytest.mark.parametrize("span", [math.nan, math.inf, 0.0, -10.0, 7.4])
def test_unfit_spans_are_refused(span: float) -> None:
    for name, make in LEFT.items():
        if not name.startswith("pot"):
            with pytest.raises(ValueError, match=r"7\.5 mm"):
                make(span)
    with pytest.raises(ValueError, match=r"7\.5 mm"):
        DriveContact(span)


@pytest.mark.parametrize(
    ("up", "down"), [(math.nan, 7.5), (7.5, math.inf), (2.0, 7.5), (7.5, -1.0), (3.0, 3.0)]
)
def test_unfit_potentiometers_are_refused(up: float, down: float) -> None:
    with pytest.raises(ValueError, match="mm"):
        Potentiometer(up, down)


def test_a_slanted_lead_cannot_be_drawn() -> None:
    for way in ([(0, 0), (3, 1)], [(0, 0), (0, 0)]):
        with pytest.raises(ValueError, match="slanted or empty"):
            Symbol().lead(*way)
        with pytest.raises(ValueError, match="slanted or empty"):
            WirePath(way, "WH")
        with pytest.raises(ValueError, match="slanted or empty"):
            Bus(way)
    with pytest.raises(ValueError, match="two ends"):
        WirePath([(0, 0)], "WH")


def emitter_tips(pieces: tuple[Piece, ...], lead: tuple[XY, ...]) -> list[tuple[XY, ...]]:
    """Arrow heads whose tip lies on the slanted beginning of `lead`."""
    return [head for head in heads(pieces) if on_leg(head[0], legs(lead)[0]) and not level(legs(lead)[0])]


def outward(head: tuple[XY, ...], limb: Leg) -> bool:
    """Whether an arrow head points along `limb`, from its first end to its second."""
    back = ((head[1][0] + head[2][0]) / 2, (head[1][1] + head[2][1]) / 2)
    (ax, ay), (bx, by) = limb
    along = (head[0][0] - back[0]) * (bx - ax) + (head[0][1] - back[1]) * (by - ay)
    assert abs(along) > 0.99 * math.dist(head[0], back) * math.dist(*limb), "the arrow lies on the limb"
    return along > 0


def base_bar(pieces: tuple[Piece, ...]) -> Leg:
    """The longest thick stroke of a transistor symbol."""
    thick = strokes(pieces, "symbol-thick")
    first, last = max(thick, key=lambda s: math.dist(s[0], s[-1]))
    return (first, last)


@pytest.mark.parametrize("plus_first", [True, False])
@pytest.mark.parametrize("span", SPANS)
def test_isolated_output_collector_to_plus_emitter_to_minus(span: float, plus_first: bool) -> None:
    part = IsolatedOutput(span, plus_first)
    assert part.anchors["plus"] == (0.0, 0.0 if plus_first else -span)
    assert part.anchors["minus"] == (0.0, -span if plus_first else 0.0)
    pieces = pieces_of(part)
    plus = pin_stroke(pieces, (0.0, -part.anchors["plus"][1] + 0.0))
    minus = pin_stroke(pieces, (0.0, -part.anchors["minus"][1] + 0.0))
    bar = base_bar(pieces)
    assert on_leg(plus[0], bar) and on_leg(minus[0], bar), "both limbs leave the base"
    assert not emitter_tips(pieces, plus)
    (head,) = emitter_tips(pieces, minus)
    assert outward(head, legs(minus)[0]), "NPN: the arrow points out of the base"


@pytest.mark.parametrize("signal_first", [True, False])
@pytest.mark.parametrize("span", SPANS)
def test_open_collector_joins_what_it_says(span: float, signal_first: bool) -> None:
    sink = OpenCollector(span, "minus", signal_first)
    pieces = pieces_of(sink)
    signal = pin_stroke(pieces, (0.0, -sink.anchors["signal"][1] + 0.0))
    common = pin_stroke(pieces, (0.0, -sink.anchors["common"][1] + 0.0))
    assert not emitter_tips(pieces, signal)
    (head,) = emitter_tips(pieces, common)
    assert outward(head, legs(common)[0]), "NPN: the arrow points out of the base"

    source = OpenCollector(span, "plus", signal_first)
    pieces = pieces_of(source)
    bar = base_bar(pieces)
    signal = pin_stroke(pieces, (0.0, -source.anchors["signal"][1] + 0.0))
    common = pin_stroke(pieces, (0.0, -source.anchors["common"][1] + 0.0))
    assert on_leg(signal[0], bar) and not emitter_tips(pieces, signal), "the collector leads to the signal"
    assert not on_leg(common[0], bar), "the common row isn't on the transistor"
    emitters = [s for s in strokes(pieces, "symbol") if s not in (signal, common) and emitter_tips(pieces, s)]
    (emitter,) = emitters
    (head,) = emitter_tips(pieces, emitter)
    assert on_leg(emitter[0], bar) and not outward(head, legs(emitter)[0]), "PNP: the arrow points in"
    rails = [s for s in strokes(pieces, "symbol-thick") if on_leg(emitter[-1], (s[0], s[-1]))]
    assert len(rails) == 1, "the emitter ends at the plus rail"


@pytest.mark.parametrize("make", [Contact, HandSwitch, DriveContact])
@pytest.mark.parametrize("span", SPANS)
def test_open_contact_is_open(make: type[Contact] | type[DriveContact], span: float) -> None:
    pieces = pieces_of(make(span))
    blade = next(s for s in strokes(pieces, "symbol-thick") if not level((s[0], s[-1])))
    fixed = pin_stroke(pieces, (0.0, 0.0))[0]
    moving = pin_stroke(pieces, (0.0, span))[0]
    assert blade[0] == moving
    slant = math.degrees(math.atan2(abs(blade[1][0] - blade[0][0]), blade[0][1] - blade[1][1]))
    assert slant == pytest.approx(30, abs=0.1)
    assert math.dist(blade[1], fixed) > 2, "clear air between blade and fixed side"


@pytest.mark.parametrize("make", [Contact, DriveContact])
@pytest.mark.parametrize("span", SPANS)
def test_closed_contact_crosses_its_tick(make: type[Contact] | type[DriveContact], span: float) -> None:
    pieces = pieces_of(make(span, "closed"))
    (blade,) = strokes(pieces, "symbol-thick")
    fixed = pin_stroke(pieces, (0.0, 0.0))[0]
    (tick,) = [s for s in strokes(pieces, "symbol") if fixed in s and (0.0, 0.0) not in s]
    share = (blade[0][1] - tick[0][1]) / (blade[0][1] - blade[1][1])
    x = blade[0][0] + share * (blade[1][0] - blade[0][0])
    assert 0 < share < 1 and tick[0][0] < x < tick[1][0]


@pytest.mark.parametrize("roomy", [False, True])
@pytest.mark.parametrize("span", SPANS)
def test_analog_source_keeps_its_circle_free_for_text(span: float, roomy: bool) -> None:
    part = AnalogSource(span, roomy=roomy)
    pieces = pieces_of(part)
    (circle,) = [p for p in pieces if p.kind == "oval"]
    (cx, cy) = circle.points[0]
    assert (cx, -cy) == part.anchors["centre"]
    width, height = 11.8 if roomy else 9.2, 7.2
    assert math.hypot(width / 2, height / 2) < circle.rx - 0.3
    for stroke in strokes(pieces):
        assert math.dist(stroke[0], (cx, cy)) == pytest.approx(circle.rx, abs=0.002), "begins on the rim"
        assert all(math.dist(p, (cx, cy)) >= circle.rx - 0.002 for p in stroke)
        (ax, ay), (bx, by) = legs(stroke)[0]
        outward = (bx - ax) * (ax - cx) + (by - ay) * (ay - cy)
        assert outward > 0.4 * math.dist((ax, ay), (bx, by)) * circle.rx, "not along the rim"


@pytest.mark.parametrize("roomy", [False, True])
@pytest.mark.parametrize("span", SPANS)
def test_an_analog_source_is_as_wide_as_its_word(span: float, roomy: bool) -> None:
    wide, high = 13.7, 3.2
    part = AnalogSource(span, roomy=roomy, word=(wide, high))
    pieces = pieces_of(part)
    (oval,) = [p for p in pieces if p.kind == "oval"]
    (circle,) = [p for p in pieces_of(AnalogSource(span, roomy=roomy)) if p.kind == "oval"]
    assert (wide / 2 / oval.rx) ** 2 + (high / oval.ry) ** 2 < 1, "the word's corners are inside"
    assert oval.ry == circle.ry and oval.rx <= 9.5
    assert circle.rx == circle.ry
    (cx, cy) = oval.points[0]
    for stroke in strokes(pieces):
        x, y = stroke[0]
        assert ((x - cx) / oval.rx) ** 2 + ((y - cy) / oval.ry) ** 2 == pytest.approx(1, abs=0.002)


@pytest.mark.parametrize(
    ("up", "down"), [(7.5, 7.5), (5.0, 10.0), (10.0, 5.0), (40.0, 7.5), (7.5, 40.0), (2.5, 5)]
)
def test_potentiometer_wiper_touches_the_long_side(up: float, down: float) -> None:
    part = Potentiometer(up, down)
    pieces = pieces_of(part)
    (body,) = [p for p in pieces if p.role == "symbol-body"]
    xs, ys = [x for x, _ in body.points], [y for _, y in body.points]
    (tip, *_back) = heads(pieces)[0]
    assert tip == (max(xs), up) and min(ys) < up < max(ys)
    assert max(ys) - min(ys) > max(xs) - min(xs), "upright"
    for pin, end in (("first", min(ys)), ("last", max(ys))):
        lead = pin_stroke(pieces, (0.0, -part.anchors[pin][1] + 0.0))
        assert lead[0] == ((min(xs) + max(xs)) / 2, end)
    assert part.anchors["wiper"] == (0.0, -up)
    assert (0.0, up) in {p for s in strokes(pieces) for p in s}


def test_potentiometer_has_the_usual_proportion_where_there_is_room() -> None:
    (body,) = [p for p in pieces_of(Potentiometer(7.5, 7.5)) if p.role == "symbol-body"]
    (left, bottom), _, (right, top), _ = body.points
    assert 2.7 < abs(top - bottom) / (right - left) < 3.3


@pytest.mark.parametrize("plus_terminal", [True, False])
def test_single_row_emitter_faces_the_minus_side(plus_terminal: bool) -> None:
    pieces = pieces_of(SingleRow("isolated", plus_terminal))
    terminal, bus = pin_stroke(pieces, (0.0, 0.0)), pin_stroke(pieces, (-22.0, 0.0))
    plus, minus = (terminal, bus) if plus_terminal else (bus, terminal)
    assert not emitter_tips(pieces, plus) and len(emitter_tips(pieces, minus)) == 1


def test_single_rows_stack_at_the_closest_rows() -> None:
    left, top, right, bottom = extent(pieces_of(SingleRow("isolated")))
    assert bottom - top <= 6 and (left, right) == (-22.0, 0.0)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("span", [0.0, 5.0, 17.5])
def test_terminal_cell(span: float, side: str) -> None:
    cell = TerminalCell(14.0, span, (3.0, 4.0), "left" if side == "left" else "right")
    out = -1 if side == "left" else 1
    pieces = pieces_of(cell)
    (frame,) = [p for p in pieces if p.role == "cell"]
    assert {x for x, _ in frame.points} == {0.0, out * 14.0}
    assert {y for _, y in frame.points} == {-3.0, 4.0 + span}
    (slot,) = [p for p in pieces if p.role == "hole"]
    if span:  # one outline, as far from the line between its wires everywhere
        for x, y in slot.points:
            assert math.hypot(x, y - min(max(y, 0.0), span)) == pytest.approx(1.5, abs=2e-3)
        assert {min(y for _, y in slot.points), max(y for _, y in slot.points)} == {-1.5, span + 1.5}
    else:
        assert (slot.kind, slot.points[0], slot.rx) == ("oval", (0.0, 0.0), 1.5)
    anchors = cell.anchors
    assert (anchors["first"], anchors["last"]) == ((0.0, 0.0), (0.0, -span))
    assert anchors["back"] == (out * 14.0, 0.0)


def test_terminal_cells_that_make_no_sense_are_refused() -> None:
    for width, span in ((0.0, 0.0), (1.5, 0.0), (math.nan, 0.0), (14.0, -5.0)):
        with pytest.raises(ValueError, match="room for its slot"):
            TerminalCell(width, span)


def test_a_link_bar_stands_between_the_slots() -> None:
    (bar,) = pieces_of(LinkBar(10.0))
    assert bar.role == "link-bar"
    assert {y for _, y in bar.points} == {1.4, 8.6}
    with pytest.raises(ValueError, match="span"):
        LinkBar(0.0)


def test_link_ends_in_dots() -> None:
    pieces = pieces_of(LinkBracket(16.0, 3.0))
    (way,) = strokes(pieces, "link")
    assert way == ((0.0, 0.0), (3.0, 0.0), (3.0, 16.0), (0.0, 16.0))
    dots = [p for p in pieces if p.kind == "oval"]
    assert {p.points[0] for p in dots} == {way[0], way[-1]}
    assert all(2 * p.rx >= 5 * 0.25 for p in dots), "five thin lines across, at least"


def test_ring_and_bus() -> None:
    (ring,) = pieces_of(ScreenRing(14.0))
    assert (ring.kind, ring.rx, ring.ry, ring.role) == ("oval", 1.6, 7.0, "screen")
    assert ScreenRing(14.0).anchors["bottom"] == (0.0, -7.0)
    pieces = pieces_of(Bus([(0, 0), (0, -15)], [(0, -7.5)]))
    assert [(p.kind, p.role) for p in pieces] == [("stroke", "symbol"), ("oval", "symbol-solid")]


def test_wires_lie_in_layers_over_one_way() -> None:
    way = [(0.0, 0.0), (5.0, 0.0), (5.0, -7.5)]
    plain, two = pieces_of(WirePath(way, "WH")), pieces_of(WirePath(way, "GN", "YE"))
    assert [(p.role, p.ink) for p in plain] == [("wire-edge", ""), ("wire-core", "WH")]
    assert [(p.role, p.ink) for p in two] == [("wire-edge", ""), ("wire-core", "GN"), ("wire-tracer", "YE")]
    assert {p.points for p in (*plain, *two)} == {((0.0, 0.0), (5.0, 0.0), (5.0, 7.5))}


def test_part_bodies_keep_their_size_between_far_rows() -> None:
    def body_height(part: LeftPart) -> float:
        ys = [y for p in pieces_of(part) if p.role == "symbol-body" and p.kind == "area" for _, y in p.points]
        return max(ys) - min(ys)

    assert body_height(IsolatedOutput(20.0)) == body_height(IsolatedOutput(80.0)) <= 12.5
    assert body_height(IsolatedOutput(7.5)) <= 12.5
