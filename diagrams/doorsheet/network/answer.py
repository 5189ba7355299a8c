"""A network that is asked for voltages and currents, and what it answers."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from functools import cached_property
from itertools import chain
from math import inf, nan

from doorsheet.network.blocks import blocks_of
from doorsheet.network.elements import OHMIC, Element, Figure, Node
from doorsheet.network.interval import Question
from doorsheet.network.solve import Block, Point, Probe, Probes, Values

__all__ = ["Answer", "Memory", "Network"]

_FLOATING_OHM = 30e6
_MOST_V, _MOST_A = 1e3, 20.0
"""More than control wiring has or carries (common practice, no source): then wires that are nothing would say
how a short is shared, and who set sources against each other has no reading.
"""
_MOST_POINTS, _EVERY = 20_000, 16
"""Points of some 3 kB each: with more, looked at every so many blocks, what those of the older ones take is
given back.
"""


class Outcome:
    """One question that can't be parted, worked out: where the reading is least and most, and what holds it.

    All but how far it goes is worked out when it is asked for.  It is that of every question that differs in
    names and keys alone, so it tells figures and elements by their places in the blocks that are probed.
    """

    def __init__(self, question: Question) -> None:
        """Find the outermost points."""
        self._question = question
        self._least, self._most = question.outermost()
        self._middle = question.at(0.5)
        self._ats = self._least, self._middle, self._most
        readings = [question.read(at) for at in self._ats]
        self.low, self.nominal, self.high = min(readings), readings[1], max(readings)
        question.forget()

    @cached_property
    def missing(self) -> tuple[int, ...]:
        """What nobody gave and moves it."""
        return self._places(self._question.unknown_movers(self._least, self._most))

    @cached_property
    def floating(self) -> bool:
        """Whether hardly anything holds two nodes against each other; the unknowns say by what."""
        shares = (0.5, 0.0, 1.0)
        return any(_floats(self._question, self._question.unknowns_at(self._middle, at)) for at in shares)

    @cached_property
    def conflict(self) -> tuple[int, ...]:
        """The elements that carry or bear what nothing can."""
        question, places = self._question, dict[int, None]()
        for at in self._ats:
            points = question.points(question.unknowns_at(at, 0.5))
            pairs = zip(question.probes, points, strict=True)
            beyond = chain.from_iterable(_beyond(probe.block, point) for probe, point in pairs)
            places.update((place, None) for place, is_beyond in enumerate(beyond) if is_beyond)
        return tuple(places)

    @cached_property
    def moved_by(self) -> tuple[int, ...]:
        """The given figures that move it."""
        return self._places(self._question.given_movers(self._ats))

    def _places(self, names: set[str]) -> tuple[int, ...]:
        first: dict[str, int] = {}
        for place, figure in enumerate(_figures(_elements(self._question.probes))):
            first.setdefault(figure.name, place)
        return tuple([place for name, place in first.items() if name in names])


class Answer:
    """A voltage (V) or current (A): from `low` to `high` over all that its figures can be."""

    __slots__ = ("_apart", "_parts", "high", "low")

    def __init__(self, parts: Sequence[tuple[Outcome, Probes]], apart: bool = False) -> None:
        """Add what has no ranging figure in common; `apart`: nothing joins the two nodes."""
        self._parts, self._apart = parts, apart
        self.low = -inf if apart else sum(one.low for one, _ in parts)
        self.high = inf if apart else sum(one.high for one, _ in parts)

    @property
    def nominal(self) -> float:
        """The figure with every quantity at its middle."""
        return nan if self._apart else sum(one.nominal for one, _ in self._parts)

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of what nobody gave and moves it by more than a thousandth."""
        return self._names(lambda one: one.missing)

    @property
    def known(self) -> bool:
        """Whether nothing is missing, and something holds it."""
        return not self._apart and not self.missing

    @property
    def floating(self) -> bool:
        """Whether it is held by more than 30 megohm, so that the figure means nothing."""
        return self._apart or any(one.floating for one, _ in self._parts)

    @property
    def conflict(self) -> tuple[Hashable, ...]:
        """Keys of elements that contradict each other; no circuit exists, and the figure means nothing."""
        keys = list[Hashable]()
        for one, probes in self._parts:
            elements = [*_elements(probes)] if one.conflict else []
            found = {elements[place].key for place in one.conflict}
            keys += [element.key for element in _given(probes) if element.key in found]
        return tuple(keys)

    @property
    def moved_by(self) -> tuple[str, ...]:
        """The given figures that move it."""
        return self._names(lambda one: one.moved_by)

    def _names(self, places: Callable[[Outcome], tuple[int, ...]]) -> tuple[str, ...]:
        names = dict[str, None]()
        for one, probes in self._parts:
            if own := places(one):
                figures = [*_figures(_elements(probes))]
                found = {figures[place].name for place in own}
                names.update((f.name, None) for f in _figures(_given(probes)) if f.name in found)
        return tuple(names)


