"""Several drives in a mapping: what is taken, what is refused, and on which line everything stands."""

from __future__ import annotations

import pytest

from doorsheet.mapping import parse_mapping
from doorsheet.mapping.reading import units_read
from tests.mapping.places import problems
from tests.plants import TWO_PUMPS

HEAD = 'machine = "M"\n[drives.a.jog]\ninput = "D"\n'


def test_each_drive_is_a_mapping_of_its_own_with_what_is_shared() -> None:
    mapping = parse_mapping(TWO_PUMPS, "m.toml").mapping
    (first, one), (second, other) = mapping.units()
    assert (first, second) == ("pump-1", "pump-2")
    assert (one.drive.name, other.drive.name) == ("1.5 kW drive", "0.75 kW drive")
    assert one.control_names == ("run-forward", "speed", "fault")
    assert other.control_names == ("run-forward", "speed")
    assert one.controller is other.controller is mapping.controller
    assert mapping.control_names == ()
    assert one.speed is not None and one.speed.source is not None and one.speed.source.signal == "AO1"


def test_one_drive_is_its_own_unit() -> None:
    mapping = parse_mapping('machine = "M"\n[jog]\ninput = "D"', "m.toml").mapping
    assert mapping.units() == (("", mapping),)
    assert mapping.drives is None


def test_lines_lead_to_the_tables_of_the_drive() -> None:
    lines = TWO_PUMPS.splitlines()
    for name, read in units_read(parse_mapping(TWO_PUMPS, "m.toml")):
        start = lines.index(f"[drives.{name}]") + 1
        assert read.source.line_of("drive") == start
        assert read.source.line_of("drive", "discharge") == start + 2
        assert read.source.line_of("run-forward") == lines.index(f"[drives.{name}.run-forward]") + 1
        assert read.source.line_of("controller", "name") == lines.index("[controller]") + 2


@pytest.mark.parametrize(
    ("text", "line", "where", "said"),
    [
        (f'{HEAD}[drive]\nname = "B"', 4, "[drive]", "one or the other"),
        (f'{HEAD}[run-forward]\ninput = "D"', 4, "[run-forward]", "call it [drives.a.run-forward]"),
        ('machine = "M"\n[drives."ä".jog]\ninput = "D"\n[motor]', 4, "[motor]", 'call it [drives."ä".motor]'),
        (f"{HEAD}[motor]\npoles = 2", 4, "[motor]", "call it [drives.a.motor]"),
        (f'readings = ["red on D, black on C: 24 V"]\n{HEAD}', 1, "readings", "inside [drives.a]"),
        ('machine = "M"\n[drives]', 2, "[drives]", "there is no drive in it"),
        (f'{HEAD}wires = {{ input = "pimk" }}', 4, "drives.a.jog.wires.input", "pink"),
        (f"{HEAD}output = {{}}", 4, "drives.a.jog.output", "neither its plus nor its minus"),
        (f'{HEAD}output = {{ signal = "Q" }}', 4, "drives.a.jog.output.signal", "has no signal"),
        (f"{HEAD}inptu = 'E'", 4, "drives.a.jog.inptu", "did you mean input?"),
        (f"{HEAD}[drives.a.run-foward]\ninput = 'E'", 4, "[drives.a.run-foward]", "did you mean run-forward"),
        (f"{HEAD}[drives.b]\ndischarg = '5 min'", 5, "drives.b.discharg", "did you mean discharge?"),
        (f"{HEAD}[drives.' b']\nname = 'B'", 4, 'drives." b"', "begins or ends with a blank"),
        (f"{HEAD}[drives.{'b' * 17}]\nname = 'B'", 4, f"[drives.{'b' * 17}]", "shorten it to 16"),
        (f'{HEAD}[drives."b\\u0007"]\nname = "B"', 4, "[drives.", "control character"),
        (f'{HEAD}[drives.a.dropped]\n"x\\ty" = ["L1"]', 5, "drives.a.dropped", "a tab"),
    ],
)
def test_what_is_wrong_in_a_drive_is_said_where_it_stands(
    text: str, line: int, where: str, said: str
) -> None:
    (problem,) = problems(text)
    assert problem.line == line
    assert where in problem.where
    assert said in f"{problem.reason}; {problem.do}"


def test_a_key_out_of_place_is_sent_to_its_table() -> None:
    (problem,) = problems(f'{HEAD}discharge = "5 min"')
    assert "inside [drive]" in problem.do


