"""How much a mapping may hold: a bound stands in gallery/mapping.md, is taken at it and refused past it."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from doorsheet.mapping import MappingError
from doorsheet.mapping.problems import LONGEST_QUOTE
from doorsheet.mapping.reading import parse_mapping, read_mapping

PAGE = (Path(__file__).parents[2] / "gallery" / "mapping.md").read_text(encoding="utf-8")
HEAD = 'machine = "M"\n'
RUN = '[run-forward]\ninput = "DI1"\ncommon = "COM"\noutput = { plus = "Y1+", minus = "Y1-" }\n'
FULL = HEAD + RUN


def listed(before: str, entry: str, after: str = "]\n") -> Callable[[int], str]:
    """Return a mapping with so many entries in a list; `#` in an entry is its number."""
    return lambda count: (
        FULL + before + ", ".join(entry.replace("#", str(index)) for index in range(count)) + after
    )


BOUNDS: dict[str, Callable[[int], str]] = {
    "drives": lambda count: HEAD + "".join(RUN.replace("[", f"[drives.p{i}.", 1) for i in range(count)),
    "terminals in a strip": listed("[drive]\nstrip = [", '"T#"'),
    "links on a device": listed("[drive]\nlinks = [", '{ between = ["A#", "B#"] }'),
    "selectors of a drive": listed("[drive]\nselectors = [", '{ name = "S#", set = "on" }'),
    "settings of a device": listed("[drive]\nsettings = [", '{ number = "P#", meaning = "start" }'),
    "reasons to leave terminals out": lambda count: (
        FULL + "[drive.dropped]\n" + "".join(f"r{index} = ['X{index}']\n" for index in range(count))
    ),
    "terminals left out for one reason": listed("[drive.dropped]\nspare = [", '"T#"'),
    "contacts in a control's loop": listed("chain = [", '"K#"'),
    "wires of looped returns": listed('[controller]\nreturns = "looped"\nloop-wires = [', '"white"'),
    "further inputs at a source": listed(
        '[speed]\nsignal = "AI1"\nsource = { signal = "AO1", other-inputs = [', '"20 kohm"', "] }\n"
    ),
    "cables": lambda count: FULL + "".join(f'[[cables]]\nname = "W{index}"\n' for index in range(count)),
    "readings of a drive": lambda count: (
        HEAD + "readings = [" + '"red on DI1, black on COM: 24 V",' * count + "]\n" + RUN
    ),
    "entries of the log": lambda count: FULL + '[[done]]\nwhat = "prove-dead"\n' * count,
    "measured speeds": lambda count: (
        HEAD
        + "[speeds]\nmeasured = ["
        + ",".join(f"[{100 + i}, {90 + i}]" for i in range(count))
        + "]\n"
        + RUN
    ),
    "notes on the sheet": listed("[sheet]\nnotes = [", '"note #"'),
    "revisions": listed("[sheet]\nrevisions = [", '{ index = "#", what = "x" }'),
    "characters of a terminal's label": lambda count: FULL.replace("DI1", "D" * count),
    "characters of a name": lambda count: FULL.replace('"M"', f'"{"M" * count}"'),
    "characters of a note": lambda count: FULL + f'[sheet]\nnotes = ["{"n" * count}"]\n',
    "characters of a wire's number": lambda count: (
        FULL + f'wires = {{ input = {{ number = "{"9" * count}" }} }}\n'
    ),
    "bytes of the file": lambda count: FULL + "#" * (count - len(FULL)),
}
"""What is bounded, as gallery/mapping.md calls it, and a mapping with so many of it."""

TABLE = dict(re.findall(r"^\| ([^|]+?) \| ([\d ]+) \|$", PAGE[PAGE.index("## How much") :], re.MULTILINE))


def test_every_bound_of_the_page_is_tried() -> None:
    assert set(TABLE) == set(BOUNDS)


@pytest.mark.parametrize("what", [what for what in BOUNDS if what != "bytes of the file"])
def test_a_bound_is_taken_and_past_it_refused_with_line_and_number(what: str) -> None:
    most = int(TABLE[what])
    parse_mapping(BOUNDS[what](most), "m.toml")
    with pytest.raises(MappingError) as caught:
        parse_mapping(BOUNDS[what](most + 1), "m.toml")
    (problem,) = caught.value.problems
    assert problem.line is not None
    assert str(most) in problem.reason + problem.do or str(most + 1) in problem.reason


def test_a_file_may_have_a_megabyte(tmp_path: Path) -> None:
    path, most = tmp_path / "m.toml", int(TABLE["bytes of the file"].replace(" ", ""))
    path.write_text(BOUNDS["bytes of the file"](most))
    read_mapping(path)
    path.write_text(BOUNDS["bytes of the file"](most + 1))
    with pytest.raises(MappingError, match="larger than 1 MB"):
        read_mapping(path)


HUGE = {
    "unknown keys": FULL + "".join(f"key{index} = {index}\n" for index in range(10_000)),
    "unknown tables": FULL + "".join(f"[tab{index}]\na = 1\n" for index in range(10_000)),
    "a long number in quotes": FULL + f'meter = "{"9" * 500_000}"\n',
    "a long number": FULL + f"meter = {'9' * 500_000}\n",
    "a long word": FULL + f'meter = "{"x" * 900_000}"\n',
    "a long list": BOUNDS["links on a device"](20_000),
    "a long key": HEAD + ".".join("a" * 200_000) + " = 1\n",
    "a long header": HEAD + f"[{'.'.join('a' * 200_000)}]\n",
    "many dots": HEAD + "".join(f"a{index}{'.b' * 60} = 1\n" for index in range(6000)),
    "a deep table": HEAD + "x = " + "{a=" * 5000 + "1" + "}" * 5000,
    "a deep list": HEAD + "x = " + "[" * 100_000 + "]" * 100_000,
    "many drives": BOUNDS["drives"](2000),
    "letters that can't be drawn": FULL + f'[sheet]\nowner = "{"א" * 300_000}"\n',
    "notes that can't be drawn": FULL
    + f"[sheet]\nnotes = [{', '.join([chr(34) + 'א' + chr(34)] * 50_000)}]\n",
    "wrong settings": FULL + "[[drive.settings]]\nx = 1\n" * 20_000,
    "lines": FULL + "\n" * 900_000,
}


@pytest.mark.parametrize("text", HUGE.values(), ids=HUGE)
def test_a_megabyte_of_anything_is_answered_soon_and_in_few_words(text: str) -> None:
    assert len(text.encode()) <= 1_000_000
    start = time.process_time()
    said = ""
    try:
        parse_mapping(text, "m.toml")
    except MappingError as error:
        said = str(error)
    assert time.process_time() - start < 4.0  # twice what is promised: machines differ
    assert len(said) < 20_000
    assert max(map(len, said.split("\n"))) < 800


def test_a_dotted_text_is_no_deep_key() -> None:
    dots = ".".join("123456789") + "." + ".".join("a" * 20)
    text = FULL + f'[sheet]\nnotes = ["{dots}", "{"." * 200}"] # {dots}\n'
    assert parse_mapping(text, "m.toml").mapping.sheet.notes[0] == dots


def test_what_was_not_put_into_words_is_counted() -> None:
    with pytest.raises(MappingError) as caught:
        parse_mapping(HUGE["unknown keys"], "m.toml")
    assert len(caught.value.problems) + caught.value.more == 10_000
    assert [problem.line for problem in caught.value.problems[:3]] == [6, 7, 8]


def test_no_problem_no_error() -> None:
    with pytest.raises(TypeError):
        MappingError([])


def test_quotes_are_short() -> None:
    with pytest.raises(MappingError) as caught:
        parse_mapping(FULL + f'meter = "{"x" * 900}"\n"{"k" * 900}" = 1\n', "m.toml")
    for problem in caught.value.problems:
        assert "x" * LONGEST_QUOTE not in str(problem) and "k" * LONGEST_QUOTE not in str(problem)
