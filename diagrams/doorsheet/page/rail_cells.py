"""The terminal rail between controller and drive (page room): a cell with its number on each wire.

A wire ends in the clamp left of its cell and begins again right of it; ways and rows are layout's.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from doorsheet.circuit.parts import Rail
from doorsheet.layout.plan import MeasureText, WireRoute
from doorsheet.layout.plate_words import RAIL_BRIDGE_MM, rail_cell_mm
from doorsheet.page.boxes import rectangle
from doorsheet.page.display import Group, Item, Oval, Point, Role, Stroke, Text
from doorsheet.trade.language import tr

__all__ = ["rail_items", "through_rail"]

_HALF_MM: Final = 2.4  # of a cell's height
_CLAMP_MM: Final = 1.1
_AIR_MM: Final = 1.4
_BRIDGE_MM: Final = 2.7  # from a cell's right edge to the middle of bridges
_DOT_MM: Final = 1.1
_NAME_MM: Final = 1.7  # from a cell up to the name's baseline
_TICK_MM: Final = 2.0


def rail_items(
    rail: Rail | None,
    routes: tuple[WireRoute, ...],
    x: float,
    y: Callable[[float], float],
    cap: float,
    measure: MeasureText,
    stubs: Mapping[str, float],
) -> Iterator[Item]:
    """Yield the rail's cells, its name and its frame; `x` is its middle, `y` gives the place of a row, mm.

    `stubs` are the rows of wires that end there.
    """
    if rail is None:
        return
    half = rail_cell_mm(rail, cap, measure) / 2
    rows = [(float(route.corners[0].row), route.wire) for route in routes]
    rows += [(row, wire) for wire, row in stubs.items()]
    left = RAIL_BRIDGE_MM / 2 if rail.bridges else 0.0
    if not rows:
        return
    yield Group(
        "rail",
        tuple(_frame(rail, x, y(min(rows)[0]), y(max(rows)[0]), half, cap, measure)),
        tr("rail {rail}", rail=rail.name),
    )
    for row, wire in sorted(rows):
        number, middle = str(rail.number(wire)), y(row)
        cell = (
            rectangle(x - half, middle - _HALF_MM, 2 * half, 2 * _HALF_MM, Role.CELL),
            Oval(x - half, middle, _CLAMP_MM, _CLAMP_MM, Role.HOLE),
            Oval(x + half, middle, _CLAMP_MM, _CLAMP_MM, Role.HOLE),
            Text(
                x - left, middle + cap / 2, number, cap,
                measure(number, cap, True), "middle", True,
            ),
        )  # fmt: skip
        yield Group(f"rail-{number}", cell, tr("terminal {label}", label=rail.label(wire)))

    at = {wire: row for row, wire in rows}
    yield from _bridges(rail, {wire: y(row) for wire, row in at.items()}, x + half - _BRIDGE_MM)


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


def through_rail(
    points: tuple[tuple[float, float], ...], rail: Rail | None, x: float, cap: float, measure: MeasureText
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Return the pieces of a wire's way, mm: it ends in the clamp left of its cell and begins right of it."""
    if rail is None:
        return (points,)
    half, row = rail_cell_mm(rail, cap, measure) / 2, points[0][1]
    return (points[0], (x - half, row)), ((x + half, row), *points[1:])


def _frame(
    rail: Rail, x: float, first: float, last: float, half: float, cap: float, measure: MeasureText
) -> Iterator[Item]:
    """Yield name and frame, which is open at its sides, where the wires go through."""
    wide = measure(rail.name, cap, True)
    baseline = first - _HALF_MM - _NAME_MM
    yield Text(x, baseline, rail.name, cap, wide, "middle", True)
    reach = max(half + _CLAMP_MM, wide / 2) + 1.0
    for edge, inward in ((baseline - cap - _AIR_MM, 1), (last + _HALF_MM + _AIR_MM, -1)):
        tick = edge + inward * _TICK_MM
        corners = ((x - reach, tick), (x - reach, edge), (x + reach, edge), (x + reach, tick))
        yield Stroke(tuple(Point(*corner) for corner in corners), Role.RULE)
