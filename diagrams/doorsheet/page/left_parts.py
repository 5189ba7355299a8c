"""The symbols left of the channel: outputs, switches, potentiometer, sources."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Final, NamedTuple

from doorsheet.circuit.parts import Part, PartKind, Pin, Sign, Terminal, of_drive
from doorsheet.layout.plan import GRID_MM, PlacedCluster
from doorsheet.layout.spines import Spine
from doorsheet.trade.lettering import text_width

if TYPE_CHECKING:
    from doorsheet.symbols import Bus, Symbol
    from doorsheet.symbols.single_row import SingleRowKind

__all__ = [
    "SOURCE_CAP_MM",
    "SOURCE_RISE_MM",
    "Edge",
    "left_symbols",
    "name_row",
    "source_centre",
    "source_lines",
]

SOURCE_CAP_MM: Final = 2.5
"""Height of the capitals in an analog source's circle, on paper."""
SOURCE_RISE_MM: Final = 0.1
"""How far over the circle's middle its first line stands."""

_SINGLE: "Final[dict[PartKind, SingleRowKind]]" = {
    PartKind.ISOLATED: "isolated",
    PartKind.CONTACT: "contact",
    PartKind.SWITCH: "switch",
    PartKind.OPEN_COLLECTOR: "open-collector",
    PartKind.HIGH_SIDE: "open-collector-plus",
    PartKind.LOGIC: "logic-level",
    PartKind.ANALOG_SOURCE: "analog",
    PartKind.CONTROLLER_INPUT: "input",
    PartKind.POTENTIOMETER: "analog",
}


def left_symbols(placed: PlacedCluster, x: float, top: float, edge: "Edge") -> "Iterator[Symbol]":
    """Yield the symbols of a cluster; their leads end at `x`, row 0 lies at `top` (mm, y down)."""
    rows = {terminal.terminal: top + terminal.middle * GRID_MM for terminal in placed.terminals}
    first, *others = placed.cluster.parts
    alone = not others and 1 < len(first.pins) == len(_ends(first))
    if alone and (first.kind is PartKind.POTENTIOMETER or not edge.spine.all & _ends(first)):
        yield _upright(first, rows, x, edge)
    else:
        yield from _single_rows(placed.cluster.parts, rows, x, edge)


class Edge(NamedTuple):
    """What stands at the frames' outer edge: where its cells end, mm, and how high they are about a row."""

    spine: Spine
    back_mm: float
    half_mm: float
    roomy: bool = False  # letters are so large beside symbols that those which hold words are larger
    cap: float = SOURCE_CAP_MM  # of those words, mm before the drawing is enlarged


def name_row(part: Part, placed: PlacedCluster, spine: Spine) -> float:
    """Return the row, in steps, that a part's name stands beside."""
    middles = {t.terminal: t.middle for t in placed.terminals if t.terminal not in spine.through}
    if len(placed.cluster.parts) == 1:
        return (min(middles.values()) + max(middles.values())) / 2
    pin = own_pin(part, placed.cluster.parts, spine)
    return middles[pin.terminal] if pin is not None else min(middles.values())


def source_centre(part: Part, placed: PlacedCluster, spine: Spine) -> float | None:
    """Return the row of an analog source's circle, in steps; None when it is drawn as one row."""
    if part.kind is not PartKind.ANALOG_SOURCE or len(placed.cluster.parts) > 1 or len(_ends(part)) < 2:
        return None
    return name_row(part, placed, spine)


def source_lines(part: Part) -> list[str]:
    """Return what stands in an analog source's circle."""
    return part.rating.split(" ", 1)


def _ends(part: Part) -> set[Terminal]:
    return {pin.terminal for pin in part.pins}


