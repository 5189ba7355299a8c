"""Checks of the potentiometer's track and place (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution
from doorsheet.checks.examined import Report
from doorsheet.checks.example import DIAL, put
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.speed_way import fitted
from doorsheet.mapping.controls import SpeedControl

__all__: list[str] = []


@caution(
    "A105",
    "All the speed is in the last quarter turn",
    formula="taper is linear",
    source="follows from the track's law; a tenth at half travel is common practice, no source",
    example=put(DIAL, 'potentiometer = { value = "5 kohm", taper = "logarithmic" }'),
)
def _logarithmic_track(report: Report) -> Iterator[Finding]:
    """A logarithmic (audio) track gives about a tenth of the voltage at half travel."""
    speed = report.mapping.speed
    if not fitted(report) or speed is None or speed.potentiometer is None:
        return
    if speed.potentiometer.taper == "logarithmic":
        figure = Figure("taper", "logarithmic", report.origin("speed", "potentiometer", "taper"))
        yield report.finding(
            ("speed", "potentiometer"),
            f"the potentiometer's track is {figure}: nearly all the speed is in the last quarter turn",
            "use a linear one; at mid travel the unconnected wiper has half the voltage",
            figures=(figure,),
        )


def _is_meant(speed: SpeedControl) -> bool:
    """Whether the mapping says that there is a potentiometer, on the bench or for good."""
    return speed.potentiometer is not None or speed.supply is not None or speed.source is None


@caution(
    "A106",
    "A potentiometer on a milliampere input",
    formula="range in V while the potentiometer is fitted",
    source="follows from Ohm's law: a few hundred ohm across part of a track of some kilohm",
    example=put(DIAL, 'range  = "4-20 mA"'),
)
def _potentiometer_on_milliamperes(report: Report) -> Iterator[Finding]:
    """A potentiometer gives volts. An input set to milliamperes has a few hundred ohm: the dial does nothing
    over most of its travel, then everything at its end, where the input loads the reference. Between bench
    and controller the range is changed with the power off."""
    speed = report.mapping.speed
    if speed is None or not fitted(report):
        return
    if not _is_meant(speed):
        return
    final = speed.source.range if speed.source is not None else None
    said = speed.range or (final if speed.burden is None else None)
    if not (said or "").endswith("mA"):
        return
    words = f"input {speed.signal} is set to {said}"
    if final is not None:
        words = f"the final source gives {final}: input {speed.signal} needs its range changed between"
    yield report.finding(
        ("speed", "range" if final is None else "source"),
        f"the potentiometer gives volts, and {words}",
        "power off, set the input's range switch or setting to volts for the potentiometer, and back before "
        "a source of milliamperes is connected",
        terminals=(speed.signal,),
    )


@caution(
    "A108",
    "Nothing feeds the potentiometer",
    formula="the high end of the potentiometer has a wire",
    source="follows from Ohm's law: without a supply no current, and without current no voltage",
    example=put(DIAL, "reference"),
)
def _end_without_supply(report: Report) -> Iterator[Finding]:
    """Without a supply at its high end a potentiometer gives no voltage, wherever the dial stands. Which
    terminal feeds it is not assumed: a wrong one puts too much on the input."""
    speed = report.mapping.speed
    if speed is None or speed.supply is not None or not fitted(report):
        return
    if not _is_meant(speed):
        return
    yield report.finding(
        ("speed", "potentiometer") if speed.potentiometer is not None else ("speed",),
        f"no terminal is named that feeds the potentiometer of {speed.signal}",
        'look up the reference supply in the drive\'s manual and write it down⟨: reference = "+10V"⟩',
        terminals=(speed.signal,),
    )
