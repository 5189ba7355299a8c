"""The steps of a job, each as one upright leaf for dirty hands, to hang beside the machine.

A stage is one step, if one side of a leaf holds it.  Else it is several: what is wired dead and the
emergency stop proved, then what is read, in as many steps as that takes, and tried.  Everything on a leaf
is the step's actions: their lines with blanks and boxes, small pictures of the wires that move, readings
side by side, and what each figure would mean.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import chain, groupby
from typing import Final

from doorsheet.booklet import step_rows
from doorsheet.booklet.leaf import INNER_MM, LEFT_MM, WIDTH_MM, framed
from doorsheet.booklet.step_pictures import bench_picture, can_be_boxed, pictures
from doorsheet.booklet.step_rows import Bit, meanings
from doorsheet.checks.finding import Finding, worst_stop
from doorsheet.circuit.parts import of_drive
from doorsheet.circuit.sides import words as control_words
from doorsheet.job.action import Action, Phase, Trial
from doorsheet.job.cautions import NOT_ISOLATED, is_isolated, shock
from doorsheet.job.context import Trials
from doorsheet.job.dead_work import apart, clip_words, continuity, unplugged_lines, wiring
from doorsheet.job.probes import Probe
from doorsheet.job.sequence import mending, stage_actions
from doorsheet.mapping.reading import ReadMapping
from doorsheet.page.boxes import LINE_MM, Block, Stack, line, paragraph, rectangle, rule, shifted
from doorsheet.page.display import Group, Item, Page, Role
from doorsheet.page.fit import MARGIN_MM
from doorsheet.page.warning import shock_sign
from doorsheet.trade.language import capital, counted, tr, tr_later
from doorsheet.trade.lettering import CAP_SMALL, drawn, text_width
from doorsheet.trade.paper import A4

__all__ = ["OnLeaf", "Step", "index_of", "leaf_steps", "short_step", "step_pages"]

_WIRED = frozenset((Phase.DEAD, Phase.BENCH, Phase.MOVE, Phase.STOP))
"""What is done dead, and the emergency stop."""

_READ, _TRIED = frozenset((Phase.READ,)), frozenset((Phase.TEST,))

_BOTTOM_MM: Final = A4.height_mm - MARGIN_MM
_FOOT_MM: Final = 5.2
_ROOM_MM: Final = _BOTTOM_MM - MARGIN_MM - _FOOT_MM

_SIGN_MM: Final = 11.0
_ROWS_MM: Final = (8.0, 7.2, 6.4, 6.2, 5.8, 5.4, 4.9, 4.5)
"""Heights of a row with one line: as high as the fewest leaves let it be."""

_SHORT_ROW_MM: Final = 5.4
_SHORT_MM: Final = 190.0
"""A step no higher than this, its rows as high as said, shares its leaf."""

_AIRY_MM: Final = 6.4
"""With rows this high there is room for a picture of the bench in one piece, and the meter."""

_RIGHT: Final = tr_later("Where it differs from the drive's manual, the manual is right.")

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


@dataclass(frozen=True, slots=True)
class Step:
    """A stage of one drive, which parts of its work the step has, which readings and what they mean."""

    of: Trials
    phases: frozenset[Phase]
    actions: tuple[Action, ...]
    probes: tuple[Probe, ...] = ()
    known: tuple[Bit, ...] = ()

    @property
    def goes_on(self) -> bool:
        """Whether the power may still be on from the step before."""
        return Phase.DEAD not in self.phases

    @property
    def mends(self) -> Action | None:
        """The mending that stands in place of all work."""
        return next((action for action in self.actions if action.mends), None)

    def title(self) -> str:
        """Name the step, of several drives with the drive's: "Run forward: from S1 to the controller"."""
        of = self.of
        if self.mends is not None:
            return tr("Mend first")
        if of.before is None or self.goes_on:
            words = self._words() if self.goes_on else tr("wire the bench")
            return of_drive(of.drive, words) if of.drive else capital(words)
        moves = (action.title for action in self.actions if action.phase is Phase.MOVE)
        return of_drive(of.drive, next(moves, tr("Nothing moves: the last tests")))

    def short(self) -> str:
        """Name the step in a word or two."""
        return of_drive(self.of.drive, self._words())

    def _words(self) -> str:
        of = self.of
        moved = ", ".join(map(control_words, of.moving)) or (
            tr("final") if of.circuit.step.name == "final" else control_words(of.circuit.step.name)
        )
        if not self.goes_on:
            return tr("bench") if of.before is None else moved
        what = tr("the bench") if of.before is None else moved
        if Phase.TEST not in self.phases and self.probes != self.of.probes:
            at = ", ".join(dict.fromkeys(probe.red for probe in self.probes))
            return tr("read {what}: {terminals}", what=what, terminals=at)
        if Phase.TEST not in self.phases:
            return tr("read {what}", what=what)
        reads = Phase.READ in self.phases
        return tr("read and try {what}", what=what) if reads else tr("try {what}", what=what)


