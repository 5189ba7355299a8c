"""Checks of readings against each other: round three points, of two inputs, plugged, running."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations, product
from operator import itemgetter
from typing import Final

from doorsheet.checks.check import caution
from doorsheet.checks.examined import Found, Report, exceeds
from doorsheet.checks.example import REVERSE, RUN, SPEED, UNREAD, put, readings
from doorsheet.checks.signal_readings import is_of_dial
from doorsheet.checks.speed_ranges import sources
from doorsheet.checks.taken_readings import Read, apart, commons, first_read, groups, reads
from doorsheet.circuit.reading_words import volts
from doorsheet.electrics.events import commanded
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.electrics.signal import Way
from doorsheet.mapping.same_reading import SAME_V

__all__ = ["COMMONS_V", "INPUTS_SHARE", "PLUGGED_SHARE", "PLUGGED_V", "RUNNING_V", "TRIANGLE_SHARE"]

INPUTS_SHARE: Final = 0.2  # share by which two inputs of one common may differ (common practice, no source)
PLUGGED_SHARE: Final = 0.01  # share by which a signal may change on plugging in (chosen here, no source)
RUNNING_V: Final = 0.2  # how far a signal may change from standing to running, V (chosen here, no source)
TRIANGLE_SHARE: Final = 0.05  # of the largest that three readings may leave over (chosen here, no source)

COMMONS_V: Final = 1.0
"""How far readings against two commons may differ, V: common-mode limit of an input without isolation, read
in a public text on an input module."""

PLUGGED_V: Final = 0.05
"""Change on plugging that is none, V: what a meter's last digit and the command's rest make of nothing."""


@caution("R104", readings("DI1, COM: 24.3 V", "AGND, COM: 0.1 V", "DI1, AGND: 25.5 V"), UNREAD, SPEED)
def _triangle_open(report: Report) -> Found:
    """Three readings do not add up.
    From one point to a second, on to a third and back, the readings must add up to zero. The reading that is
    part of the most sets of three that don't is the one to take again.
    Formula: abs(V(ab) + V(bc) - V(ac)) <= 0.5 V or 5 % of the largest, whichever is more
    Source: Kirchhoff's voltage law, any textbook; what is allowed is chosen here, no source"""
    by_state: dict[str, dict[frozenset[str], Read]] = defaultdict(dict)
    for read in reads(report):
        by_state[read.state].setdefault(frozenset((read.red, read.black)), read)
    for state, sides in by_state.items():
        wrong = [*_open_triangles(report, sides, state)]
        blamed = Counter(side for _, three in wrong for side in three)
        for left_over, three in wrong:
            # the list of readings, by its index, before what controls say
            in_order = sorted(three, key=lambda read: (read.path[0] != "readings", read.path))
            most = max(blamed[read] for read in three)
            again = [read for read in in_order if blamed[read] == most]
            why = f"it stands in {most} of the {len(wrong)} sets of three that don't add up"
            if again[1:]:
                number = "all three" if again == in_order else "two"
                why = f"{number} are as likely to be wrong, so begin with the first in the file"
            ends = tuple(sorted({label for read in three for label in (read.red, read.black)}))
            yield report.finding(in_order[0].path, *(read.figure for read in three), terminals=ends)(
                f"{', '.join(f'{read.leads}: {read.figure}' for read in three)}: round these three points "
                f"the readings must add up to zero (Kirchhoff's voltage law), but "
                f"{volts(round(left_over, 3))} is left over, so one of them is wrong",
                f"take this one again: {again[0].asked}; {why}",
            )


def _open_triangles(
    report: Report, sides: dict[frozenset[str], Read], state: str
) -> Iterator[tuple[float, list[Read]]]:
    """Yield what is left over round a triangle whose sides are all read, where it is too much, and those.

    Readings of two inputs, each while its own switch is closed, are of two states of the circuit.
    """
    inputs = {control.input for _, control in report.switched}
    for a, b, c in combinations(sorted(set[str]().union(*sides)), 3):
        three = [sides[side] for pair in ((a, b), (b, c), (a, c)) if (side := frozenset(pair)) in sides]
        if len(three) == 3 and not (state == "closed" and len(inputs & {a, b, c}) > 1):
            ab, bc, ac = three
            left_over = abs(ab.turned(a, b) + bc.turned(b, c) + ac.turned(c, a))
            if exceeds(left_over, max(SAME_V, TRIANGLE_SHARE * max(abs(read.volts) for read in three))):
                yield left_over, three


