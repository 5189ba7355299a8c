"""An installation that is too large for one sheet becomes several.

The parts left of the channel are cut, in the order in which they were laid
out, into runs that each fit a sheet.  No wire is ever cut: a wire stands on the
sheet of its part, and a terminal with wires on several sheets stands on each,
with a reference to the others.  Among the ways with the fewest sheets the one
with the fewest such terminals is taken, of several drives one that cuts few of them,
and of those the one that fills the sheets most evenly.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from math import inf
from typing import Final, Literal, NamedTuple, TypeAlias

from doorsheet.circuit.parts import BlockKind, Circuit, Part, Terminal, Use, Wire
from doorsheet.layout import Ordered, order_circuit
from doorsheet.layout.arrange import ways
from doorsheet.layout.clusters import meeting, places
from doorsheet.layout.ordered import Elsewhere
from doorsheet.page.cuts import TOO_MANY, Runs, cheapest_cuts
from doorsheet.page.fit import least_mm

__all__ = ["Tried", "part_sequence", "split"]

Fits = Callable[[Ordered], bool]

_Rest: TypeAlias = Literal["last", "first", "own"]
Tried: TypeAlias = dict[_Rest, Runs]

_RESTS: Final[tuple[_Rest, ...]] = ("last", "first", "own")
"""Where what belongs to no part stands, tried in turn: on the last sheet of its drive, the first, its own."""


def split(
    ordered: Ordered,
    fits: Fits,
    most: int | None = None,
    beaten: int | None = None,
    height_mm: float = inf,
    tried: Tried | None = None,
    larger: Sequence[int] = (),
    tight: bool = False,
) -> tuple[Ordered, ...] | None:
    """Return what each sheet shows, in order; None when a part alone doesn't fit, or `most` don't do.

    Nothing where the fewest sheets are more than `beaten`, as many as `larger` ones take, see `Runs`.  What
    is higher than `height_mm` at its least is not put in order; `tried` keeps what was, for another call
    that asks the same.  A `tight` sheet may say in words what it has no room to draw.
    """
    circuit, known = ordered.circuit, {} if tried is None else tried

    def has_room(part: Circuit) -> bool:
        if least_mm(part) > height_mm:
            return False
        return any(fits(one) for one in orders(part, (True, False)))

    def orders(part: Circuit, looks: Sequence[bool]) -> Iterator[Ordered]:
        """Yield a part in order, what draws most first, each as quick looks and long ones have it."""
        shown = {entry.terminal for entry in part.strip}
        absent = tuple(Elsewhere(e.terminal, (), 2) for e in circuit.strip if e.terminal not in shown)
        for way in ways(part)[: None if tight else 1]:
            for quick in looks:
                found = replace(_in_order(way, quick), strips=ordered.strips, sheets=2, elsewhere=absent)
                yield found
                if found.ordering.proved:
                    break

    def best(part: Circuit) -> Ordered:
        """Return the order with the fewest crossings that has room; a longer look may take more room."""
        return next(filter(fits, orders(part, (False, True))), None) or _in_order(part, True)

    parts = part_sequence(ordered)
    whole = _Whole(circuit, parts, _wires_of(circuit, parts))
    apart = whole.only(len(parts), len(parts), "own")
    rests = _RESTS if apart.links or apart.free_wires or apart.parts else _RESTS[:1]
    allowed = min(len(parts) if one is None else one for one in (most, beaten))

    cost = cache(whole.cost)
    for rest in rests:

        def run_fits(start: int, end: int, rest: _Rest = rest) -> bool:
            return has_room(whole.only(start, end, rest))

        runs = known.setdefault(rest, Runs(run_fits))
        runs.larger = larger
        cuts = cheapest_cuts([len(own) for own in whole.wires], cost, runs, allowed)
        if cuts is TOO_MANY and beaten is not None:
            return ()
        own = _shared_out(apart, has_room) if rest == "own" else []
        if cuts and (own or rest != "own"):
            sheets = [*whole.sheets(cuts, rest), *own]
            return tuple(replace(sheet, strips=ordered.strips) for sheet in _with_references(sheets, best))
        if rest != rests[-1] and not all(
            has_room(whole.only(index, index + 1, "own")) for index in range(len(parts))
        ):
            return None  # a part without the rest has no room: it won't do with the rest elsewhere
    return None


_in_order = lru_cache(1024)(order_circuit)
"""Each paper that is tried looks at the same runs."""


def part_sequence(ordered: Ordered) -> tuple[Part, ...]:
    """Return the parts left of the channel from top to bottom, as they were put in order, drive by drive."""
    place = places(ordered.ordering.left)
    out: list[Part] = []
    for cluster in ordered.ordering.left:
        used = Counter(terminal for part in cluster.parts for terminal in _pins([part]))
        shared = {terminal for terminal, count in used.items() if count > 1}

        def row(part: Part, shared: set[Terminal] = shared) -> int:
            rows = {pin.terminal: place[pin.terminal] for pin in part.pins if pin.terminal in place}
            own = [row for terminal, row in rows.items() if terminal not in shared]
            return min(own or rows.values())

        out += sorted(cluster.parts, key=row)
    # several drives are cut one after the other: each sheet is put in order anew
    drives = list(ordered.circuit.drives)
    return tuple(sorted(out, key=lambda part: drives.index(part.drive)))


def _uses(parts: Sequence[Part], wires: Iterable[Wire]) -> set[Use]:
    """Return the controls of parts and wires."""
    return {(part.drive, part.control) for part in parts}.union(*(wire.uses for wire in wires))


def _pins(parts: Iterable[Part], wires: Iterable[Wire] = ()) -> set[Terminal]:
    """Return the terminals of parts, and of those on the ways of wires."""
    every = (*parts, *(on.part for wire in wires for on in wire.way))
    return {pin.terminal for part in every for pin in part.pins}


def _wires_of(circuit: Circuit, parts: Sequence[Part]) -> list[tuple[Wire, ...]]:
    """Return the wires that stand with each part: its control's, and those whose end it has first.

    Each wire stands with one part.  Where drives share a terminal of the controller, its wires so
    stand on the sheets of their drives.
    """
    several = any(block.drive for block in circuit.blocks)
    stand: list[list[Wire]] = [[] for _ in parts]
    for wire in circuit.wires:
        own = [index for index, part in enumerate(parts) if wire.near in _pins([part])]
        of_control = [index for index in own if several and _uses([parts[index]], ()) & wire.uses]
        stand[(of_control or own)[0]].append(wire)
    return [tuple(wires) for wires in stand]


def _is_here(stub: Wire, pins: set[Terminal], on_ways: set[Terminal]) -> bool:
    """Whether a wire that ends on the way does so on a sheet: what feeds a part there stands with its way."""
    return stub.far in on_ways if stub.far.block is BlockKind.FIELD else stub.near in pins


class _Whole(NamedTuple):
    """What is to be cut: the parts left of the channel in their order, and the wires that stand with each."""

    circuit: Circuit
    parts: tuple[Part, ...]
    wires: list[tuple[Wire, ...]]

    def cost(self, at: int) -> tuple[int, int]:
        """Return how many drives, and terminals, have wires or parts on both sides of a cut before a part."""
        if at >= len(self.parts):
            return 0, 0

        def touched(run: slice) -> set[Terminal]:
            ends = {wire.far for group in self.wires[run] for wire in group}
            return ends | _pins(self.parts[run])

        above, below = ({wire.drive for wire in self.wires[index]} for index in (at - 1, at))
        return int(bool(above & below)), len(touched(slice(at)) & touched(slice(at, None)))

    def only(self, start: int, end: int, rest: _Rest) -> Circuit:
        """Return what one sheet shows: a run of parts, their wires, and the terminals they land on.

        What belongs to no part (a link between terminals without wires, a contact that is not fitted
        at this stage) stands on the last sheet of its drive; when that has no room for it, on the first, or
        on one of its own.
        """
        circuit, parts = self.circuit, self.parts
        own = parts[start:end]
        numbers = {wire.number for group in self.wires[start:end] for wire in group}
        kept = tuple(wire for wire in circuit.wires if wire.number in numbers)
        everywhere, uses = _uses(parts, circuit.wires), _uses(own, kept)
        ends = {part.drive: index for index, part in enumerate(parts)}

        def has_rest(drive: str) -> bool:
            if rest == "own":
                return start == end
            # a drive without parts counts with the last run
            return start == 0 if rest == "first" else start <= ends.get(drive, len(parts) - 1) < end

        def here(wire: Wire) -> bool:
            use = wire.drive, wire.control
            return use in uses or (use not in everywhere and has_rest(wire.drive))

        free = tuple(wire for wire in circuit.free_wires if here(wire))
        landed, pins = {wire.far for wire in kept} | {wire.far for wire in free}, _pins(own)
        anywhere = {wire.far for wire in circuit.wires} | {wire.far for wire in circuit.free_wires}
        anywhere |= _pins(parts)
        links = tuple(
            link
            for link in circuit.links
            if {link.a, link.b} & (landed | pins)
            or (not {link.a, link.b} & anywhere and has_rest(link.a.drive))
        )
        landed |= {terminal for link in links for terminal in (link.a, link.b)}
        inside = (part for part in circuit.parts if part.block is BlockKind.DRIVE)
        contacts = tuple(part for part in inside if landed & _pins([part]))
        landed |= _pins(contacts)
        # loops of which one end stands on another sheet are said in words on both
        parted = (join.wire for join in circuit.joins if join.wire and len({join.a, join.b} & pins) == 1)
        # so is what feeds a part on a way from another sheet; what a plate names, on the sheet of that way
        plates = {each.number for each in circuit.conductors}
        plates -= {each.number for wire in kept for each in wire.conductors}
        aside = (
            wire
            for wire in circuit.aside
            if wire.number not in plates and {wire.near, wire.far} & _pins(own, kept)
        )
        present = {part.home for part in own} | {terminal.home for terminal in landed}
        drives = [(BlockKind.DRIVE, drive) for drive in circuit.drives]
        if len(drives) == 1:
            present.update(drives)  # a drive of which nothing is wired here is drawn all the same
        return replace(
            circuit,
            blocks=tuple(block for block in circuit.blocks if block.key in present),
            parts=(*own, *contacts),
            wires=kept,
            strip=tuple(entry for entry in circuit.strip if entry.terminal in landed),
            links=links,
            screens=tuple(screen for screen in circuit.screens if numbers & set(screen.wires)),
            readings=tuple(reading for reading in circuit.readings if reading.wire in numbers),
            free_wires=free,
            free_parts=tuple(part for part in circuit.free_parts if (part.drive, part.control) in uses),
            stubs=tuple(wire for wire in circuit.stubs if _is_here(wire, pins, _pins((), kept))),
            joins=tuple(join for join in circuit.joins if {join.a, join.b} <= pins),
            aside=(*aside, *parted),
        )

    def sheets(self, cuts: Sequence[tuple[int, int]], rest: _Rest) -> Iterator[Circuit]:
        """Yield what each sheet shows, what several could show on the first of them."""
        shown: set[Terminal] = set()
        for start, end in cuts:
            only = self.only(start, end, rest)
            # what several sheets could show without a wire of theirs stands on the first of them
            links = tuple(link for link in only.links if not {link.a, link.b} <= shown)
            free = tuple(wire for wire in only.free_wires if wire.far not in shown)
            sheet = _with_strip(replace(only, links=links, free_wires=free), only)
            shown |= {entry.terminal for entry in sheet.strip}
            yield sheet


def _shared_out(rest: Circuit, fits: Callable[[Circuit], bool]) -> list[Circuit]:
    """Share what belongs to no part out to sheets that hold it, links that meet on one; none when one can't.

    Contacts that are not fitted stand on the first.
    """
    bare = replace(rest, links=(), free_wires=(), parts=())
    sheets = [replace(rest, links=())] if rest.free_wires or rest.parts else []
    for group in meeting(rest.links, lambda link: (link.a, link.b)):
        last = sheets[-1] if sheets else bare
        more = _with_strip(replace(last, links=(*last.links, *group)), rest)
        if sheets and fits(more):
            sheets[-1] = more
        else:
            sheets.append(_with_strip(replace(bare, links=tuple(group)), rest))
    return sheets if all(map(fits, sheets)) else []


def _with_strip(sheet: Circuit, whole: Circuit) -> Circuit:
    """Return a sheet with what of the strip its wires, links and contacts of drives land on."""
    landed = {wire.far for wire in sheet.wires} | {wire.far for wire in sheet.free_wires}
    landed |= {end for link in sheet.links for end in (link.a, link.b)}
    landed |= _pins(part for part in sheet.parts if part.block is BlockKind.DRIVE)
    return replace(sheet, strip=tuple(entry for entry in whole.strip if entry.terminal in landed))


def _with_references(sheets: list[Circuit], best: Callable[[Circuit], Ordered]) -> Iterator[Ordered]:
    """Give each sheet its number, and each terminal that others show too a reference to them."""
    for index, sheet in enumerate(sheets):
        terminals = {entry.terminal for entry in sheet.strip} | _pins(sheet.parts, sheet.wires)
        terminals |= {wire.near for wire in sheet.stubs}
        references = []
        for terminal in sorted(terminals):
            for other_index, other in enumerate(sheets):
                numbers = tuple(e.number for e in other.conductors if terminal in (e.near, e.far))
                numbers += tuple(wire.number for wire in other.stubs if wire.near == terminal)
                if other_index != index and numbers:
                    references.append(Elsewhere(terminal, numbers, other_index + 1))
        # where the other end is of what is said here in words, and what of these strips isn't here
        asked = {end for wire in sheet.aside for end in (wire.near, wire.far)} - terminals
        for number, other in enumerate(sheets, 1):
            strip = {entry.terminal for entry in other.strip if entry.terminal.drive in sheet.drives}
            there = (strip - terminals) | (asked & _pins(other.parts, other.wires))
            references += [Elsewhere(end, (), number) for end in sorted(there)]
        yield replace(best(sheet), sheet=index + 1, sheets=len(sheets), elsewhere=tuple(references))
