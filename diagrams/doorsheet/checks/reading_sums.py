"""The check that three readings between three points add up (room: checks)."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from doorsheet.checks.check import caution
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.example import RUN, SPEED, put, readings
from doorsheet.checks.finding import Finding
from doorsheet.checks.taken_readings import Read, reads
from doorsheet.circuit.reading_words import volts
from doorsheet.mapping.same_reading import SAME_V

__all__ = ["TRIANGLE_SHARE"]


TRIANGLE_SHARE: Final = 0.05

"""Share of the largest that three readings round a triangle may leave over (chosen here, no source)."""


@caution(
    "R104",
    "Three readings do not add up",
    formula="abs(V(ab) + V(bc) - V(ac)) <= 0.5 V or 5 % of the largest, whichever is more",
    source="Kirchhoff's voltage law, any textbook; what is allowed is chosen here, no source",
    example=(
        readings(
            "red on DI1, black on COM: 24.3 V",
            "red on AGND, black on COM: 0.1 V",
            "red on DI1, black on AGND: 25.5 V",
        ),
        put(RUN, "meter"),
        SPEED,
    ),
)
def _triangle_open(report: Report) -> Iterator[Finding]:
    """From one point to a second, on to a third and back, the readings must add up to zero. The reading that
    is part of the most sets of three that don't is the one to take again."""
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
    inputs = {control.input for _, control in report.switched}
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
    """Return V(ab) + V(bc) + V(ca), which is zero whatever the points are."""
    (a,) = {three[0].red, three[0].black} & {three[2].red, three[2].black}
    (b,) = {three[0].red, three[0].black} & {three[1].red, three[1].black}
    (c,) = {three[1].red, three[1].black} & {three[2].red, three[2].black}
    return three[0].turned(a, b) + three[1].turned(b, c) + three[2].turned(c, a)


def _triangle_finding(
    report: Report, three: tuple[Read, Read, Read], blamed: Counter[Read], wrong: int
) -> Finding:
    again, why = _take_again(three, blamed, wrong)
    return report.finding(
        min((read.path for read in three), key=_path_order),
        f"{', '.join(f'{read.leads}: {read.figure}' for read in three)}: round these three points the "
        f"readings must add up to zero (Kirchhoff's voltage law), but "
        f"{volts(round(abs(_round_trip(three)), 3))} is left over, so one of them is wrong",
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
