"""What measured speeds say of the machine: normal, or which fault, and from which figures.

The bounds are ours where no source is named; each stands in the words of the verdict.  A drawing
of it is in `doorsheet.booklet.speed`, what to set is in `doorsheet.speed.advice`.
"""

import math
from dataclasses import replace
from typing import Final, NamedTuple

from doorsheet.speed.expect import band, expected_row, is_of_slip, rated_lag_rpm
from doorsheet.speed.hints import factor_of, is_near, ranges_that_fit
from doorsheet.speed.known import SpeedFacts, number, percent
from doorsheet.speed.regression import Fit, Hinge, Kind, Measured, Pair, Verdict, fit_hinge, fit_line

__all__ = ["judge", "line_figures"]

ABOUT_TWO_PERCENT: Final = 0.025
"""A speed read about 2 % off is a normal tolerance, not a fault (common practice, no source)."""

CURVE_SHARE: Final = 0.02
"""Pairs farther from the straight line than this share of the largest command make it a curve."""

TRIM_GAIN: Final = 0.2
TRIM_OFFSET_SHARE: Final = 0.05
"""How far a gain may be from 1, and an offset from nothing (a share of the largest command), to be trimmed:
more is a range, a ratio or a fault, which a correction would hide (common practice, no source)."""

TURNS_RPM: Final = 1.0
"""From this speed on a tool turns; where it stands a tachometer shows 0 (common practice, no source)."""

_STILL_SHARE: Final = 0.02  # real speeds as near as this, over all commands, don't follow
_SMALL_SHARE: Final = 0.005  # an offset or a gain's effect below this is not worth a setting


class _Scale(NamedTuple):
    """What deviations are held against."""

    largest_rpm: float  # the largest speed commanded while measuring
    tolerance_rpm: float
    said: str


def judge(facts: SpeedFacts) -> Measured | None:
    """Judge the measured pairs of a mapping; None when there are none."""
    pairs = facts.pairs
    if not pairs:
        return None
    scale = _scale(facts)
    fit, hinge = fit_line(pairs), fit_hinge(pairs)
    verdict = _verdict(facts, scale, fit, hinge)
    if (creep := _creep(facts)) and verdict.kind is not Kind.CREEPS:  # that is never normal: said beside all
        said = f"{verdict.reason}; it turns at {number(creep, 0)} rpm at zero command"
        verdict = replace(verdict, reason=said)
    if verdict.kind not in (Kind.SATURATED, Kind.HELD_UP, Kind.WRONG_RANGE):
        hinge = None
    line = fit if hinge is None else hinge.line
    is_trim = line is not None and _is_trim(line, scale)
    return Measured(pairs, line, hinge, scale.tolerance_rpm, verdict, is_trim)


def _scale(facts: SpeedFacts) -> _Scale:
    """Return what is normal: the given tolerances when all are, else at least about 2 %."""
    largest = max(abs(pair.commanded_rpm) for pair in facts.pairs)
    given = band(facts)
    usual, whole = ABOUT_TWO_PERCENT * largest, all(part.percent is not None for part in facts.tolerances)
    if given is None or (not whole and given.worst_rpm < usual):
        said = "about 2 % of the largest command, read as below 2.5 %: common practice, no source"
        return _Scale(largest, usual, said)
    parts = " + ".join(f"{number(part.percent)} %" for part in facts.tolerances if part.percent is not None)
    return _Scale(largest, given.worst_rpm, f"{parts} of the top speed, as given")


def _verdict(facts: SpeedFacts, scale: _Scale, fit: Fit | None, hinge: Hinge | None) -> Verdict:
    """Ask the questions in order: the simplest picture that holds is the answer."""
    if not scale.largest_rpm:
        return _at_zero_only(facts)
    if fit is None:
        return _at_one_speed(facts)
    return (
        _normal(facts, scale, fit)
        or _stuck(facts, scale, fit)
        or _reversed(scale, fit)
        or _levels(facts, scale, hinge)
        or _outlier(facts, scale)
        or _curved(scale, fit)
        or _straight(facts, scale, fit)
    )


# ---- Pictures, each a question ----


def _normal(facts: SpeedFacts, scale: _Scale, fit: Fit) -> Verdict | None:
    worst = max(abs(pair.real_rpm - pair.commanded_rpm) for pair in facts.pairs)
    clearly_off = abs(fit.gain - 1) > max(0.2, 4 * (fit.gain_u or 0.0))
    if worst > scale.tolerance_rpm * (1 + 1e-9) or clearly_off:  # by commands so low that any speed is near
        return None
    if creep := _creep(facts):
        return _creeps(creep)
    share = worst / scale.largest_rpm
    reason = (
        f"the largest deviation is {number(worst, 0)} rpm, {percent(share)} of the largest command;"
        f" normal is up to {number(scale.tolerance_rpm, 0)} rpm ({scale.said})"
    )
    return Verdict(Kind.NORMAL, reason, "nothing needs setting")


