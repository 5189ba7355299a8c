"""What arrives on a terminal, in a pipe, in any code page: nothing that moves a cursor, nothing lost."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from doorsheet_cli import say
from tests.cli.inside import run

TOP = Path(__file__).resolve().parents[2]
LATHE = TOP / "gallery" / "lathe.toml"
ESCAPE = "\x1b[2J\x1b]0;mine\x07\u202e\x9b31m"
HOSTILE = {
    "a file that isn't there": ("check", f"no{ESCAPE}.toml"),
    "a folder that isn't there": ("draw", str(LATHE), "--to", f"/no{ESCAPE}/x.svg"),
    "an ending": ("draw", str(LATHE), "--to", f"x.{ESCAPE}"),
    "a stage": ("draw", str(LATHE), "--stage", ESCAPE),
    "a paper": ("draw", str(LATHE), "--paper", ESCAPE),
    "a code": ("explain", ESCAPE),
    "a format": ("check", str(LATHE), "--format", ESCAPE),
    "an option": ("check", f"--{ESCAPE}"),
    "a sheet": ("recover", f"{ESCAPE}.svg"),
    "a key": ("check", "key.toml"),
    "a mapping with such a name": ("check", f"m{ESCAPE}.toml"),
    "its sheet": ("draw", f"m{ESCAPE}.toml"),
}


@pytest.mark.parametrize("arguments", HOSTILE.values(), ids=HOSTILE)
def test_no_escape_reaches_the_terminal(arguments: tuple[str, ...], tmp_path: Path) -> None:
    (tmp_path / "key.toml").write_text(
        'machine = "M"\n"a\\u001b[2J\\u202e" = 1\n[jog]\ninput = "\\u001b[31m"\n'
    )
    (tmp_path / f"m{ESCAPE}.toml").write_bytes(LATHE.read_bytes())
    ended = run(*arguments, cwd=tmp_path)
    said = (ended.stdout + ended.stderr).decode()
    assert ended.returncode in (0, 2) and said
    assert said.replace("\n", "").isprintable()
    assert "u001b[" in said or "x1b[" in said  # it is said, as an escape


@pytest.mark.parametrize("coding", ["ascii", "cp1252", "utf-8"])
def test_what_programs_read_is_exact_in_any_code_page(coding: str) -> None:
    mapping = LATHE.read_bytes().replace(b"Wood lathe", "Ω-Drehbank".encode())
    sheet = run("draw", "-", given=mapping, coding=coding).stdout
    assert sheet.startswith(b"<svg")
    assert run("recover", "-", given=sheet, coding=coding).stdout == mapping
    assert run("schema", coding=coding).stdout == (TOP / "gallery/mapping.schema.json").read_bytes()


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "with a byte order mark"])
@pytest.mark.parametrize(("to", "magic"), [("-", b"<svg"), ("-.pdf", b"%PDF"), ("-.png", b"\x89PNG")])
def test_from_a_pipe_into_a_pipe_and_back(to: str, magic: bytes, mark: bytes) -> None:
    mapping = mark + LATHE.read_bytes()
    drawn = run("draw", "-", "--to", to, given=mapping)
    assert drawn.returncode == 0 and drawn.stdout.startswith(magic)
    assert b"Mains and stored charge can kill" in drawn.stderr
    assert run("recover", "-", given=drawn.stdout).stdout == mapping


@pytest.mark.parametrize(
    "command",
    ["check m.toml", "compare m.toml old.toml", "draw m.toml", "next m.toml", "note m.toml hi"],
)
def test_a_byte_order_mark_changes_nothing_of_what_is_said(command: str, tmp_path: Path) -> None:
    """As editors on Windows write it."""
    said = set[tuple[int, bytes, bytes]]()
    for mark in (b"", b"\xef\xbb\xbf"):
        for name in ("m", "old"):  # with a word that was another one
            text = LATHE.read_bytes().replace(b"Wood lathe", b"Lathe" if name == "m" else b"Old lathe")
            (tmp_path / f"{name}.toml").write_bytes(mark + text.replace(b"\nreference", b"\nsupply"))
        ended = run(*command.split(), cwd=tmp_path)
        said.add((ended.returncode, ended.stdout.replace(mark, b""), ended.stderr))
    assert len(said) == 1 and said.pop()[0] < 3


def test_a_check_reads_a_pipe_once() -> None:
    ended = run("check", "-", given=LATHE.read_bytes())
    assert (ended.returncode, ended.stdout.splitlines()[-2][:4]) == (0, b"-: 3")
    assert run("check", "-", given=b"machine = 1").stderr.startswith(b"-:1: machine\n")


def test_what_is_no_sheet_is_never_read_to_its_end() -> None:
    ended = run("recover", "/dev/zero")
    assert ended.returncode == 2 and b"folder or a device" in ended.stderr
    ended = run("recover", "-", given=b"<svg>" + bytes(100_000_000))
    assert ended.returncode == 2 and b"larger than 100 MB" in ended.stderr


def test_a_screenful_of_problems_and_how_many_more(tmp_path: Path) -> None:
    path = tmp_path / "m.toml"
    path.write_text('machine = "M"\n' + "".join(f"key{index} = 1\n" for index in range(400)))
    lines = run("check", str(path)).stderr.decode().splitlines()
    assert len(lines) < 24
    assert lines[-2:] == ["and 393 more", "400 problems in the mapping"]


@pytest.mark.parametrize(
    "name", ["ליד", "पंप", "水泵", "🙂", "a\u0301\u0327", "Ω", "x" * 200, "\u202ea", "-to", "a b", "\udcff"]
)
@pytest.mark.parametrize("command", ["draw", "booklet"])
def test_a_file_named_in_any_script_is_drawn(command: str, name: str, tmp_path: Path) -> None:
    text = 'machine = "Jog"\n[jog]\ninput = "DI1"\ncommon = "COM"\n'
    (tmp_path / f"{name}.toml").write_text(text)
    ended = run(command, f"./{name}.toml", "--to", "out.pdf", cwd=tmp_path)
    assert ended.returncode in (0, 1), ended.stderr.decode()
    assert run("recover", "out.pdf", cwd=tmp_path).stdout.decode() == text


@pytest.mark.parametrize("command", ["check", "next", "post", "wires"])
def test_a_name_that_is_no_text_is_read(command: str, tmp_path: Path) -> None:
    (tmp_path / "a\udcff.toml").write_text('machine = "Jog"\n[jog]\ninput = "DI1"\ncommon = "COM"\n')
    ended = run(command, "./a\udcff.toml", cwd=tmp_path)
    assert ended.returncode in (0, 1), ended.stderr.decode()


def test_whoever_waits_long_is_told_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(say, "_LONG_S", 0.05)
    with say.giving_up():
        time.sleep(0.3)
    assert capsys.readouterr().err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with say.giving_up():
        pass
    time.sleep(0.3)
    assert capsys.readouterr().err == ""
    with say.giving_up():
        time.sleep(0.3)
    assert "Ctrl-C stops it" in capsys.readouterr().err


def test_ctrl_c_says_what_stands(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """It comes while a booklet is being made: the shells' status, one line, no file."""

    def stopped(*given: object, **named: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("doorsheet.booklet.make_booklet", stopped)
    ended = run("booklet", str(LATHE), "--to", "b.pdf", cwd=tmp_path)
    assert ended.returncode == 130
    assert ended.stderr.decode().strip() == "stopped before it was finished; no file is half written"
    assert not list(tmp_path.iterdir())
