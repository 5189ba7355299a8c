"""What checks of the speed signal share: what gives it at this stage, and its findings (room: checks).

No check lives here.
"""

from collections.abc import Iterator

from doorsheet.checks.examined import Figure, Report
from doorsheet.circuit.parts import PartKind, Stage
from doorsheet.circuit.ranges import show_value
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import AnalogSource
from doorsheet.mapping.signals import RANGES, Signal

__all__ = [
    "dials", "driven", "fitted", "is_alike", "percent", "ranges_of", "shown", "sources", "ways",
]  # fmt: skip


def ways(report: Report) -> Iterator[tuple[Way]]:
    """Yield the speed signal's way; none where the mapping has no speed, or no way back for it."""
    speed = report.mapping.speed
    if speed is not None and speed.common is not None:
        yield (Way(report.solved, report.drive),)


def sources(report: Report) -> Iterator[tuple[Way, AnalogSource]]:
    """Yield the way and its source; none where there is no source at this stage."""
    for (way,) in ways(report):
        if way.speed.source is not None and report.stage_of("speed") is not Stage.BENCH:
            yield way, way.speed.source


def driven(report: Report) -> tuple[Way, AnalogSource] | None:
    """Return the way and its source; None where there is no source at this stage."""
    return next(sources(report), None)


def is_alike(way: Way) -> bool:
    """Whether source and input can be compared: the other case is a mistake of its own, A202."""
    given, taken = way.given, way.taken
    if given is None or taken is None:
        return False
    return given.unit == taken.unit or (given.unit == "A" and way.speed.burden is not None)


def fitted(report: Report) -> bool:
    """Whether the speed comes from a potentiometer at this stage."""
    return any(part.kind is PartKind.POTENTIOMETER for part in report.circuit.parts)


def dials(report: Report) -> Iterator[tuple[Way]]:
    """Yield the way of a potentiometer on an input of volts, fed by the reference; none at other stages."""
    for (way,) in ways(report):
        read_as = way.taken or way.given
        if way.speed.supply is not None and fitted(report) and (read_as is None or read_as.unit != "A"):
            yield (way,)


def shown(value: float, signal: Signal) -> str:
    """Return a value of a signal in words: "2 V", "4 mA"."""
    return show_value(round(value, 6), signal.unit)


def percent(share: float) -> str:
    """Return a share in per cent with three digits: "6.67 %".

    >>> percent(0.06672556)
    '6.67 %'
    """
    return f"{100 * share:.3g} %"


def ranges_of(report: Report, way: Way, source: AnalogSource) -> tuple[Figure, Figure]:
    """Return the range of a source, across its burden if it has one, and that of the input, as figures."""
    burden = report.figures.of("burden")
    across = f" across {burden}" if burden.is_known and RANGES[source.range].unit == "A" else ""
    said = report.origin("speed", "source", "gives")
    where = said if "range" in source.model_fields_set else "default: 0-10 V"
    return (
        Figure("range of the source", source.range + across, where),
        Figure("range of the input", way.speed.range or "", report.origin("speed", "range")),
    )
