"""A laid-out sheet put on its page, in millimetres; what a stop adds to it."""

from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.circuit.parts import Circuit
from doorsheet.layout.plan import Crossings, WireRoute
from doorsheet.layout.plate_words import plate_text, way_mm
from doorsheet.page.boxes import line, rectangle, shifted
from doorsheet.page.display import Area, Group, Item, Page, Point, Role, Stroke
from doorsheet.page.findings import Told, flag_mm, flags
from doorsheet.page.fit import BORDER_MM, MARGIN_MM, Asked, Fitted
from doorsheet.page.places import Places
from doorsheet.page.surroundings import extra_words, stage_words
from doorsheet.page.title_block import label_on
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL, text_width

__all__ = ["finished_page"]

_HATCH_MM: Final = 6.0
_STRIKE_MM: Final = 4.5
"""What a double stroke takes of a wire, before the drawing is enlarged."""


def finished_page(asked: Asked, fitted: Fitted) -> Page:
    """Return the page of a sheet that fits."""
    circuit, paper = fitted.ordered.circuit, fitted.paper
    left, top, _, height = fitted.box
    wide, high = paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM
    items: list[Item] = [rectangle(MARGIN_MM, MARGIN_MM, wide, high, Role.SHEET_FRAME)]
    if asked.stopped:
        items.append(Group("stop-border", tuple(_border(paper.width_mm, paper.height_mm))))
    items += shifted(fitted.around.upper.items, left, top)
    described = _described(circuit, fitted.crossings)
    items.append(Group("schematic", tuple(_schematics(fitted)), description=described))
    items += shifted(fitted.around.lower.items, left, top + height - fitted.around.lower.height)
    what = tr("drive control wiring, {stage}", stage=stage_words(circuit))
    return Page(
        width=paper.width_mm,
        height=paper.height_mm,
        items=tuple(items),
        title=f"{asked.mapping.machine}: {what}",
        description=described,
        source_name=circuit.source.name,
        source_text=circuit.source.text,
        crossings=fitted.crossings,
        label=label_on(fitted.ordered) if asked.binding.title_block else None,
    )


def _schematics(fitted: Fitted) -> Iterator[Item]:
    """Yield the schematic, or those that stand side by side, the air shared evenly."""
    from doorsheet.page.schematic import draw_schematic  # the one way in for schemdraw

    left, _, width, _ = fitted.box
    first, last = fitted.area
    stops = [one for one in fitted.told if one.stops]
    size = fitted.panels[0].plan.size
    beside = flag_mm(stops, CAP_SMALL * size.small)
    wide = [(at.x(at.plan.columns.end) + beside) * size.zoom for at in fitted.panels]
    high = max(at.y(at.plan.bottom) for at in fitted.panels) * size.zoom
    air = (width - sum(wide)) / (len(wide) + 1)
    for index, at in enumerate(fitted.panels):
        # rounded, so that rows keep exact distances
        x0 = round(left + sum(wide[:index]) + (index + 1) * air, 1)
        y0 = round(first + (last - first - high) / 2, 1)
        yield from shifted([*draw_schematic(at), *_stop_marks(at, stops)], x0, y0, size.zoom)


# --- a stop --------------------------------------------------------------


def _border(width: float, height: float) -> Iterator[Item]:
    """Yield the hatched border inside the page's frame, and the thin frame within it."""
    left, top, right, bottom = MARGIN_MM, MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM
    b = BORDER_MM - 0.5
    bands = (
        (left, top, right, top + b),
        (left, bottom - b, right, bottom),
        (left, top + b, left + b, bottom - b),
        (right - b, top + b, right, bottom - b),
    )
    steps = int((right - left + bottom - top) / (2 * _HATCH_MM)) + 1
    for step in range(steps):
        start = left + top + 2 * _HATCH_MM * step  # of the stripe where x + y runs from here on
        for band in bands:
            corners = _stripe(band, start, start + _HATCH_MM)
            if len(corners) > 2:
                yield Area(corners, Role.STOP_FILL)
    inner = (left + b, top + b, right - left - 2 * b, bottom - top - 2 * b)
    yield rectangle(*inner, Role.BOX)


