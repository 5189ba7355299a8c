"""What to set so that the real speed follows the command, waits against ramps, and what else to mind.

Only straight lines that a trim can set right are corrected: a limit, a wrong range, a curve or a pair that
strays never is.  Remarks are on figures that can't be right together, and on running; findings about wiring
are in `doorsheet.circuit`: remarks rest on speed alone and mark no sheet.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from doorsheet.circuit.reading_words import listed
from doorsheet.speed import expect
from doorsheet.speed.known import SpeedFacts, Timing, number, percent, shown, unit_of
from doorsheet.speed.regression import Fit, Kind, Measured, Pair, fit_line

__all__ = ["Correction", "Remark", "Wait", "corrections", "remarks", "waits"]

_CORRECTABLE: Final = (Kind.NORMAL, Kind.GAIN, Kind.OFFSET, Kind.GAIN_AND_OFFSET)


@dataclass(frozen=True, slots=True)
class Correction:
    """One way to correct; `remaining_rpm` is the largest error left over the measured speeds."""

    end: str  # "drive" or "controller"
    settings: tuple[str, ...]
    remaining_rpm: float
    gain: float | None = None  # what the drive's gain is to be multiplied by
    bias_rpm: float | None = None  # what is to be added to the drive's bias
    full_scale_rpm: float | None = None
    caveats: tuple[str, ...] = ()


def corrections(facts: SpeedFacts, measured: Measured) -> tuple[Correction, ...]:
    """Return what to set at the drive, or else at the controller; nothing where a fault is to be found."""
    fit = measured.fit
    if fit is None or facts.by_presets or not measured.is_trim or measured.verdict.kind not in _CORRECTABLE:
        return ()
    return (_at_the_drive(facts, fit), _at_the_controller(facts, measured, fit))


def _at_the_drive(facts: SpeedFacts, fit: Fit) -> Correction:
    """Turn the line into real = command: the gain by 1 / b, then the bias by -a / b, but never for slip."""
    gain, bias = 1 / fit.gain, -fit.offset_rpm / fit.gain
    left = fit.worst_residual_rpm * gain  # what strays is turned up with the rest
    setting = _bias(facts, bias)
    caveats = ["drives differ in whether bias comes before or after gain: follow the manual, measure again"]
    if expect.is_of_slip(facts, fit.offset_rpm):
        left, bias, setting = left + bias, 0.0, "bias as it is"
        caveats = [
            f"the {number(-fit.offset_rpm, 0)} rpm are within the plate's slip under load; unloaded, a bias"
            " would turn the tool at zero command"
        ]
    if gain > 1 and facts.max_hz is not None:
        caveats.append(
            f"what runs at its highest frequency, {number(facts.max_hz)} Hz on its display, gets no faster"
        )
    settings = f"gain x {number(gain, 4)}", setting
    return Correction("drive", settings, left, gain=gain, bias_rpm=bias, caveats=tuple(caveats))


def _bias(facts: SpeedFacts, bias_rpm: float) -> str:
    sizes = [f"{number(bias_rpm, 0)} rpm"]
    if facts.full_scale_rpm:
        share = bias_rpm / facts.full_scale_rpm * 100
        sizes.append(f"{share:+z.2f} % of {number(facts.full_scale_rpm, 0)} rpm")
    if facts.poles is not None:
        sizes.append(f"{bias_rpm / facts.ratio * facts.poles / 120:+z.2f} Hz")
    return f"bias {' = '.join(sizes)}, added to the present one"


def _at_the_controller(facts: SpeedFacts, measured: Measured, fit: Fit) -> Correction:
    """Scale the command: a full-scale speed multiplied by b gives a signal divided by it.

    The offset comes in behind the controller's scale and stays.
    """
    now, pairs = facts.full_scale_rpm, measured.pairs
    strays = (one.real_rpm - one.commanded_rpm - (fit.gain - 1) * one.commanded_rpm for one in pairs)
    full = None if now is None else now * fit.gain
    setting, caveats = f"full-scale speed x {number(fit.gain, 4)} (the present one isn't given)", []
    if full is not None:
        setting = f"full-scale speed {number(full, 0)} rpm in place of {number(now or 0, 0)} rpm"
        if fit.gain < 1:
            caveats.append(f"commands above {number(full, 0)} rpm then can't be reached")
    if facts.at_source(1.0) is None:
        caveats.append("where the controller gives the speed: no output for it is in the mapping")
    remaining = max(map(abs, strays))
    return Correction("controller", (setting,), remaining, full_scale_rpm=full, caveats=tuple(caveats))


@dataclass(frozen=True, slots=True)
class Wait:
    """One wait of the controller against what the machine needs; None: not given."""

    name: str  # "after start", "after stop"
    wait_s: float | None
    needed_s: float | None
    needed_said: str  # what the need is made of, or what is missing
    said: tuple[str, ...]

    @property
    def short_s(self) -> float:
        """By how much the wait is too short, s; 0 when it is enough or can't be told."""
        if self.wait_s is None or self.needed_s is None:
            return 0.0
        return max(0.0, self.needed_s - self.wait_s)


