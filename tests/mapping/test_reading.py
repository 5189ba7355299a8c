from __future__ import annotations

import datetime
import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from doorsheet.mapping import MappingError, Problem, ReadMapping, parse_mapping, read_mapping
from doorsheet.mapping.controls import Output, SwitchedControl
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import LARGEST_BYTES
from tests.mapping.places import problem_of

ROOT = Path(__file__).parents[2]
LATHE = ROOT / "gallery" / "lathe.toml"


def read(text: str) -> ReadMapping:
    return parse_mapping(text, "pump3.toml")


def refusal_of(path: Path) -> Problem:
    with pytest.raises(MappingError) as caught:
        read_mapping(path)
    (problem,) = caught.value.problems
    return problem


def test_the_lathe() -> None:
    found = read_mapping(LATHE)
    forward = found.mapping.run_forward
    assert forward is not None and forward.output is not None
    assert (forward.input, forward.common, forward.meter) == ("DI1", "COM", 24.3)
    assert (forward.output.kind, forward.output.plus, forward.output.minus) == ("isolated", "OUT1+", "OUT1-")
    assert (forward.wires.input.colour, forward.wires.common.colour) == ("white", "brown")
    assert found.mapping.control_names == ("run-forward", "run-reverse", "speed")
    assert found.source.name == "lathe.toml"


def test_lines_of_the_lathe_hold_their_keys() -> None:
    source = read_mapping(LATHE).source
    rows = source.text.split("\n")
    for path, line in source.lines.items():
        assert str(path[-1]) in rows[line - 1]
    assert source.line_of("run-forward", "wires", "common", "colour") == source.line_of(
        "run-forward", "wires"
    )
    assert source.line_of("run-forward", "cable") == source.line_of("run-forward")
    assert source.line_of("fault", "input") is None
    assert source.line_of() is None


def test_file_order_of_controls_is_kept() -> None:
    text = 'machine = "M"\n[speed]\nsignal = "A"\n[jog]\ninput = "J"\n[run-forward]\ninput = "F"\n'
    assert read(text).mapping.control_names == ("speed", "jog", "run-forward")


@pytest.mark.parametrize(
    ("written", "volts"),
    [
        ("24.3", 24.3),
        ("24", 24.0),
        ("-24.3", -24.3),
        ("0", 0.0),
        ('"24.3"', 24.3),
        ('"24,3"', 24.3),
        ('"24.3 V"', 24.3),
        ('"24,3V"', 24.3),
        ('" 24.3 V DC "', 24.3),
        ('"+24.3 V"', 24.3),
        ('"-24,3 V"', -24.3),
        ('"\N{MINUS SIGN}24.3 V"', -24.3),
        ('".5 V"', 0.5),
        ('"0,350"', 0.35),
        ('"unknown"', "unknown"),
    ],
)
def test_meter_readings(written: str, volts: float | str) -> None:
    control = read(f'machine = "M"\n[jog]\ninput = "J"\nmeter = {written}\n').mapping.jog
    assert control is not None and control.meter == volts
    assert type(control.meter) is type(volts)


@pytest.mark.parametrize(
    "written",
    [
        '"1,000"',  # one volt, or a thousand?
        '"24.3.1"',
        '"1,2,3"',
        '"24.3 mV"',
        '"24 A"',
        '""',
        '"V"',
        '"-"',
        '","',
        '"--3"',
        '"1e3"',
        '"1_0"',
        '"٢٤"',
        '"nan"',
        '"inf"',
        "nan",
        "inf",
        "true",
        "[24.3]",
        "{ value = 24.3 }",
        "2026-05-01",
        '"Unknown?"',
        "1000.5",
        "-2000",
    ],
)
def test_no_meter_readings(written: str) -> None:
    problem = problem_of(f'machine = "M"\n[jog]\ninput = "J"\nmeter = {written}\n')
    assert (problem.line, problem.where) == (4, "jog.meter")


@given(st.decimals(-1000, 1000, places=2), st.sampled_from(["", " V", "V", " V DC"]))
def test_decimal_comma_and_unit_change_no_reading(number: object, unit: str) -> None:
    def reading(written: str) -> object:
        control = read(f'machine = "M"\n[jog]\ninput = "J"\nmeter = {written}\n').mapping.jog
        return control.meter if control else None

    as_text = str(number)
    assert reading(f'"{as_text.replace(".", ",")}{unit}"') == reading(f'"{as_text}{unit}"') == float(as_text)


@pytest.mark.parametrize("written", ["2026-05-01", '"2026-05-01"'])
def test_dates(written: str) -> None:
    mapping = read(f'machine = "M"\n[sheet]\ndate = {written}\n').mapping
    assert mapping.sheet.date == datetime.date(2026, 5, 1)


@pytest.mark.parametrize(
    "written", ["5", "20260501", "0.0", "true", '"1.5.2026"', '"2026-13-01"', "07:32:00"]
)
def test_no_dates(written: str) -> None:
    assert problem_of(f'machine = "M"\n[sheet]\ndate = {written}\n').where == "sheet.date"


def test_short_forms_equal_long_ones() -> None:
    short = """
machine = "M"
[run-forward]
input = "F"
wires = { input = "white" }
screen = "drive"
switch = "S1"
[speed]
signal = "A"
potentiometer = "10 kΩ"
"""
    long = """
machine = "M"
[run-forward]
input = "F"
wires.input.colour = "white"
screen = { earthed = "drive" }
switch.name = "S1"
[speed]
signal = "A"
[speed.potentiometer]
value = "10 kΩ"
"""
    assert read(short).mapping == read(long).mapping


