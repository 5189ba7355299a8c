"""Writing down what a person says, and saying at once what it settles."""

import tomllib
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from doorsheet.checks import Finding, reports_of, run_checks
from doorsheet.checks.check import known_code
from doorsheet.checks.examined import Report
from doorsheet.checks.reading_against_given import expectation
from doorsheet.checks.signal_readings import expected_signal
from doorsheet.checks.taken_readings import hands_off, read_of
from doorsheet.choice import UserError
from doorsheet.circuit.reading_words import show
from doorsheet.circuit.units import units_of
from doorsheet.electrics import solve
from doorsheet.job.action import Action, ReadingAsked
from doorsheet.job.sequence import is_wired, next_action
from doorsheet.logbook.edit import Change, EditError, edited
from doorsheet.logbook.heard import danger_in, stage_at, understood
from doorsheet.logbook.said import NotUnderstood, Wish
from doorsheet.logbook.saving import held, redraw, replace_text, text_of
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.meter import Taken
from doorsheet.mapping.problems import MappingError, shorten
from doorsheet.mapping.reading import ReadMapping, name_of, parse_mapping, read_mapping
from doorsheet.trade.language import in_full

__all__ = ["NoteError", "Noted", "note"]

_CLOCKS_S: Final = timedelta(hours=26)
"""A time further ahead than this is no other place's clock."""


class NoteError(UserError, ValueError):
    """Nothing was written; the text says why, a warning of danger first where the words hold one."""


@dataclass(frozen=True, slots=True)
class Noted:
    """What was written, and what follows from it."""

    written: str
    danger: str  # a warning, to be shown before all; "" for none
    told: tuple[str, ...]  # what it agrees with, and what it settles
    redrawn: tuple[str, ...]  # what was drawn anew, and of what that is not known
    contradicted: tuple[Finding, ...]  # come by it
    sheets: tuple[Path, ...]  # drawn anew
    next: Action | None
    text: str  # of the file, as it is now
    name: str  # of the file

    @property
    def lines(self) -> tuple[str, ...]:
        """What to show, in this order."""
        found = (f"{one.severity} {one.code}: {one.reason}\n  do: {one.do}" for one in self.contradicted)
        said = f"{self.name}: {self.written}" if self.name else self.written
        return (*filter(None, (self.danger,)), said, *self.told, *found, *self.redrawn)


def note(path: Path, words: str, at: datetime | None = None, remark: str = "") -> Noted:
    """Write what `words` say into the mapping at `path`, by the clock `at` (left out: now); say what follows.

    Raises:
        NoteError: words that can't be taken down, or a file that can't be changed in place.
        MappingError: the file is no mapping as it stands.
        OutputError: it can't be written, or another program is writing it.
    """
    danger = danger_in(words)
    try:
        with held(path):
            before = read_mapping(path)
            text = text_of(path)
            wish = understood(words, before, _moment(at), remark)
            after, new = _changed(text, wish, name_of(path))
            replace_text(path, text, new)
    except (NotUnderstood, EditError) as error:
        raise NoteError("\n".join(filter(None, (danger, str(error))))) from None
    sheets, unsure = redraw(path, new)
    was, now = _findings(before), _findings(after)
    settled, contradicted = _without(was, now), _without(now, was)
    agreed = _agreement(before, after, wish) if wish.taken and not danger else ()
    told = (
        *(line for line in agreed if line not in (_NOTHING, _OF_AC) or not contradicted),
        *_signs(before, after),
        *([] if danger else _settled(after, settled, contradicted)),
    )
    redrawn = (*(f"drawn anew: {sheet}" for sheet in sheets), *unsure)
    return Noted(
        wish.said, danger, told, redrawn, contradicted, sheets,
        next_action(after, _moment(at)), new, name_of(path),
    )  # fmt: skip


def _moment(at: datetime | None) -> datetime:
    now = datetime.now().replace(second=0, microsecond=0)
    if at is not None and at > now + _CLOCKS_S:
        raise NotUnderstood(
            f"{at:%Y-%m-%d %H:%M} is still to come by this computer's clock: nothing was written"
        )
    return at or now


