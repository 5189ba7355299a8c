"""The symbols left of the channel: outputs, switches, potentiometer, sources (page room)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from doorsheet.circuit.parts import Part, PartKind, Pin, Sign, Terminal, of_drive
from doorsheet.layout.plan import GRID_MM, PlacedCluster

if TYPE_CHECKING:
    from doorsheet.symbols import Symbol
    from doorsheet.symbols.single_row import SingleRowKind

__all__ = ["left_symbols", "name_row", "source_centre"]

_SINGLE: Final[dict[PartKind, SingleRowKind]] = {
    PartKind.ISOLATED: "isolated",
    PartKind.CONTACT: "contact",
    PartKind.SWITCH: "contact",
    PartKind.OPEN_COLLECTOR: "open-collector",
    PartKind.HIGH_SIDE: "open-collector-plus",
    PartKind.LOGIC: "logic-level",
    PartKind.ANALOG_SOURCE: "analog",
    PartKind.CONTROLLER_INPUT: "input",
    PartKind.POTENTIOMETER: "analog",
}


def left_symbols(placed: PlacedCluster, x: float, top: float) -> Iterator[Symbol]:
    """Yield the symbols of a cluster; their leads end at `x`, row 0 lies at `top` (mm, y down)."""
    rows = {terminal.terminal: top + terminal.middle * GRID_MM for terminal in placed.terminals}
    first, *others = placed.parts
    if not others and 1 < len(first.pins) == len(_ends(first)):
        yield _upright(placed.parts[0], rows, x)
    else:
        yield from _single_rows(placed.parts, rows, x)


def name_row(part: Part, placed: PlacedCluster) -> float:
    """Return the row, in steps, that a part's name stands beside."""
    middles = {terminal.terminal: terminal.middle for terminal in placed.terminals}
    if len(placed.parts) == 1:
        return (min(middles.values()) + max(middles.values())) / 2
    pin = own_pin(part, placed.parts)
    return middles[pin.terminal] if pin is not None else min(middles.values())


def source_centre(part: Part, placed: PlacedCluster) -> float | None:
    """Return the row of an analog source's circle, in steps; None when it is drawn as one row."""
    if part.kind is not PartKind.ANALOG_SOURCE or len(placed.parts) > 1 or len(_ends(part)) < 2:
        return None
    return name_row(part, placed)


def _ends(part: Part) -> set[Terminal]:
    return {pin.terminal for pin in part.pins}


def _upright(part: Part, rows: dict[Terminal, float], x: float) -> Symbol:
    from doorsheet import symbols as s

    pins = sorted(part.pins, key=lambda pin: rows[pin.terminal])
    first, last = rows[pins[0].terminal], rows[pins[-1].terminal]
    span = round(last - first, 3)  # rows are whole or half steps from a start that need not be
    signal_first = pins[0].role in ("input", "signal")
    origin = f"part {of_drive(part.drive, part.control)}"
    symbol: Symbol
    match part.kind:
        case PartKind.ISOLATED:
            symbol = s.IsolatedOutput(span, plus_first=pins[0].sign is Sign.PLUS, origin=origin)
        case PartKind.CONTACT:
            symbol = s.Contact(span, origin=origin)
        case PartKind.SWITCH:
            symbol = s.HandSwitch(span, origin=origin)
        case PartKind.OPEN_COLLECTOR:
            symbol = s.OpenCollector(span, "minus", signal_first, origin=origin)
        case PartKind.HIGH_SIDE:
            symbol = s.OpenCollector(span, "plus", signal_first, origin=origin)
        case PartKind.LOGIC:
            symbol = s.LogicOutput(span, signal_first, origin=origin)
        case PartKind.ANALOG_SOURCE:
            symbol = s.AnalogSource(span, signal_first, origin=origin)
        case PartKind.CONTROLLER_INPUT:
            symbol = s.ControllerInput(span, signal_first, origin=origin)
        case PartKind.POTENTIOMETER:
            wiper = rows[pins[1].terminal]
            symbol = s.Potentiometer(round(wiper - first, 3), round(last - wiper, 3), origin=origin)
        case PartKind.DRIVE_CONTACT | PartKind.RESISTOR | PartKind.FIELD_CONTACT | PartKind.CONVERTER:
            raise ValueError(f"a {part.kind} stands in no frame left of the channel")
    return symbol.at((x, -first))


def own_pin(part: Part, parts: tuple[Part, ...]) -> Pin | None:
    """Return the pin in whose row a part of a sharing cluster is drawn.

    That is a terminal no other part uses, else the first one not given to a part before it.
    """
    taken: set[Terminal] = set()
    for other in parts:
        others = {pin.terminal for third in parts if third is not other for pin in third.pins}
        free = [pin for pin in other.pins if pin.terminal not in others]
        free += [pin for pin in other.pins if pin.terminal not in taken and pin not in free]
        chosen = next((pin for pin in free if pin.terminal not in taken), None)
        if other is part:
            return chosen
        if chosen is not None:
            taken.add(chosen.terminal)
    return None


def _single_rows(parts: tuple[Part, ...], rows: dict[Terminal, float], x: float) -> Iterator[Symbol]:
    from doorsheet import symbols as s

    own = {id(part): own_pin(part, parts) for part in parts}
    boxed = {pin.terminal for pin in own.values() if pin is not None}
    feeds: dict[Terminal, list[float]] = {}  # bus terminal: rows of the boxes it serves
    for part in parts:
        pin = own[id(part)]
        if pin is None:
            continue
        row = rows[pin.terminal]
        origin = f"part {of_drive(part.drive, part.control)}"
        yield s.SingleRow(_SINGLE[part.kind], pin.sign is not Sign.MINUS, origin=origin).at((x, -row))
        for other in part.pins:
            if other.terminal != pin.terminal:
                feeds.setdefault(other.terminal, []).append(row)
    for index, (terminal, served) in enumerate(feeds.items()):
        yield _bus(x, rows[terminal], served, -22.0 - 2.5 * index, terminal in boxed)


def _bus(x: float, own_row: float, served: list[float], column: float, boxed: bool) -> Symbol:
    """Return the line from the boxes' left leads to the row of the terminal that they share."""
    from doorsheet import symbols as s

    # the terminal's own row may hold a box: then the line passes under it and meets its lead in front
    under = own_row + 3.75
    landing = [(0.0, -own_row)] if not boxed else [(-2.5, -under), (-2.5, -own_row)]
    level = under if boxed else own_row
    stops = sorted({*served, level})
    points = [(column, -level), *landing]
    bus = s.Bus(points, [] if not boxed else [(-2.5, -own_row)], origin="bus")
    if len(stops) > 1:
        bus.lead((column, -stops[0]), (column, -stops[-1]))
    for row in served:
        if column < -22.0:
            bus.lead((-22.0, -row), (column, -row))
        if stops[0] < row < stops[-1]:
            bus.dot((column, -row))
    if stops[0] < level < stops[-1]:
        bus.dot((column, -level))
    return bus.at((x, 0.0))
