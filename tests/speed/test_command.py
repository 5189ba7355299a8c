"""The command `speeds`: what it prints, what it writes, how it ends."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from doorsheet_cli.main import app
from doorsheet_cli.say import CAUTION

GALLERY = Path(__file__).parents[2] / "gallery"
TABLES = (
    'machine = "Spindle"\n[speed]\nsignal = "A"\ncommon = "C"\nrange = "0-10 V"\n'
    'source = { signal = "B", common = "D", range = "0-10 V" }\n'
    '[motor]\npoles = 2\nmax-frequency = "400 Hz"\n'
    '[speeds]\nfull-scale = "24000 rpm"\n'
)
STUCK = TABLES + "measured = [[6000, 12000], [12000, 12010], [24000, 11990]]\n"


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, ["speeds", *map(str, words)])


@pytest.fixture
def spindle(tmp_path: Path) -> Path:
    path = tmp_path / "spindle.toml"
    path.write_text(TABLES + "measured = [[6000, 5600], [12000, 11210], [24000, 22400]]\n", encoding="utf-8")
    return path


def test_it_prints_the_table_the_verdict_and_the_caution(spindle: Path) -> None:
    result = run(spindle)
    assert result.exit_code == 0, result.output
    assert "gain: 6.7 % slow everywhere: gain 0.93" in result.stdout
    assert "full-scale speed 22397 rpm" in result.stdout
    assert CAUTION in result.stdout
    assert result.stderr == ""


def test_a_bad_verdict_is_no_failure(spindle: Path) -> None:
    spindle.write_text(STUCK, encoding="utf-8")
    result = run(spindle)
    assert result.exit_code == 0
    assert "stuck: " in result.stdout


def test_json_says_the_same(spindle: Path) -> None:
    data = json.loads(run(spindle, "--format", "json").stdout)
    assert data["measured"]["verdict"]["kind"] == "gain"
    assert data["measured"]["fit"]["gain"] == pytest.approx(0.933, abs=0.001)
    assert data["rows"][-1]["tool_rpm"] == 24000
    assert data["facts"]["rated_hz"] is None
    assert data["facts"]["path"]["drive"] == {"rest": 0, "full": 10, "reverse": None, "unit": "V"}
    assert {entry["end"] for entry in data["corrections"]} == {"drive", "controller"}


@pytest.mark.parametrize(("ending", "magic"), [("svg", b"<svg"), ("pdf", b"%PDF"), ("png", b"\x89PNG")])
def test_it_draws(spindle: Path, ending: str, magic: bytes) -> None:
    target = spindle.with_name(f"plot.{ending}")
    assert run(spindle, "--to", target).exit_code == 0
    assert target.read_bytes().startswith(magic)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--to", "plot.jpeg"), ".svg, .pdf or .png"),
        (("--to", "nowhere/plot.svg"), "folder does not exist"),
        (("--format", "xml"), "text or json"),
    ],
)
def test_wrong_words_end_with_2_and_one_line(spindle: Path, words: tuple[str, ...], said: str) -> None:
    result = run(spindle, *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


def test_nothing_to_work_out(tmp_path: Path) -> None:
    path = tmp_path / "bare.toml"
    path.write_text('machine = "M"\n', encoding="utf-8")
    result = run(path)
    assert result.exit_code == 2
    assert result.stderr.strip().splitlines() == [
        "doorsheet: bare.toml has no [speed], [motor] or [speeds]: there is nothing to work out"
    ]


def test_nothing_to_draw_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "bare.toml"
    path.write_text('machine = "M"\n[speed]\nsignal = "A"\ncommon = "C"\n', encoding="utf-8")
    assert run(path).exit_code == 0
    result = run(path, "--to", tmp_path / "plot.svg")
    assert result.exit_code == 2 and "nothing to draw" in result.stderr
    assert not (tmp_path / "plot.svg").exists()


def test_never_overwrites_the_mapping(tmp_path: Path) -> None:
    path = tmp_path / "odd.svg"
    path.write_text(TABLES, encoding="utf-8")
    assert run(path, "--to", path).exit_code == 2
    assert path.read_text(encoding="utf-8") == TABLES


@pytest.mark.parametrize("mapping", sorted(GALLERY.glob("*.toml")), ids=lambda path: path.stem)
def test_gallery_machines_end_well_or_say_why(mapping: Path) -> None:
    result = run(mapping)
    assert result.exit_code in (0, 2)
    assert "Traceback" not in result.output
    assert (result.exit_code == 2) == ("nothing to work out" in result.stderr)


def test_text_needs_no_heavy_library(spindle: Path) -> None:
    code = (
        "import sys\nfrom doorsheet.mapping.reading import read_mapping\nfrom pathlib import Path\n"
        "from doorsheet.speed import as_text, speed_report\n"
        f"as_text(speed_report(read_mapping(Path({str(spindle)!r}))))\n"
        "print(sorted({'matplotlib', 'numpy', 'PIL', 'schemdraw'} & set(sys.modules)))\n"
    )
    assert _printed(code).strip() == "[]"


def _printed(code: str) -> str:
    """Run code in a fresh interpreter that finds the package, and return what it prints."""
    top = Path(__file__).parents[2]
    paths = {**os.environ, "PYTHONPATH": os.pathsep.join([str(top / "diagrams"), str(top / "cli")])}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=paths, check=True)
    return done.stdout
