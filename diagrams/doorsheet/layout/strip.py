"""What stands in the rows of a drive's strip: labels, jobs, readings, and the lines between rows.

Needs: a circuit in order; what is to be marked at its terminals.
Leaves: for each terminal its row's words and how high they stand; the columns that they share.
"""

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import groupby, takewhile
from typing import Final, NamedTuple

from doorsheet.circuit.parts import BlockKind, Circuit, PartKind, Reading, Sign, StripTerminal, Terminal
from doorsheet.circuit.reading_words import at_rest, cell
from doorsheet.layout.ordered import Ordered
from doorsheet.layout.plan import GRID_MM, Size
from doorsheet.layout.plate_words import marked, screen_text
from doorsheet.trade.language import counted, tr, tr_later
from doorsheet.trade.lettering import text_width, wrap

__all__ = [
    "HANGING", "JOB_PITCH", "LABEL_INSET_MM", "Heads", "Line", "Plain", "Strip", "all_rest", "over_label",
    "set_strip", "words_mm",
]  # fmt: skip

LABEL_INSET_MM: Final = 3.0
"""From the clamps to a sign or, where there is none, to the label."""
_JOB_ROOM_MM: Final = 28.0
_LONG_JOB_MM: Final = 48.0
_BESIDE_MM: Final = 24.0
"""Room of a job under its label, of one that has the whole row there, of one beside it."""
_UNUSED_ROOM_MM: Final = 42.0
JOB_PITCH: Final = 1.4
"""From line to line of a job, in heights of its capitals."""
_UNDER_MM: Final = 0.75
_RESTING: Final = frozenset("ABCDEFGHIKLMNOPRSTUVWXYZ0123456789+-\u2212.:* ")
_ACCENT: Final = 0.29
"""Of a capital's height, the most that an accent adds to it, in the font of the sheets."""
HANGING: Final = 0.33
"""What hangs below a baseline, in heights of capitals."""
_DISC_MM: Final = 5.4
_BOX_MM: Final = 13.0
_HAND_MM: Final = 12.0
"""Room of a figure that is to be written: before the drawing is enlarged, and at least on paper."""


class Heads(NamedTuple):
    """A line with the headings of the two columns of figures, and what they are in."""

    words: str
    heads: tuple[str, str]


class Plain(NamedTuple):
    """A line that says something of the row above it."""

    words: str


Line = str | Heads | Plain
"""A line between rows: words about terminals that are not used, or headings."""


class Cells(NamedTuple):
    """Two figures under their headings; an empty one is a box to write into, None is nothing at all."""

    heads: tuple[str, str]
    unit: str
    figures: tuple[str | None, str | None]


class StripRow(NamedTuple):
    """What one terminal's row says."""

    label: str
    sign: Sign
    jobs: tuple[str, ...]
    cells: Cells | None
    marks: tuple[str, ...]  # of the findings about it
    gap: float  # between label and job, mm
    half: float  # from its first or last wire to the cell's edge, steps
    above: tuple[Line, ...]
    below: tuple[Line, ...]


class StripColumns(NamedTuple):
    """Where the words of a row stand, mm from the clamps before the drawing is enlarged."""

    label: float
    job: float
    figures: tuple[float, float]  # right edges
    figure_rooms: tuple[float, float]
    width: float


class Strip(NamedTuple):
    """All rows, and their columns."""

    rows: dict[Terminal, StripRow]
    columns: StripColumns


_AT_DRIVE: Final = ("drive", "both")


class _Left(NamedTuple):
    """Lines for what of the strip as fitted isn't shown: before a terminal, at the strip's end after it."""

    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()


def _left_out(ordered: Ordered) -> dict[Terminal, _Left]:
    """Return beside each terminal of strips as fitted what isn't shown: used nowhere, or on other sheets.

    One that takes a screen is neither: it is named with the screen.
    """

    def unused(terminal: Terminal) -> bool:
        return not _sheets(ordered, terminal)

    out: dict[Terminal, _Left] = {}
    for drive, labels in ordered.strips.items():
        screens = ordered.circuit.screens
        earths = {one.terminal for one in screens if one.drive == drive and one.earthed in _AT_DRIVE}
        used = {entry.terminal.label for entry in ordered.circuit.strip if entry.terminal.drive == drive}
        waiting: list[Terminal] = []
        last: Terminal | None = None
        for terminal in (Terminal(BlockKind.DRIVE, label, drive) for label in labels):
            if terminal.label in used:
                if last is None:  # what other sheets show above all rows of this one, or below, hides none
                    waiting = [*takewhile(unused, waiting[::-1])][::-1]
                out[terminal] = _Left(_left_words(waiting, ordered))
                waiting, last = [], terminal
            elif terminal.label not in earths:
                waiting.append(terminal)
        if waiting and last:
            out[last] = out[last]._replace(after=_left_words([*takewhile(unused, waiting)], ordered))
    return out