def _upright(part: Part, rows: dict[Terminal, float], x: float, edge: Edge) -> "Symbol":
    from doorsheet import symbols as s

    pins = sorted(part.pins, key=lambda pin: rows[pin.terminal])
    first, last = rows[pins[0].terminal], rows[pins[-1].terminal]
    span = round(last - first, 3)  # rows are whole or half steps from a start that need not be
    signal_first = pins[0].role in ("input", "signal")
    origin = f"part {of_drive(part.drive, part.control)}"
    if part.kind is PartKind.POTENTIOMETER:
        wiper = rows[pins[1].terminal]
        through = (pins[0].terminal in edge.spine.through, pins[-1].terminal in edge.spine.through)
        first, last = first + edge.half_mm * through[0], last - edge.half_mm * through[1]
        up, down = round(wiper - first, 3), round(last - wiper, 3)
        return s.Potentiometer(up, down, through, origin=origin).at((x, -first))
    by_hand = s.StopButton if part.is_stop else s.HandSwitch
    word = text_width(source_lines(part)[0], edge.cap), SOURCE_RISE_MM + edge.cap
    symbols: dict[PartKind, Callable[[], Symbol]] = {
        PartKind.ISOLATED: lambda: s.IsolatedOutput(span, pins[0].sign is Sign.PLUS, origin=origin),
        PartKind.CONTACT: lambda: s.Contact(span, origin=origin),
        PartKind.SWITCH: lambda: by_hand(span, origin=origin),
        PartKind.OPEN_COLLECTOR: lambda: s.OpenCollector(span, "minus", signal_first, origin=origin),
        PartKind.HIGH_SIDE: lambda: s.OpenCollector(span, "plus", signal_first, origin=origin),
        PartKind.LOGIC: lambda: s.LogicOutput(span, signal_first, origin=origin),
        PartKind.ANALOG_SOURCE: lambda: s.AnalogSource(span, signal_first, edge.roomy, word, origin=origin),
        PartKind.CONTROLLER_INPUT: lambda: s.ControllerInput(span, signal_first, origin=origin),
    }
    return symbols[part.kind]().at((x, -first))


def own_pin(part: Part, parts: tuple[Part, ...], spine: Spine) -> Pin | None:
    """Return the pin in whose row a part of a sharing cluster is drawn.

    That is a terminal no other part uses, else the first one not given to a part before it.
    """
    taken: set[Terminal] = set()
    for other in parts:
        others = {pin.terminal for third in parts if third is not other for pin in third.pins}
        pins = [pin for pin in other.pins if pin.terminal not in spine.all]
        free = [pin for pin in pins if pin.terminal not in others]
        free += [pin for pin in pins if pin.terminal not in taken and pin not in free]
        chosen = next((pin for pin in free if pin.terminal not in taken), None)
        if other is part:
            return chosen
        if chosen is not None:
            taken.add(chosen.terminal)
    return None


def _single_rows(
    parts: tuple[Part, ...], rows: dict[Terminal, float], x: float, edge: Edge
) -> "Iterator[Symbol]":
    from doorsheet import symbols as s

    own = {id(part): own_pin(part, parts, edge.spine) for part in parts}
    boxed = {pin.terminal for pin in own.values() if pin is not None}
    feeds: dict[Terminal, list[float]] = {}  # bus terminal: rows of the boxes it serves
    for part in parts:
        pin = own[id(part)]
        if pin is None:
            continue
        row = rows[pin.terminal]
        origin = f"part {of_drive(part.drive, part.control)}"
        kind = "stop" if part.is_stop else _SINGLE[part.kind]
        yield s.SingleRow(kind, pin.sign is not Sign.MINUS, origin=origin).at((x, -row))
        for other in part.pins:
            if other.terminal in edge.spine.backs:
                reach = edge.back_mm - x
                yield s.Bus(((-22.0, -row), (reach, -row)), origin=origin).at((x, 0.0))
            elif other.terminal != pin.terminal:
                feeds.setdefault(other.terminal, []).append(row)
    for index, (terminal, served) in enumerate(feeds.items()):
        if terminal in edge.spine.through:
            yield _down(x, rows[terminal], served, -22.0 - 2.5 * index, edge.half_mm)
        else:
            yield _bus(x, rows[terminal], served, -22.0 - 2.5 * index, terminal in boxed)


def _down(x: float, own_row: float, served: list[float], column: float, half_mm: float) -> "Symbol":
    """Return the line from the boxes' left leads to the cell that goes through below or above them."""
    from doorsheet import symbols as s

    ends = [own_row + (half_mm if row > own_row else -half_mm) for row in served]
    stops = sorted({*served, *ends})
    bus = s.Bus(((column, -stops[0]), (column, -stops[-1])), origin="bus")
    _serve(bus, served, stops, column)
    return bus.at((x, 0.0))


def _serve(bus: "Bus", served: list[float], stops: list[float], column: float) -> None:
    """Lead the boxes to their line, a dot where one meets it between its ends."""
    for row in served:
        if column < -22.0:
            bus.lead((-22.0, -row), (column, -row))
        if stops[0] < row < stops[-1]:
            bus.dot((column, -row))


def _bus(x: float, own_row: float, served: list[float], column: float, boxed: bool) -> "Symbol":
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
    _serve(bus, served, stops, column)
    if stops[0] < level < stops[-1]:
        bus.dot((column, -level))
    return bus.at((x, 0.0))
