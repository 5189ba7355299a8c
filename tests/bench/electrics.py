"""Time of an installation's solution: ``python -m tests.bench.electrics``.

Prints, never fails.  Times are also given as ratios to a baseline of the same run, 200 dense systems of 12
equations in plain Python, since machines differ and are seldom alone.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import perf_counter

from doorsheet.electrics import Solved, solve
from doorsheet.electrics.events import REST, Controller, Event, Fault, Use, alone, commanded
from doorsheet.electrics.failures import faults_of
from doorsheet.electrics.solved import forget
from doorsheet.mapping import read_mapping

__all__ = ["main"]

LATHE = Path(__file__).parents[2] / "gallery" / "lathe.toml"
ROUNDS = 5


def states(controls: Iterable[Use]) -> Iterator[Event]:
    """Yield every state that a check looks at."""
    known = tuple(controls)
    yield REST
    for control in known:
        yield alone(control)
    if len(known) > 1:
        # forward and reverse are never wanted together: what then happens is asked by itself
        yield Event(frozenset(known))
        yield Event(frozenset(control for control in known if control[1] != "run-reverse"))
    for controller in (Controller.STARTING, Controller.OFF, Controller.UNPLUGGED):
        yield replace(REST, controller=controller)
    yield replace(REST, drive_on=False)
    for share in (0.5, 1.0):
        yield commanded(share)


def _baseline() -> None:
    for _ in range(200):
        size = 12
        rows = [[1.0 + (i * j) % 7 + 20 * (i == j) for j in range(size + 1)] for i in range(size)]
        for at in range(size):
            for row in rows[at + 1 :]:
                factor = row[at] / rows[at][at]
                for column in range(at, size + 1):
                    row[column] -= factor * rows[at][column]


def _ask(solved: Solved, event: Event, fault: Fault | None = None) -> None:
    """Ask what checks and failures ask: every input, every terminal's volts, every wire's current."""
    for use in solved.installation.controls:
        solved.state(use, event, fault)
    for reading in solved.circuit.readings:
        if reading.against is not None and reading.against != reading.terminal:
            solved.volts(reading.terminal, reading.against, event, fault)
    for wire in solved.circuit.wires:
        solved.amps(("wire", wire.number), event, fault)


def _events() -> Solved:
    forget()
    solved = solve(read_mapping(LATHE), "final")
    for event in states(solved.installation.controls):
        _ask(solved, event)
    return solved


def _faults() -> int:
    solved, asked = _events(), 0
    for fault in dict.fromkeys(fault for wire in solved.circuit.wires for fault in faults_of(solved, wire)):
        for event in (*states(solved.installation.controls), REST):
            _ask(solved, event, fault)
            asked += 1
    return asked


def _imported() -> float:
    """Return how long a fresh interpreter spends in the modules of electrics and of the network, s."""
    command = [sys.executable, "-X", "importtime", "-c", "import doorsheet.electrics"]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stderr
    rows = (line.removeprefix("import time:").split("|") for line in told.splitlines())
    own = ("doorsheet.electrics", "doorsheet.network")
    return sum(int(row[0]) for row in rows if len(row) == 3 and row[2].strip().startswith(own)) / 1e6


def _time(job: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        job()
        times.append(perf_counter() - start)
    return median(times)


def main() -> None:
    """Print a row for each."""
    base = _time(_baseline)
    networks = _faults()
    for name, seconds in (
        ("baseline", base),
        ("the lathe, final: its states", _time(_events)),
        (f"the lathe, final: {networks} networks of a fault and a state", _time(_faults)),
        ("import of electrics and network, their own modules", min(_imported() for _ in range(ROUNDS))),
    ):
        print(f"{name:58} {1000 * seconds:8.1f} ms {seconds / base:8.2f}")


if __name__ == "__main__":
    main()
