"""What happens when a wire opens, touches a neighbour or touches earth, in words.

Every row is read off the solution of the network with that one fault in it.  What the solution can't say,
because the drive decides or nobody wrote it down, the table says so and asks to measure; it never promises.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final, NamedTuple

from doorsheet.checks.examined import MOVES
from doorsheet.circuit.parts import BlockKind, PartKind, Wire, of_drive
from doorsheet.circuit.reading_words import listed, show, show_past
from doorsheet.circuit.sides import words
from doorsheet.electrics import Level, Solved, State
from doorsheet.electrics.events import REST, Earthed, Event, Fault, Opened, Touching, Unfitted, Use
from doorsheet.electrics.failures import Change, Consequence, Overload, Shift, consequences
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import SWITCHED_NAMES, DriveContact
from doorsheet.mapping.signals import Signal
from doorsheet.trade.language import capital, tr, tr_later

__all__ = ["Failure", "failures"]

_MOVES: Final = frozenset((*MOVES, "enable"))
"""Controls that move the motor, or let it move."""

_ALERTS: Final = _MOVES | {name for name in SWITCHED_NAMES if name.startswith("preset")}
"""Those, and what has a motor that runs turn at another speed: nobody says that it is no faster."""

_SHORTED: Final = {
    "inputs' supply": tr_later("the drive's supply of the inputs"),
    "feed": tr_later("the drive's supply of the inputs"),
    "controller's supply": tr_later("the controller's supply"),
    "reference": tr_later("the reference supply"),
    "source": tr_later("the analog output"),
    "pulses": tr_later("the pulse output"),
    "converter's supply": tr_later("the converter's supply"),
}
_COMMANDS: Final = {
    -1.0: tr_later("full reverse"),
    0.0: tr_later("zero"),
    0.5: tr_later("half"),
    1.0: tr_later("full"),
}

_FULL_V: Final = 10.0
"""The usual range's end, where nobody names one."""

_STEADY_V: Final = 0.25
"""A signal less than this below 0 V is not the other way round (common practice, no source)."""

_SHUT: Final = tr_later("The controller sees it closed for good: always {contact}, or never. Measure which.")
_OPEN: Final = tr_later(
    "The controller sees the contact open for good: always {contact}, or never. Measure which."
)
_MUTE: Final = tr_later("DANGER: a contact that closes on fault can't report any more, and nothing shows it.")


class Failure(NamedTuple):
    """A wire, and what follows when it opens, when it touches what is beside it, when it touches earth."""

    wire: Wire
    opens: str
    touches: str
    earth: str


def failures(solved: Solved, tell: Callable[[str], None] = lambda _: None) -> tuple[Failure, ...]:
    """Return what happens for every wire fitted at a stage; `tell` hears which is being worked out."""
    found = []
    for wire in solved.circuit.wires:
        tell(f"working out what opens or touches at wire {wire.number}")
        found.append(_failure(solved, wire))
    return tuple(found)


def _failure(solved: Solved, wire: Wire) -> Failure:
    opens, earth = "", ""
    touches: dict[str, list[str]] = {}
    for found in consequences(solved, wire):
        words = *_by_itself(solved, wire, found), *_words(solved, found), *_report(solved, wire, found.fault)
        said = " ".join(words) or tr("Hidden fault.")
        match found.fault:
            case Opened(joined=()):
                opens = said
            case Opened():
                behind = tr("Between rail and drive: {faults}", faults=said)
                opens = f"{opens} {behind}" if said != opens else opens
            case Unfitted(key):
                opens = " ".join((opens, tr("{part} open: {fault}", part=key[2], fault=said)))
            case Touching(other=other):
                touches.setdefault(said, []).append(other.full)
            case Earthed():
                earth = said
    beside = " ".join(f"{', '.join(labels)}: {said}" for said, labels in touches.items())
    nothing = tr("Nothing beside it.")
    if wire.far.block is BlockKind.CONTROLLER:
        nothing = tr("It is looped at the controller. What stands beside it there: look.")
    return Failure(wire, opens, beside or nothing, earth)


