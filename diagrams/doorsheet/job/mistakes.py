"""Single mistakes that a reading can show, in the words of the trade."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from enum import Enum
from functools import reduce
from itertools import islice
from typing import Final, NamedTuple

from doorsheet.checks.examined import MOVES
from doorsheet.circuit.parts import PartKind, Use, of_drive
from doorsheet.circuit.reading_words import listed
from doorsheet.circuit.sides import words
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Event, Exchanged, Fault, Opened, Reversed, Touching, Unfitted
from doorsheet.electrics.explain import faults
from doorsheet.job.context import Trials
from doorsheet.job.probes import Probe
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["WARNED", "Kind", "Mistake", "do_words", "either", "mistakes", "says"]

WARNED: Final = {
    (True, False): tr_later("{mistakes}: motor may run at once"),
    (False, True): tr_later("{mistakes}: a terminal may be destroyed"),
    (True, True): tr_later("{mistakes}: motor may run at once, a terminal may be destroyed"),
}
"""What is added where one of the mistakes has a run command on that nobody gave, and where in one wires have
changed places, so that something gets more than it bears."""

_MOST: Final = 3
"""More wires or terminals than this in one breath help nobody."""


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
    LEADS = tr_later("red and black changed over"), tr_later("look at the clips, if wrong read again")
    POWER = (tr_later("drive without power"),)
    UNFED = (
        tr_later("the input needs plus fed to it"),
        tr_later("look up in the manual what feeds the inputs"),
    )
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
            case Kind.POWER:
                return replace(event, drive_on=False)
            case _:
                return event

    def moves(self, of: Trials) -> bool:
        """Whether a run command may come on with it that nobody gave."""
        uses = [(of.drive, name) for name in MOVES if name in of.mapping.control_names]
        event, state = self.event(REST), of.solved.state
        return any(
            (now := state(use, event, self.fault)) is State.ON
            or (now is State.UNSURE and state(use) is State.OFF)
            for use in uses
        )

    def harms(self, of: Trials) -> bool:
        """Whether wires that have changed places bring some terminal more than it bears."""
        fault = self.fault
        return isinstance(fault, Exchanged) and bool(of.overloads(replace(fault, unsaid=True)))


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
    if probe.unit == "V":
        yield Mistake(Kind.LEADS)
    yield Mistake(Kind.POWER)
    if probe.sign_open:
        yield Mistake(Kind.UNFED)
    for fault in faults(of.solved, of.at(probe.red), of.at(probe.black or probe.red)):
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


def says(own: Sequence[Mistake], most: int, general: bool = False) -> str:
    """Return what a row's figures mean: its likeliest kinds of mistake; of any input where `general`."""
    worded = _worded(own, most, 0, general)
    said = (tr(words, names=either(names)) for words, names in worded)
    return capital(reduce(lambda one, other: tr("{one}, or {other}", one=one, other=other), said))


def do_words(own: Sequence[Mistake], most: int, general: bool = False) -> str:
    """Return what is done about a row's figures, on dead parts, in turn as far as needed."""
    worded = _worded(own, most, 1, general)
    said = dict.fromkeys(tr(words, names=listed(list(names))) for words, names in worded)
    every = said or [tr("look at the drive's display")]
    return capital(reduce(lambda one, other: tr("{one}; else {other}", one=one, other=other), every)) + "."


def _worded(
    own: Sequence[Mistake], most: int, at: int, general: bool
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the words for each kind, and its names; an output is called that at any input."""
    for kind in islice(dict.fromkeys(mistake.kind for mistake in own), most):
        every = dict.fromkeys(name for mistake in own if mistake.kind is kind for name in mistake.names)
        names, words = tuple(islice(every, _MOST)), kind.value
        if general and len(words) > 2 and names != (tr("output"),):
            words = words[2:]
        if at < len(words):
            yield words[at], names


def either(names: Sequence[str]) -> str:
    """Say that it is one of these: "1, 2 or 3"."""
    if len(names) < 2:
        return "".join(names)
    return tr("{others} or {last}", others=", ".join(names[:-1]), last=names[-1])
