"""What speed is to be expected for a command: signal, frequency, synchronous and real speed.

The signal is read off the solution, the rest are closed forms on plain numbers.  Each figure that can't be
had from what was given is None, and `blanks` says what is missing and where it can be read.  Measured
speeds are in `doorsheet.speed.verdict`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.speed.known import Blank, Path, SpeedFacts, percent, shown
from doorsheet.trade.language import in_full, on_paper

__all__ = [
    "SHARES", "Band", "Row", "around", "band", "blanks", "expected_row", "expected_rows", "is_of_slip",
    "poles_that_fit", "rated_lag_rpm", "rated_slip", "slip", "synchronous_rpm", "top_rpm",
]  # fmt: skip


def synchronous_rpm(frequency_hz: float, poles: int) -> float:
    """Return the speed of the rotating field, 120 f / p.

    Source: any textbook of electrical machines; values in tests/speed with their sources.

    >>> synchronous_rpm(400, 2)
    24000.0

    Raises ValueError for a number of poles that is odd or below 2.
    """
    if poles < 2 or poles % 2:
        raise ValueError(f"{poles} poles: poles come in pairs")
    return 120 * frequency_hz / poles


def slip(synchronous: float, shaft: float) -> float:
    """Return how far the shaft lags behind the field, as a share of the field's speed.

    >>> round(slip(1500, 1450), 5)
    0.03333

    Raises ValueError when the field stands still.
    """
    if synchronous == 0:
        raise ValueError("there is no slip against a field that stands still")
    return (synchronous - shaft) / synchronous


def poles_that_fit(frequency_hz: float, shaft_rpm: float) -> int:
    """Return the number of poles whose field runs just ahead of the shaft; 0 when there is none.

    >>> poles_that_fit(50, 1450)
    4
    """
    return int(60 * frequency_hz / shaft_rpm + 1e-9) * 2


SHARES: Final = (0.0, 0.1, 0.25, 0.5, 0.75, 1.0)
"""Shares of the full command that stand in every table."""

REVERSE_SHARES: Final = (-1.0, -0.5, *SHARES)
"""The same where the signal's sign turns the motor."""


_PLACES: Final = 4
"""Signals are told to a tenth of a millivolt or microampere: less is what the solver's milliohm takes."""

_HAIR: Final = 1e-9


# ---- A command through the chain ----


@dataclass(frozen=True, slots=True)
class Band:
    """Errors to allow for, from the tolerances that were given: half widths, each way."""

    worst_percent: float
    rss_percent: float
    worst_rpm: float
    rss_rpm: float


@dataclass(frozen=True, slots=True)
class Row:
    """What to expect for one command; None: can't tell."""

    share: float  # of the full command; negative in reverse, where the signal's sign turns the motor
    commanded_rpm: float | None
    source_signal: float | None  # V or mA, at the controller's output
    drive_signal: float | None  # V or mA, at the drive's input; the middle of what the figures leave
    frequency_hz: float | None
    synchronous_rpm: float | None
    tool_rpm: float | None  # without load: as fast as the field, times the ratio
    loaded_rpm: float | None  # the tool's at rated load; None where the slip isn't known
    reach_s: float | None  # the drive's ramp from standstill
    clipped: str = ""  # "low" or "high": the drive's input or its limits cut the signal off
    drive_ends: tuple[float, float] | None = None  # lowest and highest signal at the drive, V or mA


def around(row: Row, half_rpm: float) -> tuple[float, float] | None:
    """Return the lowest and highest speed to expect: from rated load to none, and the tolerance about it."""
    if row.tool_rpm is None:
        return None
    loaded = row.tool_rpm if row.loaded_rpm is None else row.loaded_rpm
    if row.tool_rpm < 0:
        return row.tool_rpm - half_rpm, min(0.0, loaded + half_rpm)
    return max(0.0, loaded - half_rpm), row.tool_rpm + half_rpm


def expected_rows(facts: SpeedFacts) -> tuple[Row, ...]:
    """Return a row for each share of the table and for each speed that was measured."""
    measured = (facts.share_of(pair.commanded_rpm) for pair in facts.pairs)
    shares = {round(share, 9) for share in measured if share is not None}
    shares.update(REVERSE_SHARES if facts.path.turns else SHARES)
    return tuple(expected_row(facts, share) for share in sorted(shares))


