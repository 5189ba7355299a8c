"""What surrounds the schematic on a full sheet (page room).

Heading and warning over it; findings, wire table and title block under it.  Small sheets have less:
`doorsheet.page.compact`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Circuit
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import Block, shifted
from doorsheet.page.display import Item
from doorsheet.page.panels import findings_box, heading, title_block, wire_table
from doorsheet.page.warning import warning_box

__all__ = ["TITLE_BLOCK_MM", "FullBlocks", "full_blocks"]

TITLE_BLOCK_MM: Final = 78.0
_GAP_MM: Final = 3.0


class FullBlocks(NamedTuple):
    """The surroundings of a full sheet."""

    width: float
    heading: Block
    warning: Block
    table: Block
    title: Block | None
    notes: Block | None
    side_by_side: bool

    @property
    def head(self) -> float:
        """Height over the schematic, mm."""
        return max(self.heading.height, self.warning.height)

    @property
    def foot(self) -> float:
        """Height under it, mm."""
        title = self.title.height if self.title is not None else 0.0
        below = max(self.table.height, title)
        if self.title is not None and not self.side_by_side:
            below = self.table.height + _GAP_MM + title
        return below + (self.notes.height + _GAP_MM if self.notes is not None else 0.0)

    def above(self, left: float, top: float) -> Iterator[Item]:
        """Yield what stands over the schematic."""
        yield from shifted(self.heading.items, left, top)
        yield from shifted(self.warning.items, left + self.width - self.warning.width, top)

    def below(self, left: float, bottom: float) -> Iterator[Item]:
        """Yield what stands under it."""
        return _foot(self, left, bottom)


def full_blocks(
    circuit: Circuit,
    mapping: Mapping,
    findings: Sequence[Finding],
    discharge: str | None,
    width: float,
    with_title: bool,
    extra: int = 0,
) -> FullBlocks:
    """Measure everything but the schematic for `width` mm; `extra` crossings are told of."""
    warning_width = min(156.0, 0.58 * width)
    side_by_side = width >= 230.0 and with_title
    table_width = width - TITLE_BLOCK_MM - _GAP_MM if side_by_side else width
    title_width = TITLE_BLOCK_MM if side_by_side else width
    return FullBlocks(
        width=width,
        heading=heading(mapping, circuit, width - warning_width - _GAP_MM),
        warning=warning_box(discharge, warning_width, several=bool(mapping.drives)),
        table=wire_table(circuit, mapping, table_width, extra),
        title=title_block(mapping, circuit, findings, title_width) if with_title else None,
        notes=findings_box(findings, circuit, width),
        side_by_side=side_by_side,
    )


def _foot(blocks: FullBlocks, left: float, bottom: float) -> Iterator[Item]:
    if blocks.title is None:
        y = bottom - blocks.table.height
        yield from shifted(blocks.table.items, left, y)
    elif blocks.side_by_side:
        tallest = max(blocks.table.height, blocks.title.height)
        y = bottom - tallest
        yield from shifted(blocks.table.items, left, y)
        yield from shifted(blocks.title.items, left + blocks.table.width + _GAP_MM, y)
    else:
        y = bottom - blocks.title.height
        yield from shifted(blocks.title.items, left, y)
        y -= _GAP_MM + blocks.table.height
        yield from shifted(blocks.table.items, left, y)
    if blocks.notes is not None:
        yield from shifted(blocks.notes.items, left, y - _GAP_MM - blocks.notes.height)
