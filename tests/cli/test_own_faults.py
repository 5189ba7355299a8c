"""A fault of our own is never taken for a finding, and words arrive whatever the terminal's code page."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import doorsheet_cli.main as command
from tests.cli.inside import run as inside

TOP = Path(__file__).resolve().parents[2]
BREAK = "import doorsheet.checks as c\ndef broken(*_):\n    raise KeyError('boom')\nc.run_checks = broken\n"
RUN = "import sys\nfrom doorsheet_cli.main import main\nsys.argv = ['doorsheet', *sys.argv[1:]]\nmain()\n"


def run(code: str, *arguments: str, **env: str) -> subprocess.CompletedProcess[str]:
    path = os.pathsep.join((str(TOP / "diagrams"), str(TOP / "cli")))
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True, text=True, env={**os.environ, "PYTHONPATH": path, **env}, check=False,
    )  # fmt: skip


def test_an_error_that_nobody_planned_has_a_status_of_its_own() -> None:
    broken = BREAK + "import doorsheet.sheet as s\ns.run_checks = broken\n" + RUN
    ended = run(broken, "check", str(TOP / "gallery" / "lathe.toml"))
    assert ended.returncode == command.OWN_FAULT == 3
    assert "a fault of Doorsheet itself" in ended.stderr and "Traceback" not in ended.stderr
    traced = run(broken, "check", str(TOP / "gallery" / "lathe.toml"), DOORSHEET_TRACE="1")
    assert "Traceback" in traced.stderr and "boom" in traced.stderr


@pytest.mark.parametrize("coding", ["ascii", "cp1252", "utf-8"])
def test_words_arrive_in_any_code_page(coding: str) -> None:
    ended = run(RUN, "explain", "O206", PYTHONIOENCODING=coding)
    assert ended.returncode == 0
    assert ended.stdout.startswith("O206")
    ended = run(RUN, "check", str(TOP / "gallery" / "engraver.toml"), PYTHONIOENCODING=coding)
    assert ended.returncode == 0 and "Traceback" not in ended.stderr


COMMANDS = ("draw", "check", "booklet", "post", "speeds", "wires", "next")


@pytest.mark.parametrize("command", COMMANDS)
def test_a_value_error_of_our_own_is_no_slip_of_the_users(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every command ends with 3, whatever it catches."""

    def broken(*_: object, **__: object) -> None:
        raise ValueError("a fault of ours")

    monkeypatch.setattr(import_module("doorsheet.circuit.join"), "number_wires", broken)
    monkeypatch.setattr(import_module("doorsheet.speed"), "speed_reports", broken)
    (tmp_path / "engraver.toml").write_bytes((TOP / "gallery" / "engraver.toml").read_bytes())
    ended = inside(command, "engraver.toml", cwd=tmp_path)
    assert (ended.returncode, b"a fault of Doorsheet itself" in ended.stderr) == (3, True), ended
