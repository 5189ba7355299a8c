"""Bridges and looped returns: drawn along the outer edge of the frames left of the channel.

A joined terminal that no wire leaves for the drive stands at that edge, in the row of its part's other
terminal ("back"); one that has such a wire too has a row of its own and goes through the whole frame
("through").  So joints cross no wire, and rows are spared.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final, NamedTuple, TypeVar

from doorsheet.circuit.parts import BlockKind, Circuit, Join, Part, PartKind, Terminal
from doorsheet.layout.clusters import Cluster, meeting, places

__all__ = [
    "NO_SPINE", "Spine", "along_loops", "bridged_groups", "drawn_joins", "edge_rows", "joins_of", "landings",
    "loop_tracks", "spine", "tracks", "without",
]  # fmt: skip

_Key = TypeVar("_Key")

_MOST: Final = 2
"""Joints of one terminal: more have no room at its edge."""
_ENDS: Final = ("supply", "common")
"""Pins of a potentiometer that a joint may land on."""


class Spine(NamedTuple):
    """Where joined terminals stand: by terminal its part's other one, whose row it shares; and the rest."""

    backs: Mapping[Terminal, Terminal]
    through: frozenset[Terminal]

    @property
    def all(self) -> frozenset[Terminal]:
        """Every terminal that has its place at the outer edge."""
        return self.through | self.backs.keys()


NO_SPINE: Final = Spine({}, frozenset())


def joins_of(circuit: Circuit) -> tuple[Join, ...]:
    """Return the bridges and looped wires that can be drawn: both terminals in one frame, on a part's pin."""
    asked = [
        Join(wire.near, wire.far, wire) for wire in circuit.wires if wire.far.block is BlockKind.CONTROLLER
    ]
    asked += [Join(link.a, link.b) for link in circuit.links if link.a.block is not BlockKind.DRIVE]
    count = Counter[Terminal]()
    ended = {wire.near for wire in circuit.stubs}  # a row of their own, without an end at the drive
    out: list[Join] = []
    for join in asked:
        both = (join.a, join.b)
        joined = {*count, *both}
        if join.a.home != join.b.home or ended & {*both} or any(count[end] >= _MOST for end in both):
            continue
        if all(_may_join(circuit.parts, end, joined) for end in both):
            out.append(join)
            count.update(both)
    return tuple(out)


def _may_join(parts: Sequence[Part], terminal: Terminal, joined: set[Terminal]) -> bool:
    """Whether every part at a terminal has but this pin at the edge, and can be drawn so."""
    own = [part for part in parts if any(pin.terminal == terminal for pin in part.pins)]
    return bool(own) and all(
        len(part.pins) > 1
        and part.kind is not PartKind.ANALOG_SOURCE  # its circle, with its range, has no other place
        and sum(pin.terminal in joined for pin in part.pins) == 1
        and (
            part.kind is not PartKind.POTENTIOMETER
            or any(pin.terminal == terminal and pin.role in _ENDS for pin in part.pins)
        )
        for part in own
    )


def spine(circuit: Circuit) -> Spine:
    """Return where the joined terminals of a circuit stand."""
    if not circuit.joins:
        return NO_SPINE
    joined = {end for join in circuit.joins for end in (join.a, join.b)}
    wired = {wire.near for wire in circuit.wires}
    backs: dict[Terminal, Terminal] = {}
    for part in circuit.parts:
        pins = [pin.terminal for pin in part.pins]
        at = [terminal for terminal in pins if terminal in joined and terminal not in wired]
        if len(pins) == 2 and at:
            other = next(terminal for terminal in pins if terminal != at[0])
            # a row that several parts share has no room for what would stand behind each of them
            shared = any(
                part is not one and {pin.terminal for pin in one.pins} & {at[0], other}
                for one in circuit.parts
            )
            if not shared:
                backs[at[0]] = other
    return Spine(backs, frozenset(joined - backs.keys()))


def without(circuit: Circuit, joins: Collection[Join]) -> Circuit:
    """Return a circuit of whose bridges and loops some are said in words."""
    loops = tuple(join.wire for join in joins if join.wire is not None)
    kept = tuple(join for join in circuit.joins if join not in joins)
    return replace(circuit, joins=kept, aside=(*circuit.aside, *loops))


