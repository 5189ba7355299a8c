"""Checks of readings against what the mapping gives (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, check
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Finding
from doorsheet.checks.polarity import PLAUSIBLE_V
from doorsheet.circuit.facts import Fact, Origin
from doorsheet.circuit.readings import volts

__all__ = ["closed_reading_too_high", "reading_against_given"]

SUPPLY_TOLERANCE: Final = 0.2
"""How far a single given supply voltage may be out.

IEC 61131-2 has 20.4 V to 28.8 V on 24 V (seen at second hand); taken as a fifth both ways.
"""


@check(
    "P106",
    CAUTION,
    "The reading differs from the voltage given",
    rule=(
        "The reading lies outside the range that the mapping gives for the inputs' voltage. One of "
        "the two is of another drive, another terminal or another setting."
    ),
    formula="lowest given <= abs(reading) <= highest given; a single given voltage may be 20 % out",
    source=(
        "20.4 V to 28.8 V on 24 V (-15 %, +20 %): IEC 61131-2, seen at second hand; taken as 20 % both ways"
    ),
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-", voltage = "60 V" }
meter  = 12.1
""",
)
def reading_against_given(report: Report) -> Iterator[Finding]:
    """The reading lies outside the voltage that the mapping gives for the inputs."""
    low, high = PLAUSIBLE_V
    for name, control in report.switched():
        reading, given = control.reading_v, report.facts.input_supply(name)
        if reading is None or not isinstance(given, Fact) or given.origin is not Origin.GIVEN:
            continue
        slack = SUPPLY_TOLERANCE if given.interval.is_point else 0.0
        least, most = given.interval.low * (1 - slack), given.interval.high * (1 + slack)
        if not low <= abs(reading) <= high or not (
            exceeds(least, abs(reading)) or exceeds(abs(reading), most)
        ):
            continue
        figures = (report.reading(name, reading), of_fact(given))
        yield report.finding(
            "P106",
            (name, "meter"),
            f"{control.input} reads {figures[0]} open, the inputs' voltage is given as {figures[1]}",
            "find out which is wrong: measure again, and compare drive type and manual edition",
            terminals=(control.input, control.common),
            figures=figures,
        )


@check(
    "P107",
    CAUTION,
    "The closed reading does not show a closed switch",
    rule=(
        "Measured with the output closed, the voltage left across it is so high that the input may "
        "not see a closed switch."
    ),
    formula="open reading - closed reading >= on level",
    source=(
        "follows from Kirchhoff's voltage law: the input gets what the switch leaves; on levels as for O205"
    ),
    example="""\
[drive.inputs]
voltage = "24 V"
current = "5 mA"
type    = 3

[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3
meter-closed = 14
""",
)
def closed_reading_too_high(report: Report) -> Iterator[Finding]:
    """Measured closed, the switch leaves the input less than its on level."""
    for name, control in report.switched():
        closed, on = report.facts.closed_v(name), report.facts.input_on(name)
        reading = control.reading_v
        if reading is None or not isinstance(closed, Fact) or not isinstance(on, Fact) or on.unit != "V":
            continue
        if control.output is not None and control.output.joins == "plus":
            left = abs(closed.interval.low)
        else:
            left = abs(reading - closed.interval.low)
        if not exceeds(on.interval.high, left):
            continue
        figures = (report.reading(name, reading), of_fact(closed), of_fact(on))
        yield report.finding(
            "P107",
            (name, "meter-closed"),
            f"{control.input} reads {figures[0]} open and {figures[1]} closed: that leaves the input "
            f"{volts(round(left, 3))}, and it comes on at {figures[2]}",
            "measure the current in the loop; a drop of more than a volt or two means a wrong or weak output",
            terminals=(control.input, control.common),
            figures=figures,
        )
