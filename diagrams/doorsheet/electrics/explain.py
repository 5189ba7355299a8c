"""What would explain a figure that someone measured: the solution run the other way.

Each single mistake is put in and solved; those that give the figure are named, likeliest first.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache, cached_property
from itertools import combinations, islice
from typing import Final, NamedTuple, TypeAlias

from doorsheet.circuit.parts import BlockKind, PartKind, Terminal, Use, of_drive
from doorsheet.electrics.events import REST, Event, Exchanged, Fault, Opened, Reversed, Touching, Unfitted
from doorsheet.electrics.solved import Level, Solved

__all__ = ["Explainer", "Measured", "agrees", "faults", "is_comparable"]

_MOST: Final = 3  # more explanations than this help nobody

_MOST_UNEXPLAINED: Final = 4
"""Where so many readings have no single mistake as their reason, more than one thing is wrong, or it was
another drive that was measured (chosen here, no source)."""

_WIDE_V: Final = 4.0  # a mistake that leaves the figure anywhere within more than this, V, explains nothing


_NARROW_V: Final = 1.0  # within less than this, V, a figure is told, whatever nobody gave


class Measured(NamedTuple):
    """A reading: its leads, the state, volts; it agrees with what is within `slack` of it."""

    red: Terminal
    black: Terminal
    event: Event
    volts: float
    slack: float


class _Guess(NamedTuple):
    """One mistake: its words, and what it makes of the state and of the installation."""

    words: str
    event: Event
    fault: Fault | None = None
    sign: int = 1


_Faults: TypeAlias = Iterator[tuple[str, Fault]]


def is_comparable(level: Level) -> bool:
    """Whether a reading can agree or disagree with a level.

    A narrow range counts though something floats, where a supply that nobody knows is nothing.
    """
    if level.conflict or level.missing or level.asked:
        return False
    return not level.floating or level.high - level.low < _NARROW_V


def agrees(level: Level, volts: float, slack: float) -> bool:
    """Whether a reading lies within a level, give or take `slack`."""
    return level.low - slack <= volts <= level.high + slack


class Explainer:
    """The readings of an installation, and what single mistakes would explain one of them.

    A mistake that one reading contradicts explains no other, and isn't put in again.
    """

    def __init__(self, solved: Solved, known: Iterable[Measured] = ()) -> None:
        """Take the readings that a mistake must not contradict; they are looked at when one disagrees."""
        self._solved = solved
        self._given = known
        self._refuted: dict[Fault | None, Measured] = {}
        self._unexplained = 0
        self._against = cache(self._contradicting)

    @cached_property
    def _known(self) -> tuple[Measured, ...]:
        return tuple(dict.fromkeys(self._given))

    @cached_property
    def _slack(self) -> float:
        """The loosest reading's: the supply of one, which may be out, is that of all."""
        return max((one.slack for one in self._known), default=0.0)

    def explain(self, reading: Measured) -> tuple[str, ...] | None:
        """Return in words the single mistakes that give a reading, likeliest first, three at most.

        None where it is not looked for any more: several others had no single mistake as their reason.

        What is likely: a slip with meter or state before a wrong connection, open before touching ("opens
        are likelier than any other failure", a public textbook on fail-safe design; the rest is common
        practice).
        """
        if self._unexplained == _MOST_UNEXPLAINED:
            return None
        found: dict[str, None] = {}
        loose: dict[str, None] = {}
        perhaps: dict[str, None] = {}
        for guess in _guesses(self._solved, reading):
            if self._refuted.get(guess.fault, reading) != reading:
                continue
            level = self._solved.volts(reading.red, reading.black, guess.event, guess.fault)
            if guess.fault is not None and not self._fits(level, reading):
                self._refuted[guess.fault] = reading
            is_loose = isinstance(guess.fault, Opened | Unfitted) and _is_loose(level, reading)
            unknown = _may_give(level, reading, guess.sign)
            if not (is_loose or unknown or _gives(level, reading, guess.sign)):
                continue
            if any(other[:3] != reading[:3] for other in self._against(guess.fault)):
                continue
            if unknown:
                perhaps[f"perhaps {guess.words} ({unknown} is not known)"] = None
            elif is_loose:
                loose[f"{guess.words}, and hardly anything holds the meter's figure"] = None
            else:
                found[guess.words] = None
            if len(found) == _MOST:
                break
        self._unexplained += not (found or loose or perhaps)
        return tuple({**found, **perhaps} or loose)[:_MOST]

    def _contradicting(self, fault: Fault | None) -> tuple[Measured, ...]:
        """Return the first readings that contradict a mistake; a slip was one of a single reading.

        One of the same thing, taken before it broke, says nothing against it.
        """
        volts = self._solved.volts
        against = (
            other
            for other in (self._known if fault is not None else ())
            if not self._fits(volts(other.red, other.black, other.event, fault), other)
        )
        return tuple(islice(against, 3))

    def _fits(self, level: Level, reading: Measured) -> bool:
        slack = max(reading.slack, self._slack)
        return not is_comparable(level) or agrees(level, reading.volts, slack)


