"""What to set so that the real speed follows the command, and waits against ramps.

Only for straight lines that a trim can set right: a limit, a wrong range, a curve or a pair that strays is
never corrected.
"""

from dataclasses import dataclass, replace
from typing import Final

from doorsheet.speed.expect import is_of_slip
from doorsheet.speed.known import SpeedFacts, Timing, number, percent
from doorsheet.speed.regression import Fit, Kind, Measured

__all__ = ["Correction", "Wait", "corrections", "waits"]

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
    if fit is None or not measured.is_trim or measured.verdict.kind not in _CORRECTABLE:
        return ()
    return (_at_the_drive(facts, fit), _at_the_controller(facts, measured, fit))


def _at_the_drive(facts: SpeedFacts, fit: Fit) -> Correction:
    """Turn the line into real = command: the gain by 1 / b, then the bias by -a / b, but never for slip."""
    gain, bias = 1 / fit.gain, -fit.offset_rpm / fit.gain
    left, setting = (
        fit.worst_residual_rpm * gain,
        _bias(facts, bias),
    )  # what strays is turned up with the rest
    caveats = ["drives differ in whether bias comes before or after gain: follow the manual, measure again"]
    if is_of_slip(facts, fit.offset_rpm):
        left, bias, setting = left + bias, 0.0, "bias as it is"
        caveats = [
            f"the {number(-fit.offset_rpm, 0)} rpm are within the plate's slip under load; unloaded, a bias"
            " would turn the tool at zero command"
        ]
    if gain > 1 and facts.max_hz is not None:
        caveats.append(
            f"its highest frequency, {number(facts.max_hz)} Hz, stays the limit: more gain gives no more at"
            " the top"
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
    return (
        _wait("after start", timing.wait_start_s, timing.ramp_up_s, "ramp up", timing),
        _after_stop(facts),
    )


def _after_stop(facts: SpeedFacts) -> Wait:
    timing = facts.timing
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