@caution("R105", readings("DI1, COM: 24.3 V", "DI2, COM: 19.4 V"), UNREAD, put(REVERSE, "meter"))
def _inputs_unlike(report: Report) -> Found:
    """Inputs of one common read differently.
    Open inputs of the same kind are fed by the same supply. One that reads a fifth less is fed by another
    supply, belongs to another common, or was read wrongly. Inputs at about 0 V are not compared.
    Formula: largest - smallest <= 20 % of the largest, by common and sign
    Source: inputs of one common have one supply: common practice, no source"""
    alike: dict[tuple[str, bool], list[tuple[float, str, Read]]] = defaultdict(list)
    for red, black in dict.fromkeys((c.input, c.common) for _, c in report.switched if c.common):
        read = first_read(report, red, black, "open")
        if read is not None and abs(value := read.turned(red, black)) >= NEAR_ZERO_V:
            alike[black, value > 0].append((abs(value), red, read))
    for (common, _), found in alike.items():
        ends = (pick(found, key=itemgetter(0, 1)) for pick in (min, max))
        (least, low, low_read), (most, high, high_read) = ends
        if exceeds(most - least, INPUTS_SHARE * most):
            expected = high_read.turned(high, common) - low_read.turned(low, common)
            unread = "both readings are right, about 0 V that one is wrong"
            right = ", so both are right: find out which supplies feed the inputs"
            one, other = low_read.figure, high_read.figure
            yield report.finding(low_read.path, one, other, terminals=(low, high, common))(
                f"against {common}, {low} reads {one} and {high} {other}, both open: two supplies, another "
                "common, or a reading that is wrong",
                _settle(report, low_read, (high, low), expected, unread, right),
            )


def _settle(
    report: Report, doubted: Read, ends: tuple[str, str], expected: float, unread: str, right: str
) -> str:
    """Return what to do about two readings, by what the one between their points should be, V.

    `unread` says what it would mean where nobody took it, `right` what to do where it is as it should be.
    """
    between, state = first_read(report, *ends, doubted.state), doubted.state
    if between is None:
        about = f"about {volts(round(expected, 3))} means that {unread}"
        return f"measure DC volts, red on {ends[0]}, black on {ends[1]}, {state}: {about}"
    said = f"{between.leads}, reads {between.figure}"
    if apart(between.turned(*ends), expected):
        return f"measure once more: {doubted.asked}; {said}, so it may well be wrong"
    return f"nothing to measure, {said}{right}"


@caution("R106", readings("DI1, COM: 24.3 V", "DI1, AGND: 23.2 V"), UNREAD, SPEED)
def _other_common_differs(report: Report) -> Found:
    """The input reads differently against another common.
    Against another common the input reads differently than against its own. The two commons are not joined,
    so only its own is its reference, or the black lead was elsewhere.
    Formula: abs(V(input, own common) - V(input, other common)) <= 1 V
    Source: follows from Kirchhoff's voltage law: the readings differ by the voltage between the commons; 1 V
    is the common-mode limit of an input without isolation, read in a public text on an input module"""
    every = dict.fromkeys((c.input, c.common) for _, c in report.switched if c.common)
    for (red, own), common, state in product(every, commons(report), ("open", "closed")):
        one, other = (first_read(report, red, black, state) for black in (own, common))
        if one is None or other is None or common in (own, red):
            continue
        expected = one.turned(red, own) - other.turned(red, common)  # what `common` reads against `own`
        if not exceeds(abs(expected), COMMONS_V):
            continue
        unread = (
            f"the two are not joined and {own} is the reference for {red}, about 0 V that one of the two "
            "readings is wrong"
        )
        right = f": the two are not joined, so keep the black lead on {own} for {red}"
        yield report.finding(other.path, one.figure, other.figure, terminals=(red, own, common))(
            f"{red} reads {one.figure} against its own common {own}, and {other.figure} against {common}: "
            f"the two commons are {volts(round(abs(expected), 3))} apart, or the black lead was elsewhere",
            _settle(report, other, (common, own), expected, unread, right),
        )


