"""The readings that checks compare, all turned the same way: black lead on the common; checks of two of them.

Readings of the mapping's list, and each control's `meter` and `meter-closed` that stand in it themselves.
"""

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain, combinations
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.dangers import POWER_WORDS, every_reading, is_dangerous, own_readings
from doorsheet.checks.examined import Figure, Found, Path, Report, exceeds, once
from doorsheet.checks.example import RUN, UNREAD, readings
from doorsheet.circuit.reading_words import volts
from doorsheet.electrics.figures import NEAR_ZERO_V, POWER_LABEL
from doorsheet.mapping.controls import SwitchedControl, drive_ends
from doorsheet.mapping.meter import Taken
from doorsheet.mapping.metered import OWN
from doorsheet.mapping.same_reading import LOGIC_V, SAME_V, signs_differ

__all__ = [
    "REPEAT_SHARE", "Read", "apart", "barred", "changes_nothing", "commons", "destroying", "first_read",
    "groups", "hands_off", "read_of", "reads", "replaced",
]  # fmt: skip

REPEAT_SHARE: Final = 0.1  # share by which two readings of one thing may differ (common practice, no source)


@dataclass(frozen=True, slots=True)
class Read:
    """A reading turned to the leads that the findings speak of, and where the mapping has it."""

    red: str
    black: str
    volts: float
    state: str  # with the command of a signal, where one is given: "plugged, at 50 %"
    path: Path
    figure: Figure

    @property
    def leads(self) -> str:
        """Where the leads stand, in words."""
        return f"red on {self.red}, black on {self.black}, {self.state}"

    @property
    def asked(self) -> str:
        """The same as a thing to measure."""
        return f"DC volts, {self.leads}"

    def turned(self, red: str, black: str) -> float:
        """Return the figure with the leads so; the points must be those of the reading."""
        if {red, black} != {self.red, self.black}:
            raise ValueError(f"{self.leads} is no reading of {red} and {black}")
        return self.volts if red == self.red else -self.volts


@once
def commons(report: Report) -> tuple[str, ...]:
    """Return the drive's terminals that are some control's common, by label."""
    ends = [end for name in report.names for end in drive_ends(report.mapping.control(name))]
    return tuple(sorted({label for key, label in ends if key == "common"}))


def _point(report: Report, one: str, other: str) -> tuple[str, str]:
    """Return two points as red and black: black on the common where one of them is, else by label."""
    red, black = sorted((one, other))
    known = commons(report)
    return (black, red) if red in known and black not in known else (red, black)


@once
def reads(report: Report) -> tuple[Read, ...]:
    """Return every reading in volts: the list's in its order, then those that controls give themselves.

    Left out are those that can kill or destroy: nobody is sent to measure there again.
    """
    return tuple(read for read in _every(report) if not destroys(report, read))


def destroys(report: Report, read: Read) -> bool:
    """Whether a reading is more than stands it where it was taken."""
    return exceeds(abs(read.volts), report.figures.bears_v(read.red, read.black))


def destroying(report: Report) -> Iterator[tuple[Read]]:
    """Yield the readings in volts that are left out of all others since they destroy an input."""
    yield from ((read,) for read in _every(report) if destroys(report, read))


@once
def barred(report: Report) -> dict[str, str]:
    """Return the drive's terminals of controls and readings that are no control terminals.

    Each with the reason why the mapping leaves it out; "" where its label alone says so.
    """
    used = {label for name in report.names for _, label in drive_ends(report.mapping.control(name))}
    read = {label for taken in report.mapping.taken for label in (taken.red, taken.black)} - used
    dropped = report.mapping.drive.dropped
    out = {label: why for why, labels in dropped.items() for label in labels}
    # whoever looks for an earthed common measures at PE, and at what is not used there is no harm
    live = {
        one for one in (read & out.keys()) - {"PE"}
        if POWER_LABEL.fullmatch(one) or re.search(POWER_WORDS, out[one], re.IGNORECASE)
    }  # fmt: skip
    return report.figures.of_power | {one: out[one] for one in live}


@once
def hands_off(report: Report) -> frozenset[str]:
    """Return the drive's terminals that nobody is sent to measure at.

    One end of a reading that can kill or destroy, no control terminal and yet a control's or read, or a
    supply that is named as an input.
    """
    deadly = (one[1:3] for one in every_reading(report) if is_dangerous(*one[3:]))
    ends = chain(*deadly, *((read.red, read.black) for (read,) in destroying(report)))
    return frozenset(ends) | barred(report).keys() | report.figures.hands_off


