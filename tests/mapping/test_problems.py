from __future__ import annotations

import pickle

import pytest

from doorsheet.mapping import MappingError, Problem, parse_mapping, render
from doorsheet.mapping.problems import LONGEST_QUOTE, shorten

HEAD = 'machine = "M"\n'


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(MappingError) as caught:
        parse_mapping(text, "pump3.toml")
    return caught.value.problems


@pytest.mark.parametrize(
    ("text", "line", "where", "reason", "do"),
    [
        ('[run-foward]\ninput = "A"', 2, "[run-foward]", "no such table", "did you mean [run-forward]?"),
        ('[Speed]\nsignal = "A"', 2, "[Speed]", "no such table", "did you mean [speed]?"),
        ("meter = 24.3", 2, "meter", "can't stand here", "inside a control such as [run-forward]"),
        ("[drive]\nmachine = 'N'", 3, "drive.machine", "can't stand here", "at the top of the file"),
        ('discharge = "5 min"', 2, "discharge", "can't stand here", "inside [drive]"),
        ('[jog]\ninput = "A"\ncomon = "B"', 4, "jog.comon", "no such key", "did you mean common?"),
        ('[jog]\ninput = "A"\nvoltage = 3', 4, "jog.voltage", "no such key", "did you mean meter?"),
        ('[sheet]\ndrawn_by = "A"', 3, "sheet.drawn_by", "no such key", "did you mean drawn-by?"),
        ('[speed]\nsignal = "A"\noutput = "B"', 4, "speed.output", "no such key", "did you mean source?"),
        ('[speed]\nsignal = "A"\nmetre = 3', 4, "speed.metre", "no such key here", "did you mean meter?"),
        (
            "[controller.outputs]\nmost = 3",
            3,
            "controller.outputs.most",
            "no such key",
            "can stand here: voltage",
        ),
        ('[jog]\ninput = "A"\n"q r" = 1', 4, 'jog."q r"', "no such key", "can stand here: input, common"),
        ('[jog]\ncommon = "C"', 2, "jog.input", "drive terminal", 'such as input = "DI1"'),
        ("[jog]\ninput = 5", 3, "jog.input", "must be text", 'put it in quotes: "5"'),
        ("[drive]\ndischarge = 10", 3, "drive.discharge", "must be text", 'unit after it: "10 ___"'),
        ("[jog]\ninput = true", 3, "jog.input", "must be text", 'put it in quotes: "true"'),
        ('[jog]\ninput = ["A"]', 3, "jog.input", "must be text", 'input = "DI1"'),
        ('[jog]\ninput = ""', 3, "jog.input", "is empty", "take the whole line away"),
        ('[jog]\ninput = "  "', 3, "jog.input", "is empty", "take the whole line away"),
        (f'[jog]\ninput = "{"A" * 21}"', 3, "jog.input", "21 characters", "20 characters at most"),
        ('[jog]\ninput = "A\\nB"', 3, "jog.input", "a line break", "on one line"),
        ('[jog]\ninput = "A\\tB"', 3, "jog.input", "a tab", "put a space in its place"),
        ('[jog]\ninput = "A\\u200BB"', 3, "jog.input", "U+200B", "delete it"),
        ('[jog]\ninput = "\\u6CF5"', 3, "jog.input", "can't be drawn", "other letters"),
        ('[sheet]\nnotes = ["a", "b\\nc"]', 3, "sheet.notes[2]", "a line break", "entry of its own"),
        ('[sheet]\nnotes = "a"', 3, "sheet.notes", "must stand in a list", "notes = ["),
        (
            '[jog]\ninput = "A"\nmeter = "24.3.1"',
            4,
            "jog.meter",
            "number of volts, like 24.3",
            "meter = 24.3",
        ),
        ('[jog]\ninput = "A"\nmeter = 2430', 4, "jog.meter", "from -1000 to 1000 V", "read the meter again"),
        ('[jog]\ninput = "A"\nscreen = "drives"', 4, "jog.screen", '"controller", "both"', 'mean "drive"?'),
        ('[jog]\ninput = "A"\nscreen = "xyz"', 4, "jog.screen", '"controller", "both"', "one of these"),
        ('[speed]\nsignal = "A"\nrange = "0–10V"', 4, "speed.range", '"2-10 V"', 'did you mean "0-10 V"?'),
        ('[jog]\ninput = "A"\nwires = { input = "grn" }', 4, "jog.wires.input", "no wire colour", "green"),
        (
            '[jog]\ninput = "A"\nwires.input.colour = "x"',
            4,
            "jog.wires.input.colour",
            "no wire colour",
            "white",
        ),
        ('[jog]\ninput = "A"\nwires = { input = 3 }', 4, "jog.wires.input", "must be text", '"3"'),
        ('[jog]\ninput = "A"\nwires = "white"', 4, "jog.wires", "keys of its own", "wires = {"),
        ('[jog]\ninput = "A"\noutput = "B"', 4, "jog.output", "keys of its own", "output = {"),
        ('[jog]\ninput = "A"\noutput = {}', 4, "jog.output", "neither its plus nor", 'plus = "OUT1+"'),
        ("jog = 3", 2, "jog", "keys of its own", "jog = {"),
        ('[[jog]]\ninput = "A"', 2, "[jog]", "keys of its own", "jog = {"),
        ("[drive]\nlinks = [{ between = ['A'] }]", 3, "drive.links[1].between[2]", "missing", "between = ["),
        (
            "[[drive.links]]\nbetween = ['A', 'B']\n[[drive.links]]\nbetween = ['A', 'B', 'C']",
            5,
            "drive.links[2].between",
            "3 entries where 2 belong",
            "between = [",
        ),
        ("[fault]\nterminals = ['A', 'B']", 2, "fault.input", "is missing", "input = {"),
    ],
)
def test_one_problem_with_its_place_and_advice(
    text: str, line: int, where: str, reason: str, do: str
) -> None:
    (problem,) = problems_of(HEAD + text)
    assert (problem.file, problem.line, problem.where) == ("pump3.toml", line, where)
    assert reason in problem.reason
    assert do in problem.do


