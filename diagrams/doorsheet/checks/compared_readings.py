"""Checks of readings against each other: round three points, of two inputs, plugged, running."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import partial
from itertools import combinations, product
from operator import itemgetter
from typing import Final, TypeAlias

from doorsheet.checks.check import caution
from doorsheet.checks.examined import Found, Report, exceeds
from doorsheet.checks.example import REVERSE, SPEED, UNREAD, put, readings
from doorsheet.checks.speed_ranges import driven
from doorsheet.checks.taken_readings import Read, apart, commons, first_read, groups, reads
from doorsheet.circuit.reading_words import volts
from doorsheet.electrics.events import commanded
from doorsheet.electrics.figures import NEAR_ZERO_V
from doorsheet.mapping.same_reading import SAME_V

__all__ = ["COMMONS_V", "INPUTS_SHARE", "PLUGGED_SHARE", "PLUGGED_V", "RUNNING_V", "TRIANGLE_SHARE"]

INPUTS_SHARE: Final = 0.2  # share by which two inputs of one common may differ (common practice, no source)
PLUGGED_SHARE: Final = 0.01  # share by which a signal may change on plugging in (chosen here, no source)
RUNNING_V: Final = 0.2  # how far a signal may change from standing to running, V (chosen here, no source)


_Three: TypeAlias = tuple[Read, Read, Read]

TRIANGLE_SHARE: Final = 0.05
"""Share of the largest that three readings round a triangle may leave over (chosen here, no source)."""


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
        wrong = []
        for three in _triangles(report, sides, state):
            allowed = max(SAME_V, TRIANGLE_SHARE * max(abs(read.volts) for read in three))
            wrong += [three] if exceeds(abs(_left_over(three)), allowed) else []
        blamed = Counter(side for three in wrong for side in three)
        for three in wrong:
            again, why = _take_again(three, blamed, len(wrong))
            path = min((read.path for read in three), key=_path_order)
            ends = tuple(sorted({label for read in three for label in (read.red, read.black)}))
            yield report.finding(path, *(read.figure for read in three), terminals=ends)(
                f"{', '.join(f'{read.leads}: {read.figure}' for read in three)}: round these three points "
                f"the readings must add up to zero (Kirchhoff's voltage law), but "
                f"{volts(round(abs(_left_over(three)), 3))} is left over, so one of them is wrong",
                f"take this one again: {again.asked}; {why}",
            )


def _triangles(report: Report, sides: dict[frozenset[str], Read], state: str) -> Iterator[_Three]:
    """Yield the sides ab, bc, ac of every triangle whose sides are all read.

    Readings of two inputs, each while its own switch is closed, are of two states of the circuit.
    """
    inputs = {control.input for _, control in report.switched}
    for a, b, c in combinations(sorted(set[str]().union(*sides)), 3):
        three = [sides[side] for pair in ((a, b), (b, c), (a, c)) if (side := frozenset(pair)) in sides]
        if len(three) == 3 and not (state == "closed" and len(inputs & {a, b, c}) > 1):
            yield three[0], three[1], three[2]


def _left_over(three: _Three) -> float:
    """Return V(ab) + V(bc) + V(ca), which is zero whatever the points are."""
    ab, bc, ac = three
    (a,) = {ab.red, ab.black} & {ac.red, ac.black}
    (b,) = {ab.red, ab.black} & {bc.red, bc.black}
    (c,) = {bc.red, bc.black} & {ac.red, ac.black}
    return ab.turned(a, b) + bc.turned(b, c) + ac.turned(c, a)


def _take_again(three: _Three, blamed: Counter[Read], wrong: int) -> tuple[Read, str]:
    most = max(blamed[read] for read in three)
    alike = sorted((read for read in three if blamed[read] == most), key=lambda read: _path_order(read.path))
    if len(alike) == 1:
        return alike[0], f"it stands in {most} of the {wrong} sets of three that don't add up"
    number = "all three" if len(alike) == 3 else "two"
    return alike[0], f"{number} are as likely to be wrong, so begin with the first in the file"


def _path_order(path: tuple[str | int, ...]) -> tuple[bool, tuple[str, ...]]:
    """Order places: the list of readings, by its index, before what controls say."""
    return path[0] != "readings", tuple(f"{key:06}" if isinstance(key, int) else key for key in path)


COMMONS_V: Final = 1.0
"""How far readings against two commons may differ, V: common-mode limit of an input without isolation, read
in a public text on an input module."""


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
            figures = (low_read.figure, high_read.figure)
            yield report.finding(low_read.path, *figures, terminals=(low, high, common))(
                f"against {common}, {low} reads {figures[0]} and {high} {figures[1]}, both open: "
                "two supplies, another common, or a reading that is wrong",
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


PLUGGED_V: Final = 0.05
"""Change on plugging that is none, V: what a meter's last digit and the command's rest make of nothing."""


def _changes(before: str, after: str, report: Report) -> Iterator[tuple[str, Read, Read]]:
    """Yield the first readings of two points in two states, and the command that both are taken at."""
    by_points = groups(report)
    for (red, black, state), group in by_points.items():
        changed = by_points.get((red, black, state.replace(before, after)), [])
        if state.startswith(before) and changed:
            yield state.removeprefix(before), group[0], changed[0]


@caution.each(
    partial(_changes, "unplugged", "plugged"),
    "R107",
    readings("AI1, AGND: 10.0 V, unplugged", "AI1, AGND: 9.89 V, plugged", "DI1, COM: 24.3 V"),
    UNREAD,
    SPEED,
)
def _change_on_plugging(report: Report, at: str, one: Read, other: Read) -> Found:
    """The signal changes when it is plugged in.
    A signal that reads differently with the drive plugged in is changed by its load or by another source.
    Both readings are taken at the same command. What the mapping's own figures lose under that load is no
    finding here.
    Formula: abs(unplugged - plugged) <= 1 % of the unplugged reading or 0.05 V, whichever is more, + the
    solved loss
    Source: follows from Ohm's law: a load takes voltage in the source's own resistance; 1 % and 0.05 V are
    chosen here, no source"""
    red, black = one.red, one.black
    of_source = (red, black) == (report.speed.signal, report.speed.common) and report.speed.source is not None
    if of_source and driven(report) is None:
        return  # on the bench it is not there yet
    change, known = abs(one.volts - other.volts), _known_loss(report, red, black) * abs(one.volts)
    if exceeds(change, max(PLUGGED_V, PLUGGED_SHARE * abs(one.volts)) + known):
        figures = (one.figure, other.figure)
        yield report.finding(other.path, *figures, terminals=(red, black))(
            f"red on {red}, black on {black}{at}, reads {one.figure} unplugged and {other.figure} plugged "
            f"in: {volts(round(change, 3))} is lost or added by what it is plugged into",
            f"measure once more: {one.asked}, same command: if it reads the same, the load changes it: look "
            "at the input's range and resistance, and for a second source on the wire",
        )


def _known_loss(report: Report, red: str, black: str) -> float:
    """Return the share of the speed signal that its load takes by the mapping's figures; 0 elsewhere."""
    found = driven(report)
    if found is None or (red, black) != (found[0].speed.signal, found[0].speed.common):
        return 0.0
    free, loaded = found[0].unloaded(commanded(1.0), "V"), found[0].volts(commanded(1.0))
    known = free.is_known and loaded.is_known and free.high > 0
    return max(0.0, 1 - loaded.low / free.low) if known and free.low > 0 else 0.0


