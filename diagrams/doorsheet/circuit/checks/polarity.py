"""Checks of polarity, by the meter's readings alone (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.checks.report import NEAR_ZERO_V, Report
from doorsheet.circuit.findings import Finding
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
"""An open input of its own supply reads from here to here (one manual's levels, second hand)."""


def polarity_without_reading(report: Report) -> Iterator[Finding]:
    """P101: which side of an output is plus comes from the meter, not from a label."""
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


def readings_disagree(report: Report) -> Iterator[Finding]:
    """P102: one terminal can't be plus by one reading and minus by another."""
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


def fixed_output_against_reading(report: Report) -> Iterator[Finding]:
    """P103: an output tied to its own supply can't be turned round to suit the input."""
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
    return "it joins the input to 0 V, where it stands already" if reading_v < NEAR_ZERO_V else ""


def odd_reading(report: Report) -> Iterator[Finding]:
    """P104: neither a supply nor nothing."""
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
            f"{control.common or 'its common'}; then against the drive's other common, which must not differ",
            terminals=(control.input, control.common),
            figures=(figure,),
        )


def input_wants_plus(report: Report) -> Iterator[Finding]:
    """P105: an input at about 0 V is not switched by joining it to its common."""
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
            "nothing: it wants plus fed in",
            f"switch between {control.input} and {feed}: name that terminal as common, measure against it "
            "(the reading is then negative) and write that as meter = ...",
            terminals=(control.input, control.common),
            figures=(figure,),
        )


def _is_fed(control: SwitchedControl, stage: Stage) -> bool:
    """Whether the bench switch takes plus from the feed at this stage."""
    return stage is Stage.BENCH and control.feed is not None


def bench_without_feed(report: Report) -> Iterator[Finding]:
    """B101: an input that wants plus fed in is not switched by joining it to its common."""
    for name, control in report.switched():
        output = control.output
        if output is None or control.feed is not None or report.stage_of(name) is Stage.FINAL:
            continue
        if output.kind == "open-collector" and output.joins == "plus":
            yield report.finding(
                "B101",
                (name, "output"),
                f"{control.input} wants plus fed in, "
                f"so a bench switch to {control.common or 'its common'} does nothing",
                "name the drive's terminal that gives the inputs their plus: feed = ...",
                terminals=(control.input,),
            )
