"""What happens when a wire opens, touches a neighbour or touches earth, in words (booklet room).

Every row is read off the solution of the network with that one fault in it.  What the solution can't say,
because the drive decides or nobody wrote it down, the table says so and asks to measure; it never promises.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.checks.examined import listed
from doorsheet.circuit.parts import Wire, of_drive
from doorsheet.circuit.ranges import Interval, show
from doorsheet.electrics import Level, Solved, State
from doorsheet.electrics.events import REST, Earthed, Opened, Touching, Use
from doorsheet.electrics.failures import Change, Consequence, consequences
from doorsheet.mapping.controls import DriveContact
from doorsheet.mapping.signals import RANGES, Signal

__all__ = ["Failure", "failures"]

_MOVES: Final = frozenset({"run-forward", "run-reverse", "jog", "enable"})
"""Controls that move the motor, or let it move."""

_SHORTED: Final = {
    "inputs' supply": "the drive's supply of the inputs",
    "feed": "the drive's supply of the inputs",
    "controller's supply": "the controller's supply",
    "reference": "the reference supply",
    "source": "the analog output",
    "pulses": "the pulse output",
    "converter's supply": "the converter's supply",
}
_NO_CURRENT_V: Final = 0.02
"""A milliampere input that has less than this over it gets no current (4 mA make 0.04 V even in 10 ohm)."""

_FULL_V: Final = 10.0
"""The usual range's end, where nobody names one."""

_LOST: Final = "the drive does what its loss-of-signal setting says."
_HIDDEN: Final = "Hidden fault."
_NONE: Final = "Nothing beside it."


@dataclass(frozen=True, slots=True)
class Failure:
    """A wire, and what follows when it opens, when it touches what is beside it, when it touches earth."""

    wire: Wire
    opens: str
    touches: str
    earth: str

    @property
    def said(self) -> tuple[str, str, str]:
        """The three of them, in the order of the table."""
        return self.opens, self.touches, self.earth


def failures(solved: Solved) -> tuple[Failure, ...]:
    """Return what happens for every wire fitted at a stage."""
    return tuple(_failure(solved, wire) for wire in solved.circuit.wires)


def _failure(solved: Solved, wire: Wire) -> Failure:
    control = solved.installation.figures[wire.drive].mapping.control(wire.control)
    if isinstance(control, DriveContact):
        return _contact(wire, control)
    opens, earth = "", ""
    touches: dict[str, list[str]] = {}
    for found in consequences(solved, wire):
        said = " ".join(_words(solved, found)) or _HIDDEN
        match found.fault:
            case Opened():
                opens = said
            case Touching(other=other):
                touches.setdefault(said, []).append(other.full)
            case Earthed():
                earth = said
    beside = " ".join(f"{', '.join(labels)}: {said}" for said, labels in touches.items())
    return Failure(wire, opens, beside or _NONE, earth)


def _words(solved: Solved, found: Consequence) -> Iterator[str]:
    """Yield what one fault does, the worst first."""
    at_rest = [change for change in found.starts if change.event == REST]
    yield from (_starts(change) for change in at_rest)
    alone_on = {change.use for change in at_rest}
    pairs: dict[frozenset[Use], State] = {}
    for change in found.starts:
        if change.use not in alone_on:
            pairs.setdefault(change.event.closed | {change.use}, change.now)
    yield from (_together(pair, now) for pair, now in pairs.items())
    for change in found.stops:
        may = "stays" if change.now is State.OFF else "may stay"
        yield f"{_name(change.use).capitalize()} {may} off."
    yield from _signals(solved, found)
    for kinds, words in ((found.conflict, "is"), (found.perhaps, "may be")):
        for kind in dict.fromkeys(_SHORTED[key] for key in kinds):
            yield f"{kind[0].upper()}{kind[1:]} {words} shorted."


