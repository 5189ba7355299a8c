"""Findings as they are read: what is unknown first by what it blocks, the same said once."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from doorsheet.checks import Finding, Severity, every_code
from doorsheet.checks.grouped import as_text, by_control, unknowns_of
from doorsheet.checks.written_facts import _WAITING
from tests.checks.cases import HEAD, RUN, codes, found, tripping
from tests.strategies import toml_text

KEYS = {
    "reading": ("meter",), "range": ("speed", "range"), "resistance": ("analog", "resistance"),
    "current": ("inputs", "current"), "reference": ("reference", "current"), "voltage": ("output", "voltage"),
    "both": ("both-directions",), "earth": ("inputs", "earthed"), "rest": ("output", "rest"),
    "rating": ("output", "current"), "leakage": ("output", "leakage"), "minimum": ("output", "minimum"),
    "screen": ("speed", "screen"), "fault": ("fault", "normally"),
}  # fmt: skip
"""By unknown: the end of the key's path that fills it."""
SEVERAL = {"levels": (("inputs", "on"), ("inputs", "off"), ("inputs", "type"))}


def without(data: dict[str, object], ends: tuple[tuple[str, ...], ...]) -> bool:
    """Take every key away whose path ends so; say whether there was one."""
    lost = False

    def walk(table: dict[str, object], path: tuple[str, ...]) -> None:
        nonlocal lost
        for key in list(table):
            here, value = (*path, key), table[key]
            if any(here[-len(end) :] == end for end in ends):
                del table[key]
                lost = True
            elif isinstance(value, dict):
                walk(value, here)

    walk(data, ())
    return lost


def written(data: dict[str, object]) -> str:
    return toml_text(data).replace("= False", "= false").replace("= True", "= true")


@pytest.mark.parametrize("name", _WAITING)
def test_the_checks_that_wait_are_those_whose_example_needs_the_figure(name: str) -> None:
    ends = SEVERAL.get(name) or (KEYS[name],)
    waiting = set()
    for code in every_code():
        data = tomllib.loads(tripping(code))
        if without(data, ends) and code not in codes(written(data)):
            waiting.add(code)
    assert waiting == set(_WAITING[name].split())


def test_what_blocks_most_comes_first() -> None:
    asked = [one for _, one in unknowns_of(found(HEAD + RUN.replace("meter  = 24.0\n", "")))]
    assert asked[0].what == "the time to wait after switch-off"
    assert [one.first for one in asked] == sorted((one.first for one in asked), reverse=True)
    rest = [len(one.codes) for one in asked if not one.first]
    assert rest == sorted(rest, reverse=True) and rest[0] == 15
    assert all(one.where for one in asked)


def finding(control: str, severity: Severity = Severity.CAUTION, reason: str = "it is so") -> Finding:
    said = (reason, "mend it")
    return Finding("O201", severity, "m.toml", 4, control, *said, *said, (f"w-{control}",))


def test_what_is_said_of_several_stands_once_with_all_of_them() -> None:
    same = [finding("jog"), finding("enable"), finding("jog", reason="another")]
    groups = by_control(same)
    assert set(groups) == {"jog, enable", "jog"}
    assert groups["jog, enable"][0].wires == ("w-jog", "w-enable")
    assert as_text(same).count("it is so") == 1


def test_a_stop_is_said_however_many_there_are() -> None:
    many = [finding(f"c{n}", reason=f"reason {n}") for n in range(40)]
    stops = [replace(one, severity=Severity.STOP, reason=f"stop {one.reason}") for one in many]
    short = as_text([*many, *stops], whole=False)
    assert all(f"stop reason {n}\n" in short for n in range(40))
    assert "and 40 more (caution O201): " in short and short.count("caution") == 1
    assert len(as_text(many, whole=False).splitlines()) <= 24
