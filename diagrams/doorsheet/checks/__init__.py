"""The checks room: what can't be right, what would do damage, what nobody knows.

A check is a generator that takes a `Report` and yields findings; what its code means stands above it,
in the module of its subject.  The tables here name the subjects; those that compare readings, or that
few mappings need, are imported only when there is something for them: a cold drawing counts its
milliseconds.
"""

from typing import Final

from doorsheet.checks.check import checks_of, known_codes
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Code, Finding, Severity
from doorsheet.electrics import Solved
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping

__all__ = [
    "ALWAYS", "SUBJECT_MODULES", "WITH_PULSES", "WITH_READINGS", "Finding", "Severity", "every_code",
    "run_checks",
]  # fmt: skip

ALWAYS: Final = (
    "terminal_jobs", "current_paths", "open_readings", "dangers", "reading_against_given",
    "controller_outputs", "written_facts", "potentiometer", "speed_ranges", "analog_signal", "cables",
    "wire_colours",
)  # fmt: skip
"""Subjects of what is joined and written, and of what the solution says of it."""

WITH_READINGS: Final = ("taken_readings", "compared_readings", "signal_readings")
"""Subjects that compare readings with each other, or a signal's with what it should be."""

WITH_PULSES: Final = ("pulse_converter",)
"""Subjects of a speed source that gives pulses."""

SUBJECT_MODULES: Final = (*ALWAYS, *WITH_READINGS, *WITH_PULSES)
"""Every module with checks, in no order that matters."""


def run_checks(read: ReadMapping, solved: Solved) -> tuple[Finding, ...]:
    """Run every check on a solved stage; worst findings first, each once."""
    if read.mapping.drives:
        from doorsheet.checks.between_drives import run_several

        return run_several(read, solved, _run_one)
    return _run_one(Report(read, solved.circuit, solved))


def _run_one(report: Report) -> tuple[Finding, ...]:
    modules: tuple[str, ...] = ALWAYS
    if _has_readings_to_compare(report.mapping):
        modules += WITH_READINGS
    speed = report.mapping.speed
    if speed is not None and speed.source is not None and speed.source.kind == "pulse":
        modules += WITH_PULSES
    found = {finding: None for find in checks_of(modules) for finding in find(report)}
    return tuple(sorted(found, key=lambda finding: finding.order))


def every_code() -> dict[str, Code]:
    """Return every code there is, in the order of the page; imports all checks."""
    for _ in checks_of(SUBJECT_MODULES):
        pass
    return known_codes()


def _has_readings_to_compare(mapping: Mapping) -> bool:
    controls = [mapping.control(name) for name in mapping.control_names]
    switched = [control for control in controls if isinstance(control, SwitchedControl)]
    sizes = {abs(control.reading_v) for control in switched if control.reading_v is not None}
    return (
        bool(mapping.readings) or len(sizes) > 1 or any(control.closed_v is not None for control in switched)
    )
