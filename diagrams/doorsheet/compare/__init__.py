"""The compare room: two revisions of a machine's mapping, what differs, and what must be tested again.

Above electrics and checks, whose circuits, readings and findings it sets side by side; the page room draws
what changed.  Files belong to output, words of a command to the command.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from doorsheet.checks import run_checks
from doorsheet.checks.finding import Finding, Severity
from doorsheet.circuit.parts import Circuit
from doorsheet.compare.circuits import Change, Kind, Spot, changes_at
from doorsheet.compare.retest import Test, retest
from doorsheet.compare.written import only_said_otherwise, written
from doorsheet.electrics import Solved
from doorsheet.job.context import solved_stage
from doorsheet.mapping.reading import ReadMapping

__all__ = ["Change", "Comparison", "Kind", "Spot", "Test", "compare"]

STAGES = ("bench", "final")


class Comparison(NamedTuple):
    """What differs between two revisions."""

    old: ReadMapping
    new: ReadMapping
    same: str  # how they differ that mean the same; "" when they don't
    written: tuple[Change, ...]  # keys of the file
    changes: tuple[Change, ...]  # of circuit, readings and findings
    retest: tuple[Test, ...]

    @property
    def wires(self) -> tuple[str, ...]:
        """What changed about wires, in words."""
        return tuple(change.words for change in self.changes if change.kind is Kind.WIRE)


def compare(old: ReadMapping, new: ReadMapping) -> Comparison:
    """Set two revisions side by side; raises what `doorsheet.circuit.join` does."""
    same = only_said_otherwise(old, new)
    if same:
        return Comparison(old, new, same, (), (), ())
    before, after = ({stage: solved_stage(read, stage) for stage in STAGES} for read in (old, new))
    keys = tuple(written(old, new))
    changes = tuple(_changes(old, new, before, after))
    tests = retest(before["final"].circuit, after["final"].circuit, (*keys, *changes))
    return Comparison(old, new, "", keys, changes, tuple(dict.fromkeys(tests)))


def _changes(
    old: ReadMapping, new: ReadMapping, before: dict[str, Solved], after: dict[str, Solved]
) -> Iterator[Change]:
    """Yield what differs at both stages once, and what does at one with the stage's name."""
    found: dict[Change, list[str]] = {}
    for stage in reversed(STAGES):
        at_stage = [
            *changes_at(before[stage].circuit, after[stage].circuit),
            *_findings(run_checks(old, before[stage]), run_checks(new, after[stage]), after[stage].circuit),
        ]
        for change in at_stage:
            found.setdefault(change, []).append(stage)
    order = list(Kind)
    for change, stages in sorted(found.items(), key=lambda pair: order.index(pair[0].kind)):
        yield change if len(set(stages)) == len(STAGES) else change._replace(stage=stages[0])


def _findings(old: Iterable[Finding], new: Iterable[Finding], circuit: Circuit) -> Iterator[Change]:
    """Yield the findings that came or went; one that says other figures of the same thing did neither."""

    def keyed(findings: Iterable[Finding]) -> dict[tuple[object, ...], Finding]:
        return {(one.code, one.drive, one.control, one.terminals): one for one in findings}

    before, after = keyed(old), keyed(new)
    for key in dict.fromkeys((*after, *before)):
        if key in before and key in after:
            continue
        one = after.get(key) or before[key]
        uses = frozenset({(one.drive, one.control)} if one.control else ())
        said = f"{one.severity}, {one.reason}" if one.severity is not Severity.NOTE else one.reason
        numbers = {wire.number for wire in circuit.wires}
        spot = Spot(one.drive, one.terminals, tuple(w for w in one.wires if w in numbers), uses)
        what = f"{one.code}{f' {one.subject}' if one.subject else ''}"
        stop = one.reason if one.severity is Severity.STOP and key in after else ""
        was, now = (said if key in found else "" for found in (before, after))
        yield Change(Kind.FINDING, what, was, now, spot, stop)
