"""What stands left of the channel: the symbols of outputs, switches, potentiometer and sources.

At the outer edge of the frames also bridges and looped returns.
"""

from collections.abc import Callable, Iterator
from typing import Final

from doorsheet import symbols as s
from doorsheet.circuit.parts import Join, Part, PartKind, Pin, Sign, Terminal, Wire, of_drive
from doorsheet.layout.place import loop_pitch
from doorsheet.layout.plan import GRID_MM, PlacedCluster, PlacedTerminal
from doorsheet.layout.spines import Spine, landings, loop_tracks
from doorsheet.page.places import Places, Way
from doorsheet.symbols.single_row import SingleRowKind
from doorsheet.trade.lettering import text_width

__all__ = [
    "SOURCE_CAP_MM", "SOURCE_RISE_MM", "back_cell", "back_mm", "bars", "left_symbols", "loops", "name_row",
    "slot", "source_centre", "source_lines",
]  # fmt: skip

SOURCE_CAP_MM: Final = 2.5
"""Height of the capitals in an analog source's circle, on paper."""
SOURCE_RISE_MM: Final = 0.1
"""How far over the circle's middle its first line stands."""

_BUS_MM: Final = -22.0
"""Where the left leads of parts one row high end, from the right edge of their frame."""
_BACK_MM: Final = _BUS_MM - 2.5
"""Where cells at the outer edge end."""
_APART_MM: Final = 3.5
"""From one looped wire to the next in a terminal's slot, on paper."""

