"""Checks of several drives on one controller: each by itself, then what they share (room: checks).

Imported only for a mapping with `[drives.NAME]`.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

from doorsheet.checks.cables import bare_number, cable_too_thin, net_numbers, same_core
from doorsheet.checks.check import known_code
from doorsheet.checks.examined import Found, Path, Report, called
from doorsheet.checks.finding import Finding
from doorsheet.checks.terminal_jobs import (
    alike,
    controller_labels,
    controller_uses,
    crowded,
    of_alike,
    two_jobs,
)
from doorsheet.circuit.parts import BlockKind, Circuit, Terminal, Wire
from doorsheet.circuit.units import share, units_of
from doorsheet.electrics import Solved
from doorsheet.mapping.reading import ReadMapping

__all__ = ["run_several"]


def run_several(
    read: ReadMapping, solved: Solved, run_one: Callable[[Report], tuple[Finding, ...]]
) -> tuple[Finding, ...]:
    """Run `run_one`, which is every check, on each drive, and those of what they share on all.

    Worst first, each once.
    """
    circuit = solved.circuit
    reports = {
        name: Report(own, share(circuit, name, own.source), solved, name) for name, own in units_of(read)
    }
    found: dict[Finding, None] = {}
    each = [(name, run_one(report)) for name, report in reports.items()]
    every = set[Finding].intersection(*(set(findings) for _, findings in each))
    for name, findings in each:
        for finding in findings:
            if finding in every and len(each) > 1:
                found[finding] = None  # of the machine, not of a drive
            elif not _of_shared(finding, reports[name]):
                found[_named(finding, name)] = None
    for check in (_terminal_of_two, _core_of_two, _alike_of_two):
        found |= dict.fromkeys(check(reports))
    found |= dict.fromkeys(_number_of_two(reports, circuit))
    report = Report(read, circuit, solved, next(iter(reports)))
    found |= dict.fromkeys(_crowded(report.about(known_code("T103"))))
    found |= dict.fromkeys(
        thin for thin in cable_too_thin(report.about(known_code("W104"))) if _in_named_cable(thin, report)
    )
    return tuple(sorted(found, key=lambda finding: finding.order))


def _named(finding: Finding, name: str) -> Finding:
    reason, on_paper = f"{name}: {finding.reason}", f"{name}: {finding.reason_on_paper}"
    return replace(finding, drive=name, reason=reason, reason_on_paper=on_paper)


def _of_shared(finding: Finding, report: Report) -> bool:
    """Whether what a finding of one drive counts is counted again for all of them."""
    if finding.code == "T103":
        near = {wire.near for wire in report.circuit.wires if wire.number in finding.wires}
        return len(near) == 1 and next(iter(near)).block is BlockKind.CONTROLLER
    return finding.code == "W104" and _in_named_cable(finding, report)


def _in_named_cable(finding: Finding, report: Report) -> bool:
    return any(wire.cable and wire.number in finding.wires for wire in report.circuit.wires)


def _terminal_of_two(reports: dict[str, Report]) -> Found:
    """T102, between drives: a controller terminal that acts for one can't act or return for another."""
    uses = {name: tuple(controller_uses(report)) for name, report in reports.items()}
    for one, other in combinations(reports, 2):
        for label, acts, control, _ in uses[one]:
            for other_label, other_acts, other_control, key in uses[other]:
                if (key, acts, other_acts) == ("source", True, True) and control == other_control:
                    continue  # one speed for both: what the output can feed is asked by its load
                if label == other_label and (acts or other_acts):
                    names = f"{one} {called(control)}", f"{other} {called(other_control)}"
                    reason, do = two_jobs(label, acts and other_acts, *names)
                    yield _finding(reports[other], other, "T102", (other_control, key), reason, do, (label,))


def _alike_of_two(reports: dict[str, Report]) -> Found:
    """T104, between drives: labels of the controller that look alike."""
    labels = (
        (label, (name, path)) for name, own in reports.items() for label, path in controller_labels(own)
    )
    named: dict[str, set[str]] = {}
    for name, own in reports.items():
        for label, _ in controller_labels(own):
            named.setdefault(label, set()).add(name)
    for label, first, (name, path) in alike(labels):
        if name not in named[first]:  # else it is found in the drive's own share
            yield _finding(
                reports[name], name, "T104", path, *of_alike("controller", first, label), (first, label)
            )


def _number_of_two(reports: dict[str, Report], circuit: Circuit) -> Found:
    """W102, W105, between drives: two wires with the same number, joined at the controller or not."""
    net_of = net_numbers(circuit)
    seen: dict[str, tuple[str, Wire]] = {}
    for name, report in reports.items():
        for wire in report.circuit.wires:
            number = bare_number(wire)
            first_name, first = seen.setdefault(number, (name, wire))
            if first_name != name:
                shared = first.near.block is wire.near.block is BlockKind.CONTROLLER
                joined = shared and net_of[first.near] == net_of[wire.near]
                ways = "of one potential" if joined else "that are not joined"
                reason = (
                    f"number {number} is given to two wires {ways}: "
                    f"{first_name} {first.job}, and {name} {wire.job}"
                )
                path, code = (wire.control, "wires", wire.role), "W105" if joined else "W102"
                do, both = "give each of them a number of its own", (wire.number, first.number)
                yield _finding(report, name, code, path, reason, do, (), both)


def _core_of_two(reports: dict[str, Report]) -> Found:
    """W101, between drives: two cores of one cable that look the same."""
    seen: dict[tuple[str, str], tuple[str, Wire]] = {}
    for name, report in reports.items():
        for wire in report.circuit.wires:
            if not wire.cable:
                continue  # a cable of the drive's own
            first_name, first = seen.setdefault((wire.cable, wire.colour.letters), (name, wire))
            if first_name != name and (wire.colour_given or first.colour_given):
                path, both = (wire.control, "wires", wire.role), (first.number, wire.number)
                yield _finding(report, name, "W101", path, *same_core(first, wire), (), both)


def _finding(
    report: Report,
    name: str,
    code: str,
    path: Path,
    reason: str,
    do: str,
    terminals: tuple[str, ...],
    wires: tuple[str, ...] = (),
) -> Finding:
    found = report.about(known_code(code)).finding(path, wires=wires, terminals=terminals)(reason, do)
    return replace(found, drive=name)


def _crowded(report: Report) -> Found:
    """T103, over all drives: more conductors in one terminal of the controller than it is made for."""
    ends: dict[Terminal, list[Wire]] = {}
    for wire in report.circuit.wires:
        if wire.near.block is BlockKind.CONTROLLER:
            ends.setdefault(wire.near, []).append(wire)
    for terminal, wires in ends.items():
        yield from crowded(report, terminal, wires, ("controller",))