def drawn_joins(circuit: Circuit, left: Sequence[Cluster]) -> tuple[tuple[Join, ...], tuple[Join, ...]]:
    """Return the joints as they are drawn, bridges from each terminal to the next below; and those that
    can't be, since a terminal of another joint stands between, or another loop begins there.

    Which of several bridged switches are neighbours is nobody's choice but the drawing's.
    """
    place = edge_rows(circuit, left)
    out: list[Join] = []
    parted: list[Join] = []
    for loop in (join for join in circuit.joins if join.wire is not None):
        crossed = any(other.wire is not None and _interleaved(loop, other, place) for other in out)
        (parted if crossed else out).append(loop)
    for group in bridged_groups(circuit.joins):
        order = sorted(group, key=place.__getitem__)
        pairs = list(pairwise(order))
        if all(place[lower] == place[upper] + 1 for upper, lower in pairs):
            out += [Join(upper, lower) for upper, lower in pairs]
        else:
            parted += [join for join in circuit.joins if join.wire is None and join.a in group]
    return tuple(out), tuple(parted)


def along_loops(circuit: Circuit, left: Sequence[Cluster]) -> Iterator[tuple[Cluster, ...]]:
    """Yield the clusters with looped ones in the order of their loops, from the top and from below."""
    chain = list(dict.fromkeys(end for join in circuit.joins if join.wire for end in (join.a, join.b)))
    at = {pin.terminal: index for index, c in enumerate(left) for part in c.parts for pin in part.pins}
    for order in (chain, chain[::-1]):
        own = list(dict.fromkeys(at[end] for end in order))
        out = list(left)
        for place, index in zip(sorted(own), own, strict=True):
            out[place] = left[index]
        if [cluster.block for cluster in out] == [cluster.block for cluster in left]:
            yield tuple(out)


def _interleaved(one: Join, other: Join, place: Mapping[Terminal, float]) -> bool:
    """Whether one joint begins inside the other and ends outside."""
    low, high = sorted((place[one.a], place[one.b]))
    inside = [low < place[end] < high for end in (other.a, other.b)]
    outside = [not low <= place[end] <= high for end in (other.a, other.b)]
    return any(inside) and any(outside)


def edge_rows(circuit: Circuit, left: Sequence[Cluster]) -> dict[Terminal, float]:
    """Return the terminals at the outer edge, numbered from top to bottom."""
    stand = spine(circuit)
    rows = places(left)
    at = {terminal: rows[stand.backs.get(terminal, terminal)] for terminal in stand.all}
    return {terminal: float(n) for n, terminal in enumerate(sorted(at, key=at.__getitem__))}


def bridged_groups(joins: Sequence[Join]) -> tuple[frozenset[Terminal], ...]:
    """Return the terminals that bridges join, each group once."""
    bridges = [join for join in joins if join.wire is None]
    groups = meeting(bridges, lambda bridge: (bridge.a, bridge.b))
    return tuple(frozenset(end for bridge in group for end in (bridge.a, bridge.b)) for group in groups)


def loop_tracks(joins: Sequence[Join], rows: Mapping[Terminal, float]) -> dict[Join, int]:
    """Give each looped wire a track left of the frame."""
    return tracks({join: (rows[join.a], rows[join.b]) for join in joins if join.wire is not None})


def tracks(ends: Mapping[_Key, tuple[float, float]]) -> dict[_Key, int]:
    """Give what runs from one row to another a track, 0 the nearest: of two that overlap the shorter."""
    spans = {key: (min(own), max(own)) for key, own in ends.items()}
    out: dict[_Key, int] = {}
    for key in sorted(spans, key=lambda key: (spans[key][1] - spans[key][0], spans[key])):
        top, bottom = spans[key]
        taken = {out[other] for other in out if spans[other][0] < bottom and top < spans[other][1]}
        out[key] = next(track for track in range(len(spans)) if track not in taken)
    return out


def landings(terminal: Terminal, joins: Sequence[Join], rows: Mapping[Terminal, float]) -> tuple[Join, ...]:
    """Return the looped wires of a terminal from top to bottom of its slot, so that they cross nowhere."""
    own = [join for join in joins if join.wire is not None and terminal in (join.a, join.b)]

    def reach(join: Join) -> float:
        return rows[join.b if join.a == terminal else join.a] - rows[terminal]

    return tuple(sorted(own, key=lambda join: (reach(join) >= 0, -reach(join))))
