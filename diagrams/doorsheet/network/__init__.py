"""Voltages and currents of a direct-current network whose figures are ranges.

Takes elements and gives answers; it knows nothing of mappings, drives, controllers or sheets.

Model.  An element joins two nodes and has a curve of current over voltage that rises, or is level, in
straight pieces: so there is one solution, and it can't jump.  A step has a milliohm, a level a nanosiemens.
A figure is a range; figures of one name are one quantity.  An event or a fault is another list of elements.

Solving (`blocks`, `unnamed`, `solve`).  The graph is split into biconnected blocks, between which no current
flows; a `Memory` keeps each with its answers, for every network that has one wired alike, whatever it is
called.  In a block, nodes are eliminated star to mesh; Newton steps, held back by the co-content, find the
pieces.

Ranges (`signs`, `interval`).  Which way a reading goes with a figure is certain where the graph leaves but
one sign to it, whatever the figures; such a figure stands at its end, and that is proved.  Resistances in
series count as their sum.  What remains open is tried at every corner, up to eight figures (or sums);
beyond, climbed from several starts by the adjoint's signs, then one by one and by twos.  An open figure that
several elements share, or that spans decades, is also searched along its range.  Whatever remains open is
found by trial, not proved.

What is unknown is worked out at its widest; it is missing where turning it moves the reading by more than a
thousandth.  Floating is judged with known figures at their middle, unknown ones there and at both ends;
conflict at the reading's outermost points, the unknown in the middle: what may short is no contradiction.
`moved_by` is by the adjoint, good enough for a footnote, not more.

Compared (`tests/network`): sums worked by hand; ngspice, on made-up networks, corner by corner; the laws of
its netlist, worked out a second time; every corner and inner points of made-up networks.

Not in the model: time (bounce, ripple, ramps), alternating current, noise.  Below 20 uV and 20 nA figures
are rounding, and a level's nanosiemens is some ten nanoamperes.
"""

from doorsheet.network.answer import Answer, Memory, Network
from doorsheet.network.elements import (
    Element,
    Figure,
    Node,
    contact,
    current_source,
    diode,
    input_by_limit,
    input_by_type,
    potentiometer,
    resistor,
    supply,
    transistor_between,
    transistor_closed,
    transistor_open,
)

__all__ = [
    "Answer", "Element", "Figure", "Memory", "Network", "Node", "contact", "current_source", "diode",
    "input_by_limit", "input_by_type", "potentiometer", "resistor", "supply", "transistor_between",
    "transistor_closed", "transistor_open",
]  # fmt: skip
