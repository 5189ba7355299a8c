"""A sheet from a circuit, its findings and a layout: everything on one page, in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from doorsheet.circuit.checks.report import listed
from doorsheet.circuit.findings import Finding, Severity
from doorsheet.circuit.parts import Circuit, is_drive, unit_of
from doorsheet.layout import SPACINGS, FitError, Ordered, Plan, lay_out, order_circuit
from doorsheet.layout.plan import GRID_MM, Spacing
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import Block, rectangle, shifted
from doorsheet.page.display import Group, Item, Page, Point, Role, Stroke, Text
from doorsheet.page.panels import board_lines, findings_box, heading, stage_words, title_block, wire_table
from doorsheet.page.schematic import Margins, draw_schematic, frame_margins
from doorsheet.page.warning import warning_box
from doorsheet.trade.lettering import CAP_SMALL, CAP_TITLE, text_width, wrap
from doorsheet.trade.paper import Paper, paper_named

__all__ = ["MARGIN_MM", "Binding", "PaperError", "compose"]

MARGIN_MM: Final = 10.0
_INNER_MM: Final = 3.5  # from the sheet's frame to what it holds
_GAP_MM: Final = 3.0
_TITLE_BLOCK_MM: Final = 78.0
STOP_WORDS: Final = "STOP: do not connect"
_AUTOMATIC: Final = ("A4", "A3")
"""Papers tried in turn when the user names none."""
_REFERENCE_MM: Final = 13.0
"""Room kept for references to other sheets while the cuts are sought: three lines under the table."""


class Binding(NamedTuple):
    """How a sheet stands among other papers."""

    first: int = 1  # the number of its first page
    sheets: int | None = None  # in the whole set; None: this sheet is all of it
    title_block: bool = True  # left out of pictures for strangers


_ALONE: Final = Binding()


class PaperError(Exception):
    """The sheet needs larger paper than was asked for, or than there is."""


@dataclass(frozen=True, slots=True)
class _Fitted:
    paper: Paper
    plan: Plan
    blocks: _Blocks
    margins: Margins
    room: float  # height left for the schematic, mm


@dataclass(frozen=True, slots=True)
class _Blocks:
    """Everything but the schematic, measured for one paper."""

    heading: Block
    warning: Block
    table: Block
    title: Block | None
    notes: Block | None
    side_by_side: bool

    @property
    def head(self) -> float:
        return max(self.heading.height, self.warning.height)

    @property
    def foot(self) -> float:
        title = self.title.height if self.title is not None else 0.0
        below = max(self.table.height, title)
        if self.title is not None and not self.side_by_side:
            below = self.table.height + _GAP_MM + title
        return below + (self.notes.height + _GAP_MM if self.notes is not None else 0.0)


def compose(
    circuit: Circuit,
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: str | Paper | None = None,
    binding: Binding = _ALONE,
) -> tuple[Page, ...]:
    """Put the sheet together on the paper named, or on A4; as several pages when one can't hold it.

    A paper that is named is tried upright and across; a `Paper` as it lies.

    Raises:
        PaperError: when the paper is too small for a single part at readable text sizes.
        ValueError: when `paper` is no paper's name.
    """
    whole = _numbered(circuit, binding)
    ordered = order_circuit(whole)
    choices = _choices(paper)
    for choice in choices:
        for sheet in choice:
            fitted = _fit(ordered, mapping, findings, sheet, binding)
            if fitted is not None:
                return (_page(ordered.circuit, mapping, findings, fitted),)
        best: tuple[Page, ...] | None = None
        for sheet in choice:
            pages = _several(replace(ordered, circuit=circuit), mapping, findings, sheet, binding)
            if pages is not None and (best is None or len(pages) < len(best)):
                best = pages
            if best is not None and not mapping.drives:
                break  # the way the paper lies for a single drive is part of how its sheets look
        if best is not None:
            return best
    tried = " or ".join(choice[0].name for choice in choices)
    turned = ", upright or across," if len(choices[0]) > 1 else ""
    raise PaperError(
        f"the sheet does not fit on {tried}{turned} at readable text sizes: "
        "shorten the longest names and labels, or name a larger paper"
    )


def _choices(paper: str | Paper | None) -> tuple[tuple[Paper, ...], ...]:
    """Return the papers to try in turn, each the ways it may lie."""
    if isinstance(paper, Paper):
        return ((paper,),)
    names = _AUTOMATIC if paper is None else (paper,)
    return tuple(tuple(_orientations(paper_named(name))) for name in names)


def _numbered(circuit: Circuit, binding: Binding) -> Circuit:
    """Count a circuit's sheets, and its references to others, as pages of the whole set."""
    before = binding.first - 1
    if binding.sheets is None:
        return circuit
    elsewhere = tuple(replace(other, sheet=other.sheet + before) for other in circuit.elsewhere)
    return replace(circuit, sheet=circuit.sheet + before, sheets=binding.sheets, elsewhere=elsewhere)


