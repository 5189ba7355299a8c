"""Expected signals and speeds: published figures, hand sums, and relations between them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.electrics import solve
from doorsheet.electrics.events import commanded
from doorsheet.mapping.reading import parse_mapping
from doorsheet.mapping.signals import RANGES
from doorsheet.speed.advice import remarks
from doorsheet.speed.expect import Row, around, band, blanks, expected_row, expected_rows, top_rpm
from tests.speed.made import facts_of

MOTOR = '[motor]\npoles = 2\nmax-frequency = "400 Hz"\n'
FULL = '[speeds]\nfull-scale = "24000 rpm"\n'


def speed_table(source: str = "0-10 V", drive: str = "0-10 V", more: str = "", source_more: str = "") -> str:
    return (
        f'[speed]\nsignal = "AI1"\ncommon = "AGND"\nrange = "{drive}"\n{more}\n'
        f'source = {{ signal = "AO1", common = "0V", range = "{source}"{source_more} }}\n'
    )


def row(text: str, share: float) -> Row:
    return expected_row(facts_of(text), share)


@pytest.mark.parametrize(
    ("share", "volts", "rpm"), [(0.0, 0, 0), (0.5, 5, 12000), (0.75, 7.5, 18000), (1, 10, 24000)]
)
def test_ten_volts_are_the_highest_frequency(share: float, volts: float, rpm: float) -> None:
    """Common practice (from memory): 10 V give the highest frequency; 24 000 rpm at 10 V."""
    found = row(speed_table() + MOTOR + FULL, share)
    assert found.drive_signal == volts
    assert found.frequency_hz == share * 400
    assert found.tool_rpm == found.synchronous_rpm == rpm == found.commanded_rpm


@pytest.mark.parametrize(
    ("volts", "rpm"), [("50 mV", 120), ("0.1 V", 240)]
)  # a wiki: 50 mV are 120 of 24 000
def test_offset_creeps(volts: str, rpm: float) -> None:
    found = row(speed_table() + MOTOR + FULL + f'offset = "{volts}"', 0)
    assert found.tool_rpm == pytest.approx(rpm)


@pytest.mark.parametrize(
    ("source", "drive", "share", "seen"),
    [
        ("0-5 V", "0-10 V", 1, 0.5),  # exactly half speed (a knowledge-base article)
        ("0-10 V", "0-5 V", 0.5, 1.0),
        ("0-10 V", "0-5 V", 0.75, 1.0),  # clipped
        ("0-10 V", "2-10 V", 0.6, 0.5),  # f = f_max (V - 2) / 8 (a drive's manual)
        ("0-10 V", "2-10 V", 0.1, 0.0),
        ("4-20 mA", "0-20 mA", 0, 0.2),
        ("0-20 mA", "4-20 mA", 0.6, 0.5),
        ("4-20 mA", "4-20 mA", 0.5, 0.5),
    ],
)
def test_ranges_that_match_and_that_do_not(source: str, drive: str, share: float, seen: float) -> None:
    found = row(speed_table(source, drive) + MOTOR + FULL, share)
    assert found.frequency_hz == pytest.approx(seen * 400)


def test_a_command_above_full_scale_gives_the_full_signal() -> None:
    found = row(speed_table("0-5 V", "0-10 V") + MOTOR + FULL, 1.5)
    assert (found.commanded_rpm, found.source_signal, found.tool_rpm) == (36000, 5, 12000)
    assert found.clipped == "high"


def test_clipping_is_said() -> None:
    text = speed_table("0-10 V", "0-5 V") + MOTOR + FULL
    assert [row(text, share).clipped for share in (0.25, 0.5, 0.75)] == ["", "", "high"]
    assert row(speed_table("0-10 V", "2-10 V") + MOTOR + FULL, 0.1).clipped == "low"


@pytest.mark.parametrize(
    ("burden", "drive", "inside", "milliamperes", "volts"),
    [
        # 4-20 mA in 250 ohm: 1-5 V (instrument notes, V); in 500 ohm: 2-10 V (C)
        ("250 ohm", "0-10 V", "1000 Mohm", 4, 1.0),
        ("250 ohm", "0-10 V", "1000 Mohm", 20, 5.0),
        ("500 ohm", "2-10 V", "1000 Mohm", 20, 10.0),
        # with 10 kohm in parallel (C): 476.19 ohm, 9.5238 V
        ("500 ohm", "2-10 V", "10 kohm", 20, 9.5238),
        ("250 ohm", "0-10 V", "10 kohm", 20, 4.8780),
    ],
)
def test_a_burden_turns_current_into_voltage(
    burden: str, drive: str, inside: str, milliamperes: float, volts: float
) -> None:
    text = speed_table("4-20 mA", drive, f'burden = "{burden}"') + (
        f'[drive.analog]\nresistance = "{inside}"\n' if inside else ""
    )
    found = row(text, (milliamperes - 4) / 16)
    assert found.source_signal == pytest.approx(milliamperes)
    assert found.drive_signal == pytest.approx(volts, abs=2e-4)


def test_series_resistor_takes_a_third() -> None:
    """10 kohm in series with an input of 20 kohm leave 0.67 (computed)."""
    text = speed_table(more='series = "10 kohm"') + '[drive.analog]\nresistance = "20 kohm"\n' + MOTOR + FULL
    found = row(text, 1)
    assert found.tool_rpm == pytest.approx(16000, abs=0.2)


def test_loaded_output() -> None:
    """An output of 50 ohm into two inputs of 10 kohm, 5 kohm: 9.90099 V (divider law)."""
    text = speed_table(source_more=', resistance = "50 ohm"') + '[drive.analog]\nresistance = "5 kohm"\n'
    assert row(text, 1).drive_signal == pytest.approx(9.90099, abs=1e-5)


def test_what_a_divider_needs_is_asked_for() -> None:
    facts = facts_of(speed_table(more='series = "10 kohm"') + MOTOR + FULL)
    assert expected_row(facts, 1).drive_signal is None
    assert any("[drive.analog] resistance" in blank.ask for blank in blanks(facts))
    facts = facts_of(speed_table("4-20 mA", "0-10 V") + MOTOR + FULL)
    assert expected_row(facts, 1).drive_signal is None
    assert any("burden" in blank.ask for blank in blanks(facts))


def test_a_weak_top_is_scaled() -> None:
    text = speed_table(source_more=', top = "9.6 V"') + MOTOR + FULL
    assert row(text, 1).tool_rpm == pytest.approx(24000 * 0.96)
    assert row(text, 0.5).tool_rpm == pytest.approx(12000 * 0.96)


@pytest.mark.parametrize(
    ("poles", "hertz", "rated", "loaded"),
    # textbook examples 34.5 and 34.3 (V): slip 0.03 and 0.04
    [(8, 50, 727.5, 727.5), (4, 50, 1440, 1440)],
)
def test_rated_load_at_rated_frequency_is_the_plate(
    poles: int, hertz: float, rated: float, loaded: float
) -> None:
    text = speed_table() + (
        f'[motor]\npoles = {poles}\nfrequency = "{hertz} Hz"\nspeed = "{rated} rpm"\n'
        f'max-frequency = "{hertz} Hz"\n'
    )
    assert row(text, 1).loaded_rpm == pytest.approx(loaded)


def test_lag_in_rpm_is_the_same_at_lower_speeds_and_never_turns_the_shaft_back() -> None:
    text = (
        speed_table()
        + '[motor]\npoles = 4\nfrequency = "50 Hz"\nspeed = "1450 rpm"\nmax-frequency = "100 Hz"\n'
    )
    half = row(text, 0.25)  # 25 Hz
    assert (half.synchronous_rpm, half.loaded_rpm) == (750, pytest.approx(700))
    assert row(text, 0.01).loaded_rpm == 0  # 30 rpm of field, 50 of lag
    assert row(text, 1).loaded_rpm == pytest.approx(3000 * (1 - 50 / 1500))  # above the rated frequency


def test_pulleys_and_ratio_say_the_same() -> None:
    by_ratio = row(speed_table() + MOTOR + "ratio = 1.5\n" + FULL, 0.5)
    by_pulleys = row(speed_table() + MOTOR + 'pulleys = ["60 mm", "40 mm"]\n' + FULL, 0.5)
    assert by_ratio.tool_rpm == by_pulleys.tool_rpm == 18000
    assert by_ratio.synchronous_rpm == 12000


def test_lowest_frequency_is_a_floor() -> None:
    text = speed_table() + MOTOR + 'min-frequency = "40 Hz"\n' + FULL
    assert [row(text, share).frequency_hz for share in (0, 0.05, 0.1, 0.5)] == [40, 40, 40, 200]


def test_top_speed_alone_gives_speeds_without_a_motor() -> None:
    text = speed_table(more='top-speed = "3000 rpm"') + '[speeds]\nfull-scale = "3000 rpm"\n'
    assert row(text, 0.5).tool_rpm == 1500
    assert row(text, 0.5).frequency_hz is None
    with_ratio = speed_table(more='top-speed = "3000 rpm"') + "[motor]\nratio = 2.0\n"
    assert row(with_ratio, 0.5).tool_rpm is None  # which shaft's top speed isn't said


def test_bands_rest_on_what_is_given() -> None:
    text = speed_table() + MOTOR + FULL
    assert band(facts_of(text)) is None
    one = band(facts_of(text + 'tolerance-source = "1 %"\n'))
    assert one is not None and (one.worst_rpm, one.rss_rpm) == (240, 240)
    all_three = facts_of(text + 'tolerance-source = "1 %"\ntolerance-input = "1 %"\ntolerance-slip = "2 %"\n')
    found = band(all_three)
    assert found is not None
    assert found.worst_percent == 4.0 and found.worst_rpm == pytest.approx(960)
    assert found.rss_percent == pytest.approx(2.449, abs=5e-4)
    assert around(expected_row(all_three, 0.5), found.worst_rpm) == (
        pytest.approx(11040),
        pytest.approx(12960),
    )


def test_nothing_known_is_nothing_told() -> None:
    facts = facts_of('[speed]\nsignal = "AI1"\n')
    empty = expected_row(facts, 0.5)
    assert empty == Row(0.5, None, None, None, None, None, None, None, None)
    asked = [blank.what for blank in blanks(facts)]
    assert "number of poles" in asked and "slip" in asked and "drive's signal range" in asked
    assert all(
        "motor's plate" in blank.ask for blank in blanks(facts) if blank.what in ("number of poles", "slip")
    )


def test_poles_are_hinted_at_and_never_supplied() -> None:
    facts = facts_of(
        '[motor]\nfrequency = "50 Hz"\nspeed = "1450 rpm"\nmax-frequency = "50 Hz"\n' + speed_table()
    )
    assert facts.poles is None and expected_row(facts, 1).tool_rpm is None
    (ask,) = (blank.ask for blank in blanks(facts) if blank.what == "number of poles")
    assert "4 would fit" in ask and "3.3 %" in ask


def test_each_given_figure_takes_its_blank_away() -> None:
    text = (
        speed_table()
        + MOTOR
        + 'frequency = "400 Hz"\nspeed = "23 400 rpm"\n'
        + FULL
        + ('ramp-up = "5 s"\ntolerance-source = "1 %"\ntolerance-input = "1 %"\ntolerance-slip = "2 %"\n')
    )
    assert blanks(facts_of(text)) == ()


def test_measured_commands_have_their_rows() -> None:
    rows = expected_rows(
        facts_of(speed_table() + MOTOR + FULL + "measured = [[8000, 7900], [-12000, -11900]]\n")
    )
    assert [r.commanded_rpm for r in rows] == [0, 2400, 6000, pytest.approx(8000), 12000, 18000, 24000]


SOURCES = sorted(RANGES.keys() - {"2-10 V"})  # that range only drives have
INSIDE = '[drive.analog]\nresistance = "250 kohm"\n'


@settings(deadline=None)  # each solves an installation, and the first of them imports the solver
@given(
    st.sampled_from(SOURCES), st.sampled_from(sorted(RANGES)),
    st.floats(0, 1), st.floats(0, 1), st.sampled_from([2, 4, 6]), st.floats(10, 1000),
)  # fmt: skip
def test_more_command_is_never_less_speed(
    source: str, drive: str, one: float, other: float, poles: int, hertz: float
) -> None:
    text = (
        speed_table(source, drive, 'burden = "500 ohm"' if RANGES[drive].unit == "V" else "")
        + (INSIDE if RANGES[drive].unit == "V" else "")
        + f'[motor]\npoles = {poles}\nmax-frequency = "{hertz:.3f} Hz"\n'
    )
    if RANGES[source].unit == "V":
        text = text.replace('burden = "500 ohm"', "")
        if RANGES[drive].unit == "A":
            return  # a few microamperes: a mistake, said elsewhere
    facts = facts_of(text + FULL)
    low, high = expected_row(facts, min(one, other)).tool_rpm, expected_row(facts, max(one, other)).tool_rpm
    assert low is not None and high is not None
    assert 0 <= low <= high + 1e-9
    assert high <= (top_rpm(facts) or 0) + 1e-9 <= 120 * hertz / poles + 1


@settings(deadline=None)
@given(st.sampled_from(SOURCES), st.floats(0, 1))
def test_equal_ranges_give_what_is_commanded(name: str, share: float) -> None:
    found = row(speed_table(name, name) + MOTOR + FULL, share)
    assert found.tool_rpm == pytest.approx(share * 24000, abs=0.3)  # a tenth of a millivolt


# ---- One solution behind it ----


def test_the_signal_is_the_one_that_the_sheet_prints() -> None:
    """What stands at the drive for half a command is the solution's, and so the sheet's and the booklet's."""
    text = speed_table(more='series = "1 kohm"', source_more=', resistance = "100 ohm", top = "9.8 V"')
    text += '[drive.analog]\nresistance = "10 kohm"\n'
    read = parse_mapping('machine = "Spindle"\n' + text, "spindle.toml")
    solved = solve(read, "final")
    for share in (0.0, 0.3, 1.0):
        level = solved.volts(solved.at_drive("AI1"), solved.at_drive("AGND"), commanded(share))
        assert row(text, share).drive_signal == pytest.approx(level.high, abs=2e-4)
    assert row(text, 1.0).drive_signal == pytest.approx(9.8 * 10 / 11.1, abs=1e-4)  # divider law


