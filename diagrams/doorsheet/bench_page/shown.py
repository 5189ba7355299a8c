"""What the page shows, as plain values that become JSON.

Words and ids are made here, so that the page itself only lays out what it is told.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from doorsheet.bench_page.shown_action import UNITS, ShownAction, shown_action, standing
from doorsheet.checks import Finding, every_code
from doorsheet.checks.grouped import by_control, unknowns_of
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.electrics.figures import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.job.action import Action, Phase, ReadingAsked
from doorsheet.job.cautions import danger as danger_words
from doorsheet.job.sequence import Outlook, next_action, outlook
from doorsheet.mapping.meter import STATES
from doorsheet.mapping.problems import MappingError
from doorsheet.mapping.reading import ReadMapping
from doorsheet.output.svg import group_id, to_inline_svgs
from doorsheet.page.compose import PaperError
from doorsheet.sheet import Sheet, draw_text

__all__ = ["Shown", "ShownProblem", "own_fault", "shown", "shown_problems"]


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
    danger: str = field(default_factory=danger_words)
    # by unit: more than this may kill
    dangerous: dict[str, float] = field(default_factory=lambda: {"V": DANGEROUS_V, "V AC": DANGEROUS_AC_V})


def shown(read: ReadMapping, before: Shown | None = None) -> Iterator[Shown]:
    """Yield what the page shows of a mapping, at the stage of its next action: first and soon with the phases
    and the log that stood there `before`, then with its own.

    How far the job is takes every stage, solved; the next action only those that the job has come to.
    """
    action = next_action(read)
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
    ahead = outlook(read)
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
    for done in read.mapping.done:
        at = f", at the {done.stage} stage" if done.stage else ""
        what = titles.get((done.what, done.stage or "", done.drive or ""), done.what)
        put_off = f"put off, {done.put_off}" if done.put_off else ""
        words = ": ".join(filter(None, (f"{what}{at}", put_off, done.result)))
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
