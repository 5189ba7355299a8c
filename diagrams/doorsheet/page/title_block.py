"""The title block under a sheet, and the bar that shows its scale."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final, NamedTuple, TypeAlias

from doorsheet.checks.finding import Finding
from doorsheet.layout import Ordered
from doorsheet.mapping.code import LENGTH, SIGNS, Label, label_of, shown
from doorsheet.mapping.model import Mapping
from doorsheet.page.boxes import LINE_MM, Block, levelled, line, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Role
from doorsheet.page.findings import counts
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL, drawn, text_width, wrap
from doorsheet.version import VERSION

__all__ = ["label_on", "scale_bar", "title_row"]

_PAD_MM: Final = 1.2
_SCALE_MM: Final = 67.5
_SMALL_SCALE_MM: Final = 52.6
"""Width of the scale bar with its words beside it, and over it."""
_CODE_MM: Final = LENGTH * max(text_width(sign, CAP_SMALL) for sign in SIGNS) + 2 * text_width("-", CAP_SMALL)
"""Width of the widest code."""


def title_row(
    ordered: Ordered, mapping: Mapping, findings: Sequence[Finding], width: float, small: bool
) -> Block:
    """Return the title block (fields after ISO 7200) as one row, or two; the checks count everything."""
    sheet = mapping.sheet
    several = ordered.sheets > 1
    cells = [
        _Cell(tr("drawn by"), sheet.drawn_by),
        _Cell(tr("approved by"), sheet.approved_by),
        _Cell(tr("date"), sheet.date.isoformat() if sheet.date else None),
        _Cell(tr("number"), sheet.number),
        _Cell(tr("revision"), sheet.revision),
        _Cell(tr("sheet"), tr("{number}\u00a0of\u00a0{sheets}", number=ordered.sheet, sheets=ordered.sheets)),
        _Cell(tr("checks, all sheets") if several and not small else tr("checks"), counts(findings)),
        _Cell(tr("source"), drawn(ordered.circuit.source.name)),
    ]
    if small:  # the heading says which sheet of several it is; without a number none is missed
        kept = (cells[0], cells[2], cells[4])
        of_several = cells[5]
        if sheet.number and sheet.revision:
            cells[3:5] = [_Cell(tr("number, rev."), f"{sheet.number}, {sheet.revision}")]
        cells = [cell for cell in cells if cell is not of_several and (cell.value or cell in kept)]
    block = _title_block(tuple(cells), shown(label_on(ordered).code), width, small)
    return Block((Group("title-block", block.items, tr("title block")),), width, block.height)


class _Cell(NamedTuple):
    """A field of the title block: its label, what it says (None: a blank to write on)."""

    label: str
    value: str | None
    wide: float = 0.0  # room for any value of its kind, mm, so that no other value moves the rest

    @property
    def least(self) -> float:
        """The width below which a word of it would be broken."""
        words = (self.label, *(() if self.wide else (self.value or "").split()))
        return 2 * _PAD_MM + 0.2 + max(self.wide, *(text_width(word, CAP_SMALL) for word in words))


_Cells: TypeAlias = Sequence[_Cell]


@lru_cache(256)  # the same for every size of letters that is tried on a paper
def _title_block(cells: tuple[_Cell, ...], code: str, width: float, small: bool) -> Block:
    """Return the lowest way to set the title block."""
    return min(_title_blocks(cells, code, width, small), key=lambda block: block.height)


def _title_blocks(cells: _Cells, code: str, width: float, small: bool) -> Iterator[Block]:
    """Yield the ways to set the title block, of two alike the better first: the code must cost no row."""
    *others, source = cells
    own = _Cell(tr("code"), code, _CODE_MM)
    apart = [*others, own, source]
    together = [*others, own._replace(label=source.value or source.label)]
    for row in (apart, together):
        for scale in (_SMALL_SCALE_MM,) if small else (_SCALE_MM, _SMALL_SCALE_MM):
            least = [cell.least for cell in row]
            if sum(least if small else _wants(row, 15.0 if scale == _SCALE_MM else 12.0)) <= width - scale:
                yield _row(row, width, scale)
    half = -(-len(cells) // 2)
    half += len(cells) > 6
    first_row = [*cells[:half], own, *cells[half:]]
    for row, cut in ((apart, half), (first_row, half + 1), (together, half)):
        first, second = _row(row[:cut], width, 0.0), _row(row[cut:], width, _SMALL_SCALE_MM)
        items = (*first.items, *shifted(second.items, 0.0, first.height))
        yield Block(items, width, first.height + second.height)


def label_on(ordered: Ordered) -> Label:
    """Return what a sheet is: its code, stage and number."""
    circuit = ordered.circuit
    return label_of(circuit.source.text, circuit.step.called, ordered.sheet, ordered.sheets, VERSION)


def _wants(cells: _Cells, blank: float = 15.0) -> list[float]:
    """Return the width that each cell asks for; a blank is long enough for a hand."""
    said = [cell.wide or text_width(cell.value, CAP_SMALL) if cell.value else blank for cell in cells]
    labels = [text_width(cell.label, CAP_SMALL) for cell in cells]
    return [2 * _PAD_MM + 0.2 + max(each) for each in zip(labels, said, strict=True)]


def _row(cells: _Cells, width: float, scale: float) -> Block:
    """Return a row of cells, each with its label, what it says or a blank; the scale bar at its end."""
    room = width - scale
    wants = _wants(cells)
    least = [cell.least for cell in cells]
    if sum(least) > room:  # the longest words are broken, a label never is
        least = [2 * _PAD_MM + 0.2 + max(cell.wide, text_width(cell.label, CAP_SMALL)) for cell in cells]
    spare = room - sum(wants)
    shares = [want + spare / len(cells) for want in wants] if spare >= 0 else levelled(wants, least, room)
    items: list[Item] = []
    tallest, x = 1, 0.0
    for (label, value, _), share in zip(cells, shares, strict=True):
        wrapped = wrap(value, CAP_SMALL, share - 2 * _PAD_MM) if value else ()
        lines = [words.replace("\u00a0", " ") for words in wrapped]
        tallest = max(tallest, len(lines))
        items.append(line(x + _PAD_MM, 3.7, label, role=Role.TEXT_SOFT))
        items += [line(x + _PAD_MM, 7.9 + row * LINE_MM, words) for row, words in enumerate(lines)]
        if not lines:
            items.append(rule(x + _PAD_MM, 8.3, x + share - _PAD_MM, 8.3, Role.BLANK))
        x += share
    height = 9.6 + (tallest - 1) * LINE_MM
    edges = [sum(shares[:edge]) for edge in range(1, len(cells) + (1 if scale else 0))]
    items += [rule(at, 0.0, at, height) for at in edges]
    if scale:
        items += scale_bar(x + _PAD_MM, height / 2, beside=scale > _SMALL_SCALE_MM)
    return Block((rectangle(0.0, 0.0, width, height, Role.BOX), *items), width, height)


def scale_bar(x: float, y: float, beside: bool) -> tuple[Item, ...]:
    """Return a bar of exactly 50 mm with end ticks and a tick every 10 mm; its words beside or over it."""
    y += 0.0 if beside else 1.8
    words = line(x + 52.0, y + 1.25, "50 mm") if beside else line(x + 25.0, y - 1.9, "50 mm", anchor="middle")
    ticks = []
    for step in range(6):
        at, half = x + 10.0 * step, 1.6 if step in (0, 5) else 0.8
        ticks.append(rule(at, y - half, at, y + half, Role.SCALE))
    bar = rule(x, y, x + 50.0, y, Role.SCALE)
    return (Group("scale-bar", (bar, *ticks, words), tr("50 mm to check the scale")),)
