"""Checks: what can't be right, what would do damage, what nobody knows.

Room: circuit.  Each check takes a `Report` and yields findings; it stands in
the module of its subject and in one of the three lists.  The checks that reckon
with figures, or compare readings, are imported only when the mapping gives some:
a cold drawing counts its milliseconds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from doorsheet.circuit.checks import (
    colours,
    kinds,
    nets,
    polarity,
    safety,
    screens,
    speed,
    terminals,
    unknown,
    wires,
)
from doorsheet.circuit.checks.report import Check, Report
from doorsheet.circuit.findings import Finding
from doorsheet.circuit.given import has_facts
from doorsheet.circuit.parts import Circuit
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping

if TYPE_CHECKING:
    CHECKS: tuple[Check, ...]

__all__ = ["CHECKS", "PLAIN_CHECKS", "Check", "run_checks"]

PLAIN_CHECKS: Final[tuple[Check, ...]] = (
    terminals.drive_terminal_used_twice,
    terminals.controller_terminal_used_twice,
    terminals.crowded_terminal,
    nets.missing_return,
    nets.input_linked_on,
    nets.sneak_supply,
    nets.two_sources,
    nets.commons_joined,
    nets.one_common_terminal,
    polarity.polarity_without_reading,
    polarity.readings_disagree,
    polarity.fixed_output_against_reading,
    polarity.odd_reading,
    polarity.input_wants_plus,
    polarity.bench_without_feed,
    kinds.logic_level_on_input,
    kinds.alternating_output,
    kinds.state_at_start,
    speed.potentiometer_on_milliamperes,
    speed.logarithmic_track,
    screens.screen_at_both_ends,
    screens.screen_at_no_end,
    wires.colour_twice_in_cable,
    wires.number_twice,
    wires.shared_wire_two_colours,
    wires.cable_too_thin,
    colours.green_yellow_on_control,
    colours.green_or_yellow_alone,
    colours.green_or_yellow_in_pair,
    colours.no_insulation_colour,
    colours.orange_reserved,
    colours.not_blue,
    colours.white_or_grey_reserved,
    safety.discharge_unknown,
    safety.not_isolated,
    safety.isolation_unknown,
    safety.stop_path_unnamed,
    safety.stop_through_controller,
    safety.both_directions,
    unknown.facts_missing,
)
"""Checks of what is joined and written, in no order that matters."""


def run_checks(read: ReadMapping, circuit: Circuit) -> tuple[Finding, ...]:
    """Run every check on the circuit of one stage; worst findings first, each once."""
    if read.mapping.drives:
        from doorsheet.circuit.checks.several import run_several

        return run_several(read, circuit)
    report = Report(read, circuit)
    checks = PLAIN_CHECKS
    if _has_figures(read.mapping):
        from doorsheet.circuit.checks.reckoned import RECKONED_CHECKS

        checks += RECKONED_CHECKS
    if _has_readings_to_compare(read.mapping):
        from doorsheet.circuit.checks.meter import METER_CHECKS

        checks += METER_CHECKS
    found = {finding: None for check in checks for finding in check(report)}
    return tuple(sorted(found, key=lambda finding: finding.order))


def _has_figures(mapping: Mapping) -> bool:
    """Whether a check that reckons could find anything."""
    speed = mapping.speed
    source = speed.source if speed is not None else None
    ranges_differ = speed is not None and source is not None and speed.range not in (None, source.range)
    return ranges_differ or has_facts(mapping)


def _has_readings_to_compare(mapping: Mapping) -> bool:
    """Whether a check of readings against each other could find anything."""
    controls = [mapping.control(name) for name in mapping.control_names]
    switched = [control for control in controls if isinstance(control, SwitchedControl)]
    sizes = {abs(control.reading_v) for control in switched if control.reading_v is not None}
    return (
        bool(mapping.readings) or len(sizes) > 1 or any(control.closed_v is not None for control in switched)
    )


def __getattr__(name: str) -> object:
    if name != "CHECKS":
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from doorsheet.circuit.checks.meter import METER_CHECKS
    from doorsheet.circuit.checks.reckoned import RECKONED_CHECKS

    return (*PLAIN_CHECKS, *METER_CHECKS, *RECKONED_CHECKS)
