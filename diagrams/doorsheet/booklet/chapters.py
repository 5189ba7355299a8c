"""What each chapter says.  How leaves look belongs in `leaf` and `grid`."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

from doorsheet.booklet.facts import FactGroup
from doorsheet.booklet.failure_table import failures
from doorsheet.booklet.grid import BESIDE_MM, PAD_MM, TICK, Band, Cell, Column, Grid, Row, say_or_write, write
from doorsheet.booklet.leaf import COLUMN_MM, WIDTH_MM, Chapter, InColumns, Piece, Rest
from doorsheet.booklet.step_leaf import Step
from doorsheet.checks.finding import Finding, Severity
from doorsheet.checks.grouped import unknowns_of
from doorsheet.circuit.parts import BlockKind, Circuit, StripTerminal, of_drive
from doorsheet.circuit.sides import words
from doorsheet.circuit.units import Units, discharge_of
from doorsheet.electrics import Solved
from doorsheet.job.context import stage_heading
from doorsheet.job.decisions import decisions, further_settings
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.other_tables import DriveSetting
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import levelled
from doorsheet.page.display import Role
from doorsheet.page.warning import warning_box
from doorsheet.trade.language import counted, tr, tr_later
from doorsheet.trade.lettering import CAP_SMALL, drawn, text_width

__all__ = [
    "CAUTIONS", "columns_of", "facts_and_blanks", "findings_chapter", "photograph", "revisions",
    "settings_chapters", "titled", "what_was_dropped", "wire_failures", "work_order",
]  # fmt: skip

CAUTIONS: Final = (
    tr_later(
        "Covers off with the drive live is work for qualified persons only. Do what can be done dead, dead."
    ),
    tr_later(
        "The emergency stop is proved before anything else is tried with power, and never goes "
        "through the controller alone."
    ),
    tr_later(
        "First runs: motor uncoupled, covers on, maximum frequency low, one hand at the emergency stop."
    ),
    tr_later("One step at a time: before the next one, the tests of its sheet are done and written down."),
    tr_later(
        "A contact between drive and motor is never opened under load unless the drive's manual allows it."
    ),
    tr_later("Safe torque off is no isolation: the terminals stay live."),
    tr_later(
        "Where a page and the drive's manual or the local code differ, they are right and the page is wrong."
    ),
    tr_later(
        "This booklet shows a reduced control schematic. Mains, motor, protection and the drive's "
        "other terminals are elsewhere. It validates no safety function."
    ),
)

_LONG_MM: Final = 28.0
"""A word wider than this may break in its cell."""


def _day(date: datetime.date | None) -> str | None:
    return None if date is None else date.isoformat()


def columns_of(
    *columns: tuple[str, float], width: float = WIDTH_MM, rows: Sequence[Row] = ()
) -> tuple[Column, ...]:
    """Return columns whose widths are shares of the leaf's; no word of a heading is broken, nor a short one
    of the rows that are to stand in them.
    """
    total = sum(share for _, share in columns)
    cells = [row for row in rows if not isinstance(row, Band)]
    held = [[*column] for column in zip(*cells, strict=True)] or [[]] * len(columns)
    pads = 2 * PAD_MM + 0.1
    heads = [pads + _longest(heading) for heading, _ in columns]
    widest = (
        max((_longest(cell.content) + (BESIDE_MM if cell.inks else 0.0) for cell in texts), default=0.0)
        for texts in held
    )
    least = [max(head, pads + min(_LONG_MM, words)) for head, words in zip(heads, widest, strict=True)]
    if sum(least) > width:
        least = heads
    wants = [max(own, share * width / total) for own, (_, share) in zip(least, columns, strict=True)]
    if sum(least) > width:  # of words this long some must break
        wants = least = [own * width / sum(least) for own in least]
    widths = levelled(wants, least, width)
    return tuple(Column(heading, own) for (heading, _), own in zip(columns, widths, strict=True))


def _longest(text: str) -> float:
    return max((text_width(word, CAP_SMALL, True) for word in text.split(" ")), default=0.0)


def _lowest(rows: Sequence[Row], shared: Iterable[tuple[Column, ...]]) -> Grid:
    """Return a table with those columns that let it be the lowest."""
    return min((Grid(columns, tuple(rows)) for columns in shared), key=lambda grid: grid.height)


def work_order(read: ReadMapping, of_job: Sequence[Step], entries: Sequence[tuple[str, int]]) -> Chapter:
    """Return the first leaf: what holds for all the work, its steps to tick off, where everything is.

    `entries` are the booklet's chapters, with the sheet each begins on.
    """
    mapping, sheets = read.mapping, dict(entries)
    steps: list[Row] = []
    named = [titled(number, step) for number, step in enumerate(of_job, 1)]
    for title, step in zip(named, of_job, strict=True):
        words = (Cell(title, bold=True), Cell(_work_of(step)), Cell(str(sheets[title])))
        steps.append((*words, TICK, write()))
    heads = columns_of(
        (tr("step"), 70.0), (tr("work"), 56.0), (tr("sheet"), 13.0), (tr("done"), 13.0), (tr("date"), 22.0)
    )
    others = tuple((Cell(name), Cell(str(at), bold=True)) for name, at in entries if name not in named)
    signed = columns_of(
        (tr("ordered by"), 40.0), (tr("qualified person in charge"), 62.0),
        (tr("lock no."), 24.0), (tr("from"), 24.0), (tr("until"), 24.0),
    )  # fmt: skip
    return Chapter(
        tr("Work order"),
        (
            warning_box(discharge_of(mapping), WIDTH_MM, several=bool(mapping.drives), sign_mm=16.0),
            Grid(signed, (tuple(write() for _ in signed),)),
            Grid(columns_of((tr("before anything else"), 1.0)), tuple((Cell(tr(one)),) for one in CAUTIONS)),
            Grid(heads, tuple(steps)),
            InColumns(Grid(columns_of((tr("chapter"), 70.0), (tr("sheet"), 15.0), width=COLUMN_MM), others)),
        ),
    )


def titled(number: int, step: Step) -> str:
    """Name a step: "Step 2: Run forward: from S1 to the controller"."""
    return tr("Step {number}: {title}", number=number, title=step.title())


def _work_of(step: Step) -> str:
    if step.mends is not None:
        return tr("Nothing else before; then this booklet is made anew")
    if step.goes_on:
        return tr("Read, then try")
    new = [one.wire.number for one in step.of.moved if one.was is None]
    moved = [one.wire.number for one in step.of.moved if one.was and one.now]
    gone = [one.wire.number for one in step.of.moved if one.now is None]
    said: list[str] = []
    if new:
        said.append(counted("fit wire {wires}", "fit wires {wires}", len(new), wires=", ".join(new)))
    if moved:
        said.append(counted("move wire {wires}", "move wires {wires}", len(moved), wires=", ".join(moved)))
    if gone:
        said.append(
            counted("take off wire {wires}", "take off wires {wires}", len(gone), wires=", ".join(gone))
        )
    return "; ".join(said).capitalize() or tr("No wire moves")


def facts_and_blanks(groups: Sequence[FactGroup]) -> Chapter:
    """List every fact with its place, and a blank for each that nobody wrote down."""
    rows: list[Row] = []
    for group in groups:
        if group.rows:
            known = len(group.rows) - group.blanks
            told = tr(
                "{group}: {known} known, {blank} blank", group=group.title, known=known, blank=group.blanks
            )
            rows.append(Band(told))
        for row in group.rows:
            where = f"{row.name} ({row.where})" if row.where else row.name
            rows.append((Cell(where), say_or_write(row.value, bold=True)))
    intro = counted(
        "{count} blank. Nothing here is guessed: what is printed stands in the mapping. "
        "Fill a blank from where its row says, and write it into the mapping too.",
        "{count} blanks. Nothing here is guessed: what is printed stands in the mapping. "
        "Fill a blank from where its row says, and write it into the mapping too.",
        sum(group.blanks for group in groups),
    )
    shared = (
        columns_of((tr("fact"), fact), (tr("value"), 100.0 - fact), width=COLUMN_MM, rows=rows)
        for fact in range(56, 76, 2)
    )
    return Chapter(tr("Facts and blanks"), (intro, InColumns(_lowest(rows, shared))))


def what_was_dropped(read: ReadMapping, circuit: Circuit) -> Chapter:
    """List the terminals of the manual that the sheet leaves out, and why; then those it keeps."""
    dropped = read.mapping.drive.dropped
    pins = (pin.terminal for part in circuit.parts for pin in part.pins)
    used = {one.label for one in pins if one.block is BlockKind.DRIVE}
    used |= {entry.terminal.label for entry in circuit.strip}
    columns = columns_of((tr("why"), 60.0), (tr("terminals"), 114.0))
    rows: list[Row] = [(Cell(why), Cell(", ".join(labels), bold=True)) for why, labels in dropped.items()]
    both = ", ".join(label for labels in dropped.values() for label in labels if label in used)
    intro = tr("The manual draws every terminal. Left out of this drawing, so that the rest can be seen:")
    if not dropped:
        intro = tr(
            "The mapping doesn't list what the manual draws besides. Go through the "
            "manual's terminal drawing and write down what is left out, and why."
        )
        rows = [(write(), write())]
    pieces: list[Piece] = [intro, Grid(columns, tuple(rows))]
    if both:
        said = tr("Listed as left out, yet drawn: {terminals}. One of the two is wrong.", terminals=both)
        pieces.append(Grid(columns_of((tr("contradiction"), 1.0)), ((Cell(said, role=Role.TEXT_ALERT),),)))
    kept = tuple(_kept(circuit, entry) for entry in circuit.strip)
    heads = columns_of((tr("terminal"), 24.0), (tr("function"), 40.0), (tr("wires"), 21.0), width=COLUMN_MM)
    pieces += [tr("What remains, and its wires in the final stage:"), InColumns(Grid(heads, kept))]
    return Chapter(tr("What was left out, and why"), tuple(pieces))


def _kept(circuit: Circuit, entry: StripTerminal) -> Row:
    """Say what a terminal is for, or else which ones a jumper joins it to, and its wires."""
    own = entry.terminal
    links = (link for link in circuit.links if own in (link.a, link.b))
    others = ", ".join(str(link.b if link.a == own else link.a) for link in links)
    linked = tr("linked to {terminals}", terminals=others) if others else "—"
    wires = ", ".join(wire.number for wire in circuit.wires if wire.far == own)
    return Cell(own.label, bold=True), Cell(entry.function or linked), Cell(wires or tr("none"))


def settings_chapters(units: Units) -> Iterator[tuple[str, Chapter]]:
    """Yield what has to be decided in each drive, by its name, then the controller's settings: of a
    single drive in the same chapter.
    """
    controller = _controller(units)
    for drive, read in units:
        pieces = _drive_settings(read.mapping)
        yield drive, Chapter(tr("Settings"), pieces if drive else (*pieces, controller))
    if units[0][0]:
        yield "", Chapter(tr("Controller's settings"), (controller,))


def _drive_settings(mapping: Mapping) -> tuple[str | Grid, ...]:
    rows: list[Row] = []
    for decision in decisions(mapping):
        for setting in decision.settings or (None,):
            rows.append(_setting(decision.meaning, decision.needs, setting))
    if others := further_settings(mapping):
        rows.append(Band(tr("Further settings")))
        rows += [_setting(setting.meaning, "", setting) for setting in others]
    rows.append(_setting(None, "", None))
    columns = columns_of(
        (tr("to decide: this machine needs"), 82.0), (tr("number"), 17.0), (tr("factory"), 16.0),
        (tr("set"), 15.0), (tr("reads"), 15.0), (tr("date"), 22.0), ("≠!", 7.0), rows=rows,
    )  # fmt: skip
    intro = tr(
        "Numbers are those of the drive's own manual. Read everything back after a power cycle. Last "
        "column: ≠ differs from the factory's value, ! reads back otherwise."
    )
    return intro, Grid(columns, tuple(rows))


def _controller(units: Units) -> Grid:
    own: list[Row] = [
        (Cell(one.name), Cell(one.set), say_or_write(one.read), say_or_write(_day(one.date)))
        for one in units[0][1].mapping.controller.settings
    ]
    asked = [of_drive(drive, name) for drive, read in units for name in _controller_settings(read.mapping)]
    names = [] if own else asked
    own += [(say_or_write(name), write(), write(), write()) for name in (*names, *([] if names else [None]))]
    heads = columns_of(
        (tr("controller's setting"), 110.0), (tr("set"), 60.0), (tr("read back"), 50.0), (tr("date"), 40.0)
    )
    return Grid(heads, tuple(own))


def _setting(meaning: str | None, needs: str, setting: DriveSetting | None) -> Row:
    what = say_or_write(": ".join(words for words in (meaning, needs) if words))
    if setting is None:
        return (what, write(), write(), write(), write(), write(), Cell(""))
    factory, made, reads = setting.factory, setting.set, setting.read
    changed = made is not None and factory is not None and made != factory
    mark = Cell("≠" if changed else "", bold=True)
    if reads is not None and made is not None and reads != made:
        mark = Cell("!", bold=True, role=Role.TEXT_ALERT)
    values = say_or_write(factory), say_or_write(made, bold=True), say_or_write(reads)
    return (what, Cell(setting.number, bold=True), *values, say_or_write(_day(setting.date)), mark)


def _controller_settings(mapping: Mapping) -> Iterator[str]:
    """Name what has to be set in most controllers that command a drive (common practice, no source)."""
    if any(part.startswith(("run", "enable", "jog")) for part in mapping.control_names):
        if mapping.speed is not None and mapping.speed.source is not None:
            yield tr("full-scale speed")
        yield tr("wait after start, at least the drive's ramp")
        yield tr("wait after stop, at least the ramp")


def wire_failures(stages: Sequence[Solved], tell: Callable[[str], None] = lambda _: None) -> Chapter:
    """Say, wire by wire, what a fault of it does; the bench only where it differs.

    Of no stage: that the terminals have to be found first.
    """
    title = tr("If a wire opens or touches")
    if not stages:
        words = tr("Not worked out: the stop that step 1 mends comes first. What rests on it would be false.")
        return Chapter(title, (words,))
    rows: list[Row] = []
    told: set[tuple[str, ...]] = set()
    for solved in (stages[-1], stages[0]):
        new = [one for one in failures(solved, tell) if (one.wire.number, *one[1:]) not in told]
        if new:
            rows.append(Band(stage_heading(solved.circuit)))
        for one in new:
            told.add((one.wire.number, *one[1:]))
            named = f"{one.wire.number} {one.wire.colour.letters}"
            rows.append((Cell(named, bold=True), *map(Cell, one[1:])))
    intro = tr(
        "Computed with that one fault in the network, and the drive's commons joined inside or not. What "
        "says measure: motor uncoupled, one wire at a time, taken off with the power locked off. Nothing "
        "shows a hidden fault: only a test finds it. Tried are touches with the other wires of its cable, "
        "with what stands beside it at the drive, and with the plus of its inputs, if nobody says where that "
        "stands; not with what stands beside it at the controller, plus among it, or on a rail."
    )
    own = stages[-1].installation.figures
    if unsaid := [drive for drive, figures in own.items() if not figures.mapping.drive.strip]:
        at = ", ".join(filter(None, unsaid)) or tr("the drive")
        said = tr(
            "In which order the terminals of {drives} stand is not written down: what is beside stands so in "
            "the drawing, on the drive look.",
            drives=at,
        )
        intro = f"{intro} {said}"
    shared = (
        columns_of(
            (tr("wire"), 16.0), (tr("if it opens"), opens), (tr("if it touches"), 158.0 - opens - earth),
            (tr("on earth"), earth), rows=rows,
        )
        for opens in (24.0, 28.0, 33.0, 38.0, 43.0)
        for earth in (22.0, 27.0, 32.0, 37.0, 42.0)
    )  # fmt: skip
    return Chapter(title, (intro, _lowest(rows, shared)))


def findings_chapter(findings: Sequence[Finding]) -> Chapter:
    """Give every finding of every stage with its figures, what to do, and the rule's source."""
    unknown = [finding for finding in findings if unknowns_of([finding])]
    rows: list[Row] = []
    for finding in (finding for finding in findings if finding not in unknown):
        alert = Role.TEXT_ALERT if finding.severity is Severity.STOP else Role.TEXT
        named = ", ".join((f"{tr(finding.severity)} {finding.code}", *_places(finding)))
        reason = f"{finding.reason_on_paper} ({finding.source})"
        rows.append((Cell(named, bold=True, role=alert), Cell(reason, role=alert), Cell(finding.do_on_paper)))
    if not findings:
        rows = [(Cell(tr("none, all stages"), bold=True), Cell(tr("nothing found")), Cell("—"))]
    pieces: list[Piece] = [tr("A clean check does not make a machine safe.")]
    if unknown:
        each = dict.fromkeys(
            f"{of_drive(drive, one.what)}: {one.where}" for drive, one in unknowns_of(unknown)
        )
        codes = ", ".join(dict.fromkeys(finding.code for finding in unknown))
        heads = columns_of((tr("not written down ({codes})", codes=codes), 1.0), width=COLUMN_MM)
        pieces.append(InColumns(Grid(heads, tuple((Cell(one),) for one in each))))
    what = tr("what, and why (the rule's source)")
    shared = (
        columns_of((tr("code, where"), 30.0), (what, why), (tr("do"), 144.0 - why), rows=rows)
        for why in (104.0, 96.0, 88.0, 80.0)
    )
    return Chapter(tr("Findings"), (*pieces, *([_lowest(rows, shared)] if rows else ())))


