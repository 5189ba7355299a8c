"""The log of what was done: which times it takes, whose drive, and that it changes nothing drawn or found."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from doorsheet.mapping import MappingError, parse_mapping
from doorsheet.sheet import draw_text

LATHE = Path(__file__).parents[2] / "gallery" / "lathe.toml"
TWO = 'machine = "M"\n[drives.a.jog]\ninput = "A"\n[drives.b.jog]\ninput = "B"\n'


def logged(line: str, head: str = 'machine = "M"\n[jog]\ninput = "A"\n') -> str:
    return f"{head}[[done]]\nwhat = 'prove-dead'\n{line}\n"


@pytest.mark.parametrize(
    "written",
    ["2026-11-25T14:05:00", "2026-11-25 14:05:00.75", "2026-11-25T14:05:00+02:00", "'2026-11-25 14:05'"],
)
def test_the_time_is_that_of_the_clock_at_the_machine(written: str) -> None:
    (done,) = parse_mapping(logged(f"when = {written}"), "m.toml").mapping.done
    assert done.when == datetime(2026, 11, 25, 14, 5)


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("when = 1999-12-31T23:59:59", "year 1999"),
        ("when = 2100-01-01T00:00:00", "year 2100"),
        ("when = 2026-11-25", "a day and a time"),
        ("when = 'yesterday'", "a day and a time"),
        ("when = 14:05:00", "a day and a time"),
        ("drive = 'a'", "no drive"),
    ],
)
def test_what_is_no_time_or_no_drive_is_refused(line: str, reason: str) -> None:
    with pytest.raises(MappingError) as refused:
        parse_mapping(logged(line), "m.toml")
    (problem,) = refused.value.problems
    assert reason in problem.reason
    assert problem.line == 6


def test_of_several_drives_it_names_one_that_there_is() -> None:
    assert parse_mapping(logged("drive = 'b'", TWO), "m.toml").mapping.done[0].drive == "b"
    with pytest.raises(MappingError, match='no drive "c"'):
        parse_mapping(logged("drive = 'c'", TWO), "m.toml")


def test_it_changes_no_drawing_and_no_finding() -> None:
    text = LATHE.read_text(encoding="utf-8")
    plain, with_log = (draw_text(each, "final") for each in (text, logged("", text)))
    assert plain.findings == with_log.findings
    one, other = plain.circuit, with_log.circuit  # the sheet itself has a sign of its text
    assert (one.parts, one.wires, one.strip, one.readings) == (
        other.parts,
        other.wires,
        other.strip,
        other.readings,
    )