_NOTHING = Answer(())
_APART = Answer((), apart=True)


class Memory:
    """Blocks solved before and answers given: shared by many networks, what is alike costs nothing."""

    def __init__(self) -> None:
        self._blocks: dict[tuple[Element, ...], Block] = {}
        self._outcomes: dict[Probes, Outcome] = {}
        self._alike: dict[Hashable, Outcome] = {}

    def __len__(self) -> int:
        """Count the blocks."""
        return len(self._blocks)

    @property
    def points(self) -> int:
        """Count the points solved."""
        return sum(block.solved for block in self._blocks.values())

    def block(self, elements: tuple[Element, ...]) -> Block:
        """Give the block of these elements, with all that is known of it."""
        found = self._blocks.get(elements)
        if found is None:
            if len(self._blocks) % _EVERY == 0 and self.points > _MOST_POINTS:
                for block in self._blocks.values():
                    block.forget()
            found = self._blocks[elements] = Block(elements)
        return found

    def outcome(self, probes: Probes) -> Outcome:
        """Work out a question, unless it was before: of this drive, or of another that is wired alike."""
        found = self._outcomes.get(probes)
        if found is None:
            likeness = _likeness(probes)
            found = self._alike.get(likeness)
            if found is None:
                found = self._alike[likeness] = Outcome(Question(probes))
            self._outcomes[probes] = found
        return found


def _likeness(probes: Probes) -> Hashable:
    """Give all that a question is, but what things are called."""
    numbers: dict[str, int] = {"": 0}
    said: list[Hashable] = []
    for block, a, b, through in probes:
        said.append((a, b, through))
        for place, ((a, b), element) in enumerate(zip(block.ends, block.elements, strict=True)):
            turned = a > b and element.shape is OHMIC and place != through  # either way round it is the same
            said += ((b, a) if turned else (a, b), element.shape)
            said += [(numbers.setdefault(f.name, len(numbers)), *f[1:]) for f in element.figures]
    return tuple(said)


def _elements(probes: Probes) -> Iterator[Element]:
    return chain.from_iterable(probe.block.elements for probe in probes)


def _given(probes: Probes) -> Iterator[Element]:
    """Give the elements in the order in which they came, which is that of words."""
    return chain.from_iterable(probe.block.given for probe in probes)


def _figures(elements: Iterable[Element]) -> Iterator[Figure]:
    return chain.from_iterable(element.figures for element in elements)


