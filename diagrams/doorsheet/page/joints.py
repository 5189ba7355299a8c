"""Bridges and looped returns at the outer edge of the frames left of the channel."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from doorsheet.circuit.parts import Join, Terminal, Wire
from doorsheet.layout.place import loop_pitch
from doorsheet.layout.plan import GRID_MM, PlacedTerminal
from doorsheet.layout.spines import landings, loop_tracks
from doorsheet.page.left_parts import SOURCE_CAP_MM, Edge
from doorsheet.page.places import Places, Way

if TYPE_CHECKING:
    from doorsheet.symbols import LinkBar, Symbol

__all__ = ["back_cell", "bars", "edge", "loops", "slot"]

_APART_MM: Final = 3.5
"""From one looped wire to the next in a terminal's slot, on paper."""
_BACK_GAP_MM: Final = 2.5


def edge(at: Places) -> Edge:
    """Return where cells at the outer edge end, and how high they are about their row, mm."""
    columns, spine = at.plan.columns, at.ordered.spine
    rows = [t for placed in at.plan.left for t in placed.terminals if t.terminal in spine.through]
    half = max(((t.bottom - t.rows[-1]) * GRID_MM for t in rows), default=0.0)
    return Edge(
        spine,
        at.x(columns.left_cell) - 22.0 - _BACK_GAP_MM,
        half,
        at.plan.size.close,
        SOURCE_CAP_MM * at.plan.size.small,
    )


def _rows(at: Places) -> dict[Terminal, float]:
    return {terminal: at.y(at.edge_row(terminal)) for terminal in at.ordered.spine.all}


def _span(at: Places, terminal: Terminal) -> float:
    """Return how far apart the outer loops of a terminal land, mm."""
    return max(0, len(landings(terminal, at.ordered.joins, _rows(at))) - 1) * _APART_MM * at.plan.size.small


def _landing(at: Places, terminal: Terminal, join: Join) -> float:
    own = landings(terminal, at.ordered.joins, _rows(at))
    return _rows(at)[terminal] + (own.index(join) - (len(own) - 1) / 2) * _APART_MM * at.plan.size.small


def slot(at: Places, terminal: Terminal, origin: str) -> "Symbol":
    """Return the second slot of a terminal whose cell goes through the frame."""
    from doorsheet.symbols import Slot

    span = _span(at, terminal)
    top = _rows(at)[terminal] - span / 2
    return Slot(span, origin=origin).at((at.x(at.plan.columns.left_frame), -top))


def back_cell(at: Places, terminal: Terminal, row: PlacedTerminal, width_mm: float, origin: str) -> "Symbol":
    """Return the cell of a terminal at the outer edge, as high as the row it stands in."""
    from doorsheet.symbols import TerminalCell

    span, y = _span(at, terminal), _rows(at)[terminal]
    margins = (y - at.y(row.top) - span / 2, at.y(row.bottom) - y - span / 2)
    cell = TerminalCell(width_mm, span, margins, "right", origin=origin)
    return cell.at((at.x(at.plan.columns.left_frame), -(y - span / 2)))


def bars(at: Places) -> "Iterator[tuple[str, LinkBar]]":
    """Yield each bridge: a solid bar from slot to slot."""
    from doorsheet.symbols import LinkBar

    rows = _rows(at)
    for join in at.ordered.joins:
        if join.wire is None:
            upper, lower = sorted((join.a, join.b), key=rows.__getitem__)
            top, bottom = rows[upper] + _span(at, upper) / 2, rows[lower] - _span(at, lower) / 2
            bar = LinkBar(round(bottom - top, 3)).at((at.x(at.plan.columns.left_frame), -top))
            yield f"link {join.a.full} {join.b.full}", bar


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