def test_other_inputs_on_the_output_count() -> None:
    """Two inputs of 10 kohm on 50 ohm: 10 x 5000/5050 = 9.90099 V (C)."""
    text = speed_table(source_more=', resistance = "50 ohm", other-inputs = ["10 kohm"]')
    found = row(text + '[drive.analog]\nresistance = "10 kohm"\n', 1)
    assert found.drive_signal == pytest.approx(9.90099, abs=1e-4)


def test_a_tolerance_gives_an_interval() -> None:
    text = speed_table("0-20 mA", "0-10 V", 'burden = "500 ohm +-10 %"')
    found = row(text + '[drive.analog]\nresistance = "1000 Mohm"\n', 1)
    assert found.drive_ends == (pytest.approx(9, abs=1e-4), pytest.approx(11, abs=1e-4))


BOTH = speed_table("+-10 V", "+-10 V") + MOTOR + FULL


@pytest.mark.parametrize(
    ("share", "volts", "rpm"), [(-1, -10, -24000), (-0.25, -2.5, -6000), (0.5, 5, 12000)]
)
def test_a_negative_command_turns_the_other_way(share: float, volts: float, rpm: float) -> None:
    found = row(BOTH, share)
    assert (found.drive_signal, found.tool_rpm, found.commanded_rpm) == (volts, rpm, rpm)
    assert found.frequency_hz == share * 400


def test_reverse_stands_in_the_table_and_lags_its_own_way() -> None:
    facts = facts_of(BOTH.replace(MOTOR, MOTOR + 'frequency = "400 Hz"\nspeed = "23400 rpm"\n'))
    rows = expected_rows(facts)
    assert [found.share for found in rows][:2] == [-1.0, -0.5]
    assert rows[0].loaded_rpm == pytest.approx(-23400)
    assert around(rows[0], 100) == (pytest.approx(-24100), pytest.approx(-23300))


def test_a_source_of_both_signs_on_a_drive_of_one_stands_still_in_reverse() -> None:
    facts = facts_of(speed_table("+-10 V", "0-10 V") + MOTOR + FULL)
    assert expected_row(facts, -0.5).tool_rpm == 0
    assert any("no reverse" in remark.text for remark in remarks(facts))