def _places(finding: Finding) -> Iterator[str]:
    if finding.subject:
        yield of_drive(finding.drive, words(finding.control or "drive"))
    if finding.wires:
        wires = ", ".join(finding.wires)
        yield counted("wire {wires}", "wires {wires}", len(finding.wires), wires=wires)


def revisions(read: ReadMapping) -> Chapter:
    """Return the revision table, with rows to write in, and where the mapping is."""
    columns = columns_of(
        (tr("index"), 15.0), (tr("date"), 26.0), (tr("who"), 26.0), (tr("what was changed"), 48.0),
        (tr("why"), 36.0), (tr("retested"), 26.0),
    )  # fmt: skip
    rows: list[Row] = [
        (
            Cell(one.index, bold=True),
            *map(say_or_write, (_day(one.date), one.who, one.what, one.why)),
            write() if one.tested is None else Cell(tr("yes") if one.tested else tr("no")),
        )
        for one in read.mapping.sheet.revisions
    ]
    rows += [tuple(write() for _ in columns)] * 2
    name = drawn(read.source.name)
    within = tr("The mapping {source}, from which all of this was drawn, is in this PDF.", source=name)
    return Chapter(tr("Revisions"), (Grid(columns, tuple(rows)), within))


def photograph() -> Chapter:
    """Return room for a photograph of the terminals as they are wired: what is left of the last leaf."""
    words = tr(
        "The terminals as wired, numbers readable: fix it here, or on the back. Date, who: ____________"
    )
    return Chapter(tr("Photograph"), (words, Rest()))
