"""Who stands where, before any paper is chosen: the ways in which a circuit may be drawn, each in order.

The terminal rail is numbered as it is drawn in the final stage, and drawn so at every stage: a strip is made
once, in an order that nobody changes from stage to stage.
"""

from collections.abc import Iterator
from dataclasses import replace

from doorsheet.circuit import join
from doorsheet.circuit.parts import Circuit, Rail
from doorsheet.layout import Ordered, order_circuit
from doorsheet.layout.spines import without
from doorsheet.layout.strands import named, strands
from doorsheet.layout.strip import unused
from doorsheet.mapping.model import Mapping
from doorsheet.mapping.reading import ReadMapping

__all__ = ["arrange", "numbered"]


def arrange(circuit: Circuit, mapping: Mapping) -> tuple[Ordered, ...]:
    """Return the ways to draw a circuit, each with the fewest crossings, the one that draws most first.

    What a paper has no room to draw in a wire's way or at the frames' edge it may still say in words.
    """
    ways = [strands(circuit)]
    if any(wire.way for wire in ways[0].wires):
        ways.append(named(ways[0]))
    if ways[0].joins:
        ways += [without(one, one.joins) for one in ways]
    strips = {name: own.drive.strip for name, own in mapping.units() if own.drive.strip}
    return tuple(replace(order_circuit(one), unused=unused(one, strips)) for one in ways)


def numbered(circuit: Circuit, read: ReadMapping) -> Circuit:
    """Return a circuit of a mapping's stage whose rail is numbered from top to bottom as it is drawn."""
    if circuit.rail is None:
        return circuit
    return replace(circuit, rail=_as_drawn(read))


def _as_drawn(read: ReadMapping) -> Rail | None:
    final = join(read, "final")
    rail = final.rail
    if rail is None or not rail.terminals:
        return rail
    first = min(number for _, number in rail.terminals)
    order = list(_with_free(list(_drawn(final)), final))
    order += [wire for wire, _ in rail.terminals if wire not in order]
    terminals = tuple((wire, place) for place, wire in enumerate(order, first))
    return rail._replace(terminals=terminals, is_numbered=True)


def _drawn(final: Circuit) -> Iterator[str]:
    """Yield the wires over the rail from top to bottom."""
    ordered = order_circuit(replace(strands(final), rail=None))
    stubs = {wire.near: wire.number for wire in ordered.circuit.stubs}
    for end in ordered.ends[0]:
        number = end.wire if end.wire is not None else stubs.get(end.terminal)
        if number is not None:
            yield number


def _with_free(order: list[str], final: Circuit) -> list[str]:
    """Put wires that only other stages have beside their control's signal, away from its common: a
    potentiometer has its wiper in the middle.
    """
    for free in final.free_wires:
        own = {w.role: w.number for w in final.wires if (free.far.drive, free.control) in w.uses}
        near = own.get("signal") or own.get("input")
        at = len(order)
        if near in order:
            common = own.get("common")
            at = order.index(near) + (common not in order or order.index(common) < order.index(near))
        order.insert(at, free.number)
    return order
