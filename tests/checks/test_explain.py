"""`doorsheet explain`, and the figures in `check --format json`."""

from __future__ import annotations

import json
from pathlib import Path

from typer.testing import CliRunner

from doorsheet.circuit.codes import CODES
from doorsheet_cli.main import app
from tests.circuit.checks.cases import tripping

RUN = CliRunner()


def test_explain_prints_rule_formula_source_and_example() -> None:
    result = RUN.invoke(app, ["explain", "a104"])
    assert result.exit_code == 0
    assert result.stdout.startswith("A104  caution")
    assert "1 %" in result.stdout
    assert "[speed]" in result.stdout


def test_explain_alone_lists_all() -> None:
    result = RUN.invoke(app, ["explain"])
    assert [line.split()[0] for line in result.stdout.splitlines()] == list(CODES)


def test_explain_names_the_near_miss_and_ends_with_two() -> None:
    result = RUN.invoke(app, ["explain", "O2O1"])
    assert result.exit_code == 2
    assert "did you mean O201" in result.stderr
    assert RUN.invoke(app, ["explain", "what"]).exit_code == 2


def test_json_has_the_figures(tmp_path: Path) -> None:
    path = tmp_path / "example.toml"
    path.write_text(tripping("O201"), encoding="utf-8")
    result = RUN.invoke(app, ["check", str(path), "--format", "json"])
    assert result.exit_code == 1
    (finding,) = [entry for entry in json.loads(result.stdout) if entry["code"] == "O201"]
    assert finding["figures"][1] == {
        "name": "voltage rating of the output",
        "value": "24 V",
        "origin": "given, line 5",
    }


def test_notes_do_not_change_the_exit_status(tmp_path: Path) -> None:
    path = tmp_path / "example.toml"
    path.write_text(tripping("F101"), encoding="utf-8")
    result = RUN.invoke(app, ["check", str(path)])
    assert "note F101" in result.stdout
    assert result.exit_code == 0
