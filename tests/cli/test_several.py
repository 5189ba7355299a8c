"""Several drives at the command: what takes them, and what says that it takes one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from doorsheet import draw_text
from doorsheet_cli.main import app
from tests.plants import TWO_PUMPS, plant


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture
def pumps(tmp_path: Path) -> Path:
    path = tmp_path / "pumps.toml"
    path.write_text(TWO_PUMPS, encoding="utf-8")
    return path


@pytest.mark.parametrize("command", ["booklet", "post", "speeds"])
def test_what_takes_one_drive_ends_with_2_and_writes_nothing(command: str, pumps: Path) -> None:
    result = run(command, pumps)
    assert result.exit_code == 2
    assert "takes one drive, and this mapping has 2" in result.output
    assert [path.name for path in pumps.parent.iterdir()] == ["pumps.toml"]


def test_draw_check_and_recover_take_several(pumps: Path) -> None:
    target = pumps.with_suffix(".pdf")
    result = run("draw", pumps, "--to", target)
    assert result.exit_code == 0, result.output
    assert "final stage, 10 wires" in result.stdout
    assert run("recover", target).stdout == TWO_PUMPS
    assert run("check", pumps).exit_code == 0
    assert run("draw", pumps, "--stage", "speed").exit_code == 2


def test_a_finding_names_its_drive_as_json_too(pumps: Path) -> None:
    pumps.write_text(TWO_PUMPS.replace('"OUT2+"', '"OUT1+"'), encoding="utf-8")
    result = run("check", pumps, "--format", "json")
    assert result.exit_code == 1
    (record,) = (record for record in json.loads(result.stdout) if record["code"] == "T102")
    assert (record["drive"], record["control"]) == ("pump-2", "run-forward")


def test_crossings_are_said_of_all_sheets_together(pumps: Path) -> None:
    assert ", no crossing, " in run("draw", pumps, "--paper", "A3", "--stage", "bench").stdout
    pumps.write_text(plant(2), encoding="utf-8")
    sheet = draw_text(plant(2))
    assert len(sheet.pages) > 1
    crossed = sum(page.crossings.drawn for page in sheet.pages)
    assert crossed == sheet.crossings.needed > 1
    said = run("draw", pumps).stdout.rpartition(".svg: ")[2]
    proved = f"{crossed} crossings (proved: no fewer on sheets so cut)"
    assert said.startswith(f"final stage, 20 wires, {proved}, 297 x 210 mm, 4 sheets")
