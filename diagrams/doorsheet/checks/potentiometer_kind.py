"""Checks of the potentiometer that need no figure (room: checks)."""

from __future__ import annotations

from collections.abc import Iterator

from doorsheet.checks.check import CAUTION, check
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Figure, Finding
from doorsheet.circuit.parts import PartKind

__all__ = ["fitted", "logarithmic_track", "potentiometer_on_milliamperes"]


def fitted(report: Report) -> bool:
    """Whether the speed comes from a potentiometer at this stage."""
    return any(part.kind is PartKind.POTENTIOMETER for part in report.circuit.parts)


@check(
    "A105",
    CAUTION,
    "All the speed is in the last quarter turn",
    rule="A logarithmic (audio) track gives about a tenth of the voltage at half travel.",
    formula="taper is linear",
    source="follows from the track's law; a tenth at half travel is common practice, no source",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "0-10 V"
potentiometer = { value = "5 kohm", taper = "logarithmic" }
""",
)
def logarithmic_track(report: Report) -> Iterator[Finding]:
    """An audio track has all the speed in its last quarter turn."""
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


@check(
    "A106",
    CAUTION,
    "A potentiometer on a milliampere input",
    rule=(
        "A potentiometer gives volts. An input set to milliamperes has a few hundred ohm: the dial "
        "does nothing over most of its travel, then everything at its end, where the input loads the "
        "reference. Between bench and controller the range is changed with the power off."
    ),
    formula="range in V while the potentiometer is fitted",
    source="follows from Ohm's law: a few hundred ohm across part of a track of some kilohm",
    example="""\
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
range  = "4-20 mA"
potentiometer = { value = "5 kohm" }
""",
)
def potentiometer_on_milliamperes(report: Report) -> Iterator[Finding]:
    """A potentiometer gives volts; an input set to milliamperes doesn't read it."""
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
