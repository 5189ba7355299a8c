"""The next action as the page shows it: its danger, its lines, what it asks for."""

from dataclasses import dataclass, replace
from functools import partial
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
from doorsheet.trade.language import capital

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
        lines=tuple(ShownLine(trial.do, trial.expect) for trial in action.trials),
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
        case DoneAsked(unit):
            label = f"what came of it{f', {unit}' if unit else ', if anything'}"
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
