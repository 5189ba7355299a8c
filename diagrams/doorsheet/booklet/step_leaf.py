"""A step of the changeover as one upright leaf for dirty hands, to hang beside the machine (booklet room).

Everything on it is the step's actions: their lines with blanks and boxes, small pictures of the wires that
move, and what each reading would mean.  No second list: the booklet's table of tests has the same lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from doorsheet.booklet.leaf import FILING_MM, Bit
from doorsheet.booklet.step_pictures import moved_wires, pictures
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.reading_words import range_text
from doorsheet.circuit.sides import words as control_words
from doorsheet.job.action import Phase
from doorsheet.job.cautions import NOT_ISOLATED, is_isolated, shock
from doorsheet.job.context import Trials
from doorsheet.job.outcomes import STOP_FIRST, Span, rows
from doorsheet.job.probes import Probe
from doorsheet.job.trial import Trial
from doorsheet.job.trials import stage_actions
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.same_reading import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.page.boxes import LINE_MM, Block, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.fit import MARGIN_MM
from doorsheet.page.warning import shock_sign
from doorsheet.trade.language import counted, tr, tr_later
from doorsheet.trade.lettering import CAP_SMALL, drawn, text_width, wrap
from doorsheet.trade.paper import A4

__all__ = ["step_leaves", "step_title"]

_INNER_MM: Final = 3.0
_LEFT_MM: Final = FILING_MM + _INNER_MM
_TOP_MM: Final = MARGIN_MM
_BOTTOM_MM: Final = A4.height_mm - MARGIN_MM
WIDTH_MM: Final = A4.width_mm - FILING_MM - MARGIN_MM - 2 * _INNER_MM
_FOOT_MM: Final = 5.2

_NUMBER_MM: Final = 8.0
_TICK_MM: Final = 9.0
_BOX_MM: Final = 18.0
_PITCH_MM: Final = 3.6
_HEAD_MM: Final = 15.0
_SIGN_MM: Final = 11.0
_ROWS_MM: Final = (8.0, 7.2, 6.4, 5.8, 5.4, 4.9)
"""Heights of a row with one line: as high as the fewest leaves let it be."""

_RIGHT: Final = tr_later("Where it differs from the drive's manual, the manual is right.")

_WHOLE: Final = 10.0
"""From this size on, V or mA, tenths tell nothing in a table of mistakes."""

_NOTHING: Final = 0.5

_KEYS: Final = {
    "open": tr_later("open"),
    "closed": tr_later("closed"),
    "current": tr_later("current"),
    "low": tr_later("low"),
    "mid": tr_later("mid"),
    "high": tr_later("high"),
    "rest": tr_later("rest"),
    "half": tr_later("half"),
    "full": tr_later("full"),
    "reverse": tr_later("reverse"),
    "supply": tr_later("supply"),
}
"""States of a reading over a narrow column."""

_SECTIONS: Final = {
    Phase.DEAD: (tr_later("Make it dead"), tr_later("touch nothing before all of these are ticked")),
    Phase.BENCH: (tr_later("Wire the bench"), tr_later("still off and locked")),
    Phase.MOVE: ("", tr_later("still off and locked; the drive's ends stay")),
    Phase.STOP: (
        tr_later("Emergency stop first"),
        tr_later("covers on, motor uncoupled. One fails: go no further."),
    ),
    Phase.READ: (
        tr_later("Measure"),
        tr_later("one hand at the emergency stop: closing a contact may start the motor"),
    ),
    Phase.TEST: (tr_later("Try it"), tr_later("motor uncoupled, covers on, low limit still set")),
}


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
    room, tables = _BOTTOM_MM - _TOP_MM - _FOOT_MM, tuple(_tables(works[index]))
    tried = (
        tuple(_flowed(tuple(_pieces(works, index, read, stopped, high, tables)), room, works, index, whole))
        for whole in (True, False)
        for high in _ROWS_MM
    )
    flowed = min(tried, key=len)  # whole sections and high rows, as far as the fewest leaves let them be
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
    title = step_title(works[index])
    base = _BOTTOM_MM - 1.8
    foot = (
        line(_LEFT_MM, base, drawn(read.source.name), role=Role.TEXT_SOFT),
        line(_LEFT_MM + WIDTH_MM / 2, base, tr(_RIGHT), role=Role.TEXT_SOFT, anchor="middle"),
        line(
            _LEFT_MM + WIDTH_MM,
            base,
            tr("{number} of {sheets}", number=number, sheets=sheets),
            bold=True,
            anchor="end",
        ),
    )
    return Page(
        width=A4.width_mm,
        height=A4.height_mm,
        items=(frame, *shifted(body, _LEFT_MM, _TOP_MM), *foot),
        title=f"{read.mapping.machine}: {title}",
        description=tr("Step {number} of {count}: {title}", number=index + 1, count=len(works), title=title),
        source_name=read.source.name,
        source_text=read.source.text,
    )


def _height(pieces: Sequence[Bit]) -> float:
    return sum(piece.block.height + piece.gap for piece in pieces)


def _flowed(
    pieces: Sequence[Bit], room: float, works: Sequence[Trials], index: int, keeps_sections: bool
) -> Iterator[tuple[Item, ...]]:
    """Yield what each leaf holds."""
    items: list[Item] = []
    y = 0.0
    for at, piece in enumerate(pieces):
        starts = piece.starts and keeps_sections
        section = _height(pieces[at : _next_section(pieces, at)]) if starts else 0.0
        # a section stays whole where the rest of the leaf would be left to less than half of it
        whole = section if section < room - _HEAD_MM and y > room / 2 else 0.0
        if items and y + max(_kept(pieces[at:]), whole) > room:
            yield tuple(items)
            head, warning = _head(works, index, continued=True), pieces[1].block
            items = [*head.items, *shifted(warning.items, 0.0, head.height + 1.0)]
            y = head.height + warning.height + 1.4
        items += shifted(piece.block.items, 0.0, y)
        y += piece.block.height + piece.gap
    yield tuple(items)


def _kept(pieces: Sequence[Bit]) -> float:
    """Return the height of the first piece and of all that must stay with it."""
    count = next((at for at, piece in enumerate(pieces) if not piece.keep), len(pieces) - 1)
    return _height(pieces[:count]) + pieces[count].block.height


def _next_section(pieces: Sequence[Bit], at: int) -> int:
    return next((one for one in range(at + 1, len(pieces)) if pieces[one].starts), len(pieces))


# ---- What is on it ----


def _pieces(
    works: Sequence[Trials], index: int, read: ReadMapping, stopped: bool, high: float, tables: Sequence[Bit]
) -> Iterator[Bit]:
    """Yield what is done at a step, its rows `high` mm at least: sections with pictures, lines, readings."""
    of = works[index]
    yield Bit(_head(works, index, machine=read.mapping.machine), gap=1.0)
    yield Bit(_warning(of, stopped), gap=0.4)
    numbers, letters = iter(range(1, 1000)), iter("ABCDEFGHIJKLMNOP")
    by_phase: dict[Phase, list[Trial]] = {}
    for action in stage_actions(of):
        by_phase.setdefault(action.phase, []).extend(action.trials)
    for phase, lines in by_phase.items():
        title, note = _SECTIONS[phase]
        title = _move_words(of) if phase is Phase.MOVE else tr(title)
        yield Bit(_section(next(letters), title, tr(note)), keep=True, gap=0.5, starts=True)
        if phase is Phase.READ and not is_isolated(of.mapping):
            yield Bit(_band(tr(NOT_ISOLATED), Role.SIGN_FILLED), keep=True, gap=0.4)
        if phase in (Phase.MOVE, Phase.BENCH) and (shown := pictures(of, WIDTH_MM)) is not None:
            yield Bit(shown, gap=0.8)
        for trial in lines:
            yield Bit(_row(next(numbers), trial, high))
        if phase is Phase.READ:
            yield from tables
    yield Bit(_signed(high))


def _move_words(of: Trials) -> str:
    count = len(moved_wires(of))
    match count:
        case 0:
            return tr("No wire moves")
        case 2:
            return tr("Move two wires")
        case 3:
            return tr("Move three wires")
        case _:
            return counted("Move one wire", "Move {count} wires", count)


def step_title(of: Trials) -> str:
    """Name a step: "Run forward: from S1 to the controller", of several drives with the drive's name."""
    if of.before is None:
        return of_drive(of.drive, tr("wire the bench")) if of.drive else tr("Wire the bench")
    moves = (action.title for action in stage_actions(of) if action.phase is Phase.MOVE)
    return of_drive(of.drive, next(moves, tr("Nothing moves: the last tests")))


