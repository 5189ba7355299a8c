"""The terminal rail between controller and drive: a cell with its number on each wire.

A wire ends in the clamp left of its cell and begins again right of it; ways and rows are layout's.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from doorsheet.circuit.parts import Rail
from doorsheet.layout.plate_words import RAIL_BRIDGE_MM, rail_cell_mm
from doorsheet.page.boxes import line, rectangle
from doorsheet.page.display import Group, Item, Oval, Point, Role, Stroke
from doorsheet.page.places import Places, Way
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import text_width

__all__ = ["rail_items", "through_rail"]

_HALF_MM: Final = 2.4  # of a cell's height
_CLAMP_MM: Final = 1.1
_AIR_MM: Final = 1.4
_BRIDGE_MM: Final = 2.7  # from a cell's right edge to the middle of bridges
_DOT_MM: Final = 1.1
_NAME_MM: Final = 1.7  # from a cell up to the name's baseline
_TICK_MM: Final = 2.0


def rail_items(at: Places, stubs: Mapping[str, float]) -> Iterator[Item]:
    """Yield the rail's cells, its name and its frame; `stubs` are the rows of wires that end there."""
    rail, x, cap = at.circuit.rail, at.rail_x, at.plan.size.text
    rows = [(float(route.corners[0].row), route.wire) for route in at.plan.routes]
    rows += [(row, wire) for wire, row in stubs.items()]
    if rail is None or not rows:
        return
    half = rail_cell_mm(rail, cap) / 2
    left = RAIL_BRIDGE_MM / 2 if rail.bridges else 0.0
    frame = tuple(_frame(at, rail, at.y(min(rows)[0]), at.y(max(rows)[0]), half))
    yield Group("rail", frame, tr("rail {rail}", rail=rail.name))
    for row, wire in sorted(rows):
        number, middle = str(rail.number(wire)), at.y(row)
        cell = (
            rectangle(x - half, middle - _HALF_MM, 2 * half, 2 * _HALF_MM, Role.CELL),
            Oval(x - half, middle, _CLAMP_MM, _CLAMP_MM, Role.HOLE),
            Oval(x + half, middle, _CLAMP_MM, _CLAMP_MM, Role.HOLE),
            line(x - left, middle + cap / 2, number, cap, True, anchor="middle"),
        )
        yield Group(f"rail-{number}", cell, tr("terminal {label}", label=rail.label(wire)))
    yield from _bridges(rail, {wire: at.y(row) for row, wire in rows}, x + half - _BRIDGE_MM)


def _bridges(rail: Rail, at: Mapping[str, float], x: float) -> Iterator[Item]:
    """Yield each bridge: a bar over the cells right of their numbers, a dot on each that it joins."""
    for group in rail.bridges:
        own = [at[wire] for wire in group if wire in at]
        if own:  # one alone is bridged to another sheet's
            bar = [rectangle(x - 0.5, min(own), 1.0, max(own) - min(own), Role.LINK_BAR)] * (len(own) > 1)
            dots = (Oval(x, row, _DOT_MM, _DOT_MM, Role.DISC) for row in own)
            names = " ".join(rail.label(wire) for wire in group if wire in at)
            yield Group(
                f"bridge-{rail.number(group[0])}", (*bar, *dots), tr("bridge {terminals}", terminals=names)
            )


def through_rail(at: Places, points: Way) -> tuple[Way, ...]:
    """Return the pieces of a wire's way, mm: it ends in the clamp left of its cell and begins right of it."""
    rail, x = at.circuit.rail, at.rail_x
    if rail is None:
        return (points,)
    half, row = rail_cell_mm(rail, at.plan.size.text) / 2, points[0][1]
    return (points[0], (x - half, row)), ((x + half, row), *points[1:])


def _frame(at: Places, rail: Rail, first: float, last: float, half: float) -> Iterator[Item]:
    """Yield name and frame, which is open at its sides, where the wires go through."""
    x, cap = at.rail_x, at.plan.size.text
    baseline = first - _HALF_MM - _NAME_MM
    yield line(x, baseline, rail.name, cap, True, anchor="middle")
    reach = max(half + _CLAMP_MM, text_width(rail.name, cap, True) / 2) + 1.0
    for edge, inward in ((baseline - cap - _AIR_MM, 1), (last + _HALF_MM + _AIR_MM, -1)):
        tick = edge + inward * _TICK_MM
        corners = ((x - reach, tick), (x - reach, edge), (x + reach, edge), (x + reach, tick))
        yield Stroke(tuple(Point(*corner) for corner in corners), Role.RULE)