@dataclass(frozen=True)
class OnLeaf:
    """A step by its place among all steps of a job, of all drives; `stopped` where a finding forbids it."""

    steps: Sequence[Step]
    index: int
    read: ReadMapping
    stopped: bool = False

    @property
    def step(self) -> Step:
        """The step itself."""
        return self.steps[self.index]

    @cached_property
    def bodies(self) -> tuple[Stack, ...]:
        """What stands on its leaves, however they are numbered."""
        return _bodies(self, _ROWS_MM)


def leaf_steps(
    works: Sequence[Trials],
    read: ReadMapping,
    stopped: bool = False,
    found: Mapping[str, Sequence[Finding]] | None = None,
) -> tuple[Step, ...]:
    """Return the steps of a job, each of which fits one leaf as far as that can be.

    `found` are the findings of stages: where one has a stop, its mending is the last step, as `next` has it.
    """

    def fits(step: Step) -> bool:
        alone = OnLeaf((replace(step, phases=_WIRED), step), 1, read, stopped)
        return len(_bodies(alone, _ROWS_MM[-1:])) == 1

    steps: list[Step] = []
    for of in works:
        stop = worst_stop((found or {}).get(of.solved.circuit.step.called, ()))
        if stop is not None:
            action = mending(stop, next(iter(stage_actions(of))), read.mapping)
            return (*steps, Step(of, frozenset(Phase), (action,)))
        steps += _steps(of, fits)
    return tuple(steps)


def _steps(of: Trials, fits: Callable[[Step], bool]) -> tuple[Step, ...]:
    steps: tuple[Step, ...] = ()
    for shared in _shared(of):
        steps = tuple(step for step in shared if step.actions)
        if all(map(fits, steps)):
            break
    return steps


