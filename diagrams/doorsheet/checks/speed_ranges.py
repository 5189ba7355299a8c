"""Checks of the speed signal's range against the input's (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.checks.check import CAUTION, STOP, check
from doorsheet.checks.examined import Report, exceeds
from doorsheet.checks.finding import Figure, Finding
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.parts import Stage
from doorsheet.circuit.quantities import Interval, show, show_value
from doorsheet.mapping.controls import AnalogSource, SpeedControl

__all__ = [
    "creeps_at_zero",
    "full_speed_too_early",
    "live_zero_missing",
    "milliamperes_against_volts",
    "never_full_speed",
    "source_falls_short",
]

LEAST_TOP: Final = 0.98
"""Share of top speed below which it is worth a word (common practice, no source)."""


# --- a source and a range ------------------------------------------------


class _Match:
    """The source's range and the input's, in the unit of the input, a burden resistor included."""

    def __init__(self, report: Report, speed: SpeedControl, source: AnalogSource, text: str) -> None:
        facts = report.facts
        span, entry = facts.source_span(), facts.analog_span()
        assert span is not None and entry is not None
        self.entry, self.unit = entry
        self.source = span[0]
        self.speed, self.signal = speed, source.signal
        burden = facts.burden()
        self.burden = burden if isinstance(burden, Fact) else None
        self.alike = span[1] == self.unit
        if self.burden is not None and span[1] == "A" and self.unit == "V":
            ohm = self.burden.interval.low
            self.source, self.alike = Interval(self.source.low * ohm, self.source.high * ohm), True
        across = f" across {self.burden}" if self.burden is not None else ""
        self.figures = (
            Figure("range of the source", source.range + across, _where(report, "source", "range")),
            Figure("range of the input", text, _where(report, "range")),
        )

    def share(self, signal: float) -> float:
        """Return the share of top speed that a signal asks for: (s - start)/(end - start)."""
        return (signal - self.entry.low) / (self.entry.high - self.entry.low)

    def shown(self, signal: float) -> str:
        return show_value(signal, self.unit)

    @property
    def said(self) -> str:
        source, entry = self.figures
        return f"source {self.signal} gives {source}, input {self.speed.signal} is set to {entry}"

    @property
    def terminals(self) -> tuple[str, str]:
        return (self.signal, self.speed.signal)


def _where(report: Report, *path: str) -> str:
    if path == ("source", "range") and "range" not in _source(report).model_fields_set:
        return "default: 0-10 V"
    return report.origin("speed", *path)


def _source(report: Report) -> AnalogSource:
    speed = report.mapping.speed
    assert speed is not None and speed.source is not None
    return speed.source


def _match(report: Report) -> _Match | None:
    """Return the two ranges; None where there is no source at this stage or the input's isn't given."""
    speed = report.mapping.speed
    if (
        speed is None
        or report.stage_of("speed") is Stage.BENCH
        or speed.source is None
        or speed.range is None
    ):
        return None
    return _Match(report, speed, speed.source, speed.range)


def _speeds(report: Report, share: float) -> tuple[str, tuple[Figure, ...]]:
    """Return a share of top speed in words, in rpm too where the top speed is given."""
    said, top = f"{100 * share:.3g} % of top speed", report.facts.top_speed()
    if not isinstance(top, Fact):
        return said, ()
    ends = Interval(*sorted((top.interval.low * share, top.interval.high * share)))
    reached = Figure("speed", show(ends, top.unit), f"computed: {said} of {top}")
    return f"{said}, {reached.value}", (reached,)


def _found(
    report: Report, code: str, match: _Match, more: str, do: str, extra: tuple[Figure, ...] = ()
) -> Finding:
    return report.finding(
        code,
        ("speed", "range"),
        f"{match.said}: {more}",
        do,
        wires=report.wires_of("speed", "signal", "common"),
        terminals=match.terminals,
        figures=(*match.figures, *extra),
    )


@check(
    "A202",
    STOP,
    "Milliamperes on one side, volts on the other",
    rule=(
        "A current source on a voltage input drives it to the source's own supply; a voltage source "
        "on a current input is nearly shorted. Across a burden resistor a current becomes a voltage."
    ),
    formula="unit of source = unit of range, or a burden resistor",
    source="follows from Ohm's law: current into many kilohm, voltage across a few hundred ohm",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "4-20 mA" }
range  = "0-10 V"
""",
)
def milliamperes_against_volts(report: Report) -> Iterator[Finding]:
    """A current on a voltage input, or the other way round, without a burden resistor."""
    match = _match(report)
    if match is not None and not match.alike:
        yield _found(
            report,
            "A202",
            match,
            "a source of milliamperes drives a voltage input to the source's own supply"
            if match.unit == "V"
            else "a current input nearly shorts a source of volts",
            "set both to the same, by the input's range switch and setting, with the power off; or "
            "fit a burden "
            "resistor across a voltage input",
        )


