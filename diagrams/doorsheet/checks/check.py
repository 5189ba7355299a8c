"""The mark of a check, and what its code means: both stand with the generator that finds it."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cache, wraps
from importlib import import_module
from inspect import cleandoc
from typing import Final, NamedTuple, TypeAlias, TypeVarTuple

from doorsheet.checks.examined import Found, Report
from doorsheet.checks.finding import Code, Severity

__all__ = ["SUBJECTS", "Check", "caution", "checks_of", "known_code", "known_codes", "note", "stop"]

SUBJECTS: Final = {
    "T": "Terminals",
    "L": "Loops",
    "N": "Nets",
    "P": "Polarity and readings",
    "B": "Bench",
    "R": "Readings against each other",
    "O": "Outputs and levels",
    "A": "Speed signal",
    "S": "Screens",
    "W": "Wires",
    "C": "Colours",
    "F": "Facts of the drive",
    "X": "Stopping",
    "U": "Unknown",
}
"""What the first letter of a code stands for, in the order of the page."""

Check: TypeAlias = Callable[[Report], Found]  # takes the circuit of one stage

_Looked = TypeVarTuple("_Looked")
_CHECKS: defaultdict[str, list[Check]] = defaultdict(list)
_KNOWN: dict[str, tuple[Severity, tuple[str, ...], object]] = {}
_SAID: Final = re.compile(
    r"(?P<title>[^\n]+)\.\n(?P<rule>.+?)(?:\nFormula: (?P<formula>.+?))?\nSource: (?P<source>.+)", re.DOTALL
)


class _Mark(NamedTuple):
    """Marks a generator as the check that finds a code, whose findings all carry it.

    Its docstring says what the code means: the title in a line; the rule; where something is compared, that
    as `Formula: `; `Source: ` the physical reason, or the standard with how it was seen, or "common practice,
    no source".  The example, in tables, is a mapping that has it.  ValueError: a code that is known already.
    """

    severity: Severity

    def __call__(self, code: str, *example: str) -> Callable[[Check], Check]:
        return self.each(lambda report: ((),), code, *example)

    def each(
        self, walk: Callable[[Report], Iterable[tuple[*_Looked]]], code: str, *example: str
    ) -> Callable[[Callable[[Report, *_Looked], Found]], Check]:
        """Mark one that looks at one thing after the other, as `walk` yields them."""

        def register(find: Callable[[Report, *_Looked], Found]) -> Check:
            if code in _KNOWN or code[0] not in SUBJECTS:
                raise ValueError(f"{code} is used already, or its letter is no subject")

            @wraps(find)
            def every(report: Report) -> Found:
                about = report.about(known_code(code))
                for looked in walk(about):
                    yield from find(about, *looked)

            _KNOWN[code] = self.severity, example, find
            _CHECKS[find.__module__].append(every)
            return every

        return register


stop: Final = _Mark(Severity.STOP)  # what can't work or does damage
caution: Final = _Mark(Severity.CAUTION)
note: Final = _Mark(Severity.NOTE)


def checks_of(modules: Iterable[str]) -> Iterator[Check]:
    """Yield the checks of these modules of the room, which are imported when they are first asked for."""
    for module in modules:
        yield from _CHECKS[import_module(f"doorsheet.checks.{module}").__name__]


@cache
def known_code(code: str) -> Code:
    """Return what a code means; its check must have been imported.  ValueError: its docstring is no such."""
    severity, example, find = _KNOWN[code]
    said = _SAID.fullmatch(cleandoc(find.__doc__ or ""))
    if said is None:
        raise ValueError(f"{code} of {find.__module__} lacks title, rule or source: is this python -OO?")
    title, rule, formula, source = (" ".join((part or "").split()) for part in said.groups())
    return Code(code, severity, title, rule, formula, source, "\n".join(example), find.__module__)


def known_codes() -> dict[str, Code]:
    """Return every code whose check has been imported: by subject, then by number."""
    order = sorted(_KNOWN, key=lambda code: ([*SUBJECTS].index(code[0]), code))
    return {code: known_code(code) for code in order}
