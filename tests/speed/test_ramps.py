from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.speed.advice import waits
from doorsheet.speed.expect import expected_row
from tests.speed.made import facts_of, report_of

TABLE = (
    '[speed]\nsignal = "A"\ncommon = "C"\nrange = "0-10 V"\n'
    'source = { signal = "B", common = "D", range = "0-10 V" }\n'
    '[motor]\npoles = 2\nmax-frequency = "400 Hz"\n[speeds]\nfull-scale = "24000 rpm"\n'
)


def test_six_seconds_to_half_the_frequency_are_three() -> None:
    """Computed: 6 s to 400 Hz, a command of 200 Hz: 3.0 s."""
    row = expected_row(facts_of(TABLE + 'ramp-up = "6 s"\n'), 0.5)
    assert (row.frequency_hz, row.reach_s) == (200, 3.0)


@pytest.mark.parametrize(
    ("wait", "short", "words"), [("4 s", 2.0, "66.7 %"), ("6 s", 0.0, ""), ("7 s", 0.0, "")]
)
def test_wait_against_ramp_up(wait: str, short: float, words: str) -> None:
    start, _ = waits(facts_of(TABLE + f'ramp-up = "6 s"\nwait-start = "{wait}"\n'))
    assert start.short_s == short
    assert words in " ".join(start.said)
    assert bool(start.said) is (short > 0)


def test_margin_counts_only_when_it_is_given() -> None:
    text = TABLE + 'ramp-up = "6 s"\nwait-start = "6 s"\n'
    assert waits(facts_of(text))[0].short_s == 0
    start, _ = waits(facts_of(text + 'wait-margin = "0.5 s"\n'))
    assert start.short_s == 0.5
    assert "margin 0.5 s" in start.needed_said


def test_a_controller_that_can_not_wait_long_enough() -> None:
    """A controller that takes 20 s at most, and a drive that needs 30 s (seen in a thread)."""
    start, _ = waits(facts_of(TABLE + 'ramp-up = "30 s"\nwait-start = "20 s"\nwait-cap = "20 s"\n'))
    assert start.short_s == 10
    assert "shorten the ramp to 20 s" in " ".join(start.said)


@pytest.mark.parametrize(
    ("more", "needed"),
    [
        ('stops-by = "ramp"\nramp-down = "5 s"\ncoast = "40 s"', 5),
        ('stops-by = "coast"\nramp-down = "5 s"\ncoast = "40 s"', 40),
        ('ramp-down = "5 s"\ncoast = "40 s"', 40),  # not known which: the longer
        ('stops-by = "unknown"\nramp-down = "5 s"', 5),
        ('stops-by = "coast"\nramp-down = "5 s"', None),
        ('stops-by = "ramp"\ncoast = "40 s"', None),
        ("", None),
    ],
)
def test_what_a_stop_takes(more: str, needed: float | None) -> None:
    _, stop = waits(facts_of(TABLE + f'wait-stop = "10 s"\n{more}\n'))
    assert stop.needed_s == needed
    assert stop.short_s == max(0, (needed or 0) - 10)
    if needed is None:
        assert "not given" in stop.needed_said


def test_coasting_is_never_told_to_ramp_shorter() -> None:
    more = 'stops-by = "coast"\ncoast = "40 s"\nwait-stop = "20 s"\nwait-cap = "20 s"\n'
    _, stop = waits(facts_of(TABLE + more))
    assert "can't be shortened" in " ".join(stop.said)
    assert "shorten the ramp" not in " ".join(stop.said)


def test_ranges_are_taken_at_their_worse_end() -> None:
    start, _ = waits(facts_of(TABLE + 'ramp-up = "5..6 s"\nwait-start = "4..5 s"\n'))
    assert (start.needed_s, start.wait_s, start.short_s) == (6, 4, 2)


@given(st.floats(0.1, 60), st.floats(0.1, 60), st.floats(0, 20))
def test_a_longer_wait_is_never_shorter_of_time(ramp: float, wait: float, longer: float) -> None:
    def short(seconds: float) -> float:
        text = TABLE + f'ramp-up = "{ramp:.3f} s"\nwait-start = "{seconds:.3f} s"\n'
        return waits(facts_of(text))[0].short_s

    assert short(wait + longer) <= short(wait)


def test_discharge_is_only_as_given() -> None:
    from doorsheet.speed.report import as_text

    assert "12 min" in as_text(report_of('[drive]\ndischarge = "12 min"\n' + TABLE))
    without = as_text(report_of(TABLE)).partition("\nDischarge\n")[2]
    assert "not given" in without
    assert not any(char.isdigit() for char in without)


def test_coasting_after_a_category_0_stop_is_asked_for() -> None:
    stop = '[stop]\ncategory = "0"\nhardware = "contactor K1"\n'
    asked = [remark.text for remark in report_of(stop + TABLE).remarks]
    assert any("coast" in text and "measure" in text for text in asked)
    given_coast = report_of(stop + TABLE + 'coast = "40 s"\n')
    assert not any("nobody wrote down" in remark.text for remark in given_coast.remarks)