def _shared(of: Trials) -> Iterator[tuple[Step, ...]]:
    """Share the work of a stage out: all in one, then ever more steps to read in."""
    every, known = tuple(stage_actions(of)), cache(lambda probes: tuple(meanings(of, probes)))
    reads = tuple(zip(of.probes, (one for one in every if one.phase is Phase.READ), strict=True))

    def step(phases: frozenset[Phase], probes: tuple[Probe, ...] = ()) -> Step:
        left = {action.id for probe, action in reads if probe not in probes}
        own = tuple(one for one in every if one.phase in phases and one.id not in left)
        return Step(of, phases, own, probes, known(probes))

    yield (step(_WIRED | _READ | _TRIED, of.probes),)
    yield step(_WIRED), step(_READ | _TRIED, of.probes)
    places = [tuple(own) for _, own in groupby(of.probes, clip_words)]
    for count in range(1, len(places) + 1):
        share = -(-len(places) // count)
        parts = (tuple(chain(*places[at : at + share])) for at in range(0, len(places), share))
        yield step(_WIRED), *(step(_READ, part) for part in parts), step(_TRIED)


def index_of(steps: Sequence[Step], of: Trials, action: Action | None) -> int:
    """Return which step of a stage has an action; without one its last, and its first where none has it."""
    own = [at for at, step in enumerate(steps) if step.of is of] or [len(steps) - 1]  # a mending is the last
    if action is None:
        return own[-1]
    with_it = (at for at in own if any(one.id == action.id for one in steps[at].actions))
    return next(with_it, next((at for at in own if action.phase in steps[at].phases), own[0]))


def step_pages(on: OnLeaf, first: int = 1, sheets: int | None = None) -> tuple[Page, ...]:
    """Return the leaf of a step, several only where it has more lines than one holds.

    Leaves are numbered from `first` of `sheets` (None: of themselves).
    """
    count = len(on.bodies) if sheets is None else sheets
    return tuple(_page(on, body.items, first + number, count) for number, body in enumerate(on.bodies))


def _bodies(on: OnLeaf, rows_mm: Sequence[float]) -> tuple[Stack, ...]:
    """Return what stands on a step's leaves, from their top left corner: as high as its leaf lets it be."""

    def body(high: float) -> tuple[Stack, ...]:
        return tuple(_flowed(on, tuple(_pieces(on, high))))

    *higher, lowest = rows_mm
    fewest = body(lowest)
    return next((tried for tried in map(body, higher) if len(tried) == len(fewest)), fewest)


def short_step(on: OnLeaf) -> Block | None:
    """Return what stands on a step's leaf if it leaves so much of it free that something else can follow."""
    (body, *more) = _bodies(on, (_SHORT_ROW_MM,))
    if more or body.height > _SHORT_MM:
        return None
    return Block(shifted(body.items, 0.0, -INNER_MM), body.width, body.height - INNER_MM)


def _page(on: OnLeaf, body: tuple[Item, ...], number: int, sheets: int) -> Page:
    title = on.step.title()
    base, counted = _BOTTOM_MM - 1.8, tr("{number} of {sheets}", number=number, sheets=sheets)
    foot = (
        line(LEFT_MM, base, drawn(on.read.source.name), role=Role.TEXT_SOFT),
        line(LEFT_MM + WIDTH_MM / 2, base, tr(_RIGHT), role=Role.TEXT_SOFT, anchor="middle"),
        line(LEFT_MM + WIDTH_MM, base, counted, bold=True, anchor="end"),
    )
    said = tr("Step {number} of {count}: {title}", number=on.index + 1, count=len(on.steps), title=title)
    return framed((*shifted(body, LEFT_MM, MARGIN_MM), *foot), on.read, title, said)


def _flowed(on: OnLeaf, pieces: Sequence[Bit]) -> Iterator[Stack]:
    placed: list[tuple[Block | Stack, float, float]] = []
    y = 0.0
    for at, piece in enumerate(pieces):
        if placed and y + _kept(pieces[at:]) > _ROOM_MM:
            yield Stack(tuple(placed), WIDTH_MM, y)
            head, warning = _head(on, continued=True), pieces[1].block
            placed = [(head, 0.0, 0.0), (warning, 0.0, head.height + 1.0)]
            y = head.height + warning.height + 1.4
        placed.append((piece.block, 0.0, y))
        y += piece.block.height + piece.gap
    yield Stack(tuple(placed), WIDTH_MM, y)


def _kept(pieces: Sequence[Bit]) -> float:
    """Return the height of the first piece and of all that must stay with it."""
    count = next((at for at, piece in enumerate(pieces) if not piece.keep), len(pieces) - 1)
    above = sum(piece.block.height + piece.gap for piece in pieces[:count])
    return above + pieces[count].block.height


# ---- What is on it ----


def _pieces(on: OnLeaf, high: float) -> Iterator[Bit]:
    """Yield what is done at a step, its rows `high` mm at least: sections with pictures, lines, readings."""
    step = on.step
    yield Bit(_head(on, machine=on.read.mapping.machine), gap=1.0)
    yield Bit(_warning(step.of, on.stopped), gap=0.4)
    numbers, letters = iter(range(1, 1000)), iter("ABCDEFGHIJKLMNOP")
    if step.mends is not None:
        yield from (Bit(step_rows.sentence(words)) for words in (*step.mends.cautions[:-1], step.mends.title))
        yield from (Bit(step_rows.line_row(next(numbers), trial, high)) for trial in step.mends.lines)
        yield Bit(step_rows.signed_row(high))
        return
    if step.goes_on:
        yield Bit(step_rows.line_row(next(numbers), _still_on(on), high), gap=0.4)
    for phase, own in groupby(step.actions, lambda action: action.phase):
        title, note = _SECTIONS[phase]
        if phase is Phase.MOVE and not all(one.was for one in step.of.moved):
            note = _SECTIONS[Phase.BENCH][1]  # a wire that is new has no end that stays
        title = _move_words(step.of) if phase is Phase.MOVE else tr(title)
        yield Bit(_section(next(letters), title, tr(note)), keep=True, gap=0.3)
        match phase:
            case Phase.READ:
                if not is_isolated(step.of.mapping):
                    yield Bit(step_rows.band(tr(NOT_ISOLATED), Role.SIGN_FILLED), keep=True, gap=0.4)
                yield from map(Bit, step_rows.reading_rows(step.of, step.probes, tuple(own), numbers, high))
                yield from step.known
            case Phase.BENCH | Phase.MOVE:
                yield from _wired(step.of, tuple(own), numbers, high)
            case _:
                lines = [trial for action in own for trial in action.lines]
                for at, trial in enumerate(lines):
                    if not (trial.rests and trial in lines[at + 1 :]):  # tests in a row end at rest once
                        yield Bit(step_rows.line_row(next(numbers), trial, high))
    yield Bit(step_rows.signed_row(high))


def _still_on(on: OnLeaf) -> Trial:
    """Return what stands before the first line of a step that goes on under power."""
    words = tr(
        "All is wired as at step {number}, which is signed. If not: its part A, leads and covers on, its "
        "part C, all again.",
        number=1 + max(at for at in range(on.index) if not on.steps[at].goes_on),
    )
    return Trial(words, tr("emergency stop proved"))


def _wired(of: Trials, actions: Sequence[Action], numbers: Iterator[int], high: float) -> Iterator[Bit]:
    """Yield a picture of the wires, and the lines; a picture with a box for each wire is their lines."""
    wires = tuple(wiring(of, of.moved))
    boxed = of.before is None and can_be_boxed(of)
    if (shown := pictures(of, WIDTH_MM)) is not None:
        yield Bit(shown, gap=0.8)
    source, free = apart(of), tuple(unplugged_lines(of))
    for trial in (trial for action in actions for trial in action.lines):
        if boxed and trial in wires:
            if trial == wires[0]:
                told = tr("Fit each wire, then continuity: {expect}.", expect=continuity(of.circuit))
                yield Bit(step_rows.sentence(told), keep=True)
                own = [next(numbers) for _ in wires]
                yield Bit(bench_picture(of, WIDTH_MM, own, high >= _AIRY_MM), gap=0.4)
        elif source is not None and trial in free:
            if trial == free[0]:
                yield from step_rows.unplugged_rows(of, source, next(numbers), high)
        else:
            yield Bit(step_rows.line_row(next(numbers), trial, high))


def _move_words(of: Trials) -> str:
    count = len(of.moved)
    said = {0: tr("No wire moves"), 2: tr("Move two wires"), 3: tr("Move three wires")}
    return said.get(count) or counted("Move one wire", "Move {count} wires", count)


def _head(on: OnLeaf, continued: bool = False, machine: str = "") -> Block:
    """Return the number of the step in black, its title, and what comes before and after."""
    number = tr("STEP {number}/{count}", number=on.index + 1, count=len(on.steps))
    wide = text_width(number, 5.0, True) + 8.0
    title = on.step.title()
    room = WIDTH_MM - wide - 4.0
    cap = 5.0 if text_width(title, 5.0, True) <= room else 3.5
    titled, below = paragraph(title, room, cap, True), 0.4 * cap  # letters like g reach so far down
    words = [*([machine] if machine else ()), *([tr("continued")] if continued else ())]
    first, last = on.index == 0, on.index + 1 == len(on.steps)
    before = [] if first else [tr("before: {step}", step=on.steps[on.index - 1].short())]
    after = [] if last else [tr("next: {step}", step=on.steps[on.index + 1].short())]
    said = (" · ".join(each) for each in ([*words, *before, *after], [*words, *after]))
    told = paragraph(next((each for each in said if text_width(each, CAP_SMALL) <= room), words[0]), room)
    height = max(11.0, titled.height + told.height + below + 3.0)
    items = (
        rectangle(-INNER_MM, 0.0, wide, height, Role.SIGN_FILLED),
        line(-INNER_MM + wide / 2, (height + 5.0) / 2, number, 5.0, True, Role.TEXT_INVERSE, "middle"),
        *shifted(titled.items, wide, 1.6),
        *shifted(told.items, wide, titled.height + 1.6 + below),
        rule(-INNER_MM, height, WIDTH_MM + INNER_MM, height),
    )
    return Block((Group("step-head", items),), WIDTH_MM, height)


def _section(letter: str, title: str, note: str) -> Block:
    after = 9.0 + text_width(title, 3.5, True) + 3.0
    told = paragraph(note, WIDTH_MM - after, CAP_SMALL) if note else Block((), 0.0, 0.0)
    height = 5.8 + max(len(told.items) - 1, 0) * LINE_MM
    items = (
        rectangle(0.0, 0.1, 5.2, 5.2, Role.SIGN_FILLED),
        line(2.6, 4.5, letter, 3.5, True, Role.TEXT_INVERSE, "middle"),
        line(8.0, 4.4, title, 3.5, True),
        *shifted(told.items, after, 4.4 - CAP_SMALL),
        rule(0.0, height, WIDTH_MM, height),
    )
    return Block(items, WIDTH_MM, height)


def _warning(of: Trials, stopped: bool) -> Block:
    """Return the caution with its sign, and the stop where there is one, which every leaf has."""
    words = paragraph(shock(of.wait, bool(of.drive)), WIDTH_MM - _SIGN_MM - 6.0, bold=True)
    height = max(words.height + 2.4, _SIGN_MM * 0.87 + 2.0)
    box = rectangle(0.0, 0.0, WIDTH_MM, height, Role.WARNING_BOX)
    sign = shifted(shock_sign(_SIGN_MM), 2.0, (height - _SIGN_MM * 0.87) / 2)
    told = shifted(words.items, _SIGN_MM + 4.5, (height - words.height) / 2)
    warning = Group("warning", (box, *sign, *told), tr("warning: electric shock"))
    if not stopped:
        return Block((warning,), WIDTH_MM, height)
    stop = tr("STOP: do not connect. See the findings: doorsheet check says which, and how to mend them.")
    said = step_rows.band(stop, Role.STOP_FILL)
    return Block((warning, *shifted(said.items, 0.0, height + 0.4)), WIDTH_MM, height + 0.4 + said.height)
