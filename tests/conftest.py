"""Long proofs run where DOORSHEET_LONG asks for them, a share in `.ci/run`; a run says which on top."""

from __future__ import annotations

import gc
import os
import sys
from itertools import chain
from pathlib import Path

import pytest
from hypothesis import settings

# the same made-up cases in every run, so that a run that failed can be run again; none fails for being slow
settings.register_profile("same", derandomize=True, max_examples=25, deadline=None)
settings.load_profile("same")

# commands run as processes of their own find the byte code that the first of them made, wherever it may lie;
# without it each would compile every module anew, longer than it draws
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
sys.pycache_prefix = os.environ.setdefault(
    "PYTHONPYCACHEPREFIX", str(Path(__file__).parents[1] / ".pytest_cache" / "byte-code")
)

TESTS = Path(__file__).parent
LONG = (
    (
        "bench_page/test_hostile.py",
        "booklet/test_nothing_lost.py",
        "booklet/test_papers_bite.py",
        "booklet/test_words.py",
        "electrics/test_growth.py",
        "job/test_put_off.py",
        "network/test_outermost.py",
        "output/test_beside_others.py",
        "output/test_owned.py",
        "output/test_same_bytes.py",
        "output/test_symbols.py",
        "page/test_growth.py",
        "sheets/test_installations.py",
    ),
    (
        "bench_page/test_browser.py",
        "booklet/test_command.py",
        "booklet/test_papers.py",
        "network/test_ngspice.py",
        "output/test_same_picture.py",
        "output/test_tags.py",
        "output/test_tripwire.py",
        "page/test_several.py",
        "sheets/test_door.py",
        "sheets/test_legible.py",
        "sheets/test_rendered.py",
    ),
    (
        "booklet/test_booklet.py",
        "booklet/test_one_source.py",
        "booklet/test_several.py",
        "cli/test_several.py",
        "language/test_words.py",
        "output/test_kills.py",
        "page/test_extra_crossings.py",
        "sheets/test_generated.py",
        "sheets/test_image_comparison.py",
        "sheets/test_rail.py",
        "symbols/test_bare.py",
        "test_safe_words.py",
        "test_wheel.py",
    ),
)
"""Files that take some five seconds of one processor each, and more, in shares that take about as long."""


def asked_for() -> tuple[str, ...]:
    """Give the long files of this run: DOORSHEET_LONG=1 asks for all, 2/3 for the second of three shares."""
    share, _, shares = os.environ.get("DOORSHEET_LONG", "").partition("/")
    if not shares:
        return tuple(chain(*LONG)) if share else ()
    return LONG[int(share) - 1]


def pytest_report_header() -> str:
    """Say on top which kind of run this is."""
    return f"long proofs: {os.environ.get('DOORSHEET_LONG') or 'left out (DOORSHEET_LONG=1 runs them)'}"


def pytest_collection_finish() -> None:
    """Let the collector leave alone what is loaded by now: looking through it took a tenth of all time."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave the long proofs out of a usual run; the last line counts them."""
    left_out = {*chain(*LONG)}.difference(asked_for())
    long = [item for item in items if item.path.relative_to(TESTS).as_posix() in left_out]
    if len(long) < len(items):  # asked for by itself, a long proof runs
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if item not in long]