def _head(works: Sequence[Trials], index: int, continued: bool = False, machine: str = "") -> Block:
    """Return the number of the step in black, its title, and what comes before and after."""
    number = tr("STEP {number}/{count}", number=index + 1, count=len(works))
    wide = text_width(number, 5.0, True) + 8.0
    title = step_title(works[index])
    room = WIDTH_MM - wide - 4.0
    cap = 5.0 if text_width(title, 5.0, True) <= room else 3.5
    titled = paragraph(title, room, cap, True)
    words = [*([machine] if machine else ()), *([tr("continued")] if continued else ())]
    if index:
        words.append(tr("before: {step}", step=_short(works[index - 1])))
    if index + 1 < len(works):
        words.append(tr("next: {step}", step=_short(works[index + 1])))
    told = paragraph(" · ".join(words), room)
    height = max(12.0, titled.height + told.height + 5.2)
    items: list[Item] = [
        rectangle(-_INNER_MM, 0.0, wide, height, Role.SIGN_FILLED),
        line(-_INNER_MM + wide / 2, (height + 5.0) / 2, number, 5.0, True, Role.TEXT_INVERSE, "middle"),
        *shifted(titled.items, wide, 1.8),
        *shifted(told.items, wide, titled.height + 3.8),
        rule(-_INNER_MM, height, WIDTH_MM + _INNER_MM, height),
    ]
    return Block((Group("step-head", tuple(items)),), WIDTH_MM, height)