def _is_loose(level: Level, reading: Measured) -> bool:
    """Whether a mistake leaves the figure to whatever is near."""
    wide = level.high - level.low > _WIDE_V and not level.conflict
    return level.floating or (wide and agrees(level, reading.volts, reading.slack))


def _may_give(level: Level, reading: Measured, sign: int) -> str:
    """Return which unknown lets a mistake give a figure, or another; "" where it doesn't, or surely does."""
    told = level.floating or level.conflict or level.high - level.low < _NARROW_V
    if told or not agrees(level, sign * reading.volts, reading.slack):
        return ""
    return next(iter((*(fact.name for fact in level.missing), *level.asked)), "")


def _gives(level: Level, reading: Measured, sign: int) -> bool:
    width = level.high - level.low
    if level.conflict or width > _WIDE_V or not (level.is_known or width < _NARROW_V):
        return False
    return agrees(level, sign * reading.volts, reading.slack)


def faults(solved: Solved, red: Terminal, black: Terminal) -> tuple[Fault, ...]:
    """Return the single faults that are tried for a reading of two terminals, likeliest first."""
    reading = Measured(red, black, REST, 0.0, 0.0)
    found = _faults(solved, reading, tuple(_concerned(solved, reading)))
    return tuple(dict.fromkeys(fault for _, fault in found))


def _guesses(solved: Solved, reading: Measured) -> Iterator[_Guess]:
    """Yield the mistakes that are tried, likeliest first."""
    uses, event = tuple(_concerned(solved, reading)), reading.event
    for use in uses:
        part = solved.installation.parts.get(use)
        what = "switch" if part is None or part.kind is PartKind.SWITCH else "output"
        word = "open" if use in event.closed else "closed"
        yield _Guess(f"the {what} of {_called(use)} was {word}", replace(event, closed=event.closed ^ {use}))
    if abs(reading.volts) > reading.slack:
        yield _Guess("the leads were exchanged", event, sign=-1)
    yield from (_Guess(words, event, fault) for words, fault in _faults(solved, reading, uses))


def _faults(solved: Solved, reading: Measured, uses: tuple[Use, ...]) -> _Faults:
    yield from _outputs(solved, uses)
    yield from _wires(solved, {reading.red.drive, reading.black.drive})
    yield from _unfitted(solved)
    yield from _touching(solved, reading)


def _called(use: Use) -> str:
    return of_drive(use[0], use[1].replace("-", " "))


def _concerned(solved: Solved, reading: Measured) -> Iterator[Use]:
    points = {reading.red, reading.black}
    rest: list[Use] = []
    for use, control in solved.installation.controls.items():
        if Terminal(BlockKind.DRIVE, control.input, use[0]) in points:
            yield use
        elif control.common and Terminal(BlockKind.DRIVE, control.common, use[0]) in points:
            rest.append(use)
    yield from rest


def _outputs(solved: Solved, uses: tuple[Use, ...]) -> _Faults:
    for use in uses:
        part = solved.installation.parts.get(use)
        if part is not None and part.kind in (PartKind.ISOLATED, PartKind.OPEN_COLLECTOR):
            words = f"the output of {_called(use)} is connected the wrong way round"
            yield f"{words}, and its protection diode conducts", Reversed(use, diode=True)
            yield f"{words}, and breaks down", Reversed(use)


def _wires(solved: Solved, drives: set[str]) -> _Faults:
    wires = [wire for wire in solved.circuit.wires if wire.drive in drives]
    for wire in wires:
        joined = solved.installation.carried(wire.number)
        yield f"wire {wire.number} ({wire.job}) is open or off", Opened(wire.number, joined=joined)
    at_drive = [wire for wire in wires if wire.far.block is BlockKind.DRIVE]  # not at a part on the way
    for one, other in combinations(at_drive, 2):
        if (one.control == other.control or one.role == other.role) and one.far != other.far:
            words = f"wires {one.number} and {other.number} are exchanged at the drive"
            yield words, Exchanged(one.number, other.number)


def _unfitted(solved: Solved) -> _Faults:
    for link in solved.circuit.links:
        yield f"the link from {link.a} to {link.b} isn't there", Unfitted(("link", link.a, link.b))
    for part in solved.circuit.parts:
        if part.kind is PartKind.RESISTOR:
            key = ("resistor", part.drive, part.name)
            yield f"{part.name} ({part.caption}) isn't fitted", Unfitted(key)


def _touching(solved: Solved, reading: Measured) -> _Faults:
    strip = [entry.terminal for entry in solved.circuit.strip]
    leads = (reading.red, reading.black)
    pairs = [(one, other) for one in leads for other in strip if other.drive == one.drive]
    pairs = [(one, other) for one, other in pairs if other not in leads]
    for one, other in (*pairs, leads) if reading.event == REST else pairs:
        yield f"{one} and {other} touch, or a link joins them", Touching(one, other)
