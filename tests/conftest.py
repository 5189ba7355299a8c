"""Long proofs run where DOORSHEET_LONG asks for them, a share in `.ci/run`; a run says which on top."""

from __future__ import annotations

import gc
import os
import sys
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
    "booklet/test_booklet.py",
    "booklet/test_words.py",
    "booklet/test_step_leaf.py",
    "bench_page/test_browser.py",
    "page/test_capacity.py",
    "booklet/test_papers_bite.py",
    "job/test_whole_job.py",
    "language/test_words.py",
    "cli/test_several.py",
    "booklet/test_several.py",
    "logbook/test_noting.py",
    "sheets/test_image_comparison.py",
    "sheets/test_installations.py",
    "job/test_results.py",
    "post/test_post.py",
    "sheets/test_generated.py",
    "output/test_kills.py",
    "job/test_stop_proof.py",
    "sheets/test_rail.py",
    "page/test_compose.py",
    "sheets/test_rendered.py",
    "output/test_beside_others.py",
    "sheets/test_legible.py",
    "sheets/test_door.py",
    "job/test_outcomes.py",
    "page/test_growth.py",
    "booklet/test_command.py",
    "test_wheel.py",
    "booklet/test_papers.py",
    "test_current.py",
    "booklet/test_one_source.py",
    "electrics/test_growth.py",
    "symbols/test_bare.py",
    "output/test_owned.py",
    "fuzz/test_fuzz.py",
    "compare/test_compare.py",
    "page/test_split.py",
    "test_safe_words.py",
    "output/test_symbols.py",
    "cli/test_next.py",
    "output/test_same_picture.py",
    "page/test_several.py",
    "sheets/test_overlap.py",
    "page/test_screens.py",
    "cli/test_terminal.py",
    "job/test_put_off.py",
    "output/test_tripwire.py",
    "job/test_evidence.py",
    "network/test_outermost.py",
    "page/test_joints.py",
    "logbook/test_interview.py",
    "page/test_extra_crossings.py",
    "booklet/test_nothing_lost.py",
    "page/test_strip.py",
    "network/test_ngspice.py",
    "mapping/test_bounds.py",
    "sheets/test_proof_bites.py",
    "output/test_same_bytes.py",
    "bench_page/test_hostile.py",
    "output/test_tags.py",
    "trade/test_lettering.py",
    "cli/test_own_faults.py",
    "post/test_command.py",
    "layout/test_order.py",
    "sheets/test_in_line.py",
    "logbook/test_edit.py",
    "mapping/test_locate.py",
    "page/test_air.py",
)
"""Files that take some four seconds of one processor each, and more, the dearest first.

What is tried with the lowest and the newest versions (`.ci/run`) is none of them.
"""


def asked_for() -> tuple[str, ...]:
    """Give the long files of this run: DOORSHEET_LONG=1 asks for all, 2/6 for the second of six shares."""
    share, _, shares = os.environ.get("DOORSHEET_LONG", "").partition("/")
    if not shares:
        return LONG if share else ()
    there_and_back = 2 * int(
        shares
    )  # dealt out in turn, then in turn from the last, so that all take about as long
    own = int(share) - 1, there_and_back - int(share)
    return tuple(file for at, file in enumerate(LONG) if at % there_and_back in own)


def pytest_report_header() -> str:
    """Say on top which kind of run this is."""
    return f"long proofs: {os.environ.get('DOORSHEET_LONG') or 'left out (DOORSHEET_LONG=1 runs them)'}"


def pytest_collection_finish() -> None:
    """Let the collector leave alone what is loaded by now: looking through it took a tenth of all time."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave the long proofs out of a usual run; the last line counts them."""
    left_out = set(LONG).difference(asked_for())
    long = [item for item in items if item.path.relative_to(TESTS).as_posix() in left_out]
    if len(long) < len(items):  # asked for by itself, a long proof runs
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if item not in long]