def _changed(text: str, wish: Wish, name: str) -> tuple[ReadMapping, str]:
    """Return the mapping with a wish fulfilled, and its text; NotUnderstood where it would be none."""
    refused: list[str] = []
    for changes in _forms(wish.changes):
        new = edited(text, *changes)
        try:
            return parse_mapping(new, name), new
        except MappingError as error:
            refused.append(str(error))
    raise NotUnderstood(f"It can't stand in the file: {shorten(wish.said)}\n{refused[0]}")


def _forms(changes: tuple[Change, ...]) -> Iterator[tuple[Change, ...]]:
    """Yield changes with their value as text, and as the number or list that the text may be."""
    yield changes
    first, *rest = changes
    if isinstance(first.value, str) and not first.to_list:
        with suppress(tomllib.TOMLDecodeError):
            yield (first._replace(value=tomllib.loads(f"v = {first.value}")["v"]), *rest)


# ---- What follows ----


def _findings(read: ReadMapping) -> tuple[Finding, ...]:
    stages = ("bench", "final") if is_wired(read) else ()
    every = (finding for stage in stages for finding in run_checks(read, solve(read, stage)))
    return tuple(sorted(dict.fromkeys(every), key=lambda finding: finding.order))


def _without(these: tuple[Finding, ...], those: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings that the others lack: lines and figures may be others, the place not."""

    def place(finding: Finding) -> tuple[object, ...]:
        return finding.code, finding.drive, finding.control, finding.terminals

    known = set(map(place, those))
    return tuple({place(one): one for one in reversed(these) if place(one) not in known}.values())[::-1]


def _settled(after: ReadMapping, gone: tuple[Finding, ...], come: tuple[Finding, ...]) -> Iterator[str]:
    left = {(one.code, one.drive) for one in come}  # a finding that has only become another one of its kind
    off = {
        (drive, label)
        for report in (_reports(after, "final") if gone else ())
        for label in hands_off(report)
        for drive in ("", report.drive)
    }  # where nothing is asked for any more, whatever is known or not
    for one in (one for one in gone if (one.code, one.drive) not in left):
        if not off.isdisjoint((one.drive, label) for label in one.terminals):
            continue
        title, of = known_code(one.code).title, f" ({one.subject})" if one.subject else ""
        yield f"settled: {one.code} {title[:1].lower()}{title[1:]}{of}"


def _signs(before: ReadMapping, after: ReadMapping) -> Iterator[str]:
    known = {place: control.sign_v for place, control in _switched(before).items()}
    for place, control in _switched(after).items():
        was, volts = known.get(place), control.sign_v
        others = (one for at, one in _switched(before).items() if at[0] == place[0] and at != place)
        same = [one.sign_v for one in others if one.common == control.common and one.sign_v is not None]
        if volts is None or control.common is None or (was is not None and was * volts > 0):
            continue
        if any(volts * sign < 0 for sign in same):  # one of them is wrong: the check P102 says so
            continue
        plus, minus = (control.input, control.common)[:: 1 if volts > 0 else -1]
        output = control.output
        side = f"; the output's plus side, {output.plus}, goes to {plus}" if output and output.plus else ""
        yield f"known now: {plus} is positive, {minus} negative{side}"


def _switched(read: ReadMapping) -> dict[tuple[str, str], SwitchedControl]:
    every = ((drive, own.mapping.switched.items()) for drive, own in units_of(read))
    return {(drive, name): control for drive, controls in every for name, control in controls}


def _agreement(before: ReadMapping, after: ReadMapping, wish: Wish) -> Iterator[str]:
    """Yield whether a reading is what the mapping without it gives, and what it would mean if not."""
    taken = wish.taken
    assert taken is not None
    lines = [*_by_action(wish.action, taken)] if wish.action is not None else []
    if lines in ([], [_PLAUSIBLE]) and (wish.action is None or not before.mapping.done):
        # nobody follows a job here: it may be of another stage
        lines = [*_by_solution(before, wish, taken)] or lines
    yield from lines or [_OF_AC if taken.unit == "V AC" else _NOTHING]
    own = dict(units_of(after)).get(wish.drive, after).mapping
    old = next((old for old, new in own.replaced if new.line == taken.line), None)
    if old is not None:
        of = f" of {old.when:%Y-%m-%d %H:%M}" if old.when else ""
        yield f"the reading before it, {old.shown}{of}, stays as history"


def _by_action(action: Action, taken: Taken) -> Iterator[str]:
    """Yield what a reading means that the job asks for."""
    expect = next((trial.expect for trial in action.trials[::-1] if trial.unit), action.expect)
    turned = _turned(taken, action.asked.red) if isinstance(action.asked, ReadingAsked) else ""
    value = (-taken.value if turned else taken.value) * (1000 if taken.unit == "A" else 1)
    found = [one for one in action.outcomes if one.holds(value)]
    if found and found[0].right:
        known = any(map(str.isdigit, expect))
        yield f"agrees: expected {expect}{turned}" if known else _PLAUSIBLE
    elif found:  # of what kills that alone; else hands off first
        told = found[:1] if found[0].dangerous else sorted(found, key=lambda one: not one.stop)
        said = "\n  or: ".join(f"{one.meaning}\n  do: {one.do}" for one in told)
        yield f"disagrees: expected {expect}{turned}\n  it would mean: {said}"
    elif any(one.right for one in action.outcomes):
        yield f"disagrees: expected {expect}{turned}; no single mistake that was tried explains it"


def _turned(taken: Taken, red: str) -> str:
    """Return the leads that a figure to expect is for, where the reading was taken the other way round."""
    return "" if taken.red == red or not taken.black else f" with red on {taken.black}, black on {taken.red}"


def _reports(read: ReadMapping, stage: str) -> Iterator[Report]:
    """Yield what the checks of each drive look at, at a stage."""
    if is_wired(read):
        yield from reports_of(read, solve(read, stage))


def _by_solution(read: ReadMapping, wish: Wish, taken: Taken) -> Iterator[str]:
    """Yield what the network makes of a reading that nobody asked for, at this stage or in the end."""
    stages = dict.fromkeys((stage_at(read), "final"))
    every = (report for stage in stages for report in _reports(read, stage))
    for report in (one for one in every if one.drive == wish.drive):
        if lines := [*_of_signal(report, taken), *_of_volts(report, taken)]:
            yield from lines
            return


def _of_signal(report: Report, taken: Taken) -> Iterator[str]:
    speed, found = report.mapping.speed, expected_signal(report, taken)
    if found is not None:
        level, loose = found
        turned = speed is not None and taken.red == speed.common
        value = -taken.value if turned else taken.value
        good = level.low - loose <= value <= level.high + loose
        expected = show(level.low, level.high, level.unit) + (_turned(taken, taken.black) if turned else "")
        yield f"{'agrees' if good else 'disagrees'}: expected {expected}"


def _of_volts(report: Report, taken: Taken) -> Iterator[str]:
    """Yield what a reading in volts should be that isn't one of the signal, and what would explain it."""
    speed = report.mapping.speed
    if taken.unit != "V" or (speed is not None and speed.signal in (taken.red, taken.black)):
        return
    read = read_of(report, replace(taken, index=0))
    found = expectation(report, read)
    if found is not None:
        (expected, why), turned = found, _turned(taken, read.red)
        yield in_full(f"{'disagrees' if why else 'agrees'}: expected {expected}{turned}")
        if why:
            yield in_full(f"  {why}")


_PLAUSIBLE: Final = "plausible; nothing in the file says more closely what it should be"
_OF_AC: Final = "no control terminal has AC: is the meter on AC? Set it to DC volts and read again"
_NOTHING: Final = "nothing in the file says what it should be, so it is taken as it is"
