"""Checks of polarity, by the meter's readings alone (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, STOP, check
from doorsheet.checks.examined import NEAR_ZERO_V, Report
from doorsheet.checks.finding import Finding
from doorsheet.circuit.parts import Sign, Stage
from doorsheet.circuit.sides import polarity
from doorsheet.mapping.controls import Output, SwitchedControl

__all__ = [
    "PLAUSIBLE_V",
    "bench_without_feed",
    "fixed_output_against_reading",
    "input_wants_plus",
    "odd_reading",
    "polarity_without_reading",
    "readings_disagree",
]

PLAUSIBLE_V: Final = (8.0, 30.0)
"""An open input of its own supply reads from here to here (see the source of P104)."""


@check(
    "P101",
    CAUTION,
    "No reading says which side is plus",
    rule="Which side of an isolated output takes plus is measured, never read from a label or a colour.",
    formula="sign(open reading) decides",
    source="follows from how an optocoupler works: its transistor conducts one way only",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
""",
)
def polarity_without_reading(report: Report) -> Iterator[Finding]:
    """Which side of an output is plus comes from the meter, not from a label."""
    for name, control, output in report.driven():
        if output.kind == "isolated" and control.reading_v is None:
            yield report.finding(
                "P101",
                (name, "output"),
                f"{name} has no meter reading, so nothing says which of {control.input} and "
                f"{control.common or 'its common'} is positive; the sheet shows the output's plus "
                "side on the "
                "input, unproved",
                "before connecting the output: contact open, DC volts, red lead on "
                f"{control.input}, black on {control.common or 'the common'}; write it as meter = ...",
                wires=report.wires_of(name, "input", "common"),
                terminals=(control.input, control.common),
            )