def _several(
    ordered: Ordered, mapping: Mapping, findings: Sequence[Finding], paper: Paper, binding: Binding
) -> tuple[Page, ...] | None:
    """Cut the installation into sheets of this paper; None when a part alone doesn't fit."""
    from doorsheet.page.split import split

    def fits(part: Circuit) -> bool:
        # a reference takes a line at most: leave room for it
        own = _of_sheet(findings, part)
        ordered = order_circuit(_numbered(part, binding))
        return _fit(ordered, mapping, own, paper, binding, _REFERENCE_MM) is not None

    circuits = split(ordered, fits)
    if circuits is None:
        return None
    pages = []
    left = list(findings)
    for circuit in circuits:
        own = _of_sheet(left, circuit)
        left = [finding for finding in left if finding not in own]
        numbered = order_circuit(_numbered(circuit, binding))
        fitted = _fit(numbered, mapping, own, paper, binding)
        if fitted is None:
            return None
        pages.append(_page(numbered.circuit, mapping, own, fitted, stopped=_stopped(findings)))
    return tuple(pages)


def _of_sheet(findings: Sequence[Finding], circuit: Circuit) -> tuple[Finding, ...]:
    """Return the findings about wires or terminals of this sheet; those about none stand on the first."""
    wires = {wire.number for wire in circuit.wires}
    terminals = {entry.terminal.label for entry in circuit.strip}
    terminals |= {pin.terminal.label for part in circuit.parts for pin in part.pins}
    units = {unit_of(block.key) for block in circuit.blocks if is_drive(block.key)}

    def here(finding: Finding) -> bool:
        unit = finding.control.rpartition(" ")[0]
        if unit and unit not in units:  # labels repeat from drive to drive
            return bool(wires & set(finding.wires))
        if wires & set(finding.wires) or terminals & set(finding.terminals):
            return True
        return not finding.wires and not finding.terminals and (bool(unit) or circuit.sheet == 1)

    return tuple(finding for finding in findings if here(finding))


def _stopped(findings: Sequence[Finding]) -> bool:
    return any(finding.severity is Severity.STOP for finding in findings)


def _orientations(paper: Paper) -> Iterator[Paper]:
    yield paper.landscape()
    yield paper.portrait()


def _fit(
    ordered: Ordered,
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding,
    spare_mm: float = 0.0,
) -> _Fitted | None:
    width = _usable(paper)
    height = paper.height_mm - 2 * (MARGIN_MM + _INNER_MM)
    if width < _TITLE_BLOCK_MM:
        return None
    blocks = _blocks(ordered.circuit, mapping, findings, width, binding.title_block)
    room = height - blocks.head - blocks.foot - 2 * _GAP_MM - spare_mm
    margins = _margins(ordered.circuit, mapping)
    rows = int(room / GRID_MM) - margins.top - margins.bottom
    if rows < 0:
        return None
    try:
        plan = lay_out(
            ordered,
            text_width,
            round(width / GRID_MM),
            rows,
            _spacings(margins),
            title_mm=_title_widths(ordered.circuit, mapping),
        )
    except FitError:
        return None
    return _Fitted(paper, plan, blocks, margins, room)


_FRAME_STEPS: Final = 4
"""From the last row of a frame to the top of the next one, steps: its edge, and air between the two."""


def _spacings(margins: Margins) -> tuple[Spacing, ...]:
    """Return the spacings to try, with room between frames for the longest title."""
    room = _FRAME_STEPS + margins.top
    return tuple(entry if entry.frame >= room else replace(entry, frame=room) for entry in SPACINGS)


def _usable(paper: Paper) -> float:
    """Return the width inside the frame, in whole grid steps, so that everything lines up; mm."""
    return int((paper.width_mm - 2 * (MARGIN_MM + _INNER_MM)) / GRID_MM) * GRID_MM


def _blocks(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], width: float, with_title: bool
) -> _Blocks:
    warning_width = min(156.0, 0.58 * width)
    side_by_side = width >= 230.0 and with_title
    table_width = width - _TITLE_BLOCK_MM - _GAP_MM if side_by_side else width
    title_width = _TITLE_BLOCK_MM if side_by_side else width
    return _Blocks(
        heading=heading(mapping, circuit, width - warning_width - _GAP_MM),
        warning=warning_box(_discharge(mapping), warning_width, several=bool(mapping.drives)),
        table=wire_table(circuit, mapping, table_width),
        title=title_block(mapping, circuit, findings, title_width) if with_title else None,
        notes=findings_box(findings, width),
        side_by_side=side_by_side,
    )


