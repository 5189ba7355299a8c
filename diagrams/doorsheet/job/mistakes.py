"""Single mistakes that a reading can show, in the words of the trade."""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from enum import Enum
from functools import reduce
from typing import Final, NamedTuple, TypeAlias

from doorsheet.checks.examined import MOVES
from doorsheet.circuit.parts import PartKind, Use, of_drive
from doorsheet.circuit.reading_words import listed
from doorsheet.circuit.sides import words
from doorsheet.electrics import State
from doorsheet.electrics.events import (
    Event,
    Exchanged,
    Fault,
    Opened,
    Reversed,
    Touching,
    Unfitted,
    commanded,
)
from doorsheet.electrics.explain import faults
from doorsheet.job.context import Trials
from doorsheet.job.probes import COMMANDS, Probe, contacts_of
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["WARNED", "Kind", "Mistake", "do_words", "either", "mistakes", "says"]

WARNED: Final = {
    (True, False): tr_later("{mistakes}: motor may run at once"),
    (False, True): tr_later("{mistakes}: a terminal may be destroyed"),
    (True, True): tr_later("{mistakes}: motor may run at once, a terminal may be destroyed"),
}
"""What is added where one of the mistakes has a run command on that nobody gave, and where the figure is more
than an input bears."""

_MOST: Final = 3
"""More wires or terminals than this, or kinds of mistake, in one breath help nobody."""


class Kind(Enum):
    """What went wrong: the words for it, and for what is done about it where that isn't the drive's display;
    then the same of any of several inputs that one table is about.  Causes are alternatives, so that what is
    done looks first: nothing is changed that may be right.
    """

    STAYS_OPEN = (
        tr_later("{names} stays open"), tr_later("look at {names}"),
        tr_later("its switch stays open"), tr_later("look at its switch"),
    )  # fmt: skip
    STAYS_CLOSED = (
        tr_later("{names} is closed"), tr_later("look at {names}"),
        tr_later("its switch is closed"), tr_later("look at its switch"),
    )  # fmt: skip
    CONTACT_OPEN = (
        tr_later("{names} open"), tr_later("look at {names}"),
        tr_later("a contact of it open"), tr_later("look at its contacts"),
    )  # fmt: skip
    LEADS = tr_later("red and black changed over"), tr_later("look at the clips, if wrong read again")
    FUSE = tr_later("meter's fuse blown"), tr_later("prove the meter's mA socket")
    IN_AMPS = tr_later("{names} left set to milliamperes"), tr_later("look at the setting of {names}")
    IN_VOLTS = tr_later("{names} set to volts"), tr_later("look at the setting of {names}")
    GIVES_VOLTS = tr_later("{names} gives volts"), tr_later("look at the setting of {names}")
    POWER = (tr_later("drive without power"),)
    UNFED = (
        tr_later("the input needs plus fed to it"),
        tr_later("look up in the manual what feeds the inputs"),
    )
    NO_WAY_BACK = (
        tr_later("{names} not joined"),
        tr_later("look up in the manual whether {names} need a link"),
    )
    UNNAMED = tr_later("{names} on no terminal"), tr_later("look up in the manual what feeds {names}")
    OPENED = (
        tr_later("wire {names} off"), tr_later("pull at {names}, both ends"),
        tr_later("a wire of it off"), tr_later("pull at its wires, both ends"),
    )  # fmt: skip
    REVERSED = (
        tr_later("{names} reversed"),
        tr_later("compare the {names} with the sheet, turn only what is wrong"),
        tr_later("its output reversed"),
        tr_later("compare its output with the sheet, turn it only if wrong"),
    )  # fmt: skip
    EXCHANGED = (
        tr_later("{names} changed over at the drive"),
        tr_later("compare {names} with the sheet, change only what is wrong"),
        tr_later("its wire and another changed over at the drive"),
        tr_later("compare its wires with the sheet, change only what is wrong"),
    )  # fmt: skip
    UNFITTED = (
        tr_later("{names} not fitted"), tr_later("look for {names}, fit what is missing"),
        tr_later("its link not fitted"), tr_later("look for its link, fit it if missing"),
    )  # fmt: skip
    TOUCHING = (
        tr_later("{names} touch"), tr_later("find what joins {names}"),
        tr_later("it touches another terminal"), tr_later("find what joins them"),
    )  # fmt: skip