def _stuck(facts: SpeedFacts, scale: _Scale, fit: Fit) -> Verdict | None:
    commands = [pair.commanded_rpm for pair in facts.pairs]
    reals = [pair.real_rpm for pair in facts.pairs]
    asked, moved = max(commands) - min(commands), max(reals) - min(reals)
    if asked < scale.tolerance_rpm * 2 or moved > _STILL_SHARE * asked:
        return None
    follows = _starts_at_zero(fit, scale) and fit.worst_residual_rpm < 0.1 * moved
    if follows and factor_of(facts, fit.gain):  # a reading in hertz moves little, yet in step
        return None
    level = math.fsum(reals) / len(reals)
    reason = f"commands from {number(min(commands), 0)} to {number(max(commands), 0)} rpm all give"
    if abs(level) <= _STILL_SHARE * (facts.full_scale_rpm or scale.largest_rpm):
        do = (
            "prove run first; then read the signal at the drive's terminals at two commands: if it moves,"
            " the drive takes its speed from elsewhere (speed source setting, V or mA switch); if not,"
            " read it at the controller with the wire off"
        )
        return Verdict(Kind.STUCK, f"{reason} no speed", do)
    do = (
        "read the signal at the drive's terminals at two commands: if it moves, the drive takes its speed"
        " from elsewhere (a preset, its keypad) or stands at a limit; if not, look for a wire off, a second"
        " source, or an output in the wrong mode"
    )
    return Verdict(Kind.STUCK, f"{reason} {number(level, 0)} rpm{_limit_at(facts, level)}", do)


def _reversed(scale: _Scale, fit: Fit) -> Verdict | None:
    if fit.gain >= 0:
        return None
    figures = f"gain {number(fit.gain)}, offset {number(fit.offset_rpm, 0)} rpm"
    if abs(fit.offset_rpm) <= 0.1 * scale.largest_rpm:
        do = (
            "if forward turns the wrong way, change over two motor leads with the drive dead and discharged,"
            " or its direction setting: one of them, and note which; then measure again"
        )
        return Verdict(Kind.REVERSED, f"the shaft turns against its command ({figures})", do)
    do = (
        "look for exchanged ends of the potentiometer, exchanged signal and common, or an inverted signal"
        " setting in the drive"
    )
    return Verdict(Kind.REVERSED, f"the speed falls as the command rises ({figures})", do)


def _levels(facts: SpeedFacts, scale: _Scale, hinge: Hinge | None) -> Verdict | None:
    if hinge is None:
        return None
    line = hinge.line
    parts = []
    if hinge.cap_rpm is not None:
        parts.append(f"speeds stop rising at {number(hinge.cap_rpm, 0)} rpm{_limit_at(facts, hinge.cap_rpm)}")
    if hinge.floor_rpm is not None:
        parts.append(f"low commands all give {number(hinge.floor_rpm, 0)} rpm")
    where = "between them" if len(parts) == 2 else "below it" if hinge.floor_rpm is None else "above it"
    if min(count for count in (hinge.cap_count, hinge.floor_count) if count) == 1:
        parts.append("a single reading shows it: take another near it")
    between = f"{where} gain {number(line.gain)}, offset {number(line.offset_rpm, 0)} rpm"
    reason = "; ".join([*parts, between])
    if ranges := ranges_that_fit(facts, line):
        return Verdict(Kind.WRONG_RANGE, f"{reason}: as {ranges} reads", _SET_RANGES)
    if hinge.cap_rpm is None:
        do = "compare with the drive's lowest frequency; stop by opening run, never by a command of zero"
        return Verdict(Kind.HELD_UP, reason, do)
    if is_near(line.gain, 2, 0.1) and _starts_at_zero(line, scale):
        reason = f"{reason}: the drive is at its top at half the signal"
        return Verdict(Kind.WRONG_RANGE, reason, _SET_RANGES, 2)
    do = (
        "compare with the drive's highest frequency and with the signal at full command (a source of"
        " less than full voltage, a supply that sags); a correction of gain can't lift a limit"
    )
    return Verdict(Kind.SATURATED, reason, do)


