"""Checks of the potentiometer that need no figure (room: circuit)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.circuit.checks.report import Report
from doorsheet.circuit.findings import Figure, Finding
from doorsheet.circuit.parts import PartKind

__all__ = ["fitted", "logarithmic_track", "potentiometer_on_milliamperes"]


def fitted(report: Report) -> bool:
    """Whether the speed comes from a potentiometer at this stage."""
    return any(part.kind is PartKind.POTENTIOMETER for part in report.circuit.parts)


def logarithmic_track(report: Report) -> Iterator[Finding]:
    """A105: an audio track has all the speed in its last quarter turn."""
    speed = report.mapping.speed
    if not fitted(report) or speed is None or speed.potentiometer is None:
        return
    if speed.potentiometer.taper == "logarithmic":
        figure = Figure("taper", "logarithmic", report.origin("speed", "potentiometer", "taper"))
        yield report.finding(
            "A105",
            ("speed", "potentiometer"),
            f"the potentiometer's track is {figure}: nearly all the speed is in the last quarter turn",
            "use a linear one; at mid travel the unconnected wiper has half the voltage",
            figures=(figure,),
        )


def potentiometer_on_milliamperes(report: Report) -> Iterator[Finding]:
    """A106: a potentiometer gives volts; an input set to milliamperes doesn't read it."""
    speed = report.mapping.speed
    if speed is None or not fitted(report):
        return
    final = speed.source.range if speed.source is not None else None
    if speed.burden is not None:
        said, key = f"the burden resistor at {speed.signal} shorts the potentiometer", "burden"
    elif (speed.range or "").endswith("mA") or (speed.range is None and (final or "").endswith("mA")):
        said, key = f"input {speed.signal} is set to {speed.range}", "range"
        if final is not None:
            said = f"the final source gives {final}: input {speed.signal} needs its range changed between"
            key = "source"
    else:
        return
    yield report.finding(
        "A106",
        ("speed", key),
        f"the potentiometer gives volts, and {said}",
        "power off, set the input's range switch or setting to volts (and take a burden resistor "
        "out) for the "
        "potentiometer, and back before a source of milliamperes is connected",
        terminals=(speed.signal,),
    )