class Mistake(NamedTuple):
    """One thing wrong: what the words about it name, and what it makes of a state and of the network."""

    kind: Kind
    names: tuple[str, ...] = ()
    use: Use | None = None
    fault: Fault | None = None

    @property
    def sign(self) -> int:
        """−1 where the meter reads the other way round."""
        return -1 if self.kind is Kind.LEADS else 1

    def event(self, event: Event) -> Event:
        """Return what a state becomes."""
        uses = frozenset((self.use,) if self.use is not None else ())
        match self.kind:
            case Kind.STAYS_OPEN:
                return replace(event, closed=event.closed - uses)
            case Kind.STAYS_CLOSED:
                return replace(event, closed=event.closed | uses)
            case Kind.CONTACT_OPEN:
                return replace(event, opened=event.opened | uses)
            case Kind.POWER:
                return replace(event, drive_on=False)
            case _:
                return event

    def moves(self, of: Trials, probes: Sequence[Probe]) -> bool:
        """Whether a run command may come on with it that nobody gave, at a speed that is read or none."""
        uses = [(of.drive, name) for name in MOVES if name in of.mapping.control_names]
        speeds, state = {commanded(COMMANDS.get(probe.key, 0.0)) for probe in probes}, of.alike.state
        return any(
            (now := state(use, self.event(speed), self.fault)) is State.ON
            or (now is State.UNSURE and state(use, speed) is State.OFF)
            for use in uses
            for speed in speeds
        )

    def harms(self, of: Trials) -> bool:
        """Whether it brings some terminal more than that bears."""
        fault = self.fault
        if isinstance(fault, Exchanged | Opened | Touching):
            fault = replace(fault, unsaid=True)
        return fault is not None and bool(of.overloads(fault))


def mistakes(of: Trials, probe: Probe) -> Iterator[Mistake]:
    """Yield the mistakes that are tried for a reading, likeliest first.

    What is likely is common practice, without a source: the state and the meter before the wiring, what is
    open before what touches.
    """
    if probe.control in of.mapping.switched:
        part = of.part(probe.control)
        named = (part.name if part is not None and part.kind is PartKind.SWITCH else tr("output"),)
        yield Mistake(Kind.STAYS_OPEN, named, (of.drive, probe.control))
        yield Mistake(Kind.STAYS_CLOSED, named, (of.drive, probe.control))
    yield from _at_dial(of, probe)
    for name in contacts_of(of.circuit, probe.control):
        yield Mistake(Kind.CONTACT_OPEN, (name,), (of.drive, name))
    if probe.key != "current":  # which goes in either way round
        yield Mistake(Kind.LEADS)
    found = faults(of.solved, of.at(probe.red), of.at(probe.black or probe.red))
    opened = [fault for fault in found if isinstance(fault, Opened)]
    yield from _of_faults(of, probe, opened)
    if probe.control == "speed" and of.way_back and of.part("speed"):
        yield Mistake(Kind.NO_WAY_BACK, (of.way_back_words,), fault=Unfitted(of.way_back))
    if not probe.black:
        yield from _of_current(of, probe)
    yield Mistake(Kind.POWER)
    if probe.sign_open:
        yield Mistake(Kind.UNFED)
    yield from _of_faults(of, probe, [fault for fault in found if fault not in opened])


def _of_current(of: Trials, probe: Probe) -> Iterator[Mistake]:
    """Yield what only a reading in the wire shows: the meter itself, and ends of a loop set to volts."""
    yield Mistake(Kind.FUSE)
    source = of.mapping.speed.source if of.mapping.speed is not None else None
    if probe.control == "speed" and source is not None:
        yield Mistake(Kind.IN_VOLTS, (probe.red,))
        if source.feed is None:  # one that the drive feeds gives nothing by itself
            yield Mistake(Kind.GIVES_VOLTS, (source.gives_at[0],))


