"""A finding: what is wrong or unknown, where, with which figures, why, and what to do."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple

from doorsheet.circuit.parts import of_drive
from doorsheet.trade.language import tr_later

__all__ = ["DANGERS", "MEASURED", "Code", "Figure", "Finding", "Severity", "Unknown", "worst_stop"]


class Severity(StrEnum):
    """How bad it is: a stop marks the sheet across and ends the command with 1."""

    STOP = tr_later("stop")
    CAUTION = tr_later("caution")
    NOTE = tr_later("note")
    CHANGE = "change"  # what a comparison marks on its sheet; no check finds it


_RANK = {Severity.STOP: 0, Severity.CAUTION: 1, Severity.CHANGE: 2, Severity.NOTE: 3}

DANGERS: Final = (
    # a reading that kills: nobody touches, or looks up, anything else before
    ("P108",),
    # a shock; the motor starts unasked, or can't be stopped
    ("X", "F109", "F101", "F102", "F103", "T107", "T102", "L102", "N105", "O206", "O209", "O210", "A204",
     "A207", "A209", "C101", "C108"),
    # something is destroyed
    ("N101", "N103", "L103", "L105", "L106", "L107", "P103", "P113", "P115", "T108", "O201", "O203", "O204",
     "O208",
     "O211", "A103", "A301", "A401", "A402", "A501", "A701"),
    # it doesn't do what it is there for, or isn't wired as the mapping says
    ("A", "B", "F", "L", "O", "P", "R", "N106", "T101", "T105", "T106", "W102"),
)  # fmt: skip
"""How codes begin, the most dangerous first, of findings that are as severe; any other is untidy at most."""

MEASURED: Final = ("A101", "A601", "O205", "P102", "P103", "P105", "P115", "R101")
"""Stops that a measurement settles, or may: it is taken under power."""


class Code(NamedTuple):
    """What a finding's code means; `example` is a mapping, but for its machine's name, that has it."""

    code: str
    severity: Severity
    title: str  # in a line, no full stop
    rule: str  # when it is found, and why it matters, in a sentence or two
    formula: str  # what is compared; "" when nothing is
    source: str  # the physical reason, or the standard with how it was seen, or "common practice, no source"
    example: str  # as TOML, without its `machine` line
    module: str  # where its check stands


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure a finding rests on: what it is, its value with unit, where it comes from.

    >>> str(Figure("output's voltage rating", "20 V", "given, line 9"))
    '20 V (given, line 9)'
    """

    name: str
    value: str
    origin: str  # "given, line 9", "measured, line 14", "default: ...", "standard: ...", "computed"

    def __str__(self) -> str:
        return f"{self.value} ({self.origin})" if self.origin else self.value


@dataclass(frozen=True, slots=True)
class Unknown:
    """What nobody wrote down, where to find or measure it, and the codes of the checks that wait for it.

    `first`: without it nobody may begin.
    """

    what: str
    where: str
    codes: tuple[str, ...] = ()
    first: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding about a circuit; `line` is where the mapping says it, 1-based."""

    code: str
    severity: Severity
    file: str
    line: int | None
    control: str
    reason: str
    do: str
    reason_on_paper: str  # what and why, and what to do, for who has the paper and not the file
    do_on_paper: str
    wires: tuple[str, ...] = ()
    terminals: tuple[str, ...] = ()
    source: str = "common practice, no source"
    figures: tuple[Figure, ...] = ()
    drive: str = ""  # of several, the one it is about; "" for what they share, and for a single drive
    unknowns: tuple[Unknown, ...] = ()  # each by itself, where the finding is that things are unknown

    @property
    def subject(self) -> str:
        """The table that it is about: "run-forward", of several drives "pump-1 run-forward"."""
        return of_drive(self.drive, self.control or "drive" if self.drive else self.control)

    def concerns(self, drive: str) -> bool:
        """Whether it must stand where only one of several drives is shown: a stop forbids them all."""
        return self.drive in ("", drive) or self.severity is Severity.STOP

    @property
    def order(self) -> tuple[int, int, int, str, str]:
        """Worst first, then down the file; independent of the order of the checks."""
        danger = next((at for at, codes in enumerate(DANGERS) if self.code.startswith(codes)), len(DANGERS))
        return (_RANK[self.severity], danger, self.line or 0, self.code, self.reason)

    @property
    def place(self) -> str:
        """File and line, as editors and terminals link it."""
        return f"{self.file}:{self.line}" if self.line else self.file


def worst_stop(findings: Iterable[Finding]) -> Finding | None:
    """Return the first stop of findings in their order, which all work waits for; None without one."""
    return next((one for one in findings if one.severity is Severity.STOP), None)
