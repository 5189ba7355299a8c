"""What to set so that the real speed follows the command, and the error that would remain (speed room).

Only for straight lines that a trim can set right: a limit, a wrong range, a curve or a pair that strays is
never corrected.
"""

from dataclasses import dataclass
from typing import Final

from doorsheet.speed.known import SpeedFacts, number
from doorsheet.speed.measured import Kind, Measured
from doorsheet.speed.regression import Fit

__all__ = ["Correction", "corrections"]

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
    """Turn the line into real = command: the gain by 1 / b, then the bias by -a / b."""
    gain, bias = 1 / fit.gain, -fit.offset_rpm / fit.gain
    sizes = [f"{number(bias, 0)} rpm"]
    if facts.full_scale_rpm:
        sizes.append(f"{bias / facts.full_scale_rpm * 100:+z.2f} % of {number(facts.full_scale_rpm, 0)} rpm")
    if facts.poles is not None:
        sizes.append(f"{bias / facts.ratio * facts.poles / 120:+z.2f} Hz")
    caveats = ["drives differ in whether bias comes before or after gain: follow the manual, measure again"]
    if gain > 1 and facts.max_hz is not None:
        caveats.append(
            f"its highest frequency, {number(facts.max_hz)} Hz, stays the limit: more gain gives no more at"
            " the top"
        )
    return Correction(
        end="drive",
        settings=(f"gain x {number(gain, 4)}", f"bias {' = '.join(sizes)}, added to the present one"),
        remaining_rpm=fit.worst_residual_rpm * gain,  # what strays from the line is turned up with it
        gain=gain,
        bias_rpm=bias,
        caveats=tuple(caveats),
    )


def _at_the_controller(facts: SpeedFacts, measured: Measured, fit: Fit) -> Correction:
    """Scale the command: a full-scale speed multiplied by b gives a signal divided by it.

    The offset comes in behind the controller's scale and stays.
    """
    remaining = max(
        abs(pair.real_rpm - pair.commanded_rpm - (fit.gain - 1) * pair.commanded_rpm)
        for pair in measured.pairs
    )
    full = None if facts.full_scale_rpm is None else facts.full_scale_rpm * fit.gain
    caveats = []
    if full is None:
        setting = f"full-scale speed x {number(fit.gain, 4)} (the present one isn't given)"
    else:
        setting = (
            f"full-scale speed {number(full, 0)} rpm in place of {number(facts.full_scale_rpm or 0, 0)} rpm"
        )
        if fit.gain < 1:
            caveats.append(f"commands above {number(full, 0)} rpm then can't be reached")
    return Correction("controller", (setting,), remaining, full_scale_rpm=full, caveats=tuple(caveats))