@once
def _every(report: Report) -> tuple[Read, ...]:
    listed = [read_of(report, taken) for taken in report.mapping.taken if taken.unit == "V"]
    own: dict[tuple[str, str, float, str], Path] = {}
    for path, control, value in own_readings(report):
        if control.common is not None:
            state = "open" if path[1] == "meter" else "closed"
            own.setdefault((control.input, control.common, value, state), path)
    every = listed + [_read(report, *read, path) for read, path in own.items()]
    return tuple(read for read in every if not is_dangerous(read.volts))


def replaced(report: Report) -> Iterator[tuple[Taken, Taken]]:
    """Yield a reading in volts that no longer counts, and the newest of the same thing."""
    for old, new in report.mapping.replaced:
        if new.unit != "V" or is_dangerous(old.volts) or is_dangerous(new.volts):
            continue
        if not destroys(report, read_of(report, new)):
            yield old, new


def read_of(report: Report, taken: Taken) -> Read:
    """Return a reading in volts turned the way that findings speak of it."""
    path: Path = ("readings", taken.index)
    read = _read(report, taken.red, taken.black, taken.volts, taken.at, path)
    if taken.index == OWN:  # the control's line is that of the newer reading by now
        return replace(read, figure=replace(read.figure, origin="the control's own meter"))
    if taken.when is None:
        return read
    origin = f"{read.figure.origin}, {taken.when:%Y-%m-%d %H:%M}"
    return replace(read, figure=replace(read.figure, origin=origin))


def _read(report: Report, red: str, black: str, value: float, state: str, path: Path) -> Read:
    ends = _point(report, red, black)
    if ends != (red, black):
        red, black, value = black, red, -value
    value += 0.0  # so that zero is never -0
    said = report.origin(*path, how="measured")
    return Read(red, black, value, state, path, Figure(f"reading, {state}", volts(value), said))


def apart(one: float, other: float, share: float = REPEAT_SHARE) -> bool:
    """Whether two readings differ by more than a share of the larger, and by more than `SAME_V`."""
    return exceeds(abs(one - other), max(SAME_V, share * max(abs(one), abs(other))))


@once
def groups(report: Report) -> dict[tuple[str, str, str], list[Read]]:
    """Return the readings of each two points in each state, in the order of the lines."""
    by_points: dict[tuple[str, str, str], list[Read]] = defaultdict(list)
    for read in reads(report):
        by_points[read.red, read.black, read.state].append(read)
    return dict(by_points)


def first_read(report: Report, one: str, other: str, state: str) -> Read | None:
    """Return the first reading between two points in a state, if there is one."""
    return next(iter(groups(report).get((*_point(report, one, other), state), [])), None)


def _repeats(report: Report) -> Iterator[tuple[Read, Read]]:
    for group in groups(report).values():
        yield from combinations(group, 2)


@stop.each(_repeats, "R101", readings("DI1, COM: 24.3 V", "COM, DI1: 24.3 V"), UNREAD)
def _repeat_of_other_sign(report: Report, one: Read, other: Read) -> Found:
    """Two readings of the same points have opposite signs.
    The same two points in the same state were read twice, once plus and once minus, so neither shows which
    side is plus, and the polarity is not taken from them. A control's meter counts as a reading.
    Formula: sign(one) = sign(other), where both are more than 0.5 V
    Source: follows from what a voltage is: two points have one at a time; 0.5 V is chosen here, no source"""
    if signs_differ(one.volts, other.volts):
        yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
            f"{one.leads}, reads {one.figure} and {other.figure}: neither shows which of the two is plus",
            f"measure once more before anything is connected: {one.asked}",
        )


@caution.each(_repeats, "R102", readings("DI1, COM: 24.3 V", "COM, DI1: -21.8 V"), UNREAD)
def _repeat_differs(report: Report, one: Read, other: Read) -> Found:
    """Two readings of the same points differ.
    The same two points in the same state were read twice, with different figures. A lead was elsewhere, the
    state was another, or the supply is not steady. The other checks use the larger.
    Formula: abs(one - other) <= 0.5 V or 10 % of the larger, whichever is more
    Source: follows from what a voltage is: two points have one at a time; what is allowed is chosen here, no
    source"""
    if apart(one.volts, other.volts) and not signs_differ(one.volts, other.volts):
        far = volts(round(abs(one.volts - other.volts), 3))
        yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
            f"{one.leads}, reads {one.figure} and {other.figure}, {far} apart",
            f"measure once more: {one.asked}; strike out the one that it does not confirm",
        )


