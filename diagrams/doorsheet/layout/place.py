"""Phase 5: columns, from left to right, as the texts and tracks need them.

Needs: what the rows say, and tracks.
Leaves: the column of everything, in whole steps; the channel takes what the page has to spare.
"""

import math
from typing import Final, NamedTuple, TypeAlias

from doorsheet.circuit.parts import BlockKind, Circuit, Part, PartKind, Terminal
from doorsheet.layout.clusters import places
from doorsheet.layout.ordered import Ordered
from doorsheet.layout.plan import GRID_MM, Columns, Size
from doorsheet.layout.plate_words import name_lines, plate_text, rail_cell_mm, way_mm
from doorsheet.layout.spines import edge_rows, loop_tracks, tracks
from doorsheet.layout.strip import LABEL_INSET_MM, Strip
from doorsheet.trade.lettering import text_width

__all__ = ["Widths", "beyond_cells", "lies_between", "loop_pitch", "set_columns", "widths"]

SYMBOL_STEPS: Final = 8
BUS_STEPS: Final = 2
RING_STEPS: Final = 3
RAIL_AIR_MM: Final = 5.0
"""Beside a rail's cells, both sides together: its frame reaches 2.1 mm on each, and more air lies beyond."""
TITLE_ROOM_MM: Final = 5.0
"""Left and right of a frame's title together."""
_BURDEN_STEPS: Final = 5
"""From one burden, which has a name, to the next."""
WIDEST_CHANNEL_STEPS: Final = 34
"""Wider is only longer: what a page has beyond it stays air at its sides."""


class Widths(NamedTuple):
    """Least widths in steps, from left to right."""

    name: int
    symbol: int
    left_cell: int
    plate: int
    near_ring: bool
    far_ring: bool
    ring_name: int  # room of cables' names at rings
    way: int  # parts drawn in a wire's way, with their plates
    rail: int  # 0: there is none
    right_cell: int
    inner: int  # links and contacts of the drive, beside its cells
    outer: int  # burdens, outside its frame
    right_title: int
    tracks: int = 0
    spine: int = 0  # left of the frames: loops with their plates
    far_plates: bool = True  # a wire that bends has its number at both ends

    @property
    def left(self) -> int:
        """The left frame, from its edge to the clamps, and what stands before it."""
        return self.spine + self.name + self.symbol + self.left_cell

    @property
    def right(self) -> int:
        """The drive, from the clamps to its edge."""
        return max(self.right_cell + self.inner, self.right_title)

    @property
    def channel(self) -> int:
        """Between the clamps of the two sides."""
        rings = RING_STEPS * (self.near_ring + self.far_ring) + self.ring_name
        bent = (self.plate + 3 if self.far_plates else 1) + 2 * self.tracks if self.tracks else 1
        return 1 + self.plate + rings + self.way + self.rail + bent + 1

    @property
    def total(self) -> int:
        """The whole schematic."""
        return self.left + self.channel + self.right + self.outer


def _steps(width_mm: float) -> int:
    return math.ceil(width_mm / GRID_MM - 1e-9)


def widths(ordered: Ordered, strip: Strip, size: Size, title_mm: tuple[float, float]) -> Widths:
    """Measure every text that has a column and return the least widths, without tracks.

    `title_mm` are those of the frames' titles before enlarging.
    """
    circuit, left, stand = ordered.circuit, ordered.ordering.left, ordered.spine
    names = [
        text_width(text, size.label if name else size.job, name)
        for cluster in left
        for part in cluster.parts
        if not any(pin.terminal in stand.backs for pin in part.pins)
        for text, name in name_lines(part)
    ]
    near = [terminal for cluster in left for terminal in cluster.terminals]
    wires = (*circuit.wires, *circuit.stubs)
    plates = [
        text_width(plate_text(each, circuit, size), size.text, True)
        for wire in wires
        for each in (wire.conductors if circuit.in_line else (wire,))
    ]
    inner, outer = (max(own.values(), default=-1) + 1 for own in _tracks_beside(ordered))
    buses = any(len(cluster.parts) > 1 for cluster in left) or bool(ordered.joins)
    symbol = SYMBOL_STEPS + (BUS_STEPS if buses else 0)
    cell = _cell(near, size)
    name = 1 + _steps(max(names) + 1.0) if names else 1
    if stand.backs:
        name = max(name, _cell(list(stand.backs), size) + 1)
    return Widths(
        name=max(name, _steps(title_mm[0] + TITLE_ROOM_MM) - symbol - cell),
        symbol=symbol,
        left_cell=cell,
        plate=_steps(max(plates, default=0.0) + 2.5),
        near_ring=any(near_end for near_end, _ in ordered.rings.values()),
        far_ring=any(far_end for _, far_end in ordered.rings.values()),
        ring_name=_steps(max((text_width(name, size.job) for name, _ in ordered.named_rings), default=0.0)),
        way=_steps(max((way_mm(each, circuit, size) for each in wires), default=0.0)),
        rail=_rail_steps(circuit, size),
        right_cell=_steps(strip.columns.width),
        inner=inner * _inner_pitch(circuit) + (_inner_pitch(circuit) == 2) if inner else 0,
        outer=outer * _BURDEN_STEPS,
        right_title=_steps(title_mm[1] + TITLE_ROOM_MM),
        spine=_spine_steps(ordered, size),
    )


