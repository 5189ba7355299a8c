"""Whether a sheet has room on a paper: everything round the schematic measured, the schematic laid out.

Room: page.  Which papers are tried, and in which order, is `doorsheet.page.compose`'s.
"""

import math
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.layout import FitError, Ordered, lay_out, least_steps
from doorsheet.layout.plan import GRID_MM, SIZES, Crossings
from doorsheet.layout.strip import all_rest, set_strip
from doorsheet.mapping.model import ExtraCrossings
from doorsheet.mapping.model import Mapping as MappingModel
from doorsheet.page.findings import Told, entries_at, flag_mm, told
from doorsheet.page.frame_boxes import frame_room, frame_texts
from doorsheet.page.places import Places
from doorsheet.page.surroundings import Said, Surroundings, surroundings
from doorsheet.trade.lettering import CAP_SMALL
from doorsheet.trade.paper import Paper

__all__ = [
    "BORDER_MM", "LEVELS", "MARGIN_MM", "Asked", "Binding", "Fitted", "fit", "least_mm", "room_of",
]  # fmt: skip

MARGIN_MM: Final = 10.0
BORDER_MM: Final = 5.5
"""Hatched border of a sheet that must not be connected, inside its frame."""
_INNER_MM: Final = 2.0
_GAP_MM: Final = 2.5
_PANEL_GAP_MM: Final = 6.0
"""Air between schematics that stand side by side, at least."""
_LEAST_MM: Final = 70.0
_SMALL_MM2: Final = 50000.0
"""Smaller paper, such as A5 for the inside of a door, has less round the schematic."""

LEVELS: Final = tuple(
    (most, size) for most, sizes in ((6, SIZES[:-2]), (3, SIZES[4:-2]), (1, SIZES[4:])) for size in sizes
)
"""Tried in turn: how many findings are told of at most, and how large the schematic is."""
_BY_SIZE: Final = sorted({size: level for level, (_, size) in reversed([*enumerate(LEVELS)])}.values())
"""Those that differ where there is nothing to tell of."""


def is_small(paper: Paper) -> bool:
    """Whether a paper has less round the schematic."""
    return paper.width_mm * paper.height_mm < _SMALL_MM2


_SMALLEST: Final = min(one.zoom for one in SIZES)


def least_mm(circuit: Circuit, zoom: float = _SMALLEST) -> float:
    """Return the height that no schematic of a circuit goes below."""
    return least_steps(circuit) * GRID_MM * zoom


def gap_mm(paper: Paper) -> float:
    """Return the air over and under the schematic."""
    return 1.2 if is_small(paper) else _GAP_MM


class Binding(NamedTuple):
    """How a sheet stands among other papers."""

    first: int = 1  # the number of its first page
    sheets: int | None = None  # in the whole set; None: this sheet is all of it
    title_block: bool = True  # left out of pictures for strangers
    heading: bool = True  # left out, with the warning, where the paper round the sheet has both


class Asked(NamedTuple):
    """What is to be drawn, and how."""

    mapping: MappingModel
    findings: Sequence[Finding]  # of the whole installation
    binding: Binding
    extra_crossings: ExtraCrossings = "never"
    tell: Callable[[str], None] | None = None  # is told what is being done, where it takes long

    @property
    def stopped(self) -> bool:
        """Whether anything forbids connecting."""
        return any(finding.severity is Severity.STOP for finding in self.findings)


class Fitted(NamedTuple):
    """A sheet that has room on its paper: everything measured, nothing drawn yet."""

    ordered: Ordered
    paper: Paper
    panels: tuple[Places, ...]  # the whole schematic, or what stands side by side
    around: Surroundings
    told: tuple[Told, ...]
    box: tuple[float, float, float, float]  # what is inside the frame: left, top, width, height, mm
    level: int

    @property
    def crossings(self) -> Crossings:
        """How often wires cross on the sheet."""
        return Crossings.summed(panel.plan.crossings for panel in self.panels)

    @property
    def area(self) -> tuple[float, float]:
        """Return where the room for the schematic begins and ends, mm from the top."""
        _, top, _, height = self.box
        return (
            top + self.around.upper.height + gap_mm(self.paper),
            top + height - self.around.lower.height - gap_mm(self.paper),
        )