def set_strip(
    ordered: Ordered,
    marks: Mapping[Terminal, tuple[str, ...]],
    size: Size,
    outlined: Collection[Terminal] = (),
) -> Strip:
    """Say what stands in each row of the drives, from top to bottom; `marks` at their terminals.

    `outlined` are rows that need room for a line.
    """
    circuit, beside = ordered.circuit, _left_out(ordered)
    parted = {name for name, _ in ordered.named_rings}
    # of several rings of one screen the last has the words
    earths = {
        ends[-1].terminal: screen_text(screen, screen.cable in parted)
        for screen, ends in dict(ordered.ringed_ends(1)).items()
    }
    entries = {entry.terminal: entry for entry in circuit.strip}
    order = [entries[terminal] for cluster in ordered.ordering.right for terminal in cluster.terminals]
    signed = any(entry.sign is not Sign.NONE for entry in order)
    label_at = LABEL_INSET_MM + (size.sign + 1.1 if signed else 0.0)
    widest = max((text_width(entry.terminal.label, size.label, True) for entry in order), default=0.0)
    cells = {entry.terminal: _cells(circuit, entry.terminal) for entry in order}
    above = dict(_lines(order, cells, beside))
    rows: dict[Terminal, StripRow] = {}
    for entry in order:
        said = _job(ordered, entry)
        figures = cells[entry.terminal]
        boxed = figures is not None and "" in figures.figures
        room = _LONG_JOB_MM if size.under and not boxed else _JOB_ROOM_MM if size.under else _BESIDE_MM
        room /= min(1.0, size.zoom)
        jobs = wrap(said, size.job, room) if said else ()
        below: list[Line] = [Plain(earths[entry.terminal])] if entry.terminal in earths else []
        below += beside.get(entry.terminal, _Left()).after
        rows[entry.terminal] = StripRow(
            label=entry.terminal.label,
            sign=entry.sign,
            jobs=jobs,
            cells=figures,
            marks=marks.get(entry.terminal, ()),
            gap=under_label(entry.terminal.label, size),
            half=_half(circuit, entry.terminal, jobs, size) + 0.5 * (entry.terminal in outlined),
            above=above[entry.terminal],
            below=tuple(below),
        )
    return Strip(rows, _columns(rows.values(), label_at, widest, size))


_PAIRS: Final = (
    ("open", "closed", (tr_later("open"), tr_later("closed"))),
    ("low", "high", (tr_later("least"), tr_later("most"))),
    ("reverse", "full", (tr_later("reverse"), tr_later("forward"))),
    ("rest", "full", (tr_later("least"), tr_later("most"))),
)
"""Two states that stand in one row, and the words over their columns."""


def reading_cells(reading: Reading | None) -> Cells | None:
    """Return the figures of a reading; None where the meter's figure is not asked for.

    >>> from doorsheet.circuit.parts import BlockKind, Expected, Terminal
    >>> opened = Expected("open", 24.3, 24.3, "V", "measured")
    >>> closed = Expected("closed", 0, 0.4, "V", "default")
    >>> reading_cells(Reading("1", Terminal(BlockKind.DRIVE, "DI1"), None, (opened, closed))).figures
    ('24.3', '0–0.4*')
    """
    if reading is None or reading.against == reading.terminal or not reading.values:
        return None
    for first, second, heads in _PAIRS:
        one, other = reading.value(first), reading.value(second)
        if one is not None and other is not None:
            return Cells(
                (tr(heads[0]), tr(heads[1])), "mA" if one.unit == "A" else "V", (cell(one), cell(other))
            )
    return Cells(("", ""), "V", (cell(reading.values[0]), None))


def _cells(circuit: Circuit, terminal: Terminal) -> Cells | None:
    own = [reading_cells(reading) for reading in circuit.readings if reading.terminal == terminal]
    return next((cells for cells in own if cells is not None), None)


