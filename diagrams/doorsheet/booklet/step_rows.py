"""The rows of a step's leaf: lines with boxes, readings, what each figure would mean.

Each is a block as wide as the leaf.  Which rows a step has is said in `step_leaf`.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Final, NamedTuple

from doorsheet.booklet.leaf import WIDTH_MM
from doorsheet.circuit.reading_words import figure_text, range_text
from doorsheet.job.action import DEAD, DEAD_AFTER_MA, Action, Power, Trial
from doorsheet.job.context import Trials
from doorsheet.job.dead_work import clip_words, must_be_on, nothing, set_to
from doorsheet.job.live_work import landing_words
from doorsheet.job.outcomes import STOP_FIRST, Span, Table, believed, tables
from doorsheet.job.probes import Probe, unplugged
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.same_reading import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.page.boxes import LINE_MM, Block, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Item, Role
from doorsheet.trade.language import capital, tr, tr_later
from doorsheet.trade.lettering import CAP_SMALL, text_width, wrap

__all__ = ["Bit", "band", "line_row", "meanings", "reading_rows", "sentence", "signed_row", "unplugged_rows"]

_NUMBER_MM: Final = 8.0
_TICK_MM: Final = 9.0
_TICK_X_MM: Final = WIDTH_MM - _TICK_MM
_BOX_MM: Final = 18.0
_DEAD_MM: Final = 6.0
_APART_MM: Final = 2.0
_PITCH_MM: Final = 3.6
_NO_BREAK: Final = "\u00a0"
_LEAD_MM: Final = 0.9
_LEAST_BOX_MM: Final = 4.9
_WHOLE: Final = 10.0
"""From this size on, V or mA, tenths tell nothing in a table of mistakes."""
_FAR: Final = 4.0
"""Ends further apart than this, V or mA, are each printed by their own size: what ends where another row
begins reads alike in both."""
_NOTHING: Final = 0.5
_SHARES: Final = (0.57, 0.42, 0.46, 0.5, 0.53, 0.6, 0.64, 0.68)
_MOST_ABREAST: Final = 3
"""So many readings stand beside each other."""

_KEYS: Final = (
    tr_later("open"), tr_later("closed"), tr_later("current"), tr_later("low"), tr_later("mid"),
    tr_later("high"), tr_later("rest"), tr_later("half"), tr_later("full"), tr_later("reverse"),
    tr_later("supply"),
)  # fmt: skip
"""States of a reading over a narrow column."""


class Bit(NamedTuple):
    """A block that stays whole, whether it must stay with what follows, and the gap under it, mm."""

    block: Block
    keep: bool = False
    gap: float = 0.0


# ---- Lines ----


def line_row(number: int, trial: Trial, high: float) -> Block:
    """Return a line: number, what to do and what to expect, a box for the figure, a box to tick."""
    box_x = _TICK_X_MM - _APART_MM - _BOX_MM
    texts, lines = _words(trial.do, trial.expect, (box_x if trial.unit else _TICK_X_MM) - 2.0 - _NUMBER_MM)
    height = max(high, _LEAST_BOX_MM if trial.unit else 0.0, lines * _PITCH_MM + _LEAD_MM)
    base = (height - (lines - 1) * _PITCH_MM + CAP_SMALL) / 2
    items: list[Item] = [line(_NUMBER_MM - 2.0, base, str(number), bold=True, anchor="end")]
    items += shifted(texts, _NUMBER_MM, base)
    if trial.unit:
        items += _box(box_x, _BOX_MM, height, trial.unit)
    items.append(rectangle(_TICK_X_MM, 0.0, _TICK_MM, height, Role.BOX))
    return Block(tuple(items), WIDTH_MM, height)


def _box(x: float, width: float, height: float, unit: str) -> tuple[Item, Item]:
    box = rectangle(x, 0.0, width, height, Role.BOX)
    return box, line(x + width - 1.6, height - 1.5, unit, anchor="end")


def _words(do: str, expect: str, room: float) -> tuple[tuple[Item, ...], int]:
    """Return what to do with what to expect in bold behind it, from (0, 0), and how many lines it takes."""
    done = wrap(do, CAP_SMALL, room)
    items = [line(0.0, row * _PITCH_MM, words) for row, words in enumerate(done)]
    after, row = (text_width(done[-1], CAP_SMALL) + 2.2, len(done) - 1) if done else (0.0, 0)
    first = wrap(expect, CAP_SMALL, max(room - after, 1.0), bold=True)[0]
    is_whole = f"{expect} ".startswith(f"{first} ")  # it ends with a whole word
    if text_width(first, CAP_SMALL, True) > room - after or not is_whole:
        after, row, first = 0.0, row + 1, wrap(expect, CAP_SMALL, room, bold=True)[0]
    rest = expect[len(first) :].strip()
    expected = (first, *(wrap(rest, CAP_SMALL, room, bold=True) if rest else ()))
    for at, words in enumerate(expected):
        plain = words.replace(_NO_BREAK, " ")
        items.append(line(after if at == 0 else 0.0, (row + at) * _PITCH_MM, plain, bold=True))
    return tuple(items), row + len(expected)


def band(words: str, role: Role) -> Block:
    """Return white words on a dark band."""
    said = paragraph(words, WIDTH_MM - 2.4, bold=True, role=Role.TEXT_INVERSE)
    above = (LINE_MM - CAP_SMALL) / 2
    height = said.height + 2 * above + 1.2
    ground = rectangle(0.0, 0.0, WIDTH_MM, height, role)
    return Block((ground, *shifted(said.items, 1.2, above + 0.6)), WIDTH_MM, height)


def signed_row(high: float) -> Block:
    """Return the boxes for who did it, when and with what."""
    items: list[Item] = []
    x, top = 0.0, 0.8
    for words, wide in (
        (tr("Done by"), 46.0), (tr("date"), 31.0), (tr("meter"), 33.0), (tr("ambient °C"), 32.0),
        (tr("checked"), WIDTH_MM - 142.0),
    ):  # fmt: skip
        label = text_width(words, CAP_SMALL, True) + 1.5
        apart = 2.0 if x + wide < WIDTH_MM else 0.0
        items.append(line(x, top + (high + CAP_SMALL) / 2, words, bold=True))
        items.append(rectangle(x + label, top, wide - label - apart, high, Role.BOX))
        x += wide
    return Block(tuple(items), WIDTH_MM, top + high)


# ---- Readings ----


class _Read(NamedTuple):
    """A figure to read: in which state, what to expect, V or mA."""

    state: str
    expect: str
    unit: str


def _star() -> Block:
    return sentence(tr("* a default: nobody gave the figure."))


def reading_rows(
    of: Trials, wanted: Sequence[Probe], actions: Sequence[Action], numbers: Iterator[int], high: float
) -> Iterator[Block]:
    """Yield a row for each place of the leads, with its readings side by side."""
    both = zip(wanted, actions, strict=True)
    places = [tuple(own) for _, own in groupby(both, lambda one: clip_words(one[0]))]
    first = 0 if wanted[0] == of.probes[0] else -1  # the first leads were clipped on with the wires
    if len(places) - first > 1:
        dead = tr(DEAD if all(probe.black for probe in wanted) else DEAD_AFTER_MA)
        words = tr("{dead} Only then clip the leads on for the next row; tick it.", dead=dead)
        yield sentence(words)
    if any(believed(of, probe).value.origin == "default" for probe in wanted):
        yield _star()
    left = _leads_mm([words for own in places for words in _leads(own[0][0])], len(places) - first > 1)
    for at, own in enumerate(places):
        probes = [probe for probe, _ in own]
        reads = [_read(of, probe) for probe in probes]
        if at > first and not probes[0].black and (not at or places[at - 1][0][0].black):
            yield sentence(tr("Red lead to the mA socket, the meter in the wire:"))
        yield _reading_row(next(numbers), _leads(probes[0]), reads, high, left, moved=at > first)
        for said in dict.fromkeys(filter(None, (landing_words(of, probe) for probe in probes))):
            yield sentence(f"{capital(said)}.", _NUMBER_MM)
        for trials in (action.trials for _, action in own):
            at_power = next(at for at, trial in enumerate(trials) if trial.power is Power.ON)
            for trial in trials[at_power + 1 :]:  # what comes after the reading
                yield line_row(next(numbers), trial, high)


def _read(of: Trials, probe: Probe) -> _Read:
    value = believed(of, probe).value
    expect = tr("not given") if value.low is None or value.high is None else figure_text(value)
    return _Read(probe.state, expect, probe.unit)


def _leads(probe: Probe) -> tuple[str, str]:
    if probe.black:
        return _at(probe.red, probe.black)
    return tr("mA in wire {wire}", wire=probe.wire), tr("at {terminal}", terminal=probe.red)


def _at(red: str, black: str) -> tuple[str, str]:
    return tr("red on {terminal}", terminal=red), tr("black on {terminal}", terminal=black)


def _leads_mm(words: Sequence[str], moved: bool = False) -> float:
    """Return where the figures of a reading begin, and the box for leads that are moved dead before them."""
    wide = max(text_width(each, CAP_SMALL, True) for each in words)
    box = text_width(tr("dead"), CAP_SMALL) + 1.0 + _DEAD_MM + _APART_MM if moved else 0.0
    return _NUMBER_MM + wide + _APART_MM + box


def sentence(words: str, x: float = 0.0) -> Block:
    """Return words that hold for the rows below."""
    texts = wrap(words, CAP_SMALL, WIDTH_MM - x, bold=True)
    items = tuple(line(x, CAP_SMALL + 0.8 + at * _PITCH_MM, text, bold=True) for at, text in enumerate(texts))
    return Block(items, WIDTH_MM, len(texts) * _PITCH_MM + 1.0)


def unplugged_rows(of: Trials, source: AnalogSource, number: int, high: float) -> Iterator[Bit]:
    """Yield the readings of an analog output before its wires are landed, side by side."""
    values, (red, black) = tuple(unplugged(of.solved, of.drive)), source.gives_at
    reads = [
        _Read(tr("{command} commanded", command=command), figure_text(value), unit)
        for command, value, unit in values
    ]
    words = tr(
        "{fed} on, drive locked off, {nothing} on {signal}. Meter for {meter}:",
        fed=must_be_on(source), nothing=nothing(source), signal=red, meter=set_to(reads[0].unit),
    )  # fmt: skip
    yield Bit(sentence(words), keep=True)
    if any(value.origin == "default" for _, value, _ in values):
        yield Bit(_star(), keep=True)
    where = _at(red, str(black))
    yield Bit(_reading_row(number, where, reads, high, _leads_mm(where)))


def _reading_row(
    number: int, places: Sequence[str], reads: Sequence[_Read], high: float, left: float, moved: bool = False
) -> Block:
    """Return where the leads are, a box that they were put there dead, and for each state figure and box."""
    each, box = _shared_out(reads, left)
    told = [
        _words(read.state, read.expect.replace(" ", _NO_BREAK), each - box - 1.5 * _APART_MM)
        for read in reads
    ]
    high = max(high, max(2, *(count for _, count in told)) * _PITCH_MM + _LEAD_MM)
    base = (high - _PITCH_MM + CAP_SMALL) / 2
    items: list[Item] = [line(_NUMBER_MM - 2.0, base, str(number), bold=True, anchor="end")]
    items += [line(_NUMBER_MM, base + at * _PITCH_MM, words, bold=True) for at, words in enumerate(places)]
    if moved:
        dead_x = left - _APART_MM - _DEAD_MM
        items.append(line(dead_x - 1.0, (high + CAP_SMALL) / 2, tr("dead"), anchor="end"))
        items.append(rectangle(dead_x, 0.0, _DEAD_MM, high, Role.BOX))
    x, y = left, 0.0
    for read, (texts, lines) in zip(reads, told, strict=True):
        if x + each > _TICK_X_MM + 0.1:
            x, y = left, y + high
        items += shifted(texts, x, y + (high - (lines - 1) * _PITCH_MM + CAP_SMALL) / 2)
        items += shifted(_box(x + each - box - _APART_MM, box, high, read.unit), 0.0, y)
        x += each
    items.append(rectangle(_TICK_X_MM, 0.0, _TICK_MM, y + high, Role.BOX))
    return Block(tuple(items), WIDTH_MM, y + high)


def _shared_out(reads: Sequence[_Read], left: float) -> tuple[float, float]:
    """Return the widths of a figure with its words, and of its box: as many abreast as no word breaks for."""
    words = [word for read in reads for word in (*read.state.split(), read.expect)]
    widest = max(text_width(word, CAP_SMALL, True) for word in words) + 1.5 * _APART_MM
    for abreast in range(min(len(reads), _MOST_ABREAST), 0, -1):
        each, box = (_TICK_X_MM - left) / abreast, _BOX_MM if abreast < _MOST_ABREAST else _BOX_MM - 3.0
        if widest + box <= each:
            break
    return each, box


# ---- What the readings mean ----


def meanings(of: Trials, probes: Sequence[Probe]) -> Iterator[Bit]:
    """Yield a table for readings that are alike; what may kill stands above all of them."""
    danger = tr(
        "Above {dc:g} V DC or {ac:g} V AC it can kill. Hands off, isolate, ask a qualified person.",
        dc=DANGEROUS_V, ac=DANGEROUS_AC_V,
    )  # fmt: skip
    if any(probe.unit == "V" and probe.control in of.mapping.switched for probe in probes):
        most = of.figures.input_bears_v
        too_much = tr("More than {most:g} V at a switch input: power off, undo the last change.", most=most)
        danger = f"{danger} {too_much}"
    yield Bit(band(danger, Role.SIGN_FILLED), keep=True)
    for table in tables(of, probes):
        if len(table.rows) > 1:
            yield from _table(table)


def _table(table: Table) -> Sequence[Bit]:
    probes = table.places[0]
    heads = (
        *(f"{tr(probe.key)} {probe.unit}" for probe in probes),
        _places(table),
        tr("locked off and dead"),
    )
    figures = [[_figures(row.spans[at]) for row in table.rows] for at in range(len(probes))]
    own = [
        max(text_width(text, CAP_SMALL, True) for text in (head, *column)) + 2.4
        for head, column in zip(heads, figures, strict=False)
    ]
    do = (f"{tr(STOP_FIRST)} {row.do}" if row.stop else row.do for row in table.rows)
    told = [(*map(_figures, row.spans), row.meaning, each) for row, each in zip(table.rows, do, strict=True)]
    tried = (_rows(heads, told, table, own, share) for share in _SHARES)
    return min(tried, key=lambda bits: sum(bit.block.height for bit in bits))


def _rows(
    heads: Sequence[str], told: Sequence[Sequence[str]], table: Table, own: Sequence[float], share: float
) -> tuple[Bit, ...]:
    """Return a table whose meanings have this share of what the figures leave."""
    rest = WIDTH_MM - sum(own)
    widths = (*own, rest * share, rest * (1.0 - share))
    head = Bit(_cells(heads, widths, bold=True, role=Role.UNUSED), keep=True)
    *rows, last = (_cells(texts, widths, row.right) for texts, row in zip(told, table.rows, strict=True))
    return (head, *(Bit(row, keep=True) for row in rows), Bit(last, gap=0.4))


def _places(table: Table) -> str:
    red = ", ".join(place[0].red for place in table.places)
    if black := table.places[0][0].black:
        return tr("red on {red}, black on {black}", red=red, black=black)
    return tr("in the wire at {terminal}", terminal=red)


def _cells(texts: Sequence[str], widths: Sequence[float], bold: bool, role: Role = Role.BOX) -> Block:
    """Return a row of a table, as low as its words let it be."""
    wrapped = [wrap(text, CAP_SMALL, wide - 2.2, bold) for text, wide in zip(texts, widths, strict=True)]
    height = max(map(len, wrapped)) * _PITCH_MM + 1.1
    items: list[Item] = [rectangle(0.0, 0.0, WIDTH_MM, height, each) for each in (role, Role.SYMBOL)]
    x = 0.0
    for lines, width in zip(wrapped, widths, strict=True):
        items += [rule(x, 0.0, x, height)] if x else []
        items += (
            line(x + 1.1, CAP_SMALL + 1.1 + at * _PITCH_MM, text, bold=bold) for at, text in enumerate(lines)
        )
        x += width
    return Block(tuple(items), WIDTH_MM, height)


def _figures(span: Span | None) -> str:
    if span is None:
        return tr("any")
    far = span[1] - span[0] > _FAR
    low, high = (round(end) if far and abs(end) >= _WHOLE else end for end in span)
    low = 0.0 if -_NOTHING <= low < 0.0 < high else low  # a hair below nothing is nothing
    high = 0.0 if -_NOTHING <= high < 0.0 and far else high
    return range_text(low, high, 1 if far or max(map(abs, span)) < _WHOLE else 0, signed="…")
