"""The solution: every voltage and current of an installation, in any state, with one thing wrong or nothing.

All that is printed of volts and milliamperes is read off here, so that no two places can differ.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, cached_property, lru_cache
from typing import Final, TypeAlias

from doorsheet.circuit.parts import BlockKind, Circuit, PartKind, Terminal, Use
from doorsheet.electrics.events import REST, Event, Fault
from doorsheet.electrics.fact import Fact, Origin
from doorsheet.electrics.installation import Installation
from doorsheet.electrics.part_elements import is_any
from doorsheet.mapping.reading import ReadMapping
from doorsheet.network import Answer, Element, Figure, Memory, Network, Node
from doorsheet.network.elements import DRIVING, ONE_WAY, TWO_WAY

__all__ = ["Level", "Solved", "State", "forget", "over"]


_TRANSISTORS: Final = (PartKind.ISOLATED, PartKind.OPEN_COLLECTOR, PartKind.HIGH_SIDE)


class Shares:
    """An installation at rest, and which of its elements move anything at each drive's nodes.

    Of several drives only those are solved again for a drive's states and faults: no current flows from
    what hangs on the rest by one node, so it may be left away.
    """

    def __init__(self, rest: Network, of_drive: dict[str, tuple[Element, ...]]) -> None:
        """Take the whole at rest, and the parts of each drive in it."""
        self._rest = rest
        self._ids = {id(element) for element in rest.elements}
        touching: dict[str, list[Element]] = defaultdict(list)
        for element in rest.elements:
            for drive in {end.drive for end in (element.a, element.b) if isinstance(end, Terminal)}:
                touching[drive].append(element)
        self._nodes = {drive: _nodes_of((*own, *touching[drive])) for drive, own in of_drive.items()}
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
        if any(node not in nodes and node in self._rest for node in _nodes_of((*new, *gone))):
            return None
        own = (element for element in elements if id(element) in kept or id(element) not in self._ids)
        return Network(own, memory)


def _nodes_of(elements: Iterable[Element]) -> set[Node]:
    return {node for element in elements for node in (element.a, element.b)}


SAME_SHARE: Final = 0.02
SAME_V: Final = 0.05
"""Ends so near to each other are one figure to a meter on site, whatever nobody wrote down: a share of the
figure, and volts (common practice, no source)."""

_SAME: Final = {"V": SAME_V, "A": 0.0}

_FLOOR: Final = {"V": 20e-6, "A": 20e-9}
"""Less than this is nothing: the solver joins with a milliohm and lets a nanosiemens through."""


_OWN_SHARE: Final = 1e-4
"""By this share of it a figure may be off for what the solver itself puts in: see `_FLOOR`."""


def over(value: float, limit: float) -> bool:
    """Whether a solved figure is past a limit by more than the solver's own milliohms and nanosiemens.

    >>> over(23.0001, 23.0), over(23.01, 23.0)
    (False, True)
    """
    return value - limit > _OWN_SHARE * max(abs(value), abs(limit))


class State(StrEnum):
    """What a switch input makes of what it gets."""

    ON = "on"
    OFF = "off"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Level:
    """A computed figure: both ends over all corners; what moves it is worked out when it is asked for."""

    low: float
    high: float
    unit: str  # V or A
    moved_by: Callable[[], tuple[Fact, ...]]
    unknown: Callable[[], tuple[tuple[Fact, ...], tuple[str, ...]]]
    floating: bool = False  # nothing holds it: the figure means nothing
    conflict: tuple[str, ...] = ()  # kinds of element that contradict each other: no such circuit exists

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The known facts that move it."""
        return self.moved_by()

    @property
    def missing(self) -> tuple[Fact, ...]:
        """The unknown facts that move it."""
        return self.unknown()[0]

    @property
    def asked(self) -> tuple[str, ...]:
        """The unknowns that move it and that no key of the mapping gives, in words."""
        return self.unknown()[1]

    @property
    def is_known(self) -> bool:
        """Whether it is one figure, or a range that the known facts alone leave."""
        if self.floating or self.conflict:
            return False
        return not (self.missing or self.asked)

    @property
    def leans_on_default(self) -> bool:
        """Whether a named default moves it by more than a meter on site shows."""
        defaults = [fact for fact in self.facts if fact.origin is Origin.DEFAULT]
        wide = self.high - self.low > SAME_V * (self.unit == "V")
        return any(fact.low > 0 or wide for fact in defaults)


def _settled(element: Element) -> Element:
    if all(figure.known for figure in element.figures):
        return element
    pairs = [(figure, figure.between(0.5)) for figure in element.figures]
    figures = (figure if figure.known else Figure("", middle, middle) for figure, middle in pairs)
    return element._replace(figures=tuple(figures))


