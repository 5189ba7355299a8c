"""One thing to do on a machine: its lines, what to expect and what else it may mean, how it is noted."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from math import inf
from typing import Final, TypeAlias, assert_never

from doorsheet.circuit.reading_words import range_text
from doorsheet.trade.language import tr, tr_later

__all__ = [
    "BACK_ON", "BLANK_NOTE", "DEAD", "DEAD_AFTER_MA", "Action", "Asked", "DoneAsked", "KeyAsked", "Outcome",
    "Phase", "Power", "ReadingAsked", "SettingAsked", "SpeedAsked", "Trial", "live", "note_words",
    "put_off_words",
]  # fmt: skip

DEAD: Final = tr_later("Power off, lock off, wait, prove dead.")
"""What comes before hands go in again."""

DEAD_AFTER_MA: Final = tr_later(
    "Power off, lock off, wait. Red lead back to the volts socket, meter to V: prove dead."
)
"""The same with the meter set to milliamperes: its socket for those is a short across any volts."""
BACK_ON: Final = tr_later("Wires back on, all commands off.")
"""What follows that."""


class Power(StrEnum):
    """Whether the drive has power."""

    OFF = "off"
    ON = "on"


@dataclass(frozen=True, slots=True)
class Trial:
    """One line: what to do, what to expect, the unit of what is measured ("" for words), the power.

    `good` are the figures that count as expected (None: nobody can tell); more than `bears` destroys what the
    wires go to next (`usually`: nobody gave that bound); the mapping keeps the figure at `key`.  `either`: of
    these words one is to be noted.
    """

    do: str
    expect: str
    unit: str = ""
    power: Power = Power.OFF
    good: tuple[float, float] | None = None
    bears: float = inf
    usually: bool = False
    key: tuple[str, ...] = ()
    rests: bool = False  # it only leaves all at rest, after what the action is for
    either: tuple[str, ...] = ()


def live(do: str, expect: str, unit: str = "", rests: bool = False) -> Trial:
    """Return a line that needs the drive's power."""
    return Trial(do, expect, unit, Power.ON, rests=rests)


REWIRE: Final = "rewire:"
"""How the id of an action begins that wires controls anew; their names follow, with "+" between them."""


class Phase(StrEnum):
    """The parts of the job, in its order; those from DEAD to TEST come back at every stage."""

    IDENTIFY = "identify"
    DEAD = "prove dead"
    BENCH = "wire the bench"
    STOP = "emergency stop"
    READ = "read"
    MOVE = "move"
    TEST = "test"
    SPEED = "speed"
    SETTINGS = "settings"
    RECORD = "record"


@dataclass(frozen=True, slots=True)
class KeyAsked:
    """A key of the mapping: its path below the drive's own tables, a value as an example."""

    path: tuple[str, ...]
    example: str


@dataclass(frozen=True, slots=True)
class ReadingAsked:
    """A meter's figure: where the leads stand, at which state and command, in V or mA.

    `kept`: it belongs into the mapping's readings; else into the log alone, being of this stage only.
    `sign_open`: either sign may be right, and which it is decides something.
    """

    red: str
    black: str
    state: str
    unit: str
    command: float | None = None  # share of full command
    kept: bool = True
    sign_open: bool = False


@dataclass(frozen=True, slots=True)
class DoneAsked:
    """That it was done and came out as expected; perhaps a figure, in `unit`."""

    unit: str = ""


@dataclass(frozen=True, slots=True)
class SpeedAsked:
    """The real speed, rpm, at a commanded one; None where nobody knows what full speed is: then the `nth`."""

    commanded_rpm: float | None
    nth: int


@dataclass(frozen=True, slots=True)
class SettingAsked:
    """What a setting of the drive, by its number, reads back."""

    number: str


