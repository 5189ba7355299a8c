"""How a code is proved: its example has it, and the nearest right mapping has not.

A neighbour says which words of the example to replace, and by what; it stands with the tests of its subject.
"""

from __future__ import annotations

from functools import cache
from typing import TypeAlias

from doorsheet.checks import Finding, Severity, every_code, run_checks
from doorsheet.circuit.parts import Stage
from doorsheet.electrics import solve
from doorsheet.mapping.reading import parse_mapping

__all__ = [
    "FAMILIES", "FED", "HEAD", "REVERSE", "RUN", "SPEED", "Beside", "Neighbour", "beside", "codes", "found",
    "opened", "prove", "reason", "tripping",
]  # fmt: skip

Neighbour: TypeAlias = tuple[str, str]
"""Words of a code's example, and the words instead that are just enough to mend it."""

Beside: TypeAlias = tuple[str, dict[str, str], str | None]
"""A code, words of its example and those instead, and what it then says; None where it says nothing.

What stands instead of no words is added below.
"""

SOLVED = (
    "O201", "O202", "O203", "O204", "O205", "O206", "O207", "O210", "O211", "P106", "P107", "P112", "P114",
    "F106",
    "A101", "A102", "A103", "A104", "A107", "A201", "A202", "A203", "A204", "A205", "A206",
    "A305", "A401", "A402",
)  # fmt: skip
"""Findings that rest on figures, and print them."""

FAMILIES = {"O202": "O201", "A102": "A101", "P107": "R103"}
"""The same question asked twice, mildly and sharply: a cure of the sharp one may leave the mild one."""

ASKS_ON = ("A202", "A204", "A608")
"""What mends these asks the next question: the input's resistance, the signal's loss, the ripple."""

HEAD = 'machine = "Example"\n'

RUN = """
[run-forward]
input  = "DI1"
common = "COM"
output = { plus = "Y1+", minus = "Y1-" }
meter  = 24.0
"""

REVERSE = RUN.replace("run-forward", "run-reverse").replace("DI1", "DI2").replace("Y1", "Y2")

FED = '{ kind = "open-collector", signal = "Q0", common = "M", joins = "plus" }'
"""An output that brings plus to an input, which is fed."""

SPEED = """
[speed]
signal = "AI1"
common = "AGND"
supply = "+10V"
source = { signal = "AO1", common = "0V" }
"""


def tripping(code: str) -> str:
    """Return the mapping that has a code: its example."""
    return HEAD + every_code()[code].example


@cache
def found(text: str, stages: tuple[Stage, ...] = (Stage.BENCH, Stage.FINAL)) -> tuple[Finding, ...]:
    """Return every finding of a mapping's text, each once."""
    read = parse_mapping(text, "example.toml")
    return tuple(dict.fromkeys(f for stage in stages for f in run_checks(read, solve(read, stage))))


def opened(meter: str, joins: str = "minus") -> str:
    """Return a run control with an output of fixed polarity, and what the meter showed."""
    output = f'{{ kind = "open-collector", signal = "Q0", common = "M", joins = "{joins}" }}'
    return HEAD + RUN.replace('{ plus = "Y1+", minus = "Y1-" }', output).replace("24.0", meter)


def codes(text: str) -> set[str]:
    return {finding.code for finding in found(text)}


def reason(code: str, text: str) -> str:
    (finding,) = [finding for finding in found(text) if finding.code == code]
    return finding.reason


def beside(code: str, words: dict[str, str]) -> list[str]:
    """Return what a code says of its example with other words."""
    text = tripping(code)
    for old, new in words.items():
        assert old in text, f"{code}: nothing to replace: {old}"
        text = text.replace(old, new) if old else text + new
    return [finding.reason for finding in found(text) if finding.code == code]


def prove(code: str, neighbour: Neighbour) -> None:
    """Assert that a code's example has it, whole and at its line, and its neighbour nothing worse."""
    old, new = neighbour
    text = tripping(code)
    assert old in text, f"{code}: nothing to replace: {old}"
    before, after = found(text), found(text.replace(old, new))
    mine = [finding for finding in before if finding.code == code]
    assert mine, f"{code}: its example has it not"
    for finding in mine:
        _is_whole(finding, text)
    assert code not in {finding.code for finding in after}, f"{code}: its neighbour has it too"
    loud = {f.code for f in after if f.severity is not Severity.NOTE}
    known = {finding.code for finding in before}
    assert code in ASKS_ON or {FAMILIES.get(c, c) for c in loud} <= known, (
        f"{code}: its neighbour has another finding"
    )


def _is_whole(finding: Finding, text: str) -> None:
    entry = every_code()[finding.code]
    assert (finding.severity, finding.source) == (entry.severity, entry.source)
    assert finding.file == "example.toml"
    assert finding.reason.strip() and not finding.reason.endswith(".")
    assert finding.do.strip()
    if finding.line is not None:  # the table it names stands at or above that line
        above = [line for line in text.split("\n")[: finding.line] if line.strip()]
        assert any(finding.control.split(".")[0] in line for line in above)
    if finding.code in SOLVED:
        assert finding.figures
        assert all(figure.origin and figure.value and figure.name for figure in finding.figures)
        assert any(str(figure) in finding.reason for figure in finding.figures)
