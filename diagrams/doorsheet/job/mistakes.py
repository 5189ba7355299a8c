"""Single mistakes that a reading can show, in the words of the trade (job room)."""

from collections.abc import Iterator, Sequence
from collections.abc import Mapping as AbstractMapping
from dataclasses import replace
from enum import StrEnum
from functools import reduce
from itertools import islice
from typing import Final, NamedTuple, TypeAlias

from doorsheet.circuit.parts import PartKind, Use, of_drive
from doorsheet.circuit.reading_words import listed
from doorsheet.circuit.sides import words
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Event, Exchanged, Fault, Opened, Reversed, Touching, Unfitted
from doorsheet.electrics.explain import faults
from doorsheet.job.context import Trials
from doorsheet.job.probes import Probe
from doorsheet.job.runs import RUNS
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["MOTOR", "Kind", "Mistake", "do_words", "mistakes", "says"]

MOTOR: Final = tr_later("{mistakes}: motor may run at once")
"""What is added where a mistake has a run command on that nobody gave."""

_MOST: Final = 3
"""More wires or terminals than this in one breath help nobody."""


class Kind(StrEnum):
    """What went wrong."""

    STAYS_OPEN = "stays open"
    STAYS_CLOSED = "stays closed"
    LEADS = "leads"
    POWER = "power"
    UNFED = "unfed"
    OPENED = "opened"
    REVERSED = "reversed"
    EXCHANGED = "exchanged"
    UNFITTED = "unfitted"
    TOUCHING = "touching"


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
        uses = [(of.drive, name) for name in RUNS if name in of.mapping.control_names]
        event, state = self.event(REST), of.solved.state
        return any(
            (now := state(use, event, self.fault)) is State.ON
            or (now is State.UNSURE and state(use) is State.OFF)
            for use in uses
        )


def mistakes(of: Trials, probe: Probe) -> Iterator[Mistake]:
    """Yield the mistakes that are tried for a reading, likeliest first.

    What is likely is common practice, without a source: the state and the meter before the wiring, what is
    open before what touches.
    """
    if isinstance(of.mapping.control(probe.control), SwitchedControl):
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

_Words: TypeAlias = AbstractMapping[Kind, str]

_SAYS: _Words = {
    Kind.STAYS_OPEN: tr_later("{names} stays open"),
    Kind.STAYS_CLOSED: tr_later("{names} is closed"),
    Kind.LEADS: tr_later("red and black changed over"),
    Kind.POWER: tr_later("drive without power"),
    Kind.UNFED: tr_later("the input needs plus fed to it"),
    Kind.OPENED: tr_later("wire {names} off"),
    Kind.REVERSED: tr_later("{names} reversed"),
    Kind.EXCHANGED: tr_later("{names} changed over at the drive"),
    Kind.UNFITTED: tr_later("{names} not fitted"),
    Kind.TOUCHING: tr_later("{names} touch"),
}
_DO: _Words = {
    Kind.STAYS_OPEN: tr_later("look at {names}"),
    Kind.STAYS_CLOSED: tr_later("look at {names}"),
    Kind.LEADS: tr_later("look at the clips"),
    Kind.UNFED: tr_later("look up in the manual what feeds the inputs"),
    Kind.OPENED: tr_later("pull at {names}, both ends"),
    Kind.REVERSED: tr_later("turn the {names} round"),
    Kind.EXCHANGED: tr_later("change {names} over"),
    Kind.UNFITTED: tr_later("fit {names}"),
    Kind.TOUCHING: tr_later("find what joins {names}"),
}
_SAYS_OF_ANY: _Words = {
    Kind.STAYS_OPEN: tr_later("its switch stays open"),
    Kind.STAYS_CLOSED: tr_later("its switch is closed"),
    Kind.OPENED: tr_later("a wire of it off"),
    Kind.REVERSED: tr_later("its output reversed"),
    Kind.EXCHANGED: tr_later("its wire and another changed over at the drive"),
    Kind.UNFITTED: tr_later("its link not fitted"),
    Kind.TOUCHING: tr_later("it touches another terminal"),
}
_DO_OF_ANY: _Words = {
    Kind.STAYS_OPEN: tr_later("look at its switch"),
    Kind.STAYS_CLOSED: tr_later("look at its switch"),
    Kind.OPENED: tr_later("pull at its wires, both ends"),
    Kind.REVERSED: tr_later("turn its output round"),
    Kind.EXCHANGED: tr_later("change the two over"),
    Kind.UNFITTED: tr_later("fit its link"),
    Kind.TOUCHING: tr_later("find what joins them"),
}
"""The same of any of several inputs that one table is about."""


def says(own: Sequence[Mistake], most: int, general: bool = False) -> str:
    """Return what a row's figures mean: its likeliest kinds of mistake; of any input where `general`."""
    worded = _worded(own, most, _SAYS, _SAYS_OF_ANY, general)
    said = (tr(words, names=_either(names)) for words, names in worded)
    return capital(reduce(lambda one, other: tr("{one}, or {other}", one=one, other=other), said))


def do_words(own: Sequence[Mistake], most: int, general: bool = False) -> str:
    """Return what is done about a row's figures, on dead parts."""
    worded = _worded(own, most, _DO, _DO_OF_ANY, general)
    said = [tr(words, names=listed(list(names))) for words, names in worded]
    return capital("; ".join(dict.fromkeys(said or [tr("look at the drive's display")]))) + "."


def _worded(
    own: Sequence[Mistake], most: int, plain: _Words, of_any: _Words, general: bool
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the words for each kind, and its names; an output is called that at any input."""
    for kind in islice(dict.fromkeys(mistake.kind for mistake in own), most):
        every = dict.fromkeys(name for mistake in own if mistake.kind is kind for name in mistake.names)
        names = tuple(islice(every, _MOST))
        table = of_any if general and kind in of_any and names != (tr("output"),) else plain
        if kind in table:
            yield table[kind], names


def _either(names: tuple[str, ...]) -> str:
    if len(names) < 2:
        return "".join(names)
    return tr("{others} or {last}", others=", ".join(names[:-1]), last=names[-1])