def _starts(change: Change) -> str:
    """Say that an input is on, or may be, which nobody commanded."""
    danger = "DANGER: " if change.use[1] in _MOVES else ""
    name = _name(change.use)
    said = f"{name} is on" if change.now is State.ON else f"{name} may come on"
    return f"{danger}{said if danger else said.capitalize()}."


def _together(pair: frozenset[Use], now: State) -> str:
    """Say that a control brings another on, which nobody commanded."""
    danger = "DANGER: " if any(name in _MOVES for _, name in pair) else ""
    come = "come" if now is State.ON else "may come"
    said = f"{listed([_name(use) for use in sorted(pair)])} {come} on together."
    return danger + (said if danger else said[0].upper() + said[1:])


def _name(use: Use) -> str:
    return of_drive(use[0], use[1].replace("-", " "))


def _signals(solved: Solved, found: Consequence) -> Iterator[str]:
    for drive in dict.fromkeys(shift.drive for shift in found.shifts):
        own = {shift.event.command: shift.now for shift in found.shifts if shift.drive == drive}
        signal = _signal_of(solved, drive)
        if signal is not None and signal.rest > 0:
            lost = {share: level for share, level in own.items() if _is_lost(level, signal)}
            own = {share: level for share, level in own.items() if share not in lost}
            if lost:
                yield f"{of_drive(drive, 'Signal')} lost: {_LOST}"
        if not own:
            continue
        rest = own.get(0.0)
        danger = "DANGER: " if rest is not None and _turns(rest, signal) else ""
        levels = ", ".join(f"{_command(share)} {_level(level)}" for share, level in sorted(own.items()))
        yield f"{danger}{of_drive(drive, 'Speed signal')} {levels}."


def _signal_of(solved: Solved, drive: str) -> Signal | None:
    """Return the range that a drive reads its speed signal by; None where nobody says."""
    speed = solved.installation.figures[drive].mapping.speed
    if speed is None:
        return None
    said = speed.range or (speed.source.range if speed.source is not None else None)
    if said is not None and RANGES[said].unit == "A" and solved.installation.reads_volts(drive):
        return None  # on the bench the input is set to what a potentiometer gives
    return RANGES[said] if said is not None else None


def _is_lost(level: Level, signal: Signal) -> bool:
    """Whether a level is surely below what a live zero is told from a broken wire by; a current has none."""
    least = signal.rest / 2 if signal.unit == "V" else _NO_CURRENT_V
    return not (level.floating or level.conflict) and max(abs(level.low), abs(level.high)) < least


def _turns(level: Level, signal: Signal | None) -> bool:
    """Whether the motor may turn at a signal that should let it stand: more than a tenth of the range."""
    if level.floating or level.conflict:
        return True
    rest, full = (signal.rest, signal.full) if signal is not None and signal.unit == "V" else (0.0, _FULL_V)
    still = (full - rest) / 10
    backwards = signal is not None and signal.reverse is not None and level.low < -still
    return backwards or level.high > rest + still


def _command(share: float) -> str:
    return {0.0: "at zero", 0.5: "at half", 1.0: "at full"}[share]


def _level(level: Level) -> str:
    """Say a level as a person reads it; what nobody can tell is to be measured."""
    if level.floating or level.conflict:
        return "anything, measure"
    if not level.is_known:
        return f"up to {show(Interval.of(level.high), 'V', 2)}, measure"
    return show(Interval(round(level.low, 2), round(level.high, 2)), "V", 3)


def _contact(wire: Wire, control: DriveContact) -> Failure:
    """A contact's relay may be energised in either state, which the drive decides; so nothing is promised."""
    name = wire.control
    opens = f"The controller sees the contact open for good: always {name}, or never. Measure which."
    if name == "fault" and control.normally == "open":
        opens = "DANGER: a contact that closes on fault can't report any more, and nothing shows it."
    touches = f"The controller sees it closed for good: always {name}, or never. Measure which."
    return Failure(wire, opens, touches, "As the controller's input is built: measure.")