def room_of(asked: Asked, paper: Paper) -> tuple[float, float, float, float]:
    """Return what is inside the frame of a paper: left, top, width, height, mm."""
    inner = MARGIN_MM + _INNER_MM + (BORDER_MM if asked.stopped else 0.0)
    return inner, inner, paper.width_mm - 2 * inner, paper.height_mm - 2 * inner


def fit(
    ordered: Ordered,
    asked: Asked,
    own: Sequence[Finding],
    paper: Paper,
    levels: Sequence[int] = (),
    spare_mm: float = 0.0,
    beside: Sequence[Ordered] = (),
) -> Fitted | None:
    """Lay a sheet out on a paper as it lies, at the first level that has room; None when none has.

    `own` are the findings about this sheet; `beside` are what it is cut into, to stand side by side.
    """
    box = room_of(asked, paper)
    if box[2] < _LEAST_MM:
        return None
    worth = any(finding.severity is not Severity.NOTE for finding in own)
    measured: dict[tuple[object, ...], Surroundings] = {}
    for level in levels or (range(len(LEVELS)) if worth else _BY_SIZE):
        fitted = _at(level, ordered, beside or (ordered,), asked, own, paper, box, spare_mm, measured)
        if fitted is not None:
            return fitted
    return None


def _at(
    level: int,
    ordered: Ordered,
    parts: Sequence[Ordered],
    asked: Asked,
    own: Sequence[Finding],
    paper: Paper,
    box: tuple[float, float, float, float],
    spare_mm: float,
    measured: dict[tuple[object, ...], Surroundings],
) -> Fitted | None:
    most, size = LEVELS[level]
    if size.close and not all_rest(ordered.circuit):
        return None
    if any(least_mm(part.circuit, size.zoom) > box[3] for part in parts):
        return None
    entries, more = told(own, ordered.circuit, most)
    outlined = {terminal for one in entries if one.stops for terminal in one.terminals}
    # a stop has an outline and a flag instead of discs
    marks = {at: tuple(one.mark for one in own[:3]) for at, own in entries_at(entries, stops=False).items()}
    strips = [set_strip(part, marks, size, outlined) for part in parts]
    small = is_small(paper)
    brief = small or not size.under or len(parts) > 1
    texts = [
        frame_texts(part.circuit, asked.mapping, size, strip.columns.width, brief)
        for part, strip in zip(parts, strips, strict=True)
    ]
    flags = math.ceil(flag_mm(entries, CAP_SMALL * size.small) / GRID_MM)
    each = (box[2] + _PANEL_GAP_MM) / len(parts) - _PANEL_GAP_MM
    width = int(each / size.zoom / GRID_MM) - flags

    def around(extra: int) -> Surroundings:
        key = (most, size.colour_words, size.under, extra)
        if key not in measured:
            said = Said(entries, more, asked.findings, 2 if most > 3 else 1, extra)
            _, _, with_title, with_head = asked.binding
            measured[key] = surroundings(
                ordered, asked.mapping, said, box[2], size, with_title, small, brief, with_head
            )
        return measured[key]

    def planned(blocks: Surroundings) -> tuple[Places, ...]:
        room = box[3] - blocks.upper.height - blocks.lower.height - 2 * gap_mm(paper) - spare_mm
        found = []
        for part, strip, said in zip(parts, strips, texts, strict=True):
            try:
                plan = lay_out(
                    part, width, room / size.zoom / GRID_MM, strip, size, frame_room(said, size),
                    extra_crossings=asked.extra_crossings,
                )  # fmt: skip
            except FitError:
                return ()
            found.append(Places(part, plan, strip, said))
        return tuple(found)

    blocks = around(0)
    found = planned(blocks)
    extra = Crossings.summed(panel.plan.crossings for panel in found).extra
    if extra:  # the sheet says so: that takes room as well
        blocks = around(extra)
        found = planned(blocks)
        blocks = around(Crossings.summed(panel.plan.crossings for panel in found).extra)
    return Fitted(ordered, paper, found, blocks, entries, box, level) if found else None
