"""Checks of the meter's readings against each other: which can't be true together (room: circuit).

Each says which reading contradicts which, turned to the same leads, and the one measurement that would
settle it.  Readings of different states are compared only where a check is about that.  Imported only
for a mapping with readings to compare.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from doorsheet.circuit.checks.report import NEAR_ZERO_V, Report, exceeds
from doorsheet.circuit.checks.taken import Read, commons, point, reads
from doorsheet.circuit.findings import Finding
from doorsheet.circuit.readings import volts
from doorsheet.mapping.meter import SAME_V, signs_differ

__all__ = [
    "METER_CHECKS",
    "change_on_plugging",
    "change_on_running",
    "closed_like_open",
    "inputs_unlike",
    "other_common_differs",
    "repeat_differs",
    "repeat_of_other_sign",
    "triangle_open",
]

REPEAT_SHARE: Final = 0.1
"""Share by which two readings of one thing may differ (common practice, no source)."""

TRIANGLE_SHARE: Final = 0.05
"""Share of the largest by which three readings round a triangle may miss nought (judgement, no source)."""

INPUTS_SHARE: Final = 0.2
"""Share by which two inputs of one common may differ (common practice, no source)."""

COMMONS_V: Final = 1.0
"""How far readings against two commons may differ, V: a survey of practice, its row of wandering readings."""

PLUGGED_SHARE: Final = 0.01
"""Share by which a signal may change on plugging in, from the same survey's row of values that stick."""

PLUGGED_V: Final = 0.05
"""Change on plugging that is none, V: what a meter's last digit and the command's rest make of nothing."""

RUNNING_V: Final = 0.2
"""How far a signal may change from stopped to running, V: same survey, its row of signals that sag."""


def _apart(one: float, other: float, share: float = REPEAT_SHARE) -> bool:
    """Whether two readings differ by more than a share of the larger, and by more than `SAME_V`."""
    return exceeds(abs(one - other), max(SAME_V, share * max(abs(one), abs(other))))


def _groups(report: Report) -> dict[tuple[str, str, str], list[Read]]:
    """Return the readings of each two points in each state, in the order of the lines."""
    groups: dict[tuple[str, str, str], list[Read]] = defaultdict(list)
    for read in reads(report):
        groups[read.red, read.black, read.state].append(read)
    return groups


def _repeats(report: Report) -> Iterator[tuple[Read, Read]]:
    """Yield a reading and a later one of the same thing, for every two points in every state."""
    for group in _groups(report).values():
        yield from combinations(group, 2)


def repeat_of_other_sign(report: Report) -> Iterator[Finding]:
    """R101: the same two points in the same state, once plus and once minus."""
    for one, other in _repeats(report):
        if signs_differ(one.volts, other.volts):
            yield report.finding(
                "R101",
                other.path,
                f"{one.leads}, reads {one.figure} and {other.figure}: which of the two is plus nobody knows",
                f"measure once more before anything is connected: {one.asked}",
                terminals=(one.red, one.black),
                figures=(one.figure, other.figure),
            )


def repeat_differs(report: Report) -> Iterator[Finding]:
    """R102: the same two points in the same state, with figures too far apart."""
    for one, other in _repeats(report):
        if _apart(one.volts, other.volts) and not signs_differ(one.volts, other.volts):
            yield report.finding(
                "R102",
                other.path,
                f"{one.leads}, reads {one.figure} and {other.figure}, "
                f"{volts(round(abs(one.volts - other.volts), 3))} apart",
                f"measure once more: {one.asked}; strike out the one that it does not confirm",
                terminals=(one.red, one.black),
                figures=(one.figure, other.figure),
            )


def closed_like_open(report: Report) -> Iterator[Finding]:
    """R103: an input that stood at a voltage open stands at it closed too."""
    groups = _groups(report)
    ends = dict.fromkeys(point(report, c.input, c.common) for _, c in report.switched() if c.common)
    for red, black in ends:
        opened, closed = groups.get((red, black, "open"), []), groups.get((red, black, "closed"), [])
        if not opened or not closed:
            continue
        one, other = opened[0], closed[0]
        size = abs(one.volts)
        least = size - max(SAME_V, REPEAT_SHARE * size)
        if size < NEAR_ZERO_V or exceeds(least, abs(other.volts)):
            continue
        yield report.finding(
            "R103",
            other.path,
            f"{red} against {black} reads {one.figure} open and {other.figure} closed: the closed switch "
            "does not join them",
            f"measure once more: {other.asked}, at the drive's own screws; about 0 V there means that this "
            "lead was elsewhere, the same again that the switch is led to another terminal",
            terminals=(red, black),
            figures=(one.figure, other.figure),
        )


# ---- Kirchhoff's voltage law ----


