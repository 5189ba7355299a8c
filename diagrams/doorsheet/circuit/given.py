"""Whether a mapping gives any figure to compute with; asked on every cold drawing, so it imports nothing.

Room: circuit.
"""

from __future__ import annotations

from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["has_facts"]


def has_facts(mapping: Mapping) -> bool:
    """Tell whether `mapping` gives a figure beyond the meter's open readings and a potentiometer's value."""
    drive, controller, speed = mapping.drive, mapping.controller, mapping.speed
    tables = (drive.inputs, drive.reference, drive.analog, controller.supply, controller.outputs)
    if mapping.cables or any(table is not None for table in tables):
        return True
    if speed is not None:
        source = speed.source
        given = (speed.burden, speed.series, source and (source.resistance or source.top or source.load))
        if any(given):
            return True
    return any(
        control.meter_closed is not None or control.meter_current is not None or _rated(control)
        for name in mapping.control_names
        if isinstance(control := mapping.control(name), SwitchedControl)
    )


def _rated(control: SwitchedControl) -> bool:
    output = control.output
    return output is not None and any(
        rating is not None
        for rating in (
            output.voltage,
            output.current,
            output.saturation,
            output.leakage,
            output.reverse,
            output.minimum,
        )
    )
