"""The command `booklet`: what it writes, says and returns."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from doorsheet_cli import say
from doorsheet_cli.main import app
from doorsheet_cli.say import CAUTION

TOP = Path(__file__).parents[2]
DRILL = TOP / "gallery" / "drill.toml"


def run(*arguments: str | Path) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["booklet", *map(str, arguments)])
    return result.exit_code, result.stdout, result.stderr


def test_a_booklet_is_written_and_its_sheets_counted(tmp_path: Path) -> None:
    target = tmp_path / "drill.pdf"
    code, out, err = run(DRILL, "--to", target)
    assert code == 0
    assert f"{target}: booklet, {len(PdfReader(target).pages)} sheets" in out
    assert CAUTION in out
    assert "\r" not in out + err  # no progress where nobody watches


def test_a_chapter_is_printed_alone_with_its_cautions_and_numbers(tmp_path: Path) -> None:
    target = tmp_path / "leaf.pdf"
    code, out, _ = run(DRILL, "--only", "wire LIST", "--to", target)
    assert code == 0 and f"{target}: Wire list, 1 sheet" in out
    (page,) = PdfReader(target).pages
    words = page.extract_text()
    assert "Wire list" in words and "Electric shock can kill" in words and " of " in words
    code, out, _ = run(DRILL, "--only", "tests", "--to", tmp_path / "tests.pdf")
    assert code == 0 and "Step 1: " in out and "Wire list" not in out
    code, out, err = run(DRILL, "--only", "wire lists", "--to", tmp_path / "none.pdf")
    assert (code, out) == (2, "") and "Wire list" in err and "Door sheet" in err
    assert not (tmp_path / "none.pdf").exists()


def test_it_is_named_after_the_mapping(tmp_path: Path) -> None:
    mapping = tmp_path / "drill.toml"
    mapping.write_text(DRILL.read_text(encoding="utf-8"), encoding="utf-8")
    assert run(mapping)[0] == 0
    assert (tmp_path / "drill-booklet.pdf").read_bytes().startswith(b"%PDF-1.7")


def test_a_stop_is_said_and_returned(tmp_path: Path) -> None:
    code, out, err = run(TOP / "tests" / "checks" / "planted" / "grinder.toml", "--to", tmp_path / "g.pdf")
    assert code == 1
    assert "do not connect" in out
    assert "stop " in err
    assert (tmp_path / "g.pdf").exists()


@pytest.mark.parametrize(("file", "to"), [(DRILL, "drill.svg"), (TOP / "nothing.toml", "x.pdf")])
def test_what_cannot_be_done_is_said_and_nothing_written(file: Path, to: str, tmp_path: Path) -> None:
    code, out, err = run(file, "--to", tmp_path / to)
    assert (code, out) == (2, "")
    assert err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("seconds", "terminal", "shown"), [(2.0, True, True), (0.5, True, False), (2.0, False, False)]
)
def test_progress_is_shown_on_a_terminal_after_a_second(
    seconds: float,
    terminal: bool,
    shown: bool,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    now = [100.0]
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    monkeypatch.setattr(sys.stderr, "isatty", lambda: terminal)
    with say.progress() as tell:
        now[0] += seconds
        tell("Settings")
    said = capsys.readouterr().err
    assert ("Settings" in said) is shown
    assert said.endswith("\r") is shown  # and taken away again
