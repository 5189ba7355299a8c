"""A step of the changeover as one upright leaf for dirty hands, to hang beside the machine (booklet room).

Everything on it is the step's actions: their lines with blanks and boxes, small pictures of the wires that
move, and what each reading would mean.  No second list: the booklet's table of tests has the same lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from doorsheet.booklet.grid import Column, Grid, say
from doorsheet.booklet.leaf import FILING_MM
from doorsheet.booklet.step_pictures import moved_wires, pictures
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.reading_words import range_text
from doorsheet.job.action import Phase
from doorsheet.job.context import Trials
from doorsheet.job.outcomes import STOP_FIRST, Row, Span, rows
from doorsheet.job.probes import Probe
from doorsheet.job.stages import stage_title
from doorsheet.job.trial import Trial
from doorsheet.job.trials import stage_actions
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import LINE_MM, Block, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.fit import MARGIN_MM
from doorsheet.page.warning import warning_box
from doorsheet.trade.lettering import CAP_SMALL, drawn, text_width, wrap
from doorsheet.trade.paper import A4

__all__ = ["step_leaves"]

_INNER_MM: Final = 3.0
_LEFT_MM: Final = FILING_MM + _INNER_MM
_TOP_MM: Final = MARGIN_MM
_BOTTOM_MM: Final = A4.height_mm - MARGIN_MM
WIDTH_MM: Final = A4.width_mm - FILING_MM - MARGIN_MM - 2 * _INNER_MM
_FOOT_MM: Final = 6.0

_NUMBER_MM: Final = 8.0
_DO_MM: Final = 80.0
_TICK_MM: Final = 10.0
_BOX_MM: Final = 25.0
_ROWS_MM: Final = (8.0, 7.2, 6.4, 5.8)
"""Heights of a row with one line, tried until the step has room on one leaf."""

_DANGER: Final = "Above 60 V DC or 30 V AC: mains may be on it. Hands off, isolate, ask a qualified person."

_SECTIONS: Final = {
    Phase.DEAD: ("Make it dead", "touch nothing before all of these are ticked"),
    Phase.BENCH: ("Wire the bench", "still off and locked"),
    Phase.MOVE: ("Move the wires", "still off and locked; the drive's ends stay"),
    Phase.STOP: ("Emergency stop first", "covers on, motor uncoupled. One fails: lock off, go no further."),
    Phase.READ: (
        "Measure",
        "volts DC; one hand at the emergency stop: closing a contact may start the motor",
    ),
    Phase.TEST: ("Try it", "motor uncoupled, covers on, low limit still set"),
}


class _Piece(NamedTuple):
    """What flows down the leaf, and whether it must stay with what follows."""

    block: Block
    keep: bool = False
    gap: float = 0.0


def step_leaves(
    works: Sequence[Trials],
    index: int,
    read: ReadMapping,
    first: int = 1,
    sheets: int | None = None,
    stopped: bool = False,
) -> tuple[Page, ...]:
    """Return the leaf of one step, or several where it has more lines than one holds.

    `works` are all steps of the job, of all drives in order.  Leaves are numbered from `first` of `sheets`
    (None: of themselves); `stopped` where a finding forbids the step.
    """
    room = _BOTTOM_MM - _TOP_MM - _FOOT_MM
    pieces = tuple(_pieces(works, index, read, stopped, _ROWS_MM[0]))
    for high in _ROWS_MM:
        tried = tuple(_pieces(works, index, read, stopped, high))
        if _height(tried) <= room:
            pieces = tried
            break
    flowed = tuple(_flowed(pieces, room, works, index))
    count = len(flowed)
    return tuple(
        _page(body, works, index, read, first + number, sheets if sheets is not None else count)
        for number, body in enumerate(flowed)
    )


def _page(
    body: tuple[Item, ...], works: Sequence[Trials], index: int, read: ReadMapping, number: int, sheets: int
) -> Page:
    frame = rectangle(
        FILING_MM, MARGIN_MM, A4.width_mm - FILING_MM - MARGIN_MM, _BOTTOM_MM - MARGIN_MM, Role.SHEET_FRAME
    )
    title = _title(works[index])
    foot = (
        line(_LEFT_MM, _BOTTOM_MM - 2.0, drawn(read.source.name), role=Role.TEXT_SOFT),
        line(
            _LEFT_MM + WIDTH_MM / 2, _BOTTOM_MM - 2.0,
            "Where it and the drive's manual differ, the manual is right.",
            role=Role.TEXT_SOFT, anchor="middle",
        ),
        line(
            _LEFT_MM + WIDTH_MM, _BOTTOM_MM - 2.0, f"sheet {number} of {sheets}",
            role=Role.TEXT_SOFT, anchor="end",
        ),
    )  # fmt: skip
    return Page(
        width=A4.width_mm,
        height=A4.height_mm,
        items=(frame, *shifted(body, _LEFT_MM, _TOP_MM), *foot),
        title=f"{read.mapping.machine}: {title}",
        description=f"Step {index + 1} of {len(works)}: {title}",
        source_name=read.source.name,
        source_text=read.source.text,
    )


def _height(pieces: Sequence[_Piece]) -> float:
    return sum(piece.block.height + piece.gap for piece in pieces)


def _flowed(
    pieces: Sequence[_Piece], room: float, works: Sequence[Trials], index: int
) -> Iterator[tuple[Item, ...]]:
    """Yield what each leaf holds."""
    items: list[Item] = []
    y = 0.0
    for at, piece in enumerate(pieces):
        need = piece.block.height
        if piece.keep and at + 1 < len(pieces):
            need += piece.gap + pieces[at + 1].block.height
        if items and y + need > room:
            yield tuple(items)
            head = _head(works, index, continued=True)
            items, y = [*head.items], head.height + 2.0
        items += shifted(piece.block.items, 0.0, y)
        y += piece.block.height + piece.gap
    yield tuple(items)


# ---- What is on it ----


def _pieces(
    works: Sequence[Trials], index: int, read: ReadMapping, stopped: bool, high: float
) -> Iterator[_Piece]:
    of = works[index]
    yield _Piece(_head(works, index, machine=read.mapping.machine), gap=2.0)
    yield _Piece(
        warning_box(of.wait, WIDTH_MM, several=bool(of.drive), sign_mm=15.0, gap_mm=1.8, edge_mm=1.6), gap=1.2
    )
    if stopped:
        words = "STOP: do not connect. See the findings: doorsheet check says which, and how to mend them."
        yield _Piece(_band(words, Role.STOP_FILL), gap=1.2)
    numbers = iter(range(1, 1000))
    letters = iter("ABCDEFGHIJKLMNOP")
    by_phase: dict[Phase, list[Trial]] = {}
    for action in stage_actions(of):
        by_phase.setdefault(action.phase, []).extend(action.trials)
    for phase, lines in by_phase.items():
        title, note = _SECTIONS[phase]
        if phase is Phase.MOVE:
            title = _move_words(of)
        yield _Piece(_section(next(letters), title, note), keep=True, gap=0.8)
        if phase in (Phase.BENCH, Phase.MOVE) and (shown := pictures(of, WIDTH_MM)) is not None:
            yield _Piece(shown, gap=1.2)
        for trial in lines:
            yield _Piece(_row(next(numbers), trial, high), gap=0.4)
        if phase is Phase.READ:
            yield from _tables(of)
    yield _Piece(_signed(next(letters), high))


def _move_words(of: Trials) -> str:
    count = len(moved_wires(of))
    words = {0: "No wire moves", 1: "Move one wire", 2: "Move two wires", 3: "Move three wires"}
    return words.get(count, f"Move {count} wires")


def _title(of: Trials) -> str:
    if of.before is None:
        return of_drive(of.drive, "wire the bench") if of.drive else "Wire the bench"
    action = next(action for action in stage_actions(of) if action.phase in (Phase.MOVE, Phase.BENCH))
    return of_drive(of.drive, action.title)


def _head(works: Sequence[Trials], index: int, continued: bool = False, machine: str = "") -> Block:
    """Return the number of the step in black, its title, and what comes before and after."""
    number = f"STEP {index + 1}"
    wide = text_width(number, 5.0, True) + 8.0
    title = f"{_title(works[index])}{' (continued)' if continued else ''}"
    room = WIDTH_MM - wide - 4.0
    cap = 5.0 if text_width(title, 5.0, True) <= room else 3.5
    titled = paragraph(title, room, cap, True)
    words = [f"step {index + 1} of {len(works)}, {stage_title(works[index].circuit)}"]
    words = [machine, *words] if machine else words
    if index:
        words.append(f"before: {_short(works[index - 1])}")
    if index + 1 < len(works):
        words.append(f"next: {_short(works[index + 1])}")
    told = paragraph(" · ".join(words), room)
    height = max(15.0, titled.height + told.height + 7.5)
    items: list[Item] = [
        rectangle(-_INNER_MM, 0.0, wide, height, Role.SIGN_FILLED),
        line(-_INNER_MM + wide / 2, (height + 5.0) / 2, number, 5.0, True, Role.TEXT_INVERSE, "middle"),
        *shifted(titled.items, wide, 2.4),
        *shifted(told.items, wide, titled.height + 5.2),
        rule(-_INNER_MM, height, WIDTH_MM + _INNER_MM, height),
    ]
    return Block((Group("step-head", tuple(items)),), WIDTH_MM, height)


def _short(of: Trials) -> str:
    names = ", ".join(name.replace("-", " ") for name in of.moving) if of.before is not None else "bench"
    return of_drive(of.drive, names or of.circuit.step.name)


def _section(letter: str, title: str, note: str) -> Block:
    after = 9.0 + text_width(title, 3.5, True) + 3.0
    told = paragraph(note, WIDTH_MM - after, CAP_SMALL) if note else None
    lines = len(told.items) if told is not None else 1
    height = 6.6 + (lines - 1) * LINE_MM
    items: list[Item] = [
        rectangle(0.0, 0.6, 6.0, 6.0, Role.SIGN_FILLED),
        line(3.0, 5.35, letter, 3.5, True, Role.TEXT_INVERSE, "middle"),
        line(8.5, 5.3, title, 3.5, True),
        *(shifted(told.items, after, 5.3 - CAP_SMALL) if told is not None else ()),
        rule(0.0, height, WIDTH_MM, height),
    ]
    return Block(tuple(items), WIDTH_MM, height + 0.4)


def _row(number: int, trial: Trial, high: float) -> Block:
    """Return a line: number, what to do, what to expect, a box for the figure, a box to tick."""
    tick_x = WIDTH_MM - _TICK_MM
    box_x = tick_x - 2.0 - _BOX_MM
    expect_x = _NUMBER_MM + _DO_MM + 2.0
    do = wrap(trial.do, CAP_SMALL, _DO_MM)
    expect = wrap(trial.expect, CAP_SMALL, (box_x if trial.unit else tick_x) - 2.0 - expect_x, bold=True)
    lines = max(len(do), len(expect))
    height = max(high, lines * LINE_MM + 1.6)
    items: list[Item] = [line(_NUMBER_MM - 2.0, _base(height, len(do)), str(number), bold=True, anchor="end")]
    for x, texts, bold in ((_NUMBER_MM, do, False), (expect_x, expect, True)):
        base = _base(height, len(texts))
        items += [line(x, base + row * LINE_MM, words, bold=bold) for row, words in enumerate(texts)]
    if trial.unit:
        items.append(rectangle(box_x, 0.0, _BOX_MM, height, Role.BOX))
        items.append(line(box_x + _BOX_MM - 1.6, height - 1.7, trial.unit, anchor="end"))
    items.append(rectangle(tick_x, 0.0, _TICK_MM, height, Role.BOX))
    return Block(tuple(items), WIDTH_MM, height)


def _base(height: float, lines: int) -> float:
    """Return the first baseline of lines in the middle of a row."""
    return (height - (lines - 1) * LINE_MM + CAP_SMALL) / 2


def _band(words: str, role: Role) -> Block:
    texts = wrap(words, CAP_SMALL, WIDTH_MM - 4.0, bold=True)
    height = len(texts) * LINE_MM + 1.8
    items: list[Item] = [rectangle(0.0, 0.0, WIDTH_MM, height, role)]
    base = _base(height, len(texts))
    items += [
        line(2.0, base + row * LINE_MM, text, bold=True, role=Role.TEXT_INVERSE)
        for row, text in enumerate(texts)
    ]
    return Block(tuple(items), WIDTH_MM, height)


def _signed(letter: str, high: float) -> Block:
    head = _section(letter, "Leave it so", "power off and locked, or as the work goes on")
    y = head.height + 0.8
    items = [*head.items]
    x = 0.0
    for words, wide in (("Name", 52.0), ("date", 28.0), ("meter", 34.0), ("its check", 0.0)):
        label = text_width(words, CAP_SMALL) + 1.5
        box = (wide or WIDTH_MM - x) - label - (2.0 if wide else 0.0)
        items.append(line(x, y + (high + CAP_SMALL) / 2, words))
        items.append(rectangle(x + label, y, box, high, Role.BOX))
        x += wide
    return Block(tuple(items), WIDTH_MM, y + high)


# ---- What the readings mean ----


def _tables(of: Trials) -> Iterator[_Piece]:
    """Yield a table for each place of the leads; what may kill stands above all of them."""
    yield _Piece(_band(_DANGER, Role.SIGN_FILLED), keep=True)
    by_leads: dict[tuple[str, str], list[Probe]] = {}
    for probe in of.probes:
        by_leads.setdefault((probe.red, probe.black), []).append(probe)
    for (red, black), probes in by_leads.items():
        found = rows(of, tuple(probes))
        if len(found) < 2:
            continue
        where = f"red on {red}, black on {black}" if black else f"in the wire at {red}"
        grid = _grid(where, probes, found)
        yield _Piece(grid.head(), keep=True)
        blocks = tuple(grid.blocks())
        for number, block in enumerate(blocks):
            yield _Piece(block, gap=1.2 if number == len(blocks) - 1 else 0.0)


def _grid(where: str, probes: Sequence[Probe], found: Sequence[Row]) -> Grid:
    wide = min(19.0, 54.0 / len(probes))
    rest = WIDTH_MM - wide * len(probes)
    columns = (
        *(Column(f"{probe.key} {probe.unit}", wide) for probe in probes),
        Column(f"{where}: what it means", rest * 0.52),
        Column("what to do, locked off and dead", rest * 0.48),
    )
    cells = (
        (
            *(say(_figures(span), bold=True) for span in row.spans),
            say(row.meaning, bold=row.right or row.stop),
            say(f"{STOP_FIRST if row.stop else ''}{row.do}"),
        )
        for row in found
    )
    return Grid(columns, tuple(cells))


def _figures(span: Span | None) -> str:
    return "any" if span is None else range_text(*span)
