"""Codes in words: the page, `doorsheet explain`, and the figures in `check --format json`."""

from __future__ import annotations

import json
from pathlib import Path

from typer.testing import CliRunner

from doorsheet.checks import every_code
from doorsheet.checks.findings_page import code_list, explained, findings_page, near_code
from doorsheet_cli.main import app
from tests.checks.cases import tripping

RUN = CliRunner()
ROOT = Path(__file__).resolve().parents[2]


def test_the_page_is_what_the_checks_say() -> None:
    assert (ROOT / "gallery" / "findings.md").read_text(encoding="utf-8") == findings_page()


def test_the_page_has_every_code_once() -> None:
    page = findings_page()
    for code, entry in every_code().items():
        assert page.count(f"### {code}: ") == 1
        assert entry.source in page


def test_explained_has_all_parts() -> None:
    text = explained(every_code()["O205"])
    for part in ("O205", "stop", "Rule", "Formula", "Source", "IEC 61131-2", "Example", "saturation"):
        assert part in text
    assert len(code_list().splitlines()) == len(every_code())


def test_near_misses_of_a_code() -> None:
    assert near_code("o201") == "O201"
    assert near_code("0201") == "O201"
    assert near_code("A1O4") == "A104"
    assert near_code("nonsense") is None


def test_explain_prints_rule_formula_source_and_example() -> None:
    result = RUN.invoke(app, ["explain", "a104"])
    assert result.exit_code == 0
    assert result.stdout.startswith("A104  caution")
    assert "The input loads the wiper" in result.stdout
    assert "[speed]" in result.stdout


def test_explain_alone_lists_all() -> None:
    result = RUN.invoke(app, ["explain"])
    assert [line.split()[0] for line in result.stdout.splitlines()] == list(every_code())


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
    groups = json.loads(result.stdout)["groups"]
    (finding,) = [each for one in groups for each in one["findings"] if each["code"] == "O201"]
    assert finding["figures"][1] == {
        "name": "voltage rating of the output",
        "value": "24 V",
        "origin": "given, line 5",
    }


def test_notes_do_not_change_the_exit_status(tmp_path: Path) -> None:
    path = tmp_path / "example.toml"
    path.write_text(tripping("F101"), encoding="utf-8")
    result = RUN.invoke(app, ["check", str(path)])
    assert "(F101, " in result.stdout
    assert result.exit_code == 0
