"""What the page shows, as plain values that become JSON.

Words and ids are made here, so that the page itself only lays out what it is told.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import partial
from itertools import groupby
from typing import Final, Literal, assert_never

from doorsheet.checks import Finding, every_code
from doorsheet.checks.grouped import by_control, unknowns_of
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.circuit.units import discharge_of
from doorsheet.electrics.figures import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.job.action import (
    Action,
    DoneAsked,
    KeyAsked,
    Outcome,
    Phase,
    ReadingAsked,
    SettingAsked,
    SpeedAsked,
    put_off_words,
)  # fmt: skip
from doorsheet.job.cautions import danger, shock
from doorsheet.job.done import judge, why_not
from doorsheet.job.sequence import Outlook, next_action, outlook
from doorsheet.mapping.meter import STATES
from doorsheet.mapping.problems import MappingError
from doorsheet.mapping.reading import ReadMapping
from doorsheet.output.svg import group_id, to_inline_svgs
from doorsheet.page.compose import PaperError
from doorsheet.page.places import terminal_group
from doorsheet.sheet import Sheet, draw_text
from doorsheet.trade.language import capital

__all__ = ["Shown", "ShownProblem", "asked", "own_fault", "shown", "shown_problems"]

UNITS: Final = ("V", "mA", "V AC")
"""What a meter's figure can be in, the first one unless something else is asked for."""


@dataclass(frozen=True, slots=True)
class ShownLine:
    """One line of an action."""

    do: str
    expect: str


@dataclass(frozen=True, slots=True)
class ShownOutcome:
    """What figures would mean: from low to high each, in the unit asked for."""

    figures: str
    words: str
    spans: tuple[tuple[float | None, float | None], ...]
    right: bool
    stop: bool


@dataclass(frozen=True, slots=True)
class ShownAsked:
    """What the page asks for, and what its fields begin with.

    A reading has a form of its own; of everything else the words typed stand between `before` and `after`,
    and `failed`, `unknown` are what to write where it did not come out or nobody knows ("": not asked).
    """

    kind: Literal["reading", "words", "nothing"]
    red: str = ""
    black: str = ""
    state: str = STATES[0]
    unit: str = UNITS[0]
    command: str = ""  # percent of full command
    label: str = ""
    hint: str = ""  # an example, or what to do by hand
    before: str = ""
    after: str = ""
    needed: bool = True
    failed: str = ""
    unknown: str = ""
    later: str = ""  # what the reason stands behind why it can't be done now; "": it can't be put off


@dataclass(frozen=True, slots=True)
class ShownAction:
    """The next action: what it is, and which groups of the drawing it is about."""

    drive: str
    title: str
    cautions: tuple[str, ...]
    lines: tuple[ShownLine, ...]
    outcomes: tuple[ShownOutcome, ...]
    unlocks: str
    asked: ShownAsked
    put_off: str = ""
    red_id: str = ""
    black_id: str = ""
    wires: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShownProblem:
    """Why the file can't be read as it stands."""

    place: str  # "line 14, run-forward.input"
    reason: str
    do: str


@dataclass(frozen=True, slots=True)
class ShownFinding:
    """One finding about the sheet that is shown."""

    severity: str
    code: str
    title: str
    place: str
    reason: str
    do: str
    wires: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShownPhase:
    """A part of the job, and how far it is."""

    name: str
    words: str  # with how far it is: "read 2 of 5"
    done: bool
    now: bool


