"""The command `post`: what it writes, says and returns."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from doorsheet_cli.main import app
from doorsheet_cli.say import CAUTION

TOP = Path(__file__).parents[2]
FULL = TOP / "tests" / "booklet" / "full.toml"


def run(*arguments: str | Path) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["post", *map(str, arguments)])
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize(("kind", "ending"), [("markdown", "md"), ("bbcode", "bbcode"), ("text", "txt")])
def test_picture_and_words_are_written(kind: str, ending: str, tmp_path: Path) -> None:
    code, out, _ = run(FULL, "--to", tmp_path, "--format", kind)
    assert code == 0
    assert {path.name for path in tmp_path.iterdir()} == {"full-post.png", f"full-post.{ending}"}
    assert "Left out: names" in out and CAUTION in out
    for path in tmp_path.iterdir():
        assert b"Quill Drawer" not in path.read_bytes()
    assert "full-post.png" in (tmp_path / f"full-post.{ending}").read_text(encoding="utf-8")


def test_a_format_that_there_is_not_is_named(tmp_path: Path) -> None:
    code, out, err = run(FULL, "--to", tmp_path, "--format", "html")
    assert (code, out) == (2, "") and "markdown, bbcode, text" in err


def test_private_is_asked_for(tmp_path: Path) -> None:
    code, out, _ = run(FULL, "--to", tmp_path, "--private")
    assert code == 0
    assert "Left out" not in out
    assert "Quill Drawer" in (tmp_path / "full-post.md").read_text(encoding="utf-8")


def test_a_private_word_in_free_text_is_pointed_out(tmp_path: Path) -> None:
    mapping = tmp_path / "m.toml"
    mapping.write_text(
        'machine = "Saw of Ostrich Works"\n[sheet]\nowner = "Ostrich Works"\n'
        '[jog]\ninput = "A"\ncommon = "B"\n'
    )
    out = run(mapping)[1]
    assert 'Mind: "Ostrich Works"' in out
    assert "Mind:" not in run(FULL, "--to", tmp_path)[1]


@pytest.mark.parametrize("arguments", [(FULL, "--stage", "nonsense"), (TOP / "nothing.toml",)])
def test_what_cannot_be_done_is_said_and_nothing_written(
    arguments: tuple[str | Path, ...], tmp_path: Path
) -> None:
    code, out, err = run(*arguments, "--to", tmp_path)
    assert (code, out) == (2, "")
    assert err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    code, _, err = run(FULL, "--to", tmp_path / "no")
    assert code == 2
    assert "folder does not exist" in err
