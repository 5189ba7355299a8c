"""Checks of the analog output: its load, and what is lost on the way (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, STOP, check
from doorsheet.checks.examined import Path, Report, exceeds
from doorsheet.checks.fact_figures import of_fact, of_level
from doorsheet.checks.finding import Figure, Finding
from doorsheet.circuit.facts import Fact, Known
from doorsheet.circuit.levels import Level, source_load_ohm
from doorsheet.circuit.parts import Stage
from doorsheet.circuit.quantities import show_value
from doorsheet.mapping.controls import AnalogSource, SpeedControl

__all__ = [
    "analog_source",
    "burden_falsified",
    "resistor_in_signal",
    "source_finding",
    "source_overloaded",
    "source_sags",
    "wires_take_part",
]

LARGEST_LOSS: Final = 0.01
"""Share of the signal that may be lost on the way before it is worth a word (common practice, no source)."""


def analog_source(report: Report) -> tuple[SpeedControl, AnalogSource, str] | None:
    """Return speed control, source and the source's unit; None where there is no source at this stage."""
    speed = report.mapping.speed
    if speed is None or report.stage_of("speed") is Stage.BENCH or speed.source is None:
        return None
    return speed, speed.source, "A" if speed.source.range.endswith("mA") else "V"


def source_finding(
    report: Report, code: str, path: Path, reason: str, do: str, figures: tuple[Figure, ...]
) -> Finding:
    """Build a finding about the way from source to input, with its wires and terminals."""
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


@check(
    "A301",
    STOP,
    "The source is overloaded",
    rule=(
        "All inputs on a voltage source together are fewer ohms than it can drive, or burden, "
        "resistors and inputs in a current source's loop are more."
    ),
    formula=(
        "1/sum(1/R) >= least load (volts); R total <= greatest load, or Imax x R <= compliance (milliamperes)"
    ),
    source=(
        "load figures by the mapping; 1 kohm for 0-10 V, 600 ohm for 4-20 mA: handbook table after "
        "IEC 61131-2, read in a public copy"
    ),
    example="""\
[drive.analog]
resistance = "10 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", load = "6 kohm", other-inputs = ["10 kohm"] }
range  = "0-10 V"
""",
)
def source_overloaded(report: Report) -> Iterator[Finding]:
    """Too few ohms for a voltage source, too many for a current source."""
    found = analog_source(report)
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
        yield source_finding(
            report,
            "A301",
            ("speed", "source"),
            f"source {source.signal} {said[0]}",
            "take inputs off it or put an isolating amplifier between"
            if unit == "V"
            else "use a smaller burden resistor, or take inputs out of the loop",
            said[1],
        )


@check(
    "A302",
    CAUTION,
    "The source's voltage sags under its inputs",
    rule="The source's own resistance and all its inputs form a divider.",
    formula="Rsource / (Rsource + Rload) <= 1 %",
    source="divider law, computed; the limit of 1 % is common practice",
    example="""\
[drive.analog]
resistance = "10 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", resistance = "200 ohm" }
range  = "0-10 V"
""",
)
def source_sags(report: Report) -> Iterator[Finding]:
    """The source's own resistance and its inputs form a divider."""
    found, inner = analog_source(report), report.facts.source_resistance()
    if found is None or found[2] != "V" or not isinstance(inner, Fact):
        return
    load = source_load_ohm(report.facts, report.circuit)
    if not isinstance(load, Level):
        return
    share = inner.interval.high / (inner.interval.high + load.interval.low)
    if exceeds(share, LARGEST_LOSS):
        figures = (_loss(share), of_fact(inner), of_level(load, "low"), *map(of_fact, load.facts))
        yield source_finding(
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


@check(
    "A303",
    CAUTION,
    "The input changes the burden resistor's value",
    rule="The input lies in parallel with the burden: 500 ohm beside 10 kohm is 476 ohm.",
    formula="Rburden / (Rburden + Rin) <= 1 %",
    source="Ohm's law, computed; the limit of 1 % is common practice",
    example="""\
[drive.analog]
resistance = "10 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "4-20 mA" }
range  = "2-10 V"
burden = "500 ohm"
""",
)
def burden_falsified(report: Report) -> Iterator[Finding]:
    """The input lies in parallel to the burden resistor."""
    found = analog_source(report)
    lost = _lost(report, report.facts.burden())
    if found is None or found[2] != "A" or lost is None:
        return
    share, burden, entry = lost
    figures = (share, of_fact(burden), of_fact(entry))
    yield source_finding(
        report,
        "A303",
        ("speed", "burden"),
        f"input {found[0].signal} of {figures[2]} lies beside the burden of {figures[1]}: everything reads "
        f"{share.value} low",
        "correct the scale in the drive, or fit a burden that is so much larger",
        figures,
    )


@check(
    "A304",
    CAUTION,
    "The wires take part of the speed signal",
    rule="Both conductors of the pair are in the loop.",
    formula="2 x Rwire / (2 x Rwire + Rin) <= 1 %",
    source="IEC 60228 and ASTM B258 resistances, read in public copies; the limit of 1 % is common practice",
    example="""\
[[cables]]
name      = "W1"
length    = "4000 m"
conductor = "0.75 mm2"

[drive.analog]
resistance = "10 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
range  = "0-10 V"
cable  = "W1"
""",
)
def wires_take_part(report: Report) -> Iterator[Finding]:
    """Both conductors of the pair are in the voltage's way."""
    found = analog_source(report)
    lost = _lost(report, report.facts.conductor_resistance("speed"), times=2) if found is not None else None
    if found is None or found[2] != "V" or lost is None:
        return
    share, wire, entry = lost
    figures = (share, of_fact(wire, "high"), of_fact(entry))
    yield source_finding(
        report,
        "A304",
        ("speed",),
        f"the two wires, each {figures[1]}, take {share.value} of the signal before input "
        f"{found[0].signal} of "
        f"{figures[2]}",
        "use thicker or shorter wires, or a current signal",
        figures,
    )


@check(
    "A306",
    CAUTION,
    "A resistor in the signal wire takes part of the signal",
    rule=(
        "A filter's resistor and the input form a divider: 10 kohm into 20 kohm leaves two thirds of "
        "the speed."
    ),
    formula="Rseries / (Rseries + Rin) <= 1 %",
    source="divider law, computed; the limit of 1 % is common practice",
    example="""\
[drive.analog]
resistance = "20 kohm"

[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
range  = "0-10 V"
series = "10 kohm"
""",
)
def resistor_in_signal(report: Report) -> Iterator[Finding]:
    """A filter's resistor and the input form a divider."""
    found, lost = analog_source(report), _lost(report, report.facts.series())
    if found is None or found[2] != "V" or lost is None:
        return
    share, series, entry = lost
    figures = (share, of_fact(series), of_fact(entry))
    yield source_finding(
        report,
        "A306",
        ("speed", "series"),
        f"the resistor of {figures[1]} in the signal takes {share.value} of it before input "
        f"{found[0].signal} of "
        f"{figures[2]}",
        "use a smaller resistor with a larger capacitor, or correct the scale in the drive",
        figures,
    )