def triangle_open(report: Report) -> Iterator[Finding]:
    """R104: three readings between three points must add up."""
    by_state: dict[str, dict[frozenset[str], Read]] = defaultdict(dict)
    for read in reads(report):
        by_state[read.state].setdefault(frozenset((read.red, read.black)), read)
    for state, sides in by_state.items():
        wrong = [three for three in _triangles(report, sides, state) if _misses(three)]
        blamed = Counter(side for three in wrong for side in three)
        for three in wrong:
            yield _triangle_finding(report, three, blamed, len(wrong))


def _triangles(
    report: Report, sides: dict[frozenset[str], Read], state: str
) -> Iterator[tuple[Read, Read, Read]]:
    """Yield the sides ab, bc, ac of every triangle whose sides are all read.

    Readings of two inputs, each while its own switch is closed, are of two states of the circuit.
    """
    points = sorted({label for side in sides for label in side})
    inputs = {control.input for _, control in report.switched()}
    for a, b, c in combinations(points, 3):
        three = [sides.get(frozenset(side)) for side in ((a, b), (b, c), (a, c))]
        if state == "closed" and len(inputs & {a, b, c}) > 1:
            continue
        one, other, third = three
        if one is not None and other is not None and third is not None:
            yield one, other, third


def _misses(three: tuple[Read, Read, Read]) -> bool:
    largest = max(abs(read.volts) for read in three)
    return exceeds(abs(_round_trip(three)), max(SAME_V, TRIANGLE_SHARE * largest))


def _round_trip(three: tuple[Read, Read, Read]) -> float:
    """Return V(ab) + V(bc) + V(ca), which is nought whatever the points are."""
    (a,) = {three[0].red, three[0].black} & {three[2].red, three[2].black}
    (b,) = {three[0].red, three[0].black} & {three[1].red, three[1].black}
    (c,) = {three[1].red, three[1].black} & {three[2].red, three[2].black}
    return three[0].turned(a, b) + three[1].turned(b, c) + three[2].turned(c, a)


def _triangle_finding(
    report: Report, three: tuple[Read, Read, Read], blamed: Counter[Read], wrong: int
) -> Finding:
    again, why = _take_again(three, blamed, wrong)
    return report.finding(
        "R104",
        min((read.path for read in three), key=_path_order),
        f"{', '.join(f'{read.leads}: {read.figure}' for read in three)}: round these three points the "
        f"readings must add up to nought (Kirchhoff's voltage law), and they leave "
        f"{volts(round(abs(_round_trip(three)), 3))}, so one of them is wrong",
        f"take this one again: {again.asked}; {why}",
        terminals=tuple(sorted({label for read in three for label in (read.red, read.black)})),
        figures=tuple(read.figure for read in three),
    )


def _take_again(three: tuple[Read, Read, Read], blamed: Counter[Read], wrong: int) -> tuple[Read, str]:
    """Return the reading of a triangle to be taken again, and why that one."""
    most = max(blamed[read] for read in three)
    alike = sorted((read for read in three if blamed[read] == most), key=lambda read: _path_order(read.path))
    if len(alike) == 1:
        return alike[0], f"it stands in {most} of the {wrong} sets of three that don't add up"
    number = "all three" if len(alike) == 3 else "two"
    return alike[0], f"{number} are as likely to be wrong, so begin with the first in the file"


def _path_order(path: tuple[str | int, ...]) -> tuple[bool, tuple[str, ...]]:
    """Order places: the list of readings, by its index, before what controls say."""
    return path[0] != "readings", tuple(f"{key:06}" if isinstance(key, int) else key for key in path)


# ---- Inputs and commons ----


def inputs_unlike(report: Report) -> Iterator[Finding]:
    """R105: inputs of one common at the same supply read alike."""
    groups = _groups(report)
    alike: dict[tuple[str, bool], list[tuple[float, str, Read]]] = defaultdict(list)
    for red, black in dict.fromkeys((c.input, c.common) for _, c in report.switched() if c.common):
        for read in groups.get((*point(report, red, black), "open"), [])[:1]:
            value = read.turned(red, black)
            if abs(value) >= NEAR_ZERO_V:
                alike[black, value > 0].append((abs(value), red, read))
    for (common, _), found in alike.items():
        (least, low, low_read), (most, high, high_read) = min(found, key=_size), max(found, key=_size)
        if exceeds(most - least, INPUTS_SHARE * most):
            apart = high_read.turned(high, common) - low_read.turned(low, common)
            yield report.finding(
                "R105",
                low_read.path,
                f"against {common}, {low} reads {low_read.figure} and {high} {high_read.figure}, both open: "
                "two supplies, another common, or a reading that is wrong",
                _settle_inputs(report, low_read, (high, low), apart),
                terminals=(low, high, common),
                figures=(low_read.figure, high_read.figure),
            )


def _size(found: tuple[float, str, Read]) -> tuple[float, str]:
    return found[:2]


