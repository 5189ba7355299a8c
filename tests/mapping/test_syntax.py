from __future__ import annotations

import pytest

from doorsheet.mapping import MappingError, parse_mapping
from tests.mapping.places import problem_of


@pytest.mark.parametrize(
    ("text", "line", "reason", "do"),
    [
        ("\ninput = DI1", 2, "quotes", 'write input = "DI1"'),
        ("meter = 24.3 V", 1, "quotes", 'write meter = "24.3 V"'),
        ("a = 1\nmeter = 24,3\nb = 2", 2, "decimal point", "write meter = 24.3"),
        ("meter = -24,3", 1, "decimal point", "write meter = -24.3"),
        ('input = "DI1\ncommon = "COM"', 1, "closing quote", 'add "'),
        ('input = "DI1', 1, "closing quote", 'write input = "DI1"'),
        ("input = 'DI1", 1, "closing quote", "write input = 'DI1'"),
        ("input = “DI1”", 1, "curly", "plain quotes"),
        ('input "DI1"', 1, "= between", 'write input = "DI1"'),
        ('input: "DI1"', 1, "= between", 'write input = "DI1"'),
        ("hello", 1, "[table] or key = value", "put #"),
        ("a =\nb = 2", 1, "no value", 'a = "…"'),
        ("= 3", 1, "a key is one word", "run-forward"),
        ('run forward = "a"', 1, "a key is one word", "run-forward"),
        ("[run forward]\n", 1, "between brackets", "write [run-forward]"),
        ("[drives.Süd.run forward]\n", 1, "between brackets", 'write [drives."Süd".run-forward]'),
        ('[drives."Süd 2.a".run forward]\n', 1, "between brackets", 'write [drives."Süd 2.a".run-forward]'),
        ("[drive\na = 1", 1, "between brackets", "write [drive]"),
        ("a = True", 1, "in lower case", "write a = true"),
        ('a = "x" "y"', 1, "something follows", "#"),
        ('a = "c:\\dir"', 1, "backslash", "two backslashes"),
        ("o = { a = 1, }", 1, "after its last entry", "last comma"),
        ("o = { a = 1", 1, "not closed by }", "missing }"),
        ('o = { a = "1", b = "2"\nx = 1', 1, "not closed by }", "missing }"),
        ("o = { a = OUT1+ }", 1, "entries between { and }", "quotes"),
        ('o = ["a" "b"]', 1, "entries between [ and ]", "comma"),
        ('o = ["a, "b"]', 1, "a quote is missing", "both sides"),
        ("o = [1,\n 2,\nx = 1", 1, "not closed by ]", "missing ]"),
        ("o = [\n  DI1,\n]", 2, "quotes", 'write "DI1"'),
        ('o = [\n  "a"\n  "b"\n]', 1, "not closed by ]", "the comma between"),
        ('a = 1\nb = """x\ny\n', 2, "three closing quotes", "same three"),
        ("[a]\nx = 1\n[b]\n[a] # again", 4, "[a] is already given on line 1", "one header"),
        ("x = 1\n[b]\nx = 1\ny = 2\nx = 3\n[c]", 5, "x is already given on line 3", "keep one"),
        ("x = 1\nx = 2", 2, "x is already given on line 1", "keep one"),
        ("a.b = 1\n[a]", 2, "given twice", "one header"),
        ("a = 1 # \x01", 1, "control character", "delete"),
        ("a = 1\rb = 2", 1, "carriage returns", "LF"),
    ],
)
def test_usual_slips(text: str, line: int, reason: str, do: str) -> None:
    problem = problem_of(text)
    assert problem.line == line
    assert reason in problem.reason
    assert do in problem.do


@pytest.mark.parametrize("text", ["meter = 24,3", "input = DI1", 'input "DI1"', "a = True", "input = 'DI1"])
def test_the_advice_can_be_parsed(text: str) -> None:
    advice = problem_of(text).do.removeprefix("write ")
    with pytest.raises(MappingError) as caught:
        parse_mapping(advice, "m.toml")  # no mapping, but TOML: the complaint is about the keys
    assert {problem.where for problem in caught.value.problems} >= {"machine"}


def test_the_line_is_quoted() -> None:
    assert problem_of('[jog]\n  input = DI1 # "x"').wrote == 'input = DI1 # "x"'


def test_syntax_comes_alone() -> None:
    assert problem_of("machine = 5\n[nonsense]\nx = y").line == 3
