"""A sheet from a circuit, its findings and a layout: everything on one page, in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final, NamedTuple, Protocol

from doorsheet.circuit.checks.report import listed
from doorsheet.circuit.findings import Finding, Severity
from doorsheet.circuit.parts import Circuit, is_drive, unit_of
from doorsheet.layout import SPACINGS, FitError, Ordered, Plan, lay_out, order_circuit
from doorsheet.layout.plan import GRID_MM, Spacing
from doorsheet.layout.words import shortened
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import rectangle
from doorsheet.page.display import Group, Item, Page, Point, Role, Stroke, Text
from doorsheet.page.full import TITLE_BLOCK_MM, full_blocks
from doorsheet.page.panels import board_lines, stage_words
from doorsheet.page.schematic import Margins, draw_schematic, frame_margins
from doorsheet.trade.lettering import CAP_SMALL, CAP_TERMINAL, CAP_TITLE, text_width, wrap
from doorsheet.trade.paper import Paper, paper_named

__all__ = ["MARGIN_MM", "Binding", "PaperError", "compose"]

MARGIN_MM: Final = 10.0
STOP_WORDS: Final = "STOP: do not connect"
_AUTOMATIC: Final = ("A4", "A3")
"""Papers tried in turn when the user names none."""


class _Manner(NamedTuple):
    """How a sheet is put together."""

    compact: bool
    inner_mm: float  # from the sheet's frame to what it holds
    title_room_mm: float  # for a line of a device's title
    title_cap_mm: float = 3.5
    gap_mm: float = 3.0  # over and under the schematic
    reference_mm: tuple[float, ...] = (13.0,)
    """Room kept for references to other sheets while the cuts are sought, tried in turn: lines of text."""


_FULL: Final = _Manner(False, 3.5, 60.0)
_COMPACT: Final = (
    _Manner(True, 2.0, 60.0, 3.5, 2.0, (8.6, 4.3)),
    _Manner(True, 2.0, 70.0, CAP_SMALL, 2.0, (8.6, 4.3)),
    _Manner(True, 2.0, 45.0, CAP_SMALL, 2.0, (8.6, 4.3)),
)
"""Tried in turn: large titles of the devices, small ones on a line, small ones on several."""
_DOOR_FORMAT: Final = "A5"
"""Paper on which a sheet that doesn't fit is made compact before it is cut."""


class Binding(NamedTuple):
    """How a sheet stands among other papers."""

    first: int = 1  # the number of its first page
    sheets: int | None = None  # in the whole set; None: this sheet is all of it
    title_block: bool = True  # left out of pictures for strangers


_ALONE: Final = Binding()


class PaperError(Exception):
    """The sheet needs larger paper than was asked for, or than there is."""


class _Fitted(NamedTuple):
    circuit: Circuit
    manner: _Manner
    paper: Paper
    plan: Plan
    blocks: _Surroundings
    margins: Margins
    room: float  # height left for the schematic, mm


class _Surroundings(Protocol):
    """Everything but the schematic, measured for one paper."""

    @property
    def head(self) -> float: ...

    @property
    def foot(self) -> float: ...

    def above(self, left: float, top: float) -> Iterator[Item]: ...

    def below(self, left: float, bottom: float) -> Iterator[Item]: ...


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
        manners = (_FULL, *_COMPACT) if choice[0].name == _DOOR_FORMAT else (_FULL,)
        for manner in manners:
            for sheet in choice:
                fitted = _fit(ordered, mapping, findings, sheet, binding, manner)
                if fitted is not None:
                    return (_page(mapping, findings, fitted),)
        whole_order = replace(ordered, circuit=circuit)
        for manner in manners[-2:]:
            best: tuple[Page, ...] | None = None
            for sheet in choice:
                pages = _several(whole_order, mapping, findings, sheet, binding, manner)
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
    ordered: Ordered,
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding,
    manner: _Manner,
) -> tuple[Page, ...] | None:
    """Cut the installation into sheets of this paper; None when a part alone doesn't fit."""
    from doorsheet.page.split import split

    for spare_mm in manner.reference_mm:

        def fits(part: Circuit, spare_mm: float = spare_mm) -> bool:
            # a reference takes a line at most: leave room for it
            own = _of_sheet(findings, part)
            ordered = order_circuit(_numbered(part, binding))
            return _fit(ordered, mapping, own, paper, binding, manner, spare_mm) is not None

        circuits = split(ordered, fits)
        pages = _pages(circuits, mapping, findings, paper, binding, manner) if circuits else None
        if pages is not None:
            return pages
    return None