_SINGLE: Final[dict[PartKind, SingleRowKind]] = {
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


def left_symbols(at: Places, placed: PlacedCluster) -> Iterator[s.Symbol]:
    """Yield the symbols of a cluster; their leads end at the cells of its terminals."""
    rows = {terminal.terminal: at.y(terminal.middle) for terminal in placed.terminals}
    first, *others = placed.cluster.parts
    alone = not others and 1 < len(first.pins) == len(_ends(first))
    if alone and (first.kind is PartKind.POTENTIOMETER or not at.ordered.spine.all & _ends(first)):
        yield _upright(at, first, rows)
    else:
        yield from _single_rows(at, placed.cluster.parts, rows)


def back_mm(at: Places) -> float:
    """Return where cells at the outer edge end, mm."""
    return at.x(at.plan.columns.left_cell) + _BACK_MM


def _half_mm(at: Places) -> float:
    """Return how high cells that go through the frame are about their row."""
    rows = [t for placed in at.plan.left for t in placed.terminals if t.terminal in at.ordered.spine.through]
    return max(((t.bottom - t.rows[-1]) * GRID_MM for t in rows), default=0.0)


def name_row(part: Part, placed: PlacedCluster, spine: Spine) -> float:
    """Return the row, in steps, that a part's name stands beside."""
    own = {pin.terminal for one in placed.cluster.parts for pin in one.pins} - spine.through
    middles = {t.terminal: t.middle for t in placed.terminals if t.terminal in own}
    if len(placed.cluster.parts) == 1:
        return (min(middles.values()) + max(middles.values())) / 2
    pin = next(pin for other, pin in _own_pins(placed.cluster.parts, spine) if other is part)
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


def _upright(at: Places, part: Part, rows: dict[Terminal, float]) -> s.Symbol:
    x, through = at.x(at.plan.columns.left_cell), at.ordered.spine.through
    pins = sorted(part.pins, key=lambda pin: rows[pin.terminal])
    first, last = rows[pins[0].terminal], rows[pins[-1].terminal]
    span = round(last - first, 3)  # rows are whole or half steps from a start that need not be
    signal_first = pins[0].role in ("input", "signal")
    origin = f"part {of_drive(part.drive, part.control)}"
    if part.kind is PartKind.POTENTIOMETER:
        wiper = rows[pins[1].terminal]
        upright, half = (pins[0].terminal in through, pins[-1].terminal in through), _half_mm(at)
        first, last = first + half * upright[0], last - half * upright[1]
        up, down = round(wiper - first, 3), round(last - wiper, 3)
        return s.Potentiometer(up, down, upright, origin=origin).at((x, -first))
    by_hand = s.StopButton if part.is_stop else s.HandSwitch
    # where letters are so large beside symbols, those that hold words are larger
    roomy, cap = at.plan.size.close, SOURCE_CAP_MM * at.plan.size.small
    word = text_width(source_lines(part)[0], cap), SOURCE_RISE_MM + cap
    symbols: dict[PartKind, Callable[[], s.Symbol]] = {
        PartKind.ISOLATED: lambda: s.IsolatedOutput(span, pins[0].sign is Sign.PLUS, origin=origin),
        PartKind.CONTACT: lambda: s.Contact(span, origin=origin),
        PartKind.SWITCH: lambda: by_hand(span, origin=origin),
        PartKind.OPEN_COLLECTOR: lambda: s.OpenCollector(span, "minus", signal_first, origin=origin),
        PartKind.HIGH_SIDE: lambda: s.OpenCollector(span, "plus", signal_first, origin=origin),
        PartKind.LOGIC: lambda: s.LogicOutput(span, signal_first, origin=origin),
        PartKind.ANALOG_SOURCE: lambda: s.AnalogSource(span, signal_first, roomy, word, origin=origin),
        PartKind.CONTROLLER_INPUT: lambda: s.ControllerInput(span, signal_first, origin=origin),
    }
    return symbols[part.kind]().at((x, -first))


def _own_pins(parts: tuple[Part, ...], spine: Spine) -> Iterator[tuple[Part, Pin | None]]:
    """Yield each part of a sharing cluster with the pin in whose row it is drawn.

    That is a terminal no other part uses, else the first one not given to a part before it.
    """
    taken: set[Terminal] = set()
    for part in parts:
        others = {pin.terminal for other in parts if other is not part for pin in other.pins}
        pins = [pin for pin in part.pins if pin.terminal not in {*spine.all, *taken}]
        chosen = next((pin for pin in pins if pin.terminal not in others), next(iter(pins), None))
        if chosen is not None:
            taken.add(chosen.terminal)
        yield part, chosen


def _single_rows(at: Places, parts: tuple[Part, ...], rows: dict[Terminal, float]) -> Iterator[s.Symbol]:
    x, spine = at.x(at.plan.columns.left_cell), at.ordered.spine
    own = [(part, pin) for part, pin in _own_pins(parts, spine) if pin is not None]
    boxed = {pin.terminal for _, pin in own}
    feeds: dict[Terminal, list[float]] = {}  # bus terminal: rows of the boxes it serves
    for part, pin in own:
        row = rows[pin.terminal]
        origin = f"part {of_drive(part.drive, part.control)}"
        kind = "stop" if part.is_stop else _SINGLE[part.kind]
        yield s.SingleRow(kind, pin.sign is not Sign.MINUS, origin=origin).at((x, -row))
        for other in part.pins:
            if other.terminal in spine.backs:
                yield s.Bus(((_BUS_MM, -row), (_BACK_MM, -row)), origin=origin).at((x, 0.0))
            elif other.terminal != pin.terminal:
                feeds.setdefault(other.terminal, []).append(row)
    for index, (terminal, served) in enumerate(feeds.items()):
        column = _BUS_MM - 2.5 * index
        if terminal in spine.through:
            bus = _down(rows[terminal], served, column, _half_mm(at))
        else:
            bus = _bus(rows[terminal], served, column, terminal in boxed)
        yield bus.at((x, 0.0))


def _down(own_row: float, served: list[float], column: float, half_mm: float) -> s.Bus:
    """Return the line from the boxes' left leads to the cell that goes through below or above them."""
    ends = [own_row + (half_mm if row > own_row else -half_mm) for row in served]
    stops = sorted({*served, *ends})
    bus = s.Bus(((column, -stops[0]), (column, -stops[-1])), origin="bus")
    _serve(bus, served, stops, column)
    return bus


def _bus(own_row: float, served: list[float], column: float, boxed: bool) -> s.Bus:
    """Return the line from the boxes' left leads to the row of the terminal that they share."""
    # the terminal's own row may hold a box: then the line passes under it and meets its lead in front
    under = own_row + 3.75
    landing = [(0.0, -own_row)] if not boxed else [(-2.5, -under), (-2.5, -own_row)]
    level = under if boxed else own_row
    stops = sorted({*served, level})
    bus = s.Bus([(column, -level), *landing], landing[1:], origin="bus")
    if len(stops) > 1:
        bus.lead((column, -stops[0]), (column, -stops[-1]))
    _serve(bus, served, stops, column)
    if stops[0] < level < stops[-1]:
        bus.dot((column, -level))
    return bus


def _serve(bus: s.Bus, served: list[float], stops: list[float], column: float) -> None:
    """Lead the boxes to their line, a dot where one meets it between its ends."""
    for row in served:
        if column < _BUS_MM:
            bus.lead((_BUS_MM, -row), (column, -row))
        if stops[0] < row < stops[-1]:
            bus.dot((column, -row))


# --- at the outer edge ---------------------------------------------------


def _rows(at: Places) -> dict[Terminal, float]:
    return {terminal: at.y(at.edge_row(terminal)) for terminal in at.ordered.spine.all}


def _span(at: Places, terminal: Terminal) -> float:
    """Return how far apart the outer loops of a terminal land, mm."""
    return max(0, len(landings(terminal, at.ordered.joins, _rows(at))) - 1) * _APART_MM * at.plan.size.small


def _landing(at: Places, terminal: Terminal, join: Join) -> float:
    own = landings(terminal, at.ordered.joins, _rows(at))
    return _rows(at)[terminal] + (own.index(join) - (len(own) - 1) / 2) * _APART_MM * at.plan.size.small


def slot(at: Places, terminal: Terminal, origin: str) -> s.Symbol:
    """Return the second slot of a terminal whose cell goes through the frame."""
    span = _span(at, terminal)
    top = _rows(at)[terminal] - span / 2
    return s.Slot(span, origin=origin).at((at.x(at.plan.columns.left_frame), -top))


def back_cell(at: Places, terminal: Terminal, row: PlacedTerminal, width_mm: float, origin: str) -> s.Symbol:
    """Return the cell of a terminal at the outer edge, as high as the row it stands in."""
    span, y = _span(at, terminal), _rows(at)[terminal]
    margins = (y - at.y(row.top) - span / 2, at.y(row.bottom) - y - span / 2)
    cell = s.TerminalCell(width_mm, span, margins, "right", origin=origin)
    return cell.at((at.x(at.plan.columns.left_frame), -(y - span / 2)))


def bars(at: Places) -> Iterator[s.LinkBar]:
    """Yield each bridge: a solid bar from slot to slot."""
    rows = _rows(at)
    for join in at.ordered.joins:
        if join.wire is None:
            upper, lower = sorted((join.a, join.b), key=rows.__getitem__)
            top, bottom = rows[upper] + _span(at, upper) / 2, rows[lower] - _span(at, lower) / 2
            bar = s.LinkBar(round(bottom - top, 3), origin=f"link {join.a.full} {join.b.full}")
            yield bar.at((at.x(at.plan.columns.left_frame), -top))


def loops(at: Places) -> Iterator[tuple[Wire, Way]]:
    """Yield each looped wire with the corners of its way down the frame's side, mm, y down."""
    x = at.x(at.plan.columns.left_frame)
    for join, track in loop_tracks(at.ordered.joins, _rows(at)).items():
        if join.wire is None:
            continue
        pitch = loop_pitch(at.ordered, at.plan.size) * GRID_MM
        column = x - GRID_MM - (track + 0.5) * pitch
        first, last = _landing(at, join.a, join), _landing(at, join.b, join)
        yield join.wire, ((x, first), (column, first), (column, last), (x, last))