@check(
    "P102",
    STOP,
    "Readings contradict each other",
    rule="One terminal can't be plus by one reading and minus by another.",
    formula="sign(reading) is the same for every input of one common",
    source="follows from what a voltage is: two points have one at a time, with one sign",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.3

[run-reverse]
input  = "DI2"
common = "COM"
output = { plus = "Y2+", minus = "Y2-" }
meter  = -24.3
""",
)
def readings_disagree(report: Report) -> Iterator[Finding]:
    """One terminal can't be plus by one reading and minus by another."""
    said: dict[str, tuple[Sign, str]] = {}
    for name, control in report.switched():
        if control.reading_v is None or abs(control.reading_v) < NEAR_ZERO_V:
            continue
        for label, sign in zip((control.input, control.common), polarity(control), strict=True):
            if label is None:
                continue
            before = said.setdefault(label, (sign, name))
            if before[0] is not sign:
                yield report.finding(
                    "P102",
                    (name, "meter"),
                    f"{label} is {before[0]} by the reading of {before[1]} and {sign} by that of {name}",
                    f"measure both again: DC, contacts open, black lead on {control.common or label}",
                    terminals=(label,),
                    figures=(report.reading(name, control.reading_v),),
                )


@check(
    "P103",
    STOP,
    "The reading does not suit an output of fixed polarity",
    rule=(
        "An output tied to its own supply can't be turned round to suit the input. Reversed, its "
        "protection diode conducts or its transistor breaks down."
    ),
    formula="joins minus: reading > 0; joins plus: reading about 0",
    source="follows from how a transistor output works: it carries current one way",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q0", common = "M" }
meter  = -24.3
""",
)
def fixed_output_against_reading(report: Report) -> Iterator[Finding]:
    """An output tied to its own supply can't be turned round to suit the input."""
    for name, control in report.switched():
        output, reading = control.output, control.reading_v
        if output is None or output.kind != "open-collector" or reading is None:
            continue
        why = _why_unfit(output, reading)
        if why:
            yield report.finding(
                "P103",
                (name, "meter"),
                f"output {output.signal} can't switch {control.input}, "
                f"which reads {report.reading(name, reading)} open: {why}",
                "use an isolated output or a relay contact, which can be wired either way round",
                terminals=(output.signal, control.input),
                figures=(report.reading(name, reading),),
            )


def _why_unfit(output: Output, reading_v: float) -> str:
    """Return why an output of fixed polarity can't switch an input that reads so; "" when it can."""
    if output.joins == "plus":
        if abs(reading_v) >= NEAR_ZERO_V:
            return "it joins the input to plus, but that input is switched by joining it to its common"
        return ""
    if reading_v < 0:
        return "it is reversed there"
    return "it joins the input to 0 V, where it is already" if reading_v < NEAR_ZERO_V else ""


@check(
    "P104",
    CAUTION,
    "The reading is neither a supply voltage nor about 0 V",
    rule=(
        "An open input reads its supply, or about 0 V when plus must be fed to it. A few volts, or "
        "far more than a control supply, mean a wrong probe point, a wrong meter range or a wrong "
        "terminal."
    ),
    formula="abs(reading) < 1 V, or from 8 V to 30 V",
    source=(
        "30 V is the highest input voltage of IEC 61131-2, read in public data tables of input "
        "modules; 1 V and 8 V are common practice, no source"
    ),
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "contact", terminals = ["K1:13", "K1:14"] }
meter  = 4.2
""",
)
def odd_reading(report: Report) -> Iterator[Finding]:
    """Neither a supply nor nothing."""
    low, high = PLAUSIBLE_V
    for name, control in report.switched():
        reading = control.reading_v
        if reading is None or abs(reading) < NEAR_ZERO_V or low <= abs(reading) <= high:
            continue
        figure = report.reading(name, reading)
        yield report.finding(
            "P104",
            (name, "meter"),
            f"{control.input} reads {figure} open: neither about 0 V nor {low:g} V to {high:g} V",
            f"measure again: DC volts, contact open, red lead on {control.input}, black on "
            f"{control.common or 'its common'}; then against the drive's other common, which must read "
            "the same",
            terminals=(control.input, control.common),
            figures=(figure,),
        )


@check(
    "P105",
    STOP,
    "The input needs plus fed to it",
    rule=(
        "An input that reads about 0 V open is not switched by joining it to its common: nothing "
        "happens, or, with another supply on the way, a short circuit."
    ),
    formula="abs(open reading) >= 1 V for a switch to common",
    source=(
        "follows from Ohm's law: a switch between two points of the same voltage carries no current; "
        "1 V is common practice, no source"
    ),
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "contact", terminals = ["K1:13", "K1:14"] }
meter  = 0
""",
)
def input_wants_plus(report: Report) -> Iterator[Finding]:
    """An input at about 0 V is not switched by joining it to its common."""
    for name, control in report.switched():
        reading, output = control.reading_v, control.output
        if reading is None or abs(reading) >= NEAR_ZERO_V or _is_fed(control, report.stage_of(name)):
            continue
        if output is not None and output.kind not in ("isolated", "contact"):
            continue
        feed = control.feed or "the drive's terminal that gives plus"
        figure = report.reading(name, reading)
        yield report.finding(
            "P105",
            (name, "meter"),
            f"{control.input} reads {figure} open, so closing it to {control.common or 'its common'} does "
            "nothing: plus must be fed to it",
            f"switch between {control.input} and {feed}: name that terminal as common, measure against it "
            "(the reading is then negative) and write that as meter = ...",
            terminals=(control.input, control.common),
            figures=(figure,),
        )


def _is_fed(control: SwitchedControl, stage: Stage) -> bool:
    """Whether the bench switch takes plus from the feed at this stage."""
    return stage is Stage.BENCH and control.feed is not None


@check(
    "B101",
    CAUTION,
    "The bench switch does nothing",
    rule="Plus must be fed to this input, so a bench switch from it to its common can't switch it on.",
    source="follows from Ohm's law: a switch between two points of the same voltage carries no current",
    example="""\
[run-forward]
input  = "DI1"
common = "COM"
output = { kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }
meter  = 0
""",
)
def bench_without_feed(report: Report) -> Iterator[Finding]:
    """An input that wants plus fed in is not switched by joining it to its common."""
    for name, control in report.switched():
        output = control.output
        if output is None or control.feed is not None or report.stage_of(name) is Stage.FINAL:
            continue
        if output.kind == "open-collector" and output.joins == "plus":
            yield report.finding(
                "B101",
                (name, "output"),
                f"plus must be fed to {control.input}, "
                f"so a bench switch to {control.common or 'its common'} does nothing",
                "name the drive's terminal that gives the inputs their plus: feed = ...",
                terminals=(control.input,),
            )
