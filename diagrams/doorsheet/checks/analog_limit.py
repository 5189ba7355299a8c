"""The check of what could come to the analog input, against what it can take (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.analog_source import analog_source, source_finding
from doorsheet.checks.check import STOP, check
from doorsheet.checks.current_paths import linked
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.fact_figures import of_fact
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.potentiometer_kind import fitted
from doorsheet.circuit.facts import Fact, Known
from doorsheet.circuit.quantities import show_value
from doorsheet.mapping.controls import SpeedControl

__all__ = ["too_much_reaches_input"]


@check(
    "A401",
    STOP,
    "More voltage can reach the analog input than it can take",
    rule=(
        "Each terminal on the speed signal's net can bring its own voltage: the source's compliance, "
        "the reference, a link to the switch inputs' supply."
    ),
    formula="highest voltage on the net <= input's absolute limit",
    source="follows from what a net is: every terminal on it has one voltage; the limit is the mapping's own",
    example="""\
[drive.analog]
limit = "12 V"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "4-20 mA", compliance = "24 V" }
range  = "4-20 mA"
""",
)
def too_much_reaches_input(report: Report) -> Iterator[Finding]:
    """The highest voltage that anything on the net can bring is more than the input bears."""
    speed, limit = report.mapping.speed, report.facts.analog_limit()
    if speed is None or not isinstance(limit, Fact) or limit.unit != "V":
        return
    worst = max(_voltages(report, speed), key=lambda pair: pair[0], default=None)
    if worst is None or not exceeds(worst[0], limit.interval.low):
        return
    figures = (worst[1], of_fact(limit))
    yield source_finding(
        report,
        "A401",
        ("speed", "signal"),
        f"{figures[0].name} can bring {figures[0]} to input {speed.signal}, which bears {figures[1]}",
        "take that way off, or fit a limiter that the drive's manual allows",
        figures,
    )


def _voltages(report: Report, speed: SpeedControl) -> Iterator[tuple[float, Figure]]:
    """Yield every voltage that can come to the speed input at this stage: V, and the figure."""
    facts = report.facts
    if fitted(report) or _linked_to(report, speed.signal, {speed.supply}):
        yield from _one("the reference supply", facts.reference_voltage())
    feeds = {control.feed for _, control in report.switched()}
    if _linked_to(report, speed.signal, feeds):
        for name, control in report.switched():
            if control.feed is not None:
                yield from _one("the inputs' supply, linked to it,", facts.input_supply(name))
    found = analog_source(report)
    if found is None:
        return
    if found[2] == "A":
        yield from _one(f"source {found[1].signal}", facts.source_compliance())
    elif (span := facts.source_span()) is not None:
        origin = report.origin("speed", "source", "range")
        yield span[0].high, Figure(f"source {found[1].signal}", show_value(span[0].high, "V"), origin)
        yield from _one(f"source {found[1].signal}", facts.source_top())


def _one(name: str, fact: Known) -> Iterator[tuple[float, Figure]]:
    if isinstance(fact, Fact) and fact.unit == "V":
        high = max(abs(fact.interval.low), abs(fact.interval.high))
        yield high, Figure(name, show_value(high, "V"), fact.said)


def _linked_to(report: Report, label: str, others: set[str | None]) -> bool:
    return any(label in group and group & others for group in linked(report))
