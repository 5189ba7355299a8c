"""Checks of polarity, by the meter's readings alone (room: checks)."""

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import caution, stop
from doorsheet.checks.dangerous_readings import is_dangerous
from doorsheet.checks.examined import NEAR_ZERO_V, Report
from doorsheet.checks.example import REVERSE, RUN, put
from doorsheet.checks.finding import Finding
from doorsheet.checks.near_zero_readings import is_nothing
from doorsheet.circuit.parts import Sign
from doorsheet.circuit.sides import polarity
from doorsheet.electrics import State
from doorsheet.electrics.events import REST, Reversed
from doorsheet.mapping.controls import SwitchedControl

__all__ = ["PLAUSIBLE_V"]

PLAUSIBLE_V: Final = (8.0, 30.0)
"""An open input of its own supply reads from here to here (see the source of P104)."""


@caution(
    "P101",
    "No reading says which side is plus",
    formula="sign(open reading) decides",
    source="follows from how an optocoupler works: its transistor conducts one way only",
    example=put(RUN, "meter"),
)
def _polarity_without_reading(report: Report) -> Iterator[Finding]:
    """Which side of an isolated output takes plus is measured, never read from a label or a colour. The wrong
    way round its protection diode conducts, or it breaks down, and the motor may start."""
    for name, control, output in report.driven():
        if output.kind == "isolated" and control.reading_v is None:
            yield report.finding(
                (name, "output"),
                f"{name} has no meter reading, so nothing says which of {control.input} and "
                f"{control.common or 'its common'} is positive; the sheet shows the output's plus "
                f"side on the input, unproved{_when_reversed(report, name)}",
                "before connecting the output: contact open, DC volts, red lead on "
                f"{control.input}, black on {control.common or 'the common'}; write it down⟨ as meter = ...⟩",
                wires=report.wires_of(name, "input", "common"),
                terminals=(control.input, control.common),
            )


def _when_reversed(report: Report, name: str) -> str:
    """Say what the output connected the wrong way round does, read off the solution."""
    use = report.use(name)
    with_diode = report.solved.state(use, REST, Reversed(use, diode=True))
    if with_diode is State.OFF:
        return ""
    words = name.replace("-", " ")
    return (
        f"; the wrong way round, {words} may be on as soon as it is connected, whatever the controller does"
    )


@stop(
    "P102",
    "Readings contradict each other",
    formula="sign(reading) is the same for every input of one common",
    source="follows from what a voltage is: two points have one at a time, with one sign",
    example=(RUN, put(REVERSE, "meter  = -24.3")),
)
def _readings_disagree(report: Report) -> Iterator[Finding]:
    """One terminal can't be plus by one reading and minus by another."""
    said: dict[str, tuple[Sign, str]] = {}
    for name, control in report.switched:
        if control.reading_v is None or abs(control.reading_v) < NEAR_ZERO_V:
            continue
        if is_dangerous(control.reading_v):
            continue
        for label, sign in zip((control.input, control.common), polarity(control), strict=True):
            if label is None:
                continue
            before = said.setdefault(label, (sign, name))
            if before[0] is not sign:
                yield report.finding(
                    (name, "meter"),
                    f"{label} is {before[0]} by the reading of {before[1]} and {sign} by that of {name}",
                    f"measure both again: DC, contacts open, black lead on {control.common or label}",
                    terminals=(label,),
                    figures=(report.reading(name, control.reading_v),),
                )


@stop(
    "P103",
    "The reading does not suit an output of fixed polarity",
    formula="joins minus: reading > 0; joins plus: reading about 0",
    source="follows from how a transistor output works: it carries current one way",
    example=put(RUN, 'output = { kind = "open-collector", signal = "Q0", common = "M" }', "meter  = -24.3"),
)
def _fixed_output_against_reading(report: Report) -> Iterator[Finding]:
    """An output tied to its own supply can't be turned round to suit the input. Reversed, its protection
    diode conducts or its transistor breaks down."""
    for name, control in report.switched:
        output, reading = control.output, control.reading_v
        if output is None or output.kind != "open-collector" or reading is None:
            continue
        if is_dangerous(reading) or is_nothing(report, name):
            continue  # such a reading says something else first
        why, do = _why_unfit(control, reading)
        if why:
            yield report.finding(
                (name, "meter"),
                f"output {output.signal} can't switch {control.input}, "
                f"which reads {report.reading(name, reading)} open: {why}",
                do,
                terminals=(output.signal, control.input),
                figures=(report.reading(name, reading),),
            )


_EITHER_WAY: Final = "use an isolated output or a relay contact, which can be wired either way round"


def _why_unfit(control: SwitchedControl, reading_v: float) -> tuple[str, str]:
    """Return why an output of fixed polarity can't switch such an input, and what to do; "" when it can."""
    output, common = control.output, control.common or "its common"
    if output is None or (output.joins == "plus" and abs(reading_v) < NEAR_ZERO_V):
        return "", ""
    if output.joins == "plus" and reading_v < 0:
        return (
            f"by that {common} is the plus of the inputs' supply, which this output brings itself",
            f"name the minus of the inputs' supply as common, measure against it (about 0 V), and lead the "
            f"controller's 0 V there; or {_EITHER_WAY}",
        )
    if output.joins == "plus":
        why = "it joins the input to plus, but that input is switched by joining it to its common"
        return why, _EITHER_WAY
    if reading_v < 0:
        return "it is reversed there", _EITHER_WAY
    return ("it joins the input to 0 V, where it is already" if reading_v < NEAR_ZERO_V else ""), _EITHER_WAY


@caution(
    "P104",
    "The reading is neither a supply voltage nor about 0 V",
    formula="abs(reading) < 1 V, or from 8 V to 30 V; above 60 V it is P108",
    source=(
        "30 V is the highest input voltage of IEC 61131-2, read in public data tables of input modules; 1 "
        "V and 8 V are common practice, no source"
    ),
    example=put(RUN, 'output = { kind = "contact", terminals = ["K1:13", "K1:14"] }', "meter  = 4.2"),
)
def _odd_reading(report: Report) -> Iterator[Finding]:
    """An open input reads its supply, or about 0 V when plus must be fed to it. A few volts, or far more than
    a control supply, mean a wrong probe point, a wrong meter range or a wrong terminal."""
    low, high = PLAUSIBLE_V
    for name, control in report.switched:
        reading = control.reading_v
        if reading is None or abs(reading) < NEAR_ZERO_V or low <= abs(reading) <= high:
            continue
        if is_dangerous(reading):
            continue
        figure = report.reading(name, reading)
        yield report.finding(
            (name, "meter"),
            f"{control.input} reads {figure} open: neither about 0 V nor {low:g} V to {high:g} V",
            f"measure again: DC volts, contact open, red lead on {control.input}, black on "
            f"{control.common or 'its common'}. If it is the same again, find the common that the manual "
            f"names for {control.input}; a reading against another common counts only where the two are "
            "joined",
            terminals=(control.input, control.common),
            figures=(figure,),
        )
