"""Several drives at the command: everything takes them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from doorsheet import draw_text
from tests.cli.inside import invoke as run
from tests.plants import TWO_PUMPS, plant


@pytest.fixture
def pumps(tmp_path: Path) -> Path:
    path = tmp_path / "pumps.toml"
    path.write_text(TWO_PUMPS, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("words", "written"),
    [
        (("booklet",), {"pumps-booklet.pdf"}),
        (("post",), {"pumps-post.png", "pumps-post.md"}),
        (("post", "--drive", "pump-2"), {"pumps-post.png", "pumps-post.md"}),
        (("speeds",), set()),
    ],
)
def test_the_other_papers_are_written_for_several(
    words: tuple[str, ...], written: set[str], pumps: Path
) -> None:
    result = run(*words[:1], pumps, *words[1:])
    assert result.exit_code == 0, result.output
    assert {path.name for path in pumps.parent.iterdir()} == {"pumps.toml", *written}


def test_speeds_of_several_drives_come_one_after_the_other(pumps: Path) -> None:
    said = run("speeds", pumps).stdout
    assert 0 <= said.index("Transfer pumps, pump-1\n") < said.index("Transfer pumps, pump-2\n")
    data = json.loads(run("speeds", pumps, "--format", "json").stdout)
    assert [one["drive"] for one in data] == ["pump-1", "pump-2"]


_SPINDLE = """
[drives.{name}]
[drives.{name}.speed]
signal = "A"
common = "G"
range = "0-10 V"
source = {{ signal = "{source}", common = "0V", range = "0-10 V" }}
[drives.{name}.motor]
poles = 2
max-frequency = "400 Hz"
[drives.{name}.speeds]
full-scale = "24000 rpm"
"""


def test_each_drive_has_a_plot_and_one_without_figures_has_none(tmp_path: Path) -> None:
    file = tmp_path / "spindles.toml"
    idle = '[drives.idle.speed]\nsignal = "A"\n'
    spindles = [_SPINDLE.format(name=name, source=name.upper()) for name in ("left", "right")]
    file.write_text(f'machine = "Spindles"\n{spindles[0]}{idle}{spindles[1]}', encoding="utf-8")
    result = run("speeds", file, "--to", tmp_path / "plot.svg")
    assert result.exit_code == 0, result.output
    left, right = ((tmp_path / f"plot-{number}.svg").read_text(encoding="utf-8") for number in (1, 2))
    assert "Spindles, left: commanded and real speed" in left
    assert "Spindles, right: commanded and real speed" in right
    assert len(list(tmp_path.glob("plot*"))) == 2
    file.write_text(f'machine = "Spindles"\n{idle}{idle.replace("idle", "spare")}', encoding="utf-8")
    assert run("speeds", file, "--to", tmp_path / "none.svg").exit_code == 2


def test_a_drive_or_a_stage_that_there_is_not_ends_with_2(pumps: Path) -> None:
    for words in (("post", pumps, "--drive", "pump-3"), ("post", pumps, "--stage", "speed")):
        result = run(*words)
        assert result.exit_code == 2
        assert "pump-1" in result.output and "pump-2" in result.output
    assert [path.name for path in pumps.parent.iterdir()] == ["pumps.toml"]


def test_draw_check_and_recover_take_several(pumps: Path) -> None:
    target = pumps.with_suffix(".pdf")
    result = run("draw", pumps, "--to", target)
    assert result.exit_code == 0, result.output
    assert "final stage, 10 wires" in result.stdout
    assert run("recover", target).stdout == TWO_PUMPS
    assert run("check", pumps).exit_code == 0
    assert run("draw", pumps, "--stage", "speed").exit_code == 2
    said = run("draw", pumps, "--stage", "pump-1 speed", "--paper", "A3").stdout
    assert "pump-1.speed stage, 9 wires" in said


def test_a_finding_names_its_drive_as_json_too(pumps: Path) -> None:
    pumps.write_text(TWO_PUMPS.replace('"OUT2+"', '"OUT1+"'), encoding="utf-8")
    result = run("check", pumps, "--format", "json")
    assert result.exit_code == 1
    groups = json.loads(result.stdout)["groups"]
    (record,) = (one for group in groups for one in group["findings"] if one["code"] == "T102")
    assert (record["drive"], record["control"]) == ("pump-2", "run-forward")


def test_crossings_are_said_of_all_sheets_together(pumps: Path) -> None:
    assert ", no crossing, " in run("draw", pumps, "--paper", "A3", "--stage", "bench").stdout
    pumps.write_text(plant(4), encoding="utf-8")
    sheet = draw_text(plant(4))
    assert len(sheet.pages) > 1
    crossed = sum(page.crossings.drawn for page in sheet.pages)
    assert crossed == sheet.crossings.drawn >= sheet.crossings.needed > 1
    said = run("draw", pumps).stdout.rpartition(".svg: ")[2]
    assert said.startswith(f"final stage, 40 wires, {crossed} crossings (")
    assert f" mm, {len(sheet.pages)} sheets" in said
