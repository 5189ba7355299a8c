"""Checks of two readings of the same points: in one state, or open and closed (room: checks)."""

from collections.abc import Iterator
from itertools import combinations

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import NEAR_ZERO_V, Found, Report, exceeds
from doorsheet.checks.example import RUN, put, readings
from doorsheet.checks.taken_readings import REPEAT_SHARE, Read, apart, groups, point, replaced
from doorsheet.circuit.reading_words import volts
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.same_reading import SAME_V, signs_differ

__all__ = ["changes_nothing"]


def _repeats(report: Report) -> Iterator[tuple[Read, Read]]:
    """Yield a reading and a later one of the same thing, for every two points in every state."""
    for group in groups(report).values():
        yield from combinations(group, 2)


@stop(
    "R101",
    readings("red on DI1, black on COM: 24.3 V", "red on COM, black on DI1: 24.3 V"),
    put(RUN, "meter"),
)
def _repeat_of_other_sign(report: Report) -> Found:
    """Two readings of the same points have opposite signs.
    The same two points in the same state were read twice, once plus and once minus, so neither shows which
    side is plus, and the polarity is not taken from them. A control's meter counts as a reading.
    Formula: sign(one) = sign(other), where both are more than 0.5 V
    Source: follows from what a voltage is: two points have one at a time; 0.5 V is chosen here, no source"""
    for one, other in _repeats(report):
        if signs_differ(one.volts, other.volts):
            yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
                f"{one.leads}, reads {one.figure} and {other.figure}: neither shows which of the two is plus",
                f"measure once more before anything is connected: {one.asked}",
            )


@caution(
    "R102",
    readings("red on DI1, black on COM: 24.3 V", "red on COM, black on DI1: -21.8 V"),
    put(RUN, "meter"),
)
def _repeat_differs(report: Report) -> Found:
    """Two readings of the same points differ.
    The same two points in the same state were read twice, with different figures. A lead was elsewhere, the
    state was another, or the supply is not steady. The other checks use the larger.
    Formula: abs(one - other) <= 0.5 V or 10 % of the larger, whichever is more
    Source: follows from what a voltage is: two points have one at a time; what is allowed is chosen here, no
    source"""
    for one, other in _repeats(report):
        if apart(one.volts, other.volts) and not signs_differ(one.volts, other.volts):
            yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
                f"{one.leads}, reads {one.figure} and {other.figure}, "
                f"{volts(round(abs(one.volts - other.volts), 3))} apart",
                f"measure once more: {one.asked}; strike out the one that it does not confirm",
            )


@caution(
    "R109",
    readings(
        "red on DI1, black on COM: 24.3 V, open, 2026-11-24 09:30",
        "red on DI1, black on COM: 21.8 V, open, 2026-11-25 14:05",
    ),
    put(RUN, "meter"),
)
def _newer_differs(report: Report) -> Found:
    """A newer reading differs from the one before it.
    Of readings that have a date the newest counts, and the older stand as history. Where the last two differ,
    something was changed between them, or one of them is wrong. A third that agrees with the second settles
    it.
    Formula: abs(newest - the one before) <= 0.5 V or 10 % of the larger, whichever is more
    Source: follows from what a voltage is: two points have one at a time; what is allowed is chosen here, no
    source"""
    for old, new in replaced(report):
        if apart(old.volts, new.volts):
            yield report.finding(new.path, new.figure, old.figure, terminals=(new.red, new.black))(
                f"{new.leads}, reads {new.figure}, and read {old.figure} before: the newer counts"
                f"{_between(report, new)}",
                f"say what was changed between the two; if nothing was, measure once more: {new.asked}",
            )


def _between(report: Report, new: Read) -> str:
    """Name what the log has between the newest reading and the one before it."""
    old_when, new_when = next(
        (old.when, one.when) for old, one in report.mapping.replaced if one.index == new.path[1]
    )
    done = [
        action.what
        for action in report.mapping.done
        if action.when and new_when and (old_when or action.when) <= action.when <= new_when
        if action.drive in (None, report.drive)
    ]
    return f"; done between them: {', '.join(done)}" if done else ""


@caution(
    "R103",
    readings("red on DI1, black on COM: 24.3 V", "red on DI1, black on COM: 21.9 V, closed"),
    put(RUN, "meter"),
)
def _closed_like_open(report: Report) -> Found:
    """The closed switch changes nothing at the input.
    A switch that closes takes away the voltage that the meter shows across it when open. Where it stays, the
    switch does not join these two terminals. An input at about 0 V open is not checked.
    Formula: abs(closed) < abs(open) less 10 % and less 0.5 V, where abs(open) >= 1 V
    Source: follows from Ohm's law: a closed switch has next to no resistance, so next to no voltage; what is
    allowed is chosen here, no source"""
    ends = dict.fromkeys(point(report, c.input, c.common) for _, c in report.switched if c.common)
    for red, black in ends:
        both = _unchanged(report, red, black)
        if both is None:
            continue
        one, other = both
        yield report.finding(other.path, one.figure, other.figure, terminals=(red, black))(
            f"{red} against {black} reads {one.figure} open and {other.figure} closed: the closed switch "
            "does not join them",
            f"measure once more: {other.asked}, at the drive's own screws; about 0 V there means that this "
            "lead was elsewhere, the same again that the switch is wired to another terminal",
        )


def changes_nothing(report: Report, control: SwitchedControl) -> bool:
    """Whether R103 says of a control that its switch changes nothing."""
    common = control.common
    return common is not None and _unchanged(report, *point(report, control.input, common)) is not None


def _unchanged(report: Report, red: str, black: str) -> tuple[Read, Read] | None:
    """Return the open and the closed reading of two points where they are alike, and not about 0 V."""
    by_points = groups(report)
    opened, closed = by_points.get((red, black, "open"), []), by_points.get((red, black, "closed"), [])
    if not opened or not closed:
        return None
    size = abs(opened[0].volts)
    least = size - max(SAME_V, REPEAT_SHARE * size)
    unlike = size < NEAR_ZERO_V or exceeds(least, abs(closed[0].volts))
    return None if unlike else (opened[0], closed[0])
