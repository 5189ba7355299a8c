"""Commands killed at any moment leave what they write whole or not at all; DOORSHEET_KILLS asks for more."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from doorsheet import recover
from tests.plants import TWO_PUMPS

PROGRAM = "import sys; from doorsheet_cli.main import main; sys.exit(main())"
KILLS = int(os.environ.get("DOORSHEET_KILLS", "2"))
COMMANDS = {
    "sheet": ("draw", "m.toml", "--to", "out.pdf"),
    "set": ("draw", "m.toml", "--paper", "A5", "--to", "out.svg"),
    "booklet": ("booklet", "m.toml", "--to", "out.pdf"),
    "recover": ("recover", "before.svg", "--to", "out.toml"),
}


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed so there")
@pytest.mark.parametrize("name", COMMANDS)
def test_what_a_killed_command_leaves_is_whole(name: str, tmp_path: Path) -> None:
    (tmp_path / "m.toml").write_text(TWO_PUMPS, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}

    def start(*arguments: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-c", PROGRAM, *arguments]
        quiet = subprocess.DEVNULL
        return subprocess.Popen(command, cwd=tmp_path, env=environment, stdout=quiet, stderr=quiet)

    assert start("draw", "m.toml", "--to", "before.svg").wait() == 0
    began = time.monotonic()
    assert start(*COMMANDS[name]).wait() == 0
    takes_s = time.monotonic() - began
    whole = {path.name: path.read_bytes() for path in tmp_path.glob("out*")}
    chance = random.Random(name)
    for _ in range(KILLS):
        for path in tmp_path.glob("out*"):
            path.unlink()
        started = start(*COMMANDS[name])
        time.sleep(chance.uniform(0.5, 1.05) * takes_s)
        started.send_signal(signal.SIGKILL)
        started.wait()
        left = {path.name: path.read_bytes() for path in tmp_path.glob("out*")}
        assert left.items() <= whole.items(), "of a file there is all or nothing"
        assert not hasattr(os, "O_TMPFILE") or not [*tmp_path.glob(".*")], "and no part of one"
    assert recover(tmp_path / "before.svg").text == TWO_PUMPS
