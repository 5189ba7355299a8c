"""What surrounds the schematic on a small sheet, such as A5 for the inside of a door (page room).

The warning keeps its words and every footnote stays; the wire table goes, since plates, function
words and readings say the same at the wires, and the title block is one row of cells at the foot.
The full surroundings are in `doorsheet.page.full`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Circuit, Reading
from doorsheet.circuit.readings import BLANK
from doorsheet.layout.words import marked, short_reading
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import LINE_MM, Block, levelled, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Role
from doorsheet.page.panels import (
    board_notes,
    extra_words,
    findings_box,
    footnotes,
    scale_bar,
    stage_words,
)
from doorsheet.page.warning import warning_box
from doorsheet.trade.lettering import CAP_SMALL, CAP_TITLE, text_width, wrap

__all__ = ["CompactBlocks", "compact_blocks"]

_METER: Final = "Meter: DC volts, black lead on common."
_NOT_SHOWN: Final = (
    "Not shown: mains, motor, protection, other terminals. This sheet validates no safety function."
)
_GAP_MM: Final = 1.6
_PAD_MM: Final = 1.5
_SIGN_MM: Final = 19.0
_WARNING_SHARES: Final = (0.55, 0.6, 0.65, 0.7, 0.75)
"""Shares of the width tried for a warning box beside the heading."""
_KIND_MM: Final = 40.0
"""Least room beside the machine's name for the kind of sheet."""
_SCALE_MM: Final = 67.5
"""Width of the scale bar with its words."""


@dataclass(frozen=True, slots=True)
class CompactBlocks:
    """Heading and warning over the schematic; notes, findings and title row under it."""

    upper: Block
    lower: Block

    @property
    def head(self) -> float:
        """Height over the schematic, mm."""
        return self.upper.height

    @property
    def foot(self) -> float:
        """Height under it, mm."""
        return self.lower.height

    def above(self, left: float, top: float) -> Iterator[Item]:
        """Yield what stands over the schematic."""
        yield from shifted(self.upper.items, left, top)

    def below(self, left: float, bottom: float) -> Iterator[Item]:
        """Yield what stands under it."""
        yield from shifted(self.lower.items, left, bottom - self.lower.height)


def compact_blocks(
    circuit: Circuit,
    readings: Sequence[Reading],
    mapping: Mapping,
    findings: Sequence[Finding],
    discharge: str | None,
    width: float,
    with_title: bool,
    extra: int = 0,
) -> CompactBlocks:
    """Measure everything but the schematic for `width` mm; `readings` in full, `circuit`'s are short."""
    stacked = _stacked(
        _heading(mapping, circuit, width), _warning(discharge, width, bool(mapping.drives)), width
    )
    beside = [
        _beside(
            _heading(mapping, circuit, width * (1 - share) - _GAP_MM),
            _warning(discharge, width * share, bool(mapping.drives)),
            width,
        )
        for share in _WARNING_SHARES
    ]
    lowest = min(beside, key=lambda block: block.height)
    # a title on one line reads best, so a hair's breadth doesn't break it
    upper = stacked if stacked.height <= lowest.height + 0.7 else lowest
    parts = [findings_box(findings, circuit, width, 0.8), _notes(circuit, readings, mapping, width, extra)]
    if with_title:
        parts.append(_title_row(mapping, circuit, width))
    return CompactBlocks(upper, _column([part for part in parts if part is not None], width))


def _warning(discharge: str | None, width: float, several: bool) -> Block:
    return warning_box(discharge, width, several=several, sign_mm=_SIGN_MM, gap_mm=1.7, edge_mm=1.9)


def _stacked(heading: Block, warning: Block, width: float) -> Block:
    return _column([heading, warning], width)


def _column(blocks: Sequence[Block], width: float) -> Block:
    items: list[Item] = []
    y = 0.0
    for block in blocks:
        items += shifted(block.items, 0.0, y)
        y += block.height + _GAP_MM
    return Block(tuple(items), width, max(0.0, y - _GAP_MM))


def _beside(heading: Block, warning: Block, width: float) -> Block:
    items = (*heading.items, *shifted(warning.items, width - warning.width, 0.0))
    return Block(items, width, max(heading.height, warning.height))