def _short(of: Trials) -> str:
    if of.before is None:
        return of_drive(of.drive, tr("bench"))
    return of_drive(of.drive, ", ".join(map(control_words, of.moving)) or _at(of.circuit.step.name))


def _at(stage: str) -> str:
    return tr("final") if stage == "final" else control_words(stage)


def _section(letter: str, title: str, note: str) -> Block:
    after = 9.0 + text_width(title, 3.5, True) + 3.0
    told = paragraph(note, WIDTH_MM - after, CAP_SMALL) if note else None
    lines = len(told.items) if told is not None else 1
    height = 5.7 + (lines - 1) * LINE_MM
    items: list[Item] = [
        rectangle(0.0, 0.2, 5.2, 5.2, Role.SIGN_FILLED),
        line(2.6, 4.5, letter, 3.5, True, Role.TEXT_INVERSE, "middle"),
        line(8.0, 4.4, title, 3.5, True),
        *(shifted(told.items, after, 4.4 - CAP_SMALL) if told is not None else ()),
        rule(0.0, height, WIDTH_MM, height),
    ]
    return Block(tuple(items), WIDTH_MM, height)


def _row(number: int, trial: Trial, high: float) -> Block:
    """Return a line: number, what to do and what to expect, a box for the figure, a box to tick."""
    tick_x = WIDTH_MM - _TICK_MM
    box_x = tick_x - 2.0 - _BOX_MM
    room = (box_x if trial.unit else tick_x) - 2.0 - _NUMBER_MM
    texts, lines = _words(trial, room)
    height = max(high, lines * _PITCH_MM + 1.2)
    base = (height - (lines - 1) * _PITCH_MM + CAP_SMALL) / 2
    items: list[Item] = [line(_NUMBER_MM - 2.0, base, str(number), bold=True, anchor="end")]
    items += shifted(texts, _NUMBER_MM, base)
    if trial.unit:
        items.append(rectangle(box_x, 0.0, _BOX_MM, height, Role.BOX))
        items.append(line(box_x + _BOX_MM - 1.6, height - 1.5, trial.unit, anchor="end"))
    items.append(rectangle(tick_x, 0.0, _TICK_MM, height, Role.BOX))
    return Block(tuple(items), WIDTH_MM, height)


