"""The command as a person runs it: what it writes, what it says, how it ends."""

from __future__ import annotations

import errno
import json
import os
import re
from pathlib import Path

import pytest

from tests.cli.inside import invoke as run

GALLERY = Path(__file__).parents[2] / "gallery"
LATHE = (GALLERY / "lathe.toml").read_text(encoding="utf-8")
STOPPED = LATHE.replace('input = "white"', 'input = "green-yellow"').replace(
    'input  = "white"', 'input = "gnye"'
)


@pytest.fixture
def lathe(tmp_path: Path) -> Path:
    path = tmp_path / "lathe.toml"
    path.write_text(LATHE, encoding="utf-8")
    return path


def test_draw_writes_beside_the_mapping(lathe: Path) -> None:
    result = run("draw", lathe)
    assert result.exit_code == 0, result.output
    assert lathe.with_suffix(".svg").read_bytes().startswith(b"<svg")
    assert "6 wires" in result.stdout
    assert "drive's manual" in result.stdout


@pytest.mark.parametrize(("ending", "magic"), [("svg", b"<svg"), ("pdf", b"%PDF"), ("png", b"\x89PNG")])
def test_the_ending_names_the_format(lathe: Path, ending: str, magic: bytes) -> None:
    target = lathe.parent / f"sheet.{ending}"
    assert run("draw", lathe, "--to", target, "--stage", "bench").exit_code == 0
    assert target.read_bytes().startswith(magic)


def test_findings_that_stop_end_with_1_and_still_draw(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(STOPPED, encoding="utf-8")
    result = run("draw", path)
    assert result.exit_code == 1
    assert path.with_suffix(".svg").exists()
    assert "do not connect" in result.output
    assert run("check", path).exit_code == 1


def test_check_says_the_same_as_json(lathe: Path) -> None:
    lathe.write_text(STOPPED, encoding="utf-8")
    data = json.loads(run("check", lathe, "--format", "json").stdout)
    text = run("check", lathe, "--all").stdout
    assert data["groups"] and data["unknown"]
    for group in data["groups"]:
        assert f"{group['about']}\n" in text
        for record in group["findings"]:
            assert record["code"] in text
            assert record["reason"] in text
    for one in data["unknown"]:
        assert any(one["what"] in line and line.endswith(one["where"]) for line in text.splitlines())


def test_check_says_a_screenful_and_how_much_more(tmp_path: Path) -> None:
    grinder = Path(__file__).parents[1] / "checks" / "planted" / "grinder.toml"
    short, whole = (run("check", grinder, *more).stdout for more in ((), ("--all",)))
    assert sum(-(-len(line) // 80) for line in short.splitlines()) <= 26  # the caution and the total below
    assert "stop L105" in short and re.search(
        r"and \d+ more \(caution [A-Z]\d+.*\): doorsheet check --all", short
    )
    assert len(whole.splitlines()) > len(short.splitlines()) and "shows all" not in whole
    for text in (short, whole):
        assert "Mains and stored charge can kill" in text
        assert "A clean check does not make a machine safe" in text


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "nothing in it"),
        (b"# only a remark\n", "nothing in it"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"machine = \n", "bad.toml:1"),
        (b"this is a letter, not a mapping\n", "bad.toml:1"),
        (b'machine = "M"\n[run-foward]\ninput = "DI1"\n', "did you mean"),
    ],
)
def test_unusable_input_is_one_message_and_exit_2(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "bad.toml"
    path.write_bytes(content)
    target = tmp_path / "bad.svg"
    target.write_text("as it was")
    result = run("draw", path)
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.output
    assert target.read_text() == "as it was"


def test_missing_file_and_folder(tmp_path: Path, lathe: Path) -> None:
    for bad in (tmp_path / "lahte.toml", tmp_path):
        result = run("draw", bad, "--to", tmp_path / "out.svg")
        assert result.exit_code == 2
        assert len(result.stderr.strip().splitlines()) <= 4
    assert "lathe.toml" in run("draw", tmp_path / "lahte.toml").stderr


def test_output_folder_missing(lathe: Path) -> None:
    result = run("draw", lathe, "--to", lathe.parent / "nowhere" / "x.svg")
    assert result.exit_code == 2
    assert "folder does not exist" in result.stderr


def test_disk_full_leaves_the_old_sheet_whole(lathe: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = lathe.with_suffix(".svg")
    run("draw", lathe, "--stage", "bench")
    before = target.read_bytes()

    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    result = run("draw", lathe)
    assert result.exit_code == 2
    assert "disk is full" in result.stderr
    assert target.read_bytes() == before
    assert [path.name for path in lathe.parent.iterdir() if path.name.startswith(".doorsheet")] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--to", "sheet.jpeg"), ".svg, .pdf or .png"),
        (("--to", "sheet"), ".svg, .pdf or .png"),
        (("--paper", "A44"), "A4"),
        (("--stage", "middle"), "final"),
    ],
)
def test_wrong_words_are_named(lathe: Path, words: tuple[str, ...], said: str) -> None:
    result = run("draw", lathe, *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert not lathe.with_suffix(".svg").exists()


def test_paper_that_is_too_small_is_named(lathe: Path) -> None:
    lathe.write_text(LATHE.replace('"OUT1+"', f'"{"W" * 20}"'), encoding="utf-8")
    result = run("draw", lathe, "--paper", "A5")
    assert result.exit_code == 2
    assert "A5" in result.stderr
    assert not lathe.with_suffix(".svg").exists()


def test_never_overwrites_the_mapping(tmp_path: Path) -> None:
    path = tmp_path / "lathe.svg"  # a mapping with an odd name
    path.write_text(LATHE, encoding="utf-8")
    assert run("draw", path).exit_code == 2
    assert path.read_text(encoding="utf-8") == LATHE


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
def test_recover_gives_the_mapping_back(lathe: Path, ending: str) -> None:
    sheet = lathe.parent / f"s.{ending}"
    run("draw", lathe, "--to", sheet)
    assert run("recover", sheet).stdout == LATHE
    back = lathe.parent / "back.toml"
    assert run("recover", sheet, "--to", back).exit_code == 0
    assert back.read_text(encoding="utf-8") == LATHE


def test_recover_from_something_else(tmp_path: Path, lathe: Path) -> None:
    for path in (lathe, tmp_path / "none.svg"):
        result = run("recover", path)
        assert result.exit_code == 2
        assert len(result.stderr.strip().splitlines()) == 1


def test_schema_is_the_committed_one() -> None:
    assert run("schema").stdout == (GALLERY / "mapping.schema.json").read_text(encoding="utf-8")


def test_help_names_every_command() -> None:
    result = run("--help")
    for name in ("draw", "check", "recover", "schema"):
        assert name in result.stdout
