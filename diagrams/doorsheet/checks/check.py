"""The mark of a check: what its code means stands right above the generator that finds it (room: checks).

No check lives here.  A check is imported with the module of its subject, and
`doorsheet.checks` says which subjects a mapping needs.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from importlib import import_module
from typing import Final, TypeAlias

from doorsheet.checks.codes import Code, add_code
from doorsheet.checks.examined import Report
from doorsheet.checks.finding import Finding, Severity

__all__ = ["Check", "caution", "check", "checks_of", "note", "stop"]

Check: TypeAlias = Callable[[Report], Iterator[Finding]]
"""A check: takes the circuit of one stage and yields what it finds."""

_CHECKS: defaultdict[str, list[Check]] = defaultdict(list)


def check(
    severity: Severity,
    code: str,
    title: str,
    *,
    source: str,
    example: str | tuple[str, ...],
    formula: str = "",
) -> Callable[[Check], Check]:
    """Mark a generator as the check that finds `code`; its docstring is the rule, the rest as in `Code`.

    The generator's findings all carry `code`, severity and source: its report knows them.
    """
    tables = (example,) if isinstance(example, str) else example

    def register(find: Check) -> Check:
        rule = " ".join((find.__doc__ or "").split())
        add_code(Code(code, severity, title, rule, formula, source, "\n".join(tables), find.__module__))
        _CHECKS[find.__module__].append(lambda report: find(report.about(code)))
        return find

    return register


stop: Final = partial(check, Severity.STOP)
"""Marks a check of what can't work or does damage."""
caution: Final = partial(check, Severity.CAUTION)
note: Final = partial(check, Severity.NOTE)


def checks_of(modules: Iterable[str]) -> Iterator[Check]:
    """Yield the checks of these modules of the room, which are imported when they are first asked for."""
    for module in modules:
        yield from _CHECKS[import_module(f"doorsheet.checks.{module}").__name__]