def _job(ordered: Ordered, entry: StripTerminal) -> str:
    """Return what a terminal of the strip is for, and how it stands here."""
    circuit, terminal = ordered.circuit, entry.terminal
    own = [reading for reading in circuit.readings if reading.terminal == terminal]
    said = [entry.function] if entry.function else []
    said += dict.fromkeys(at_rest(reading.contact) for reading in own if reading.contact)
    against = [one for one in circuit.readings if one.against == terminal != one.terminal]
    if not all(value.unit == "A" for one in against for value in one.values):  # that meter stands in the wire
        said.append(tr("black lead"))
    others = _sheets(ordered, terminal)
    if entry.free:
        off = [marked(wire.number, circuit) for wire in circuit.free_wires if wire.far == terminal]
        said.append(tr("wire {wires} off", wires=", ".join(off)))
    links = [link for link in circuit.links if terminal in (link.a, link.b)]
    for link in links:
        other = link.b if link.a == terminal else link.a
        to = tr("link to {terminal}", terminal=other.label)
        said.append(f"{to}, {link.note}" if link.note else to)
    for part in circuit.parts:
        ends = [pin.terminal for pin in part.pins]
        if part.kind is PartKind.RESISTOR and terminal == ends[0]:
            named = f"{part.name} {part.rating}".strip()
            said.append(tr("fit {part} to {terminal}", part=named, terminal=ends[1].label))
    wired = any(terminal in (wire.far, wire.near) for wire in circuit.wires)
    if not (wired or others or entry.free or links):
        said.append(tr("no wire"))
    if others:
        said.append(tr("also on sheet {sheets}", sheets=others))
    return ", ".join(said)


def _sheets(ordered: Ordered, terminal: Terminal) -> str:
    return ", ".join(sorted({str(other.sheet) for other in ordered.elsewhere if other.terminal == terminal}))


def _half(circuit: Circuit, terminal: Terminal, jobs: Sequence[str], size: Size) -> float:
    """Return the steps from a terminal's outer wires to the edges of its cell, by what is written there."""
    wires = sum(terminal in (wire.near, wire.far) for wire in circuit.wires)
    between = 2 * max(0, wires - 1)  # at the tightest spacing
    high = words_mm(len(jobs), under_label(terminal.label, size), size) + size.air / size.zoom
    high += over_label(terminal.label, size) if size.under and jobs else 0.0
    steps = math.ceil(high / GRID_MM - 1e-9)
    return max(1.5, (steps - between) / 2)


def all_rest(circuit: Circuit) -> bool:
    """Whether no label and no wire's number hangs below its line, so that rows may be closest."""
    pins = (pin.terminal for part in circuit.parts for pin in part.pins)
    labels = [terminal.label for terminal in (*pins, *(entry.terminal for entry in circuit.strip))]
    looped = [join.wire for join in circuit.joins if join.wire is not None]
    labels += [end.label for wire in circuit.stubs for end in (wire.near, wire.far)]
    for wire in (*circuit.wires, *circuit.stubs, *looped):
        labels += [each.number for each in wire.conductors]
        labels += [word for on in wire.way for word in (on.part.name, on.wire.far.label, on.leaves.label)]
    return _RESTING.issuperset("".join(labels).replace("Q", ""))  # its tail is short


def under_label(label: str, size: Size) -> float:
    """Return the gap under a label: some letters hang into it."""
    return _UNDER_MM if _RESTING.issuperset(label) else HANGING * size.label + 0.3


def over_label(label: str, size: Size) -> float:
    """Return what stands over a label's capitals: an accent of one."""
    if label.isascii():
        return 0.0
    from unicodedata import decomposition  # only for text beyond ASCII

    has = any(char.isupper() and decomposition(char) for char in label)
    return _ACCENT * size.label * has


def words_mm(jobs: int, gap: float, size: Size) -> float:
    """Return the height of a label with lines of its job, under or beside it, mm."""
    lines = size.job * (jobs * JOB_PITCH - JOB_PITCH + 1.0 + HANGING) if jobs else 0.0
    return size.label + gap + lines if size.under and jobs else max(size.label, lines)


