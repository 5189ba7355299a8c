"""What the page shows, as plain values that become JSON (bench page room).

Words and ids are made here, so that the page itself only lays out what it is told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime

from doorsheet.bench_page.shown_action import UNITS, ShownAction, shown_action, standing
from doorsheet.checks import Finding, every_code
from doorsheet.checks.grouped import by_control, unknowns_of
from doorsheet.circuit.parts import Circuit, of_drive
from doorsheet.electrics.figures import DANGEROUS_AC_V, DANGEROUS_V
from doorsheet.job.action import Action, ReadingAsked
from doorsheet.job.cautions import danger as danger_words
from doorsheet.job.sequence import Outlook, next_action, outlook
from doorsheet.mapping.meter import STATES
from doorsheet.mapping.problems import MappingError, Problem
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


def _dangerous() -> dict[str, float]:
    return {"V": DANGEROUS_V, "V AC": DANGEROUS_AC_V}


@dataclass(frozen=True, slots=True)
class Shown:
    """Everything that a good file gives to show."""

    machine: str
    standing: str  # the caution that stands on every page
    parts: str
    phases: tuple[ShownPhase, ...]
    action: ShownAction
    sheets: tuple[str, ...]
    no_sheet: str  # why there is none
    count: str
    findings: tuple[ShownFinding, ...]
    unknowns: tuple[str, ...]  # what nobody wrote down, and where to find it
    waiting: tuple[str, ...]  # what else was put off, and why
    history: tuple[str, ...]  # what the file holds, the newest first
    terminals: tuple[str, ...]
    readings: dict[str, tuple[str, ...]]  # by a wire's id: what was read at it
    states: tuple[str, ...] = STATES
    units: tuple[str, ...] = UNITS
    danger: str = field(default_factory=danger_words)
    dangerous: dict[str, float] = field(default_factory=_dangerous)  # by unit: more than this may kill


def shown(read: ReadMapping, before: Shown | None = None) -> Iterator[Shown]:
    """Yield what the page shows of a mapping, at the stage of its next action: first and soon with the phases
    and the log that stood there `before`, then with its own.

    How far the job is takes every stage, solved; the next action only those that the job has come to.
    """
    action = next_action(read)
    stage = action.stage if action is not None else "final"
    sheet, no_sheet = _sheet(read, stage)
    circuit = sheet.circuit if sheet is not None else None
    first = Shown(
        machine=read.mapping.machine,
        standing=standing(read),
        parts="; ".join((*(own.drive.name for _, own in read.mapping.units()), read.mapping.controller.name)),
        phases=_moved_on(before, action),
        action=shown_action(read, action, circuit),
        sheets=to_inline_svgs(*sheet.pages) if sheet is not None else (),
        no_sheet=no_sheet,
        count=_count(sheet.findings) if sheet is not None else "",
        findings=tuple(_findings(sheet)) if sheet is not None else (),
        unknowns=tuple(_unknowns(sheet)) if sheet is not None else (),
        waiting=before.waiting if before is not None else (),
        history=before.history if before is not None else (),
        terminals=_terminals(circuit, action),
        readings=_readings(read, circuit),
    )
    yield first
    ahead = outlook(read)
    waiting = tuple(f"{of_drive(one.drive, one.title)}: {one.put_off}" for one in ahead.put_off)
    yield replace(first, phases=tuple(_phases(ahead)), waiting=waiting, history=tuple(_history(read, ahead)))


def shown_problems(error: MappingError) -> tuple[ShownProblem, ...]:
    """Return each problem with its line."""
    return tuple(_problem(problem) for problem in error.problems)


def own_fault(file: str, error: Exception) -> ShownProblem:
    """Return a fault that is ours, so that nobody looks for it in the wiring."""
    reason = f"a fault of Doorsheet itself, not of your mapping ({type(error).__name__}: {error})"
    return ShownProblem(file, reason, "please report it with the mapping; it says nothing about the wiring")


def _problem(problem: Problem) -> ShownProblem:
    where = ", ".join(filter(None, (f"line {problem.line}" if problem.line else "", problem.where)))
    reason = f"{problem.reason}; wrote {problem.wrote}" if problem.wrote else problem.reason
    return ShownProblem(where or problem.file, reason, problem.do)


def _sheet(read: ReadMapping, stage: str) -> tuple[Sheet | None, str]:
    """Return the sheet of a stage, or why there is none."""
    try:
        return draw_text(read.source.text, stage, name=read.source.name), ""
    except MappingError as error:
        return None, "; ".join(f"{problem.reason}: {problem.do}" for problem in error.problems)
    except PaperError as error:
        return None, str(error)


def _phases(ahead: Outlook) -> Iterator[ShownPhase]:
    for phase, done, of in ahead.progress:
        if of:
            now = ahead.next is not None and ahead.next.phase is phase
            words = f"{phase.value} {done + 1} of {of}" if now and of > 1 else phase.value
            words = f"{words} {done}/{of}" if not now and 0 < done < of else words
            yield ShownPhase(phase.value, words, done == of, now)


def _moved_on(before: Shown | None, action: Action | None) -> tuple[ShownPhase, ...]:
    """Return the phases as they stood, the one of an action marked."""
    now = action.phase.value if action is not None else ""
    return tuple(replace(one, now=one.name == now) for one in before.phases) if before is not None else ()


def _count(findings: tuple[Finding, ...]) -> str:
    """Say how many findings there are of each kind: "no stop, 1 caution, 2 notes"."""
    found = Counter(finding.severity.value for finding in findings)
    return ", ".join(
        f"{found[kind] or 'no'} {kind}{'s' * (found[kind] > 1)}" for kind in ("stop", "caution", "note")
    )


def _findings(sheet: Sheet) -> Iterator[ShownFinding]:
    """Yield the findings worst first, what is said of several once; what nobody wrote down is apart."""
    groups = by_control(sheet.findings)
    each = [(told, subject) for subject, own in groups.items() for told in own]
    for told, subject in sorted(each, key=lambda entry: entry[0].finding.order):
        finding = told.finding
        line = f"line {finding.line}" if finding.line and len(told.places) == 1 else ""
        place = ", ".join(filter(None, (subject, line)))
        title = every_code()[finding.code].title
        yield ShownFinding(
            finding.severity.value, finding.code, title, place, finding.reason, finding.do, told.wires
        )


def _unknowns(sheet: Sheet) -> Iterator[str]:
    for drive, one in unknowns_of(sheet.findings):
        yield f"{of_drive(drive, one.what)}: {one.where}"


# ---- what was written down ----


def _history(read: ReadMapping, ahead: Outlook) -> Iterator[str]:
    """Yield readings and the log, the newest first; what has no day comes last, as the file has it."""
    titles = {action.place: action.title for action in ahead.actions}
    told: list[tuple[datetime, str]] = []
    for drive, own in read.mapping.units():
        for taken in own.every_taken:
            old = " Replaced since." if any(taken is before for before, _ in own.replaced) else ""
            told.append(
                (taken.when or datetime.min, of_drive(drive, f"{replace(taken, when=None).line}.{old}"))
            )
    for done in read.mapping.done:
        at = f", at the {done.stage} stage" if done.stage else ""
        what = titles.get((done.what, done.stage or "", done.drive or ""), done.what)
        put_off = f"put off, {done.put_off}" if done.put_off else ""
        words = ": ".join(filter(None, (f"{what}{at}", put_off, done.result)))
        told.append((done.when or datetime.min, of_drive(done.drive or "", f"{words}{_aside(done.remark)}.")))
    told.reverse()  # of the same minute too
    for when, words in sorted(told, key=lambda entry: entry[0], reverse=True):
        yield words if when == datetime.min else f"{when:%Y-%m-%d %H:%M} {words}"


def _aside(remark: str | None) -> str:
    return f" ({remark})" if remark else ""


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