def _by_itself(solved: Solved, wire: Wire, found: Consequence) -> Iterator[str]:
    """Say that a control of the wire, or of what it touches, is on without the fault too: its output breaks
    down.
    """
    told = {change.use for change in found.starts if change.event == REST}
    controls, fault = solved.installation.controls, found.fault
    if isinstance(fault, Opened):
        fault = replace(
            fault, unsaid=False
        )  # which opens the loop: an unknown earth closes it with the wire too
    ends = {fault.one, fault.other} if isinstance(fault, Touching) else set()
    own = {use for use, one in controls.items() if solved.at_drive(one.input, use[0]) in ends}
    own |= {(wire.drive, control) for control in wire.controls} & controls.keys()
    for use in sorted(own - told):
        past, now = (ask(use, fault=fault) for ask in (solved.by_itself, solved.state))
        now = past if now is State.OFF else now
        if State.OFF in (now, solved.by_itself(use)):
            continue
        on = tr_later("{control} is on by itself, with this fault or without: its output breaks down.")
        may = tr_later(
            "{control} may be on by itself, with this fault or without: its output is past its rating."
        )
        yield _warned(tr(on if now is State.ON else may, control=_name(use)), use[1] in _ALERTS)


def _words(solved: Solved, found: Consequence) -> Iterator[str]:
    at_rest = [change for change in found.starts if change.event == REST]
    yield from (_starts(change) for change in at_rest)
    alone_on = {change.use for change in at_rest}
    pairs: dict[frozenset[Use], State] = {}
    by_speed: dict[tuple[Use, State], list[str]] = {}
    for change in (change for change in found.starts if change.use not in alone_on):
        if share := change.event.command:
            by_speed.setdefault((change.use, change.now), []).append(tr(_COMMANDS[share]))
        else:
            pairs.setdefault(change.event.closed | {change.use}, change.now)
    yield from (_at_speed(use, now, commands) for (use, now), commands in by_speed.items())
    yield from (_together(pair, now) for pair, now in pairs.items())
    yield from _bypassed(found)
    for change in found.stops:
        stays = change.now is State.OFF
        words = tr_later("{control} stays off.") if stays else tr_later("{control} may stay off.")
        yield tr(words, control=capital(_name(change.use)))
    starts = any(change.use[1] in _MOVES for change in at_rest)
    yield from _signals(solved, found, starts)
    yield from map(_overload, found.overloads)
    for keys, words in (
        (found.conflict, tr_later("{supply} is shorted.")),
        (found.perhaps, tr_later("{supply} may be shorted.")),
    ):
        for kind in dict.fromkeys(_SHORTED[key] for key in keys):
            yield tr(words, supply=capital(tr(kind)))


def _starts(change: Change) -> str:
    """Say that an input is on, or may be, which nobody commanded."""
    on = change.now is State.ON
    words = tr_later("{control} is on.") if on else tr_later("{control} may come on.")
    return _warned(tr(words, control=_name(change.use)), change.use[1] in _ALERTS)


def _at_speed(use: Use, now: State, commands: list[str]) -> str:
    """Say that a speed signal brings an input on, or holds it, which nobody commanded."""
    on = now is State.ON
    words = tr_later("{control} is on at {speeds} speed.")
    words = words if on else tr_later("{control} may be on at {speeds} speed.")
    return _warned(tr(words, control=_name(use), speeds=listed(commands)), use[1] in _ALERTS)


def _together(pair: frozenset[Use], now: State) -> str:
    """Say that a control brings another on, which nobody commanded."""
    on = now is State.ON
    words = tr_later("{controls} come on together.") if on else tr_later("{controls} may come on together.")
    both = listed([_name(use) for use in sorted(pair)])
    return _warned(tr(words, controls=both), any(name in _ALERTS for _, name in pair))