def _spine_steps(ordered: Ordered, size: Size) -> int:
    """Return the room left of the frames that joints take: a slot's half, or tracks of loops with plates."""
    rows = edge_rows(ordered.circuit, ordered.ordering.left)
    count = max(loop_tracks(ordered.joins, rows).values(), default=-1) + 1
    return count * loop_pitch(ordered, size) + 1 if count else int(bool(ordered.joins))


def loop_pitch(ordered: Ordered, size: Size) -> int:
    """Return the steps from one track of loops to the next: the widest of their plates, with air."""
    wires = (join.wire for join in ordered.joins if join.wire)
    plates = (text_width(plate_text(wire, ordered.circuit, size), size.text, True) for wire in wires)
    return _steps(max(plates, default=0.0) + 3.9)


def lies_between(part: Part) -> bool:
    """Whether a part lies between two terminals of a strip: a contact of the drive, or a burden."""
    return part.kind is PartKind.DRIVE_CONTACT or _is_burden(part)


def _is_burden(part: Part) -> bool:
    return part.kind is PartKind.RESISTOR and part.block is BlockKind.DRIVE


def _inner_pitch(circuit: Circuit) -> int:
    """Return the steps from one track of links and contacts to the next."""
    return 4 if any(part.kind is PartKind.DRIVE_CONTACT for part in circuit.parts) else 2


def _rail_steps(circuit: Circuit, size: Size) -> int:
    """Return the room of the terminal rail with air on both sides, an even number of steps."""
    if circuit.rail is None:
        return 0
    name = text_width(circuit.rail.name, size.text, True) + 2.0
    return 2 * _steps((max(rail_cell_mm(circuit.rail, size.text), name) + RAIL_AIR_MM) / 2)


def _cell(terminals: list[Terminal], size: Size) -> int:
    widest = max((text_width(terminal.label, size.label, True) for terminal in terminals), default=0.0)
    return _steps(widest + LABEL_INSET_MM + size.sign + 1.1 + 1.6)


_Tracks: TypeAlias = dict[tuple[Terminal, Terminal], int]
"""By the two terminals of a drive that something lies between."""


def _tracks_beside(ordered: Ordered) -> tuple[_Tracks, _Tracks]:
    """Give links and contacts inside the drive, and burdens, tracks of their own where spans overlap.

    A link between neighbours is a bar between their clamps and takes none.
    """
    circuit, place = ordered.circuit, places(ordered.ordering.right)
    inside = [link for link in circuit.links if link.a.block is BlockKind.DRIVE]
    joined = [(link.a, link.b) for link in inside if abs(place[link.a] - place[link.b]) > 1]
    between = [part for part in circuit.parts if lies_between(part)]
    ends = {part: (part.pins[0].terminal, part.pins[1].terminal) for part in between}
    joined += [pair for part, pair in ends.items() if not _is_burden(part)]
    burdens = [pair for part, pair in ends.items() if _is_burden(part)]
    # two that meet at a terminal overlap
    inner, outer = (
        tracks({(a, b): (min(place[a], place[b]), max(place[a], place[b]) + 0.5) for a, b in own if a != b})
        for own in (joined, burdens)
    )
    return inner, outer


def beyond_cells(ordered: Ordered, columns: Columns) -> _Tracks:
    """Return how many steps right of a drive's cells stands what lies between two of its terminals.

    A burden, which no drive has inside, stands outside the frame.
    """
    (inner, outer), pitch = _tracks_beside(ordered), _inner_pitch(ordered.circuit)
    frame = columns.right_frame - columns.right_cell
    steps = {pair: track * pitch for pair, track in inner.items()}
    return steps | {pair: frame + track * _BURDEN_STEPS for pair, track in outer.items()}


def set_columns(least: Widths, width: int) -> Columns:
    """Spread the channel over what `width` steps have to spare; ValueError when they don't fit."""
    if width < least.total:
        raise ValueError(f"needs {least.total} steps, has {width}")
    slack = max(0, min(width - least.total, WIDEST_CHANNEL_STEPS - least.channel))
    near = least.left  # the clamps
    far = near + least.channel + slack
    label = near + 1 + slack // 4 + math.ceil(least.plate / 2)
    after_label = label + least.plate // 2 + 1
    near_ring = after_label + 1 if least.near_ring else None
    way_start = after_label + (RING_STEPS if least.near_ring else 0)
    rail_start = way_start + least.way
    channel_start = rail_start + least.rail
    words_start = far - 1
    far_ring = words_start - 2 - least.ring_name if least.far_ring else None
    channel_end = words_start - least.ring_name - (RING_STEPS if least.far_ring else 0)
    far_label = channel_end - math.ceil(least.plate / 2) if least.tracks and least.far_plates else None
    tracks_end = far_label - math.ceil(least.plate / 2) if far_label is not None else channel_end
    first_track = channel_start + max(0, (tracks_end - channel_start - 2 * least.tracks) // 2)
    return Columns(
        left_frame=least.spine,
        left_name=least.spine + 1,
        left_cell=near - least.left_cell,
        near=near,
        label=label,
        near_ring=near_ring,
        way=way_start,
        rail=rail_start + least.rail // 2 if least.rail else None,
        first_track=first_track,
        far_ring=far_ring,
        far_label=far_label,
        far=far,
        right_cell=far + (least.right_cell if least.inner else least.right),
        right_frame=far + least.right,
        end=far + least.right + least.outer,
    )
