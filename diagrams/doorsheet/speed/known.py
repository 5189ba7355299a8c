"""What a mapping says of speed, as plain numbers, and what it leaves unsaid.

Sums are in `doorsheet.speed.expect`; for the signal the final stage is solved once, and every command is a
state of it.  A figure that nobody gave is None, and `blanks` says where it can be read; no figure is ever
supplied in its place.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache, partial
from typing import Final, TypeAlias

from doorsheet.circuit.sides import words
from doorsheet.electrics import Level, Solved, solve
from doorsheet.electrics.events import commanded
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import SpeedControl
from doorsheet.mapping.other_tables import Done
from doorsheet.mapping.quantities import read_quantity
from doorsheet.mapping.reading import ReadMapping
from doorsheet.mapping.signals import RANGES, Signal
from doorsheet.mapping.speeds import Motor, Speeds, logged_pair
from doorsheet.speed.regression import Pair

__all__ = [
    "Blank", "Path", "SpeedFacts", "Timing", "Tolerance", "number", "percent", "shown", "speed_facts",
    "unit_of",
]  # fmt: skip


def _way(read: ReadMapping, drive: str, whole: Solved | None) -> Way | None:
    """Return the signal's way; None without an output, and without a way back."""
    speed = read.mapping.speed
    if speed is None or speed.source is None or speed.common is None or speed.source.other_end is None:
        return None
    return Way(whole or solve(read, "final"), drive)


_Entries: TypeAlias = tuple[tuple[float, ...], ...]
"""Measured speeds as the mapping has them."""

_SHOWN: Final = {"V": ("V", 1.0), "A": ("mA", 1000.0)}


def unit_of(signal: Signal) -> str:
    """Return the unit that a signal is shown in: V or mA."""
    return _SHOWN[signal.unit][0]


def shown(signal: Signal, value: float) -> float:
    """Return a value of a signal, V or A, in the unit that it is shown in."""
    return value * _SHOWN[signal.unit][1]


@dataclass(frozen=True, slots=True)
class Blank:
    """A figure that nobody gave: what it is, and where to read it."""

    what: str
    ask: str
    ask_on_paper: str  # likewise, for who has the paper and not the file


@dataclass(frozen=True, slots=True)
class Path:
    """What is said of the way of the speed signal, from the controller's output into the drive."""

    source: Signal | None  # the output's range; None: no source
    source_name: str
    source_is_default: bool
    top: float | None  # what the source really gives at full command, in its unit as shown
    drive: Signal | None  # the input's range; None where nobody says
    drive_name: str
    offset: float | None  # at the drive's input, in the drive's unit as shown; given, else None

    @property
    def turns(self) -> bool:
        """Whether the signal's sign turns the motor: reverse is then a negative command."""
        return self.source is not None and self.source.reverse is not None


@dataclass(frozen=True, slots=True)
class Tolerance:
    """One part of the error to allow for, in % of the top speed; None: not given."""

    name: str
    percent: float | None


@dataclass(frozen=True, slots=True)
class Timing:
    """Ramps and waits, s; None: not given."""

    ramp_up_s: float | None
    ramp_down_s: float | None
    coast_s: float | None
    stops_by: str | None  # "ramp" or "coast"
    wait_start_s: float | None
    wait_stop_s: float | None
    margin_s: float | None
    cap_s: float | None


@dataclass(frozen=True, slots=True)
class SpeedFacts:
    """Everything that a mapping says of speed; None: not given."""

    machine: str
    poles: int | None
    rated_hz: float | None
    rated_rpm: float | None
    ratio: float  # turns of the tool for one of the motor; 1 where none is given
    ratio_is_given: bool
    min_hz: float | None
    max_hz: float | None
    full_scale_rpm: float | None
    top_speed_rpm: float | None
    path: Path
    tolerances: tuple[Tolerance, ...]
    pairs: tuple[Pair, ...]  # of the tool's speed
    older: _Entries  # as measured, of a command that was measured again on a later day
    measured_at: str  # "tool" or "motor"
    unsigned: bool  # readings without a sign were given that of their command
    timing: Timing
    stop_category: str | None
    discharge: str | None
    presets: tuple[str, ...]  # controls that have the drive run at a speed of its own setting
    by_presets: bool  # speeds are chosen by switches alone, without a signal
    way: Callable[[], Way | None] = field(compare=False)  # the signal's, solved when it is asked for

    def at_source(self, share: float) -> Level | None:
        """Return what stands at the controller's output for a share of full command, V or A."""
        way = self.way()
        if way is None or way.given is None:
            return None
        return (way.source_amps if way.given.unit == "A" else way.source_volts)(commanded(share))

    def at_drive(self, share: float) -> Level | None:
        """Return what the drive's input reads, V or A; None where output and input can't be compared."""
        way = self.way()
        if way is None or way.given is None or way.taken is None:
            return None
        if way.given.unit == "A" and way.taken.unit == "V" and way.speed.burden is None:
            return None
        return way.signal(commanded(share), way.taken.unit)

    def share_of(self, commanded_rpm: float) -> float | None:
        """Return the share of full command; negative only where the signal's sign turns the motor."""
        if not self.full_scale_rpm:
            return None
        share = commanded_rpm / self.full_scale_rpm
        return share if self.path.turns else abs(share)


