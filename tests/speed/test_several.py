"""Speeds of several drives: a report for each, the same as it would have alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from doorsheet.mapping import parse_mapping
from doorsheet.speed import SpeedError, SpeedReport, as_text, speed_report, speed_reports
from tests.plants import TWO_PUMPS


def reports(text: str) -> tuple[SpeedReport, ...]:
    return speed_reports(parse_mapping(text, "m.toml"))


def test_each_drive_has_its_report_in_the_order_of_the_file() -> None:
    assert [report.drive for report in reports(TWO_PUMPS)] == ["pump-1", "pump-2"]
    for report, minutes in zip(reports(TWO_PUMPS), ("10 min", "5 min"), strict=True):
        text = as_text(report)
        assert text.startswith(f"m.toml: Transfer pumps, {report.drive}\n")
        assert text.partition("\nDischarge\n")[2].startswith(f"  {minutes}, as given")


def test_a_report_is_the_one_of_the_drive_alone() -> None:
    text = TWO_PUMPS.partition("[drives.pump-2]")[0]
    alone = text.replace("[drives.pump-1.", "[").replace("[drives.pump-1]", "[drive]")
    by_itself = speed_report(parse_mapping(alone, "m.toml"))
    first = reports(TWO_PUMPS)[0]
    assert replace(first, drive="", facts=replace(first.facts, machine="Transfer pumps")) == by_itself


def test_a_drive_that_says_nothing_of_speed_has_none() -> None:
    head, speed, _ = TWO_PUMPS.partition("[drives.pump-2.speed]")
    (report,) = reports(head)
    assert speed and report.drive == "pump-1"
    with pytest.raises(SpeedError, match="nothing to work out"):
        reports('machine = "M"\n[drives.a]\n[drives.a.jog]\ninput = "D"\n')


def test_one_drive_has_one_report_without_a_name() -> None:
    text = 'machine = "M"\n[speed]\nsignal = "A"\n'
    assert reports(text) == (speed_report(parse_mapping(text, "m.toml")),)
