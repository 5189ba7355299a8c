"""An installation that is too large for one sheet becomes several (page room).

The parts left of the channel are cut, in the order in which they were laid
out, into runs that each fit a sheet.  No wire is ever cut: a wire stands on the
sheet of its part, and a terminal with wires on several sheets stands on each,
with a reference to the others.  Among the ways with the fewest sheets the one
with the fewest such terminals is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from doorsheet.circuit.parts import Circuit, Elsewhere, Part, Terminal, Wire
from doorsheet.layout import Ordered

__all__ = ["part_sequence", "split"]

Fits = Callable[[Circuit], bool]


def split(ordered: Ordered, fits: Fits) -> tuple[Circuit, ...] | None:
    """Return one circuit for each sheet, in order; None when some part alone doesn't fit."""
    circuit = ordered.circuit
    parts = part_sequence(ordered)
    wires = _wires_of(circuit, parts)
    for rest_first in (False, True):
        cuts = _cuts(circuit, parts, wires, fits, rest_first)
        if cuts is not None:
            return tuple(_with_references(list(_subcircuits(circuit, parts, wires, cuts, rest_first))))
    return None


def part_sequence(ordered: Ordered) -> tuple[Part, ...]:
    """Return the parts left of the channel from top to bottom, as they were put in order."""
    place = {
        terminal: index
        for index, terminal in enumerate(t for cluster in ordered.ordering.left for t in cluster.terminals)
    }
    out: list[Part] = []
    for cluster in ordered.ordering.left:
        shared = {
            pin.terminal
            for part in cluster.parts
            for pin in part.pins
            if sum(any(other.terminal == pin.terminal for other in p.pins) for p in cluster.parts) > 1
        }

        def row(part: Part, shared: set[Terminal] = shared) -> int:
            own = [place[pin.terminal] for pin in part.pins if pin.terminal not in shared]
            return min(own or [place[pin.terminal] for pin in part.pins])

        out += sorted(cluster.parts, key=row)
    return tuple(out)


def _wires_of(circuit: Circuit, parts: Sequence[Part]) -> list[tuple[Wire, ...]]:
    """Return the wires that stand with each part: every wire stands with the first that has its end."""
    taken: set[str] = set()
    out: list[tuple[Wire, ...]] = []
    for part in parts:
        terminals = {pin.terminal for pin in part.pins}
        own = tuple(wire for wire in circuit.wires if wire.near in terminals and wire.number not in taken)
        taken.update(wire.number for wire in own)
        out.append(own)
    return out


def _cuts(
    circuit: Circuit, parts: Sequence[Part], wires: Sequence[tuple[Wire, ...]], fits: Fits, rest_first: bool
) -> list[tuple[int, int]] | None:
    """Return the runs of parts for the sheets: fewest sheets, then fewest terminals cut."""
    count = len(parts)
    reach: list[int] = []  # for each start, the end of the longest run that fits
    end = 0
    for start in range(count):
        end = max(end, start)
        while end < count and fits(_only(circuit, parts, wires, start, end + 1, rest_first)):
            end += 1
        if end == start:
            return None
        reach.append(end)
    best: list[tuple[int, int, int]] = [(0, 0, count)] * (count + 1)  # sheets, terminals cut, end of the run
    for start in range(count - 1, -1, -1):
        choices = []
        for stop in range(start + 1, reach[start] + 1):
            sheets, cut, _ = best[stop]
            choices.append((sheets + 1, cut + _terminals_cut(parts, wires, stop), -stop))
        sheets, cut, negative = min(choices)
        best[start] = (sheets, cut, -negative)
    runs: list[tuple[int, int]] = []
    start = 0
    while start < count:
        stop = best[start][2]
        runs.append((start, stop))
        start = stop
    return runs