def _settle_inputs(report: Report, low: Read, ends: tuple[str, str], apart: float) -> str:
    """Return what to do about two inputs whose readings are `apart`, V; `low` is the smaller."""
    between = _known(report, *ends, "open")
    if between is None:
        return (
            f"measure DC volts, red on {ends[0]}, black on {ends[1]}, open: about {volts(round(apart, 3))} "
            "means that both readings are right, about 0 V that one of them is wrong"
        )
    said = f"{between.leads}, reads {between.figure}"
    if _apart(between.turned(*ends), apart):
        return f"measure once more: {low.asked}; {said}, so it may well be wrong"
    return f"nothing to measure, {said}, so both are right: find out which supplies the inputs hang on"


def _known(report: Report, one: str, other: str, state: str) -> Read | None:
    """Return the first reading between two points in a state, if there is one."""
    return next((read for read in _groups(report).get((*point(report, one, other), state), [])), None)


def other_common_differs(report: Report) -> Iterator[Finding]:
    """R106: an input reads otherwise against another common than against its own."""
    groups, every = _groups(report), commons(report)
    ends = dict.fromkeys((c.input, c.common) for _, c in report.switched() if c.common)
    for red, own in ends:
        for common in every:
            if common in (own, red):
                continue
            for state in ("open", "closed"):
                one, other = (groups.get((*point(report, red, black), state), []) for black in (own, common))
                if one and other:
                    yield from _common_finding(report, red, one[0], other[0], (own, common))


def _common_finding(
    report: Report, red: str, one: Read, other: Read, ends: tuple[str, str]
) -> Iterator[Finding]:
    own, common = ends
    apart = one.turned(red, own) - other.turned(red, common)  # what `common` reads against `own`
    if not exceeds(abs(apart), COMMONS_V):
        return
    yield report.finding(
        "R106",
        other.path,
        f"{red} reads {one.figure} against its own common {own}, and {other.figure} against {common}: "
        f"the two commons are {volts(round(abs(apart), 3))} apart, or the black lead was elsewhere",
        _settle_commons(report, red, other, ends, apart),
        terminals=(red, own, common),
        figures=(one.figure, other.figure),
    )


def _settle_commons(report: Report, red: str, other: Read, ends: tuple[str, str], apart: float) -> str:
    """Return what to do about an input that reads otherwise against another common than its own."""
    own, common = ends
    between = _known(report, common, own, other.state)
    if between is None:
        return (
            f"measure DC volts, red on {common}, black on {own}, {other.state}: about "
            f"{volts(round(apart, 3))} means that the two are not joined and {own} is the reference for "
            f"{red}, about 0 V that one of the two readings is wrong"
        )
    said = f"{between.leads}, reads {between.figure}"
    if _apart(between.turned(common, own), apart):
        return f"measure once more: {other.asked}; {said}, so it may well be wrong"
    return f"nothing to measure, {said}: the two are not joined, so keep the black lead on {own} for {red}"


# ---- Readings that sag ----


def change_on_plugging(report: Report) -> Iterator[Finding]:
    """R107: a signal changes when the drive is plugged in."""
    groups = _groups(report)
    for (red, black, state), group in groups.items():
        plugged = groups.get((red, black, "plugged"), [])
        if state != "unplugged" or not plugged:
            continue
        one, other = group[0], plugged[0]
        apart = abs(one.volts - other.volts)
        if exceeds(apart, max(PLUGGED_V, PLUGGED_SHARE * abs(one.volts))):
            yield report.finding(
                "R107",
                other.path,
                f"{one.leads}, reads {one.figure} unplugged and {other.figure} plugged in: "
                f"{volts(round(apart, 3))} are lost or added by what it is plugged into",
                f"measure once more: {one.asked}, same command: if it is as before, the load pulls it there: "
                "look at the input's range and resistance, and for a second source on the wire",
                terminals=(red, black),
                figures=(one.figure, other.figure),
            )


def change_on_running(report: Report) -> Iterator[Finding]:
    """R108: a signal changes when the motor runs."""
    groups = _groups(report)
    for (red, black, state), group in groups.items():
        running = groups.get((red, black, "running"), [])
        if state != "stopped" or not running or abs(group[0].volts) < NEAR_ZERO_V:
            continue
        one, other = group[0], running[0]
        apart = abs(one.volts - other.volts)
        if exceeds(apart, RUNNING_V):
            yield report.finding(
                "R108",
                other.path,
                f"{one.leads}, reads {one.figure} stopped and {other.figure} running, "
                f"{volts(round(apart, 3))} apart",
                f"measure once more: {other.asked}, same command, at the drive's own terminals: if it is as "
                "before, current of the motor's side comes in by the signal's wire, its common or its screen",
                terminals=(red, black),
                figures=(one.figure, other.figure),
            )


METER_CHECKS: Final = (
    repeat_of_other_sign,
    repeat_differs,
    closed_like_open,
    triangle_open,
    inputs_unlike,
    other_common_differs,
    change_on_plugging,
    change_on_running,
)
"""Checks of readings against each other, in no order that matters."""
