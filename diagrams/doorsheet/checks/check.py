"""The mark of a check: what its code means stands right above the generator that finds it (room: checks).

No check lives here.  A check is imported with the module of its subject, and
`doorsheet.checks` says which subjects a mapping needs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from importlib import import_module
from typing import Final, TypeAlias

from doorsheet.checks.codes import Code, add_code
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Finding, Severity

__all__ = ["CAUTION", "NOTE", "STOP", "Check", "check", "checks_of"]

STOP: Final = Severity.STOP
CAUTION: Final = Severity.CAUTION
NOTE: Final = Severity.NOTE

Check: TypeAlias = Callable[[Report], Iterator[Finding]]
"""A check: takes the circuit of one stage and yields what it finds."""

_CHECKS: defaultdict[str, list[Check]] = defaultdict(list)


def check(
    code: str, severity: Severity, title: str, *, rule: str, source: str, example: str, formula: str = ""
) -> Callable[[Check], Check]:
    """Mark a generator as the check that finds `code`; the texts are those of `Code`.

    The generator's findings all carry `code`: `report.finding` takes severity and source from here.
    """

    def register(find: Check) -> Check:
        add_code(Code(code, severity, title, rule, formula, source, example, find.__module__))
        _CHECKS[find.__module__].append(find)
        return find

    return register


def checks_of(modules: Iterable[str]) -> Iterator[Check]:
    """Yield the checks of these modules of the room, which are imported when they are first asked for."""
    for module in modules:
        yield from _CHECKS[import_module(f"doorsheet.checks.{module}").__name__]
