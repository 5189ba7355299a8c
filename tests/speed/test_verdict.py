"""A planted fault is found, by its name and figures; what is normal is left in peace."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doorsheet.speed.advice import corrections
from doorsheet.speed.regression import Kind, Measured
from doorsheet.speed.verdict import judge
from tests.speed.made import facts_of, with_pairs

FULL = 24000.0
GIVEN = 'full-scale = "24000 rpm"\ntolerance-source = "{}"\ntolerance-input = "{}"\ntolerance-slip = "{}"'
SHARES = (0.0, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 1.0)
Points = list[tuple[float, ...]]


def judged(pairs: Points, more: str = 'full-scale = "24000 rpm"', tables: str = "") -> Measured:
    found = judge(facts_of(with_pairs(pairs, more, tables)))
    assert found is not None
    return found


def kind(pairs: Points, more: str = 'full-scale = "24000 rpm"', tables: str = "") -> Kind:
    return judged(pairs, more, tables).verdict.kind


@st.composite
def scatter(draw: st.DrawFn) -> list[float]:
    """Return a reading error for each share, up to 0.1 % of the full speed."""
    return [draw(st.floats(-0.001, 0.001)) for _ in SHARES]


def planted(shape: dict[float, float], noise: list[float]) -> Points:
    """Return pairs from the real share for each commanded share; a shaft that stands is read as standing."""
    reals = (real + error if real else 0.0 for real, error in zip(shape.values(), noise, strict=True))
    return [(share * FULL, real * FULL) for share, real in zip(shape, reals, strict=True)]


def line(gain: float, offset: float = 0.0, low: float = -9.0, high: float = 99.0) -> dict[float, float]:
    return {share: min(max(offset + gain * share, low), high) for share in SHARES}


@given(st.floats(0.98, 1.02), scatter())
def test_about_two_per_cent_is_normal(gain: float, noise: list[float]) -> None:
    """A speed read about 2 % high is a normal tolerance, not a fault (common practice, no source)."""
    assert kind(planted(line(gain), noise)) is Kind.NORMAL


@pytest.mark.parametrize(
    "pairs", [[(12000, 12240), (24000, 24480)], [(1000, 1020), (6000, 6120), (24000, 24500)]]
)
def test_two_per_cent_high_is_normal(pairs: Points) -> None:
    found = judged(pairs)
    assert found.verdict.kind is Kind.NORMAL
    assert "common practice, no source" in found.verdict.reason


SIDES = st.sampled_from([-1.0, 1.0])


@given(st.floats(0.04, 0.15), SIDES, scatter())
def test_gain(off: float, side: float, noise: list[float]) -> None:
    found = judged(planted(line(1 + side * off), noise))
    assert found.verdict.kind is Kind.GAIN
    assert found.fit is not None and found.fit.gain == pytest.approx(1 + side * off, abs=0.003)


@given(st.floats(0.04, 0.12), SIDES, scatter())
def test_offset(off: float, side: float, noise: list[float]) -> None:
    found = judged(planted(line(1, side * off), noise))
    assert found.verdict.kind is Kind.OFFSET
    assert found.fit is not None
    assert found.fit.offset_rpm == pytest.approx(side * off * FULL, abs=0.002 * FULL)


PLATE = '[motor]\npoles = 4\nfrequency = "50 Hz"\nspeed = "1425 rpm"\nmax-frequency = "50 Hz"\n'
"""120 x 50 / 4 = 1500 rpm of the field: 75 rpm of slip at rated load."""


@pytest.mark.parametrize(
    ("gain", "offset", "tables", "kind", "biased"),
    [
        (1.0, -75.0, PLATE, Kind.SLIP, None),
        (1.0, -60.0, PLATE, Kind.SLIP, None),
        (1.0, -75.0, "", Kind.OFFSET, True),  # nobody knows the slip
        (1.0, -75.0, PLATE.replace("1425", "1480"), Kind.OFFSET, True),  # it is 20 rpm
        (1.0, 75.0, PLATE, Kind.OFFSET, True),  # no load makes a motor faster
        (1.0, -150.0, PLATE.replace("1425", "1350"), Kind.SLIP, None),
        (0.9, -60.0, PLATE, Kind.GAIN_AND_OFFSET, False),
        (0.9, 60.0, PLATE, Kind.GAIN_AND_OFFSET, True),
    ],
)
def test_slip_under_load_is_no_offset_to_trim(
    gain: float, offset: float, tables: str, kind: Kind, biased: bool | None
) -> None:
    """With a bias for what load takes, an unloaded motor turns at zero command."""
    pairs: Points = [(command, gain * command + offset) for command in (300.0, 750.0, 1500.0)]
    facts = facts_of(with_pairs(pairs, 'full-scale = "1500 rpm"', tables))
    found = judge(facts)
    assert found is not None and found.verdict.kind is kind
    assert ("set no bias" in found.verdict.do) is (kind is Kind.SLIP)
    drive = [one for one in corrections(facts, found) if one.end == "drive"]
    assert [bool(one.bias_rpm) for one in drive] == ([] if biased is None else [biased])
    assert all(any("bias" in words and "rpm" in words for words in one.settings) is biased for one in drive)


@given(st.floats(0.04, 0.12), SIDES, st.floats(0.04, 0.1), SIDES, scatter())
def test_gain_and_offset(gain: float, up: float, off: float, side: float, noise: list[float]) -> None:
    assert kind(planted(line(1 + up * gain, side * off), noise)) is Kind.GAIN_AND_OFFSET


@given(st.floats(0.45, 0.85), scatter())
def test_saturated(cap: float, noise: list[float]) -> None:
    found = judged(planted(line(1, high=cap), noise))
    assert found.verdict.kind is Kind.SATURATED
    assert found.hinge is not None and found.hinge.cap_rpm == pytest.approx(cap * FULL, rel=0.02)
    assert found.fit is not None and found.fit.gain == pytest.approx(1, abs=0.02)  # the limit is left out
    assert corrections(facts_of(with_pairs(planted(line(1, high=cap), noise))), found) == ()


@given(st.floats(0.14, 0.3), scatter())
def test_held_up(floor: float, noise: list[float]) -> None:
    found = judged(planted(line(1, low=floor), noise))
    assert found.verdict.kind is Kind.HELD_UP
    assert "opening run" in found.verdict.do


@given(st.one_of(st.just(0.0), st.floats(0.05, 1)), scatter())
def test_stuck(level: float, noise: list[float]) -> None:
    found = judged(planted(dict.fromkeys(SHARES, level), noise))
    assert found.verdict.kind is Kind.STUCK
    assert ("no speed" in found.verdict.reason) == (level <= 0.02)


@given(
    st.sampled_from([2.0, 0.5, 10.0, 0.1, 60.0, 1 / 60, 3.0, 1 / 3, 1.5, 2 / 3]),
    st.floats(0.985, 1.015),
    scatter(),
)
def test_factors(factor: float, near: float, noise: list[float]) -> None:
    small = [error * min(1, factor) for error in noise]
    found = judged(planted(line(factor * near), small)).verdict
    assert found.kind is Kind.FACTOR
    assert found.factor == pytest.approx(factor)


@pytest.mark.parametrize("poles", [2, 4, 6, 8])
def test_frequency_read_for_speed(poles: int) -> None:
    pairs = planted(line(poles / 120), [0.0] * 9)
    found = judged(pairs, tables=f"[motor]\npoles = {poles}\n").verdict
    assert found.kind is Kind.FACTOR and found.factor == pytest.approx(poles / 120)
    assert "Hz" in found.do


@given(st.sampled_from([0.25, 0.4, 0.75, 1.25, 1.75, 2.5]), SIDES, scatter())
def test_the_other_shaft_was_measured(ratio: float, side: float, noise: list[float]) -> None:
    found = judged(planted(line(ratio**side), noise), tables=f"[motor]\nratio = {ratio}\n").verdict
    assert found.kind is Kind.FACTOR and found.factor == pytest.approx(ratio**side)
    assert "ratio" in found.do


@pytest.mark.parametrize(
    ("source", "drive", "gain", "offset"),
    [
        ("0-10 V", "2-10 V", 10 / 8, -2 / 8),
        ("0-5 V", "2-10 V", 5 / 8, -2 / 8),
        ("4-20 mA", "0-20 mA", 16 / 20, 4 / 20),
        ("0-20 mA", "4-20 mA", 20 / 16, -4 / 16),
    ],
)
@given(noise=scatter())
@settings(max_examples=30)
def test_wrong_range_with_a_live_zero(
    source: str, drive: str, gain: float, offset: float, noise: list[float]
) -> None:
    # what a drive of the one range makes of a source of the other: it stops at nothing and at its top
    found = judged(planted(line(gain, offset, low=0, high=1), noise)).verdict
    assert found.kind is Kind.WRONG_RANGE
    assert f"a source of {source} into a drive set to {drive}" in found.reason


@given(scatter())
def test_ten_volts_into_five(noise: list[float]) -> None:
    found = judged(planted(line(2, high=1), noise)).verdict
    assert found.kind is Kind.WRONG_RANGE and found.factor == 2


def test_half_speed_that_the_mapping_itself_explains() -> None:
    tables = (
        '[speed]\nsignal = "A"\ncommon = "C"\nrange = "0-10 V"\n'
        'source = { signal = "B", common = "D", range = "0-5 V" }\n'
        '[motor]\npoles = 2\nmax-frequency = "400 Hz"\n'
    )
    assert kind(planted(line(0.5), [0.0] * 9), tables=tables) is Kind.WRONG_RANGE
    assert kind(planted(line(0.5), [0.0] * 9)) is Kind.FACTOR  # nothing says why


@given(st.floats(0.9, 1.1), scatter())
def test_reversed(gain: float, noise: list[float]) -> None:
    found = judged(planted(line(-gain), noise)).verdict
    assert found.kind is Kind.REVERSED and "against its command" in found.reason


@given(st.floats(0.9, 1.1), scatter())
def test_falling(gain: float, noise: list[float]) -> None:
    found = judged(planted(line(-gain, gain), noise)).verdict
    assert found.kind is Kind.REVERSED and "potentiometer" in found.do


@given(st.floats(0.06, 0.14), SIDES, scatter())
def test_curved(bow: float, side: float, noise: list[float]) -> None:
    shape = {share: share + side * bow * 4 * share * (1 - share) for share in SHARES}
    assert kind(planted(shape, noise)) is Kind.NON_LINEAR


def test_an_audio_taper_is_a_curve() -> None:
    assert kind([(share * FULL, share**3 * FULL) for share in SHARES]) is Kind.NON_LINEAR


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ([(12000, 6000)], "1/2"),
        ([(12000, 6000), (12000, 6010)], "one command only"),
        ([(12000, 11000)], "91.7 %"),
    ],
)
def test_too_few(pairs: Points, said: str) -> None:
    found = judged(pairs).verdict
    assert found.kind is Kind.TOO_FEW
    assert said in found.reason + found.do
    assert "three speeds" in found.do


def test_nothing_measured_has_no_verdict() -> None:
    assert judge(facts_of('[speeds]\nfull-scale = "24000 rpm"\n')) is None


def test_a_factor_at_low_speeds_is_not_lost_in_a_wide_tolerance() -> None:
    more = GIVEN.format("1 %", "1 %", "2 %")
    tables = '[motor]\npoles = 2\nmax-frequency = "400 Hz"\n'
    assert kind([(300, 150), (600, 300), (1200, 600)], more, tables) is Kind.FACTOR


# ---- The bound of what is normal ----


def test_given_tolerances_move_the_bound() -> None:
    off_three = [(share * FULL, share * 1.03 * FULL) for share in SHARES]
    assert kind(off_three) is Kind.GAIN
    assert kind(off_three, GIVEN.format("1 %", "1 %", "2 %")) is Kind.NORMAL
    off_two = [(share * FULL, share * 1.02 * FULL) for share in SHARES]
    assert kind(off_two) is Kind.NORMAL
    assert kind(off_two, GIVEN.format("0.2 %", "0.2 %", "0.2 %")) is Kind.GAIN


def test_one_small_tolerance_alone_is_not_the_whole_of_it() -> None:
    off_two = [(share * FULL, share * 1.02 * FULL) for share in SHARES]
    assert kind(off_two, 'full-scale = "24000 rpm"\ntolerance-source = "0.2 %"') is Kind.NORMAL


@given(st.floats(0.5, 1.5), st.floats(-0.1, 0.1), scatter(), st.floats(0.1, 5), st.floats(0.1, 5))
def test_wider_tolerances_never_turn_normal_into_a_fault(
    gain: float, offset: float, noise: list[float], one: float, more: float
) -> None:
    pairs = planted(line(gain, offset), noise)
    narrow = kind(pairs, GIVEN.format(f"{one:.2f} %", f"{one:.2f} %", f"{one:.2f} %"))
    wide = kind(pairs, GIVEN.format(f"{one + more:.2f} %", f"{one:.2f} %", f"{one:.2f} %"))
    if narrow is Kind.NORMAL:
        assert wide is Kind.NORMAL


# ---- Relations ----

shapes = st.lists(st.tuples(st.sampled_from(SHARES), st.floats(-1.5, 2.5)), min_size=1, max_size=12)


@given(shapes)
def test_any_pairs_have_a_verdict_whatever_their_order(shape: list[tuple[float, float]]) -> None:
    pairs: Points = [(round(share * FULL, 1), round(real * FULL, 1)) for share, real in shape]
    first = judged(pairs)
    assert first.verdict.reason and first.verdict.do
    assert judged(pairs[::-1]).verdict.kind is first.verdict.kind


@given(shapes, st.sampled_from([0.125, 0.25, 0.5, 2.0]))
def test_a_slower_machine_has_the_same_verdict(shape: list[tuple[float, float]], factor: float) -> None:
    pairs: Points = [(round(share * FULL, 1), round(real * FULL, 1)) for share, real in shape]
    scaled: Points = [(command * factor, real * factor) for command, real in pairs]
    assert kind(scaled, f'full-scale = "{24000 * factor:.3f} rpm"'.replace(".000", "")) is kind(pairs)


def test_reverse_read_without_a_sign() -> None:
    found = judged([(-12000, 11900), (-6000, 5950), (6000, 5960), (12000, 11890)])
    assert found.verdict.kind is Kind.NORMAL
    assert [pair.real_rpm for pair in found.pairs] == [-11900, -5950, 5960, 11890]


# ---- Corrections, tried on a machine that does as its line says ----


@given(st.floats(0.82, 1.18), st.floats(-0.045, 0.045), scatter())
def test_corrections_leave_the_error_that_they_say(gain: float, offset: float, noise: list[float]) -> None:
    pairs = planted(line(gain, offset), noise)
    text = with_pairs(pairs)
    found = judged(pairs)
    both = corrections(facts_of(text), found)
    if found.verdict.kind in (Kind.NORMAL, Kind.GAIN, Kind.OFFSET, Kind.GAIN_AND_OFFSET):
        assert len(both) == 2
    for correction in both:
        if correction.end == "drive":
            assert correction.gain is not None and correction.bias_rpm is not None
            after = [real * correction.gain + correction.bias_rpm - command for command, real in pairs]
        else:
            # each command now gives the signal that a smaller or larger one gave before
            assert correction.full_scale_rpm is not None and found.fit is not None
            scale = FULL / correction.full_scale_rpm
            strays = [real - found.fit.at(command) for command, real in pairs]
            after = [
                found.fit.at(command * scale) + stray - command
                for (command, _), stray in zip(pairs, strays, strict=True)
            ]
        assert max(map(abs, after)) == pytest.approx(correction.remaining_rpm, abs=1e-6)


def test_a_fault_that_must_be_removed_is_not_corrected_away() -> None:
    for shape in (line(2), line(0.5), line(-1), line(1.25, -0.25, low=0), dict.fromkeys(SHARES, 0.5)):
        pairs = planted(shape, [0.0] * 9)
        assert corrections(facts_of(with_pairs(pairs)), judged(pairs)) == ()


def test_correction_in_the_units_of_the_drive() -> None:
    """7 % too slow, 1200 rpm too high, 2 poles: gain 100/93, bias -1200/0.93 rpm, in Hz x 2/120.

    1200 rpm are just 5 % of the largest command, the most that is trimmed.
    """
    pairs = [(share * FULL, share * 0.93 * FULL + 1200) for share in SHARES]
    drive, controller = corrections(facts_of(with_pairs(pairs, tables="[motor]\npoles = 2\n")), judged(pairs))
    assert drive.gain == pytest.approx(1 / 0.93)
    assert drive.bias_rpm == pytest.approx(-1200 / 0.93)
    assert "-21.51 Hz" in drive.settings[1]  # 1290.3 rpm x 2 / 120
    assert "-5.38 %" in drive.settings[1]
    assert drive.remaining_rpm == pytest.approx(0, abs=1e-6)
    assert controller.full_scale_rpm == pytest.approx(22320)
    assert controller.remaining_rpm == pytest.approx(1200)


def test_what_stays_of_a_gain_at_the_top_is_said() -> None:
    """What runs at the highest frequency gets no faster; a controller without an output scales nothing."""
    pairs = [(share * FULL, share * 0.96 * FULL) for share in SHARES]
    source = 'source = { signal = "AO1", common = "0V" }'
    speed = '[speed]\nsignal = "AI1"\ncommon = "AGND"\n'
    for tables, known in ((speed, False), (speed + source, True)):
        motor = '\n[motor]\npoles = 2\nmax-frequency = "400 Hz"\n'
        text = with_pairs(pairs, tables=tables + motor)
        drive, controller = corrections(facts_of(text), judged(pairs))
        assert any("400 Hz on its display, gets no faster" in caveat for caveat in drive.caveats)
        assert any("no output for it" in caveat for caveat in controller.caveats) is not known


# ---- What is never trimmed away ----


def test_a_tool_that_turns_at_zero_command_is_never_normal() -> None:
    pairs: Points = [(0, 120), (12000, 12050), (24000, 24080)]
    found = judged(pairs)
    assert found.verdict.kind is Kind.CREEPS
    assert "120 rpm while zero is commanded" in found.verdict.reason and "opening run" in found.verdict.do
    assert corrections(facts_of(with_pairs(pairs)), found) == ()
    assert kind([(0, 0), *pairs[1:]]) is Kind.NORMAL
    assert kind([(0, 120)]) is Kind.CREEPS


def test_creeping_is_said_beside_any_other_picture() -> None:
    reason = judged([(0, 150), (6000, 5600), (12000, 11100), (24000, 22200)]).verdict.reason
    assert "it turns at 150 rpm at zero command" in reason


@given(st.sampled_from(SHARES[1:-1]), st.sampled_from([-0.3, -0.1, -0.05, 0.05, 0.1, 0.4]), scatter())
def test_one_pair_off_the_line_is_pointed_at_and_not_corrected(
    at: float, by: float, noise: list[float]
) -> None:
    shape = {share: 0.95 * share + (by if share == at else 0) for share in SHARES}
    pairs = planted(shape, noise)
    found = judged(pairs)
    assert found.verdict.kind is Kind.OUTLIER
    assert f"measure {at * FULL:.0f} rpm again" in found.verdict.do
    assert corrections(facts_of(with_pairs(pairs)), found) == ()


def test_a_curve_is_not_corrected() -> None:
    pairs = [(share * FULL, share**3 * FULL) for share in SHARES]
    assert corrections(facts_of(with_pairs(pairs)), judged(pairs)) == ()
    assert "correct nothing" in judged(pairs).verdict.do


@pytest.mark.parametrize(
    ("gain", "offset", "trimmed"),
    [
        (0.81, 0, True),
        (0.79, 0, False),
        (1.19, 0, True),
        (1.22, 0, False),
        (1, 0.049, True),
        (1, 0.052, False),
    ],
)
def test_no_correction_beyond_what_a_trim_is_for(gain: float, offset: float, trimmed: bool) -> None:
    pairs = planted(line(gain, offset), [0.0] * 9)
    found = judged(pairs)
    assert bool(corrections(facts_of(with_pairs(pairs)), found)) is trimmed
    assert ("is no trim (common practice, no source)" in found.verdict.do) is not trimmed


@pytest.mark.parametrize(
    ("gain", "offset", "said"),
    [
        (0.957, 0, "4.3 % slow everywhere: gain 0.957"),
        (1.06, 0, "6 % fast everywhere"),
        (1, 0.03, "720 rpm too fast at every speed"),
        (0.93, -0.03, "7 % slow, and beside that 720 rpm too slow at every speed"),
    ],
)
def test_plain_words_come_before_statistics(gain: float, offset: float, said: str) -> None:
    assert judged(planted(line(gain, offset), [0.0] * 9)).verdict.reason.startswith(said)


@pytest.mark.parametrize("side", [2, -2])
def test_a_ratio_entered_the_wrong_way_round(side: int) -> None:
    """A controller that multiplies by the ratio where it divides is out by its square."""
    found = judged(planted(line(1.4**side), [0.0] * 9), tables="[motor]\nratio = 1.4\n").verdict
    assert found.kind is Kind.FACTOR
    assert "squared" in found.reason and "wrong way round" in found.do
