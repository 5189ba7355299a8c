"""Checks of what a range says besides its ends: its sign, and what its loss looks like (room: checks)."""

from collections.abc import Iterator

from doorsheet.checks.check import caution, stop
from doorsheet.checks.examined import Report
from doorsheet.checks.example import SPEED, put
from doorsheet.checks.finding import Figure, Finding
from doorsheet.checks.speed_way import driven, ranges_of, shown, signal_finding
from doorsheet.electrics.events import commanded

__all__: list[str] = []


@stop(
    "A207",
    "The source gives both signs, the input takes one",
    formula="lowest of source >= lowest of range",
    source="follows from what the two ranges are; what the input makes of it is for its manual",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "+-10 V" }',
        'range  = "0-10 V"',
        "reference",
    ),
)
def _sign_not_taken(report: Report) -> Iterator[Finding]:
    """A ±10 V source gives a negative voltage for reverse. An input of 0-10 V reads that as zero at best:
    reverse can't work, and an input not made for it may suffer."""
    found = driven(report)
    if found is None:
        return
    way, source = found
    if way.given is None or way.taken is None or way.given.reverse is None or way.taken.reverse is not None:
        return
    if way.taken.unit == "A":
        return  # A202
    figures = ranges_of(report, way, source)
    lowest = way.volts(commanded(-1.0))
    low = Figure("signal at full reverse", shown(lowest.low, way.given), "computed: solved at full reverse")
    yield signal_finding(
        report,
        ("speed", "range"),
        f"source {source.signal} gives {figures[0]}, input {way.speed.signal} is set to {figures[1]}: full "
        f"reverse brings {low}, which it doesn't take",
        "set the input to ±10 V, or the source to 0-10 V with the direction on a switch input",
        (*figures, low),
    )


@caution(
    "A208",
    "The input takes both signs, the source gives one",
    formula="lowest of source = lowest of range, or a run-reverse",
    source="follows from what the two ranges are",
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "0-10 V" }',
        'range  = "+-10 V"',
        "reference",
    ),
)
def _one_sign_only(report: Report) -> Iterator[Finding]:
    """An input set to ±10 V reverses where the voltage changes sign. A source of 0-10 V never does, and no
    switch input commands reverse; noise about zero turns the motor either way."""
    found = driven(report)
    if found is None:
        return
    way, source = found
    if way.given is None or way.taken is None or way.taken.reverse is None or way.given.reverse is not None:
        return
    if way.given.unit == "A" or report.mapping.run_reverse is not None:
        return
    figures = ranges_of(report, way, source)
    yield signal_finding(
        report,
        ("speed", "range"),
        f"input {way.speed.signal} is set to {figures[1]}, source {source.signal} gives {figures[0]}: "
        "reverse is never commanded",
        "set the input to 0-10 V, or the source to ±10 V",
        figures,
    )


@caution(
    "A209",
    "What the drive does when the signal is lost is not known",
    formula="a setting of topic signal-loss is written down",
    source=(
        "NAMUR NE 43, seen at second hand, for what counts as lost; what follows is a setting of the "
        "drive, for its manual"
    ),
    example=put(
        SPEED,
        'source = { signal = "AO1", common = "0V", gives = "4-20 mA", powered-by = "controller" }',
        'range  = "4-20 mA"',
    ),
)
def _loss_not_decided(report: Report) -> Iterator[Finding]:
    """A live zero (4 mA, 2 V) shows a broken wire only if the drive is set to act on it: 3.6 mA and less is a
    failure, 3.8 to 20.5 mA a signal. Otherwise the motor runs on at its lowest, or at the last, speed."""
    way = driven(report)
    entry = way[0].taken if way is not None else None
    if way is None or entry is None or entry.rest <= 0:
        return
    settings = report.mapping.drive.settings
    if any(entry.topic == "signal-loss" and (entry.set or entry.read) for entry in settings):
        return
    said = Figure("range of the input", way[0].speed.range or "", report.origin("speed", "range"))
    lost = "3.6 mA" if entry.unit == "A" else "1.8 V"
    yield signal_finding(
        report,
        ("speed", "range"),
        f"input {way[0].speed.signal} is set to {said}: below {lost} the signal is lost, and what "
        "the drive then does is not written down",
        'look up its setting, and write it down⟨: [[drive.settings]] with topic = "signal-loss"⟩; then prove '
        "it by taking the signal's wire off",
        (said,),
    )