_BYPASSED: Final = {
    (State.ON, False): tr_later("{contacts} no longer opens {control}."),
    (State.ON, True): tr_later("{contacts} no longer open {control}."),
    (State.UNSURE, False): tr_later("{contacts} may no longer open {control}."),
    (State.UNSURE, True): tr_later("{contacts} may no longer open {control}."),
}
"""By what the control then is, and whether there are several contacts."""


def _bypassed(found: Consequence) -> Iterator[str]:
    """Say that contacts no longer open a control, the stop's among them."""
    groups: dict[tuple[Use, State], list[str]] = {}
    for one in found.bypassed:
        groups.setdefault((one.use, one.now), []).append(of_drive(one.use[0], one.contact))
    for (use, now), names in groups.items():
        words = tr(_BYPASSED[now, len(names) > 1], contacts=listed(names), control=_name(use))
        yield _warned(words, use[1] in _ALERTS)


def _warned(said: str, danger: bool) -> str:
    return tr("DANGER: {fault}", fault=said) if danger else capital(said)


def _name(use: Use) -> str:
    return of_drive(use[0], words(use[1]))


def _signals(solved: Solved, found: Consequence, starts: bool) -> Iterator[str]:
    """Yield what a speed signal is, by what is closed.

    Beside a start, or another drive's command, only what is more than commanded.
    """
    groups: dict[tuple[str, Event], list[Shift]] = {}
    for shift in found.shifts:
        beside = replace(shift.event, command=0.0)
        groups.setdefault((shift.drive, beside), []).append(shift)
    for (drive, beside), shifts in groups.items():
        signal = Way(solved, drive).scale
        own = {one.event.of(drive).command: one.now for one in shifts}
        lost = ""
        if signal is not None and signal.rest > 0:
            # surely below what a live zero is told from a broken wire by
            left = {share: level for share, level in own.items() if _may_reach(level, signal.rest / 2)}
            if len(left) < len(own):
                said = tr("signal lost: the drive does what its loss-of-signal setting says.")
                yield from () if starts else (capital(of_drive(drive, said)),)
            elif any(level.low < signal.rest / 2 for level in own.values()):
                if not any(one.was.is_known or one.rises for one in shifts):
                    said = tr("signal may be lost: the drive does what its loss-of-signal setting says.")
                    yield from () if starts else (capital(of_drive(drive, said)),)
                    continue
                lost = " " + tr("Or signal lost: the drive does what its loss-of-signal setting says.")
            own = left
        faster = {share: level for share, level in own.items() if _turns(level, signal, share)}
        whole = beside.only is None and (0.0 in faster or not starts)
        if told := own if whole else faster:
            yield _warned(_levels(drive, beside, told), bool(faster)) + lost * (not faster)


def _levels(drive: str, beside: Event, own: dict[float, Level]) -> str:
    alike: dict[str, list[str]] = {}
    for share, level in sorted(own.items()):
        alike.setdefault(_level(level), []).append(tr(_COMMANDS[share]))
    said = (tr("at {commands} {level}", commands=listed(on), level=said) for said, on in alike.items())
    levels = ", ".join(said)
    if beside.only is not None:
        whole = tr("speed signal {levels}, with {drive} at full.", levels=levels, drive=beside.only)
        return of_drive(drive, whole)
    if not beside.closed:
        return of_drive(drive, tr("speed signal {levels}.", levels=levels))
    controls = listed([_name(use) for use in sorted(beside.closed)])
    return of_drive(drive, tr("speed signal with {controls} on {levels}.", controls=controls, levels=levels))


