"""The speed signal read off a solution: what stands at the drive's input, and what takes a part on the way.

Every figure here is a volt or an ampere of the solution, or the ratio of two.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import exp, log
from typing import Final

from doorsheet.circuit.parts import BlockKind, Part, PartKind, Terminal
from doorsheet.electrics.events import Event, Fault, Opened, Unfitted, commanded
from doorsheet.electrics.fact import Fact
from doorsheet.electrics.solved import Level, Solved
from doorsheet.mapping.signals import RANGES, Signal
from doorsheet.network import Figure

__all__ = ["FULL", "Loss", "Way", "ripple_v", "settling_s", "surely"]

FULL: Final = commanded(1.0)


def surely(level: Level) -> float:
    """Return the most that a level surely reaches at some corner of what is known, never below zero.

    Where something unknown moves it, that is its low end.
    """
    return max(level.high if level.is_known else level.low, 0.0)


@dataclass(frozen=True, slots=True)
class Loss:
    """What one part takes of the signal at full command: "source", "wires", "series" or "burden"."""

    part: str
    share: float  # of the signal, at the worst corner of what is known
    facts: tuple[Fact, ...]  # what it is worked out from


def _range(name: str | None) -> Signal | None:
    return None if name is None else RANGES[name]


class Way:
    """The speed signal of one drive, from what gives it to the drive's input; of any stage."""

    def __init__(self, solved: Solved, drive: str) -> None:
        self.solved, self.drive = solved, drive
        self.figures = solved.installation.figures[drive]
        self.speed = self.figures.speed
        if self.speed.common is None:
            raise ValueError("a speed signal needs a signal and a common")
        self.ends = solved.at_drive(self.speed.signal, drive), solved.at_drive(self.speed.common, drive)
        self.given = _range(self.speed.source.range if self.speed.source is not None else None)
        """The range of the source; None without one."""
        self.taken = _range(self.speed.range)
        """The range that the input is set to; None where nobody says."""
        self.read_as = _range(self.speed.in_the_end)
        """The range that the input has to be set to in the end; None where nobody can tell."""

    @property
    def scale(self) -> Signal | None:
        """The range by which the drive reads its signal at this stage; None where nobody says."""
        said = self.taken or self.given  # a live zero stays one over a burden
        at_dial = self.solved.installation.reads_volts(self.drive)
        if said is not None and at_dial and (said.unit == "A" or said.rest):
            return None  # on the bench the input is set to what a potentiometer gives
        return said

    @property
    def ohm(self) -> Fact:
        """The input's resistance as it is set at this stage."""
        return self.figures.speed_input_ohm(self.solved.installation.in_amps(self.drive))

    @property
    def limit(self) -> Fact:
        """What the input can take as it is set at this stage, V or A."""
        return self.figures.speed_input_limit(self.solved.installation.in_amps(self.drive))

    # ---- at the drive ----

    def volts(self, event: Event, fault: Fault | None = None) -> Level:
        """Return the voltage over the drive's input."""
        return self.solved.volts(*self.ends, event, fault)

    def amps(self, event: Event, fault: Fault | None = None) -> Level:
        """Return the current into the drive's input."""
        found = self.solved.amps(("analog input", self.drive), event, fault)
        assert found is not None  # a drive's input is always there
        return found

    def reads(self, event: Event, fault: Fault | None = None) -> Level:
        """Return what the drive takes for the signal: volts, or milliamperes into its input or its burden."""
        found = volts = self.volts(event, fault)
        if self.scale is not None and self.scale.unit == "A":
            found = self.amps(event, fault)
            for part in self._resistors(BlockKind.DRIVE):
                found = self.solved.amps(("resistor", part.drive, part.name), event, fault) or found
        return replace(found, floating=volts.floating, conflict=volts.conflict)

    def signal(self, event: Event, unit: str) -> Level:
        """Return what the input reads, V or A."""
        return self.amps(event) if unit == "A" else self.volts(event)

    def unplugged(self, event: Event) -> Level:
        """Return the voltage with the drive off: a source's own under other inputs, or over a burden."""
        wires = (wire for wire in self.solved.circuit.wires if self.ends[0] in (wire.near, wire.far))
        wire = next((wire for wire in wires if (self.drive, "speed") in wire.uses), None)
        if wire is not None and self.given is not None and self.given.unit == "V":
            level = self.source_volts(event, Opened(wire.number))
            if level is not None:
                return level
        return self.volts(event, Unfitted(("analog input", self.drive)))

    # ---- at the controller ----

    def source_part(self) -> Part | None:
        """Return what gives the signal at this stage, which another drive may share; None on the bench."""
        source = self.speed.source
        if source is None:
            return None
        at = Terminal(BlockKind.CONTROLLER, source.signal)
        kinds = (PartKind.ANALOG_SOURCE, PartKind.CONVERTER)
        own = [
            part
            for part in self.solved.circuit.parts
            if part.kind in kinds and (part.drive == self.drive or any(p.terminal == at for p in part.pins))
        ]
        return own[-1] if own else None  # a converter stands behind the output that feeds it

    def source_volts(self, event: Event, fault: Fault | None = None) -> Level | None:
        """Return the voltage over the source's own terminals; None without one, or without a common."""
        part = self.source_part()
        pins = {pin.role: pin.terminal for pin in part.pins} if part is not None else {}
        signal = pins.get("output", pins.get("signal"))
        common = pins.get("output-common", pins.get("common", pins.get("feed")))
        return None if signal is None or common is None else self.solved.volts(signal, common, event, fault)

    def source_amps(self, event: Event) -> Level | None:
        """Return the current that leaves the source at its signal terminal."""
        part = self.source_part()
        level = None if part is None else self.solved.amps(("source", part.drive), event)
        if level is None:
            return None
        return replace(level, low=-level.high, high=-level.low)

    def load_ohm(self) -> Level | None:
        """Return the ohms that the source has to drive, at full command; None where nothing is driven."""
        volts, amps = self.source_volts(FULL), self.source_amps(FULL)
        if volts is None or amps is None or amps.low <= 0 or self.given is None:
            return None
        given, _, _ = self.figures.source_level(1.0)
        # the source's own range moves both and no resistance: it is taken out of each end
        spread = given.high / given.low
        low, high = volts.low / amps.high * spread, volts.high / amps.low / spread
        facts = tuple(dict.fromkeys((*volts.facts, *amps.facts)))
        missing = tuple(dict.fromkeys((*volts.missing, *amps.missing)))
        return Level(min(low, high), max(low, high), "ohm", lambda: facts, lambda: (missing, amps.asked))

    def nominal(self, command: float) -> Figure:
        """Return what a source makes of a command, V or A, over its burden V, whatever loads then take."""
        level, unit, _ = self.figures.source_level(command)
        burden = self.figures.of("burden")
        if unit == "V" or not burden.is_known:
            return level
        name = "" if level.low == level.high and burden.low == burden.high else "volts that the burden makes"
        return Figure(name, level.low * burden.low, level.high * burden.high)

    # ---- on the way ----

    def losses(self) -> Iterator[Loss]:
        """Yield each part that takes of a source's signal at full command, and how much."""
        given = self.given
        if given is None or self.source_part() is None:
            return
        whole, _, _ = self.figures.source_level(1.0)
        if given.unit == "A":
            if self.speed.burden is not None and (self.taken is None or self.taken.unit == "V"):
                yield from self._past_burden()
            return
        source = self.source_volts(FULL)
        if source is not None:
            left = source.low / whole.low if source.is_known else source.high / whole.high
            yield Loss("source", 1 - left, source.facts)
        wires = [wire for wire in self.solved.circuit.wires if (self.drive, "speed") in wire.uses]
        ends = [(one.far, one.near) if one.far == self.ends[1] else (one.near, one.far) for one in wires]
        yield self._taken("wires", ends, whole.high)
        series = [part.pins for part in self._resistors(BlockKind.FIELD)]
        yield self._taken("series", [(pins[0].terminal, pins[1].terminal) for pins in series], whole.high)

    def _past_burden(self) -> Iterator[Loss]:
        """Yield what surely doesn't pass the drive's own burden: its input's current, and that of others."""
        for part in self._resistors(BlockKind.DRIVE):
            left, whole = self.solved.amps(("resistor", part.drive, part.name), FULL), self.source_amps(FULL)
            if left is not None and whole is not None and whole.high > 0:
                yield Loss("burden", 1 - max(left.high, -left.low) / whole.high, left.facts)

    def _taken(self, part: str, ends: list[tuple[Terminal, Terminal]], whole: float) -> Loss:
        levels = [self.solved.volts(*pair, FULL) for pair in ends]
        facts = tuple(dict.fromkeys(fact for level in levels for fact in level.facts))
        return Loss(part, sum(map(surely, levels)) / whole, facts)

    def _resistors(self, block: BlockKind) -> Iterator[Part]:
        for part in self.solved.circuit.parts:
            if part.kind is PartKind.RESISTOR and part.drive == self.drive and part.block is block:
                yield part


# ---- pulses made into volts ----


def ripple_v(top_v: float, hertz: float, time_s: float, share: float = 0.5) -> float:
    """Return the ripple, peak to peak, that a filter leaves of pulses: most where they are high half of it.

    V (1 - e^(-dT/RC)) (1 - e^(-(1-d)T/RC)) / (1 - e^(-T/RC)); the form is in a public text (V), and follows
    from the charging of a capacitor.

    >>> round(ripple_v(10, 1000, 0.010), 6), round(ripple_v(10, 1000, 0.010, 0.1), 6)
    (0.249948, 0.089993)
    """
    if time_s <= 0:
        return top_v
    period = 1 / (hertz * time_s)
    return top_v * (1 - exp(-share * period)) * (1 - exp(-(1 - share) * period)) / (1 - exp(-period))


def settling_s(time_s: float, left: float = 0.01) -> float:
    """Return how long a filter takes until only a share of a step is left: 4.605 time constants for 1 %.

    >>> round(settling_s(0.047), 5), round(settling_s(0.047, 0.001), 5)
    (0.21644, 0.32466)
    """
    return time_s * log(1 / left)