def _stripe(band: tuple[float, float, float, float], low: float, high: float) -> tuple[Point, ...]:
    """Return the part of an upright rectangle where x + y lies between two values."""
    left, top, right, bottom = band
    corners = [(left, top), (right, top), (right, bottom), (left, bottom)]
    for limit, side in ((low, 1.0), (high, -1.0)):
        kept: list[tuple[float, float]] = []
        for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
            a, b = side * (ax + ay - limit), side * (bx + by - limit)
            if a >= 0:
                kept.append((ax, ay))
            if a * b < 0:
                share = a / (a - b)
                kept.append((ax + share * (bx - ax), ay + share * (by - ay)))
        corners = kept
        if not corners:
            break
    return tuple(Point(x, y) for x, y in dict.fromkeys((round(x, 3), round(y, 3)) for x, y in corners))


def _stop_marks(at: Places, stops: Sequence[Told]) -> Iterator[Item]:
    """Yield what marks each stop: an outline round its rows, a flag beside them, strokes over its wires."""
    cells = {t.terminal: t for placed in at.plan.right for t in placed.terminals}
    struck: set[str] = set()
    for entry in stops:
        for route in at.plan.routes:
            if route.wire in entry.wires and route.wire not in struck:
                struck.add(route.wire)
                yield from _struck(at, route)
    here = ((cells[terminal], words) for terminal, words in flags(stops).items() if terminal in cells)
    for cell, words in here:
        x0, x1 = at.x(at.plan.columns.far) - 2.2, at.x(at.plan.columns.end) + 1.0
        top, bottom = at.y(cell.top) + 0.55, at.y(cell.bottom) - 0.55
        outline = (Point(x0, top), Point(x1, top), Point(x1, bottom), Point(x0, bottom))
        yield Area(outline, Role.STOP_MARK)
        cap = CAP_SMALL * at.plan.size.small
        y, half = (top + bottom) / 2, 1.05 * cap
        wide = text_width(words, cap, True) + 2.4
        tip = x1 + 0.6
        flag = ((tip, y), (tip + 2.0, y - half), (tip + 2.0 + wide, y - half),
                (tip + 2.0 + wide, y + half), (tip + 2.0, y + half))  # fmt: skip
        yield Area(tuple(Point(*corner) for corner in flag), Role.STOP_FILL)
        yield line(tip + 2.6, y + cap / 2, words, cap, True, Role.TEXT_INVERSE)


def _struck(at: Places, route: WireRoute) -> Iterator[Item]:
    """Yield a double stroke across a wire near its drive's end, where nothing is written."""
    columns, size = at.plan.columns, at.plan.size
    wire = at.circuit.wire(route.wire)
    half = text_width(plate_text(wire, at.circuit, size), size.text, True) / 2 + 1.2
    begins = at.x(columns.label) + half
    if wire.way and at.circuit.in_line:  # behind what is drawn in its way
        begins = at.x(columns.way) + way_mm(wire, at.circuit, size)
    first, last, to = route.corners[0], route.corners[-1], at.x(route.corners[-1].col) - 2.9
    near = [at.x(col) for col in (columns.near_ring, columns.rail) if col is not None]
    free = [(begins, min([at.x(route.corners[1].col) - 2.9, *(x - 9.0 for x in near)]), first)]
    if columns.far_ring is not None:
        to = at.x(columns.far_ring) - 3.0
    if route.straight:
        after = [at.rail_x + 9.0] if columns.rail is not None else []
        free = [(max([begins, *after]), to, last)]
    elif columns.far_label is not None:
        plate = at.x(columns.far_label)
        free += [(at.x(route.corners[-2].col) + 1.0, plate - half, last), (plate + half, to, last)]
    else:
        free.append((at.x(route.corners[-2].col) + 1.0, to, last))
    begin, stop, corner = max(free, key=lambda stretch: stretch[1] - stretch[0])
    if stop - begin < _STRIKE_MM:
        return  # nowhere is nothing written: its terminal is outlined all the same
    x, y = stop - min(8.0, (stop - begin) / 2) - 0.9, at.y(corner.row)
    for shift in (0.0, 1.8):
        yield Stroke((Point(x + shift - 0.7, y + 2.0), Point(x + shift + 0.7, y - 2.0)), Role.STOP_MARK)


def _described(circuit: Circuit, crossings: Crossings) -> str:
    wires = "; ".join(
        tr(
            "wire {wire} from {near} to {far}, {job}",
            wire=f"{wire.number} {wire.colour.letters}", near=wire.near.full,
            far=f"{circuit.lands(wire)}{circuit.through(wire)}", job=wire.job,
        )
        for wire in (*circuit.conductors, *circuit.stubs)
    )  # fmt: skip
    accepted = f" {extra_words(crossings.extra)}" if crossings.extra else ""
    return tr("Reduced control schematic.") + f" {wires}.{accepted}"
