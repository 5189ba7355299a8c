"""Checks of the speed signal's range against the input's (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from doorsheet.circuit.checks.report import Report, exceeds
from doorsheet.circuit.facts import Fact
from doorsheet.circuit.findings import Figure, Finding
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
"""Share of top speed below which it is worth a word (a survey of practice)."""


# --- a source and a range ------------------------------------------------


class _Match:
    """The source's range and the input's, in the unit of the input, a burden resistor reckoned in."""

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


def milliamperes_against_volts(report: Report) -> Iterator[Finding]:
    """A202: a current on a voltage input, or the other way round, without a burden resistor."""
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


def never_full_speed(report: Report) -> Iterator[Finding]:
    """A201: the source ends below the input's range."""
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


def live_zero_missing(report: Report) -> Iterator[Finding]:
    """A203: the source starts below the input's range."""
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


def creeps_at_zero(report: Report) -> Iterator[Finding]:
    """A204: the source starts above the start of the input's range."""
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


def full_speed_too_early(report: Report) -> Iterator[Finding]:
    """A205: the source goes beyond the input's range."""
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


def source_falls_short(report: Report) -> Iterator[Finding]:
    """A305: the source's real top is below its nominal one."""
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
