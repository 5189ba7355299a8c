"""States of an installation that are solved for: who is closed, what is commanded, what has power."""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeAlias

from doorsheet.circuit.parts import Terminal, Use

__all__ = [
    "REST", "Controller", "Earthed", "Event", "Exchanged", "Fault", "Opened", "Reversed", "Touching",
    "Unfitted", "Use", "Whole", "alone", "commanded",
]  # fmt: skip


class Controller(StrEnum):
    """What the controller is doing; UNPLUGGED is with its wires off."""

    ON = "on"
    STARTING = "starting"
    OFF = "off"
    UNPLUGGED = "unplugged"


@dataclass(frozen=True, slots=True)
class Event:
    """One state: the switched controls that are closed, and the speed commanded, a share of full (-1 to 1).

    `opened` are contacts on the machine, by drive and name, that are not closed as they are when all is well;
    `only` is the drive that alone has the command, None: every drive has it.
    """

    closed: frozenset[Use] = frozenset()
    opened: frozenset[tuple[str, str]] = frozenset()
    command: float = 0.0
    controller: Controller = Controller.ON
    drive_on: bool = True
    only: str | None = None

    def of(self, drive: str) -> "Event":
        """Return what of it one drive's parts know: its own controls, contacts and command."""
        closed = frozenset(use for use in self.closed if use[0] == drive)
        opened = frozenset(one for one in self.opened if one[0] == drive)
        command = self.command if self.only in (None, drive) else 0.0
        return replace(self, closed=closed, opened=opened, command=command, only=None)

    @property
    def words(self) -> str:
        """The state as a person says it: "at rest", "run forward", "controller starting"."""
        said = [name.replace("-", " ") for _, name in sorted(self.closed)]
        if self.command:
            said.append(f"{self.command:.0%} speed".replace("%", " %"))
        if self.controller is not Controller.ON:
            said.append(f"controller {self.controller}")
        if not self.drive_on:
            said.append("drive off")
        return ", ".join(said) or "at rest"


REST = Event()
"""Nothing closed, nothing commanded, everything under power."""


def alone(control: Use) -> Event:
    """Return the state in which only that control is closed."""
    return Event(frozenset({control}))


def commanded(share: float) -> Event:
    """Return the state in which only a speed is commanded, a share of full speed."""
    return Event(command=share)


@dataclass(frozen=True, slots=True)
class Opened:
    """A wire is broken, or off at one end; `unsaid` as of `Touching`.

    `joined` are the wires that end at a bridge of the rail, where it breaks behind that: it carries theirs.
    """

    wire: str
    unsaid: bool = False
    joined: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Whole:
    """A wire is whole, and what nobody says may be so as where it is broken: `Opened` is held against it."""

    wire: str
    unsaid: bool = True


@dataclass(frozen=True, slots=True)
class Touching:
    """Two terminals, or the wires at them, touch; `unsaid`: what nobody says may be so.

    The commons of the drive's inputs and of its speed signal may be joined inside, as those of many drives
    are; a report contact may be open or closed, and plus or minus may feed it; and where wires of two drives
    touch, or one at a report contact, earth may join their commons.
    """

    one: Terminal
    other: Terminal
    unsaid: bool = False


@dataclass(frozen=True, slots=True)
class Earthed:
    """A terminal, or its wire, touches earth; `unsaid` as of `Touching`, but for the commons."""

    at: Terminal
    unsaid: bool = False


@dataclass(frozen=True, slots=True)
class Unfitted:
    """A part that the drawing has is not there: a resistor, a link."""

    key: tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Reversed:
    """The two sides of a control's output are exchanged; `diode`: it has one across it, for protection."""

    control: Use
    diode: bool = False


@dataclass(frozen=True, slots=True)
class Exchanged:
    """Two wires have changed places at the drive, or one stands at a terminal that has none.

    `unsaid` as of `Touching`.
    """

    one: str
    other: str | Terminal
    unsaid: bool = False


Fault: TypeAlias = Opened | Whole | Touching | Earthed | Unfitted | Reversed | Exchanged
"""One thing wrong at a time; of `Whole` nothing."""
