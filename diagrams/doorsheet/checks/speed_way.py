"""What checks of the speed signal share: what gives it at this stage, and its findings (room: checks).

No check lives here.
"""

from doorsheet.checks.examined import Path, Report
from doorsheet.checks.finding import Figure, Finding
from doorsheet.circuit.parts import PartKind, Stage
from doorsheet.circuit.ranges import show_value
from doorsheet.electrics.signal import Way
from doorsheet.mapping.controls import AnalogSource, SpeedControl
from doorsheet.mapping.signals import RANGES, Signal

__all__ = ["dialled", "driven", "fitted", "percent", "ranges_of", "shown", "signal_finding", "way_of"]


def way_of(report: Report) -> Way | None:
    """Return the speed signal's way; None where the mapping has no speed, or no way back for it."""
    speed = report.mapping.speed
    return Way(report.solved, report.drive) if speed is not None and speed.common is not None else None


def driven(report: Report) -> tuple[Way, AnalogSource] | None:
    """Return the way and its source; None where there is no source at this stage."""
    way = way_of(report)
    if way is None or way.speed.source is None or report.stage_of("speed") is Stage.BENCH:
        return None
    return way, way.speed.source


def fitted(report: Report) -> bool:
    """Whether the speed comes from a potentiometer at this stage."""
    return any(part.kind is PartKind.POTENTIOMETER for part in report.circuit.parts)


def dialled(report: Report) -> Way | None:
    """Return the way of a potentiometer on an input of volts, fed by the reference; None at other stages."""
    way = way_of(report)
    if way is None or way.speed.supply is None or not fitted(report):
        return None
    read_as = way.taken or way.given
    return None if read_as is not None and read_as.unit == "A" else way


def signal_finding(
    report: Report, path: Path, reason: str, do: str, figures: tuple[Figure, ...] = ()
) -> Finding:
    """Build a finding about the speed signal, with its wires and terminals."""
    speed = report.mapping.speed
    source: AnalogSource | None = None
    if isinstance(speed, SpeedControl) and report.stage_of("speed") is Stage.FINAL:
        source = speed.source
    return report.finding(
        path,
        reason,
        do,
        wires=report.wires_of("speed", "signal", "common"),
        terminals=(source.signal if source else None, speed.signal if speed else None),
        figures=figures,
    )


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
