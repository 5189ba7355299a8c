"""Who stands where, before any paper is chosen: the ways in which a circuit may be drawn, each in order."""

from __future__ import annotations

from dataclasses import replace

from doorsheet.circuit.parts import Circuit
from doorsheet.layout import Ordered, order_circuit
from doorsheet.layout.spines import without
from doorsheet.layout.strands import named, strands
from doorsheet.layout.strip import unused
from doorsheet.mapping.model import Mapping

__all__ = ["arrange"]


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