def _changes(report: Report, before: str, after: str) -> Iterator[tuple[str, Read, Read]]:
    """Yield the first readings of two points in two states, and the command that both are taken at."""
    by_points = groups(report)
    for (red, black, state), group in by_points.items():
        changed = by_points.get((red, black, state.replace(before, after)), [])
        if state.startswith(before) and changed:
            yield state.removeprefix(before), group[0], changed[0]


@caution("R107", readings("AI1, AGND: 10.0 V, unplugged", "AI1, AGND: 9.89 V, plugged"), RUN, SPEED)
def _change_on_plugging(report: Report) -> Found:
    """The signal changes when it is plugged in.
    A signal that reads differently with the drive plugged in is changed by its load or by another source.
    Both readings are taken at the same command. What the mapping's own figures lose under that load is no
    finding here.
    Formula: abs(unplugged - plugged) <= 1 % of the unplugged reading or 0.05 V, whichever is more, + the
    solved loss
    Source: follows from Ohm's law: a load takes voltage in the source's own resistance; 1 % and 0.05 V are
    chosen here, no source"""
    source, found = report.speed.source, next(sources(report), None)
    for at, one, other in _changes(report, "unplugged", "plugged"):
        of_speed = (one.red, one.black) == (report.speed.signal, report.speed.common)
        if of_speed and source is not None and found is None:
            continue  # on the bench it is not there yet
        plugged = (taken for taken in report.mapping.taken if ("readings", taken.index) == other.path)
        if of_speed and any(is_of_dial(report, taken) for taken in plugged):
            continue  # what is plugged in may be the potentiometer
        change, size = abs(one.volts - other.volts), abs(one.volts)
        known = _known_loss(found[0]) * size if of_speed and found is not None else 0.0
        if exceeds(change, max(PLUGGED_V, PLUGGED_SHARE * size) + known):
            yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
                f"red on {one.red}, black on {one.black}{at}, reads {one.figure} unplugged and "
                f"{other.figure} plugged in: {volts(round(change, 3))} is lost or added by what it is "
                "plugged into",
                f"measure once more: {one.asked}, same command: if it reads the same, the load changes it: "
                "look at the input's range and resistance, and for a second source on the wire",
            )


def _known_loss(way: Way) -> float:
    """Return the share of the speed signal that its load takes by the mapping's figures."""
    free, loaded = way.unplugged(commanded(1.0)), way.volts(commanded(1.0))
    known = free.is_known and loaded.is_known and free.low > 0
    return max(0.0, 1 - loaded.low / free.low) if known else 0.0


@caution("R108", readings("AI1, AGND: 10.0 V, standing", "AI1, AGND: 9.79 V, running"), RUN, SPEED)
def _change_on_running(report: Report) -> Found:
    """The signal changes when the motor runs.
    A signal that is right while the motor stands and sags while it runs shares a wire or the screen with
    another current. Both readings are taken at the same command.
    Formula: abs(standing - running) <= 0.2 V, where abs(standing) >= 1 V
    Source: follows from Ohm's law: another current in the signal's wire adds its own voltage; 0.2 V is chosen
    here, no source"""
    for at, one, other in _changes(report, "standing", "running"):
        change = abs(one.volts - other.volts)
        if abs(one.volts) >= NEAR_ZERO_V and exceeds(change, RUNNING_V):
            yield report.finding(other.path, one.figure, other.figure, terminals=(one.red, one.black))(
                f"red on {one.red}, black on {one.black}{at}, reads {one.figure} standing and "
                f"{other.figure} running, {volts(round(change, 3))} apart",
                f"measure once more: {other.asked}, same command, at the drive's own terminals: if it reads "
                "the same, current of the motor's side comes in by the signal's wire, its common or its "
                "screen",
            )