# ---- Meters in words ----

IN_WORDS = (
    "red on DI1, black on COM: 24.3 V",
    "red on COM, black on DI1: -24.3 V",
    "black DI1 red COM -24,3 V open",
)


@pytest.mark.parametrize("words", IN_WORDS)
def test_a_meter_in_words_is_taken_in_a_drive_too(words: str) -> None:
    assert TWO_PUMPS.count("meter = 24.3") == 1
    figures = parse_mapping(TWO_PUMPS, "m.toml").mapping
    assert parse_mapping(TWO_PUMPS.replace("meter = 24.3", f'meter = "{words}"'), "m.toml").mapping == figures


@pytest.mark.parametrize(
    ("words", "reason", "do"),
    [
        ("red on DI9, black on COM: 24 V", 'no terminal "DI9"', "did you mean"),
        ("red on AI1, black on COM: 24 V", "a control's meter is of DI1 and COM", "the list readings"),
        ("red on DI1, black on COM: 0 V, closed", "not closed", "the list readings"),
        ("red on DI1, black on COM", "as a reading", "write it like"),
    ],
)
def test_a_meter_that_cannot_be_read_is_said_with_its_drive(words: str, reason: str, do: str) -> None:
    (problem,) = problems(TWO_PUMPS.replace("meter = 24.3", f'meter = "{words}"'))
    assert problem.where == "drives.pump-1.run-forward.meter"
    assert problem.line == TWO_PUMPS.splitlines().index("meter = 24.3") + 1
    assert reason in problem.reason
    assert do in problem.do


def test_each_drive_has_its_own_readings_motor_and_speeds() -> None:
    old = parse_mapping(TWO_PUMPS, "m.toml").mapping
    at_half, opened = "red on AI1, black on AGND: 5 V at 50 %", "red on DI1, black on COM: 24.3 V"
    lists = f'[drives.pump-1]\nreadings = [\n  "{at_half}",\n  "{opened}",\n]'
    text = TWO_PUMPS.replace("meter = 24.3\n", "").replace("[drives.pump-1]", lists)
    text += "\n[drives.pump-2.motor]\npoles = 4\n[drives.pump-2.speeds]\nmeasured = [[100, 99]]\n"
    read = parse_mapping(text, "m.toml")
    assert read.mapping.taken == ()
    (_, first), (_, second) = units_read(read)
    one, other = first.mapping, second.mapping
    assert one.run_forward == old.units()[0][1].run_forward
    assert [(taken.value, taken.command) for taken in one.taken] == [(5.0, 0.5), (24.3, None)]
    assert one.metered == {("run-forward", "meter"): 1} and one.readings == (at_half, opened)
    assert (one.motor, one.speeds, other.taken) == (None, None, ())
    assert other.motor is not None and other.motor.poles == 4
    assert other.speeds is not None and other.speeds.measured == ((100, 99),)
    lines = text.splitlines()
    assert opened in lines[(first.source.line_of("run-forward", "meter") or 0) - 1]
    assert at_half in lines[(first.source.line_of("readings", 0) or 0) - 1]
    assert lines[(second.source.line_of("motor", "poles") or 0) - 1] == "poles = 4"


@pytest.mark.parametrize(
    ("text", "line", "where", "said"),
    [
        (f"{HEAD}[drives.a]\nreadings = ['red on E, black on D: 2 V']", 5, "drives.a.readings[1]", '"E"'),
        (f"{HEAD}[drives.a.motor]\npoles = 3", 5, "drives.a.motor.poles", "pairs"),
        (f"{HEAD}[drives.a.speeds]\nfull-scal = 3", 5, "drives.a.speeds.full-scal", "full-scale?"),
    ],
)
def test_what_is_wrong_in_them_is_said_where_it_stands(text: str, line: int, where: str, said: str) -> None:
    (problem,) = problems(text)
    assert (problem.line, problem.where) == (line, where)
    assert said in f"{problem.reason}; {problem.do}"


def test_labels_of_another_drive_are_not_this_drives() -> None:
    text = TWO_PUMPS.replace("meter = 24.3", 'meter = "red on DI1, black on X9: 24 V"')
    text = text.replace("[drives.pump-2]", '[drives.pump-2]\nstrip = ["DI1", "COM", "X9", "AI1", "AGND"]')
    assert 'no terminal "X9"' in problems(text)[0].reason
