"""What in the given figures can't be right together, and what to mind while running.

Findings about wiring are in `doorsheet.circuit`; these rest on speed alone and mark no sheet.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.speed import expect
from doorsheet.speed.known import SpeedFacts, number, percent, shown, unit_of
from doorsheet.speed.regression import Pair, fit_line

__all__ = ["Remark", "remarks"]

_MUCH_SLIP: Final = 0.15  # no induction motor is built to lag so far at rated load (from memory)
_NEAR_TOP: Final = 0.03


@dataclass(frozen=True, slots=True)
class Remark:
    """One remark; serious when the machine would run faster or longer than somebody expects."""

    text: str
    serious: bool = False


def remarks(facts: SpeedFacts) -> tuple[Remark, ...]:
    """Return every remark, in the order of the chain."""
    questions = (_plate, _frequencies, _tops, _signals, _measuring)
    found = tuple(remark for question in questions for remark in question(facts))
    if facts.stop_category == "0" and facts.timing.coast_s is None:
        words = (
            "a stop of category 0 lets the tool coast and nobody wrote down how long: measure it and write it"
        )
        return (*found, Remark(f"{words} on the sheet", serious=True))
    return found


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
    worst = max(abs(pair.real_rpm - pair.commanded_rpm) for pair in against)
    unit = unit_of(drive)
    figures = (
        f"gain {number(fit.gain, 4)}, offset {number(fit.offset_rpm)} {unit}, up to {number(worst)} {unit}"
    )
    if worst <= 0.01 * shown(drive, drive.full - drive.rest):
        words = "what is wrong with the speed lies in the drive or behind it"
        yield Remark(f"the signal at the drive is as expected ({figures}): {words}")
    else:
        words = "look before the drive, at the controller's output and the wires, first with the wire off"
        yield Remark(f"the signal at the drive isn't as expected ({figures}): {words}")