def speed_facts(read: ReadMapping, drive: str = "", whole: Solved | None = None) -> SpeedFacts:
    """Read the figures of a mapping that bear on speed; of several drives, `whole` is that of all, solved."""
    mapping = read.mapping
    motor = mapping.motor or Motor()
    speeds = mapping.speeds or Speeds()
    ratio = _ratio(motor)
    measured, older = _newest(speeds, [one for one in mapping.done if (one.drive or "") == drive])
    pairs, unsigned = _pairs(speeds, measured, ratio or 1.0)
    control = mapping.speed
    return SpeedFacts(
        machine=f"{mapping.machine}, {drive}" if drive else mapping.machine,
        poles=motor.poles,
        rated_hz=_middle(motor.frequency, "Hz"),
        rated_rpm=_middle(motor.speed, "rpm"),
        ratio=ratio or 1.0,
        ratio_is_given=ratio is not None,
        min_hz=_middle(motor.min_frequency, "Hz"),
        max_hz=_middle(motor.max_frequency, "Hz"),
        full_scale_rpm=_middle(speeds.full_scale, "rpm"),
        top_speed_rpm=_middle(control.top_speed, "rpm") if control else None,
        path=_path(control, speeds),
        way=cache(partial(_way, read, drive, whole)),
        tolerances=(
            Tolerance("the controller's output", _high(speeds.tolerance_source, "%")),
            Tolerance("the drive's input", _high(speeds.tolerance_input, "%")),
            Tolerance("the slip", _high(speeds.tolerance_slip, "%")),
        ),
        pairs=pairs,
        older=older,
        measured_at=speeds.measured_at or "tool",
        unsigned=unsigned,
        timing=_timing(speeds),
        stop_category=mapping.stop.category if mapping.stop else None,
        discharge=mapping.drive.discharge,
        presets=tuple(words(name) for name in mapping.control_names if name.startswith(("preset", "jog"))),
        by_presets=control is None and any(name.startswith("preset") for name in mapping.control_names),
    )


def _ratio(motor: Motor) -> float | None:
    """Return the tool's turns for one of the motor; None when nobody gave it."""
    if motor.pulleys is not None:
        own, tools = (_middle(pulley, "m") for pulley in motor.pulleys)
        return own / tools if own and tools else None  # the belt runs the same length over both
    return motor.ratio


def _newest(speeds: Speeds, log: Iterable[Done]) -> tuple[_Entries, _Entries]:
    """Return the measured speeds that count, and those that newer ones of the same command stand for.

    When each was measured the log says; those of one day all count, and so does one that it has not.
    """
    days = {one.result: one.when.date() for one in log if one.what == "speed" and one.when is not None}
    dated = [(entry, days.get(logged_pair(*entry[:2]), date.max)) for entry in speeds.measured]
    known = [(entry[0], day) for entry, day in dated if day != date.max]
    older = [any(one[0] == other and day < later for other, later in known) for one, day in dated]
    pairs = list(zip(speeds.measured, older, strict=True))
    return tuple(one for one, old in pairs if not old), tuple(one for one, old in pairs if old)


def _pairs(speeds: Speeds, measured: _Entries, ratio: float) -> tuple[tuple[Pair, ...], bool]:
    """Return the measured pairs as the tool's speed; and whether signs were supplied.

    A tachometer has no sign: where reverse was commanded and nothing negative was read, each reading
    takes the direction of its command.
    """
    scale = ratio if speeds.measured_at == "motor" else 1.0
    pairs = tuple(Pair(entry[0], entry[1] * scale, *entry[2:]) for entry in measured)
    reverse = any(pair.commanded_rpm < 0 < pair.real_rpm for pair in pairs)
    unsigned = reverse and all(pair.real_rpm >= 0 for pair in pairs)
    if unsigned:
        turned = (replace(one, real_rpm=-one.real_rpm) if one.commanded_rpm < 0 else one for one in pairs)
        pairs = tuple(turned)
    return pairs, unsigned


def _path(control: SpeedControl | None, speeds: Speeds) -> Path:
    source, taken = (control.source, control.range) if control else (None, None)
    given, drive = RANGES[source.range] if source else None, RANGES[taken] if taken else None
    return Path(
        source=given,
        source_name=source.range if source else "",
        source_is_default=source is not None and source.range_is_default,
        top=_signal(source.top if source else None, given),
        drive=drive,
        drive_name=taken or "",
        offset=_signal(speeds.offset, drive),
    )


def _timing(speeds: Speeds) -> Timing:
    """Return the times; of a range, the end that is the worse for a wait."""
    up, down, coast = (_high(text, "s") for text in (speeds.ramp_up, speeds.ramp_down, speeds.coast))
    start, stop, cap = (_low(text, "s") for text in (speeds.wait_start, speeds.wait_stop, speeds.wait_cap))
    stops_by = None if speeds.stops_by == "unknown" else speeds.stops_by
    return Timing(up, down, coast, stops_by, start, stop, _high(speeds.wait_margin, "s"), cap)


# ---- Figures ----


def _low(text: str | None, unit: str) -> float | None:
    return None if text is None else read_quantity(text, unit).low


def _high(text: str | None, unit: str) -> float | None:
    return None if text is None else read_quantity(text, unit).high


def _middle(text: str | None, unit: str) -> float | None:
    return None if text is None else sum(read_quantity(text, unit)[:2]) / 2


def _signal(text: str | None, like: Signal | None) -> float | None:
    """Return a signal as it is shown, V or mA, when it is in the unit of the other."""
    found = read_quantity(text, "V", "A") if text is not None else None
    if found is None or like is None or found.unit != like.unit:
        return None
    return shown(like, (found.low + found.high) / 2)


def number(value: float, places: int = 3) -> str:
    """Write a number with at most so many places, without zeros at the end.

    >>> number(2.50), number(11999.6, 0), number(-0.0001)
    ('2.5', '12000', '0')
    """
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def percent(share: float) -> str:
    """Write a share in per cent, with one place where it has one.

    >>> percent(0.25), percent(0.0225)
    ('25 %', '2.2 %')
    """
    return f"{number(share * 100, 1)} %"
