"""A report as a person reads it, whole: every figure worked out by hand, every line in its place."""
# ruff: noqa: E501 -- lines stand as they are printed

from __future__ import annotations

import pytest

from doorsheet.speed import as_data, as_text
from doorsheet.speed.advice import remarks
from doorsheet.speed.expect import blanks
from doorsheet.speed.regression import Pair
from doorsheet.speed.verdict import Kind, judge
from tests.speed.made import facts_of, report_of, with_pairs

SPEED = """[speed]
signal = "AI1"
common = "AGND"
range = "0-10 V"
source = { signal = "AO1", common = "0V", range = "0-10 V" }
"""
MOTOR = '[motor]\npoles = 4\nfrequency = "50 Hz"\nspeed = "1440 rpm"\nmax-frequency = "100 Hz"\n'
MILL = f"""[drive]
discharge = "5 min"
{SPEED}{MOTOR}ratio = 2
min-frequency = "5 Hz"
[speeds]
full-scale = "6000 rpm"
ramp-up = "10 s"
ramp-down = "8 s"
coast = "20 s"
stops-by = "ramp"
wait-start = "9 s"
wait-stop = "12 s"
wait-margin = "2 s"
wait-cap = "11 s"
tolerance-source = "0.3 %"
tolerance-input = "0.4 %"
measured = [[1500, 1641, 2.5], [3000, 3192, 5.0], [4500, 4803, 7.5], [6000, 6354, 10.0]]
"""
# 100 Hz at 10 V: a field of 120 x 100 / 4 = 3000 rpm, a tool of 6000 rpm.  The plate's lag, 1500 - 1440 = 60 rpm,
# is 120 at the tool; above 50 Hz it grows with the frequency: 240 at 100 Hz.  0.3 + 0.4 % of 6000 rpm are 42 rpm,
# the root of their squares is 0.5 %, 30 rpm.  The pairs lie +6, -18, +18, -6 rpm off 60 + 1.05 x command, which
# is their line, since that pattern is neither level nor slope: s = sqrt(720 / 2) = 19 rpm, Sxx = 11 250 000,
# u(gain) = 19 / 3354 = 0.0057, u(offset) = 19 x sqrt(1/4 + 3750^2 / Sxx) = 23 rpm.
# At the drive 1 / 1.05 and -60 / 1.05 = -57 rpm, of 6000 rpm 0.95 %, at the motor 28.6 rpm or 0.95 Hz; what
# strays, 18 rpm, is then 17.  At the controller the offset stays: 60 + 18 = 78 rpm.
WHOLE = """spindle.toml: Spindle

Expected
   full  command rpm  signal V  at drive V   Hz  field rpm  tool rpm  at rated load  worst case  root sum square  ramp s
    0 %            0         0           0    5        150       300            180    138..342         150..330     0.5
   10 %          600         1           1   10        300       600            480    438..642         450..630       1
   25 %         1500       2.5         2.5   25        750      1500           1380  1338..1542       1350..1530     2.5
   50 %         3000         5           5   50       1500      3000           2880  2838..3042       2850..3030       5
   75 %         4500       7.5         7.5   75       2250      4500           4320  4278..4542       4290..4530     7.5
  100 %         6000        10          10  100       3000      6000           5760  5718..6042       5730..6030      10
  at rated load: behind by the plate's slip, 4.00 %; the lag in rpm is the same at lower speeds
  ratio 2: turns of the tool for one of the motor, the belt not slipping
  bands from load to none, and about it the controller's output 0.3 %, the drive's input 0.4 %, of the top speed: \
worst case 0.7 % ± 42 rpm, root sum square 0.5 % ± 30 rpm

Measured
  command rpm  real rpm  deviation      %  off the line  signal
         1500      1641       +141  +9.40            +6     2.5
         3000      3192       +192  +6.40           -18       5
         4500      4803       +303  +6.73           +18     7.5
         6000      6354       +354  +5.90            -6      10
  real speed of the tool
  line: gain 1.05 ± 0.0057, offset 60 ± 23 rpm, pairs ± 19 rpm about it (least squares, standard uncertainties)

Verdict
  gain and offset: 5 % fast, and beside that 60 rpm too fast at every speed: gain 1.05 ± 0.0057, offset 60 ± 23 rpm
  do: stop by opening run, never by a command of zero; correct at one end only, at the drive or at the controller, \
then measure again

To correct it
  at the drive: gain x 0.9524; bias -57 rpm = -0.95 % of 6000 rpm = -0.95 Hz, added to the present one; \
leaves up to 17 rpm over the measured speeds
    (drives differ in whether bias comes before or after gain: follow the manual, measure again)
  at the controller: full-scale speed 6300 rpm in place of 6000 rpm; leaves up to 78 rpm over the measured speeds

Ramps and waits
  after start: wait 9 s, needed 12 s (ramp up 10 s + margin 2 s)
    too short by 3 s
    it is enough up to 70 % of the drive's highest frequency
    the controller waits 11 s at most, 12 s is needed: shorten the ramp to 9 s, if the drive doesn't trip
  after stop: wait 12 s, needed 10 s (ramp down 8 s + margin 2 s); long enough
  coasts for 20 s from the top speed (measured): open no door, change no tool before

Mind
  ! the drive's highest frequency, 100 Hz, is above the motor's rated 50 Hz: run no faster than the plates of \
motor and tool allow
  ! while run is closed the drive never gives less than 5 Hz: a command of zero doesn't stop it, opening run does
  the signal at the drive is as expected (gain 1, offset 0 V, up to 0 V): what is wrong with the speed lies in the \
drive or behind it

Can't tell
  tolerance of the slip: see the manuals; it counts in no band here

Discharge
  5 min, as given from the drive's own label"""


