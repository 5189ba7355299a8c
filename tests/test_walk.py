"""The readme's walk, from nothing to the first readings, is what the program says today."""

from __future__ import annotations

import json
import os
import re
import shlex
import sys
from collections.abc import Iterator
from pathlib import Path

import pexpect
import pytest

from tests.cli import inside

TOP = Path(__file__).resolve().parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
CONSOLE = re.findall(r"^```console\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
PATHS = os.pathsep.join(str(TOP / root) for root in ("diagrams", "cli"))
WHEN = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d")


def told(block: str) -> Iterator[tuple[str, list[str]]]:
    """Yield each command of a block with the lines that it says; `...` stands for any."""
    for part in re.split(r"^\$ doorsheet ", block, flags=re.MULTILINE)[1:]:
        command, *lines = part.splitlines()
        yield command, lines


def run(folder: Path, *words: str) -> str:
    done = inside.run(*words, cwd=folder)
    assert done.returncode in (0, 1), done.stderr
    return (done.stdout + done.stderr).decode()


def interview(folder: Path, command: str, lines: list[str]) -> str:
    """Answer the questions that the readme shows as it does, and no other."""
    shown = iter(lines)
    answers: dict[str, list[str]] = {}
    question = ""
    for line in shown:
        if re.match(r"\d+\. ", line):
            question = line.partition(". ")[2]
        elif line[:1] in (">", "|"):
            answers.setdefault(question, []).append(line[2:])
    child = pexpect.spawn(
        sys.executable, ["-m", "doorsheet_cli", *shlex.split(command)], cwd=str(folder), encoding="utf-8",
        env={**os.environ, "PYTHONPATH": PATHS, "TERM": "dumb"}, timeout=60, dimensions=(60, 160),
    )  # fmt: skip
    said = ""
    while True:
        at = child.expect([r"(?m)^[>|] $", pexpect.EOF])
        said += child.before + (child.after if at == 0 else "")
        if at == 1:
            return said
        asked = re.findall(r"^\d+\. (.*?)\r?$", said, re.MULTILINE)[-1]
        waiting = answers.get(asked, [])
        child.sendline(waiting.pop(0) if waiting else "")


def in_order(lines: list[str], said: str) -> None:
    """See that what is shown was said, in that order, days and hours aside."""
    spoken = iter([WHEN.sub("", line.rstrip()) for line in said.replace("\r", "").splitlines()])
    for line in lines:
        wanted = WHEN.sub("", line.rstrip())
        if wanted not in ("", "...") and wanted[:1] != "|":
            assert wanted in spoken, f"not said, or not there: {line}"


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder in which the walk's first block was done."""
    folder = tmp_path_factory.mktemp("walk")
    ((command, lines),) = told(CONSOLE[1])
    in_order(lines, interview(folder, command, lines))
    return folder


def test_there_are_three_blocks() -> None:
    assert [next(told(block))[0].split()[0] for block in CONSOLE] == ["next", "start", "note"]


def test_the_sheet_is_there_after_the_interview(bench: Path) -> None:
    assert (bench / "grinder.svg").read_text(encoding="utf-8").startswith("<svg")


def test_next_and_note_say_what_the_readme_shows(bench: Path) -> None:
    for _ in range(30):  # up to the first reading all is done as it is named
        action = json.loads(run(bench, "next", "grinder.toml", "--format", "json"))
        if action["phase"] == "read":
            break
        seen = {"prove-dead": ": 0 V", "emergency-stop": ": stops in 1 s"}.get(action["id"], "")
        run(bench, "note", "grinder.toml", f"done {action['id']}{seen}")
    for block in (CONSOLE[0], CONSOLE[2]):
        for command, lines in told(block):
            in_order(lines, run(bench, *shlex.split(command)))
