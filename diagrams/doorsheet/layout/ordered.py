"""A circuit with its clusters and terminals in order, before any paper is known."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import NamedTuple, TypeAlias

from doorsheet.circuit.parts import BlockKind, Circuit, Join, Rail, ScreenRound, Terminal, Use
from doorsheet.layout.clusters import clusters, in_order, places
from doorsheet.layout.frame_order import best_frames
from doorsheet.layout.order import Ordering, Pair, count_crossings, put_in_order
from doorsheet.layout.plan import End
from doorsheet.layout.rows import end_sequences
from doorsheet.layout.spines import NO_SPINE, Spine, along_loops, bridged_groups, drawn_joins, spine, without

__all__ = ["Elsewhere", "Ordered", "order_circuit"]

Rings: TypeAlias = dict[Use, tuple[list[list[str]], list[list[str]]]]
"""For each screen's control the wires in each ring at the controller's end, and at the drive's."""


class Elsewhere(NamedTuple):
    """Wires of a terminal that stand on another sheet."""

    terminal: Terminal
    wires: tuple[str, ...]
    sheet: int


@dataclass(frozen=True, slots=True)
class Ordered:
    """What one sheet shows, its clusters and terminals in order; one of `sheets` of the installation."""

    circuit: Circuit
    ordering: Ordering
    pairs: dict[str, Pair]
    ends: tuple[tuple[End, ...], tuple[End, ...]]  # of wires, from top to bottom on each side
    rings: Rings
    sheet: int = 1
    sheets: int = 1
    elsewhere: tuple[Elsewhere, ...] = ()
    strips: Mapping[str, Sequence[str]] = field(default_factory=dict)  # as fitted, by their drive
    joins: tuple[Join, ...] = ()  # as they are drawn
    spine: Spine = NO_SPINE  # where the terminals stand that they join

    def ringed_ends(self, side: int) -> Iterator[tuple[ScreenRound, list[End]]]:
        """Yield each ring on a side, 0 the controller's: its screen, and the ends in it from the top."""
        for screen in self.circuit.screens:
            for wires in self.rings[screen.drive, screen.control][side]:
                yield screen, [end for end in self.ends[side] if end.number in wires]

    @property
    def named_rings(self) -> tuple[tuple[str, End], ...]:
        """The names of cables that other wires part at the drive, each with the first end of a ring."""
        rings = [(screen, ends[0]) for screen, ends in self.ringed_ends(1)]
        count = Counter(screen for screen, _ in rings)
        return tuple((screen.cable, end) for screen, end in rings if count[screen] > 1)

    def joined(self, one: Terminal, other: Terminal) -> bool:
        """Whether bridges are drawn from one terminal to another."""
        return any({one, other} <= group for group in bridged_groups(self.joins))

    def neighbours(self, one: Terminal, other: Terminal) -> bool:
        """Whether two terminals stand directly above each other in one frame."""
        sides = (places(self.ordering.left), places(self.ordering.right))
        return one.home == other.home and any(
            {one, other} <= at.keys() and abs(at[one] - at[other]) == 1 for at in sides
        )


def order_circuit(circuit: Circuit, quick: bool = False) -> Ordered:
    """Run the phases that don't depend on the paper: clusters and their order."""
    pairs = {wire.number: (wire.near, wire.far) for wire in circuit.wires}
    stand = spine(circuit)
    left, right = clusters(circuit, stand.backs)
    links = [(link.a, link.b) for link in circuit.links if link.a.block is BlockKind.DRIVE]
    ordering = best_frames(left, right, tuple(pairs.values()), links, circuit.as_fitted, quick)
    if circuit.rail is not None:
        ordering = _along_rail(circuit, circuit.rail, ordering, tuple(pairs.values()))
    joins, parted = drawn_joins(circuit, ordering.left)
    if parted:  # without a crossing more they may stand in the order of their loops
        for left in along_loops(circuit, ordering.left):
            if count_crossings(left, ordering.right, list(pairs.values())) == ordering.crossings:
                ordering = replace(ordering, left=left)
                joins, parted = drawn_joins(circuit, left)
                break
    if parted:
        return order_circuit(without(circuit, parted), quick)
    ends = end_sequences(ordering, pairs, circuit.stubs)
    sides = [[end.number for end in side] for side in ends]
    rings = dict(_ringed(circuit.screens, sides))
    return Ordered(circuit, ordering, pairs, ends, rings, joins=joins, spine=stand)


def _along_rail(circuit: Circuit, rail: Rail, ordering: Ordering, pairs: Sequence[Pair]) -> Ordering:
    """Return the order with the left side as the rail stands; the bound is that of any order."""
    stands = dict(rail.terminals)
    at: dict[Terminal, int] = {}
    for wire in (*circuit.wires, *circuit.stubs):
        if wire.number in stands:
            at[wire.near] = min(stands[wire.number], at.get(wire.near, stands[wire.number]))
    left = in_order(ordering.left, at)
    if left == ordering.left:
        return ordering
    right = ordering.right
    if not circuit.as_fitted:
        turned = put_in_order(right, left, [(far, near) for near, far in pairs], as_fitted=True)
        right = min(right, turned.left, key=lambda side: count_crossings(left, side, pairs))
    crossings = count_crossings(left, right, pairs)
    bound = min(ordering.lower_bound, crossings)
    return replace(ordering, left=left, right=right, crossings=crossings, lower_bound=bound)


def _ringed(
    screens: Sequence[ScreenRound], sides: Sequence[list[str | None]]
) -> Iterator[tuple[Use, tuple[list[list[str]], list[list[str]]]]]:
    """Say of each screen what rings are drawn on each side.

    One, where no other wire stands between its own; at the drive several of a cable with a name, which stands
    at each.  None where a ring of another screen goes round one of them: two would be one.
    """
    round_: set[str] = set()
    for screen in screens:
        own = {wire for wire in screen.wires if wire in sides[0]}
        near, far = (_runs(screen, side) if not own & round_ else [] for side in sides)
        round_ |= own if far else set()
        parted = far if screen.cable else []
        yield (screen.drive, screen.control), (near * (len(near) == 1), far if len(far) == 1 else parted)


def _runs(screen: ScreenRound, wires: Sequence[str | None]) -> list[list[str]]:
    """Return a screen's wires on one side, in runs without another wire between them."""
    runs = groupby(filter(None, wires), screen.wires.__contains__)
    return [list(run) for inside, run in runs if inside]