def expected_row(facts: SpeedFacts, share: float) -> Row:
    """Follow one command, a share of the full one, from the controller to the tool."""
    given = max(-1.0, min(share, 1.0))  # an output gives no more than its full signal
    ends = _drive_ends(facts, given)
    at_drive = None if ends is None else (ends[0] + ends[1]) / 2
    part, clipped = _drive_share(facts.path, at_drive)
    frequency, limited = _frequency(facts, part)
    field = None if frequency is None or facts.poles is None else synchronous_rpm(frequency, facts.poles)
    lag = None if frequency is None else _lag_rpm(facts, frequency)
    tool = None if field is None else field * facts.ratio
    if field is None and part is not None and facts.top_speed_rpm is not None and not facts.ratio_is_given:
        tool = part * facts.top_speed_rpm  # with a ratio it isn't said which shaft's
    return Row(
        share=share,
        commanded_rpm=None if facts.full_scale_rpm is None else share * facts.full_scale_rpm,
        source_signal=_source_signal(facts, given),
        drive_signal=at_drive,
        frequency_hz=frequency,
        synchronous_rpm=field,
        tool_rpm=tool,
        loaded_rpm=None if field is None or lag is None else (field - lag) * facts.ratio,
        reach_s=_reach_s(facts, frequency, part),
        clipped="high" if abs(share) > 1.0 else limited or clipped,
        drive_ends=ends,
    )


def _source_signal(facts: SpeedFacts, share: float) -> float | None:
    """Return the signal at the controller's output, as shown; None when it can't be told."""
    level, given = facts.at_source(share), facts.path.source
    if level is None or given is None or not level.is_known:
        return None
    return round(shown(given, (level.low + level.high) / 2), _PLACES)


def _drive_ends(facts: SpeedFacts, share: float) -> tuple[float, float] | None:
    """Return the least and the most that arrives at the drive, as shown; None when it can't be told."""
    level, taken = facts.at_drive(share), facts.path.drive
    if level is None or taken is None or not level.is_known:
        return None
    offset = facts.path.offset or 0.0
    low, high = (round(shown(taken, end) + offset, _PLACES) for end in (level.low, level.high))
    return low, high


def _drive_share(path: Path, at_drive: float | None) -> tuple[float | None, str]:
    """Return the share of its range that the drive sees, and whether the range cut the signal off."""
    if at_drive is None or path.drive is None:
        return None, ""
    rest, full = shown(path.drive, path.drive.rest), shown(path.drive, path.drive.full)
    share, lowest = (at_drive - rest) / (full - rest), 0.0 if path.drive.reverse is None else -1.0
    if share < lowest - _HAIR:
        return lowest, "low" if path.drive.reverse is None else "high"
    return (1.0, "high") if share > 1 + _HAIR else (min(max(share, lowest), 1.0), "")


def _frequency(facts: SpeedFacts, share: float | None) -> tuple[float | None, str]:
    """Return the drive's frequency: the top of its range gives the highest, and none is below the lowest."""
    if share is None or facts.max_hz is None:
        return None, ""
    frequency = share * facts.max_hz
    if facts.min_hz is not None and abs(frequency) < facts.min_hz:
        return math.copysign(facts.min_hz, frequency), "low"
    return frequency, ""


def rated_slip(facts: SpeedFacts) -> float | None:
    """Return the slip at rated load that the plate's figures give; None without, or when they can't be."""
    if facts.poles is None or facts.rated_hz is None or facts.rated_rpm is None:
        return None
    found = slip(synchronous_rpm(facts.rated_hz, facts.poles), facts.rated_rpm)
    return found if 0 <= found < 0.5 else None


def rated_lag_rpm(facts: SpeedFacts) -> float | None:
    """Return how far the tool lags at rated load, up to the rated frequency, rpm; None without the slip."""
    lag = None if facts.rated_hz is None else _lag_rpm(facts, facts.rated_hz)
    return None if lag is None else lag * facts.ratio


def is_of_slip(facts: SpeedFacts, offset_rpm: float, give_rpm: float = 0.0) -> bool:
    """Return whether a loaded motor lags so far by its plate: what no bias may make up for."""
    lag = rated_lag_rpm(facts)
    return lag is not None and lag > 0 and -lag - give_rpm <= offset_rpm < 0


def _lag_rpm(facts: SpeedFacts, frequency_hz: float) -> float | None:
    """Return how far the shaft lags at rated load, rpm; None where the slip isn't known.

    At constant flux the same torque needs the same slip frequency, so the lag in rpm stays that of the
    plate up to the rated frequency; above it, at constant voltage and power, it grows with the frequency
    (machine theory, from memory).
    """
    share = rated_slip(facts)
    if share is None or facts.poles is None or facts.rated_hz is None:
        return None
    turns = abs(frequency_hz)
    lag = share * synchronous_rpm(facts.rated_hz, facts.poles) * max(1.0, turns / facts.rated_hz)
    return math.copysign(min(lag, synchronous_rpm(turns, facts.poles)), frequency_hz)


