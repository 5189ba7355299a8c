"""The next action as the page shows it: its danger, its lines, what it asks for (bench page room)."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final, Literal, assert_never

from doorsheet.circuit.parts import Circuit
from doorsheet.circuit.units import discharge_of
from doorsheet.job.action import (
    Action,
    DoneAsked,
    KeyAsked,
    Outcome,
    ReadingAsked,
    SettingAsked,
    SpeedAsked,
    put_off_words,
)
from doorsheet.job.cautions import danger, shock
from doorsheet.job.done import judge, why_not
from doorsheet.mapping.meter import STATES
from doorsheet.mapping.reading import ReadMapping
from doorsheet.output.svg import group_id
from doorsheet.page.schematic import terminal_group

__all__ = ["UNITS", "ShownAction", "ShownAsked", "asked", "shown_action", "standing"]

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


def shown_action(read: ReadMapping, action: Action | None, circuit: Circuit | None) -> ShownAction:
    """Return the next action of a mapping, None when all is done, and what of the drawing it is about."""
    if action is None:
        return ShownAction("", "Everything is done", (standing(read),), (), (), "", ShownAsked("nothing"))
    of = action.asked
    red, black = (of.red, of.black) if isinstance(of, ReadingAsked) else ("", "")
    return ShownAction(
        drive=action.drive,
        title=f"{action.drive}: {action.title}" if action.drive else action.title,
        cautions=_cautions(read, action),
        lines=tuple(ShownLine(trial.do, trial.expect) for trial in action.trials),
        outcomes=tuple(_outcomes(action)),
        unlocks=action.unlocks,
        asked=replace(asked(action), later=_later(read, action)),
        put_off=f"Put off before: {action.put_off}. What is left waits for it." if action.put_off else "",
        red_id=_terminal_id(circuit, red, action.drive),
        black_id=_terminal_id(circuit, black, action.drive),
        wires=_wires(circuit, action),
    )


def _later(read: ReadMapping, action: Action) -> str:
    """Return how it is noted that an action can't be done now; "" where nothing may go on without it."""
    if why_not(action, judge(read, action)):
        return ""
    return put_off_words(replace(action, drive=""), "")


def standing(read: ReadMapping) -> str:
    """Return the caution that stands on every page."""
    return shock(discharge_of(read.mapping), bool(read.mapping.drives))


def _cautions(read: ReadMapping, action: Action) -> tuple[str, ...]:
    """Return the danger of this very action, without what stands on the page anyhow unless that is all."""
    general = standing(read)
    return tuple(one for one in action.cautions if one not in (danger(), general)) or (general,)


def asked(action: Action) -> ShownAsked:
    """Return what the page asks for after an action, and how the answer is put into the words of a note."""
    done = f"done {action.id} at {action.stage}"
    match action.asked:
        case ReadingAsked(red, black, state, unit, command):
            share = "" if command is None else f"{command * 100:g}"
            return ShownAsked("reading", red, black, state, unit, share)
        case KeyAsked(path, example) if example:
            key = ".".join(path)
            hint = "written as " + example.strip('"')
            return ShownAsked("words", label=key, hint=hint, before=f"{key}: ", unknown=f"{done}: unknown")
        case KeyAsked():
            return ShownAsked(
                "nothing", hint="Mend it, and write into the file what has changed; the page follows."
            )
        case SpeedAsked(None):
            return ShownAsked("words", label="commanded and real speed", hint="for example 6000 gives 5920",
                              before="speed ", after=" rpm")  # fmt: skip
        case SpeedAsked(commanded):
            return ShownAsked(
                "words", label="real speed, rpm", before=f"speed {commanded:g} gives ", after=" rpm"
            )
        case SettingAsked(number):
            return ShownAsked("words", label=f"{number} reads", before=f"setting {number} reads ")
        case DoneAsked(unit):
            label = f"what came of it{f', {unit}' if unit else ', if anything'}"
            return ShownAsked("words", label=label, before=done, needed=False, failed=f"{done}: failed")
        case _:
            assert_never(action.asked)


def _outcomes(action: Action) -> Iterator[ShownOutcome]:
    """Yield what each figure would mean, figures that mean the same in one."""
    for _, group in groupby(action.outcomes, lambda one: (one.meaning, one.do)):
        same = tuple(group)
        first = same[0]
        words = f"{first.meaning[:1].upper()}{first.meaning[1:]}. {first.do}"
        spans = tuple((one.low, one.high) for one in same)
        yield ShownOutcome(" or ".join(map(_figures, same)), words, spans, first.right, first.stop)


def _figures(outcome: Outcome) -> str:
    """Return the figures of an outcome, the last one and its unit on one line."""
    return outcome.figures.replace(f" {outcome.unit}", f"\N{NO-BREAK SPACE}{outcome.unit}")


def _wires(circuit: Circuit | None, action: Action) -> tuple[str, ...]:
    """Return the ids of the wires that an action is about: at the red lead, or those of its controls."""
    if circuit is None:
        return ()
    red = action.asked.red if isinstance(action.asked, ReadingAsked) else None
    return tuple(
        group_id(f"wire-{wire.number}")
        for wire in circuit.wires
        if wire.drive == action.drive
        and (wire.far.label == red if red is not None else set(wire.controls) & set(action.controls))
    )


def _terminal_id(circuit: Circuit | None, label: str, drive: str) -> str:
    """Return the id of a terminal's group: the drive's, or where it has none of that label another's."""
    if circuit is None or not label:
        return ""
    on_strip = [entry.terminal for entry in circuit.strip if entry.terminal.drive == drive]
    others = [pin.terminal for part in circuit.parts for pin in part.pins]
    found = next((one for one in (*on_strip, *others) if one.label == label), None)
    return "" if found is None else group_id(terminal_group(found))
