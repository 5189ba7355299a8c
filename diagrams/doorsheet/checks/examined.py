"""What a check is given and how it says what it found.

A finding's severity and source come with its code, its file and line from the mapping: a check only says
what and why.
"""

from collections.abc import Callable, Iterable, Iterator
from copy import copy
from dataclasses import replace
from functools import wraps
from typing import Final, Literal, NamedTuple, TypeAlias, TypeVar, cast

from doorsheet.checks.finding import Code, Figure, Finding, Unknown
from doorsheet.circuit.parts import BlockKind, Circuit, Stage, Terminal, Use, Wire
from doorsheet.circuit.reading_words import listed, show_value, volts
from doorsheet.electrics import Level, Solved
from doorsheet.electrics.events import REST, Controller, Event, alone
from doorsheet.electrics.fact import Fact
from doorsheet.mapping.controls import CONTACT_NAMES, SWITCHED_NAMES, Output, SwitchedControl
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.language import in_full, on_paper

__all__ = [
    "MOVES", "RANK", "Driven", "Figure", "Found", "Path", "Report", "Say", "Shown", "Unknown",
    "called", "computed", "exceeds", "listed", "of_fact", "of_level", "once",
]  # fmt: skip

Path: TypeAlias = tuple[str | int, ...]  # keys that lead to a place in the mapping
Found: TypeAlias = Iterator[Finding]  # what a check yields
Shown: TypeAlias = Figure | Fact  # a figure that words can print, with where it is from
Say: TypeAlias = Callable[[str, str], Finding]  # takes the reason and what to do

MOVES: Final = ("run-forward", "run-reverse", "jog")  # controls that make the motor turn

RANK: Final = {name: rank for rank, name in enumerate((*SWITCHED_NAMES, "speed", *CONTACT_NAMES))}
"""Places of the controls in an order of ours: moving tables in the file moves no finding."""


class Driven(NamedTuple):
    """A switch input that an output of the controller closes at this stage."""

    name: str
    control: SwitchedControl
    output: Output

    @property
    def called(self) -> str:
        """What to call the output: its acting terminal."""
        output = self.output
        first = output.terminals[0] if output.terminals else None
        return output.plus or output.signal or first or output.minus or ""