def test_a_whole_report() -> None:
    assert as_text(report_of(MILL)).splitlines() == WHOLE.splitlines()


BARE = """spindle.toml: Spindle

Can't tell
  full-scale speed: read it off the controller's settings ([speeds] full-scale)
  controller's signal: name its analog output ([speed] source, with its range)
  drive's signal range: read its setting, and its link or slide switch ([speed] range)
  drive's highest frequency: read its setting ([motor] max-frequency)
  number of poles: read it off the motor's plate ([motor] poles)
  slip: read rated frequency and rated speed off the motor's plate ([motor] frequency, speed)
  drive's ramp: read its setting ([speeds] ramp-up)
  tolerance of the controller's output, the drive's input, the slip: see the manuals; it counts in no band here

Discharge
  not given: read it off the drive; no other time is right"""


def test_of_nothing_given_nothing_is_told_but_where_to_read_it() -> None:
    assert as_text(report_of("[motor]\n")).splitlines() == BARE.splitlines()


def test_a_machine_that_is_right_needs_no_setting_and_has_no_less_than_nothing() -> None:
    text = as_text(report_of(with_pairs([(1500, 1500), (3000, 3000)], tables=SPEED + MOTOR)))
    assert "bias 0 rpm = +0.00 % of 24000 rpm = +0.00 Hz" in text
    assert "not needed; if it is wanted all the same:" in text


def test_poles_that_fit_the_plate_are_named() -> None:
    """1440 rpm at 50 Hz: four poles make 1500 rpm, 4 % more."""
    plate = facts_of(SPEED + MOTOR.replace("poles = 4\n", ""))
    (poles,) = (blank for blank in blanks(plate) if blank.what == "number of poles")
    assert poles.ask.endswith("; 4 would fit its frequency and speed, with a slip of 4 %")


def test_a_signal_between_two_ends_is_told_by_both_and_reckoned_by_its_middle() -> None:
    """10 kohm before 90 to 110 kohm leave 9 to 9.167 V of 10 V, the middle of which is 90.83 %."""
    text = SPEED + 'series = "10 kohm"\n' + MOTOR + '[speeds]\nfull-scale = "6000 rpm"\n'
    report = report_of('[drive.analog]\nresistance = "90 kohm..110 kohm"\n' + text)
    assert report.rows[-1].drive_ends == pytest.approx((9.0, 9.1667), abs=1e-4)
    assert report.rows[-1].frequency_hz == pytest.approx(90.83, abs=0.01)


def test_readings_without_a_sign_keep_the_signal_read_beside_them() -> None:
    pairs = facts_of(with_pairs([(-3000, 2950, 5.1), (3000, 2950, 5.2)])).pairs
    assert pairs == (Pair(-3000, -2950, 5.1), Pair(3000, 2950, 5.2))


def test_every_range_that_would_make_the_line_is_named() -> None:
    found = judge(facts_of(with_pairs([(0, 1200), (3000, 3600), (6000, 6000)], 'full-scale = "6000 rpm"')))
    assert found is not None
    assert (
        "as a source of 2-10 V into a drive set to 0-10 V or a source of 4-20 mA into" in found.verdict.reason
    )


# ---- Verdicts ----

FACTS = SPEED + MOTOR.replace("100 Hz", "200 Hz")
BY_RUN = "stop by opening run, never by a command of zero"
TRIM = "correct at one end only, at the drive or at the controller, then measure again"
SAME_RANGE = (
    "set both ends to the same range (the drive's setting and its link or slide switch; the controller's"
    " output), then measure again; a correction of gain would hide it"
)