def _heading(mapping: Mapping, circuit: Circuit, width: float) -> Block:
    """Return machine and kind of sheet, side by side where both fit."""
    sheet = f", sheet {circuit.sheet} of {circuit.sheets}" if circuit.sheets > 1 else ""
    where = [word for word in (mapping.sheet.owner, mapping.sheet.site) if word]
    kind = ", ".join((f"Drive control wiring, {stage_words(circuit)}{sheet}", *where))
    room = width - text_width(mapping.machine, CAP_TITLE, True) - 6.0
    lines = wrap(kind, CAP_SMALL, room) if room > _KIND_MM else ()
    if 0 < len(lines) <= 2:
        first = CAP_TITLE if len(lines) == 1 else CAP_SMALL
        items: tuple[Item, ...] = (
            line(0.0, CAP_TITLE, mapping.machine, CAP_TITLE, True),
            *(line(width, first + row * LINE_MM, words, anchor="end") for row, words in enumerate(lines)),
        )
        return Block((Group("heading", items),), width, first + (len(lines) - 1) * LINE_MM + 0.8)
    title = paragraph(mapping.machine, width, CAP_TITLE, bold=True)
    below = paragraph(kind, width)
    items = (*title.items, *shifted(below.items, 0.0, title.height + 2.6))
    return Block((Group("heading", items),), width, title.height + 2.6 + below.height + 0.6)


def _notes(
    circuit: Circuit, readings: Sequence[Reading], mapping: Mapping, width: float, extra: int
) -> Block:
    said = [_METER, *_closed(readings), *_off(circuit), *footnotes(circuit, tabled=False)]
    said += board_notes(circuit, mapping)
    said += [extra_words(extra)] if extra else []
    block = paragraph("  ".join((*said, *mapping.sheet.notes, _NOT_SHOWN)), width)
    return Block((Group("notes", block.items, "notes"),), width, block.height + 0.8)


def _closed(readings: Sequence[Reading]) -> Iterator[str]:
    """Yield what the meter shows while a contact is closed, which the short readings leave out."""
    alike: dict[str, list[str]] = {}
    for reading in readings:
        closed = short_reading(reading)[1]
        if closed:  # each blank is written on by itself
            key = f"{reading.wire}: {closed}" if BLANK in closed else closed
            alike.setdefault(key, []).append(reading.wire)
    if alike:
        told = (
            f"wire {words}"
            if BLANK in words
            else f"wire{'' if len(own) == 1 else 's'} {', '.join(own)}: {words}"
            for words, own in alike.items()
        )
        yield f"Closed: {'; '.join(told)}."


def _off(circuit: Circuit) -> Iterator[str]:
    """Yield the wires that are not fitted at this stage; where they belong, the terminal says."""
    if circuit.free_wires:
        told = (f"{marked(wire.number, circuit)} {wire.colour.letters}" for wire in circuit.free_wires)
        yield f"Off: wire {', '.join(told)}."


def _title_row(mapping: Mapping, circuit: Circuit, width: float) -> Block:
    """Return the title block as one row: source, date, revision, who drew it, sheet, scale bar."""
    sheet = mapping.sheet
    cells = (
        ("source", circuit.source.name),
        ("date", sheet.date.isoformat() if sheet.date else None),
        ("revision", sheet.revision),
        ("drawn by", sheet.drawn_by),
        ("sheet", f"{circuit.sheet} of {circuit.sheets}"),
    )
    shares = _shares(cells, width - _SCALE_MM)
    items: list[Item] = []
    tallest = 1
    x = 0.0
    for (label, value), share in zip(cells, shares, strict=True):
        room = share - 2 * _PAD_MM
        lines = wrap(value, CAP_SMALL, room) if value else ()
        tallest = max(tallest, len(lines))
        items.append(line(x + _PAD_MM, 3.5, label, role=Role.TEXT_SOFT))
        items += [line(x + _PAD_MM, 7.5 + row * LINE_MM, words) for row, words in enumerate(lines)]
        if not lines:
            items.append(rule(x + _PAD_MM, 7.9, x + share - _PAD_MM, 7.9, Role.BLANK))
        x += share
    height = 9.0 + (tallest - 1) * LINE_MM
    for edge in range(1, len(cells) + 1):
        at = sum(shares[:edge])
        items.append(rule(at, 0.0, at, height))
    items += scale_bar(x + _PAD_MM, height / 2)
    frame = rectangle(0.0, 0.0, width, height, Role.BOX)
    return Block((Group("title-block", (frame, *items), "title block"),), width, height)


def _shares(cells: Sequence[tuple[str, str | None]], width: float) -> list[float]:
    """Divide the row: each cell what it says, blanks alike what is left, so that a hand can write there."""
    least = [text_width(label, CAP_SMALL) + 2 * _PAD_MM + 0.2 for label, _ in cells]
    says = [text_width(value, CAP_SMALL) + 2 * _PAD_MM + 0.2 if value else 0.0 for _, value in cells]
    wants = [max(pair) for pair in zip(least, says, strict=True)]
    blank = [not value for _, value in cells]
    spare = width - sum(wants)
    if spare < 0:  # what is too long is wrapped
        return levelled(wants, least, width)
    takers = sum(blank) or len(cells)
    return [
        want + (spare / takers if is_blank or not any(blank) else 0.0)
        for want, is_blank in zip(wants, blank, strict=True)
    ]
