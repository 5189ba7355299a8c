"""Prints how fast Doorsheet is beside a plain schemdraw script, as ratios: no test, never fails on time.

Run from the top of the checkout: ``python -m tests.bench.speed [--runs 15]``.

Each pair of runs is timed one after the other (A B A B ...), so that whatever
else the machine does weighs on both; what is printed is the median of the
ratios of the pairs.  Byte-code caches are warm: each side runs once untimed.
"""

from __future__ import annotations

import argparse
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter
from typing import NamedTuple

__all__ = ["Ratio", "compare", "main"]

TOP = Path(__file__).resolve().parents[2]
MAPPING = TOP / "gallery" / "lathe.toml"
BASELINE = Path(__file__).with_name("six_terminals.py")


class Ratio(NamedTuple):
    """What one comparison gave; times in milliseconds are medians."""

    ratio: float
    lowest: float
    highest: float
    ours_ms: float
    theirs_ms: float


def compare(ours: Callable[[], object], theirs: Callable[[], object], runs: int) -> Ratio:
    """Time both, pair by pair, after one untimed run of each; quartiles show the spread."""
    ours()
    theirs()
    pairs = [(_timed_ms(ours), _timed_ms(theirs)) for _ in range(runs)]
    ratios = [mine / other for mine, other in pairs]
    low, middle, high = quantiles(ratios, n=4) if runs > 1 else ratios * 3
    return Ratio(middle, low, high, median(mine for mine, _ in pairs), median(other for _, other in pairs))


def _timed_ms(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return (perf_counter() - start) * 1000


def _process(*arguments: str | Path) -> Callable[[], object]:
    """Return a call that runs Python with `arguments` as a process of its own, from start to exit."""
    sources = os.pathsep.join(str(TOP / root) for root in ("diagrams", "cli"))
    path = os.pathsep.join(filter(None, (sources, os.environ.get("PYTHONPATH"))))
    # the plain script gets the same ready-made backend, or a missing screen would be its loss
    environment = os.environ | {"PYTHONPATH": path, "MPLBACKEND": "Agg"}
    # an installed package has its byte code; without this each run would compile ours, and only ours, anew
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment["PYTHONPYCACHEPREFIX"] = str(TOP / ".pytest_cache" / "byte-code")
    command = [sys.executable, *map(str, arguments)]
    return lambda: subprocess.run(
        command, env=environment, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def _cold(ending: str, folder: Path, runs: int) -> Ratio:
    ours = _process("-m", "doorsheet_cli", "draw", MAPPING, "--to", folder / f"ours.{ending}")
    theirs = _process(BASELINE, folder / f"theirs.{ending}")
    return compare(ours, theirs, runs)


def _in_process(runs: int) -> Ratio:
    """Compare whole sheets, reading included, with schemdraw's bare drawing, ten at a time.

    The ten differ in a reading, as edits do; what one leaves as it was the next finds worked out.
    """
    from doorsheet import draw_text
    from doorsheet.electrics.solved import forget
    from tests.bench.six_terminals import bare_svg

    text = MAPPING.read_text(encoding="utf-8")
    texts = [text.replace("24.3", f"24.{digit}") for digit in range(10)]

    def ours() -> None:
        forget()
        for each in texts:
            draw_text(each).to_svg()

    def theirs() -> None:
        for _ in texts:
            bare_svg()

    return compare(ours, theirs, runs)


def main() -> None:
    """Print every ratio beside its target."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--runs", type=int, default=15, help="pairs of runs for each ratio (default 15)")
    runs: int = parser.parse_args().runs
    print(
        f"Python {platform.python_version()}, schemdraw {version('schemdraw')}, "
        f"matplotlib {version('matplotlib')}, {os.cpu_count()} processors, n = {runs}"
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _show("cold process, sheet to SVG / plain script to SVG", 0.55, _cold("svg", folder, runs))
        _show("cold process, sheet to PDF / plain script to PDF", 0.9, _cold("pdf", folder, runs))
    _show("in process, ten sheets to SVG / ten bare drawings", 3.0, _in_process(runs))


def _show(what: str, target: float, found: Ratio) -> None:
    verdict = "met" if found.ratio <= target else "missed"
    print(
        f"{what}: {found.ratio:.2f} (target {target:g}: {verdict}; "
        f"middle half {found.lowest:.2f} to {found.highest:.2f}; "
        f"{found.ours_ms:.0f} ms / {found.theirs_ms:.0f} ms)"
    )


if __name__ == "__main__":
    for root in (TOP, TOP / "diagrams", TOP / "cli"):  # so that it also runs as a plain script
        sys.path.insert(0, str(root))
    main()
