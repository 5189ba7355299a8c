"""The stages of a machine from the bench to the end, and what the actions of a drive at one are made from."""

from collections.abc import Callable, Iterable, Iterator
from collections.abc import Mapping as AbstractMapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from typing import NamedTuple

from doorsheet.circuit import Step, steps
from doorsheet.circuit.parts import BlockKind, Circuit, Link, Part, PartKind, Stage, Terminal, Wire, of_drive
from doorsheet.circuit.sides import words
from doorsheet.electrics import Solved, solve
from doorsheet.electrics.events import Fault
from doorsheet.electrics.failures import Overload, overloads
from doorsheet.electrics.figures import Figures
from doorsheet.job.action import Action, Asked, DoneAsked, Outcome, Phase, Trial
from doorsheet.job.cautions import cautions, is_isolated
from doorsheet.job.probes import Probe, part_of, probes, read_alike
from doorsheet.layout.arrange import numbered
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping
from doorsheet.trade.language import capital, tr

__all__ = [
    "Moved", "Rewired", "Trials", "command_words", "each_stage", "solved_stage", "stage_heading",
    "stage_title",
]  # fmt: skip


class Moved(NamedTuple):
    """A wire as it was (None: not fitted) and as it is (None: taken off)."""

    was: Wire | None
    now: Wire | None

    @property
    def wire(self) -> Wire:
        """The wire, at whichever end of the step it is."""
        wire = self.now or self.was
        assert wire is not None
        return wire


class Rewired(NamedTuple):
    """A control wired otherwise than was noted: after which entry of the log evidence of it counts.

    `off` and `on` are the wires and parts that are still to be taken off and fitted.
    """

    since: int
    off: tuple[str, ...]
    on: tuple[str, ...]