def _alike_once(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Return facts, of those that say the same of like parts only the first."""
    return tuple({(fact.name, fact.value, fact.where): fact for fact in reversed([*facts])}.values())[::-1]


def _ends(answer: Answer, unit: str) -> tuple[float, float]:
    """Return how far an answer goes, what is nothing to a meter as 0."""
    low, high = (0.0 if abs(end) < _FLOOR[unit] else end for end in (answer.low, answer.high))
    return low, high


_MOST_BLOCKS: Final = 500
_MOST_NETWORKS: Final = 200
"""Of sixteen drives one takes a third of a megabyte; its answers are kept for longer."""
_kept: list[Memory] = []

_Nodes: TypeAlias = tuple[Node, ...]


def _memory() -> Memory:
    """Return what was worked out before, of this mapping or of another: an edit leaves most of it as it was.

    An answer depends on nothing but the elements asked, so it is the same whoever asked first.
    """
    if not _kept or len(_kept[0]) > _MOST_BLOCKS:
        _kept[:] = [Memory()]
    return _kept[0]


def forget() -> None:
    """Let go of all that was worked out, as a fresh process has it."""
    _kept.clear()


class Solved:
    """A circuit of one stage, solved for any state when it is asked for.

    `unread` is a control whose measured current doesn't count.
    """

    def __init__(self, read: ReadMapping, circuit: Circuit, unread: Use | None = None) -> None:
        self.read, self.circuit = read, circuit
        self.installation = Installation(read, circuit, unread)
        self.earthing, self.supply_minus = self.installation.earthing, self.installation.supply_minus
        self._memory = _memory()
        self.network = lru_cache(_MOST_NETWORKS)(self._network)
        self._near = lru_cache(_MOST_NETWORKS)(self._network_near)
        self._settled = lru_cache(_MOST_NETWORKS)(lambda network: network.with_figures(_settled))

    def _network(self, event: Event, fault: Fault | None) -> Network:
        return Network(self.installation.elements(event, fault), self._memory)

    @cached_property
    def _shares(self) -> Shares:
        return Shares(self.network(REST, None), self.installation.at_rest())

    def _network_near(self, drive: str, event: Event, fault: Fault | None) -> Network | None:
        return self._shares.network(drive, self.installation.elements(event, fault), self._memory)

    def _for(self, nodes: _Nodes, event: Event, fault: Fault | None) -> Network:
        """Return a network that answers at these nodes as the whole does: of several drives what is near."""
        for drive in self._shares.at(nodes) if len(self.installation.figures) > 1 else ():
            found = self._near(drive, event, fault)
            if found is not None:
                return found
        return self.network(event, fault)

    @cached_property
    def meant(self) -> Solved:
        """The same as it is meant to be: joined where nobody says whether, other unknowns at their middle.

        It shows what a fault takes away that without it nobody is sure of; what only a fault asks stays open.
        """
        unknown = {f.name for e in self.network(REST, None).elements for f in e.figures if not f.known}

        def settle(element: Element) -> Element:
            figures = ((f, f.between(0.0 if is_any(f) else 0.5)) for f in element.figures)
            ends = tuple(Figure("", at, at) if f.name in unknown else f for f, at in figures)
            return element if ends == element.figures else element._replace(figures=ends)

        def near(drive: str, event: Event, fault: Fault | None) -> Network | None:
            found = self._near(drive, event, fault)
            return found and found.with_figures(settle)

        self._shares.at(())  # of the elements as they are
        other = copy(self)
        other.network = lru_cache(_MOST_NETWORKS)(
            lambda event, fault: self.network(event, fault).with_figures(settle)
        )
        other._near = lru_cache(_MOST_NETWORKS)(near)
        return other

    def volts(self, red: object, black: object, event: Event = REST, fault: Fault | None = None) -> Level:
        """Return what a meter shows with its leads on two nodes, V."""
        return self._level("V", (red, black), event, fault, lambda network: network.voltage(red, black))

    def fed_v(self, of: Element, event: Event = REST, fault: Fault | None = None, at: _Nodes = ()) -> Level:
        """Return what stands over a source, V, or at two nodes, if it takes no current back: what is fed."""
        red, black = at or (of.a, of.b)

        def open_(element: Element) -> Element:
            held = element.key != of.key or element.shape is DRIVING
            return element if held else element._replace(shape=ONE_WAY)

        def ask(network: Network) -> Answer:
            return network.with_figures(open_).voltage(red, black)

        return self._level("V", (red, black), event, fault, ask)

    def fed_a(self, of: Element, event: Event = REST, fault: Fault | None = None) -> Level:
        """Return the current into a source, A, if it holds its volts against whatever feeds it."""

        def stiff(element: Element) -> Element:
            volts = element.figures[element.shape.drives_at]
            held = element._replace(shape=TWO_WAY, figures=(volts, Figure("", 0.0, 0.0)))
            return held if element.key == of.key else element

        def ask(network: Network) -> Answer:
            return network.with_figures(stiff).current(of.key)

        return self._level("A", (of.a, of.b), event, fault, ask)

    def amps(
        self, key: tuple[object, ...], event: Event = REST, fault: Fault | None = None, ends: _Nodes = ()
    ) -> Level | None:
        """Return the current through an element, first end to second, A; None where it isn't fitted.

        `ends`: its nodes, where it isn't there at rest.
        """
        nodes = ends or (self.network(REST, None).ends(key) if len(self.installation.figures) > 1 else ())
        try:
            return self._level("A", nodes, event, fault, lambda network: network.current(key))
        except KeyError:
            return None

    def _level(
        self, unit: str, nodes: _Nodes, event: Event, fault: Fault | None, ask: Callable[[Network], Answer]
    ) -> Level:
        network = self._for(nodes, event, fault)
        answer = ask(network)
        facts = self.installation.facts

        @cache
        def unknown() -> tuple[tuple[Fact, ...], tuple[str, ...]]:
            missing = answer.missing
            if missing:
                # what nobody gave may move it by less than a meter on site tells: then it is as good as known
                other = ask(self._settled(network))
                same = SAME_SHARE * max(abs(answer.low), abs(answer.high)) + _SAME[unit]
                if max(abs(answer.low - other.low), abs(answer.high - other.high)) <= same:
                    return (), ()
            known = _alike_once(facts[key] for key in missing if key in facts)
            return known, tuple(key for key in missing if key not in facts)

        return Level(
            *_ends(answer, unit), unit,
            lambda: _alike_once(facts[key] for key in answer.moved_by if key in facts),
            unknown,
            answer.floating,
            tuple(dict.fromkeys(str(key[0]) for key in answer.conflict if isinstance(key, tuple))),
        )  # fmt: skip

    # ---- the drive's switch inputs ----

    def input_v(self, control: Use, event: Event = REST, fault: Fault | None = None) -> Level:
        """Return volts over what senses a switch input, which its thresholds are compared with."""
        return self.volts(*self.installation.input_nodes(control), event, fault)

    def input_a(self, control: Use, event: Event = REST, fault: Fault | None = None) -> Level:
        """Return the current through a switch input, A."""
        level = self.amps(self.installation.input_key(control), event, fault)
        assert level is not None
        return level

    def output_v(self, control: Use, event: Event = REST, fault: Fault | None = None) -> Level | None:
        """Return volts over what closes a control's input, from its plus side; None where nothing can."""
        acting = self.installation.acting(control)
        return self.volts(acting[1], acting[2], event, fault) if acting else None

    def output_a(self, control: Use, event: Event = REST, fault: Fault | None = None) -> Level | None:
        """Return the current through what closes an input, A; None where nothing can, or it is open."""
        acting = self.installation.acting(control)
        return self.amps(acting[0], event, fault, acting[1:]) if acting else None

    def state(self, control: Use, event: Event = REST, fault: Fault | None = None) -> State:
        """Return whether a switch input is surely on, surely off or neither.

        By its thresholds, volts and current; without any by the usual levels of its supply.
        """
        nodes = self.installation.input_nodes(control)
        network = self._for(nodes, event, fault)
        low_v, high_v = _ends(network.voltage(*nodes), "V")
        on, off = (
            [
                fact
                for unit in ("V", "A")
                if (fact := self.installation.threshold(control, which, unit)).is_known
            ]
            for which in ("on", "off")
        )
        if not (on or off):
            on_v, off_v = self.installation.usual_levels(control)
            if not over(on_v, low_v):
                return State.ON
            return State.UNSURE if over(high_v, off_v) else State.OFF
        amps = network.current(self.installation.input_key(control))
        ends = {"V": (low_v, high_v), "A": _ends(amps, "A")}
        if on and all(not over(fact.high, ends[fact.unit][0]) for fact in on):
            return State.ON
        # its off region ends with its volts or its current, and has that end
        is_off = any(not over(ends[fact.unit][1], fact.low) for fact in off)
        return State.OFF if is_off else State.UNSURE

    def by_itself(self, control: Use, fault: Fault | None = None) -> State:
        """Return what a switch input is while its open transistor conducts by itself; OFF where none does.

        Backwards the network says it. Past its rating forwards nobody can tell what it lets through.
        """
        part, level = self.installation.parts.get(control), self.output_v(control, REST, fault)
        if part is None or part.kind not in _TRANSISTORS or level is None or not level.is_known:
            return State.OFF
        rating = self.installation.figures[control[0]].rating
        rated, reverse = rating(control[1], "output voltage"), rating(control[1], "output reverse")
        past = rated.is_known and over(level.high, rated.low)
        if not past and (not reverse.is_known or over(reverse.low, -level.low)):
            return State.OFF
        state = self.state(control, REST, fault)
        return State.UNSURE if past and state is State.OFF else state

    def at_drive(self, label: str, drive: str = "") -> Terminal:
        """Return a drive's terminal."""
        return Terminal(BlockKind.DRIVE, label, drive)
