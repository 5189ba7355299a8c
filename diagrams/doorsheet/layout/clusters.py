"""Phase 1: parts and terminals become clusters, the things that are put in order.

A cluster is drawn in one piece: parts that share a terminal, or one terminal
of the strip.  What may move inside it is its freedom.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from enum import StrEnum
from itertools import chain
from typing import NamedTuple, TypeVar

from doorsheet.circuit.parts import BlockKind, Circuit, Part, Terminal

__all__ = ["Cluster", "Freedom", "clusters", "in_order", "meeting", "places"]

_Item = TypeVar("_Item")


class Freedom(StrEnum):
    """How the terminals of a cluster may be arranged."""

    FIXED = "fixed"
    MIRROR = "mirror"  # as given or upside down
    FREE = "free"


class Cluster(NamedTuple):
    """Terminals that stand together; `block` is the index of its frame, frames never mix."""

    block: int
    terminals: tuple[Terminal, ...]
    freedom: Freedom
    parts: tuple[Part, ...]


def clusters(
    circuit: Circuit, behind: Collection[Terminal] = ()
) -> tuple[tuple[Cluster, ...], tuple[Cluster, ...]]:
    """Return the clusters left of the channel and those of the strips, in file order.

    Terminals `behind` others take no row of their own.
    """
    rank = {block.key: index for index, block in enumerate(circuit.blocks)}
    left = [part for part in circuit.parts if part.block is not BlockKind.DRIVE and part.pins]
    right = [part for part in circuit.parts if part.block is BlockKind.DRIVE]
    near = [_cluster(rank[group[0].home], group, behind) for group in meeting(left, _ends)]
    for wire in circuit.stubs:  # what feeds a part on a way stands with that way where no part has it
        fed = circuit.fed_by(wire)
        if fed is not None and not any(wire.near in cluster.terminals for cluster in near):
            at = next(n for n, cluster in enumerate(near) if fed[0].near in cluster.terminals)
            near[at] = near[at]._replace(terminals=(*near[at].terminals, wire.near))
    of_parts = {
        terminal: group for group in meeting(right, _ends) for part in group for terminal in _ends(part)
    }
    far: list[Cluster] = []
    placed: set[Terminal] = set()
    for entry in circuit.strip:
        if entry.terminal in placed:
            continue
        # a strip as fitted is taken as it stands, whatever lies behind its terminals
        group, home = None if circuit.as_fitted else of_parts.get(entry.terminal), rank[entry.terminal.home]
        far.append(_cluster(home, group) if group else Cluster(home, (entry.terminal,), Freedom.FIXED, ()))
        placed.update(far[-1].terminals)
    return tuple(near), tuple(far)


def places(side: Iterable[Cluster]) -> dict[Terminal, int]:
    """Return the place of each terminal of a side, from top to bottom."""
    return {terminal: n for n, terminal in enumerate(t for cluster in side for t in cluster.terminals)}


def in_order(side: Sequence[Cluster], at: Mapping[Terminal, int]) -> tuple[Cluster, ...]:
    """Return clusters of one side, and their terminals where these may move, by the places of terminals.

    What has no place stands behind what it follows; frames stand by their first places.
    """
    home = {terminal: cluster.block for cluster in side for terminal in cluster.terminals}
    frame: dict[int, int] = {}
    for terminal, place in at.items():
        if terminal in home:
            frame[home[terminal]] = min(place, frame.get(home[terminal], place))
    stand = list(dict.fromkeys(cluster.block for cluster in side))
    rank = {block: (frame.get(block, 1 << 30), stand.index(block)) for block in stand}

    def turned(cluster: Cluster) -> Cluster:
        known = [at[terminal] for terminal in cluster.terminals if terminal in at]
        if cluster.freedom is Freedom.MIRROR and known and known[0] > known[-1]:
            return cluster._replace(terminals=cluster.terminals[::-1])
        if cluster.freedom is Freedom.FREE:
            order = sorted(cluster.terminals, key=lambda t: at.get(t, 1 << 30))
            return cluster._replace(terminals=tuple(order))
        return cluster

    first = 0
    keyed: list[tuple[tuple[int, int], int, Cluster]] = []
    for cluster in map(turned, side):
        first = min((at[terminal] for terminal in cluster.terminals if terminal in at), default=first)
        keyed.append((rank[cluster.block], first, cluster))
    return tuple(cluster for _, _, cluster in sorted(keyed, key=lambda one: one[:2]))


def _ends(part: Part) -> tuple[Terminal, ...]:
    return tuple(pin.terminal for pin in part.pins)


def _cluster(rank: int, parts: list[Part], behind: Collection[Terminal] = ()) -> Cluster:
    freedom = Freedom.MIRROR if len(parts) == 1 else Freedom.FREE
    terminals = dict.fromkeys(end for end in chain(*map(_ends, parts)) if end not in behind)
    return Cluster(rank, tuple(terminals), freedom, tuple(parts))


def meeting(items: Iterable[_Item], ends: Callable[[_Item], Collection[object]]) -> list[list[_Item]]:
    """Return items in groups, all that share an end in one, in the order of the first of each."""
    groups: list[list[_Item]] = []
    for item in items:
        own = set(ends(item))
        met = [group for group in groups if any(not own.isdisjoint(ends(other)) for other in group)]
        at = groups.index(met[0]) if met else len(groups)
        apart = [group for group in groups if group not in met]
        groups = [*apart[:at], [*chain(*met), item], *apart[at:]]
    return groups