@dataclass(frozen=True)
class Trials:
    """What the tests of one drive at one stage are made from.

    `circuit` and `before`, the stage that it follows, are the drive's shares; `wait` is the time to wait
    before the drives of the machine are touched, None as long as it is unknown.
    """

    mapping: Mapping
    circuit: Circuit
    before: Circuit | None
    solved: Solved
    drive: str
    wait: str | None
    rewired: AbstractMapping[str, Rewired] = field(default_factory=dict)
    """Controls wired otherwise than was noted before."""
    read_again: frozenset[str] = frozenset()
    """Ids of readings that the log has of this stage, whether it asks for them or not."""

    @cached_property
    def moved(self) -> tuple[Moved, ...]:
        """The wires that the step moves, fits or takes off; on the bench all that are fitted."""
        stood = {wire.number: wire for wire in self.before.wires} if self.before is not None else {}
        here = {wire.number: wire for wire in self.circuit.wires}
        both = (Moved(stood.get(number), here.get(number)) for number in {**here, **stood})
        return tuple(one for one in both if not one.was or not one.now or _ends(one.was) != _ends(one.now))

    @cached_property
    def touched(self) -> frozenset[str]:
        """The controls to test in full: at first all, then those whose wires or parts the step changes."""
        if self.before is None:
            return frozenset(self.mapping.control_names)
        return frozenset(name for one in self.moved if one.now for name in one.now.controls)

    @cached_property
    def tested(self) -> frozenset[str]:
        """The controls to read and test in full: those touched, and those wired otherwise since."""
        return self.touched | self.rewired.keys()

    @cached_property
    def moving(self) -> tuple[str, ...]:
        """The controls that this step takes from the bench to the controller; at first none."""
        if self.before is None:
            return ()
        steps, way = (self.before.step, self.circuit.step), [Stage.BENCH, Stage.FINAL]
        parts = {name: self.part(name) for name in self.mapping.control_names if name in self.touched}
        names = (name for name, part in parts.items() if part and part.block is not BlockKind.OPERATOR)
        return tuple(name for name in names if [step.stage_of("", name) for step in steps] == way)

    @cached_property
    def overloads(self) -> Callable[[Fault], tuple[Overload, ...]]:
        """What a fault drives past what it bears, whatever nobody says being so or not."""
        return cache(lambda fault: overloads(self.solved, fault))

    @cached_property
    def unread(self) -> Callable[[str], Solved]:
        """The stage as if nobody had measured a control's current, which is no witness for itself."""
        solved = self.solved
        return cache(lambda control: Solved(solved.read, solved.circuit, (self.drive, control)))

    @cached_property
    def in_volts(self) -> "Trials":
        """The stage as if the analog output were set to volts, and the drive's input as in the end."""
        solved, of_volts = Solved(self.solved.read, self.solved.circuit), {"range": "0-10 V"}
        own = solved.installation.figures[self.drive]
        assert own.speed.source is not None
        source = own.speed.source.model_copy(update=of_volts)
        own.speed = own.speed.model_copy(update={"range": own.speed.in_the_end, "source": source})
        solved.installation.joined = self.returned.installation.joined
        return replace(self, solved=solved)

    @cached_property
    def way_back(self) -> tuple[str, ...]:
        """The key of what joins the speed's common to the minus of what feeds its loop, where nobody says
        whether anything does; else nothing.
        """
        speed, inputs = self.figures.speed, self.figures.inputs
        if speed.feed is None or speed.common is None or inputs.supply_minus is not None:
            return ()
        return "minus", self.drive, speed.feed, str(self.at(speed.common))

    @property
    def way_back_words(self) -> str:
        """The same in words."""
        speed = self.figures.speed
        return tr("{common} and the minus of {feed}", common=speed.common or "", feed=speed.feed or "")

    @cached_property
    def returned(self) -> Solved:
        """The stage `alike`, with the way back that a loop fed by the drive has to have."""
        if not self.way_back or self.way_back in self.alike.installation.joined:
            return self.alike
        solved = Solved(self.solved.read, self.solved.circuit)
        solved.installation.controls = dict(self.alike.installation.controls)
        solved.installation.joined.add(self.way_back)
        return solved

    @cached_property
    def in_amps(self) -> "Trials":
        """The bench as if the drive's input were set to milliamperes already, as in the end."""
        solved = Solved(self.solved.read, self.solved.circuit)
        own = solved.installation.figures[self.drive]
        own.speed = own.speed.model_copy(update={"range": own.speed.set_to, "source": None})
        return replace(self, solved=solved)

    @cached_property
    def alike(self) -> Solved:
        """The stage with inputs that nobody has read, which count as plus, fed as others of their common are,
        where those read minus.
        """
        signs = {name: read_alike(self.mapping, one) for name, one in self.mapping.switched.items()}
        minus = {name: sign for name, sign in signs.items() if sign is not None and sign < 0}
        unread = [name for name in minus if self.mapping.switched[name].sign_v is None]
        solved = Solved(self.solved.read, self.solved.circuit) if unread else self.solved
        for use in ((self.drive, name) for name in unread):
            control = solved.installation.controls[use]
            solved.installation.controls[use] = control.model_copy(update={"meter": minus[use[1]]})
        return solved

    @cached_property
    def probes(self) -> tuple[Probe, ...]:
        """The readings to take at this stage, all volts before all milliamperes."""
        found = probes(self.mapping, self.circuit)
        return tuple(one for one in found if self.tested & set(self.circuit.wire(one.wire).controls))

    @cached_property
    def standing(self) -> tuple[Probe, ...]:
        """The readings of what stands here since an earlier stage, weighed as it is now."""
        return tuple(one for one in probes(self.mapping, self.circuit) if one not in self.probes)

    def part(self, control: str) -> Part | None:
        """Return what commands a control at this stage."""
        return part_of(self.circuit, control)

    def at(self, label: str) -> Terminal:
        """Return a terminal of the drive as the solution knows it."""
        return self.solved.at_drive(label, self.drive)

    def action(
        self, ident: str, phase: Phase, title: str, trials: Iterable[Trial], *, asked: Asked | None = None,
        controls: tuple[str, ...] = (), weigh: Callable[[], Iterable[Outcome]] = tuple,
    ) -> Action:  # fmt: skip
        """Return an action of this drive and stage; asked for is a tick, with the last line's figure."""
        lines = tuple(trials)
        unit = next((line.unit for line in reversed(lines) if line.unit), "")
        own = (one for one in self.solved.read.mapping.done if (one.drive or "") == self.drive)
        coupled = any((one.what, one.stage) == ("test:end", "final") and not one.put_off for one in own)
        isolated = is_isolated(self.mapping)
        couples = ident == "test:end" and self.is_last
        warned = tuple(cautions(self.wait, bool(self.drive), phase, lines, isolated, coupled, couples))
        return Action(
            ident, phase, self.solved.circuit.step.called, self.drive, title, lines, asked or DoneAsked(unit),
            warned, controls=controls, moves=self.moving, weigh=weigh,
        )  # fmt: skip

    @property
    def figures(self) -> Figures:
        """The drive's figures."""
        return self.solved.installation.figures[self.drive]

    @property
    def bridges(self) -> tuple[Link, ...]:
        """The bridges between the controller's terminals, which are no drive's: told with the first."""
        circuit = self.solved.circuit
        if self.drive != next(iter(circuit.drives), ""):
            return ()
        return tuple(link for link in circuit.links if link.a.block is BlockKind.CONTROLLER)

    @property
    def is_last(self) -> bool:
        """Whether the machine is complete."""
        return self.circuit.step.name == "final"


def _ends(wire: Wire) -> tuple[str, str]:
    """Return both ends of a wire as a person knows them: a switch that stays is one, wherever it stands."""
    return str(wire.near), str(wire.far)


def command_words(part: Part, control: str, by_hand: str, by_controller: str) -> str:
    """Put the switch, or the control's words where the controller commands, into an entry as {what}."""
    if part.kind is PartKind.SWITCH:
        return tr(by_hand, what=part.name)
    return tr(by_controller, what=words(control))


def each_stage(read: ReadMapping) -> Iterator[Solved]:
    """Yield every stage, solved, in the order of the work."""
    # joining says so when there is no control at all
    for step in steps(read.mapping) or ("final",):
        yield solved_stage(read, step)


def solved_stage(read: ReadMapping, at: Step | str) -> Solved:
    """Solve a stage, its rail numbered as it is drawn."""
    solved = solve(read, at)
    solved.circuit = numbered(solved.circuit, read)
    return solved


def stage_title(circuit: Circuit) -> str:
    """Name a stage: "bench stage", "run forward stage", of several drives "pump-1 run forward stage"."""
    step = circuit.step
    if step.name in ("bench", "final"):
        return tr("bench stage") if step.name == "bench" else tr("final stage")
    return of_drive(step.drive, tr("{control} stage", control=words(step.name)))


def stage_heading(circuit: Circuit) -> str:
    """Name a stage at the head of something; a drive's name stays as it is written."""
    title = stage_title(circuit)
    return title if circuit.step.drive else capital(title)
