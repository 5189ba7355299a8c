"""Whether a sheet has room on a paper: everything round the schematic measured, the schematic laid out.

Room: page.  Which papers are tried, and in which order, is `doorsheet.page.compose`'s.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final, NamedTuple, Protocol

from doorsheet.checks.examined import listed
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import BlockKey, BlockKind, Circuit, Reading
from doorsheet.layout import SPACINGS, FitError, Ordered, Plan, lay_out, order_circuit
from doorsheet.layout.plan import GRID_MM, Spacing
from doorsheet.layout.words import shortened
from doorsheet.mapping.model import ExtraCrossings, Mapping
from doorsheet.page.display import Item
from doorsheet.page.frames import Margins, frame_margins
from doorsheet.page.full import TITLE_BLOCK_MM, full_blocks
from doorsheet.page.panels import board_lines
from doorsheet.trade.lettering import CAP_SMALL, text_width, wrap
from doorsheet.trade.paper import Paper

__all__ = [
    "COMPACT",
    "DOOR_FORMAT",
    "FULL",
    "MARGIN_MM",
    "Binding",
    "Fitted",
    "Manner",
    "Surroundings",
    "board_words",
    "discharge_of",
    "fit",
    "titles_of",
    "usable",
]

MARGIN_MM: Final = 10.0


class Manner(NamedTuple):
    """How a sheet is put together."""

    compact: bool
    inner_mm: float  # from the sheet's frame to what it holds
    title_room_mm: float  # for a line of a device's title
    title_cap_mm: float = 3.5
    gap_mm: float = 3.0  # over and under the schematic
    reference_mm: tuple[float, ...] = (13.0,)
    """Room kept for references to other sheets while the cuts are sought, tried in turn: lines of text."""
    extra_crossings: ExtraCrossings = "never"
    tight: bool = False  # in still fewer words than a compact sheet


FULL: Final = Manner(False, 3.5, 60.0)
COMPACT: Final = (
    Manner(True, 2.0, 60.0, 3.5, 2.0, (8.6, 4.3)),
    Manner(True, 2.0, 70.0, CAP_SMALL, 2.0, (8.6, 4.3)),
    Manner(True, 2.0, 45.0, CAP_SMALL, 2.0, (8.6, 4.3)),
    Manner(True, 2.0, 45.0, CAP_SMALL, 2.0, (8.6, 4.3), tight=True),
)
"""Tried in turn: large titles of the devices, small ones on a line, small ones on several, fewest words."""
DOOR_FORMAT: Final = "A5"
"""Paper on which a sheet that doesn't fit is made compact before it is cut."""


class Binding(NamedTuple):
    """How a sheet stands among other papers."""

    first: int = 1  # the number of its first page
    sheets: int | None = None  # in the whole set; None: this sheet is all of it
    title_block: bool = True  # left out of pictures for strangers


class Fitted(NamedTuple):
    """A sheet that has room on its paper: everything measured, nothing drawn yet."""

    circuit: Circuit
    manner: Manner
    paper: Paper
    plan: Plan
    blocks: Surroundings
    margins: Margins
    room: float  # height left for the schematic, mm


class Surroundings(Protocol):
    """Everything but the schematic, measured for one paper."""

    @property
    def head(self) -> float:
        """Height over the schematic, mm."""

    @property
    def foot(self) -> float:
        """Height under it, mm."""

    def above(self, left: float, top: float) -> Iterator[Item]:
        """Yield what stands over the schematic."""

    def below(self, left: float, bottom: float) -> Iterator[Item]:
        """Yield what stands under it."""


def fit(
    ordered: Ordered,
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding,
    manner: Manner,
    spare_mm: float = 0.0,
) -> Fitted | None:
    """Lay a sheet out on a paper as it lies; None when there is not the room."""
    width = usable(paper, manner)
    if width < TITLE_BLOCK_MM:
        return None
    readings = ordered.circuit.readings
    if manner.compact:
        ordered = order_circuit(shortened(ordered.circuit, manner.tight))
    height = paper.height_mm - 2 * (MARGIN_MM + manner.inner_mm + manner.gap_mm) - spare_mm

    def around(extra: int) -> Surroundings:
        return _around(ordered.circuit, readings, mapping, findings, width, binding, manner, extra)

    blocks = around(0)
    plan = _planned(ordered, mapping, manner, width, height - blocks.head - blocks.foot)
    if plan is not None and plan.crossings.extra:  # the sheet says so: that takes room as well
        kept = around(plan.crossings.extra)
        plan = _planned(ordered, mapping, manner, width, height - kept.head - kept.foot)
        blocks = around(plan.crossings.extra if plan is not None else 0)
        if blocks.head + blocks.foot > kept.head + kept.foot:
            return None  # another figure, another line
    if plan is None:
        return None
    margins = _margins(ordered.circuit, mapping, manner)
    return Fitted(ordered.circuit, manner, paper, plan, blocks, margins, height - blocks.head - blocks.foot)