def waits(facts: SpeedFacts) -> tuple[Wait, ...]:
    """Compare both waits at the full step: from standstill to the top, and from the top to standstill."""
    timing = facts.timing
    start = _wait("after start", timing.wait_start_s, timing.ramp_up_s, "ramp up", timing)
    return start, _after_stop(timing)


def _after_stop(timing: Timing) -> Wait:
    coast, ramp, more = timing.coast_s, timing.ramp_down_s, ""
    if timing.stops_by == "coast":
        takes = (coast, "coast")
    elif timing.stops_by == "ramp" or coast is None:
        takes = (ramp, "ramp down")
        if timing.stops_by is None and ramp is not None:
            more = "holds only if the drive ramps down when run opens (not given: stops-by)"
    else:
        takes = (max(coast, ramp or 0.0), "longer of coast and ramp down")
        more = "whether the drive ramps or coasts when run opens isn't given (stops-by)"
    wait = _wait("after stop", timing.wait_stop_s, *takes, timing)
    return replace(wait, said=(*wait.said, more)) if more else wait


def _wait(name: str, wait_s: float | None, takes_s: float | None, takes: str, timing: Timing) -> Wait:
    """Say what is too short by how much, and whether the controller could wait long enough at all."""
    if takes_s is None:
        ask = "measure it on this machine" if takes == "coast" else "read the drive's setting"
        return Wait(name, wait_s, None, f"{takes} not given", (ask,))
    margin = timing.margin_s or 0.0
    needed = takes_s + margin
    makes = f"{takes} {number(takes_s)} s"
    makes += f" + margin {number(margin)} s" if timing.margin_s is not None else ", no margin given"
    said: list[str] = []
    if wait_s is None:
        said.append("the controller's wait isn't given: read its setting")
    elif wait_s < needed:
        said.append(f"too short by {number(needed - wait_s)} s")
        if takes == "ramp up" and takes_s > 0:
            enough = percent(max(0.0, wait_s - margin) / takes_s)
            said.append(f"it is enough up to {enough} of the drive's highest frequency")
    if timing.cap_s is not None and needed > timing.cap_s:
        shorter = number(max(0.0, timing.cap_s - margin))
        words = f"shorten the ramp to {shorter} s, if the drive doesn't trip"
        if "coast" in takes:
            words = "coasting can't be shortened: let it ramp or brake, or hold the next step otherwise"
        said.append(
            f"the controller waits {number(timing.cap_s)} s at most, {number(needed)} s is needed: {words}"
        )
    return Wait(name, wait_s, needed, makes, tuple(said))


# ---- Remarks ----

