"""The wire list as a table for spreadsheets, and marks for the wires' ends.

The list is comma-separated values, with what else is to be fitted.  A spreadsheet takes a cell that begins
with = + - or @ for a formula, and a terminal is often called "+10V".  Such a cell gets an apostrophe before
it, '+10V, which spreadsheets know as "this is text" and people read past; so does a cell that begins with an
apostrophe or a blank, so that whoever takes one apostrophe away before any of these has the label again.

Marks are drawn at true scale, two of each number, one for either end: strips to cut, or sheets of labels.
A number that is another one upside down has a bar under it.

Above the booklet, whose list of links, bridges and parts it takes; files belong to output.
"""

import csv
from collections.abc import Iterator, Sequence
from io import StringIO
from typing import Final, NamedTuple

from doorsheet.booklet.wire_list import between, earthed
from doorsheet.choice import UserError
from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import discharge_of
from doorsheet.job.cautions import shock
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import LINE_MM, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.title_block import scale_bar
from doorsheet.trade.colours import display_name
from doorsheet.trade.language import tr
from doorsheet.trade.lettering import CAP_SMALL, CAP_TERMINAL, text_width
from doorsheet.trade.paper import Paper

__all__ = [
    "COLUMNS", "EACH", "LabelError", "LabelSheet", "as_csv", "harmless", "mark_pages", "measures",
    "numbers_of", "rows",
]  # fmt: skip

COLUMNS: Final = (
    "what", "number", "colour", "colour in words", "colour is", "one end", "rail", "other end",
    "other end is at", "job", "cable", "length", "screen earthed", "stage",
)  # fmt: skip
_FORMULA: Final = "=+-@＝＋－＠−' \t\r\n"
"""What a formula begins with in some spreadsheet, wide letters included, and what hides one."""


def as_csv(mapping: Mapping, circuits: Sequence[Circuit]) -> str:
    """Return the list of what the circuits hold, a line each; lines end as RFC 4180 has it."""
    out = StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    writer.writerows([harmless(cell) for cell in row] for row in rows(mapping, circuits))
    return out.getvalue()


def harmless(cell: str) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    >>> harmless("+10V"), harmless("DI1"), harmless("OUT1-")
    ("'+10V", 'DI1', 'OUT1-')
    """
    return f"'{cell}" if cell[:1] and cell[0] in _FORMULA else cell


def rows(mapping: Mapping, circuits: Sequence[Circuit]) -> Iterator[tuple[str, ...]]:
    """Yield a row for each wire, then for each link, bridge and part between; its stages in the last cell."""
    found: dict[tuple[str, ...], list[str]] = {}
    each = [(circuit, row) for circuit in circuits for row in _wires(mapping, circuit)]
    for circuit in circuits:
        for one in between(circuit):
            kind = one.name if one.name in ("link", "bridge") else "part"
            name = "" if one.name == kind else one.name
            each.append((circuit, (kind, name, "", "", "", one.far, "", one.near, "", one.what, "", "", "")))
    for circuit, row in each:
        found.setdefault(row, []).append(circuit.step.called)
    for row, stages in found.items():
        yield (*row, ", ".join(dict.fromkeys(stages)))


def _wires(mapping: Mapping, circuit: Circuit) -> Iterator[tuple[str, ...]]:
    lengths = {cable.name: cable.length for cable in mapping.cables}
    frames = {block.key: block.full for block in circuit.blocks}
    for wire in circuit.wires:
        yield (
            "wire",
            wire.number,
            wire.colour.letters,
            display_name(wire.colour),
            "given" if wire.colour_given else "chosen",
            circuit.lands(wire),
            circuit.on_rail(wire),
            wire.near.full,
            frames.get(wire.near.home, ""),
            wire.job,
            wire.cable if wire.in_cable else "",
            str(lengths.get(wire.cable or None) or "") if wire.in_cable else "",
            earthed(circuit, wire),
        )


# --- marks ---------------------------------------------------------------

EACH: Final = 2
"""Marks of each number: one for either end."""

_CAPS: Final = (7.0, 5.0, 3.5, 2.5)
_AIR_MM: Final = 0.6
_MARGIN_MM: Final = 10.0
_TURNED: Final = str.maketrans("01689", "01986")


class LabelError(UserError, ValueError):
    """Marks don't go on labels of these measures; the text says why and what would do."""


class LabelSheet(NamedTuple):
    """A sheet of labels, mm: how many, from corner to corner, how large one is, where the first begins."""

    columns: int
    rows: int
    pitch: tuple[float, float]
    size: tuple[float, float]
    margin: tuple[float, float]

    def corners(self, paper: Paper) -> tuple[tuple[float, float], ...]:
        """Return the top left corner of each label, row by row; LabelError where they have no room."""
        if self.columns < 1 or self.rows < 1:
            raise LabelError("a sheet has at least one column and one row of labels")
        for word, size, pitch, count in (
            ("wide", self.size[0], self.pitch[0], self.columns),
            ("high", self.size[1], self.pitch[1], self.rows),
        ):
            if size <= 0 or min(self.margin) < 0 or (count > 1 and pitch < size):
                raise LabelError(f"labels {size:g} mm {word} every {pitch:g} mm lie over each other")
        right = self.margin[0] + (self.columns - 1) * self.pitch[0] + self.size[0]
        bottom = self.margin[1] + (self.rows - 1) * self.pitch[1] + self.size[1]
        if right > paper.width_mm + 0.01 or bottom > paper.height_mm + 0.01:
            raise LabelError(
                f"the labels reach to {right:g} x {bottom:g} mm, and {paper.name} as it lies has "
                f"{paper.width_mm:g} x {paper.height_mm:g} mm"
            )
        return tuple(
            (self.margin[0] + column * self.pitch[0], self.margin[1] + row * self.pitch[1])
            for row in range(self.rows)
            for column in range(self.columns)
        )