@dataclass(frozen=True, slots=True)
class Shown:
    """Everything that a good file gives to show."""

    machine: str
    standing: str  # the caution that stands on every page
    parts: str
    action: ShownAction
    sheets: tuple[str, ...]
    no_sheet: str  # why there is none
    count: str
    findings: tuple[ShownFinding, ...]
    unknowns: tuple[str, ...]  # what nobody wrote down, and where to find it
    terminals: tuple[str, ...]
    readings: dict[str, tuple[str, ...]]  # by a wire's id: what was read at it
    phases: tuple[ShownPhase, ...] = ()
    waiting: tuple[str, ...] = ()  # what else was put off, and why
    history: tuple[str, ...] = ()  # what the file holds, the newest first
    states: tuple[str, ...] = STATES
    units: tuple[str, ...] = UNITS
    danger: str = field(default_factory=danger)
    # by unit: more than this may kill
    dangerous: dict[str, float] = field(default_factory=lambda: {"V": DANGEROUS_V, "V AC": DANGEROUS_AC_V})


def shown(read: ReadMapping, before: Shown | None = None) -> Iterator[Shown]:
    """Yield what the page shows of a mapping, at the stage of its next action: first and soon with the phases
    and the log that stood there `before`, then with its own.

    How far the job is takes every stage, solved; the next action only those that the job has come to.
    """
    action = next_action(read, datetime.now())
    sheet, no_sheet = _sheet(read, action.stage if action is not None else "final")
    circuit, findings = (sheet.circuit, sheet.findings) if sheet is not None else (None, ())
    found = Counter(finding.severity.value for finding in findings)
    kinds = (f"{found[kind] or 'no'} {kind}{'s' * (found[kind] > 1)}" for kind in ("stop", "caution", "note"))
    now = action.phase.value if action is not None else ""
    first = Shown(
        machine=read.mapping.machine,
        standing=standing(read),
        parts="; ".join((*(own.drive.name for _, own in read.mapping.units()), read.mapping.controller.name)),
        action=shown_action(read, action, circuit),
        sheets=to_inline_svgs(*sheet.pages) if sheet is not None else (),
        no_sheet=no_sheet,
        count=", ".join(kinds) if sheet is not None else "",  # "no stop, 1 caution, 2 notes"
        findings=tuple(_findings(findings)),
        unknowns=tuple(f"{of_drive(drive, one.what)}: {one.where}" for drive, one in unknowns_of(findings)),
        terminals=_terminals(circuit, action),
        readings=_readings(read, circuit),
    )
    if before is not None:
        phases = tuple(replace(one, now=one.name == now) for one in before.phases)
        first = replace(first, phases=phases, waiting=before.waiting, history=before.history)
    yield first
    ahead = outlook(read, datetime.now())
    waiting = tuple(f"{of_drive(one.drive, one.title)}: {one.put_off}" for one in ahead.put_off)
    next_phase = ahead.next.phase if ahead.next is not None else None
    phases = tuple(_phase(*one, one[0] is next_phase) for one in ahead.progress if one[2])
    yield replace(first, phases=phases, waiting=waiting, history=tuple(_history(read, ahead)))


def _phase(phase: Phase, done: int, of: int, now: bool) -> ShownPhase:
    words = f"{phase.value} {done + 1} of {of}" if now and of > 1 else phase.value
    words = f"{words} {done}/{of}" if not now and 0 < done < of else words
    return ShownPhase(phase.value, words, done == of, now)


def shown_problems(error: MappingError) -> tuple[ShownProblem, ...]:
    """Return each problem with its line."""
    found = []
    for one in error.problems:
        where = ", ".join(filter(None, (f"line {one.line}" if one.line else "", one.where)))
        reason = f"{one.reason}; wrote {one.wrote}" if one.wrote else one.reason
        found.append(ShownProblem(where or one.file, reason, one.do))
    return tuple(found)


def own_fault(file: str, error: Exception) -> ShownProblem:
    """Return a fault that is ours, so that nobody looks for it in the wiring."""
    reason = f"a fault of Doorsheet itself, not of your mapping ({type(error).__name__}: {error})"
    return ShownProblem(file, reason, "please report it with the mapping; it says nothing about the wiring")