def _outlier(facts: SpeedFacts, scale: _Scale) -> Verdict | None:
    found: tuple[float, Pair] | None = None
    for index, pair in enumerate(facts.pairs):
        others = fit_line(facts.pairs[:index] + facts.pairs[index + 1 :])
        if others is None or others.count < 3:
            return None
        stray = abs(pair.real_rpm - others.at(pair.commanded_rpm))
        straight = others.worst_residual_rpm <= CURVE_SHARE / 2 * scale.largest_rpm
        alone = stray > max(CURVE_SHARE * scale.largest_rpm, 4 * others.worst_residual_rpm)
        if straight and alone and (found is None or stray > found[0]):
            found = stray, pair
    if found is None:
        return None
    stray, pair = found
    reason = (
        f"at {number(pair.commanded_rpm, 0)} rpm the reading of {number(pair.real_rpm, 0)} rpm lies"
        f" {number(stray, 0)} rpm off the line through all the others"
    )
    do = (
        f"measure {number(pair.commanded_rpm, 0)} rpm again, rising and falling, and correct nothing before: "
        "one reading may be a slip of the pen"
    )
    return Verdict(Kind.OUTLIER, reason, do)


def _creep(facts: SpeedFacts) -> float:
    """Return the speed at which the tool turns while nothing is commanded, rpm; 0 where it stands."""
    at_zero = [pair.real_rpm for pair in facts.pairs if pair.commanded_rpm == 0]
    worst = max(at_zero, key=abs, default=0.0)
    return worst if abs(worst) >= TURNS_RPM else 0.0


def _creeps(creep: float) -> Verdict:
    do = (
        "stop by opening run, never by a command of zero; read the signal at zero command, and look at the "
        "drive's lowest frequency"
    )
    return Verdict(Kind.CREEPS, f"the tool turns at {number(creep, 0)} rpm while zero is commanded", do)


def _curved(scale: _Scale, fit: Fit) -> Verdict | None:
    worst = fit.worst_residual_rpm
    if worst <= CURVE_SHARE * scale.largest_rpm:
        return None
    reason = (
        f"pairs lie up to {number(worst, 0)} rpm from the straight line,"
        f" {percent(worst / scale.largest_rpm)} of the largest command;"
        f" more than {percent(CURVE_SHARE)} is no straight line"
    )
    do = (
        "correct nothing; repeat a pair or two, rising and falling: if they repeat, enter the pairs as a "
        "table in the controller, if it takes one; if they don't, look for a supply that sags, for noise and "
        "for load"
    )
    return Verdict(Kind.NON_LINEAR, reason, do)


def _straight(facts: SpeedFacts, scale: _Scale, fit: Fit) -> Verdict:
    figures = line_figures(fit)
    if ranges := ranges_that_fit(facts, fit):
        return Verdict(Kind.WRONG_RANGE, f"{figures}: as {ranges} reads", _SET_RANGES)
    if _starts_at_zero(fit, scale) and (hint := factor_of(facts, fit.gain)):
        if _is_predicted(facts, fit, scale):
            reason = f"{figures}: what the mapping's own figures give at full command"
            return Verdict(Kind.WRONG_RANGE, reason, _SET_RANGES, hint.factor)
        reason = f"{figures}, near a factor of {hint.said}"
        do = f"before any correction, look at what makes such a factor: {hint.causes}"
        return Verdict(Kind.FACTOR, reason, do, hint.factor)
    is_gain = abs(fit.gain - 1) * scale.largest_rpm > _threshold(
        scale, (fit.gain_u or 0.0) * scale.largest_rpm
    )
    worth = _threshold(scale, fit.offset_u_rpm or 0.0)
    is_offset = abs(fit.offset_rpm) > worth
    if is_offset and not is_gain and is_of_slip(facts, fit.offset_rpm, worth):
        return _slips(facts, fit)
    if is_gain or is_offset:
        kind = Kind.GAIN_AND_OFFSET if is_gain and is_offset else Kind.GAIN if is_gain else Kind.OFFSET
        do = _CORRECT if _is_trim(fit, scale) else _TOO_MUCH
        if is_offset:
            do = f"stop by opening run, never by a command of zero; {do}"
        return Verdict(kind, f"{_plainly(fit, is_gain, is_offset)}: {figures}", do)
    worst = fit.worst_residual_rpm
    reason = f"{figures}; the line is right, single pairs stray up to {number(worst, 0)} rpm from it"
    return Verdict(Kind.NON_LINEAR, reason, "repeat the pairs that stray most, with the tool unloaded")


def _slips(facts: SpeedFacts, fit: Fit) -> Verdict:
    lag = number(rated_lag_rpm(facts) or 0.0, 0)
    said = f"{_plainly(fit, False, True)}, and a loaded motor lags by up to {lag} rpm by its plate"
    do = (
        "set no bias: unloaded, the tool would turn at zero command; measure again without load, and if it is"
        " right then, nothing needs setting; where the speed under load counts, look in the drive's manual"
        " for slip compensation"
    )
    return Verdict(Kind.SLIP, f"{said}: {line_figures(fit)}", do)