@caution.each(
    replaced,
    "R109",
    readings("DI1, COM: 24.3 V, open, 2026-11-24 09:30", "DI1, COM: 21.8 V, open, 2026-11-25 14:05"),
    UNREAD,
)
def _newer_differs(report: Report, old: Taken, new: Taken) -> Found:
    """A newer reading differs from the one before it.
    Of readings that have a date the newest counts, and the older stand as history. Where the last two differ,
    something was changed between them, or one of them is wrong. A third that agrees with the second settles
    it.
    Formula: abs(newest - the one before) <= 0.5 V or 10 % of the larger, whichever is more
    Source: follows from what a voltage is: two points have one at a time; what is allowed is chosen here, no
    source"""
    before, now = read_of(report, old), read_of(report, new)
    if apart(before.volts, now.volts):
        yield report.finding(now.path, now.figure, before.figure, terminals=(now.red, now.black))(
            f"{now.leads}, reads {now.figure}, and read {before.figure} before: the newer counts"
            f"{_between(report, old, new)}",
            f"say what was changed between the two; if nothing was, measure once more: {now.asked}",
        )


def _between(report: Report, old: Taken, new: Taken) -> str:
    """Name what the log has between two readings."""
    done = [
        action.what
        for action in report.mapping.done
        if action.when and new.when and (old.when or action.when) <= action.when <= new.when
        if action.drive in (None, report.drive)
    ]
    return f"; done between them: {', '.join(done)}" if done else ""


def _unchanged(report: Report) -> Iterator[tuple[Read, Read]]:
    """Yield the open and the closed reading of each input that its switch does not change."""
    ends = dict.fromkeys(_point(report, c.input, c.common) for _, c in report.switched if c.common)
    for red, black in ends:
        opened, closed = (first_read(report, red, black, state) for state in ("open", "closed"))
        if opened is None or closed is None:
            continue
        size = abs(opened.volts)
        if size >= NEAR_ZERO_V and not exceeds(size - max(SAME_V, REPEAT_SHARE * size), abs(closed.volts)):
            yield opened, closed


@caution.each(_unchanged, "R103", readings("DI1, COM: 24.3 V", "DI1, COM: 21.9 V, closed"), UNREAD)
def _closed_like_open(report: Report, one: Read, other: Read) -> Found:
    """The closed switch changes nothing at the input.
    A switch that closes takes away the voltage that the meter shows across it when open. Where it stays, the
    switch does not join these two terminals. An input at about 0 V open is not checked.
    Formula: abs(closed) < abs(open) less 10 % and less 0.5 V, where abs(open) >= 1 V
    Source: follows from Ohm's law: a closed switch has next to no resistance, so next to no voltage; what is
    allowed is chosen here, no source"""
    yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
        f"{one.red} against {one.black} reads {one.figure} open and {other.figure} closed: the closed switch "
        "or output does not join them",
        f"measure once more: {other.asked}, at the drive's own screws; about 0 V there means that this lead "
        "was elsewhere, the same again that it stays open, or that a wire is off or at another terminal",
    )


def _alternating(report: Report) -> Iterator[tuple[Taken]]:
    """Yield each reading of alternating current at a control's terminals that no later one of DC settles."""
    used = {label for name in report.names for _, label in drive_ends(report.mapping.control(name))}
    dated = [one for one in report.mapping.taken if one.when is not None and one.unit == "V"]
    for one in report.mapping.alternating:
        ends, since = {one.red, one.black}, one.when or datetime.min
        later = (each for each in dated if {each.red, each.black} == ends and abs(each.value) >= LOGIC_V)
        if any(each.when and each.when >= since for each in later) or ends <= {*commons(report)}:
            continue
        if ends <= used and abs(one.value) >= LOGIC_V and not is_dangerous(one.value, one.unit):
            yield (one,)


@stop.each(_alternating, "P115", readings("DI1, COM: 24 V AC"), RUN)
def _alternating_current(report: Report, taken: Taken) -> Found:
    """Alternating current at a control terminal.
    Inputs and outputs are joined here for direct current. Most likely the meter was on AC, and then its
    figure is none; if not, the terminal is another one, or its supply is AC: an output that lands there may
    be destroyed. A later reading in DC volts that shows a supply settles it; what kills is P108's.
    Formula: abs(AC reading) < 2 V, not between two commons
    Source: follows from how a diode works, and so an output or input of direct current: it conducts one way
    only; 2 V is chosen here, no source: less may be stray"""
    path: Path = ("readings", taken.index)
    figure = Figure("reading", taken.shown, report.origin(*path, how="measured"))
    yield report.finding(path, figure, terminals=(taken.red, taken.black))(
        f"{taken.red} reads {figure} against {taken.black}, {taken.at}: no control terminal has AC",
        f"is the meter on AC? Set it to DC volts, read again, red on {taken.red}, black on {taken.black}⟬, "
        "with its date⟭; if that shows no supply, connect nothing, and look in the manual which terminals "
        "these are",
    )


def changes_nothing(report: Report, control: SwitchedControl) -> bool:
    """Whether R103 says of a control that its switch changes nothing."""
    ends = {control.input, control.common}
    return any({one.red, one.black} == ends for one, _ in _unchanged(report))
