"""The checks room: what can't be right, what would do damage, what nobody knows.

A check is a generator that takes a `Report` and yields findings; what its code means stands above it,
in the module of its subject.  The tables here say which subjects a mapping needs: those that compute
with figures, or compare readings, are imported only when the mapping gives some, since a cold drawing
counts its milliseconds.
"""

from __future__ import annotations

from typing import Final

from doorsheet.checks.check import checks_of
from doorsheet.checks.codes import Code, known_codes
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Finding, Severity, render_finding
from doorsheet.circuit.given import has_facts
from doorsheet.circuit.parts import Circuit
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping

__all__ = [
    "ALWAYS",
    "SUBJECT_MODULES",
    "WITH_FIGURES",
    "WITH_READINGS",
    "Finding",
    "Severity",
    "every_code",
    "render_finding",
    "run_checks",
]

ALWAYS: Final = (
    "shared_terminals",
    "current_paths",
    "net_conflicts",
    "polarity",
    "output_kinds",
    "potentiometer_kind",
    "screen_earth",
    "wire_marks",
    "wire_colours",
    "drive_dangers",
    "stopping",
    "unknown",
)
"""Subjects of what is joined and written."""

WITH_FIGURES: Final = (
    "reading_against_given",
    "output_ratings",
    "input_levels",
    "potentiometer",
    "speed_ranges",
    "analog_source",
    "analog_limit",
)
"""Subjects that compute with figures, each at the worst corner of their ranges."""

WITH_READINGS: Final = ("repeated_readings", "reading_sums", "unlike_inputs", "changing_signal")
"""Subjects that compare readings with each other."""

SUBJECT_MODULES: Final = (*ALWAYS, *WITH_FIGURES, *WITH_READINGS)
"""Every module with checks, in no order that matters."""


def run_checks(read: ReadMapping, circuit: Circuit) -> tuple[Finding, ...]:
    """Run every check on the circuit of one stage; worst findings first, each once."""
    if read.mapping.drives:
        from doorsheet.checks.between_drives import run_several

        return run_several(read, circuit, run_checks)
    report = Report(read, circuit)
    modules: tuple[str, ...] = ALWAYS
    if _has_figures(read.mapping):
        modules += WITH_FIGURES
    if _has_readings_to_compare(read.mapping):
        modules += WITH_READINGS
    found = {finding: None for find in checks_of(modules) for finding in find(report)}
    return tuple(sorted(found, key=lambda finding: finding.order))


def every_code() -> dict[str, Code]:
    """Return every code there is, in the order of the page; imports all checks."""
    for _ in checks_of(SUBJECT_MODULES):
        pass
    return known_codes()


def _has_figures(mapping: Mapping) -> bool:
    """Whether a check that computes with figures could find anything."""
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
