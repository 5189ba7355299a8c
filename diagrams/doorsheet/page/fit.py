"""Whether a sheet has room on a paper: everything round the schematic measured, the schematic laid out.

Which papers are tried, and in which order, is `doorsheet.page.compose`'s.
"""

import math
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.layout import FitError, Ordered, lay_out, least_steps
from doorsheet.layout.plan import GRID_MM, SIZES, Crossings, Size
from doorsheet.layout.strip import Strip, all_rest, set_strip
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
    (most, size, marked)
    for most, sizes, marked in (
        (6, SIZES[:-2], True), (3, SIZES[4:-2], True), (1, SIZES[4:], True), (1, SIZES[4:], False),
    )
    for size in sizes
)  # fmt: skip
"""Tried in turn: how many findings are told of at most, how large the schematic is, whether what has no room
for its words has a disc all the same.
"""
_BY_SIZE: Final = sorted({size: level for level, (_, size, _) in reversed([*enumerate(LEVELS)])}.values())
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
        return _crossings(self.panels)

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
    below: int = len(LEVELS),
) -> Fitted | None:
    """Lay a sheet out on a paper as it lies, at the first level that has room; None when none `below` has.

    `own` are the findings about this sheet; `beside` are what it is cut into, to stand side by side.
    """
    if room_of(asked, paper)[2] < _LEAST_MM:
        return None
    worth = any(finding.severity is not Severity.NOTE for finding in own)
    tried = levels or (range(len(LEVELS)) if worth else _BY_SIZE)
    entries = told(own, ordered.circuit)
    trial = _Trial(ordered, asked, entries, paper, spare_mm, beside or (ordered,), {})
    levels = [level for level in tried if level < below]
    found = (trial.at(level) for level in levels)
    usual = next((fitted for fitted in found if fitted is not None), None)
    if usual is not None:
        return usual
    low = trial._replace(low=True, measured={})
    lower = (low.at(level) for level in levels if low.head_mm(level) < trial.head_mm(level))
    return next((fitted for fitted in lower if fitted is not None), None)


class _Trial(NamedTuple):
    """A sheet that is tried on a paper; what was measured for one level is kept for the others."""

    ordered: Ordered
    asked: Asked
    found: tuple[Told, ...]
    paper: Paper
    spare_mm: float
    parts: Sequence[Ordered]
    measured: dict[tuple[int, bool, bool, bool, int], Surroundings]
    low: bool = False  # the heading as low as can be, where there is no room for one that reads best

    def head_mm(self, level: int) -> float:
        """Return the height of what stands over the schematic."""
        return self._around(level, 0).upper.height

    def at(self, level: int) -> Fitted | None:
        """Lay the sheet out at one level."""
        (most, size, marked), parts, box = LEVELS[level], self.parts, room_of(self.asked, self.paper)
        if size.close and not all_rest(self.ordered.circuit):
            return None
        if any(least_mm(part.circuit, size.zoom) > box[3] for part in parts):
            return None
        entries = self.found[:most]
        outlined = {terminal for one in entries if one.stops for terminal in one.terminals}
        # a stop has an outline and a flag instead of discs
        discs = entries_at(self.found if marked else entries, stops=False).items()
        marks = {terminal: tuple(one.mark for one in own[:3]) for terminal, own in discs}
        strips = [set_strip(part, marks, size, outlined) for part in parts]
        flags = math.ceil(flag_mm(entries, CAP_SMALL * size.small) / GRID_MM)
        each = (box[2] + _PANEL_GAP_MM) / len(parts) - _PANEL_GAP_MM
        steps = int(each / size.zoom / GRID_MM) - flags
        blocks = self._around(level, 0)
        try:
            found = self._panels(strips, size, steps, blocks)
            if extra := _crossings(found).extra:  # the sheet says so: that takes room as well
                found = self._panels(strips, size, steps, self._around(level, extra))
                blocks = self._around(level, _crossings(found).extra)
        except FitError:
            return None
        return Fitted(self.ordered, self.paper, found, blocks, entries, box, level)

    def _brief(self, size: Size) -> bool:
        return is_small(self.paper) or not size.under or len(self.parts) > 1

    def _around(self, level: int, extra: int) -> Surroundings:
        most, size, marked = LEVELS[level]
        key = most, size.colour_words, size.under, marked, extra
        if key not in self.measured:
            asked, small, width = self.asked, is_small(self.paper), room_of(self.asked, self.paper)[2]
            entries, more = self.found[:most], self.found[most:]
            if not marked:
                more = tuple(one._replace(terminals=()) for one in more)
            said = Said(entries, more, asked.findings, 2 if most > 3 else 1, extra)
            _, _, title, head = asked.binding
            legend = not (size.colour_words or small)
            self.measured[key] = surroundings(
                self.ordered,
                asked.mapping,
                said,
                width,
                legend,
                title,
                small,
                self._brief(size),
                head,
                self.low,
            )
        return self.measured[key]

    def _panels(
        self, strips: Sequence[Strip], size: Size, steps: int, around: Surroundings
    ) -> tuple[Places, ...]:
        """Lay out what stands side by side, each `steps` wide; FitError without room."""
        taken = around.upper.height + around.lower.height + 2 * gap_mm(self.paper) + self.spare_mm
        room = (room_of(self.asked, self.paper)[3] - taken) / size.zoom / GRID_MM
        out = []
        for part, strip in zip(self.parts, strips, strict=True):
            said = frame_texts(part.circuit, self.asked.mapping, size, strip.columns.width, self._brief(size))
            frames, extra = frame_room(said, size), self.asked.extra_crossings
            out.append(Places(part, lay_out(part, steps, room, strip, size, frames, extra), strip, said))
        return tuple(out)


def _crossings(panels: Sequence[Places]) -> Crossings:
    return Crossings.summed(panel.plan.crossings for panel in panels)
