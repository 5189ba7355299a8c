"""Network room: a network that is asked for voltages and currents, and what it answers."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from functools import cache
from math import inf, nan
from typing import NamedTuple

from doorsheet.network.blocks import Blocks
from doorsheet.network.elements import Element, Figure, Node
from doorsheet.network.interval import Question
from doorsheet.network.solve import Block, Point, Probe, Values

__all__ = ["Answer", "Memory", "Network"]

_FLOATING_OHM = 30e6
_MOST_V = 1e3
_MOST_A = 1e3


class More(NamedTuple):
    """What else there is to say of an answer than how far it goes."""

    nominal: float
    missing: Callable[[], tuple[str, ...]] = tuple
    floating: bool = False
    conflict: tuple[Hashable, ...] = ()
    movers: Callable[[], tuple[str, ...]] = tuple


class Answer(NamedTuple):
    """A voltage (V) or current (A): from `low` to `high` over all that its figures can be.

    All but these two is worked out when it is asked for.
    """

    low: float
    high: float
    more: Callable[[], More]

    @property
    def nominal(self) -> float:
        """The figure with every quantity at its middle."""
        return self.more().nominal

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of what nobody gave and moves it by more than a thousandth."""
        return self.more().missing()

    @property
    def known(self) -> bool:
        """Whether nothing is missing, and something holds it."""
        return not self.missing and self.low > -inf

    @property
    def floating(self) -> bool:
        """Whether it is held by more than 30 megohm, so that the figure means nothing."""
        return self.more().floating

    @property
    def conflict(self) -> tuple[Hashable, ...]:
        """Keys of elements that contradict each other; no circuit exists, and the figure means nothing."""
        return self.more().conflict

    @property
    def moved_by(self) -> tuple[str, ...]:
        """The given figures that move it."""
        return self.more().movers()


_NOTHING = Answer(0.0, 0.0, lambda: More(0.0))
_APART = Answer(-inf, inf, lambda: More(nan, floating=True))


class Memory:
    """Blocks solved before and answers given: shared by many networks, what is alike costs nothing."""

    def __init__(self) -> None:
        self._blocks: dict[tuple[Element, ...], Block] = {}
        self._answers: dict[tuple[Probe, ...], Answer] = {}

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
            found = self._blocks[elements] = Block(elements)
        return found

    def answer(self, probes: tuple[Probe, ...]) -> Answer:
        """Answer a question, unless it was answered before."""
        found = self._answers.get(probes)
        if found is None:
            found = self._answers[probes] = _answer(Question(probes))
        return found


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
        self._blocks = Blocks([(self._nodes[e.a], self._nodes[e.b]) for e in self.elements], len(self._nodes))
        members: list[list[Element]] = [[] for _ in range(self._blocks.count)]
        for element, number in zip(self.elements, self._blocks.of, strict=True):
            members[number].append(element)
        self._members = [tuple(elements) for elements in members]
        self._names = list(self._nodes)

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
            block = self.memory.block(self._members[number])
            probes.append(Probe(block, block.numbers[self._names[start]], block.numbers[self._names[end]]))
        return _sum([self.memory.answer(group) for group in _groups(probes)])

    def current(self, key: Hashable) -> Answer:
        """Give the current through an element, from its first node to its second. Raises KeyError."""
        block = self.memory.block(self._members[self._blocks.of[self._index[key]]])
        index = block.index_of[key]
        return self.memory.answer((Probe(block, *block.ends[index], index),))


def _refuse_two_of_a_name(elements: Iterable[Element]) -> None:
    named: dict[str, Figure] = {}
    for element in elements:
        for figure in element.figures:
            if figure.name and named.setdefault(figure.name, figure) != figure:
                raise ValueError(f"{figure.name} is two different figures, one of them of {element.key}")


def _groups(probes: list[Probe]) -> list[tuple[Probe, ...]]:
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


def _sum(answers: list[Answer]) -> Answer:
    """Add answers that have no ranging figure in common."""
    if len(answers) == 1:
        return answers[0]

    def names(tuples: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(name for names in tuples for name in names))

    @cache
    def more() -> More:
        return More(
            sum(a.nominal for a in answers),
            cache(lambda: names(a.missing for a in answers)),
            any(a.floating for a in answers),
            tuple(dict.fromkeys(key for a in answers for key in a.conflict)),
            cache(lambda: names(a.moved_by for a in answers)),
        )

    return Answer(sum(a.low for a in answers), sum(a.high for a in answers), more)


def _answer(question: Question) -> Answer:
    """Work out one question that can't be parted."""
    least, most = question.outermost()
    middle = question.at(0.5)
    readings = [question.read(at) for at in (least, middle, most)]

    @cache
    def moved_by() -> tuple[str, ...]:
        movers = question.given_movers((least, middle, most))
        figures = (f for probe in question.probes for e in probe.block.elements for f in e.figures if f.known)
        return tuple(dict.fromkeys(f.name for f in figures if f.name in movers))

    @cache
    def missing() -> tuple[str, ...]:
        unknown = question.unknown_movers(least, most)
        return tuple(figure.name for figure in question.figures if figure.name in unknown)

    @cache
    def more() -> More:
        return More(
            readings[1],
            missing,
            any(_floats(question, question.unknowns_at(middle, share)) for share in (0.5, 0.0, 1.0)),
            _conflict(question, (question.unknowns_at(at, 0.5) for at in (least, middle, most))),
            moved_by,
        )

    return Answer(min(readings), max(readings), more)


def _floats(question: Question, at: Values) -> bool:
    """Say whether two nodes are held against each other by hardly anything; the unknowns say by what."""
    pairs = zip(question.probes, question.points(at), strict=True)
    return any(probe.through < 0 and probe.held_ohm(point) > _FLOATING_OHM for probe, point in pairs)


def _conflict(question: Question, points: Iterable[Values]) -> tuple[Hashable, ...]:
    """Name the elements that carry or bear what nothing can."""
    keys: dict[Hashable, None] = {}
    for at in points:
        for probe, point in zip(question.probes, question.points(at), strict=True):
            keys.update(dict.fromkeys(_beyond(probe.block, point)))
    return tuple(keys)


def _beyond(block: Block, point: Point) -> list[Hashable]:
    return [
        element.key
        for index, element in enumerate(block.elements)
        if abs(point.drops[index]) > _MOST_V or abs(block.current(point, index)) > _MOST_A
    ]
