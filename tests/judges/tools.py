"""Outside programs that judge our files: found, or the test is skipped with the reason in view.

In CI (environment CI=true) a missing program fails instead: there a skip would be a hole.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

__all__ = ["need", "python", "run"]

_NAMES = {"chromium": ("chromium", "chromium-browser", "google-chrome", "chrome")}


def need(tool: str) -> str:
    """Give the path of an outside program; skip the test without it, or fail it in CI."""
    for name in _NAMES.get(tool, (tool,)):
        path = shutil.which(name)
        if path is not None:
            return path
    message = f"{tool} is not installed"
    if os.environ.get("CI", "").lower() == "true":
        pytest.fail(f"{message}, and CI may not skip")
    pytest.skip(message)


def run(*command: str | Path, timeout_s: float = 60) -> str:
    """Run a program to its end and give what it printed; its complaints are shown when it fails."""
    done = subprocess.run([str(part) for part in command], capture_output=True, timeout=timeout_s)
    assert done.returncode == 0, f"{command[0]} failed:\n{done.stderr.decode(errors='replace')[-2000:]}"
    return done.stdout.decode(errors="replace")


def python(script: str, *arguments: str, **environment: str) -> str:
    """Run a script in a fresh interpreter that finds the same modules, and give what it printed."""
    path = os.pathsep.join(part for part in sys.path if part)
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": path, **environment},
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.strip()
