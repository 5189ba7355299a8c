"""Findings to be read: what is unknown apart, the others by the control that they are about (room: checks).

Nothing is found here; a screen, a booklet and a question show the same lists.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from doorsheet.checks.finding import Finding, Unknown

__all__ = ["Told", "by_control", "unknowns_of"]


@dataclass(frozen=True, slots=True)
class Told:
    """A finding, and everything about which the very same is said."""

    finding: Finding  # the first of them
    places: tuple[str, ...]
    wires: tuple[str, ...]


def unknowns_of(findings: Iterable[Finding]) -> tuple[tuple[str, Unknown], ...]:
    """Return what is unknown, each once, with the drive that it is of; what most checks wait for first.

    What has a finding of its own, such as the time to wait, goes before all that only checks wait for.
    """
    asked: dict[tuple[str, str], tuple[int, str, Unknown]] = {}
    for finding in findings:
        for one in finding.unknowns:
            rank = -len(one.codes) if len(finding.unknowns) > 1 or finding.code == "U101" else -99
            asked.setdefault((finding.drive, one.what), (rank, finding.drive, one))
    return tuple((drive, one) for _, drive, one in sorted(asked.values(), key=lambda entry: entry[0]))


def by_control(findings: Sequence[Finding]) -> dict[str, tuple[Told, ...]]:
    """Return the findings by what they are about, worst first; what is said of several stands once.

    Notes of what is unknown are left to `unknowns_of`.
    """
    same: dict[tuple[str, str, str], list[Finding]] = {}
    for finding in sorted(findings, key=lambda one: one.order):
        if not finding.unknowns:
            same.setdefault((finding.code, finding.reason, finding.do), []).append(finding)
    groups: dict[str, list[Told]] = {}
    for own in same.values():
        subjects = dict.fromkeys(one.subject for one in own if one.subject)
        wires = tuple(dict.fromkeys(wire for one in own for wire in one.wires))
        told = Told(own[0], tuple(dict.fromkeys(one.place for one in own)), wires)
        groups.setdefault(", ".join(subjects) or "whole machine", []).append(told)
    return {subject: tuple(told) for subject, told in groups.items()}
