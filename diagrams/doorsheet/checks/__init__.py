"""The checks room: what can't be right, what would do damage, what nobody knows.

A check is a generator that takes a `Report` and yields findings; what its code means stands above it,
in the module of its subject.  The tables here name the subjects; those that compare readings, or that
few mappings need, are imported only when there is something for them: a cold drawing counts its
milliseconds.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from doorsheet.checks.check import checks_of, known_codes
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Code, Finding, Severity
from doorsheet.circuit.units import share, units_of
from doorsheet.electrics import Solved
from doorsheet.mapping.reading import ReadMapping

__all__ = ["SUBJECT_MODULES", "Finding", "Severity", "every_code", "reports_of", "run_checks"]

_ALWAYS: Final = (
    "terminal_jobs", "current_paths", "joined_commons", "open_readings", "dangers", "reading_against_given",
    "controller_outputs", "written_facts", "potentiometer", "speed_ranges", "analog_signal", "cables",
    "wire_colours",
)  # fmt: skip
"""Subjects of what is joined and written, and of what the solution says of it."""

_WITH_READINGS: Final = ("taken_readings", "compared_readings", "signal_readings")
"""Subjects that compare readings with each other, or a signal's with what it should be."""

_MEASURING: Final = ("P", "R", "N106", "O203", "O205", "A102", "A703", "A704", "A705", "A706")
_OF_DANGER: Final = ("P108", "P113")
"""How codes begin whose remedy is to measure; two of them say where nobody must."""

_WITH_PULSES: Final = ("pulse_converter",)  # of a speed source that gives pulses

SUBJECT_MODULES: Final = (*_ALWAYS, *_WITH_READINGS, *_WITH_PULSES)
"""Every module with checks, in no order that matters."""


def reports_of(read: ReadMapping, solved: Solved) -> tuple[Report, ...]:
    """Return what the checks of each drive look at, at a solved stage."""
    reports: tuple[Report, ...] = ()
    for name, own in units_of(read):
        reports += (Report(own, share(solved.circuit, name, own.source), solved, name, reports),)
    return reports


def run_checks(read: ReadMapping, solved: Solved) -> tuple[Finding, ...]:
    """Run every check on a solved stage, of several drives on each; worst findings first, each once."""
    reports = reports_of(read, solved)
    each = [(one.drive, tuple(_found(one))) for one in reports]
    every = set(each[0][1]).intersection(*(own for _, own in each)) if len(each) > 1 else ()
    # what is found of every drive is of the machine, not of a drive
    found = dict.fromkeys(one if one in every else _named(one, drive) for drive, own in each for one in own)
    if read.mapping.drives:
        from doorsheet.checks.cables import cable_too_thin
        from doorsheet.checks.terminal_jobs import crowded_terminal

        whole = Report(read, solved.circuit, solved, reports[0].drive)
        found |= dict.fromkeys((*crowded_terminal(whole), *cable_too_thin(whole)))
    return tuple(sorted(found, key=lambda finding: finding.order))


def _found(report: Report) -> Iterator[Finding]:
    """Yield what the checks that a mapping needs find."""
    modules: tuple[str, ...] = _ALWAYS
    own = report.mapping.switched.values()
    sizes = {abs(control.reading_v) for control in own if control.reading_v is not None}
    if report.mapping.readings or len(sizes) > 1 or any(control.closed_v is not None for control in own):
        modules += _WITH_READINGS
    if report.speed.source is not None and report.speed.source.kind == "pulse":
        modules += _WITH_PULSES
    from doorsheet.checks.taken_readings import hands_off

    for finding in (finding for find in checks_of(modules) for finding in find(report)):
        sends = finding.code.startswith(_MEASURING) and finding.code not in _OF_DANGER
        if not sends or hands_off(report).isdisjoint(finding.terminals):
            yield finding


def _named(finding: Finding, drive: str) -> Finding:
    """Return a finding as one of a drive; one of two drives says so itself."""
    if finding.drive or not drive:
        return finding
    reason, on_paper = f"{drive}: {finding.reason}", f"{drive}: {finding.reason_on_paper}"
    return replace(finding, drive=drive, reason=reason, reason_on_paper=on_paper)


def every_code() -> dict[str, Code]:
    """Return every code there is, in the order of the page; imports all checks."""
    tuple(checks_of(SUBJECT_MODULES))
    return known_codes()
