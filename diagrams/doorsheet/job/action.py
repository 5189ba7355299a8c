"""One thing to do on a machine, what to expect of it, and what each result would mean (job room)."""

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeAlias

from doorsheet.circuit.reading_words import range_text
from doorsheet.job.trial import Power, Trial
from doorsheet.trade.language import tr

__all__ = [
    "Action", "Asked", "DoneAsked", "KeyAsked", "Outcome", "Phase", "Power", "ReadingAsked", "SettingAsked",
    "SpeedAsked",
]  # fmt: skip


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
    """

    red: str
    black: str
    state: str
    unit: str
    command: float | None = None  # share of full command
    kept: bool = True


@dataclass(frozen=True, slots=True)
class DoneAsked:
    """That it was done and came out as expected; perhaps a figure, in `unit`."""

    unit: str = ""


@dataclass(frozen=True, slots=True)
class SpeedAsked:
    """The real speed, rpm, at a commanded one (None: nobody knows what full speed is)."""

    commanded_rpm: float | None


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
        if self.low is None or self.high is None:
            end = self.high if self.low is None else self.low
            if end is None:
                return tr("anything")
            figure = f"{end:g} {self.unit}".replace("-", "−")
            return (
                tr("below {figure}", figure=figure)
                if self.low is None
                else tr("above {figure}", figure=figure)
            )
        return f"{range_text(self.low, self.high)} {self.unit}"

    def holds(self, value: float) -> bool:
        """Whether a figure, in `unit`, is one of this outcome."""
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


def _nothing() -> tuple[Outcome, ...]:
    return ()


@dataclass(frozen=True, slots=True)
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
    put_off: str = ""  # why it could not be done when it was its turn
    weigh: Callable[[], tuple[Outcome, ...]] = field(default=_nothing, compare=False, repr=False)
    weigh_right: Callable[[], tuple[Outcome, ...]] = field(default=_nothing, compare=False, repr=False)

    @property
    def place(self) -> tuple[str, str, str]:
        """What tells it from every other action of the job: id, stage, drive."""
        return self.id, self.stage, self.drive

    @property
    def power(self) -> Power:
        """ON as soon as one of its lines needs power."""
        return Power.ON if any(trial.power is Power.ON for trial in self.trials) else Power.OFF

    @property
    def do(self) -> tuple[str, ...]:
        """What to do, line by line."""
        return tuple(trial.do for trial in self.trials)

    @property
    def expect(self) -> str:
        """What to expect in the end; each line has its own."""
        return self.trials[-1].expect

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """What each result would mean: what may kill first, then what is right, then what is wrong."""
        return self.weigh()

    @property
    def right(self) -> tuple[Outcome, ...]:
        """Of the outcomes those that are right, which takes no mistakes to be tried."""
        return self.weigh_right()