class Report:
    """One drive's share of a circuit under examination: its mapping, its figures, the solution of the whole.

    `circuit` is the share, in which no drive has a name; what is read off `solved` is of the whole
    installation, in which `use` and `at` say which drive is meant.  `before` are the reports of the drives
    that stand before it in the file, for what they share with it.
    """

    def __init__(
        self, read: ReadMapping, circuit: Circuit, solved: Solved, drive: str = "", before: "_Reports" = ()
    ) -> None:
        self.read, self.mapping = read, read.mapping  # of this drive alone
        self.circuit, self.solved, self.drive, self.before = circuit, solved, drive, before
        self.figures = solved.installation.figures[drive]
        self.speed = self.figures.speed  # where the mapping has none, one that names nothing
        self.names = tuple(sorted(self.mapping.control_names, key=RANK.__getitem__))  # in our order
        self.switched = tuple(sorted(self.mapping.switched.items(), key=lambda one: RANK[one[0]]))
        self.code: Code | None = None  # what is being looked for: findings carry it
        self.kept: dict[object, object] = {}  # what `once` worked out, shared by all codes

    def about(self, code: Code) -> "Report":
        """Return the same, with another code that findings carry."""
        other = copy(self)
        other.code = code
        return other

    def use(self, name: str) -> Use:
        """Return a control of this drive as the solution knows it."""
        return self.drive, name

    def at(self, label: str) -> Terminal:
        """Return a terminal of this drive as the solution knows it."""
        return Terminal(BlockKind.DRIVE, label, self.drive)

    def finding(
        self,
        path: Path,
        *figures: Shown,
        wires: tuple[str, ...] = (),
        terminals: tuple[str | None, ...] = (),
        unknowns: tuple[Unknown, ...] = (),
        shared: bool = False,
    ) -> Say:
        """Return what makes a finding at `path` of the mapping; terminals that are None are left out.

        It takes the reason and what to do; what is for who has the file alone stands there between ⟬ and ⟭,
        see `on_paper`.  One that another drive shares names both in its reason.
        """
        entry = self.code
        assert entry is not None
        line = self.read.source.line_of(*path) if path else None

        def say(reason: str, do: str) -> Finding:
            return Finding(
                entry.code, entry.severity, self.read.source.name, line, str(path[0]) if path else "",
                in_full(reason), in_full(do), on_paper(reason), on_paper(do), wires,
                tuple(filter(None, terminals)), entry.source, tuple(map(_printed, figures)),
                self.drive if shared else "",
                tuple(replace(one, where=on_paper(one.where)) for one in unknowns),
            )  # fmt: skip

        return say

    def at_input(self, path: Path, *figures: Shown, wired: bool = True, more: tuple[str, ...] = ()) -> Say:
        """Return what makes a finding about a switch input: its wires, its terminals, `more` between them."""
        control = self.figures.switched(name := str(path[0]))
        assert control is not None
        wires = self.wires_of(name, "input", "common") if wired else ()
        return self.finding(path, *figures, wires=wires, terminals=(control.input, *more, control.common))

    def at_output(self, at: Driven, *figures: Shown, path: Path = ()) -> Say:
        """Return what makes a finding about an output of the controller and the input that it closes."""
        wires, ends = self.wires_of(at.name, "input", "common"), (at.called, at.control.input)
        return self.finding(path or (at.name, "output"), *figures, wires=wires, terminals=ends)

    def of_signal(self, path: Path, *figures: Shown, unknowns: tuple[Unknown, ...] = ()) -> Say:
        """Return what makes a finding about the speed signal, with its wires and terminals."""
        source = self.speed.source if self.stage_of("speed") is Stage.FINAL else None
        ends = (source.signal if source else None, self.speed.signal)
        wires = self.wires_of("speed", "signal", "common", "feed")
        return self.finding(path, *figures, wires=wires, terminals=ends, unknowns=unknowns)

    def at_speed(self, path: Path, *figures: Shown, roles: tuple[Literal["signal", "supply"], ...]) -> Say:
        """Return what makes a finding about some of the speed's wires and their terminals at the drive."""
        ends = tuple({"signal": self.speed.signal, "supply": self.speed.supply}[role] for role in roles)
        return self.finding(path, *figures, wires=self.wires_of("speed", *roles), terminals=ends)

    def origin(self, *path: str | int, how: str = "given") -> str:
        """Say that the mapping gives a figure, or that it was "measured", and on which line."""
        line = self.read.source.line_of(*path)
        return f"{how}⟬, line {line}⟭" if line else how

    def given(self, name: str, value: str | None, *path: str | int) -> Figure:
        """Return what the mapping says there as a figure; "unknown" where it says nothing."""
        return Figure(name, value or "unknown", self.origin(*path) if value else "not written down")

    def reading(self, name: str, reading_v: float) -> Figure:
        """Return the meter's open reading of a control as a figure."""
        return Figure("open reading", volts(reading_v), self.origin(name, "meter", how="measured"))

    def counts(self, shared: bool) -> bool:
        """Whether to count something here: what several drives share is counted once, over all of them."""
        of_all = bool(self.drive) and self.circuit is self.solved.circuit
        return of_all is (shared and bool(self.drive))

    @property
    def is_final(self) -> bool:
        """Whether the changeover is complete."""
        return self.circuit.step.name == "final"

    def stage_of(self, name: str) -> Stage:
        """Return whether a control is still on bench parts at this step."""
        return self.circuit.step.stage_of("", name)

    def switches(self) -> Iterator[tuple[str, SwitchedControl]]:
        """Yield the switch inputs used, each with the name of its control."""
        yield from self.switched

    def wires(self) -> Iterator[tuple[Wire]]:
        """Yield each wire."""
        yield from ((wire,) for wire in self.circuit.wires)

    def is_proved(self, control: SwitchedControl) -> bool:
        """Whether a reading has shown how the input of a control is built."""
        return self.solved.installation.is_proved(self.drive, control)

    def driven(self) -> Iterator[Driven]:
        """Yield the switch inputs that an output of the controller closes at this stage."""
        for name, control in self.switched:
            if control.output is not None and self.stage_of(name) is Stage.FINAL:
                yield Driven(name, control, control.output)

    def closing(self, name: str) -> tuple[Event, ...]:
        """Return the states in which a control is closed: alone, and with all others that may be."""
        use = self.use(name)
        return (alone(use), *(event for event in self._together() if use in event.closed))

    def not_closing(self, name: str) -> tuple[Event, ...]:
        """Return the states in which it is not: at rest, others closed, the controller or its plug off."""
        own = (alone(self.use(other)) for other, _ in self.switched if other != name)
        together = (event for event in self._together() if self.use(name) not in event.closed)
        lost = (Event(controller=Controller.OFF), Event(controller=Controller.UNPLUGGED))
        return (REST, *own, *together, *lost)

    def _together(self) -> tuple[Event, ...]:
        """Return all that may be closed together: never forward with reverse, which nobody wants."""
        every = frozenset(self.solved.installation.controls)
        ways = (frozenset(use for use in every if use[1] != not_this) for not_this in MOVES[:2])
        return tuple(Event(closed) for closed in dict.fromkeys(ways) if len(closed) > 1)

    def wires_of(self, name: str, *roles: str) -> tuple[str, ...]:
        """Return the numbers of the wires of a control, of those roles when any are given."""
        own = (wire for wire in self.circuit.wires if name in wire.controls)
        return tuple(wire.number for wire in own if not roles or wire.role in roles)


_Reports: TypeAlias = tuple[Report, ...]
_Found = TypeVar("_Found")


def once(work: Callable[[Report], _Found]) -> Callable[[Report], _Found]:
    """Work out once for each drive, whichever code asks, what rests on its report alone."""

    @wraps(work)
    def kept(report: Report) -> _Found:
        if work not in report.kept:
            report.kept[work] = work(report)
        return cast("_Found", report.kept[work])

    return kept


def exceeds(value: float, limit: float) -> bool:
    """Whether a figure is past its limit by more than what binary fractions lose.

    >>> exceeds(1000.0, 1 / sum([1 / 10_000] * 10)), exceeds(1000.1, 1000.0)
    (False, True)
    """
    return value - limit > 1e-9 * max(abs(value), abs(limit))


def called(name: str) -> str:
    """Return a control as findings call it, on paper too: "run forward"."""
    return name.replace("-", " ")


def _printed(one: Shown) -> Figure:
    said = one.said if isinstance(one, Fact) else one.origin
    return Figure(one.name, one.value, in_full(said))


def of_fact(fact: Fact, value: float) -> Figure:
    """Return one end of a fact's range, with the fact's origin."""
    return Figure(fact.name, show_value(value, fact.unit), fact.said)


def of_level(name: str, level: Level, value: float) -> Figure:
    """Return a value of a solved level, and the figures that it is computed from."""
    return Figure(name, show_value(value, level.unit), computed(level.facts))


def computed(facts: Iterable[Fact]) -> str:
    """Say that a figure is computed, and from which others."""
    said = "; ".join(f"{fact.name} {fact}" for fact in facts)
    return f"computed: {said}" if said else "computed"
