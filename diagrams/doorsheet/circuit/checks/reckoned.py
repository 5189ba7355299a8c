"""The list of checks that reckon with figures (room: circuit); imported only when a mapping gives some."""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.checks import levels, outputs, potentiometer, ranges, readings, source
from doorsheet.circuit.checks.report import Check

__all__ = ["RECKONED_CHECKS"]

RECKONED_CHECKS: Final[tuple[Check, ...]] = (
    readings.reading_against_given,
    readings.closed_reading_too_high,
    outputs.voltage_above_rating,
    outputs.little_voltage_in_hand,
    outputs.reversed_breaks_down,
    outputs.current_above_rating,
    outputs.contact_too_large,
    levels.on_level,
    levels.off_level,
    potentiometer.reference_overloaded,
    potentiometer.reference_nearly_full,
    potentiometer.track_too_hot,
    potentiometer.loaded_too_much,
    ranges.never_full_speed,
    ranges.milliamperes_against_volts,
    ranges.live_zero_missing,
    ranges.creeps_at_zero,
    ranges.full_speed_too_early,
    ranges.source_falls_short,
    source.source_overloaded,
    source.source_sags,
    source.burden_falsified,
    source.wires_take_part,
    source.resistor_in_signal,
    source.too_much_reaches_input,
)
"""Checks over intervals, each at the worst corner, in no order that matters."""
