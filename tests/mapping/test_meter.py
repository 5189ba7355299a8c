"""Readings in words: taken apart, refused with advice, and turned into the meters of controls."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from doorsheet.checks import run_checks
from doorsheet.circuit.join import join
from doorsheet.circuit.parts import Sign, Stage
from doorsheet.circuit.reading_words import phrase
from doorsheet.electrics import solve
from doorsheet.mapping import parse_mapping
from doorsheet.mapping.controls import SwitchedControl
from doorsheet.mapping.meter import STATES, ReadingError, Signals, Taken, parse_reading
from doorsheet.mapping.metered import drive_labels
from doorsheet.mapping.model import Mapping
from tests.mapping.places import problems

LABELS = ("DI1", "COM", "DI 1", "K1:13", "+10V", "0V", "black 2", "red", "on", "AI1,A", "X−1")

MACHINE = """machine = "Example"
{top}
[run-forward]
input = "DI1"
common = "COM"
output = {{ plus = "Y1+", minus = "Y1-" }}
{more}
[speed]
signal = "AI 1"
common = "AGND"
"""


def machine(top: str = "", more: str = "") -> str:
    return MACHINE.format(top=top, more=more)


@pytest.mark.parametrize(
    ("line", "red", "black", "volts", "state"),
    [
        ("red on COM, black on DI1: -12.2 V", "COM", "DI1", -12.2, "open"),
        ("red on DI1, black on COM: 12.3 V, closed", "DI1", "COM", 12.3, "closed"),
        ("red DI1 black COM 12.2V", "DI1", "COM", 12.2, "open"),
        ("red DI1 black COM 12,2", "DI1", "COM", 12.2, "open"),
        ("RED on DI1 and BLACK on COM = \N{MINUS SIGN}12,25 VDC (Running)", "DI1", "COM", -12.25, "running"),
        ("black on COM; red on DI1; +0.2 V DC; unplugged.", "DI1", "COM", 0.2, "unplugged"),
        ("red on DI1, black on COM: 24 volts closed", "DI1", "COM", 24.0, "closed"),
        ("red on DI1, black on COM: 5000 mV", "DI1", "COM", 5.0, "open"),
        ("red on DI1, black on COM: -12.0 mV", "DI1", "COM", -0.012, "open"),
        ("  red at DI 1 , black at K1:13: - 5 V plugged ", "DI 1", "K1:13", -5.0, "plugged"),
        ("red +10V black 0V 10.1V stopped", "+10V", "0V", 10.1, "standing"),
        ("red on black 2, black on red: 3 V", "black 2", "red", 3.0, "open"),
        ("red on on, black on COM: .5 V", "on", "COM", 0.5, "open"),
    ],
)
def test_lines_as_people_write_them(line: str, red: str, black: str, volts: float, state: str) -> None:
    labels = {label for label in LABELS if label != "X−1"}
    assert parse_reading(line, 4, labels) == Taken(red, black, volts, state, 4)


@given(
    st.lists(st.sampled_from(LABELS[:-1]), min_size=2, max_size=2, unique=True),
    st.integers(-99_999, 99_999),
    st.sampled_from(STATES),
    st.booleans(),
    st.booleans(),
    st.booleans(),
)
def test_what_is_written_is_read(
    ends: list[str], hundredths: int, state: str, red_first: bool, comma: bool, minus: bool
) -> None:
    red, black = ends
    figure = f"{hundredths / 100:.2f}"
    if comma:
        figure = figure.replace(".", ",")
    if minus:
        figure = figure.replace("-", "\N{MINUS SIGN}")
    leads = f"red on {red}, black on {black}" if red_first else f"black on {black}, red on {red}"
    taken = parse_reading(f"{leads}: {figure} V, {state}", 0, LABELS)
    assert taken == Taken(red, black, hundredths / 100, state, 0)
    assert taken.volts_from(black, red) == -taken.volts
    assert taken.volts_from(red, "elsewhere") is None


@given(st.text("redblack onDI1COM:,.-+0123456789V", max_size=40))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        taken = parse_reading(text, 0, LABELS)
    except ReadingError as error:
        assert str(error)
        assert error.do
    else:
        assert {taken.red, taken.black} <= set(LABELS)
        assert taken.red != taken.black
        assert abs(taken.volts) <= 1000


@pytest.mark.parametrize(
    ("line", "reason", "do"),
    [
        ("DI1 is at 24 V", "where the red and the black", 'like "red on DI1, black on COM: 24.3 V'),
        ("red on DI1, black on COM", "can't be read as a reading", 'like "red on DI1'),
        ("", "can't be read as a reading", "like"),
        ("red on D1, black on COM: 24 V", 'no terminal "D1"', 'did you mean "DI1"?'),
        ("red on di1, black on COM: 24 V", 'no terminal "di1"', 'did you mean "DI1"?'),
        (
            "red on D1, black on COM: 24 V, 2026-11-28",
            'no terminal "D1"',
            "if it was taken out since, put it",
        ),
        ("red on Qxyz, black on COM: 24 V", 'no terminal "Qxyz"', "AGND, AI 1, COM, DI1"),
        ("red on DI1, black on DI1: 24 V", "both leads stand on DI1", "two points"),
        ("red on DI1, black on COM: 24 V, clsed", 'no state "clsed"', 'did you mean "closed"?'),
        ("red on DI1, black on COM: 240 uV", 'no state "uV"', ""),
        ("red on DI1, black on COM: 24 kV", 'not in "kV"', "like"),
        ("red on DI1, black on COM: 24 V, 2026-13-40 14:05", "no day and time", "like 2026-11-25"),
        ("red on DI1, black on COM: 24 V, 1026-11-25", "no day and time", "like 2026-11-25"),
        ("red on DI1, black on COM: 2400 V", "no reading of a control terminal", "read the meter again"),
        ("red on DI1, black on COM: 1000100 mV", "from -1000 to 1000 V", "read the meter again"),
        ("red on DI1, black on COM: 1,000 V", "one or a thousand", "like"),
        ("red on DI1, red on COM: 24 V", "where the red and the black", "like"),
    ],
)
def test_what_cannot_be_read_is_a_problem_with_advice(line: str, reason: str, do: str) -> None:
    (problem,) = problems(machine(f'readings = ["red on DI1, black on COM: 24 V",\n"{line}"]'))
    assert (problem.line, problem.where) == (3, "readings[2]")
    assert reason in problem.reason
    assert do in problem.do


def test_a_figure_that_may_end_the_label_is_not_guessed() -> None:
    labels = {"DI", "DI 1", "COM"}
    assert parse_reading("red on COM, black on DI: 1 V", 0, labels).black == "DI"
    assert parse_reading("red on COM, black on DI 1: 5", 0, labels).black == "DI 1"
    with pytest.raises(ReadingError, match="two ways"):
        parse_reading("red on COM, black on DI 1", 0, labels)


def test_a_line_with_two_meanings_is_not_guessed() -> None:
    labels = {"A", "A black B", "B", "B black C", "C"}
    with pytest.raises(ReadingError, match="two ways"):
        parse_reading("red on A black B black C: 5 V", 0, labels)


def test_labels_of_the_drive_are_those_that_the_mapping_names() -> None:
    data = {
        "drive": {"strip": ["A"], "links": [{"between": ["B", "C"]}], "dropped": {"spare": ["D"]}},
        "jog": {
            "input": " E ",
            "common": "F",
            "feed": "G",
            "output": {"plus": "no"},
            "screen": {"terminal": "H"},
        },
        "speed": {"signal": "I", "common": "J", "supply": "K", "source": {"signal": "no", "feed": "N"}},
        "fault": {"terminals": ["L", "M"], "input": {"signal": "no"}},
        "running": {"terminals": 5},
        "enable": 7,
    }
    assert drive_labels(data) == frozenset("ABCDEFGHIJKLMN")


# ---- The speed signal ----

SIGNALS = Signals("AI1", ("AO1", "0V"))
PLUGGED = ("plugged", "A")
AT_DRIVE = ("AI1", "AGND", "DI1", "COM", "AI2")


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("red on AI1, black on AO1: 12.1 mA", ("AI1", "AO1", 0.0121, *PLUGGED, None)),
        (
            "red on AO1, black on AI1: \N{MINUS SIGN}12,1 mA, at 50 %",
            ("AO1", "AI1", -0.0121, "plugged", "A", 0.5),
        ),
        ("red AI1 black AGND 19.9mA DC running at 100%", ("AI1", "AGND", 0.0199, "running", "A", 1.0)),
        ("red on AI1, black on AGND: 5.02 V at 50 %", ("AI1", "AGND", 5.02, "open", "V", 0.5)),
        ("red AI1 black AGND 5.02 V plugged at 50 %", ("AI1", "AGND", 5.02, "plugged", "V", 0.5)),
        ("red AI1 black AGND 5.02 V at 50,0 %, plugged", ("AI1", "AGND", 5.02, "plugged", "V", 0.5)),
        ("red on AGND, black on AI1: 5 V, at -50 %.", ("AGND", "AI1", 5.0, "open", "V", -0.5)),
        ("red on AI1, black on AGND: 5.02 V", ("AI1", "AGND", 5.02, "open", "V", None)),
    ],
)
def test_readings_of_a_signal(line: str, expected: tuple[object, ...]) -> None:
    taken = parse_reading(line, 0, AT_DRIVE, SIGNALS)
    assert (taken.red, taken.black, taken.value, taken.state, taken.unit, taken.command) == expected


@pytest.mark.parametrize(
    ("line", "reason", "do"),
    [
        ("red on DI1, black on COM: 4.9 mA, closed", "of the speed signal", "meter-current = "),
        ("red on DI1, black on COM: 24 V at 50 %", "only the speed signal has a command", "take the command"),
        ("red on AI1, black on AGND: 5 V at 150 %", "from -100 to 100 %", "like"),
        ("red on AI1, black on AGND: 5 V at 50 %, open, at 60 %", "two commands", "keep one"),
        ("red on AI1, black on AO1: 5 V", 'no terminal "AO1"', "mean"),
        ("red on AI1, black on AO1: 1200 mA", "from -1000 to 1000 mA", "read the meter again"),
        ("red on AI1, black on AGND: 0.012 A", 'not in "A"', "like"),
    ],
)
def test_what_is_no_reading_of_a_signal(line: str, reason: str, do: str) -> None:
    with pytest.raises(ReadingError) as caught:
        parse_reading(line, 0, AT_DRIVE, SIGNALS)
    assert reason in caught.value.reason
    assert do in caught.value.do


def test_a_current_is_no_voltage() -> None:
    taken = Taken("AI1", "AO1", 0.0121, "plugged", 0, "A", 0.5)
    assert taken.volts_from("AI1", "AO1") is None
    assert (taken.shown, taken.at) == ("12.1 mA", "plugged, at 50 %")
    with pytest.raises(ValueError, match="no volts"):
        assert taken.volts
    assert Taken("A", "B", -12.2, "open", 0).shown == "−12.2 V"


def test_a_mapping_finds_the_terminals_of_its_signal() -> None:
    line = 'readings = ["red on AI 1, black on AO1: 12.1 mA at 50 %"]'
    text = machine(line) + 'source = { signal = "AO1", common = "0V", range = "4-20 mA" }'
    assert parse_mapping(text, "m").mapping.taken == (Taken("AI 1", "AO1", 0.0121, "plugged", 0, "A", 0.5),)
    (problem,) = problems(machine(line))  # without the source's label
    assert 'no terminal "AO1"' in problem.reason


def test_a_reading_of_hundreds_of_volts_is_read_for_the_checks_to_stop() -> None:
    (taken,) = parse_mapping(machine('readings = ["red on DI1, black on COM: 325 V"]'), "m").mapping.taken
    assert taken.volts == 325


# ---- When it was taken, and remarks ----

AFTERNOON = datetime(2026, 11, 25, 14, 5)


@pytest.mark.parametrize(
    ("line", "when", "remark"),
    [
        ("red on DI1, black on COM: 24 V, closed, 2026-11-25 14:05", AFTERNOON, ""),
        ("red on DI1, black on COM: 24 V on 2026-11-25T14:05:30.", AFTERNOON, ""),
        ("red on DI1, black on COM: 24 V, closed, 2026-11-25 14:05 (motor cold)", AFTERNOON, "motor cold"),
        ("red on DI1, black on COM: 24 V closed (motor cold), 2026-11-25 14:05", AFTERNOON, "motor cold"),
        ("red on DI1, black on COM: 24 V closed 2026-11-25", datetime(2026, 11, 25), ""),
        ("red on DI1, black on COM: 24 V (closed)", None, ""),
        ("red on DI1, black on COM: 24 V closed (open door)", None, "open door"),
        ("red on DI1, black on COM: 24 V (on) (2nd try: 24.1)", None, "2nd try: 24.1"),
    ],
)
def test_a_reading_has_its_time_and_a_remark(line: str, when: datetime | None, remark: str) -> None:
    assert parse_reading(line, 0, LABELS) == Taken("DI1", "COM", 24, "closed", 0, when=when, remark=remark)


def test_a_command_and_states_may_be_said_in_other_words() -> None:
    taken = parse_reading("red on AI1, black on AGND: 5 V, command 50 %, running", 0, AT_DRIVE, SIGNALS)
    assert (taken.state, taken.command) == ("running", 0.5)
    assert parse_reading("red on DI1, black on COM: 24 V off", 0, LABELS).state == "open"


@given(
    st.sampled_from(
        [
            Taken("DI1", "COM", -24.13, "closed", 0, "V", None, AFTERNOON, "cold, cover off"),
            Taken("AI1", "AO1", 0.0121, "plugged", 0, "A", -0.5, AFTERNOON),
            Taken("DI1", "COM", 230, "open", 0, "V AC", None, None, "at the door"),
        ]
    )
)
def test_a_line_made_of_a_reading_is_that_reading(taken: Taken) -> None:
    assert parse_reading(taken.line, 0, AT_DRIVE, SIGNALS) == taken


# ---- The newest counts ----


def counting(*lines: str, more: str = "") -> tuple[list[float], list[tuple[float, float]], float | None]:
    listed = ", ".join(f'"red on {line}"' for line in lines)
    mapping = parse_mapping(machine(f"readings = [{listed}]", more), "m.toml").mapping
    control = mapping.control("run-forward")
    assert isinstance(control, SwitchedControl)
    assert len(mapping.every_taken) == len(lines)
    return (
        [one.value for one in mapping.taken],
        [(old.value, new.value) for old, new in mapping.replaced],
        control.reading_v,
    )


def test_the_newest_reading_counts_and_the_older_stays() -> None:
    first, second = "DI1, black on COM: 24 V, 2026-11-25", "DI1, black on COM: 12 V, 2026-11-26"
    assert counting(first, second) == ([12], [(24, 12)], 12)
    assert counting(second, first) == ([12], [(24, 12)], 12)
    assert counting("DI1, black on COM: 30 V", first) == ([24], [(30, 24)], 24)
    assert counting("DI1, black on COM: 30 V", "DI1, black on COM: 24 V") == ([30, 24], [], 30)
    assert counting(first, "DI1, black on COM: 0 V, closed, 2026-11-27") == ([24, 0], [], 24)
    assert counting(first, "DI1, black on COM: 0 V, closed, 2026-11-27", second) == ([0, 12], [(24, 12)], 12)


def test_a_dated_reading_counts_before_a_meter_without_a_date() -> None:
    dated = "COM, black on DI1: -12 V, 2026-11-26"
    assert counting(dated, more="meter = 24.3") == ([-12], [(24.3, -12)], 12)
    assert counting(dated[: dated.index(", 20")], more="meter = 24.3") == ([-12], [], 24.3)
    assert counting(dated, more='meter = "red on DI1, black on COM: 9 V, 2026-11-27"') == ([], [(-12, 9)], 9)


def test_a_sign_that_changed_counts_only_when_it_is_confirmed() -> None:
    plus, minus, again = (
        f"DI1, black on COM: {volts} V, 2026-11-2{day}" for day, volts in enumerate((24, -24, -23))
    )
    assert counting(plus, minus) == ([24, -24], [], None)
    assert counting(plus, minus, again) == ([-23], [(-24, -23)], -23)
    assert counting(plus, minus, "DI1, black on COM: 25 V, 2026-11-23") == ([25], [(24, 25)], 25)


def test_a_reading_that_can_kill_counts_and_replaces_none() -> None:
    first, second = "DI1, black on COM: 24 V, 2026-11-25", "DI1, black on COM: 325 V, 2026-11-26"
    assert counting(first, second)[:2] == ([24, 325], [])
    assert counting(second, first)[:2] == ([325, 24], [])


def test_alternating_current_is_kept_apart() -> None:
    mapping = parse_mapping(machine('readings = ["red on DI1, black on COM: 24 V AC"]'), "m").mapping
    assert (mapping.taken, [one.value for one in mapping.every_taken]) == ((), [24])


# ---- A control's meter ----


@pytest.mark.parametrize(
    ("top", "more"),
    [
        ('readings = ["red on COM, black on DI1: -12.2 V"]', ""),
        ('readings = ["red on DI1, black on COM: 12,2 V, open"]', ""),
        ('readings = ["red on DI1, black on COM: 12.2 V"]', 'meter = "unknown"'),
        ("", 'meter = "red on COM, black on DI1: -12.2 V"'),
        ("", 'meter = "red DI1 black COM 12.2"'),
    ],
)
@pytest.mark.parametrize("stage", list(Stage))
def test_a_reading_in_words_is_the_meter_in_figures(top: str, more: str, stage: Stage) -> None:
    words = parse_mapping(machine(top, more), "m.toml")
    figures = parse_mapping(machine(more="meter = 12.2"), "m.toml")
    control = words.mapping.control("run-forward")
    assert isinstance(control, SwitchedControl)
    assert control.reading_v == 12.2
    both = [solve(read, stage) for read in (words, figures)]
    one, other = (solved.circuit for solved in both)
    assert (one.parts, one.strip) == (other.parts, other.strip)
    assert [phrase(reading) for reading in one.readings] == [phrase(reading) for reading in other.readings]
    said = [
        [(f.code, f.control) for f in run_checks(read, solved)]
        for read, solved in zip((words, figures), both, strict=True)
    ]
    assert said[0] == said[1]


@pytest.mark.parametrize(
    ("volts", "signs"), [("-12.2", (Sign.PLUS, Sign.MINUS)), ("12.2", (Sign.MINUS, Sign.PLUS))]
)
def test_the_sign_turns_the_output(volts: str, signs: tuple[Sign, Sign]) -> None:
    text = machine(f'readings = ["red on COM, black on DI1: {volts} V"]')
    circuit = join(parse_mapping(text, "m.toml"), Stage.FINAL)
    at_drive = {str(one.terminal): one.sign for one in circuit.strip}
    assert (at_drive["DI1"], at_drive["COM"]) == signs
    at_output = {str(pin.terminal): pin.sign for part in circuit.parts for pin in part.pins}
    assert (at_output["Y1+"], at_output["Y1-"]) == (Sign.PLUS, Sign.MINUS)
    to_input = next(wire for wire in circuit.wires if str(wire.far) == "DI1")
    assert at_output[str(to_input.near)] is signs[0]


def test_the_line_of_a_figure_is_that_of_its_reading() -> None:
    text = machine(
        'readings = [\n  "red on AI 1, black on AGND: 0 V",\n  "red on DI1, black on COM: 4.2 V",\n]'
    )
    read = parse_mapping(text, "m.toml")
    assert read.source.line_of("run-forward", "meter") == 4
    (finding,) = [f for f in run_checks(read, solve(read, Stage.FINAL)) if f.code == "P104"]
    assert finding.line == 4
    assert "4.2 V (measured, line 4)" in finding.reason


def test_own_meter_goes_before_readings() -> None:
    read = parse_mapping(machine('readings = ["red on DI1, black on COM: 24.0 V"]', "meter = 24.3"), "m.toml")
    assert getattr(read.mapping.control("run-forward"), "reading_v", None) == 24.3
    assert not read.mapping.metered


@pytest.mark.parametrize(
    ("lines", "open_v", "closed_v"),
    [
        (("red on DI1, black on COM: 24.1 V", "red on COM, black on DI1: -24.3 V"), 24.3, None),
        (("red on DI1, black on COM: 24.1 V", "red on DI1, black on COM: -24.3 V"), None, None),
        (("red on DI1, black on COM: 0.2 V, closed",), None, 0.2),
        (("red on DI1, black on COM: 24 V, running",), None, None),
        (("red on DI1, black on AGND: 24 V",), None, None),
    ],
)
def test_which_reading_a_control_takes(
    lines: tuple[str, ...], open_v: float | None, closed_v: float | None
) -> None:
    listed = ", ".join(f'"{line}"' for line in lines)
    control = parse_mapping(machine(f"readings = [{listed}]"), "m.toml").mapping.control("run-forward")
    assert isinstance(control, SwitchedControl)
    assert (control.reading_v, control.closed_v) == (open_v, closed_v)


@pytest.mark.parametrize(
    ("meter", "reason"),
    [
        (
            "red on DI1, black on AGND: 24 V",
            "the leads stand on DI1 and AGND; a control's meter is of DI1 and COM",
        ),
        ("red on DI1, black on COM: 0 V, closed", "with the contact open, not closed"),
        ("red on DI1, black on CON: 24 V", 'no terminal "CON"'),
    ],
)
def test_a_meter_of_other_leads_or_state_is_refused(meter: str, reason: str) -> None:
    (problem,) = problems(machine(more=f'meter = "{meter}"'))
    assert (problem.line, problem.where) == (7, "run-forward.meter")
    assert reason in problem.reason


def test_the_model_refuses_without_a_file_too() -> None:
    data = {"machine": "M", "jog": {"input": "DI1", "common": "COM"}}
    good = Mapping.model_validate(data | {"readings": ["red on DI1, black on COM: 24 V"]})
    assert good.taken == (Taken("DI1", "COM", 24.0, "open", 0),)
    with pytest.raises(ValidationError):
        Mapping.model_validate(data | {"readings": ["red on DI2, black on COM: 24 V"]})


def test_readings_that_are_no_list_of_texts_are_refused_like_any_key() -> None:
    (problem,) = problems(machine("readings = [24.3]"))
    assert "must be text" in problem.reason
    (problem,) = problems(machine('readings = "red on DI1, black on COM: 24 V"'))
    assert "must stand in a list" in problem.reason