def _around(
    circuit: Circuit,
    readings: Sequence[Reading],
    mapping: Mapping,
    findings: Sequence[Finding],
    width: float,
    binding: Binding,
    manner: Manner,
    extra: int,
) -> Surroundings:
    """Measure everything but the schematic; `readings` in full, `extra` crossings to be told of."""
    discharge, with_title = discharge_of(mapping), binding.title_block
    if manner.compact:
        from doorsheet.page.compact import compact_blocks  # most sheets don't need it

        return compact_blocks(circuit, readings, mapping, findings, discharge, width, with_title, extra)
    return full_blocks(circuit, mapping, findings, discharge, width, with_title, extra)


def _planned(ordered: Ordered, mapping: Mapping, manner: Manner, width: float, room: float) -> Plan | None:
    """Lay the schematic out in `width` x `room` mm; None when it doesn't fit."""
    margins = _margins(ordered.circuit, mapping, manner)
    rows = int(room / GRID_MM) - margins.top - margins.bottom
    if rows < 0:
        return None
    try:
        return lay_out(
            ordered,
            text_width,
            round(width / GRID_MM),
            rows,
            _spacings(margins),
            title_mm=_title_widths(ordered.circuit, mapping, manner),
            extra_crossings=manner.extra_crossings,
        )
    except FitError:
        return None


_FRAME_STEPS: Final = 4
"""From the last row of a frame to the top of the next one, steps: its edge, and air between the two."""


def _spacings(margins: Margins) -> tuple[Spacing, ...]:
    """Return the spacings to try, with room between frames for the longest title."""
    room = _FRAME_STEPS + margins.top
    return tuple(entry if entry.frame >= room else replace(entry, frame=room) for entry in SPACINGS)


def usable(paper: Paper, manner: Manner) -> float:
    """Return the width inside the frame, in whole grid steps, so that everything lines up; mm."""
    return int((paper.width_mm - 2 * (MARGIN_MM + manner.inner_mm)) / GRID_MM) * GRID_MM


def discharge_of(mapping: Mapping) -> str | None:
    """Return the time to wait, of each drive where they differ; None as long as one is unknown.

    All drives of the machine count, whichever a sheet shows: they stand behind one door.
    """
    drives: dict[str, list[str]] = {}
    for name, own in mapping.units():
        given = own.drive.discharge
        if given is None or given.lower() == "unknown":
            return None
        drives.setdefault(given, []).append(name)
    if len(drives) == 1:
        return next(iter(drives))
    return ", ".join(f"{given} at {listed(names)}" for given, names in drives.items())


def titles_of(circuit: Circuit, manner: Manner) -> dict[BlockKey, tuple[str, ...]]:
    """Return the lines of each device's title."""
    return {
        block.key: wrap(block.full, manner.title_cap_mm, manner.title_room_mm, True)
        for block in circuit.blocks
    }


def _title_widths(circuit: Circuit, mapping: Mapping, manner: Manner) -> tuple[float, float]:
    """Return the widest line of the titles left of the channel, and of what the drive's frame says; mm."""
    widest = {
        key: max((text_width(words, manner.title_cap_mm, True) for words in lines), default=0.0)
        for key, lines in titles_of(circuit, manner).items()
    }
    left = max((width for (kind, _), width in widest.items() if kind is not BlockKind.DRIVE), default=0.0)
    right = max((width for (kind, _), width in widest.items() if kind is BlockKind.DRIVE), default=0.0)
    said = max((text_width(line, CAP_SMALL) for line in board_words(mapping, manner)), default=0.0)
    return left, max(right, said)


def board_words(mapping: Mapping, manner: Manner) -> tuple[str, ...]:
    """Return what the drive's frame says at its foot; of several drives the wire table's notes do."""
    lines = () if mapping.drives else board_lines(mapping.drive)
    return tuple(line for entry in lines for line in wrap(entry, CAP_SMALL, manner.title_room_mm))


def _margins(circuit: Circuit, mapping: Mapping, manner: Manner) -> Margins:
    titles, said = titles_of(circuit, manner), board_words(mapping, manner)
    margins = frame_margins(titles.values(), len(said), bool(circuit.screens), manner.title_cap_mm)
    # a rail's name stands over the first wire, below the words of a stop
    return margins if circuit.rail is None else replace(margins, top=max(margins.top, 5))