def _discharge(mapping: Mapping) -> str | None:
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


_TITLE_ROOM_MM: Final = 60.0


def _titles(circuit: Circuit) -> dict[str, tuple[str, ...]]:
    return {block.key: wrap(block.title, 3.5, _TITLE_ROOM_MM, True) for block in circuit.blocks}


def _title_widths(circuit: Circuit, mapping: Mapping) -> tuple[float, float]:
    """Return the widest line of the titles left of the channel, and of what the drive's frame says; mm."""
    widest = {
        key: max((text_width(words, 3.5, True) for words in lines), default=0.0)
        for key, lines in _titles(circuit).items()
    }
    left = max((width for key, width in widest.items() if not is_drive(key)), default=0.0)
    right = max((width for key, width in widest.items() if is_drive(key)), default=0.0)
    said = max((text_width(line, CAP_SMALL) for line in _selectors(mapping)), default=0.0)
    return left, max(right, said)


def _selectors(mapping: Mapping) -> tuple[str, ...]:
    """Return what the drive's frame says at its foot; of several drives the wire table's notes do."""
    lines = () if mapping.drives else board_lines(mapping.drive)
    return tuple(line for entry in lines for line in wrap(entry, CAP_SMALL, _TITLE_ROOM_MM))


def _margins(circuit: Circuit, mapping: Mapping) -> Margins:
    return frame_margins(_titles(circuit).values(), len(_selectors(mapping)), bool(circuit.screens))


def _page(
    circuit: Circuit, mapping: Mapping, findings: Sequence[Finding], fitted: _Fitted, stopped: bool = False
) -> Page:
    paper, plan, blocks = fitted.paper, fitted.plan, fitted.blocks
    top = MARGIN_MM + _INNER_MM
    width = _usable(paper)
    left = (paper.width_mm - width) / 2
    bottom = paper.height_mm - top
    margins = fitted.margins
    needed = (margins.top + plan.rows + margins.bottom) * GRID_MM
    area_top = top + blocks.head + _GAP_MM
    # rounded, so that rows keep exact distances
    row0 = round(area_top + (fitted.room - needed) / 2 + margins.top * GRID_MM, 1)
    frame = rectangle(
        MARGIN_MM,
        MARGIN_MM,
        paper.width_mm - 2 * MARGIN_MM,
        paper.height_mm - 2 * MARGIN_MM,
        Role.SHEET_FRAME,
    )
    box = (left, row0 - margins.top * GRID_MM, width, needed)
    items: list[Item] = [frame]
    items += shifted(blocks.heading.items, left, top)
    items += shifted(blocks.warning.items, left + width - blocks.warning.width, top)
    items += draw_schematic(
        circuit, plan, left, row0, text_width, margins, _titles(circuit), _selectors(mapping)
    )
    items += _foot(blocks, left, bottom)
    if stopped or _stopped(findings):
        columns = plan.columns
        items += _stop_mark(box, (left + columns.near * GRID_MM, left + columns.far * GRID_MM))
    return Page(
        width=paper.width_mm,
        height=paper.height_mm,
        items=tuple(items),
        title=f"{mapping.machine}: drive control wiring, {stage_words(circuit)}",
        description=_described(circuit),
        source_name=circuit.source.name,
        source_text=circuit.source.text,
    )


def _foot(blocks: _Blocks, left: float, bottom: float) -> Iterator[Item]:
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


def _stop_mark(box: tuple[float, float, float, float], channel: tuple[float, float]) -> Iterator[Item]:
    """Yield the mark across a sheet that must not be used: both diagonals, and words that hide nothing.

    `box` is the schematic's x, y, width, height; the words stand over the `channel`'s x range,
    on the line where the frames begin, above the first wire.
    """
    x, y, width, height = box
    diagonals = (
        Stroke((Point(x, y), Point(x + width, y + height)), Role.STOP_MARK),
        Stroke((Point(x, y + height), Point(x + width, y)), Role.STOP_MARK),
    )
    wide = text_width(STOP_WORDS, CAP_TITLE, True)
    middle = (channel[0] + channel[1]) / 2
    plate = rectangle(middle - wide / 2 - 2.5, y - 2.7, wide + 5.0, 7.2, Role.STOP_MARK)
    words = Text(middle, y + 3.4, STOP_WORDS, CAP_TITLE, wide, "middle", True, Role.TEXT_STOP)
    yield Group("stop-mark", (*diagonals, plate, words), "do not connect: see the findings")


def _described(circuit: Circuit) -> str:
    wires = "; ".join(
        f"wire {wire.number} {wire.colour.letters} from {wire.near.full} to {wire.far.full}, {wire.job}"
        for wire in circuit.wires
    )
    return f"Reduced control schematic. {wires}."