Asked: TypeAlias = KeyAsked | ReadingAsked | DoneAsked | SpeedAsked | SettingAsked
"""The kind of answer that an action wants."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a figure would mean, from `low` to `high` in `unit` (None: no end there), and what to do then.

    `right`: as expected.  `stop`: it may kill or move the motor: hands off first, then think.
    """

    low: float | None
    high: float | None
    unit: str
    meaning: str
    do: str
    right: bool = False
    stop: bool = False
    dangerous: bool = False  # what no control circuit has: mains may be on it

    @property
    def figures(self) -> str:
        """The figures in words: "−0.2 to 0.6 V", "above 60 V"."""
        low, high = self.low, self.high
        if low is not None and high is not None:
            return f"{range_text(low, high)} {self.unit}"
        end = high if low is None else low
        if end is None:
            return tr("anything")
        figure = f"{end:g} {self.unit}".replace("-", "−")
        return tr("below {figure}", figure=figure) if low is None else tr("above {figure}", figure=figure)

    def holds(self, value: float) -> bool:
        """Whether a figure, in `unit`, is one of this outcome."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


@dataclass(frozen=True)
class Action:
    """One action: what is done line by line, at one stage, of one drive ("" for a single one).

    `stage` is named as `draw --stage` takes it; the log names it by `id`, `stage` and `drive`.
    """

    id: str
    phase: Phase
    stage: str
    drive: str
    title: str
    trials: tuple[Trial, ...]
    asked: Asked = DoneAsked()
    cautions: tuple[str, ...] = ()
    unlocks: str = ""
    controls: tuple[str, ...] = ()  # that it is about
    moves: tuple[str, ...] = ()  # controls that its stage takes to the controller
    wires: tuple[str, ...] = ()  # that it fits or moves, as the log keeps them
    waits: tuple[str, ...] = ()  # before anything is touched, as the drives have it printed on them
    since: int = -1  # what the log has up to this entry doesn't count: the wires were others
    again: tuple[int, ...] = ()  # entries of the log that only say again that it is done
    never: bool = False  # that it was never to be done: what it is about came later
    gone: bool = False  # that it can't be done again: what it is about stands elsewhere since
    put_off: str = ""  # why it could not be done when it was its turn
    holds_up: Phase | None = None  # of what is looked up: what waits until somebody has even looked
    clips: str = ""  # how the meter stands for it, in words
    in_ma: bool = False  # whether it leaves the meter so, set to milliamperes
    mends: bool = False  # what a finding stops, before anything else
    weigh: Callable[[], Iterable[Outcome]] = field(default=tuple, compare=False, repr=False)
    late: Callable[[], Iterable[Trial]] = field(default=tuple, compare=False, repr=False)
    closing: int = 0  # lines that come after the late ones

    @property
    def place(self) -> tuple[str, str, str]:
        """What tells it from every other action of the job: id, stage, drive."""
        return self.id, self.stage, self.drive

    @property
    def power(self) -> Power:
        """ON as soon as one of its lines needs power."""
        return Power.ON if any(trial.power is Power.ON for trial in self.trials) else Power.OFF

    @property
    def expect(self) -> str:
        """What to expect in the end, before all is at rest; each line has its own."""
        return next(line.expect for line in self.trials[::-1] if not line.rests or line is self.trials[0])

    @property
    def choices(self) -> tuple[str, ...]:
        """Words of which one is noted when it is done."""
        return tuple(words for trial in self.trials for words in trial.either)

    @property
    def wanted(self) -> tuple[Trial, ...]:
        """The lines of which each has to have its figure: none where one says all, or nobody can tell."""
        units = {trial.unit for trial in self.trials if trial.good is not None}
        every = tuple(trial for trial in self.trials if trial.unit in units)
        return every if len(every) > 1 else ()

    @property
    def units(self) -> tuple[str, ...]:
        """The unit of each figure that is noted when it is done."""
        last = (self.asked.unit,) if isinstance(self.asked, DoneAsked) and self.asked.unit else ()
        return tuple(trial.unit for trial in self.wanted) or last

    @cached_property
    def lines(self) -> tuple[Trial, ...]:
        """Its lines, with the late ones, which take so long to work out that only who reads them has them."""
        at = len(self.trials) - self.closing
        return (*self.trials[:at], *self.late(), *self.trials[at:])

    @cached_property
    def outcomes(self) -> tuple[Outcome, ...]:
        """What each result would mean: what may kill first, then what is right, then what is wrong."""
        return tuple(self.weigh())


BLANK_NOTE: Final = "___"
"""What a person fills in."""


def note_words(action: Action) -> tuple[str, ...]:
    """Return what a person notes after an action; several where there is a choice, none for a mending.

    >>> note_words(Action("move:jog", Phase.MOVE, "jog", "pump-1", "Jog", ()))
    ('pump-1: done move:jog',)
    """
    if action.mends:
        return ()
    of = f"{action.drive}: " if action.drive else ""
    return tuple(f"{of}{words}" for words in _words(action))


def put_off_words(action: Action, why: str = BLANK_NOTE) -> str:
    """Return what a person notes who can't do an action now; whether it may wait, `put_off` says."""
    of = f"{action.drive}: " if action.drive else ""
    return f"{of}can't do {action.id} at {action.stage} now: {why}"


def _words(action: Action) -> tuple[str, ...]:
    match action.asked:
        case KeyAsked(path, example):
            value = example.strip('"')
            return f"{'.'.join(path)}: {value}", f"done {action.id}: not known"
        case ReadingAsked(red, black, state, unit, command):
            at = "" if command is None else f" at {command * 100:g} %"
            return (f"red on {red}, black on {black}: {BLANK_NOTE} {unit} {state}{at}",)
        case SpeedAsked(commanded):
            said = f"{commanded:.0f}" if commanded is not None else BLANK_NOTE
            return (f"speed {said} gives {BLANK_NOTE} rpm",)
        case SettingAsked(number):
            return (f"setting {number} reads {BLANK_NOTE}",)
        case DoneAsked():
            figures = ", ".join(f"{BLANK_NOTE} {unit}" for unit in action.units)
            lines = [f"done {action.id}{words and f': {words}'}" for words in action.choices or (figures,)]
            return (*lines, f"done {action.id}: failed, ...")
        case _:
            assert_never(action.asked)