def _pages(
    circuits: Sequence[Circuit],
    mapping: Mapping,
    findings: Sequence[Finding],
    paper: Paper,
    binding: Binding,
    manner: _Manner,
) -> tuple[Page, ...] | None:
    """Draw the circuits a sheet each; None when the references of one have no room."""
    pages = []
    left = list(findings)
    for circuit in circuits:
        own = _of_sheet(left, circuit)
        left = [finding for finding in left if finding not in own]
        numbered = order_circuit(_numbered(circuit, binding))
        fitted = _fit(numbered, mapping, own, paper, binding, manner)
        if fitted is None:
            return None
        pages.append(_page(mapping, own, fitted, stopped=_stopped(findings)))
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
    manner: _Manner,
    spare_mm: float = 0.0,
) -> _Fitted | None:
    width = _usable(paper, manner)
    height = paper.height_mm - 2 * (MARGIN_MM + manner.inner_mm)
    if width < TITLE_BLOCK_MM:
        return None
    discharge, with_title = _discharge(mapping), binding.title_block
    blocks: _Surroundings
    if manner.compact:
        from doorsheet.page.compact import compact_blocks  # most sheets don't need it

        readings = ordered.circuit.readings
        ordered = order_circuit(shortened(ordered.circuit))
        blocks = compact_blocks(ordered.circuit, readings, mapping, findings, discharge, width, with_title)
    else:
        blocks = full_blocks(ordered.circuit, mapping, findings, discharge, width, with_title)
    room = height - blocks.head - blocks.foot - 2 * manner.gap_mm - spare_mm
    margins = _margins(ordered.circuit, mapping, manner)
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
            title_mm=_title_widths(ordered.circuit, mapping, manner),
        )
    except FitError:
        return None
    return _Fitted(ordered.circuit, manner, paper, plan, blocks, margins, room)


_FRAME_STEPS: Final = 4
"""From the last row of a frame to the top of the next one, steps: its edge, and air between the two."""


def _spacings(margins: Margins) -> tuple[Spacing, ...]:
    """Return the spacings to try, with room between frames for the longest title."""
    room = _FRAME_STEPS + margins.top
    return tuple(entry if entry.frame >= room else replace(entry, frame=room) for entry in SPACINGS)


def _usable(paper: Paper, manner: _Manner) -> float:
    """Return the width inside the frame, in whole grid steps, so that everything lines up; mm."""
    return int((paper.width_mm - 2 * (MARGIN_MM + manner.inner_mm)) / GRID_MM) * GRID_MM


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


def _titles(circuit: Circuit, manner: _Manner) -> dict[str, tuple[str, ...]]:
    return {
        block.key: wrap(block.title, manner.title_cap_mm, manner.title_room_mm, True)
        for block in circuit.blocks
    }


def _title_widths(circuit: Circuit, mapping: Mapping, manner: _Manner) -> tuple[float, float]:
    """Return the widest line of the titles left of the channel, and of what the drive's frame says; mm."""
    widest = {
        key: max((text_width(words, manner.title_cap_mm, True) for words in lines), default=0.0)
        for key, lines in _titles(circuit, manner).items()
    }
    left = max((width for key, width in widest.items() if not is_drive(key)), default=0.0)
    right = max((width for key, width in widest.items() if is_drive(key)), default=0.0)
    said = max((text_width(line, CAP_SMALL) for line in _selectors(mapping, manner)), default=0.0)
    return left, max(right, said)


def _selectors(mapping: Mapping, manner: _Manner) -> tuple[str, ...]:
    """Return what the drive's frame says at its foot; of several drives the wire table's notes do."""
    lines = () if mapping.drives else board_lines(mapping.drive)
    return tuple(line for entry in lines for line in wrap(entry, CAP_SMALL, manner.title_room_mm))


def _margins(circuit: Circuit, mapping: Mapping, manner: _Manner) -> Margins:
    titles, said = _titles(circuit, manner), _selectors(mapping, manner)
    margins = frame_margins(titles.values(), len(said), bool(circuit.screens), manner.title_cap_mm)
    # a rail's name stands over the first wire, below the words of a stop
    return margins if circuit.rail is None else replace(margins, top=max(margins.top, 5))


def _page(mapping: Mapping, findings: Sequence[Finding], fitted: _Fitted, stopped: bool = False) -> Page:
    circuit, manner = fitted.circuit, fitted.manner
    paper, plan, blocks = fitted.paper, fitted.plan, fitted.blocks
    top = MARGIN_MM + manner.inner_mm
    width = _usable(paper, manner)
    left = (paper.width_mm - width) / 2
    bottom = paper.height_mm - top
    margins = fitted.margins
    needed = (margins.top + plan.rows + margins.bottom) * GRID_MM
    area_top = top + blocks.head + manner.gap_mm
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
    items += blocks.above(left, top)
    titles, said = _titles(circuit, manner), _selectors(mapping, manner)
    items += draw_schematic(circuit, plan, left, row0, text_width, margins, titles, said)
    items += blocks.below(left, bottom)
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
    wide, cap, high = text_width(STOP_WORDS, CAP_TITLE, True), CAP_TITLE, 7.2
    if wide + cap > channel[1] - channel[0]:  # over a narrow channel it would hide the devices' titles
        wide, cap, high = text_width(STOP_WORDS, CAP_TERMINAL, True), CAP_TERMINAL, 6.2
    middle = (channel[0] + channel[1]) / 2
    bottom = y + 4.5  # clear of the first wire's reading
    plate = rectangle(middle - (wide + cap) / 2, bottom - high, wide + cap, high, Role.STOP_MARK)
    baseline = bottom - (high - cap) / 2
    words = Text(middle, baseline, STOP_WORDS, cap, wide, "middle", True, Role.TEXT_STOP)
    yield Group("stop-mark", (*diagonals, plate, words), "do not connect: see the findings")


def _described(circuit: Circuit) -> str:
    wires = "; ".join(
        f"wire {wire.number} {wire.colour.letters} from {wire.near.full} to {wire.far.full}, {wire.job}"
        for wire in circuit.wires
    )
    return f"Reduced control schematic. {wires}."