def _terminals_cut(parts: Sequence[Part], wires: Sequence[tuple[Wire, ...]], at: int) -> int:
    """Return how many terminals have wires or parts on both sides of a cut."""

    def touched(piece: Sequence[tuple[Wire, ...]], own: Sequence[Part]) -> set[Terminal]:
        ends = {wire.far for group in piece for wire in group}
        return ends | {pin.terminal for part in own for pin in part.pins}

    return len(touched(wires[:at], parts[:at]) & touched(wires[at:], parts[at:])) if at < len(parts) else 0


def _only(
    circuit: Circuit,
    parts: Sequence[Part],
    wires: Sequence[tuple[Wire, ...]],
    start: int,
    end: int,
    rest_first: bool,
) -> Circuit:
    """Return what one sheet shows: a run of parts, their wires, and the terminals they land on.

    What belongs to no part (a link between terminals without wires, a contact that is not fitted
    at this stage) stands on the last sheet, or on the first when the last has no room for it.
    """
    own = parts[start:end]
    numbers = {wire.number for group in wires[start:end] for wire in group}
    kept = tuple(wire for wire in circuit.wires if wire.number in numbers)
    everywhere = {part.control for part in parts} | {name for wire in circuit.wires for name in wire.controls}
    controls = {part.control for part in own} | {name for wire in kept for name in wire.controls}
    has_rest = start == 0 if rest_first else end == len(parts)

    def here(control: str) -> bool:
        return control in controls or (has_rest and control not in everywhere)

    free = tuple(wire for wire in circuit.free_wires if here(wire.control))
    landed = {wire.far for wire in kept} | {wire.far for wire in free}
    anywhere = {wire.far for wire in circuit.wires} | {wire.far for wire in circuit.free_wires}
    links = tuple(
        link
        for link in circuit.links
        if {link.a, link.b} & landed or (has_rest and not {link.a, link.b} & anywhere)
    )
    landed |= {terminal for link in links for terminal in (link.a, link.b)}
    contacts = tuple(
        part
        for part in circuit.parts
        if part.block == "drive" and landed & {pin.terminal for pin in part.pins}
    )
    landed |= {pin.terminal for part in contacts for pin in part.pins}
    present = {part.block for part in own} | {"drive"}
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
    )


def _subcircuits(
    circuit: Circuit,
    parts: Sequence[Part],
    wires: Sequence[tuple[Wire, ...]],
    cuts: Sequence[tuple[int, int]],
    rest_first: bool,
) -> Iterator[Circuit]:
    shown: set[Terminal] = set()
    for start, end in cuts:
        only = _only(circuit, parts, wires, start, end, rest_first)
        # what several sheets could show without a wire of theirs stands on the first of them
        landed = {wire.far for wire in only.wires}
        links = tuple(link for link in only.links if not {link.a, link.b} <= shown)
        free = tuple(wire for wire in only.free_wires if wire.far not in shown)
        kept = landed | {wire.far for wire in free} | {t for link in links for t in (link.a, link.b)}
        kept |= {pin.terminal for part in only.parts if part.block == "drive" for pin in part.pins}
        strip = tuple(entry for entry in only.strip if entry.terminal in kept)
        shown |= {entry.terminal for entry in strip}
        yield replace(only, links=links, free_wires=free, strip=strip)


def _with_references(sheets: list[Circuit]) -> Iterator[Circuit]:
    """Give each sheet its number, and each terminal that others show too a reference to them."""
    for index, sheet in enumerate(sheets):
        terminals = {entry.terminal for entry in sheet.strip}
        terminals |= {pin.terminal for part in sheet.parts for pin in part.pins}
        references = []
        for terminal in sorted(terminals):
            for other_index, other in enumerate(sheets):
                numbers = tuple(wire.number for wire in other.wires if terminal in (wire.near, wire.far))
                if other_index != index and numbers:
                    references.append(Elsewhere(terminal, numbers, other_index + 1))
        yield replace(sheet, sheet=index + 1, sheets=len(sheets), elsewhere=tuple(references))