def _sheet(read: ReadMapping, stage: str) -> tuple[Sheet | None, str]:
    try:
        return draw_text(read.source.text, stage, name=read.source.name), ""
    except MappingError as error:
        return None, "; ".join(f"{problem.reason}: {problem.do}" for problem in error.problems)
    except PaperError as error:
        return None, str(error)


def _findings(findings: Sequence[Finding]) -> Iterator[ShownFinding]:
    """Yield the findings worst first, what is said of several once; what nobody wrote down is apart."""
    each = [(told, subject) for subject, own in by_control(findings).items() for told in own]
    for told, subject in sorted(each, key=lambda entry: entry[0].finding.order):
        one = told.finding
        line = f"line {one.line}" if one.line and len(told.places) == 1 else ""
        place = ", ".join(filter(None, (subject, line)))
        title = every_code()[one.code].title
        yield ShownFinding(one.severity.value, one.code, title, place, one.reason, one.do, told.wires)


# ---- what was written down ----


def _history(read: ReadMapping, ahead: Outlook) -> Iterator[str]:
    """Yield readings and the log, the newest first; what has no day comes last, as the file has it."""
    titles = {action.place: action.title for action in ahead.actions}
    told: list[tuple[datetime, str]] = []
    for drive, own in read.mapping.units():
        for taken in own.every_taken:
            old = " Replaced since." if any(taken is before for before, _ in own.replaced) else ""
            said = of_drive(drive, f"{replace(taken, when=None).line}.{old}")
            told.append((taken.when or datetime.min, said))
    for nth, done in enumerate(read.mapping.done):
        at = f", at the {done.stage} stage" if done.stage else ""
        what = titles.get((done.what, done.stage or "", done.drive or ""), done.what)
        put_off = f"put off, {done.put_off}" if done.put_off else ""
        words = ": ".join(filter(None, (f"{what}{at}", put_off, done.result, ahead.doubted.get(nth))))
        aside = f" ({done.remark})" if done.remark else ""
        told.append((done.when or datetime.min, of_drive(done.drive or "", f"{words}{aside}.")))
    told.reverse()  # of the same minute too
    for when, words in sorted(told, key=lambda entry: entry[0], reverse=True):
        yield words if when == datetime.min else f"{when:%Y-%m-%d %H:%M} {words}"


# ---- the drawing ----


def _terminals(circuit: Circuit | None, action: Action | None) -> tuple[str, ...]:
    """Return the labels that a lead can stand on: the drive's, and where the action puts the meter."""
    drive = action.drive if action is not None else ""
    strip = circuit.strip if circuit is not None else ()
    labels = [entry.terminal.label for entry in strip if entry.terminal.drive == drive]
    if action is not None and isinstance(action.asked, ReadingAsked):
        labels += [action.asked.red, action.asked.black]
    return tuple(dict.fromkeys(labels))


def _readings(read: ReadMapping, circuit: Circuit | None) -> dict[str, tuple[str, ...]]:
    """Return what was read at the drive's end of each wire, but not at a common, where the black lead is."""
    if circuit is None:
        return {}
    taken = {drive: own.taken for drive, own in read.mapping.units()}
    return {
        group_id(f"wire-{wire.number}"): tuple(
            f"Read {one.shown}, {one.at}." for one in taken[wire.drive] if one.red == wire.far.label
        )
        for wire in circuit.wires
    }


# ---- the next action ----


