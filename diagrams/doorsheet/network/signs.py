"""Which way a reading must go as a figure rises, whatever the others are. Proofs, no figures.

Every curve passes through 0 or, of what drives, through its volts at no current, and rises: at any one point
the network is one of positive resistances, some with a positive source in series.  By the matrix tree theorem
(all minors, Chaiken 1982) what a current fed in at one pair of nodes does to another pair is a sum over
spanning two-forests: positive where two ways apart from each other join the pairs straight, negative where
they join them crossed.  Where only one kind of pair of ways is in the graph, the sign is certain.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Set
from typing import TYPE_CHECKING

from doorsheet.network.elements import OHMIC, Rule

if TYPE_CHECKING:
    from doorsheet.network.solve import Block, Probe

__all__ = ["Pair", "leaning", "signs"]

Pair = tuple[int, int]

_MOST_LOOKS = 200
"""A search that is cut off costs a figure tried at both ends; one that runs on cost half of a check."""


def leaning(near: Mapping[int, Set[int]], one: Pair, two: Pair) -> int | None:
    """Give the sign of what a current into `one` does to the volts over `two`; None where it is open."""
    straight = _apart(near, (one[0], two[0]), (one[1], two[1]))
    crossed = _apart(near, (one[0], two[1]), (one[1], two[0]))
    return None if straight and crossed else straight - crossed


def _apart(near: Mapping[int, Set[int]], one: Pair, two: Pair) -> bool:
    """Say whether two ways without a common node join each pair; a search that grows too long says yes."""
    if set(one) & set(two):
        return False
    looks = 0
    taken = {one[0]}
    far = _steps(near, one[1])

    way: set[int] = set()  # one that joins the second pair; it does so as long as nothing on it is taken

    def joined(node: int) -> bool:
        nonlocal way
        if way and node not in way:
            return True
        before, edge = {two[0]: two[0]}, [two[0]]
        while edge:
            here = edge.pop()
            if here == two[1]:
                way = {here}
                while (here := before[here]) != two[0]:
                    way.add(here)
                way.add(two[0])
                return True
            fresh = near[here] - before.keys() - taken
            before |= dict.fromkeys(fresh, here)
            edge += fresh
        return False

    def walk(node: int) -> bool:
        nonlocal looks
        looks += 1
        if looks > _MOST_LOOKS:
            return True
        if not joined(node):
            return False
        if node == one[1]:
            return True
        # the shortest way first: it leaves the other pair most room
        for other in sorted(near[node] - taken - {two[0], two[1]}, key=lambda each: far.get(each, 0)):
            taken.add(other)
            if walk(other):
                return True
            taken.discard(other)
        return False

    return walk(one[0])


def _steps(near: Mapping[int, Set[int]], to: int) -> dict[int, int]:
    steps, edge = {to: 0}, [to]
    for node in edge:
        fresh = near[node] - steps.keys()
        steps |= dict.fromkeys(fresh, steps[node] + 1)
        edge += fresh
    return steps


def signs(probes: Iterable[Probe]) -> dict[str, int | None]:
    """Give for each figure that ranges which way the reading goes: 1, -1, 0 or None (open)."""
    found: dict[str, int | None] = {}
    for probe in probes:
        for index, element in enumerate(probe.block.elements):
            for place, figure in enumerate(element.figures):
                if figure.low < figure.high:
                    sign = _times(_follows(probe, index), _rises(probe.block, index, place))
                    found[figure.name] = _plus(found.get(figure.name, 0), sign)
    return found


def in_series(probes: Iterable[Probe]) -> list[list[str]]:
    """Give groups of ranging resistances which a reading knows only by their sum, by the figures' names.

    They are ohmic, each in one element only, and meet at nodes where nothing else ends and nothing is
    probed; of a voltage, that is: a current's two ends may lie inside.
    """
    probes = list(probes)
    uses = Counter(f.name for probe in probes for e in probe.block.elements for f in e.figures)
    groups: list[list[str]] = []
    for probe in probes:
        block = probe.block
        chain = list(range(len(block.elements)))  # by element: a chain's number
        ends: dict[int, list[int]] = {}
        for index, (a, b) in enumerate(block.ends):
            ends.setdefault(a, []).append(index)
            ends.setdefault(b, []).append(index)
        for node, here in ends.items():
            if len(here) == 2 and (probe.through >= 0 or node not in (probe.a, probe.b)):
                old, new = chain[here[0]], chain[here[1]]
                chain = [new if number == old else number for number in chain]
        names: dict[int, list[str]] = {}
        for element, number in zip(block.elements, chain, strict=True):
            figure = element.figures[0]
            if element.shape is OHMIC and uses[figure.name] == 1 and figure.low < figure.high:
                names.setdefault(number, []).append(figure.name)
        groups += names.values()
    return groups


def _times(one: int | None, two: int | None) -> int | None:
    if one == 0 or two == 0:
        return 0
    return None if one is None or two is None else one * two


def _plus(one: int | None, two: int | None) -> int | None:
    return None if one is None or two is None or one * two < 0 else one or two


def _follows(probe: Probe, index: int) -> int | None:
    """Give the sign by which a reading follows a small current set free in an element, from a to b."""
    if probe.through == index:
        return 1
    found = probe.block.leaning((probe.a, probe.b), probe.block.ends[index])
    return None if found is None else -found


def _rises(block: Block, index: int, place: int) -> int | None:
    rule = block.elements[index].shape.rules[place]
    if rule in (Rule.RISES, Rule.FALLS):
        return 1 if rule is Rule.RISES else -1
    if rule is Rule.IF_ALONE:
        return 1 if block.drivers == [index] else None
    volts: int | None = 0
    for driver in block.drivers:
        volts = _plus(volts, block.leaning(block.ends[driver], block.ends[index]))
        if volts is None:
            break
    return _times(volts, 1 if rule is Rule.WITH_VOLTS else -1)