def _words(trial: Trial, room: float) -> tuple[tuple[Item, ...], int]:
    """Return what to do with what to expect in bold behind it, from (0, 0), and how many lines it takes."""
    done = wrap(trial.do, CAP_SMALL, room)
    items = [line(0.0, row * _PITCH_MM, words) for row, words in enumerate(done)]
    after, row = text_width(done[-1], CAP_SMALL) + 2.2, len(done) - 1
    first = wrap(trial.expect, CAP_SMALL, max(room - after, 1.0), bold=True)[0]
    if text_width(first, CAP_SMALL, True) > room - after or first not in _starts(trial.expect):
        after, row, first = 0.0, row + 1, wrap(trial.expect, CAP_SMALL, room, bold=True)[0]
    rest = trial.expect[len(first) :].strip()
    expected = (first, *(wrap(rest, CAP_SMALL, room, bold=True) if rest else ()))
    for at, words in enumerate(expected):
        items.append(line(after if at == 0 else 0.0, (row + at) * _PITCH_MM, words, bold=True))
    return tuple(items), row + len(expected)


def _starts(words: str) -> frozenset[str]:
    """Return the beginnings of a text that end with a whole word."""
    parts = words.split(" ")
    return frozenset(" ".join(parts[:count]) for count in range(1, len(parts) + 1))


def _warning(of: Trials, stopped: bool) -> Block:
    """Return the caution with its sign, and the stop where there is one, which every leaf has."""
    words = paragraph(shock(of.wait, bool(of.drive)), WIDTH_MM - _SIGN_MM - 6.0, bold=True)
    height = max(words.height + 3.4, _SIGN_MM * 0.87 + 2.0)
    box = rectangle(0.0, 0.0, WIDTH_MM, height, Role.WARNING_BOX)
    sign = shifted(shock_sign(_SIGN_MM), 2.0, (height - _SIGN_MM * 0.87) / 2)
    told = shifted(words.items, _SIGN_MM + 4.5, (height - words.height) / 2)
    warning = Group("warning", (box, *sign, *told), tr("warning: electric shock"))
    if not stopped:
        return Block((warning,), WIDTH_MM, height)
    stop = tr("STOP: do not connect. See the findings: doorsheet check says which, and how to mend them.")
    band = _band(stop, Role.STOP_FILL)
    return Block((warning, *shifted(band.items, 0.0, height + 0.4)), WIDTH_MM, height + 0.4 + band.height)


def _band(words: str, role: Role) -> Block:
    texts = wrap(words, CAP_SMALL, WIDTH_MM - 2.4, bold=True)
    height = len(texts) * LINE_MM + 1.2
    items: list[Item] = [rectangle(0.0, 0.0, WIDTH_MM, height, role)]
    base = (height - (len(texts) - 1) * LINE_MM + CAP_SMALL) / 2
    items += [
        line(1.2, base + row * LINE_MM, text, bold=True, role=Role.TEXT_INVERSE)
        for row, text in enumerate(texts)
    ]
    return Block(tuple(items), WIDTH_MM, height)