_MUCH_SLIP: Final = 0.15  # no induction motor is built to lag so far at rated load (from memory)
_NEAR_TOP: Final = 0.03


@dataclass(frozen=True, slots=True)
class Remark:
    """One remark; serious when the machine would run faster or longer than somebody expects."""

    text: str
    serious: bool = False


def remarks(facts: SpeedFacts) -> tuple[Remark, ...]:
    """Return every remark, in the order of the chain."""
    questions = (_plate, _frequencies, _tops, _signals, _measuring, _coasting)
    return tuple(remark for question in questions for remark in question(facts))


def _plate(facts: SpeedFacts) -> Iterator[Remark]:
    if facts.poles is None or facts.rated_hz is None or facts.rated_rpm is None:
        return
    field = expect.synchronous_rpm(facts.rated_hz, facts.poles)
    said = f"120 x {number(facts.rated_hz)} Hz / {facts.poles} poles = {number(field, 0)} rpm"
    share = expect.slip(field, facts.rated_rpm)
    fitting = expect.poles_that_fit(facts.rated_hz, facts.rated_rpm)
    hint = f"; {fitting} poles would fit" if fitting and fitting != facts.poles else ""
    if share < 0:
        yield Remark(
            f"the rated speed, {number(facts.rated_rpm, 0)} rpm, is above the field's ({said}): read poles,"
            f" frequency and speed off the motor's plate again{hint}; no slip is counted here"
        )
    elif share > _MUCH_SLIP:
        counted = "" if expect.rated_slip(facts) is not None else "; no slip is counted here"
        yield Remark(
            f"a slip of {percent(share)} ({said}, rated {number(facts.rated_rpm, 0)} rpm) is more than motors"
            f" have: read the motor's plate again{hint}{counted}"
        )


def _frequencies(facts: SpeedFacts) -> Iterator[Remark]:
    if facts.max_hz is None:
        return
    if facts.rated_hz is not None and facts.max_hz > facts.rated_hz * (1 + 1e-9):
        yield Remark(
            f"the drive's highest frequency, {number(facts.max_hz)} Hz, is above the motor's rated"
            f" {number(facts.rated_hz)} Hz: run no faster than the plates of motor and tool allow",
            serious=True,
        )
    if facts.min_hz is not None and facts.min_hz > facts.max_hz:
        yield Remark("the drive's lowest frequency is above its highest: read both settings again")
    elif facts.min_hz:
        yield Remark(
            f"while run is closed the drive never gives less than {number(facts.min_hz)} Hz: a command of"
            " zero doesn't stop it, opening run does",
            serious=True,
        )


def _tops(facts: SpeedFacts) -> Iterator[Remark]:
    """Hold three ways of saying the top speed against each other."""
    if facts.max_hz is not None and facts.poles is not None and facts.top_speed_rpm is not None:
        by_poles = expect.synchronous_rpm(facts.max_hz, facts.poles)
        if not facts.ratio_is_given and abs(by_poles / facts.top_speed_rpm - 1) > 0.1:
            yield Remark(
                f"120 x {number(facts.max_hz)} Hz / {facts.poles} poles is {number(by_poles, 0)} rpm, but "
                f"top-speed says {number(facts.top_speed_rpm, 0)} rpm: poles, frequency or top-speed is wrong"
            )
    top = expect.expected_row(facts, 1.0).tool_rpm
    if top is not None and facts.full_scale_rpm is not None:
        off = top / facts.full_scale_rpm - 1
        if abs(off) > _NEAR_TOP:
            yield Remark(
                f"at full command these figures give {number(top, 0)} rpm where"
                f" {number(facts.full_scale_rpm, 0)} rpm is commanded ({off * 100:+.0f} %): real and"
                " commanded speed will differ",
                serious=off > 0,
            )


