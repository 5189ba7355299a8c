"""How much a mapping may hold: a bound stands in gallery/mapping.md, is taken at it and refused past it."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from doorsheet.mapping import MappingError
from doorsheet.mapping.problems import LONGEST_QUOTE
from doorsheet.mapping.reading import parse_mapping, read_mapping
from gallery.write_keys import headings

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
    "Mapping drives": lambda count: (
        HEAD + "".join(RUN.replace("[", f"[drives.p{i}.", 1) for i in range(count))
    ),
    "Drive strip": listed("[drive]\nstrip = [", '"T#"'),
    "Drive links": listed("[drive]\nlinks = [", '{ between = ["A#", "B#"] }'),
    "Controller links": listed("[controller]\nlinks = [", '{ between = ["A#", "B#"] }'),
    "Drive selectors": listed("[drive]\nselectors = [", '{ name = "S#", set = "on" }'),
    "Drive settings": listed("[drive]\nsettings = [", '{ number = "P#", meaning = "start" }'),
    "Controller settings": listed("[controller]\nsettings = [", '{ name = "P#", set = "1" }'),
    "Drive dropped": lambda count: (
        FULL + "[drive.dropped]\n" + "".join(f"r{index} = ['X{index}']\n" for index in range(count))
    ),
    "Drive dropped, each": listed("[drive.dropped]\nspare = [", '"T#"'),
    "SwitchedControl chain": listed("chain = [", '"K#"'),
    "Controller loop-wires": listed('[controller]\nreturns = "looped"\nloop-wires = [', '"white"'),
    "AnalogSource other-inputs": listed(
        '[speed]\nsignal = "AI1"\nsource = { signal = "AO1", other-inputs = [', '"20 kohm"', "] }\n"
    ),
    "Mapping cables": lambda count: (
        FULL + "".join(f'[[cables]]\nname = "W{index}"\n' for index in range(count))
    ),
    "Mapping readings": lambda count: (
        HEAD + "readings = [" + '"red on DI1, black on COM: 24 V",' * count + "]\n" + RUN
    ),
    "Mapping done": lambda count: FULL + '[[done]]\nwhat = "prove-dead"\n' * count,
    "Speeds measured": lambda count: (
        HEAD
        + "[speeds]\nmeasured = ["
        + ",".join(f"[{100 + i}, {90 + i}]" for i in range(count))
        + "]\n"
        + RUN
    ),
    "SheetFields notes": listed("[sheet]\nnotes = [", '"note #"'),
    "SheetFields revisions": listed("[sheet]\nrevisions = [", '{ index = "#", what = "x" }'),
    "Done wires": listed('[[done]]\nwhat = "bench"\nwires = [', '"jog: DI# – S1:1"'),
    "SwitchedControl input": lambda count: FULL.replace("DI1", "D" * count),
    "Mapping machine": lambda count: FULL.replace('"M"', f'"{"M" * count}"'),
    "SheetFields notes, each": lambda count: FULL + f'[sheet]\nnotes = ["{"n" * count}"]\n',
    "WireSpec number": lambda count: FULL + f'wires = {{ input = {{ number = "{"9" * count}" }} }}\n',
    "bytes of the file": lambda count: FULL + "#" * (count - len(FULL)),
}
"""What is bounded, and a mapping with so many of it."""


def rows() -> Iterator[tuple[str, list[int]]]:
    """Yield each table and key of gallery/mapping.md, and how many of it the page says there may be."""
    for name, heading in headings().items():
        section = PAGE.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
        for key, row in re.findall(r"^\| `([a-z0-9-]+)` \| (.* up to .*)$", section, re.MULTILINE):
            yield f"{name} {key}", [int(most) for most in re.findall(r" up to (\d+)", row)]


TABLE = {f"{what}{', each' * nth}": one for what, most in rows() for nth, one in enumerate(most)}


def test_every_list_of_the_page_is_tried() -> None:
    lists = re.findall(r"^\| `([a-z0-9-]+)` \| .* of up to ", PAGE, re.MULTILINE)
    assert {"strip", "measured"} <= {*lists}
    assert {*lists} <= {what.split()[1] for what in BOUNDS if " " in what}
    assert {*BOUNDS} - {*TABLE} == {"bytes of the file"}


@pytest.mark.parametrize("what", [what for what in BOUNDS if what != "bytes of the file"])
def test_a_bound_is_taken_and_past_it_refused_with_line_and_number(what: str) -> None:
    most = TABLE[what]
    parse_mapping(BOUNDS[what](most), "m.toml")
    with pytest.raises(MappingError) as caught:
        parse_mapping(BOUNDS[what](most + 1), "m.toml")
    (problem,) = caught.value.problems
    assert problem.line is not None
    assert str(most) in problem.reason + problem.do or str(most + 1) in problem.reason


def test_a_file_may_have_a_megabyte(tmp_path: Path) -> None:
    said = re.search(r"a file may have ([\d ]+) bytes", PAGE)
    assert said is not None
    path, most = tmp_path / "m.toml", int(said[1].replace(" ", ""))
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
    "a long list": BOUNDS["Drive links"](20_000),
    "a long key": HEAD + ".".join("a" * 200_000) + " = 1\n",
    "a long header": HEAD + f"[{'.'.join('a' * 200_000)}]\n",
    "many dots": HEAD + "".join(f"a{index}{'.b' * 60} = 1\n" for index in range(6000)),
    "a deep table": HEAD + "x = " + "{a=" * 5000 + "1" + "}" * 5000,
    "a deep list": HEAD + "x = " + "[" * 100_000 + "]" * 100_000,
    "many drives": BOUNDS["Mapping drives"](2000),
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