_FED: Final = {
    "reference": (
        tr_later("reference supply may get up to {level}, and be destroyed."),
        tr_later("reference supply gets up to {level}, and may be destroyed."),
    ),
    "source": (
        tr_later("analog output may get up to {level} from outside, and be destroyed."),
        tr_later("analog output gets up to {level} from outside, and may be destroyed."),
    ),
    "pulses": (
        tr_later("pulse output may get up to {level} from outside, and be destroyed."),
        tr_later("pulse output gets up to {level} from outside, and may be destroyed."),
    ),
}
"""What gives and takes nothing back: when it may be fed more than its own, when it surely is."""


def _overload(one: Overload) -> str:
    """Say that a speed input, an output or what gives gets more than it can take, or may."""
    most = max(abs(one.level.low), abs(one.level.high))
    got = show_past(most, one.limit.low, one.level.unit, 2)
    said = tr_later("speed input may get up to {level}, past its limit of {limit}.")
    if one.kind in _FED:
        said = _FED[one.kind][one.surely]
    elif one.kind != "analog input":
        what = tr("output of {control} may carry too much, and be destroyed.", control=words(one.kind))
        return capital(of_drive(one.drive, what))  # what moves is said already
    elif not one.limit.is_known:
        said = tr_later("speed input may get up to {level}: look up its limit.")
    elif one.surely:
        said = tr_later("speed input gets up to {level}, past its limit of {limit}.")
    return _warned(of_drive(one.drive, tr(said, level=got, limit=one.limit.value)), danger=True)


def _may_reach(level: Level, least: float) -> bool:
    return bool(level.floating or level.conflict) or max(abs(level.low), abs(level.high)) >= least


def _turns(level: Level, signal: Signal | None, share: float) -> bool:
    """Whether the motor may turn faster than commanded, or backwards, by more than a tenth of the range."""
    if share and level.conflict:
        return False  # of a short nobody knows what is left
    rest, full = (signal.rest, signal.full) if signal is not None else (0.0, _FULL_V)
    still = (full - rest) / 10
    signed = signal is not None and signal.reverse is not None
    backwards = signed and (level.high > still if share < 0 else level.low < -still)
    if abs(share) == 1:
        return backwards  # a drive goes no faster than its limit
    # what a short leaves is no figure, but nothing is nothing: one past the signal has it on its own common
    most = still if level.conflict else rest + share * (full - rest) + still
    return level.floating or backwards or level.high > most


def _level(level: Level) -> str:
    """Say a level as a person reads it; what nobody can tell is to be measured."""
    if level.floating or level.conflict:
        return tr("to be measured")
    if not level.is_known and level.low < -_STEADY_V:
        ends = round(level.low, 2), round(level.high, 2) + 0.0  # no −0
        return tr("{volts}, measure", volts=show(*ends, level.unit, 2))
    if not level.is_known:
        return tr("up to {volts}, measure", volts=show(level.high, level.high, level.unit, 2))
    places = 2 if level.unit == "V" else 5
    return show(round(level.low, places), round(level.high, places), level.unit, 3)


def _report(solved: Solved, wire: Wire, fault: Fault) -> Iterator[str]:
    """Say what a report comes to: its relay may be energised in either state, which the drive decides."""
    control = solved.installation.figures[wire.drive].mapping.control(wire.control)
    own = control if isinstance(control, DriveContact) else None
    if isinstance(fault, Touching):
        contacts = [part for part in solved.circuit.parts if part.kind is PartKind.DRIVE_CONTACT]
        at = {pin.terminal: part.control for part in contacts for pin in part.pins}
        if own is not None and fault.one in at and at[fault.one] == at.get(fault.other):
            yield tr(_SHUT, contact=words(wire.control))
        elif name := wire.control if own is not None else at.get(fault.other):
            yield tr("The {contact} contact may report wrongly.", contact=words(name))
    elif own is not None and isinstance(fault, Earthed):
        yield tr("As the controller's input is built: measure.")
    elif own is not None:
        if wire.control == "fault":  # however it is without power, nobody says what it does on a fault
            yield tr(_MUTE)
        yield tr(_OPEN, contact=words(wire.control))
