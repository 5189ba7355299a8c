"""Time of the network solver on an installation of six wires: ``python -m tests.bench.network``.

Prints, never fails.  Each row is a fresh memory: ten events, then 26 faults in nine of them, for each way
of earthing; every reading and every wire's current is asked for.
"""

from __future__ import annotations

from time import perf_counter

from doorsheet.network import Memory, Network
from tests.network.plant import EVENTS, FAULTS, WIRES, Earthing, elements, readings

__all__ = ["main"]


def ask(network: Network) -> int:
    """Ask for all readings and wire currents; give how many there were."""
    for a, b in readings():
        network.voltage(a, b)
    keys = {element.key for element in network.elements}
    wires = [f"wire {wire}" for wire in WIRES if f"wire {wire}" in keys]
    for wire in wires:
        network.current(wire)
    return len(readings()) + len(wires)


def _row(earthing: Earthing) -> str:
    memory = Memory()
    start = perf_counter()
    asked = sum(ask(Network(elements(event, earthing=earthing), memory)) for event in EVENTS)
    events = perf_counter()
    blocks = len(memory)
    points = memory.points
    for fault in FAULTS:
        asked += sum(ask(Network(elements(event, fault, earthing), memory)) for event in EVENTS[:-1])
    end = perf_counter()
    return (
        f"{earthing:8} {1000 * (events - start):7.1f} ms  {blocks:4} blocks {points:6} points"
        f"  {1000 * (end - events):7.1f} ms  {len(memory):4} blocks {memory.points:6} points  {asked:5} asked"
    )


def main() -> None:
    """Print a row for each way of earthing, and what asking once more costs."""
    print("earthing    10 events                              26 faults x 9 events")
    for earthing in ("none", "both", "unknown"):
        print(_row(earthing))


if __name__ == "__main__":
    main()
