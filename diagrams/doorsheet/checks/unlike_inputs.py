"""Checks of one input's reading against another input's, and against another common (room: checks)."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution
from doorsheet.checks.examined import NEAR_ZERO_V, Report, exceeds
from doorsheet.checks.example import REVERSE, RUN, SPEED, put, readings
from doorsheet.checks.finding import Finding
from doorsheet.checks.taken_readings import Read, apart, commons, groups, point
from doorsheet.circuit.reading_words import volts

__all__ = ["COMMONS_V", "INPUTS_SHARE"]


INPUTS_SHARE: Final = 0.2

"""Share by which two inputs of one common may differ (common practice, no source)."""


COMMONS_V: Final = 1.0

"""How far readings against two commons may differ, V: common-mode limit of an input without isolation, read
in a public text on an input module."""


@caution(
    "R105",
    "Inputs of one common read differently",
    formula="largest - smallest <= 20 % of the largest, by common and sign",
    source="inputs of one common have one supply: common practice, no source",
    example=(
        readings("red on DI1, black on COM: 24.3 V", "red on DI2, black on COM: 19.4 V"),
        put(RUN, "meter"),
        put(REVERSE, "meter"),
    ),
)
def _inputs_unlike(report: Report) -> Iterator[Finding]:
    """Open inputs of the same kind hang on the same supply. One that reads a fifth less hangs on another
    supply, belongs to another common, or was read wrongly. Inputs at about 0 V are not compared."""
    by_points = groups(report)
    alike: dict[tuple[str, bool], list[tuple[float, str, Read]]] = defaultdict(list)
    for red, black in dict.fromkeys((c.input, c.common) for _, c in report.switched if c.common):
        for read in by_points.get((*point(report, red, black), "open"), [])[:1]:
            value = read.turned(red, black)
            if abs(value) >= NEAR_ZERO_V:
                alike[black, value > 0].append((abs(value), red, read))
    for (common, _), found in alike.items():
        (least, low, low_read), (most, high, high_read) = min(found, key=_size), max(found, key=_size)
        if exceeds(most - least, INPUTS_SHARE * most):
            apart = high_read.turned(high, common) - low_read.turned(low, common)
            yield report.finding(
                low_read.path,
                f"against {common}, {low} reads {low_read.figure} and {high} {high_read.figure}, both open: "
                "two supplies, another common, or a reading that is wrong",
                _settle_inputs(report, low_read, (high, low), apart),
                terminals=(low, high, common),
                figures=(low_read.figure, high_read.figure),
            )


def _size(found: tuple[float, str, Read]) -> tuple[float, str]:
    return found[:2]


def _settle_inputs(report: Report, low: Read, ends: tuple[str, str], expected: float) -> str:
    """Return what to do about two inputs; one should read `expected`, V, against the other."""
    between = _known(report, *ends, "open")
    if between is None:
        return (
            f"measure DC volts, red on {ends[0]}, black on {ends[1]}, open: about "
            f"{volts(round(expected, 3))} means that both readings are right, about 0 V that one is wrong"
        )
    said = f"{between.leads}, reads {between.figure}"
    if apart(between.turned(*ends), expected):
        return f"measure once more: {low.asked}; {said}, so it may well be wrong"
    return f"nothing to measure, {said}, so both are right: find out which supplies the inputs hang on"


def _known(report: Report, one: str, other: str, state: str) -> Read | None:
    """Return the first reading between two points in a state, if there is one."""
    return next((read for read in groups(report).get((*point(report, one, other), state), [])), None)


@caution(
    "R106",
    "The input reads differently against another common",
    formula="abs(V(input, own common) - V(input, other common)) <= 1 V",
    source=(
        "follows from Kirchhoff's voltage law: the readings differ by the voltage between the commons; 1 V"
        " is the common-mode limit of an input without isolation, read in a public text on an input module"
    ),
    example=(
        readings("red on DI1, black on COM: 24.3 V", "red on DI1, black on AGND: 23.2 V"),
        put(RUN, "meter"),
        SPEED,
    ),
)
def _other_common_differs(report: Report) -> Iterator[Finding]:
    """Against another common the input reads differently than against its own. The two commons are not
    joined, so only its own is its reference, or the black lead was elsewhere."""
    by_points, every = groups(report), commons(report)
    ends = dict.fromkeys((c.input, c.common) for _, c in report.switched if c.common)
    for red, own in ends:
        for common in every:
            if common in (own, red):
                continue
            for state in ("open", "closed"):
                one, other = (
                    by_points.get((*point(report, red, black), state), []) for black in (own, common)
                )
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
        other.path,
        f"{red} reads {one.figure} against its own common {own}, and {other.figure} against {common}: "
        f"the two commons are {volts(round(abs(apart), 3))} apart, or the black lead was elsewhere",
        _settle_commons(report, red, other, ends, apart),
        terminals=(red, own, common),
        figures=(one.figure, other.figure),
    )


def _settle_commons(report: Report, red: str, other: Read, ends: tuple[str, str], expected: float) -> str:
    """Return what to do about an input that reads otherwise against another common than its own."""
    own, common = ends
    between = _known(report, common, own, other.state)
    if between is None:
        return (
            f"measure DC volts, red on {common}, black on {own}, {other.state}: about "
            f"{volts(round(expected, 3))} means that the two are not joined and {own} is the reference for "
            f"{red}, about 0 V that one of the two readings is wrong"
        )
    said = f"{between.leads}, reads {between.figure}"
    if apart(between.turned(common, own), expected):
        return f"measure once more: {other.asked}; {said}, so it may well be wrong"
    return f"nothing to measure, {said}: the two are not joined, so keep the black lead on {own} for {red}"
