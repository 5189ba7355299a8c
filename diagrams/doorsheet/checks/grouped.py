"""Findings to be read: what is unknown apart, the others by the control that they are about.

Nothing is found here; a screen, a booklet and a question show the same lists.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Final

from doorsheet.checks.finding import Finding, Severity, Unknown
from doorsheet.circuit.parts import of_drive

__all__ = ["Told", "as_record", "as_text", "by_control", "unknowns_of"]

_SCREEN: Final = 20  # lines of a screen, without those that stand under the findings
_KEPT: Final = 7  # so many of them are kept for what is unknown
_NAMED: Final = 6  # so many kinds of finding that have no room are named


@dataclass(frozen=True, slots=True)
class Told:
    """A finding, and everything about which the very same is said."""

    finding: Finding  # the first of them
    places: tuple[str, ...]
    wires: tuple[str, ...]


def unknowns_of(findings: Iterable[Finding]) -> tuple[tuple[str, Unknown], ...]:
    """Return what is unknown, each once, with the drive that it is of; what blocks most first.

    Without the time to wait, or a stop in hardware, nobody may begin; then how many checks wait for it.
    """
    asked: dict[tuple[str, str], tuple[tuple[bool, int], str, Unknown]] = {}
    for finding in findings:
        for one in finding.unknowns:
            key = (not one.first, len(one.codes) * (1 if one.first else -1))
            asked.setdefault((finding.drive, one.what), (key, finding.drive, one))
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


# ---- In words, and for programs ----

_COLUMNS: Final = 80
_ALL: Final = "doorsheet check --all shows all"


def as_text(findings: Sequence[Finding], whole: bool = True) -> str:
    """Put findings into the words of a colleague, by what they are about; then what nobody wrote down.

    Where that is more than a screen holds, and it isn't to be the `whole`, it says how many more there
    are.  A stop is always said.
    """
    asked, groups = [*_asked(findings)], by_control(findings)
    stops = [told for group in groups.values() for told in group if told.finding.severity is Severity.STOP]
    kept = min(len(asked) and len(asked) + 1, _KEPT)
    room = _SCREEN - kept - _height([line for told in stops for line in _said(told)])
    lines, more = list[str](), list[str]()
    for subject, group in groups.items():
        said = [subject]
        for told in group:
            own = _said(told)
            if told not in stops and not whole:
                room -= _height(own) + (len(said) == 1)
                if room < 0:
                    more.append(f"{told.finding.severity} {told.finding.code}")
                    continue
            said += own
        lines += said if len(said) > 1 else []
    if more:
        named = ", ".join(list(dict.fromkeys(more))[:_NAMED])
        lines.append(f"and {len(more)} more ({named}{', ...' * (len({*more}) > _NAMED)}): {_ALL}")
    if asked:
        codes = dict.fromkeys(one.code for one in findings if one.unknowns)
        lines.append(f"not written down ({', '.join(codes)}), what blocks most first")
        shown = [
            one
            for at, one in enumerate(asked)
            if whole or at < 3 or _height([*lines, *asked[: at + 1]]) < _SCREEN
        ]
        lines += shown
        if len(shown) < len(asked):
            lines.append(f"  and {len(asked) - len(shown)} more: {_ALL}")
    return "\n".join(lines)


def _asked(findings: Sequence[Finding]) -> Iterator[str]:
    for drive, one in unknowns_of(findings):
        count = len(one.codes)
        wait = f" ({count} check{'s' * (count > 1)})" if count else ""
        yield f"  {of_drive(drive, one.what)}{wait}: {one.where}"


def _said(told: Told) -> list[str]:
    finding = told.finding
    wires = f", wire{'s' * (len(told.wires) > 1)} {', '.join(told.wires)}" if told.wires else ""
    place = ", ".join(told.places)
    return [f"  {place}: {finding.severity} {finding.code}{wires}: {finding.reason}", f"    do: {finding.do}"]


def _height(lines: Sequence[str]) -> int:
    return sum(-(-len(line) // _COLUMNS) for line in lines)


def as_record(findings: Sequence[Finding]) -> dict[str, object]:
    """Return the same, for programs: what is unknown, and the findings by what they are about."""
    groups = {
        subject: [{**asdict(told.finding), "places": told.places, "wires": told.wires} for told in group]
        for subject, group in by_control(findings).items()
    }
    return {
        "unknown": [{"drive": drive, **asdict(one)} for drive, one in unknowns_of(findings)],
        "groups": [{"about": subject, "findings": said} for subject, said in groups.items()],
    }
