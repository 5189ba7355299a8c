"""An order of a block's nodes and elements that no name has a part in: what is wired alike is numbered alike.

Nodes are told apart by what ends there and at their neighbours, as often as that tells more (colour
refinement, Weisfeiler and Leman 1968), then numbered on a walk in depth.  What stays alike goes by the order
in which it came: where that was wrong, two blocks are solved each for itself, and no answer differs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from doorsheet.network.elements import OHMIC, Element, Node

__all__ = ["in_order"]

_Near = list[list[tuple[int, int, int]]]  # of each node: kind of element, which end of it, the other node


def in_order(elements: Sequence[Element]) -> tuple[list[int], dict[Node, int]]:
    """Give the places of a block's elements in their order, and a number for each node."""
    found: dict[Node, int] = {}
    for element in elements:
        for node in (element.a, element.b):
            found.setdefault(node, len(found))
    uses = Counter(figure.name for element in elements for figure in element.figures)
    kinds = _ranks([(e.shape.name, *[(*f[1:], uses[f.name] > 1) for f in e.figures]) for e in elements])
    near: _Near = [[] for _ in found]
    for kind, element in zip(kinds, elements, strict=True):
        a, b, turns = found[element.a], found[element.b], element.shape is not OHMIC
        near[a].append((kind, turns, b))
        near[b].append((kind, 2 * turns, a))
    number = _walked(near, _coloured(near))
    numbers = {node: number[place] for node, place in found.items()}
    ends = [sorted((numbers[element.a], numbers[element.b])) for element in elements]
    places = sorted(range(len(elements)), key=lambda place: (ends[place], kinds[place]))
    return places, numbers


def _ranks(signs: Sequence[tuple[Any, ...]]) -> list[int]:
    rank = {sign: place for place, sign in enumerate(sorted(set(signs)))}
    return [rank[sign] for sign in signs]


def _coloured(near: _Near) -> list[int]:
    colours, count = [0] * len(near), 0
    while count < (count := len(set(colours))):
        pairs = zip(colours, near, strict=True)
        colours = _ranks(
            [(own, *sorted((kind, end, colours[other]) for kind, end, other in ways)) for own, ways in pairs]
        )
    return colours


def _walked(near: _Near, colours: list[int]) -> dict[int, int]:
    """Number the nodes on a walk that begins where least are alike, and turns back where nothing is new."""
    alike = Counter(colours)
    way = [min(range(len(near)), key=lambda node: (alike[colours[node]], colours[node]))]
    number = {way[0]: 0}
    while way:
        fresh = [
            (kind, end, colours[node], sorted(number[one] for *_, one in near[node] if one in number), node)
            for kind, end, node in near[way[-1]]
            if node not in number
        ]
        if fresh:
            way.append(min(fresh)[-1])
            number[way[-1]] = len(number)
        else:
            way.pop()
    return number
