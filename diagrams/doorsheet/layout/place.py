"""Phase 5: columns, from left to right, as the texts and tracks need them.

Needs: rows and tracks; a measure of text.
Leaves: the column of everything, in whole steps, spread over the width there is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from doorsheet.circuit.parts import Circuit, PartKind, ScreenRound, Terminal
from doorsheet.layout.order import Ordering
from doorsheet.layout.plan import GRID_MM, Columns, MeasureText
from doorsheet.layout.words import (
    CAP_NAME_MM,
    CAP_SMALL_MM,
    CAP_TERMINAL_MM,
    SIGN_STEPS,
    caption_lines,
    function_lines,
    left_out_words,
    plate_text,
    rail_cell_mm,
    reading_text,
    screen_text,
)

__all__ = ["LABEL_INSET_MM", "Widths", "bracketed", "has_ring", "inner_tracks", "set_columns", "widths"]

SYMBOL_STEPS: Final = 8
BUS_STEPS: Final = 2
RING_STEPS: Final = 3
RAIL_AIR_MM: Final = 5.0
TIGHT_RAIL_AIR_MM: Final = 3.6
"""Beside a rail's cells, both sides together: its frame reaches 2.1 mm on each, and more air lies beyond."""
TITLE_ROOM_MM: Final = 6.0
"""Left and right of a frame's title together."""
LABEL_INSET_MM: Final = 3.4
"""From a terminal's clamps to its label, and to what stands over it."""


@dataclass(frozen=True, slots=True)
class Widths:
    """Least widths in steps, from left to right."""

    caption: int
    symbol: int
    left_cell: int
    plate: int
    near_ring: bool
    far_ring: bool
    rail: int  # 0: there is none
    between: int  # from there to the readings where no wire bends
    tracks: int
    reading: int
    right_cell: int
    inner: int
    function: int

    @property
    def left(self) -> int:
        """The left frame, from its edge to the clamps."""
        return 1 + self.caption + 1 + self.symbol + self.left_cell

    @property
    def right(self) -> int:
        """The drive, from the clamps to its edge."""
        return self.right_cell + self.inner + self.function + 1

    @property
    def channel(self) -> int:
        """Between the clamps of the two sides."""
        rings = RING_STEPS * (self.near_ring + self.far_ring)
        bent = self.plate + 2 + 2 * self.tracks + 1 if self.tracks else self.between
        return SIGN_STEPS + self.plate + rings + self.rail + bent + self.reading + SIGN_STEPS

    @property
    def total(self) -> int:
        """The whole schematic."""
        return self.left + self.channel + self.right


def _steps(width_mm: float) -> int:
    return math.ceil(width_mm / GRID_MM - 1e-9)


def widths(
    circuit: Circuit, ordering: Ordering, tracks: int, measure: MeasureText, title_mm: tuple[float, float]
) -> Widths:
    """Measure every text that has a column and return the least widths."""
    captions = [
        measure(text, CAP_NAME_MM if name else CAP_SMALL_MM, name)
        for cluster in ordering.left
        for part in cluster.parts
        for text, name in caption_lines(part, len(cluster.parts) > 1)
    ]
    near = [terminal for cluster in ordering.left for terminal in cluster.terminals]
    far = [entry.terminal for entry in circuit.strip]
    plates = [measure(plate_text(wire, circuit), CAP_SMALL_MM, True) for wire in circuit.wires]
    readings = [
        measure(reading_text(wire, circuit.reading_of(wire.number)), CAP_SMALL_MM, False)
        for wire in circuit.wires
    ]
    readings += [
        measure(screen_text(screen), CAP_SMALL_MM, False) + 2.5
        for screen in circuit.screens
        if screen.ringed and not screen.footnoted
    ]
    functions = [
        measure(line, CAP_SMALL_MM, False)
        for entry in circuit.strip
        for line in function_lines(entry, circuit)
    ]
    aside = bracketed(circuit, ordering)
    left_out = [(entry.terminal in aside, left_out_words(entry)) for entry in circuit.strip if entry.gap]
    functions += [measure(words, CAP_SMALL_MM, False) for beyond, words in left_out if beyond]
    inner = max(inner_tracks(circuit, ordering).values(), default=-1) + 1
    buses = any(len(cluster.parts) > 1 for cluster in ordering.left)
    least = Widths(
        caption=_steps(max(captions, default=0.0)),
        symbol=SYMBOL_STEPS + (BUS_STEPS if buses else 0),
        left_cell=_cell(near, measure),
        plate=_steps(max(plates, default=0.0) + 2.5),
        near_ring=any(has_ring(screen, at_drive=False) for screen in circuit.screens),
        far_ring=any(has_ring(screen, at_drive=True) for screen in circuit.screens),
        rail=_rail_steps(circuit, measure),
        between=1 if circuit.tight and circuit.rail is not None else 2,
        tracks=tracks,
        reading=_steps(max(readings, default=0.0)),
        right_cell=_cell(far, measure),
        inner=1 + inner * inner_pitch(circuit),
        function=_steps(max(functions, default=0.0)),
    )
    over_cells = [
        LABEL_INSET_MM + measure(words, CAP_SMALL_MM, False) for beyond, words in left_out if not beyond
    ]
    function = max(least.function, _steps(max(over_cells, default=0.0)) - least.right_cell - least.inner)
    least = replace(least, function=function)
    more_left = max(0, _steps(title_mm[0] + TITLE_ROOM_MM) - least.left)
    more_right = max(0, _steps(title_mm[1] + TITLE_ROOM_MM) - least.right)
    return replace(least, caption=least.caption + more_left, function=least.function + more_right)