@caution.each(
    partial(_changes, "standing", "running"),
    "R108",
    readings("AI1, AGND: 10.0 V, standing", "AI1, AGND: 9.79 V, running", "DI1, COM: 24.3 V"),
    UNREAD,
    SPEED,
)
def _change_on_running(report: Report, at: str, one: Read, other: Read) -> Found:
    """The signal changes when the motor runs.
    A signal that is right while the motor stands and sags while it runs shares a wire or the screen with
    another current. Both readings are taken at the same command.
    Formula: abs(standing - running) <= 0.2 V, where abs(standing) >= 1 V
    Source: follows from Ohm's law: another current in the signal's wire adds its own voltage; 0.2 V is chosen
    here, no source"""
    change = abs(one.volts - other.volts)
    if abs(one.volts) >= NEAR_ZERO_V and exceeds(change, RUNNING_V):
        ends, figures = (one.red, one.black), (one.figure, other.figure)
        yield report.finding(other.path, *figures, terminals=ends)(
            f"red on {one.red}, black on {one.black}{at}, reads {one.figure} standing and {other.figure} "
            f"running, {volts(round(change, 3))} apart",
            f"measure once more: {other.asked}, same command, at the drive's own terminals: if it reads the "
            "same, current of the motor's side comes in by the signal's wire, its common or its screen",
        )
