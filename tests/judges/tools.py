"""Outside programs that judge our files: found, or the test is skipped with the reason in view.

In CI (environment CI=true) a missing program fails instead: there a skip would be a hole.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

__all__ = ["browser", "need", "python", "run"]

_NAMES = {"chromium": ("chromium", "chromium-browser")}


def need(tool: str) -> str:
    """Give the path of an outside program; skip the test without it, or fail it in CI."""
    for name in _NAMES.get(tool, (tool,)):
        path = shutil.which(name)
        if path is not None:
            return path
    return _lacking(tool)


def _lacking(tool: str) -> NoReturn:
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


@contextmanager
def browser() -> Iterator[Browser]:
    """Run Chromium, driven by a library; skip the test without either, or fail it in CI."""
    program = need("chromium")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _lacking("playwright")
    with sync_playwright() as driver:
        running = driver.chromium.launch(
            executable_path=program, args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        yield running
        running.close()
