"""Networks taken apart into what hangs together: a part that many of them have is solved and judged once.

No current flows between parts that nothing joins, so an answer inside one depends on that part alone.  A
state or a fault changes few parts: all states with all faults of a mapping are some hundreds of them.
"""

from __future__ import annotations

from collections.abc import Iterable

from tests.spice.compare import Tally, judge
from tests.spice.decks import Circuit
from tests.spice.jobs import Asked, Job
from tests.spice.netlist import Element
from tests.spice.wiring import Node

__all__ = ["in_parts"]


def in_parts(jobs: Iterable[Job], tally: Tally) -> list[Job]:
    """Return each part once, with every different answer of ours about it from whatever network.

    What is asked between two parts is judged here: nothing joins it.
    """
    parts: dict[frozenset[Element], Job] = {}
    given: dict[tuple[object, ...], Asked] = {}
    for job in jobs:
        tally.counts["networks in all"] += 1
        tally.counts["answers in all"] += len(job.asked)
        names = {node: frozenset(elements) for node, elements in _islands(job.circuit).items()}
        for asked in job.asked:
            node = _where(job.circuit, asked)
            if node is None:
                judge(job, asked, tally)
                continue
            level = asked.level
            said = (level.low, level.high, level.floating, level.conflict, level.is_known)
            if (key := (names[node], asked.label, level.unit, *said)) not in given:
                given[key] = asked
                if names[node] not in parts:
                    parts[names[node]] = Job(job.label, Circuit(_islands(job.circuit)[node]), [])
                parts[names[node]].asked.append(asked)
    return [*parts.values()]


def _islands(circuit: Circuit) -> dict[Node, list[Element]]:
    found: dict[Node, list[Element]] = {}
    for element in circuit.elements:
        found.setdefault(circuit.island[element.a], []).append(element)
    return found


def _where(circuit: Circuit, asked: Asked) -> Node | None:
    """Return the node that stands for the part that is asked about; None for none, or for two."""
    if asked.key:
        element = circuit.keys.get(asked.key)
        return circuit.island[element.a] if element else None
    red, black = (circuit.island.get(node) for node in (asked.red, asked.black) if node is not None)
    return red if red == black else None