def _reach_s(facts: SpeedFacts, frequency_hz: float | None, share: float | None) -> float | None:
    """Return the time of the drive's ramp from standstill, a share of that over the whole range.

    In most drives that range is from zero to the highest frequency (from memory: see its manual).
    """
    if facts.timing.ramp_up_s is None:
        return None
    if frequency_hz is not None and facts.max_hz is not None:
        return facts.timing.ramp_up_s * (abs(frequency_hz) / facts.max_hz)
    return None if share is None else facts.timing.ramp_up_s * abs(share)


def top_rpm(facts: SpeedFacts) -> float | None:
    """Return the tool's speed at the full command: what tolerances are a share of."""
    expected = expected_row(facts, 1.0).tool_rpm
    return expected if expected else facts.full_scale_rpm


def band(facts: SpeedFacts) -> Band | None:
    """Return the errors to allow for, from those tolerances that were given; None without any."""
    given = [part.percent for part in facts.tolerances if part.percent is not None]
    top = top_rpm(facts)
    if not given or top is None:
        return None
    worst, rss = math.fsum(given), math.hypot(*given)  # all on the same side; independent of each other
    return Band(worst, rss, worst / 100 * top, rss / 100 * top)


# ---- What is missing ----


def blanks(facts: SpeedFacts) -> tuple[Blank, ...]:
    """Return what nobody gave, in the order of the chain, each with where it can be read."""
    return tuple(Blank(what, in_full(ask), on_paper(ask)) for what, ask in _blanks(facts))


def _blanks(facts: SpeedFacts) -> Iterator[tuple[str, str]]:
    path, plate = facts.path, "read {} off the motor's plate⟬ ([motor] {})⟭"
    if not facts.by_presets and facts.full_scale_rpm is None:
        yield "full-scale speed", "read it off the controller's settings⟬ ([speeds] full-scale)⟭"
    if not facts.by_presets and path.source is None:
        yield "controller's signal", "name its analog output⟬ ([speed] source, with its range)⟭"
    if not facts.by_presets and path.drive is None:
        yield "drive's signal range", "read its setting, and its link or slide switch⟬ ([speed] range)⟭"
    elif path.source is not None and path.drive is not None and expected_row(facts, 1.0).drive_signal is None:
        yield "signal at the drive", _ask_for_signal(facts)
    if facts.max_hz is None:
        yield "drive's highest frequency", "read its setting⟬ ([motor] max-frequency)⟭"
    if facts.poles is None:
        yield "number of poles", plate.format("it", "poles") + _fitting(facts)
    if facts.rated_hz is None or facts.rated_rpm is None:
        yield "slip", plate.format("rated frequency and rated speed", "frequency, speed")
    if facts.timing.ramp_up_s is None:
        yield "drive's ramp", "read its setting⟬ ([speeds] ramp-up)⟭"
    if missing := [part.name for part in facts.tolerances if part.percent is None]:
        yield f"tolerance of {', '.join(missing)}", "see the manuals; it counts in no band here"


def _ask_for_signal(facts: SpeedFacts) -> str:
    """Say what is missing for the signal, by what moves it in the solution."""
    path, level = facts.path, facts.at_drive(1.0)
    if level is not None and level.missing:
        fact = level.missing[0]
        *table, key = map(str, fact.path)
        return f"{fact.name}: {fact.ask}⟬ ([{'.'.join(table)}] {key})⟭"
    if path.source is not None and path.drive is not None and path.source.unit != path.drive.unit:
        return (
            f"a source of {path.source_name} meets an input set to {path.drive_name}: set both alike, or give"
            " the resistor that turns one into the other⟬ ([speed] burden)⟭"
        )
    return "name the way back: the common of the drive's input and that of the source⟬ ([speed] common)⟭"


def _fitting(facts: SpeedFacts) -> str:
    """Say which number of poles would fit the plate's other figures, as a check on reading it."""
    hertz, rpm = facts.rated_hz, facts.rated_rpm
    if hertz is None or rpm is None or not (fitting := poles_that_fit(hertz, rpm)):
        return ""
    share = percent(slip(synchronous_rpm(hertz, fitting), rpm))
    return f"; {fitting} would fit its frequency and speed, with a slip of {share}"
