from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from doorsheet.mapping.locate import KeyPath, locate
from tests.mapping.toml_texts import documents


def every_path(value: object, path: KeyPath = ()) -> Iterator[KeyPath]:
    entries: list[tuple[str | int, object]] = []
    if isinstance(value, dict):
        entries = list(value.items())
    elif isinstance(value, list):
        entries = list(enumerate(value))
    for key, entry in entries:
        yield (*path, key)
        yield from every_path(entry, (*path, key))


def parsed(text: str) -> dict[str, object]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        assume(False)
        raise


@settings(max_examples=100, deadline=None)
@given(documents())
def test_every_path_is_located_and_no_other(text: str) -> None:
    assert set(locate(text)) == set(every_path(parsed(text)))


@settings(max_examples=50, deadline=None)
@given(documents(), st.integers(1, 4))
def test_lines_move_with_what_stands_above(text: str, added: int) -> None:
    parsed(text)
    moved = locate("# above\n" * added + text)
    assert moved == {path: line + added for path, line in locate(text).items()}


@settings(max_examples=50, deadline=None)
@given(documents())
def test_line_ends_of_either_kind_give_the_same_lines(text: str) -> None:
    parsed(text)
    unix = text.replace("\r\n", "\n")
    assert locate(unix) == locate(unix.replace("\n", "\r\n"))


@settings(max_examples=50, deadline=None)
@given(documents())
def test_a_key_is_written_on_its_line(text: str) -> None:
    parsed(text)
    rows = text.split("\n")
    for path, line in locate(text).items():
        key = path[-1]
        if isinstance(key, str) and key.isalnum():
            assert key in rows[line - 1]


NASTY = '''\
machine = "a # not a comment" # [not.a.table]
"quoted key" = 1
'lit"eral' = { a = 1, "b.c" = [ 1, { d = "}" } ] }
esc\u0061ped = 1
"\\u0065\\"s=c" = 2
long = """
[not] = "a table"
x = 1"""
after = """ends with quotes"""""
raw = \'\'\'
\\\'\'\'
array = [
  "one", # ]
  [ "two",
    "three" ],

]
a . b . "c" = 1
a.b.d = 2

[late.part]
x = 1
[late]
y = 2
[[list]]
k = 1
[[list]]
k = 2
[list.sub]
z = 3
[[list.deep]]
w = 4
[[list.deep]]
w = 5
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("machine",), 1),
        (("quoted key",), 2),
        (('lit"eral', "b.c", 1, "d"), 3),
        (("escaped",), 4),
        (('e"s=c',), 5),
        (("long",), 6),
        (("after",), 9),
        (("raw",), 10),
        (("array",), 12),
        (("array", 0), 13),
        (("array", 1), 14),
        (("array", 1, 1), 15),
        (("a",), 18),
        (("a", "b", "c"), 18),
        (("a", "b", "d"), 19),
        (("late",), 23),
        (("late", "part", "x"), 22),
        (("late", "y"), 24),
        (("list",), 25),
        (("list", 0, "k"), 26),
        (("list", 1), 27),
        (("list", 1, "k"), 28),
        (("list", 1, "sub", "z"), 30),
        (("list", 1, "deep", 0, "w"), 32),
        (("list", 1, "deep", 1), 33),
        (("list", 1, "deep", 1, "w"), 34),
    ],
)
def test_lines_of_a_nasty_text(path: KeyPath, line: int) -> None:
    found = locate(NASTY)
    assert found[path] == line


def test_nasty_text_is_located_whole() -> None:
    assert set(locate(NASTY)) == set(every_path(tomllib.loads(NASTY)))


@pytest.mark.parametrize("text", ["", "\n", "# only a comment", "\r\n\t#x\r\n"])
def test_nothing_to_locate(text: str) -> None:
    assert locate(text) == {}


def test_last_line_without_an_end() -> None:
    assert locate("a = 1\nb = 2") == {("a",): 1, ("b",): 2}
    assert locate("[t] # x") == {("t",): 1}