def _signed(high: float) -> Block:
    """Return the boxes for who did it, when and with what."""
    items: list[Item] = []
    x, top = 0.0, 0.8
    for words, wide in (
        (tr("Done by"), 56.0),
        (tr("date"), 32.0),
        (tr("meter"), 42.0),
        (tr("checked"), WIDTH_MM - 130.0),
    ):
        label = text_width(words, CAP_SMALL, True) + 1.5
        apart = 2.0 if x + wide < WIDTH_MM else 0.0
        items.append(line(x, top + (high + CAP_SMALL) / 2, words, bold=True))
        items.append(rectangle(x + label, top, wide - label - apart, high, Role.BOX))
        x += wide
    return Block(tuple(items), WIDTH_MM, top + high)


# ---- What the readings mean ----


def _tables(of: Trials) -> Iterator[Bit]:
    """Yield a table for each place of the leads; what may kill stands above all of them."""
    yield Bit(_band(_danger(), Role.SIGN_FILLED), keep=True)
    by_leads: dict[tuple[str, str], list[Probe]] = {}
    for probe in of.probes:
        by_leads.setdefault((probe.red, probe.black), []).append(probe)
    for (red, black), probes in by_leads.items():
        found = rows(of, tuple(probes))
        if len(found) < 2:
            continue
        where = (
            tr("red on {red}, black on {black}", red=red, black=black)
            if black
            else tr("in the wire at {terminal}", terminal=red)
        )
        heads = (
            *(f"{tr(_KEYS[probe.key])} {probe.unit}" for probe in probes),
            where,
            tr("locked off and dead"),
        )
        figures = [[_figures(row.spans[at]) for row in found] for at in range(len(probes))]
        widths = _widths([[head, *own] for head, own in zip(heads, figures, strict=False)])
        yield Bit(_cells(heads, widths, bold=True, role=Role.UNUSED), keep=True)
        for number, row in enumerate(found):
            do = f"{tr(STOP_FIRST)} {row.do}" if row.stop else row.do
            cells = (*map(_figures, row.spans), row.meaning, do)
            yield Bit(_cells(cells, widths, row.right), gap=0.4 if number == len(found) - 1 else 0.0)


def _danger() -> str:
    return tr(
        "Above {dc:g} V DC or {ac:g} V AC it can kill. Hands off, isolate, ask a qualified person.",
        dc=DANGEROUS_V,
        ac=DANGEROUS_AC_V,
    )


def _widths(figures: Sequence[Sequence[str]]) -> tuple[float, ...]:
    """Return the widths of a table's columns: each kind of figures, what they mean, what to do."""
    own = [max(text_width(text, CAP_SMALL, True) for text in column) + 2.4 for column in figures]
    rest = WIDTH_MM - sum(own)
    return (*own, rest * 0.57, rest * 0.43)


def _cells(texts: Sequence[str], widths: Sequence[float], bold: bool, role: Role = Role.BOX) -> Block:
    """Return a row of a table, as low as its words let it be."""
    pairs = zip(texts, widths, strict=True)
    wrapped = [wrap(text, CAP_SMALL, width - 2.2, bold) for text, width in pairs]
    height = max(map(len, wrapped)) * _PITCH_MM + 1.1
    items: list[Item] = [rectangle(0.0, 0.0, WIDTH_MM, height, each) for each in (role, Role.SYMBOL)]
    x = 0.0
    for lines, width in zip(wrapped, widths, strict=True):
        if x:
            items.append(rule(x, 0.0, x, height))
        for at, text in enumerate(lines):
            items.append(line(x + 1.1, CAP_SMALL + 1.1 + at * _PITCH_MM, text, bold=bold))
        x += width
    return Block(tuple(items), WIDTH_MM, height)


def _figures(span: Span | None) -> str:
    if span is None:
        return tr("any")
    low, high = span
    low = 0.0 if -_NOTHING < low < 0.0 < high else low  # a hair below nothing is nothing
    return range_text(low, high, 1 if max(map(abs, span)) < _WHOLE else 0, signed="…")