@check(
    "A201",
    CAUTION,
    "Full speed is never reached",
    rule="The source ends below the input's range (5 V into 10 V gives half speed).",
    formula="top of source / top of range >= 0.98",
    source="straight line through two points, computed; the limit of 2 % is common practice",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "0-5 V" }
range  = "0-10 V"
""",
)
def never_full_speed(report: Report) -> Iterator[Finding]:
    """The source ends below the input's range."""
    match = _match(report)
    if match is None or not match.alike or not exceeds(LEAST_TOP, match.share(match.source.high)):
        return
    said, extra = _speeds(report, match.share(match.source.high))
    yield _found(
        report,
        "A201",
        match,
        f"at full command the motor reaches {said}",
        f"set the input to the source's range, or the drive's gain so that {match.shown(match.source.high)} "
        "is top speed",
        extra,
    )


@check(
    "A203",
    CAUTION,
    "The input expects a live zero that the source lacks",
    rule=(
        "Below the start of its range (2 V, 4 mA) the drive holds zero, or trips because the signal "
        "seems lost."
    ),
    formula="start of source >= start of range; speed = (signal - start)/(end - start)",
    source=(
        "straight line through two points, computed; 3.6 mA and less counts as a failure: NAMUR NE "
        "43, seen at second hand; what a drive then does is for its manual"
    ),
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "0-10 V" }
range  = "2-10 V"
""",
)
def live_zero_missing(report: Report) -> Iterator[Finding]:
    """The source starts below the input's range."""
    match = _match(report)
    if match is None or not match.alike or not exceeds(match.entry.low, match.source.low):
        return
    yield _found(
        report,
        "A203",
        match,
        f"below {match.shown(match.entry.low)} the drive holds zero, or trips because the signal "
        "seems lost; half "
        "the command gives "
        f"{100 * max(match.share((match.source.low + match.source.high) / 2), 0):.3g} % of top speed",
        "set the input to the source's range",
    )


@check(
    "A204",
    CAUTION,
    "The motor creeps at zero command",
    rule="The source's live zero (4 mA, 2 V) is already a speed on a range that begins at zero.",
    formula="start of source <= start of range",
    source="straight line through two points, computed",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "4-20 mA" }
range  = "0-20 mA"
""",
)
def creeps_at_zero(report: Report) -> Iterator[Finding]:
    """The source starts above the start of the input's range."""
    match = _match(report)
    if match is None or not match.alike or not exceeds(match.source.low, match.entry.low):
        return
    said, extra = _speeds(report, match.share(match.source.low))
    yield _found(
        report,
        "A204",
        match,
        f"at zero command {match.shown(match.source.low)} asks for {said}",
        f"set the input to a range that begins at {match.shown(match.source.low)}; stop by opening "
        "the run input, "
        "never by zero speed",
        extra,
    )


@check(
    "A205",
    CAUTION,
    "Full speed comes too early",
    rule="The source goes beyond the input's range, so the upper part of the command changes nothing.",
    formula="top of source <= top of range",
    source="straight line through two points, computed",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", range = "0-10 V" }
range  = "0-5 V"
""",
)
def full_speed_too_early(report: Report) -> Iterator[Finding]:
    """The source goes beyond the input's range."""
    match = _match(report)
    if match is None or not match.alike or not exceeds(match.source.high, match.entry.high):
        return
    share = (match.entry.high - match.source.low) / (match.source.high - match.source.low)
    yield _found(
        report,
        "A205",
        match,
        f"top speed is reached at {100 * share:.3g} % of the command, and nothing changes above",
        "set the input to the source's range, or limit the source's top in the controller",
    )


@check(
    "A305",
    CAUTION,
    "The source does not reach the end of its range",
    rule="Its highest voltage, as measured or given, is below the end of the input's range.",
    formula="top reached / top of range >= 0.98",
    source="straight line through two points, computed; the limit of 2 % is common practice",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V", top = "9.5 V" }
range  = "0-10 V"
""",
)
def source_falls_short(report: Report) -> Iterator[Finding]:
    """The source's real top is below its nominal one."""
    match, top = _match(report), report.facts.source_top()
    if match is None or not match.alike or not isinstance(top, Fact):
        return
    reached = top.interval.low
    if match.burden is not None and top.unit == "A" and match.unit == "V":
        reached *= match.burden.interval.low
    elif top.unit != match.unit:
        return
    if not exceeds(match.source.high, reached) or not exceeds(LEAST_TOP, match.share(reached)):
        return
    figure = Figure(top.name, top.value, top.said)
    said, extra = _speeds(report, match.share(reached))
    yield report.finding(
        "A305",
        ("speed", "source", "top"),
        f"source {match.signal} really tops at {figure}, input {match.speed.signal} is set to "
        f"{match.figures[1]}: "
        f"full command gives {said}",
        "trim the source's top, or set the drive's gain so that this is top speed",
        wires=report.wires_of("speed", "signal", "common"),
        terminals=match.terminals,
        figures=(figure, match.figures[1], *extra),
    )
