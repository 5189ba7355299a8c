"""Clusters that can be exchanged without changing anything, for the search of an order.

A terminal is private when one wire goes to it and it is a cluster by itself: it can follow that wire
anywhere in its frame, so it tells no two clusters apart.
"""

from collections.abc import Iterable, Sequence
from itertools import permutations
from typing import Final, NamedTuple, TypeAlias

from doorsheet.layout.clusters import Freedom
from doorsheet.layout.numbered import Side, Standing

__all__ = ["Kind", "Turn", "in_file_order", "is_private", "kind_key", "kind_of", "kinds", "loosely", "turns"]

_TURNS_MOST: Final = 4
"""Free clusters of so many terminals are tried in every order, larger ones left to what follows."""

_Both: TypeAlias = tuple[tuple[Standing, ...], tuple[Standing, ...]]

Turn: TypeAlias = tuple[int, ...] | None
"""A cluster's terminals from top to bottom; None where they can be put as their wires come."""


class Kind(NamedTuple):
    """Clusters of one side that are alike; `wires` and `turns` are those of the first."""

    block: int
    members: tuple[int, ...]
    wires: tuple[tuple[int, int], ...]  # (own terminal, target), private targets left out
    private: tuple[tuple[int, int], ...]  # (own terminal, block of the private terminal it goes to)
    turns: tuple[Turn, ...]


def is_private(side: Side, cluster: int) -> bool:
    """Return whether a cluster is one terminal with one wire."""
    own = side.terminals[cluster]
    return len(own) == 1 and len(side.to[own[0]]) == 1


def kinds(side: Side, other: Side) -> tuple[Kind, ...]:
    """Sort clusters by kind, the kinds of the upper frame first, then as the file has them."""
    alike: dict[object, list[int]] = {}
    for cluster in range(len(side.terminals)):
        alike.setdefault(kind_key(side, cluster, other), []).append(cluster)
    out = [kind_of(side, own, other) for own in alike.values()]
    return tuple(sorted(out, key=lambda kind: kind.block))


def kind_of(side: Side, members: Sequence[int], other: Side) -> Kind:
    """Return clusters that are alike as a kind; one alone has wires and turns of no other."""
    first = members[0]
    wires: list[tuple[int, int]] = []
    private: list[tuple[int, int]] = []
    for terminal in side.terminals[first]:
        for target in side.to[terminal]:
            home = other.home[target]
            if is_private(other, home):
                private.append((terminal, other.block[home]))
            else:
                wires.append((terminal, target))
    return Kind(side.block[first], tuple(members), tuple(wires), tuple(private), turns(side, first))


def kind_key(side: Side, cluster: int, other: Side) -> object:
    """Return a key that is equal for clusters which can be exchanged."""
    # a normal form: two clusters are alike when, each turned to its least pattern, the patterns are the same.
    # Interchangeable values (Freuder 1991): of several, trying the first is trying all
    pattern = _pattern(side, cluster, other)
    freedom = side.freedom[cluster]
    if freedom is Freedom.MIRROR:
        pattern = min(pattern, pattern[::-1])
    elif freedom is Freedom.FREE:
        pattern.sort()
    return side.block[cluster], freedom, tuple(pattern)


def _pattern(side: Side, cluster: int, other: Side) -> list[tuple[tuple[int, int], ...]]:
    """Return to what each terminal of a cluster goes: a private one of a frame, or one by number."""

    def goes_to(target: int) -> tuple[int, int]:
        home = other.home[target]
        return (0, other.block[home]) if is_private(other, home) else (1, target)

    return [tuple(sorted(map(goes_to, side.to[terminal]))) for terminal in side.terminals[cluster]]


def in_file_order(side: Side, order: Sequence[Standing], other: Side, across: Sequence[Standing]) -> _Both:
    """Exchange alike clusters, with their private terminals, so that they follow the file among themselves.

    Nothing crosses more or less by it.  Returns the side and the one across.
    """
    places: dict[object, list[int]] = {}
    for place, (cluster, _) in enumerate(order):
        places.setdefault(kind_key(side, cluster, other), []).append(place)
    out = list(order)
    takes: dict[int, int] = {}  # terminal across: the one that stands in its place
    for own in places.values():
        if len(own) == 1:
            continue
        by_file = sorted(order[place][0] for place in own)
        for place, comes in zip(own, by_file, strict=True):
            goes, terminals = order[place]
            if comes == goes:
                continue
            one, its = _matched(side, goes, other)
            another, theirs = _matched(side, comes, other)
            instead = dict(zip(one, another, strict=True))
            out[place] = comes, tuple(instead[terminal] for terminal in terminals)
            takes.update(zip(its, theirs, strict=True))
    return tuple(out), tuple(
        (other.home[takes[own[0]]], (takes[own[0]],)) if own[0] in takes else (cluster, own)
        for cluster, own in across
    )


def _matched(side: Side, cluster: int, other: Side) -> tuple[list[int], list[int]]:
    """Return a cluster's terminals, and their private targets, in an order that alike clusters share."""
    own = list(side.terminals[cluster])
    pattern = _pattern(side, cluster, other)
    if side.freedom[cluster] is Freedom.MIRROR and pattern[::-1] < pattern:
        own.reverse()
    elif side.freedom[cluster] is Freedom.FREE:
        own = [terminal for _, terminal in sorted(zip(pattern, own, strict=True))]
    private = [
        target
        for terminal in own
        for target in sorted(side.to[terminal], key=lambda target: (other.block[other.home[target]], target))
        if is_private(other, other.home[target])
    ]
    return own, private


def turns(side: Side, cluster: int) -> tuple[Turn, ...]:
    """Return the orders of a cluster's terminals to try.

    Two ends can always be put as they come, one to a terminal; so can any number where the
    terminals may stand in any order.
    """
    terminals = side.terminals[cluster]
    most = max(len(side.to[terminal]) for terminal in terminals)
    freedom = side.freedom[cluster]
    if len(terminals) == 1 or (freedom is not Freedom.FIXED and side.wires(cluster) <= 2):
        return (None,)
    if freedom is Freedom.FIXED:
        return (terminals,)
    if freedom is Freedom.MIRROR:
        return terminals, terminals[::-1]
    if most == 1 or len(terminals) > _TURNS_MOST:
        return (None,)
    return tuple(permutations(terminals))


def loosely(side: Side, order: Iterable[tuple[int, Turn]]) -> dict[int, int]:
    """Return the places of terminals, all of a cluster in one where they can be put as their wires come."""
    held: dict[int, int] = {}
    for cluster, turn in order:
        place = len(held)
        for n, terminal in enumerate(turn or side.terminals[cluster]):
            held[terminal] = place + n if turn else place
    return held