def test_text_is_taken_literally_but_composed() -> None:
    decomposed = unicodedata.normalize("NFD", "Säge Å")
    mapping = read(f'machine = "  {decomposed} <b> %s {{x}}  "\n').mapping
    assert mapping.machine == "Säge Å <b> %s {x}"


def test_byte_order_mark_and_line_ends_change_nothing(tmp_path: Path) -> None:
    plain = LATHE.read_bytes()
    dressed = tmp_path / "lathe.toml"
    dressed.write_bytes(b"\xef\xbb\xbf" + plain.replace(b"\n", b"\r\n"))
    found, expected = read_mapping(dressed), read_mapping(LATHE)
    assert found.mapping == expected.mapping
    assert found.source.lines == expected.source.lines


def test_models_refuse_what_files_may_not_say() -> None:
    with pytest.raises(ValueError, match="terminals"):
        Output(kind="isolated", plus="A", terminals=("1", "2"))
    with pytest.raises(ValueError, match="plus, minus or both"):
        Output()
    mapping = Mapping(machine="M", run_forward=SwitchedControl(input="DI1", meter=24.3))
    assert mapping.control_names == ("run-forward",)
    assert mapping.control("run-forward") is mapping.run_forward
    with pytest.raises(KeyError):
        mapping.control("jog")


# ---- Troubles of files ----


def test_no_such_file_names_the_near_one() -> None:
    problem = refusal_of(LATHE.with_name("lath.toml"))
    assert problem.line is None
    assert problem.reason == "no such file"
    assert "lathe.toml" in problem.do


def test_forgotten_ending_and_missing_folder(tmp_path: Path) -> None:
    (tmp_path / "mill.toml").write_text("x")
    assert "mill.toml" in refusal_of(tmp_path / "mill").do
    assert "mill.toml" in refusal_of(tmp_path / "quite different").do
    assert "no folder" in refusal_of(tmp_path / "gone" / "mill.toml").do


def test_folder(tmp_path: Path) -> None:
    assert "folder" in refusal_of(tmp_path).reason


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read every file")
def test_unreadable_file(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text('machine = "M"')
    path.chmod(0)
    assert "can't be read" in refusal_of(path).reason


def test_failing_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "m.toml"
    path.write_text('machine = "M"')

    def denied(*_: object, **__: object) -> object:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", denied)
    problem = refusal_of(path)
    assert problem.reason == "the file can't be read: Permission denied"


@pytest.mark.parametrize(
    ("content", "line", "word"),
    [
        (b"", None, "nothing"),
        (b"# only\n  # comments\n", None, "nothing"),
        (b'machine = "M"\n# caf\xe9\n', 2, "UTF-8"),
        ('machine = "M"'.encode("utf-16"), None, "UTF-16"),
        (b'machine = "M"\n\n\0', 3, "zero byte"),
        (b"<svg baseProfile=", None, "drawing"),
        (b"%PDF-1.4\n%\xe2\xe3", None, "drawing"),
        (b"\x89PNG\r\n\x1a\n", None, "drawing"),
        (b"#" * (LARGEST_BYTES + 1), None, "1 MB"),
        (b"x = " + b"[" * 20_000, None, "too deep"),
        (b"x = " + b"[" * 20_000 + b"]" * 20_000, None, "too deep"),
    ],
)
def test_content_that_is_no_mapping(tmp_path: Path, content: bytes, line: int | None, word: str) -> None:
    path = tmp_path / "m.toml"
    path.write_bytes(content)
    problem = refusal_of(path)
    assert (problem.file, problem.line) == ("m.toml", line)
    assert word in problem.reason


def test_largest_file_is_read(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    head = b'machine = "M"\n#'
    path.write_bytes(head + b"x" * (LARGEST_BYTES - len(head)))
    assert read_mapping(path).mapping.machine == "M"


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_with_problems(text: str) -> None:
    try:
        read(text)
    except MappingError as error:
        assert error.problems


ANY_DATA = st.recursive(
    st.one_of(st.none(), st.text("aV1 ", max_size=4), st.integers(-9, 9), st.booleans()),
    lambda inner: (
        st.lists(inner, max_size=2)
        | st.dictionaries(
            st.sampled_from(["machine", "input", "output", "wires", "meter", "plus", "kind", "speed", "x"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)


@given(ANY_DATA)
def test_any_data_is_read_or_refused_with_problems(data: object) -> None:
    def written(value: object) -> str:
        match value:
            case bool():
                return str(value).lower()
            case None:
                return '"unknown"'
            case dict():
                return "{" + ", ".join(f"{key} = {written(entry)}" for key, entry in value.items()) + "}"
            case list():
                return "[" + ", ".join(map(written, value)) + "]"
            case str():
                return f'"{value}"'
            case _:
                return str(value)

    entries = data if isinstance(data, dict) else {"run-forward": data}
    try:
        read("\n".join(f"{key} = {written(entry)}" for key, entry in entries.items()))
    except MappingError as error:
        assert error.problems
        assert all(problem.reason and problem.do for problem in error.problems)


def test_reading_a_good_file_leaves_out_what_only_trouble_needs() -> None:
    script = (
        "import sys; from pathlib import Path; from doorsheet.mapping import read_mapping; "
        f"read_mapping(Path({str(LATHE)!r})); print(*sorted(sys.modules))"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "diagrams")}
    result = subprocess.run(
        [sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True
    )
    loaded = set(result.stdout.split())
    assert "doorsheet.mapping.reading" in loaded
    trouble_only = {f"doorsheet.mapping.{name}" for name in ("explain", "syntax", "words", "schema")}
    assert not loaded & {"difflib", "matplotlib", "numpy", *trouble_only}