class Network:
    """Elements joined at their nodes. Nothing is changed in place: an event or a fault is another network."""

    def __init__(self, elements: Iterable[Element], memory: Memory | None = None) -> None:
        """Raise ValueError where two elements have one key, or two different figures one name."""
        self.elements = tuple(elements)
        self.memory = Memory() if memory is None else memory
        self._index: dict[Hashable, int] = {e.key: i for i, e in enumerate(self.elements)}
        if len(self._index) < len(self.elements):
            keys = [element.key for element in self.elements]
            raise ValueError(f"several elements have the key {next(k for k in keys if keys.count(k) > 1)}")
        _refuse_two_of_a_name(self.elements)
        self._nodes: dict[Node, int] = {}
        for element in self.elements:
            for node in (element.a, element.b):
                self._nodes.setdefault(node, len(self._nodes))
        self._blocks = blocks_of(tuple([(self._nodes[e.a], self._nodes[e.b]) for e in self.elements]))
        self._names = list(self._nodes)
        self._known: dict[int, Block] = {}

    def with_figures(self, put: Callable[[Element], Element]) -> Network:
        """Give the same network with other figures in its elements."""
        other = Network.__new__(Network)
        vars(other).update(vars(self), elements=tuple(map(put, self.elements)), _known={})
        return other

    def __contains__(self, node: Node) -> bool:
        """Say whether anything ends at a node."""
        return node in self._nodes

    def ends(self, key: Hashable) -> tuple[Node, ...]:
        """Give the two nodes of an element; none where there is no such element."""
        place = self._index.get(key)
        return () if place is None else (self.elements[place].a, self.elements[place].b)

    def between(self, nodes: Iterable[Node]) -> set[int]:
        """Give the places of the elements on all ways between nodes.

        Nothing else moves what is read from one of them to another, also when these are joined otherwise.
        """
        places, first = set[int](), dict[int, int]()
        for node in (self._nodes[node] for node in nodes if node in self._nodes):
            start = first.setdefault(self._blocks.root(node), node)
            for block, _, _ in self._blocks.way(start, node) or ():
                places.update(self._blocks.lines[block])
        return places

    def _block(self, number: int) -> Block:
        found = self._known.get(number)
        if found is None:
            elements = tuple([self.elements[line] for line in self._blocks.lines[number]])
            found = self._known[number] = self.memory.block(elements)
        return found

    def voltage(self, a: Node, b: Node) -> Answer:
        """Give V(a) - V(b). What nothing joins is floating, at any figure."""
        if a == b:
            return _NOTHING
        if a not in self._nodes or b not in self._nodes:
            return _APART
        way = self._blocks.way(self._nodes[a], self._nodes[b])
        if way is None:
            return _APART
        probes = []
        for number, start, end in way:
            block = self._block(number)
            probes.append(Probe(block, block.numbers[self._names[start]], block.numbers[self._names[end]]))
        return Answer([(self.memory.outcome(group), group) for group in _groups(probes)])

    def current(self, key: Hashable) -> Answer:
        """Give the current through an element, from its first node to its second. Raises KeyError."""
        block = self._block(self._blocks.of[self._index[key]])
        index = block.index_of[key]
        probes = (Probe(block, *block.ends[index], index),)
        return Answer([(self.memory.outcome(probes), probes)])


def _refuse_two_of_a_name(elements: Iterable[Element]) -> None:
    named: dict[str, Figure] = {}
    for element in elements:
        for figure in element.figures:
            if figure.name and named.setdefault(figure.name, figure) != figure:
                raise ValueError(f"{figure.name} is two different figures, one of them of {element.key}")


def _groups(probes: list[Probe]) -> list[Probes]:
    """Part what is asked into sums that have no ranging figure in common."""
    groups: list[tuple[set[str], list[Probe]]] = []
    for probe in probes:
        names, members = {figure.name for figure in probe.block.figures}, [probe]
        apart = []
        for group in groups:
            if names.isdisjoint(group[0]):
                apart.append(group)
            else:
                names, members = names | group[0], group[1] + members
        groups = [*apart, (names, members)]
    return [tuple(members) for _, members in groups]


def _floats(question: Question, at: Values) -> bool:
    pairs = zip(question.probes, question.points(at), strict=True)
    return any(probe.through < 0 and probe.held_ohm(point) > _FLOATING_OHM for probe, point in pairs)


def _beyond(block: Block, point: Point) -> Iterator[bool]:
    for index, volts in enumerate(point.drops):
        yield abs(volts) > _MOST_V or abs(block.current(point, index)) > _MOST_A