def _at_dial(of: Trials, probe: Probe) -> Iterator[Mistake]:
    """Yield that the input is set for the loop of the end already, and that nothing feeds the potentiometer
    yet, where nobody has named what is to.
    """
    part, speed = of.part(probe.control), of.mapping.speed
    if probe.control == "speed" and of.solved.installation.reads_volts(of.drive) and of.figures.ends_in_amps:
        yield Mistake(Kind.IN_AMPS, (of.figures.speed.signal,))
    if (
        part is not None
        and part.kind is PartKind.POTENTIOMETER
        and speed is not None
        and speed.supply is None
    ):
        (end,) = (pin.terminal.label for pin in part.pins if pin.role == "supply")
        yield Mistake(Kind.UNNAMED, (end,), fault=Unfitted(("fed somehow", of.drive)))


def _of_faults(of: Trials, probe: Probe, found: Sequence[Fault]) -> Iterator[Mistake]:
    for fault in found:
        if (named_by := _of_fault(of, probe.control, fault)) is not None:
            kind, name = named_by
            yield Mistake(kind, (name,), fault=fault)


def _of_fault(of: Trials, own: str, fault: Fault) -> tuple[Kind, str] | None:
    match fault:
        case Opened(wire):
            return Kind.OPENED, wire
        case Exchanged(one, other):
            return Kind.EXCHANGED, listed([str(one), str(other)])
        case Reversed((drive, name)):
            whose = tr("output of {control}", control=of_drive(drive, words(name)))
            return Kind.REVERSED, tr("output") if (drive, name) == (of.drive, own) else whose
        case Touching(one, other):
            return Kind.TOUCHING, listed([str(one), str(other)])
        case Unfitted(key):
            link = key[0] == "link"
            return Kind.UNFITTED, tr("link {ends}", ends=f"{key[1]}–{key[2]}") if link else str(key[2])
        case _:
            return None


# ---- Words ----


def says(
    own: Sequence[Mistake], harmful: Collection[Mistake], general: bool = False, perhaps: bool = False
) -> str:
    """Return what a row's figures mean, or may mean: its likeliest kinds of mistake; of any input where
    `general`.

    What does damage says so; what else there may be is said to be.
    """
    kept, rest = _kept(own, harmful, general)
    said = [
        tr("{mistake} (a terminal may be destroyed)", mistake=one) if harms else one
        for (kind, harms), names in kept.items()
        for one in (_worded(kind, 0, names, general, either),)
    ]
    said += [tr("another")] if rest or perhaps else []
    every = reduce(lambda one, other: tr("{one}, or {other}", one=one, other=other), said)
    return capital(tr("perhaps {mistakes}", mistakes=every) if perhaps else every)


def do_words(own: Sequence[Mistake], harmful: Collection[Mistake], general: bool = False) -> str:
    """Return what is done about a row's figures, on dead parts, in turn as far as needed."""
    kept, _ = _kept(own, harmful, general)
    said = dict.fromkeys(_worded(kind, 1, names, general, listed) for (kind, _), names in kept.items())
    every = [*filter(None, said)] or [tr("look at the drive's display")]
    return capital(reduce(lambda one, other: tr("{one}; else {other}", one=one, other=other), every)) + "."


_Groups: TypeAlias = dict[tuple[Kind, bool], list[str]]


def _kept(own: Sequence[Mistake], harmful: Collection[Mistake], general: bool) -> tuple[_Groups, bool]:
    """Return the kinds of mistake that a row names, likeliest first, and their names; whether there are more,
    or may be at another input.

    What does damage is a group of its own, and is always named.
    """
    groups: _Groups = {}
    for mistake in own:
        groups.setdefault((mistake.kind, mistake in harmful), []).extend(mistake.names)
    kept = {group: groups[group] for at, group in enumerate(groups) if at < _MOST or group[1]}
    return kept, len(groups) > len(kept) or (general and len(kept) >= _MOST)


def _worded(
    kind: Kind, at: int, every: Sequence[str], general: bool, joined: Callable[[list[str]], str]
) -> str:
    """Return the words for a kind with its names, if it has any; an output is called that at any input."""
    names, words = [*dict.fromkeys(every)], kind.value
    if len(names) > _MOST + 1:
        names[_MOST:] = [tr("others")]
    if general and len(words) > 2 and names != [tr("output")]:
        words = words[2:]
    return tr(words[at], names=joined(names)) if at < len(words) else ""


def either(names: Sequence[str]) -> str:
    """Say that it is one of these: "1, 2 or 3"."""
    if len(names) < 2:
        return "".join(names)
    return tr("{others} or {last}", others=", ".join(names[:-1]), last=names[-1])