def mark_pages(
    read: ReadMapping, numbers: Sequence[str], labels: LabelSheet | tuple[float, float], paper: Paper
) -> tuple[Page, ...]:
    """Return marks, two of each number: on sheets of labels the numbers alone, since what is round a label is
    not printed on; or of a size, across and down, on strips that lie edge to edge, to cut along the lines.

    Raises LabelError when labels or marks have no room on the paper, or a number none on a mark.
    """
    mapping, source = read.mapping, read.source
    sheet, head = (labels, ()) if isinstance(labels, LabelSheet) else _strips(mapping, labels, paper)
    corners, size = sheet.corners(paper), sheet.size
    marks = [number for number in numbers for _ in range(EACH)]
    cap = min((_cap(number, size) for number in numbers), default=CAP_SMALL)
    title = f"{mapping.machine}: " + tr("marks of wires")
    said = tr("Numbers of wires at true scale, two of each: print at 100 %.")
    pages = []
    for start in range(0, len(marks), len(corners)):
        some = zip(marks[start : start + len(corners)], corners, strict=False)
        items = (*head, *(_mark(number, *corner, size, cap, outlined=bool(head)) for number, corner in some))
        pages.append(Page(paper.width_mm, paper.height_mm, items, title, said, source.name, source.text))
    return tuple(pages)


def _strips(mapping: Mapping, size: tuple[float, float], paper: Paper) -> tuple[LabelSheet, tuple[Item, ...]]:
    """Return where the marks of strips are, and what stands over them."""
    head, top = _head(mapping, paper)
    wide, high = paper.width_mm - 2 * _MARGIN_MM, paper.height_mm - 2 * _MARGIN_MM - top
    if not (0 < size[0] <= wide and 0 < size[1] <= high):
        raise LabelError(f"marks of {size[0]:g} x {size[1]:g} mm have no room on {paper.name}")
    across = int(wide / size[0] / EACH) * EACH or 1  # the two of a number on one strip
    return LabelSheet(across, int(high / size[1]), size, size, (_MARGIN_MM, _MARGIN_MM + top)), head


def numbers_of(circuits: Sequence[Circuit]) -> tuple[str, ...]:
    """Return the numbers of all wires, each once, in the order of the sheet."""
    return tuple(dict.fromkeys(wire.number for circuit in circuits for wire in circuit.wires))


def _head(mapping: Mapping, paper: Paper) -> tuple[tuple[Item, ...], float]:
    """Return what stands over strips, and its height: whose they are, the caution, a bar to measure."""
    wide = paper.width_mm - 2 * _MARGIN_MM
    how = tr("Print at 100 %; the bar is 50 mm. Two marks of each number, one for either end.")
    words = paragraph(f"{how} {shock(discharge_of(mapping), bool(mapping.drives))}", wide)
    title = paragraph(f"{mapping.machine}: " + tr("marks of wires"), wide - 60.0, CAP_TERMINAL, bold=True)
    top = max(title.height, 5.0) + 3.0
    items = (
        *shifted(title.items, _MARGIN_MM, _MARGIN_MM),
        *scale_bar(_MARGIN_MM + wide - 62.0, _MARGIN_MM + 2.0, beside=True),
        *shifted(words.items, _MARGIN_MM, _MARGIN_MM + top),
    )
    return items, top + words.height + LINE_MM


def _mark(number: str, x: float, y: float, size: tuple[float, float], cap: float, *, outlined: bool) -> Group:
    """Return one mark: a number in the middle, in a frame to cut along where it is outlined."""
    bar = _is_turnable(number)
    middle, baseline = x + size[0] / 2, y + size[1] / 2 + cap / 2 - (0.45 * bar)
    half = text_width(number, cap, True) / 2
    items: list[Item] = [rectangle(x, y, *size, Role.CELL)] if outlined else []
    items.append(line(middle, baseline, number, cap, True, anchor="middle"))
    if bar:
        items.append(rule(middle - half, baseline + 0.7, middle + half, baseline + 0.7, Role.SYMBOL_THICK))
    return Group(f"mark-{number}", tuple(items), tr("wire {number}", number=number))


def _cap(number: str, size: tuple[float, float]) -> float:
    """Return how high the letters of a number can be, mm; LabelError when they couldn't be read."""
    for cap in _CAPS:
        wide = text_width(number, cap, True) + 2 * _AIR_MM
        high = cap + 2 * _AIR_MM + 0.9 * _is_turnable(number)
        if wide <= size[0] and high <= size[1]:
            return cap
    raise LabelError(
        f"the mark {number} needs {wide:.1f} x {high:.1f} mm at the smallest letters that can be read, "
        f"and has {size[0]:g} x {size[1]:g} mm"
    )


def _is_turnable(number: str) -> bool:
    """Whether a number reads as another one upside down: 6 and 9, 68 and 89."""
    return set(number) <= set("01689") and number[::-1].translate(_TURNED) != number


def measures(words: str, what: str) -> tuple[float, float]:
    """Read two measures: "63.5x38.1"; LabelError says how they are written."""
    parts = words.lower().replace("×", "x").replace("mm", "").replace(",", ".").split("x")
    try:
        first, second = map(float, parts)
    except ValueError:
        first = second = float("nan")
    if not (0 <= first < 1000 and 0 <= second < 1000):
        raise LabelError(f'{what} "{words[:30]}" is no pair of measures in mm: write it as 63.5x38.1')
    return first, second
