"""A finding: what is wrong or unknown, where, with which figures, why, and what to do.

Room: checks.  How a finding is held and put into words is here; what its code
means stands with the check that finds it.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from doorsheet.circuit.parts import of_drive
from doorsheet.trade.language import tr_later

__all__ = ["Code", "Figure", "Finding", "Severity", "Unknown"]


class Severity(StrEnum):
    """How bad it is: a stop marks the sheet across and ends the command with 1."""

    STOP = tr_later("stop")
    CAUTION = tr_later("caution")
    NOTE = tr_later("note")
    CHANGE = "change"  # what a comparison marks on its sheet; no check finds it


_RANK = {Severity.STOP: 0, Severity.CAUTION: 1, Severity.CHANGE: 2, Severity.NOTE: 3}


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
    def order(self) -> tuple[int, int, str, str]:
        """Worst first, then down the file; independent of the order of the checks."""
        return (_RANK[self.severity], self.line or 0, self.code, self.reason)

    @property
    def place(self) -> str:
        """File and line, as editors and terminals link it."""
        return f"{self.file}:{self.line}" if self.line else self.file