@pytest.mark.parametrize(
    ("output", "where", "advice"),
    [
        ('{ terminals = ["1", "2"] }', "terminals", 'kind = "contact"'),
        ('{ kind = "isolated", plus = "A", signal = "B" }', "signal", 'kind = "open-collector" or'),
        ('{ kind = "contact", terminals = ["1", "2"], plus = "A" }', "plus", "terminals"),
        ('{ kind = "open-collector", signal = "A", minus = "B" }', "minus", "signal and common"),
        ('{ kind = "logic-level", signal = "A", joins = "plus" }', "joins", 'kind = "open-collector"'),
    ],
)
def test_keys_of_another_kind_of_output(output: str, where: str, advice: str) -> None:
    (problem,) = problems_of(f'{HEAD}[jog]\ninput = "A"\noutput = {output}')
    assert problem.where == f"jog.output.{where}"
    assert advice in problem.do


@pytest.mark.parametrize(
    "output",
    [
        '{ plus = "A" }',
        '{ minus = "A" }',
        '{ kind = "contact" }',
        '{ kind = "contact", terminals = ["1", "2"] }',
        '{ kind = "open-collector", signal = "A", common = "B", joins = "plus" }',
        '{ kind = "logic-level", signal = "A" }',
    ],
)
def test_incomplete_outputs_are_for_the_circuit_to_judge(output: str) -> None:
    assert parse_mapping(f'{HEAD}[jog]\ninput = "A"\noutput = {output}', "m").mapping.jog


def test_an_output_that_the_controller_feeds_is_sent_to_no_supply_of_the_drive() -> None:
    """The key for that would put the drive's 24 V on the controller's: a bridge does it, as the keys' page
    says; the file that it asks for is read.
    """
    speed = f'{HEAD}{{}}[speed]\nsignal = "A"\nsource = {{{{ signal = "AO-", gives = "4-20 mA"{{}} }}}}'
    bridge = '[controller]\nlinks = [{ between = ["24V", "AO+"] }]'
    for more in (
        ', common = "0V"',
        ', powered-by = "controller"',
        ', powered-by = "controller", common = "0V"',
    ):
        (problem,) = problems_of(speed.format("", f', plus = "AO+"{more}'))
        assert problem.do.startswith("if the controller feeds it, take plus away")
        assert bridge.replace("\n", " ") in problem.do and "feed =" not in problem.do
        assert ("0 V as common" in problem.do) is ("common" not in more)
        assert parse_mapping(speed.format(f"{bridge}\n", more), "m").mapping.speed
    (unsaid,) = problems_of(speed.format("", ', plus = "AO+"'))  # nobody says who feeds it: both ways
    assert unsaid.do.startswith('write feed = "+24V"') and "0 V as common" in unsaid.do


def test_missing_machine() -> None:
    (problem,) = problems_of('[jog]\ninput = "A"')
    assert (problem.line, problem.where) == (None, "machine")
    assert "machine = " in problem.do


def test_every_problem_is_found_at_once_in_the_order_of_lines() -> None:
    text = """machine = 5
[jog]
input = "A\\nB"
metre = 24.3
wires = { input = "grn", common = 4, comon = "red" }
output = { kind = "contact", plus = "A", minus = 3 }
screen = "x"
[nonsense]
a = "\\n"
b.c = 5
"""
    found = [(problem.line, problem.where) for problem in problems_of(text)]
    assert found == [
        (1, "machine"),
        (3, "jog.input"),
        (4, "jog.metre"),
        (5, "jog.wires.common"),
        (5, "jog.wires.comon"),
        (5, "jog.wires.input"),
        (6, "jog.output.minus"),
        (6, "jog.output.plus"),
        (7, "jog.screen"),
        (8, "[nonsense]"),
    ]


def test_problems_do_not_depend_on_the_order_of_tables() -> None:
    parts = ["[jog]\ninput = 5\n", "[speed]\nsignal = 6\n", '[drive]\nnme = "x"\n']
    one = {(p.where, p.reason, p.do) for p in problems_of(HEAD + "".join(parts))}
    other = {(p.where, p.reason, p.do) for p in problems_of(HEAD + "".join(reversed(parts)))}
    assert one == other
    assert len(one) == 3


def test_rendering() -> None:
    (problem,) = problems_of(f'{HEAD}[run-foward]\ninput = "A"')
    assert render(problem) == "pump3.toml:2: [run-foward]\n  no such table\n  do: did you mean [run-forward]?"
    whole = Problem("m.toml", None, "", "x", "why", "what")
    assert render(whole) == "m.toml:\n  why; wrote x\n  do: what"


def test_an_error_prints_and_pickles_its_problems() -> None:
    with pytest.raises(MappingError) as caught:
        parse_mapping("a = 1\nb = 2", "m.toml")
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.problems == caught.value.problems
    assert str(again) == "\n".join(map(render, caught.value.problems))


def test_long_and_unseen_words_are_shortened() -> None:
    assert len(shorten("x" * 500)) == LONGEST_QUOTE
    assert shorten("a\nb\x1b[31m") == "a\\nb\\u001b[31m"
    (problem,) = problems_of(f'{HEAD}[jog]\ninput = ["{"y" * 500}"]')
    assert len(problem.wrote) == LONGEST_QUOTE
