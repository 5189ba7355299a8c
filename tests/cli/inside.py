"""The command as the shell runs it, code page and pipes and all, in this process: a start costs a second."""

from __future__ import annotations

import contextlib
import gc
import os
import signal
import sys
from io import BytesIO, TextIOWrapper
from pathlib import Path
from typing import NamedTuple

from typer.testing import CliRunner, Result

from doorsheet_cli.main import app, main

__all__ = ["Ended", "invoke", "run"]


class Ended(NamedTuple):
    returncode: int
    stdout: bytes
    stderr: bytes


def invoke(*words: str | Path) -> Result:
    """Run the command without a shell's streams."""
    return CliRunner().invoke(app, [str(word) for word in words])


def run(*arguments: str, given: bytes = b"", cwd: Path | None = None, coding: str = "utf-8") -> Ended:
    """Run the command; `given` comes in by a pipe, what it prints goes out in a code page."""
    out, err = BytesIO(), BytesIO()
    before = sys.argv, sys.stdin, sys.stdout, sys.stderr, signal.getsignal(signal.SIGTERM)
    code: object = 0
    with contextlib.chdir(cwd or os.curdir):
        sys.argv = ["doorsheet", *arguments]
        sys.stdin = TextIOWrapper(BytesIO(given))
        sys.stdout, sys.stderr = TextIOWrapper(out, coding), TextIOWrapper(err, coding)
        try:
            main()
        except SystemExit as ended:
            code = ended.code or 0
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            printed = out.getvalue(), err.getvalue()
            sys.argv, sys.stdin, sys.stdout, sys.stderr = before[:4]
            signal.signal(signal.SIGTERM, before[4])
            gc.enable()
            gc.unfreeze()
    return Ended(int(str(code)), *printed)