def has_ring(screen: ScreenRound, at_drive: bool) -> bool:
    """Whether a screen is drawn at that end: where room is short, only where it is earthed."""
    if not screen.alone:
        return False
    if not screen.footnoted:
        return True
    return screen.earthed in ("drive", "both") if at_drive else screen.earthed != "drive"


def inner_pitch(circuit: Circuit) -> int:
    """Return the steps from one track of links and contacts to the next."""
    return 4 if any(part.kind is PartKind.DRIVE_CONTACT for part in circuit.parts) else 2


def _rail_steps(circuit: Circuit, measure: MeasureText) -> int:
    """Return the room of the terminal rail with air on both sides, an even number of steps."""
    if circuit.rail is None:
        return 0
    name = measure(circuit.rail.name, CAP_SMALL_MM, True) + 2.0
    air = TIGHT_RAIL_AIR_MM if circuit.tight else RAIL_AIR_MM
    return 2 * _steps((max(rail_cell_mm(circuit.rail, measure), name) + air) / 2)


def _cell(terminals: list[Terminal], measure: MeasureText) -> int:
    widest = max((measure(terminal.label, CAP_TERMINAL_MM, True) for terminal in terminals), default=0.0)
    return _steps(widest + 5.2)


def inner_tracks(circuit: Circuit, ordering: Ordering) -> dict[tuple[Terminal, Terminal], int]:
    """Give each link and contact inside the drive a track of its own where spans overlap."""
    place = {
        terminal: index
        for index, terminal in enumerate(t for cluster in ordering.right for t in cluster.terminals)
    }
    joined = [(link.a, link.b) for link in circuit.links]
    joined += [
        (part.pins[0].terminal, part.pins[1].terminal)
        for part in circuit.parts
        if part.kind is PartKind.DRIVE_CONTACT
    ]
    spans = {pair: sorted((place[pair[0]], place[pair[1]])) for pair in joined if pair[0] != pair[1]}
    tracks: dict[tuple[Terminal, Terminal], int] = {}
    for pair in sorted(spans, key=lambda pair: (spans[pair][1] - spans[pair][0], spans[pair])):
        top, bottom = spans[pair]
        taken = {tracks[other] for other in tracks if spans[other][0] <= bottom and top <= spans[other][1]}
        tracks[pair] = next(track for track in range(len(spans)) if track not in taken)
    return tracks


def bracketed(circuit: Circuit, ordering: Ordering) -> frozenset[Terminal]:
    """Return the terminals beside whose upper edge a link or contact inside the drive passes.

    Words about terminals left out there give way to it: they stand beyond, with the function words.
    """
    strip = [terminal for cluster in ordering.right for terminal in cluster.terminals]
    place = {terminal: index for index, terminal in enumerate(strip)}
    passed: set[Terminal] = set()
    for pair in inner_tracks(circuit, ordering):
        top, bottom = sorted(place[terminal] for terminal in pair)
        passed.update(strip[top + 1 : bottom + 1])
    return frozenset(passed)


def set_columns(least: Widths, width: int) -> Columns:
    """Spread the columns over `width` steps; ValueError when they don't fit."""
    if width < least.total:
        raise ValueError(f"needs {least.total} steps, has {width}")
    slack = width - least.total
    near = least.left
    far = width - least.right
    label = near + SIGN_STEPS + slack // 4 + least.plate // 2
    after_label = label + math.ceil(least.plate / 2) + 1
    near_ring = after_label + 1 if least.near_ring else None
    rail_start = after_label + (RING_STEPS if least.near_ring else 0)
    channel_start = rail_start + least.rail
    reading_start = far - SIGN_STEPS - least.reading
    far_ring = reading_start - 2 if least.far_ring else None
    channel_end = reading_start - (RING_STEPS if least.far_ring else 0)
    far_label = channel_end - math.ceil(least.plate / 2) - 1 if least.tracks else None
    track_room = (
        far_label - math.ceil(least.plate / 2) if far_label is not None else channel_end
    ) - channel_start
    first_track = channel_start + max(0, (track_room - 2 * least.tracks) // 2)
    return Columns(
        left_frame=0,
        left_caption=1,
        left_symbol=2 + least.caption,
        left_cell=near - least.left_cell,
        near=near,
        label=label,
        near_ring=near_ring,
        rail=rail_start + least.rail // 2 if least.rail else None,
        first_track=first_track,
        tracks=least.tracks,
        far_ring=far_ring,
        far_label=far_label,
        far=far,
        right_cell=far + least.right_cell,
        inner=far + least.right_cell + 1,
        function=far + least.right_cell + least.inner,
        right_frame=width,
    )
