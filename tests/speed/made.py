"""Mappings and pairs for the tests of speed."""

from __future__ import annotations

from doorsheet.mapping import parse_mapping
from doorsheet.speed.known import SpeedFacts, speed_facts
from doorsheet.speed.report import SpeedReport, speed_report

__all__ = ["HEAD", "facts_of", "report_of", "with_pairs"]

HEAD = 'machine = "Spindle"\n'


def facts_of(text: str) -> SpeedFacts:
    return speed_facts(parse_mapping(HEAD + text, "spindle.toml"))


def report_of(text: str) -> SpeedReport:
    return speed_report(parse_mapping(HEAD + text, "spindle.toml"))


def with_pairs(
    pairs: list[tuple[float, ...]], more: str = 'full-scale = "24000 rpm"', tables: str = ""
) -> str:
    entries = ", ".join(f"[{', '.join(repr(float(value)) for value in pair)}]" for pair in pairs)
    return f"{tables}\n[speeds]\n{more}\nmeasured = [{entries}]\n"
