"""Checks of the analog output: its load, what is lost on the way, what could come in (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.checks.figures import of_fact, of_level
from doorsheet.circuit.checks.nets import linked
from doorsheet.circuit.checks.report import Path, Report, exceeds
from doorsheet.circuit.checks.speed import fitted
from doorsheet.circuit.facts import Fact, Known
from doorsheet.circuit.findings import Figure, Finding
from doorsheet.circuit.levels import Level, source_load_ohm
from doorsheet.circuit.parts import Stage
from doorsheet.circuit.quantities import show_value
from doorsheet.mapping.controls import AnalogSource, SpeedControl

__all__ = [
    "burden_falsified",
    "resistor_in_signal",
    "source_overloaded",
    "source_sags",
    "too_much_reaches_input",
    "wires_take_part",
]

LARGEST_LOSS: Final = 0.01
"""Share of the signal that may be lost on the way before it is worth a word (common practice, no source)."""


def _source(report: Report) -> tuple[SpeedControl, AnalogSource, str] | None:
    """Return speed control, source and the source's unit; None where there is no source at this stage."""
    speed = report.mapping.speed
    if speed is None or report.stage_of("speed") is Stage.BENCH or speed.source is None:
        return None
    return speed, speed.source, "A" if speed.source.range.endswith("mA") else "V"


def _found(
    report: Report, code: str, path: Path, reason: str, do: str, figures: tuple[Figure, ...]
) -> Finding:
    speed = report.mapping.speed
    source = speed.source if speed is not None else None
    return report.finding(
        code,
        path,
        reason,
        do,
        wires=report.wires_of("speed", "signal", "common"),
        terminals=(source.signal if source else None, speed.signal if speed else None),
        figures=figures,
    )


# --- load ----------------------------------------------------------------


def source_overloaded(report: Report) -> Iterator[Finding]:
    """A301: too few ohms for a voltage source, too many for a current source."""
    found = _source(report)
    load = source_load_ohm(report.facts, report.circuit) if found is not None else None
    if found is None or not isinstance(load, Level):
        return
    _, source, unit = found
    limit, compliance = report.facts.source_load(), report.facts.source_compliance()
    said: tuple[str, tuple[Figure, ...]] | None = None
    if isinstance(limit, Fact) and unit == "V" and exceeds(limit.interval.high, load.interval.low):
        figures = (of_level(load, "low"), of_fact(limit), *map(of_fact, load.facts))
        said = f"has {figures[0]} to drive, and needs {figures[1]} at least", figures
    elif isinstance(limit, Fact) and unit == "A" and exceeds(load.interval.high, limit.interval.low):
        figures = (of_level(load, "high"), of_fact(limit), *map(of_fact, load.facts))
        said = f"has {figures[0]} to drive, and can drive {figures[1]} at most", figures
    elif isinstance(compliance, Fact) and unit == "A":
        span = report.facts.source_span()
        needs = load.interval.high * (span[0].high if span is not None else 0.0)
        if exceeds(needs, compliance.interval.low):
            over = Figure("voltage at full command", show_value(needs, "V"), "computed: current x load")
            figures = (over, of_fact(compliance), *map(of_fact, load.facts))
            said = f"needs {figures[0]} at full command, and can push {figures[1]}", figures
    if said is not None:
        yield _found(
            report,
            "A301",
            ("speed", "source"),
            f"source {source.signal} {said[0]}",
            "take inputs off it or put an isolating amplifier between"
            if unit == "V"
            else "use a smaller burden resistor, or take inputs out of the loop",
            said[1],
        )


def source_sags(report: Report) -> Iterator[Finding]:
    """A302: the source's own resistance and its inputs form a divider."""
    found, inner = _source(report), report.facts.source_resistance()
    if found is None or found[2] != "V" or not isinstance(inner, Fact):
        return
    load = source_load_ohm(report.facts, report.circuit)
    if not isinstance(load, Level):
        return
    share = inner.interval.high / (inner.interval.high + load.interval.low)
    if exceeds(share, LARGEST_LOSS):
        figures = (_loss(share), of_fact(inner), of_level(load, "low"), *map(of_fact, load.facts))
        yield _found(
            report,
            "A302",
            ("speed", "source", "resistance"),
            f"source {found[1].signal} of {figures[1]} sags by {figures[0].value} under {figures[2]}",
            "correct the scale in the drive, take inputs off the source, or put an isolating "
            "amplifier between",
            figures,
        )


def _loss(share: float) -> Figure:
    return Figure("share lost", f"{100 * share:.3g} %", "computed: divider")


def _lost(report: Report, part: Known, times: int = 1) -> tuple[Figure, Fact, Fact] | None:
    """Return what a resistance in the way takes of the signal, if that is too much; with both facts."""
    entry = report.facts.analog_resistance()
    if not isinstance(part, Fact) or not isinstance(entry, Fact):
        return None
    ohm = times * part.interval.high
    share = ohm / (ohm + entry.interval.low)
    return (_loss(share), part, entry) if exceeds(share, LARGEST_LOSS) else None


# --- on the way ----------------------------------------------------------


def burden_falsified(report: Report) -> Iterator[Finding]:
    """A303: the input lies in parallel to the burden resistor."""
    found = _source(report)
    lost = _lost(report, report.facts.burden())
    if found is None or found[2] != "A" or lost is None:
        return
    share, burden, entry = lost
    figures = (share, of_fact(burden), of_fact(entry))
    yield _found(
        report,
        "A303",
        ("speed", "burden"),
        f"input {found[0].signal} of {figures[2]} lies beside the burden of {figures[1]}: everything reads "
        f"{share.value} low",
        "correct the scale in the drive, or fit a burden that is so much larger",
        figures,
    )


def wires_take_part(report: Report) -> Iterator[Finding]:
    """A304: both conductors of the pair are in the voltage's way."""
    found = _source(report)
    lost = _lost(report, report.facts.conductor_resistance("speed"), times=2) if found is not None else None
    if found is None or found[2] != "V" or lost is None:
        return
    share, wire, entry = lost
    figures = (share, of_fact(wire, "high"), of_fact(entry))
    yield _found(
        report,
        "A304",
        ("speed",),
        f"the two wires, each {figures[1]}, take {share.value} of the signal before input "
        f"{found[0].signal} of "
        f"{figures[2]}",
        "use thicker or shorter wires, or a current signal",
        figures,
    )


def resistor_in_signal(report: Report) -> Iterator[Finding]:
    """A306: a filter's resistor and the input form a divider."""
    found, lost = _source(report), _lost(report, report.facts.series())
    if found is None or found[2] != "V" or lost is None:
        return
    share, series, entry = lost
    figures = (share, of_fact(series), of_fact(entry))
    yield _found(
        report,
        "A306",
        ("speed", "series"),
        f"the resistor of {figures[1]} in the signal takes {share.value} of it before input "
        f"{found[0].signal} of "
        f"{figures[2]}",
        "use a smaller resistor with a larger capacitor, or correct the scale in the drive",
        figures,
    )


# --- what could reach the input ------------------------------------------


def too_much_reaches_input(report: Report) -> Iterator[Finding]:
    """A401: the highest voltage that anything on the net can bring is more than the input bears."""
    speed, limit = report.mapping.speed, report.facts.analog_limit()
    if speed is None or not isinstance(limit, Fact) or limit.unit != "V":
        return
    worst = max(_voltages(report, speed), key=lambda pair: pair[0], default=None)
    if worst is None or not exceeds(worst[0], limit.interval.low):
        return
    figures = (worst[1], of_fact(limit))
    yield _found(
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
    found = _source(report)
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
