"""What one drive of several has to do with: only that is solved again for its states and faults.

Room: electrics.  No current flows from what hangs on the rest by one node, so it may be left away.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from doorsheet.circuit.parts import Terminal
from doorsheet.network import Element, Memory, Network, Node

__all__ = ["Shares"]


class Shares:
    """An installation at rest, and which of its elements move anything at each drive's nodes."""

    def __init__(self, rest: Network, of_drive: dict[str, tuple[Element, ...]]) -> None:
        """Take the whole at rest, and the parts of each drive in it."""
        self._rest = rest
        self._ids = {id(element) for element in rest.elements}
        touching: dict[str, list[Element]] = defaultdict(list)
        for element in rest.elements:
            for drive in {end.drive for end in (element.a, element.b) if isinstance(end, Terminal)}:
                touching[drive].append(element)
        self._nodes = {drive: _ends((*own, *touching[drive])) for drive, own in of_drive.items()}
        self._kept = {drive: self._between(nodes) for drive, nodes in self._nodes.items()}

    def _between(self, nodes: Iterable[Node]) -> set[int]:
        places = self._rest.between(nodes)
        return {
            id(element)
            for place, element in enumerate(self._rest.elements)
            if place in places or element.a == element.b
        }

    def at(self, nodes: Iterable[Node]) -> Iterator[str]:
        """Yield the drives at which all of these nodes are, but for those that there are not at rest."""
        known = {node for node in nodes if node in self._rest}
        return (drive for drive, own in self._nodes.items() if known and known <= own)

    def network(self, drive: str, elements: Sequence[Element], memory: Memory) -> Network | None:
        """Return what of an installation in some state, with some fault, moves anything at a drive's nodes.

        None where what the state and the fault change reaches further.
        """
        kept, nodes = self._kept[drive], self._nodes[drive]
        here = {id(element) for element in elements}
        new = [element for element in elements if id(element) not in self._ids]
        gone = [element for element in self._rest.elements if id(element) not in here]
        if any(node not in nodes and node in self._rest for node in _ends((*new, *gone))):
            return None
        own = (element for element in elements if id(element) in kept or id(element) not in self._ids)
        return Network(own, memory)


def _ends(elements: Iterable[Element]) -> set[Node]:
    return {node for element in elements for node in (element.a, element.b)}