def shown_action(read: ReadMapping, action: Action | None, circuit: Circuit | None) -> ShownAction:
    """Return the next action of a mapping, None when all is done, and what of the drawing it is about."""
    general = standing(read)
    if action is None:
        return ShownAction("", "Everything is done", (general,), (), (), "", ShownAsked("nothing"))
    of = action.asked
    red, black = (of.red, of.black) if isinstance(of, ReadingAsked) else ("", "")
    # what stands on the page anyhow only where that is all
    cautions = tuple(one for one in action.cautions if one not in (danger(), general)) or (general,)
    must = why_not(action, judge(read, action))  # then nothing may go on without it
    return ShownAction(
        drive=action.drive,
        title=f"{action.drive}: {action.title}" if action.drive else action.title,
        cautions=cautions,
        lines=tuple(ShownLine(trial.do, trial.expect) for trial in action.lines),
        outcomes=tuple(
            _outcome(tuple(same)) for _, same in groupby(action.outcomes, lambda one: (one.meaning, one.do))
        ),
        unlocks=action.unlocks,
        asked=replace(asked(action), later="" if must else put_off_words(replace(action, drive=""), "")),
        put_off=f"Put off before: {action.put_off}. What is left waits for it." if action.put_off else "",
        red_id=_terminal_id(circuit, red, action.drive),
        black_id=_terminal_id(circuit, black, action.drive),
        wires=_wires(circuit, action),
    )


def _outcome(same: tuple[Outcome, ...]) -> ShownOutcome:
    """Return what figures mean that mean the same; the last of each and its unit stand on one line."""
    first = same[0]
    figures = (one.figures.replace(f" {one.unit}", f"\N{NO-BREAK SPACE}{one.unit}") for one in same)
    spans = tuple((one.low, one.high) for one in same)
    words = f"{capital(first.meaning)}. {first.do}"
    return ShownOutcome(" or ".join(figures), words, spans, first.right, first.stop)


def standing(read: ReadMapping) -> str:
    """Return the caution that stands on every page."""
    return shock(discharge_of(read.mapping), bool(read.mapping.drives))


def asked(action: Action) -> ShownAsked:
    """Return what the page asks for after an action, and how the answer is put into the words of a note."""
    done, words = f"done {action.id} at {action.stage}", partial(ShownAsked, "words")
    match action.asked:
        case ReadingAsked(red, black, state, unit, command):
            share = "" if command is None else f"{command * 100:g}"
            return ShownAsked("reading", red, black, state, unit, share)
        case KeyAsked(path, example) if example:
            key, hint = ".".join(path), "written as " + example.strip('"')
            return words(label=key, hint=hint, before=f"{key}: ", unknown=f"{done}: unknown")
        case KeyAsked():
            hint = "Mend it, and write into the file what has changed; the page follows."
            return ShownAsked("nothing", hint=hint)
        case SpeedAsked(None):
            hint = "for example 6000 gives 5920"
            return words(label="commanded and real speed", hint=hint, before="speed ", after=" rpm")
        case SpeedAsked(commanded):
            return words(label="real speed, rpm", before=f"speed {commanded:g} gives ", after=" rpm")
        case SettingAsked(number):
            return words(label=f"{number} reads", before=f"setting {number} reads ")
        case DoneAsked():
            wanted = " or ".join(action.choices) or ", ".join(action.units)
            label = f"what came of it, {wanted or 'if anything'}"
            return words(label=label, before=done, needed=False, failed=f"{done}: failed")
        case _:
            assert_never(action.asked)


def _wires(circuit: Circuit | None, action: Action) -> tuple[str, ...]:
    """Return the ids of the wires that an action is about: at the red lead, or those of its controls."""
    own = [wire for wire in (circuit.wires if circuit else ()) if wire.drive == action.drive]
    if isinstance(action.asked, ReadingAsked):
        own = [wire for wire in own if wire.far.label == action.asked.red]
    else:
        own = [wire for wire in own if set(wire.controls) & set(action.controls)]
    return tuple(group_id(f"wire-{wire.number}") for wire in own)


def _terminal_id(circuit: Circuit | None, label: str, drive: str) -> str:
    """Return the id of a terminal's group: the drive's, or where it has none of that label another's."""
    if circuit is None or not label:
        return ""
    on_strip = [entry.terminal for entry in circuit.strip if entry.terminal.drive == drive]
    others = [pin.terminal for part in circuit.parts for pin in part.pins]
    found = next((one for one in (*on_strip, *others) if one.label == label), None)
    return "" if found is None else group_id(terminal_group(found))