def _at_zero_only(facts: SpeedFacts) -> Verdict:
    if creep := _creep(facts):
        found = _creeps(creep)
        return replace(found, do=f"{found.do}; then measure at least three speeds, up to the highest")
    worst = max((pair.real_rpm for pair in facts.pairs), key=abs)
    reason = f"only a command of zero was measured; it gave {number(worst, 0)} rpm"
    return Verdict(Kind.TOO_FEW, reason, "measure at least three speeds, up to the highest")


def _at_one_speed(facts: SpeedFacts) -> Verdict:
    """Judge one speed alone: gain and offset can't be told apart."""
    command = facts.pairs[0].commanded_rpm
    real = math.fsum(pair.real_rpm for pair in facts.pairs) / len(facts.pairs)
    gain = real / command
    reason = f"one command only, {number(command, 0)} rpm: the real speed is {percent(gain)} of it"
    do = "measure at least three speeds, up to the highest"
    if hint := factor_of(facts, gain):
        do += f"; a factor of {hint.said} comes from {hint.causes}"
    return Verdict(Kind.TOO_FEW, reason, do)


_CORRECT: Final = "correct at one end only, at the drive or at the controller, then measure again"
_TOO_MUCH: Final = (
    f"don't correct it: more than {percent(TRIM_GAIN)} of gain, or an offset of more than "
    f"{percent(TRIM_OFFSET_SHARE)} of the largest command, is no trim (common practice, no source); look for "
    "a range, a ratio or a supply that is wrong"
)
_SET_RANGES: Final = (
    "set both ends to the same range (the drive's setting and its link or slide switch; the controller's"
    " output), then measure again; a correction of gain would hide it"
)


# ---- Figures ----


def line_figures(fit: Fit) -> str:
    """Write a line's gain and offset with their standard uncertainties."""
    gain, offset = number(fit.gain, 4), number(fit.offset_rpm, 0)
    if fit.gain_u is None or fit.offset_u_rpm is None:
        return f"gain {gain}, offset {offset} rpm (from two pairs: no uncertainty can be told)"
    return f"gain {gain} ± {number(fit.gain_u, 4)}, offset {offset} ± {number(fit.offset_u_rpm, 0)} rpm"


def _plainly(fit: Fit, is_gain: bool, is_offset: bool) -> str:
    """Say a line in plain words, before its figures: "4.3 % slow everywhere"."""
    gain = f"{percent(abs(fit.gain - 1))} {'slow' if fit.gain < 1 else 'fast'}"
    too = "slow" if fit.offset_rpm < 0 else "fast"
    offset = f"{number(abs(fit.offset_rpm), 0)} rpm too {too} at every speed"
    if is_gain and is_offset:
        return f"{gain}, and beside that {offset}"
    return f"{gain} everywhere" if is_gain else offset


def _is_trim(fit: Fit, scale: _Scale) -> bool:
    """Return whether a line is so near to the right one that a trim may turn it into that."""
    small = abs(fit.offset_rpm) <= TRIM_OFFSET_SHARE * scale.largest_rpm * (1 + 1e-9)
    return abs(fit.gain - 1) <= TRIM_GAIN + 1e-9 and small


def _threshold(scale: _Scale, uncertainty_rpm: float) -> float:
    """Return what is worth a setting: above half a per cent, and above twice its own uncertainty."""
    return max(_SMALL_SHARE * scale.largest_rpm, 2 * uncertainty_rpm)


def _starts_at_zero(fit: Fit, scale: _Scale) -> bool:
    return abs(fit.offset_rpm) <= 0.03 * max(abs(fit.gain), 1e-9) * scale.largest_rpm


def _limit_at(facts: SpeedFacts, rpm: float) -> str:
    """Name the limit in the mapping that lies at a speed, if one does."""
    top = expected_row(facts, 1.0).tool_rpm
    if top is not None and is_near(abs(rpm), top, 0.03):
        return f", where the mapping's own figures end ({number(top, 0)} rpm)"
    return ""


def _is_predicted(facts: SpeedFacts, fit: Fit, scale: _Scale) -> bool:
    """Return whether the mapping's ranges differ and lead to just this line."""
    path, top = facts.path, expected_row(facts, 1.0).tool_rpm
    if facts.full_scale_rpm is None or top is None or path.source is None or path.source == path.drive:
        return False
    return abs(fit.at(facts.full_scale_rpm) - top) <= max(scale.tolerance_rpm, 0.03 * top)
