"""Checks of several drives on one controller: each by itself, then what they share (room: checks).

Imported only for a mapping with `[drives.NAME]`.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations

from doorsheet.checks.cables import bare_number, cable_too_thin, net_numbers, same_core
from doorsheet.checks.check import known_code
from doorsheet.checks.examined import Found, Path, Report, Say, called
from doorsheet.checks.finding import Finding
from doorsheet.checks.terminal_jobs import (
    alike,
    controller_labels,
    controller_uses,
    crowded,
    of_alike,
    two_jobs,
)
from doorsheet.circuit.parts import BlockKind, Terminal, Wire
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
    for check in (_terminal_of_two, _core_of_two, _alike_of_two, _number_of_two):
        found |= dict.fromkeys(check(tuple(reports.values())))
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


def _of_two(
    report: Report, code: str, path: Path, terminals: tuple[str, ...] = (), wires: tuple[str, ...] = ()
) -> Say:
    """Return what makes a finding about two drives, at its place in the second."""
    say = report.about(known_code(code)).finding(path, wires=wires, terminals=terminals)
    return lambda reason, do: replace(say(reason, do), drive=report.drive)


def _terminal_of_two(reports: tuple[Report, ...]) -> Found:
    """T102, between drives: a controller terminal that acts for one can't act or return for another."""
    uses = [(report, use) for report in reports for use in controller_uses(report)]
    for (one, (first, acts, control, _)), (other, (label, other_acts, name, key)) in combinations(uses, 2):
        # one speed for both: what the output can feed is asked by its load
        fed = (key, acts, other_acts) == ("source", True, True) and control == name
        if one is not other and label == first and (acts or other_acts) and not fed:
            names = f"{one.drive} {called(control)}", f"{other.drive} {called(name)}"
            say = _of_two(other, "T102", (name, key), (label,))
            yield say(*two_jobs(label, acts and other_acts, *names))


def _alike_of_two(reports: tuple[Report, ...]) -> Found:
    """T104, between drives: labels of the controller that look alike."""
    labels = [(label, (own, path)) for own in reports for label, path in controller_labels(own)]
    named = {(label, own.drive) for label, (own, _) in labels}
    for label, first, (own, path) in alike(labels):
        if (first, own.drive) not in named:  # else it is found in the drive's own share
            yield _of_two(own, "T104", path, (first, label))(*of_alike("controller", first, label))


def _met_before(
    reports: tuple[Report, ...], key: Callable[[Wire], object]
) -> Iterator[tuple[str, Wire, Report, Wire]]:
    """Yield each wire that another drive has one like before it: that drive and wire, then its own."""
    seen: dict[object, tuple[str, Wire]] = {}
    for report in reports:
        for wire in report.circuit.wires:
            drive, first = seen.setdefault(key(wire), (report.drive, wire))
            if drive != report.drive:
                yield drive, first, report, wire


def _number_of_two(reports: tuple[Report, ...]) -> Found:
    """W102, W105, between drives: two wires with the same number, joined at the controller or not."""
    net_of = net_numbers(reports[0].solved.circuit)
    for drive, first, report, wire in _met_before(reports, bare_number):
        shared = first.near.block is wire.near.block is BlockKind.CONTROLLER
        joined = shared and net_of[first.near] == net_of[wire.near]
        ways = "of one potential" if joined else "that are not joined"
        code, path = "W105" if joined else "W102", (wire.control, "wires", wire.role)
        yield _of_two(report, code, path, wires=(wire.number, first.number))(
            f"number {bare_number(wire)} is given to two wires {ways}: "
            f"{drive} {first.job}, and {report.drive} {wire.job}",
            "give each of them a number of its own",
        )


def _core_of_two(reports: tuple[Report, ...]) -> Found:
    """W101, between drives: two cores of one cable that look the same."""
    for _, first, report, wire in _met_before(reports, lambda wire: (wire.cable, wire.colour.letters)):
        if wire.cable and (wire.colour_given or first.colour_given):  # else a cable of the drive's own
            say = _of_two(
                report, "W101", (wire.control, "wires", wire.role), wires=(first.number, wire.number)
            )
            yield say(*same_core(first, wire))


def _crowded(report: Report) -> Found:
    """T103, over all drives: more conductors in one terminal of the controller than it is made for."""
    ends: dict[Terminal, list[Wire]] = {}
    for wire in report.circuit.wires:
        if wire.near.block is BlockKind.CONTROLLER:
            ends.setdefault(wire.near, []).append(wire)
    for terminal, wires in ends.items():
        yield from crowded(report, terminal, wires, ("controller",))