def _signals(facts: SpeedFacts) -> Iterator[Remark]:
    path = facts.path
    if facts.presets and not facts.by_presets:
        yet = ", several together perhaps at yet another" if len(facts.presets) > 1 else ""
        yield Remark(
            f"closing {listed(facts.presets)} has most drives run at a speed of their own setting{yet},"
            " whatever the signal (common practice, no source): the speeds here are with all of that open",
            serious=True,
        )
    if path.source_is_default:
        yield Remark(
            f"the controller's output is taken as {path.source_name} (default: its range isn't given)"
        )
    if path.top is not None and path.source is not None:
        yield Remark(
            f"the signal is taken as straight up to {number(path.top)} {unit_of(path.source)} at full command"
            " (given)"
        )
    rows = expect.expected_rows(facts)
    if path.turns and path.drive is not None and path.drive.reverse is None:
        yield Remark(
            "negative commands give no reverse: the source turns its sign, and the drive set to "
            f"{path.drive_name} stands still",
            serious=True,
        )
    if low := [row for row in rows if row.clipped == "low" and row.share > 0]:
        yield Remark(
            f"up to {_said(low[-1])} the drive stands at its lowest: a signal below its range may also"
            " count as lost, see its manual"
        )
    if high := [row for row in rows if row.clipped == "high" and row.share > 0]:
        yield Remark(f"from {_said(high[0])} on, the drive stands at its highest")
    zero = expect.expected_row(facts, 0.0)
    if path.offset and zero.tool_rpm:
        unit = unit_of(path.drive) if path.drive else ""
        yield Remark(
            f"with {number(path.offset)} {unit} at zero command the tool creeps at"
            f" {number(zero.tool_rpm, 0)} rpm: stop by opening run",
            serious=True,
        )


def _said(row: expect.Row) -> str:
    return percent(row.share) if row.commanded_rpm is None else f"{number(row.commanded_rpm, 0)} rpm"


def _measuring(facts: SpeedFacts) -> Iterator[Remark]:
    full = facts.full_scale_rpm
    if facts.unsigned:
        yield Remark("readings carry no sign: each is taken in the direction of its command")
    if facts.pairs and facts.measured_at == "motor" and not facts.ratio_is_given:
        yield Remark("measured at the motor and no ratio is given: the tool is taken to turn with it")
    if full is not None and any(abs(pair.commanded_rpm) > full * (1 + 1e-9) for pair in facts.pairs):
        yield Remark(
            f"commands above the full-scale speed, {number(full, 0)} rpm, give no more signal than it"
        )
    yield from _signal_read(facts)


def _signal_read(facts: SpeedFacts) -> Iterator[Remark]:
    """Say on which side of the drive's terminals an error arises, where the signal was read there."""
    drive = facts.path.drive
    if facts.full_scale_rpm is None or drive is None:
        return
    against = []
    for pair in facts.pairs:
        share = facts.share_of(pair.commanded_rpm)
        expected = None if share is None else expect.expected_row(facts, share).drive_signal
        if pair.signal is not None and expected is not None:
            against.append(Pair(expected, pair.signal))
    fit = fit_line(against)
    if fit is None:
        return
    worst, unit = max(abs(pair.real_rpm - pair.commanded_rpm) for pair in against), unit_of(drive)
    offset = f"offset {number(fit.offset_rpm)} {unit}, up to {number(worst)} {unit}"
    verb, words = "is", "what is wrong with the speed lies in the drive or behind it"
    if worst > 0.01 * shown(drive, drive.full - drive.rest):
        verb = "isn't"
        words = "look before the drive, at the controller's output and the wires, first with the wire off"
    yield Remark(
        f"the signal at the drive {verb} as expected (gain {number(fit.gain, 4)}, {offset}): {words}"
    )


def _coasting(facts: SpeedFacts) -> Iterator[Remark]:
    if facts.stop_category == "0" and facts.timing.coast_s is None:
        yield Remark(
            "a stop of category 0 lets the tool coast and nobody wrote down how long: measure it and write it"
            " on the sheet",
            serious=True,
        )