def _lines(
    order: Iterable[StripTerminal], cells: Mapping[Terminal, Cells | None], beside: Mapping[Terminal, _Left]
) -> Iterator[tuple[Terminal, tuple[Line, ...]]]:
    """Yield the lines above each terminal: those not shown, then headings where the figures change."""
    heads: tuple[str, tuple[tuple[str, str], str]] | None = None
    for entry in order:
        lines: list[Line] = [*beside.get(entry.terminal, _Left()).before]
        own = cells[entry.terminal]
        now = (entry.terminal.drive, (own.heads, own.unit)) if own is not None and own.heads[0] else None
        if own is not None and now is not None and now != heads:
            unit = tr("DC volts") if own.unit == "V" else tr("mA, in the wire")
            lines.append(Heads(unit, own.heads))
            heads = now
        yield entry.terminal, tuple(lines)


def _left_words(left: Sequence[Terminal], ordered: Ordered) -> tuple[str, ...]:
    """Return a line for each run of terminals that aren't used, or stand on the same sheets."""
    runs = groupby(left, lambda terminal: _sheets(ordered, terminal))
    lines = tuple(_line_of([terminal.label for terminal in own], there) for there, own in runs)
    together = ". ".join(lines)
    return (together,) if lines and text_width(together, 2.5) <= _UNUSED_ROOM_MM else lines


def _line_of(labels: Sequence[str], there: str) -> str:
    if there:
        named = labels if len(labels) < 3 else (labels[0], "...", labels[-1])
        return tr("{terminals}: sheet {sheets}", terminals=", ".join(named), sheets=there)
    said = tr("{terminals}: not used", terminals=", ".join(labels))
    if text_width(said, 2.5) > _UNUSED_ROOM_MM and len(labels) > 2:
        said = tr("{first} to {last}: not used", first=labels[0], last=labels[-1])
    if text_width(said, 2.5) <= _UNUSED_ROOM_MM:
        return said
    return counted("{count} terminal: not used", "{count} terminals: not used", len(labels))


def _columns(rows: Iterable[StripRow], label_at: float, widest: float, size: Size) -> StripColumns:
    """Measure the columns: label and job under or beside each other, two of figures, marks."""
    rows = list(rows)
    job_at = label_at if size.under else label_at + widest + 2.0
    boxed = [row for row in rows if not size.under or (row.cells is not None and "" in row.cells.figures)]
    beside = max((text_width(line, size.job) for row in boxed for line in row.jobs), default=0.0)
    words_end = max(label_at + widest, job_at + beside) + 1.5
    lines = [line for row in rows for line in (*row.above, *row.below)]
    units = (text_width(line.words, size.job) for line in lines if isinstance(line, Heads))
    words_end = max(words_end, LABEL_INSET_MM + max(units, default=0.0) + 1.5)
    rooms = (_figure_room(rows, 0, size), _figure_room(rows, 1, size))
    if size.zoom >= 1.0:  # where there is room, both are alike
        rooms = (max(rooms), max(rooms))
    width = (
        words_end + sum(rooms) + max((_marks_mm(row) for row in rows if row.cells is not None), default=0.0)
    )
    told = [line if isinstance(line, str) else line.words for line in lines]
    needed = [LABEL_INSET_MM + text_width(words, size.job) + 1.5 for words in told]
    for row in rows:  # discs stand where figures would, in a row that has none
        ends = [label_at + text_width(row.label, size.label, True)]
        ends += [job_at + text_width(words, size.job) for words in row.jobs]
        needed.append(max(ends) + 1.5 + _marks_mm(row))
    whole = max([width, *needed])
    first = words_end + whole - width + rooms[0]
    return StripColumns(label_at, job_at, (first, first + rooms[1]), rooms, whole)


def _figure_room(rows: Iterable[StripRow], column: int, size: Size) -> float:
    """Return the room of one column of figures with its headings, mm."""
    wants = [0.0]
    for row in rows:
        wants += [
            text_width(line.heads[column], size.job) + 2.0 for line in row.above if isinstance(line, Heads)
        ]
        figure = row.cells.figures[column] if row.cells is not None else None
        if figure is not None:
            wants.append(
                text_width(figure, size.text, True) + 2.8 if figure else max(_BOX_MM, _HAND_MM / size.zoom)
            )
    return max(wants)


def _marks_mm(row: StripRow) -> float:
    """Return the room of the discs in a row, mm."""
    return len(row.marks) * _DISC_MM + (1.0 if row.marks else 0.0)
