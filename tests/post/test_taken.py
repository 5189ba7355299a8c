"""Readings in words stand in the post and among the booklet's facts as they were taken."""

from __future__ import annotations

from doorsheet.booklet.facts import facts
from doorsheet.mapping import parse_mapping
from doorsheet.post import make_post

TEXT = """machine = "Example"
{readings}
[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "Y1+", minus = "Y1-" }}
"""
TAKEN = 'readings = ["red on COM, black on DI1: -12.2 V", "red on DI1, black on COM: 0.2 V, closed"]'


def test_the_post_has_them_unturned() -> None:
    read = parse_mapping(TEXT.format(readings=TAKEN), "m.toml")
    said = make_post(read, "question").text("text")
    assert "* Red on COM, black on DI1, open: −12.2 V" in said
    assert "* Red on DI1, black on COM, closed: 0.2 V" in said


def test_the_booklet_has_them() -> None:
    read = parse_mapping(TEXT.format(readings=TAKEN), "m.toml")
    (group,) = [group for group in facts(read) if group.title == "Readings, as taken"]
    assert [(row.name, row.value, row.where) for row in group.rows] == [
        ("red on COM, black on DI1, open", "−12.2 V", ""),
        ("red on DI1, black on COM, closed", "0.2 V", ""),
    ]
    (run,) = [group for group in facts(read) if group.title == "Run forward"]
    assert {row.name: (row.value, row.where) for row in run.rows}["open, at the input"] == ("12.2 V", "")


def test_without_readings_neither_has_the_table() -> None:
    read = parse_mapping(TEXT.format(readings=""), "m.toml")
    assert "Red on" not in make_post(read, "question").text("text")
    assert "Readings, as taken" not in {group.title for group in facts(read)}