@pytest.mark.parametrize(
    ("pairs", "kind", "reason", "do"),
    [
        (
            [(0, 0), (3000, 3000), (6000, 6060)], Kind.NORMAL,
            "the largest deviation is 60 rpm, 1 % of the largest command; normal is up to 150 rpm (about 2 % of the"
            " largest command, read as below 2.5 %: common practice, no source)",
            "nothing needs setting",
        ),
        (
            [(0, 120), (3000, 3000), (6000, 6000)], Kind.CREEPS,
            "the tool turns at 120 rpm while zero is commanded",
            f"{BY_RUN}; read the signal at zero command, and look at the drive's lowest frequency",
        ),
        (
            [(0, 90)], Kind.CREEPS,
            "the tool turns at 90 rpm while zero is commanded",
            f"{BY_RUN}; read the signal at zero command, and look at the drive's lowest frequency; then measure at"
            " least three speeds, up to the highest",
        ),
        (
            [(0, 0)], Kind.TOO_FEW,
            "only a command of zero was measured; it gave 0 rpm",
            "measure at least three speeds, up to the highest",
        ),
        (
            [(3000, 2400)], Kind.TOO_FEW,
            "one command only, 3000 rpm: the real speed is 80 % of it",
            "measure at least three speeds, up to the highest",
        ),
        (
            [(1500, 1500), (3000, 3000), (4500, 4900), (6000, 6000)], Kind.OUTLIER,
            "at 4500 rpm the reading of 4900 rpm lies 400 rpm off the line through all the others",
            "measure 4500 rpm again, rising and falling, and correct nothing before: one reading may be a slip of"
            " the pen",
        ),
        (
            [(1500, 1425), (3000, 2850), (6000, 5700)], Kind.GAIN,
            "5 % slow everywhere: gain 0.95 ± 0, offset 0 ± 0 rpm", TRIM,
        ),
        (
            [(1500, 1680), (3000, 3180), (6000, 6180)], Kind.OFFSET,
            "180 rpm too fast at every speed: gain 1 ± 0, offset 180 ± 0 rpm", f"{BY_RUN}; {TRIM}",
        ),
        (
            [(1500, 2700), (3000, 3900), (6000, 6300)], Kind.GAIN_AND_OFFSET,
            "20 % slow, and beside that 1500 rpm too fast at every speed: gain 0.8 ± 0, offset 1500 ± 0 rpm",
            f"{BY_RUN}; don't correct it: more than 20 % of gain, or an offset of more than 5 % of the largest"
            " command, is no trim (common practice, no source); look for a range, a ratio or a supply that is wrong",
        ),
        (
            [(1500, 1500), (3000, 3000), (4500, 4000), (6000, 4000)], Kind.SATURATED,
            "speeds stop rising at 4000 rpm; below it gain 1, offset 0 rpm",
            "compare with the drive's highest frequency and with the signal at full command (a source of less than"
            " full voltage, a supply that sags); a correction of gain can't lift a limit",
        ),
        (
            [(0, 900), (600, 900), (3000, 3000), (4500, 4500), (6000, 6000)], Kind.HELD_UP,
            "low commands all give 900 rpm; above it gain 1, offset 0 rpm; it turns at 900 rpm at zero command",
            f"compare with the drive's lowest frequency; {BY_RUN}",
        ),
        (
            [(1500, 2400), (3000, 2400), (6000, 2400)], Kind.STUCK,
            "commands from 1500 to 6000 rpm all give 2400 rpm",
            "read the signal at the drive's terminals at two commands: if it moves, the drive takes its speed from"
            " elsewhere (a preset, its keypad) or stands at a limit; if not, look for a wire off, a second source,"
            " or an output in the wrong mode",
        ),
        (
            [(1500, 0), (3000, 0), (6000, 0)], Kind.STUCK,
            "commands from 1500 to 6000 rpm all give no speed",
            "prove run first; then read the signal at the drive's terminals at two commands: if it moves, the drive"
            " takes its speed from elsewhere (speed source setting, V or mA switch); if not, read it at the"
            " controller with the wire off",
        ),
        (
            [(1500, -1500), (3000, -3000), (6000, -6000)], Kind.REVERSED,
            "the shaft turns against its command (gain -1, offset 0 rpm)",
            "if forward turns the wrong way, change over two motor leads with the drive dead and discharged, or its"
            " direction setting: one of them, and note which; then measure again",
        ),
        (
            [(1500, 4500), (3000, 3000), (6000, 0)], Kind.REVERSED,
            "the speed falls as the command rises (gain -1, offset 6000 rpm)",
            "look for exchanged ends of the potentiometer, exchanged signal and common, or an inverted signal"
            " setting in the drive",
        ),
        (
            [(1500, 3000), (3000, 6000), (4500, 6000), (6000, 6000)], Kind.WRONG_RANGE,
            "speeds stop rising at 6000 rpm, where the mapping's own figures end (6000 rpm); below it gain 2,"
            " offset 0 rpm: the drive is at its top at half the signal",
            SAME_RANGE,
        ),
        # a live zero on one side: 2 V of 10 at rest is a fifth of the speed, the rest four fifths
        (
            [(0, 1200), (3000, 3600), (6000, 6000)], Kind.WRONG_RANGE,
            "gain 0.8 ± 0, offset 1200 ± 0 rpm: as a source of 2-10 V into a drive set to 0-10 V reads; it turns at"
            " 1200 rpm at zero command",
            SAME_RANGE,
        ),
        (
            [(1500, 50), (3000, 100), (6000, 200)], Kind.FACTOR,
            "gain 0.0333 ± 0, offset 0 ± 0 rpm, near a factor of 4 poles / 120",
            "before any correction, look at what makes such a factor: a reading of the frequency in Hz, not of the"
            " speed",
        ),
        (
            [(1500, 45000), (3000, 90000), (6000, 180000)], Kind.FACTOR,
            "gain 30 ± 0, offset 0 ± 0 rpm, near a factor of 120 / 4 poles",
            "before any correction, look at what makes such a factor: a command taken as the frequency in Hz, not"
            " as the speed",
        ),
        (
            [(0, 0), (1500, 900), (3000, 2400), (4500, 4200), (6000, 6000)], Kind.NON_LINEAR,
            "pairs lie up to 360 rpm from the straight line, 6 % of the largest command; more than 2 % is no"
            " straight line",
            "correct nothing; repeat a pair or two, rising and falling: if they repeat, enter the pairs as a table"
            " in the controller, if it takes one; if they don't, look for a supply that sags, for noise and for load",
        ),
    ],
)  # fmt: skip
def test_a_verdict_says_its_figures_and_what_to_do(
    pairs: list[tuple[float, ...]], kind: Kind, reason: str, do: str
) -> None:
    found = judge(facts_of(with_pairs(pairs, 'full-scale = "6000 rpm"', FACTS)))
    assert found is not None
    assert (found.verdict.kind, found.verdict.reason, found.verdict.do) == (kind, reason, do)


