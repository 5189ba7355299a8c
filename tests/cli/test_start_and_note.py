"""`start` and `note` as a person has them: in a real terminal, left and gone on with; from a pipe."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pexpect
import pytest

from tests.cli import inside

PROGRAM = "import sys; from doorsheet_cli.main import main; sys.exit(main())"
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), "TERM": "dumb", "COLUMNS": "200"}
LIST = [
    "DI1: Forward run / stop",
    "DI2: Reverse run",
    "COM: Common of digital inputs",
    "AI1: Analog input 1",
    "",
]


def terminal(*arguments: str, cwd: Path) -> pexpect.spawn:
    return pexpect.spawn(
        sys.executable,
        ["-c", PROGRAM, *arguments],
        cwd=str(cwd),
        env=ENVIRONMENT,
        encoding="utf-8",
        timeout=60,
        dimensions=(50, 200),
    )


def piped(text: str, *arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    ended = inside.run(*arguments, given=text.encode(), cwd=cwd)
    return subprocess.CompletedProcess(
        arguments, ended.returncode, ended.stdout.decode(), ended.stderr.decode()
    )


def data(path: Path) -> dict[str, object]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such terminal")
def test_a_machine_from_nothing_in_a_terminal(tmp_path: Path) -> None:
    path = tmp_path / "band-saw.toml"
    first = terminal("start", cwd=tmp_path)
    first.expect("can kill")
    for question, answer in (
        ("machine called", "Band saw"),
        ("one drive, or several", "one"),
        ("label say: kind", "?"),
        ("to wait", "soon"),
    ):
        first.expect(question)
        first.expect("> ")
        first.sendline(answer)
    first.expect("can't be taken: .*copy it from the drive")
    first.expect("to wait")
    first.sendline("10 min")
    first.expect("Which manual")
    first.sendline("back")
    first.expect("4. How long does")  # with its number
    first.sendline("10 min")
    first.expect("5. Which manual")
    first.sendintr()
    first.expect("every answer so far is in band-saw.toml. Go on with: doorsheet start band-saw.toml")
    first.expect(pexpect.EOF)
    assert data(path) == {"machine": "Band saw", "drive": {"discharge": "10 min"}}

    second = terminal("start", "band-saw.toml", cwd=tmp_path)
    second.expect("Which manual")
    for _ in range(4):
        second.sendline("")
        second.expect("left as a blank")
    second.expect("Paste the manual's list")
    # in one go, with an empty line between its groups, as manuals have them
    second.send("\n".join((*LIST[:3], "", *LIST[3:], "")))
    second.expect("4 terminals read: DI1, DI2, COM, AI1")
    second.expect('I propose DI1: the list calls it "Forward run / stop". yes takes it.')
    second.expect(r"\n> ")
    second.sendline("yes")
    while second.expect([r"\n> ", "first sheet"]) == 0:
        second.sendline("yes" if "I propose" in second.before else "")
    second.expect(r"next: .*doorsheet next band-saw.toml")
    second.expect(pexpect.EOF)
    assert data(path)["run-forward"] == {"input": "DI1", "common": "COM"}
    assert path.with_suffix(".svg").is_file()

    third = terminal("note", "band-saw.toml", "red on DI1, black on COM: 24.1 V open", cwd=tmp_path)
    third.expect("DI1 is positive, COM negative")
    third.expect("drawn anew: band-saw.svg")
    third.expect(pexpect.EOF)
    third.close()
    assert third.exitstatus == 0


def test_from_a_pipe_with_an_answer_on_each_line(tmp_path: Path) -> None:
    lines = [
        "Saw",
        "",
        "",
        "10 min",
        "",
        "",
        "",
        "",
        "DI1, COM",
        "",
        "DI1",
        "none",
        "none",
        "none",
        "COM",
        "",
    ]
    done = piped("\n".join(lines), "start", "saw.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Go on with: doorsheet start saw.toml" in done.stdout  # the lines ended before the questions
    assert "called?" not in done.stdout
    assert data(tmp_path / "saw.toml")["run-forward"] == {"input": "DI1", "common": "COM"}
    assert (tmp_path / "saw.svg").is_file()


def test_from_a_pipe_one_question_back(tmp_path: Path) -> None:
    lines = ["Press", "<", "Saw", "2", "", "3 min", "back", "5 min", "back", "back", "", "6 min"]
    done = piped("\n".join(lines), "start", "saw.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert data(tmp_path / "saw.toml") == {
        "machine": "Saw", "drives": {"drive-1": {"discharge": "6 min"}, "drive-2": {}}
    }  # fmt: skip
    assert "No terminal of drive-1, drive-2 is known yet" in done.stdout
    refused = piped("back\n", "start", "new.toml", cwd=tmp_path)
    assert (refused.returncode, (tmp_path / "new.toml").exists()) == (2, False)


def test_from_a_pipe_a_wrong_answer_ends_it_and_keeps_the_others(tmp_path: Path) -> None:
    done = piped("Saw\n\n\nsoon\n5 min\n", "start", "saw.toml", cwd=tmp_path)
    assert done.returncode == 2
    assert "go on with: doorsheet start saw.toml" in done.stderr
    assert data(tmp_path / "saw.toml") == {"machine": "Saw"}


def test_nothing_answered_writes_nothing(tmp_path: Path) -> None:
    done = piped("", "start", "saw.toml", cwd=tmp_path)
    assert (done.returncode, [*tmp_path.iterdir()]) == (0, [])
    assert "nothing was written" in done.stdout


@pytest.mark.parametrize(("lines", "status"), [("", 2), ("no\n", 2), ("yes\n", 0)])
def test_a_file_that_start_did_not_make_is_asked_about(tmp_path: Path, lines: str, status: int) -> None:
    path, text = tmp_path / "mine.toml", '# mine\nmachine = "Saw"\n'
    path.write_text(text, encoding="utf-8")
    assert piped(f"{lines}\n\n5 min\n", "start", "mine.toml", cwd=tmp_path).returncode == status
    written = path.read_text(encoding="utf-8")
    assert (
        written == text if status else (written.startswith("# mine\n") and 'discharge = "5 min"' in written)
    )


def test_what_is_no_mapping_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xff\xfe what")
    assert piped("yes\n", "start", "mine.toml", cwd=tmp_path).returncode == 2
    assert path.read_bytes() == b"\xff\xfe what"