def test_a_level_holds_the_line_and_is_told_as_data() -> None:
    pairs = [(0, 900), (600, 900), (3000, 3000), (4500, 4500), (6000, 6000)]
    report = report_of(with_pairs(pairs, 'full-scale = "6000 rpm"', FACTS))
    assert report.measured is not None
    assert report.measured.strays_rpm == pytest.approx([0.0] * 5, abs=1e-6)
    measured = as_data(report)["measured"]
    assert isinstance(measured, dict)
    assert [tuple(pair.values())[:2] for pair in measured["hinge"]["middle"]] == pairs[2:]
    assert "line without the pairs at a limit: gain 1" in as_text(report)


# ---- What to mind ----

FULL = '[speeds]\nfull-scale = "6000 rpm"\n'


@pytest.mark.parametrize(
    ("mapping", "text", "serious"),
    [
        (
            f'{FACTS}min-frequency = "300 Hz"\n{FULL}',
            "the drive's lowest frequency is above its highest: read both settings again",
            False,
        ),
        (
            f"{FACTS}{FULL.replace('6000', '4000')}",
            "at full command these figures give 6000 rpm where 4000 rpm is commanded (+50 %): real and commanded"
            " speed will differ",
            True,
        ),
        (
            f"{FACTS}{FULL.replace('6000', '8000')}",
            "at full command these figures give 6000 rpm where 8000 rpm is commanded (-25 %): real and commanded"
            " speed will differ",
            False,
        ),
        (
            f'{FACTS}{FULL}offset = "50 mV"\n',
            "with 0.05 V at zero command the tool creeps at 30 rpm: stop by opening run",
            True,
        ),
        (
            f'{FACTS}{FULL}[stop]\nhardware = "S0"\ncategory = "0"\n',
            "a stop of category 0 lets the tool coast and nobody wrote down how long: measure it and write it on the"
            " sheet",
            True,
        ),
        (
            FACTS.replace('"0-10 V" }', '"4-20 mA", top = "16 mA" }') + FULL,
            "the signal is taken as straight up to 16 mA at full command (given)",
            False,
        ),
        (
            f"{FACTS.replace('1440', '900')}{FULL}",
            "a slip of 40 % (120 x 50 Hz / 4 poles = 1500 rpm, rated 900 rpm) is more than motors have: read the"
            " motor's plate again; 6 poles would fit",
            False,
        ),
        (
            f"{FACTS.replace('1440', '1600')}{FULL}",
            "the rated speed, 1600 rpm, is above the field's (120 x 50 Hz / 4 poles = 1500 rpm): read poles, frequency"
            " and speed off the motor's plate again; 2 poles would fit; no slip is counted here",
            False,
        ),
    ],
)
def test_what_to_mind_is_said_whole_and_marked_where_it_is_serious(
    mapping: str, text: str, serious: bool
) -> None:
    assert {(one.text, one.serious) for one in remarks(facts_of(mapping))} >= {(text, serious)}
