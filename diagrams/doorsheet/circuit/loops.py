"""Loops: the ways from an input of the drive through wires and one closed switch to its return.

Room: circuit.  A graph question only; which voltage drives a loop and what it
gives is in `levels`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from doorsheet.circuit.parts import BlockKind, Circuit, Part, PartKind, Terminal, Wire
from doorsheet.mapping.controls import DriveContact, SwitchedControl
from doorsheet.mapping.model import Mapping

__all__ = ["Loop", "SupplySide", "loops"]

SupplySide = str
"""Whose supply drives a loop: "drive" or "controller"."""

_SWITCHES: Final = frozenset(
    {
        PartKind.ISOLATED,
        PartKind.CONTACT,
        PartKind.OPEN_COLLECTOR,
        PartKind.HIGH_SIDE,
        PartKind.LOGIC,
        PartKind.SWITCH,
    }
)


@dataclass(frozen=True, slots=True)
class Loop:
    """One way round, from the drive's terminal `start` through the closed part to `end`, in order."""

    start: Terminal
    end: Terminal
    wires: tuple[Wire, ...]
    terminals: tuple[Terminal, ...]
    part: Part | None  # the switch, output or source it passes; None for a way past all of them
    supply: SupplySide


@dataclass(frozen=True, slots=True)
class _Edge:
    a: Terminal
    b: Terminal
    by: Wire | Part | None  # None is a link


def loops(mapping: Mapping, circuit: Circuit, control: str) -> tuple[Loop, ...]:
    """Return every loop there is with the switch of `control` closed and all others open.

    There must be one, and it must pass the switch: none is a missing return, several are
    parallel ways, and one with no part bridges the switch.  For the speed, the part is its source;
    the potentiometer has three ways and is not asked here.
    """
    entry = mapping.control(control)
    if isinstance(entry, DriveContact) or entry.common is None:
        return ()
    part = _part_of(circuit, control, entry)
    if part is None or part.kind is PartKind.POTENTIOMETER or len(part.pins) != 2:
        return ()
    start = entry.input if isinstance(entry, SwitchedControl) else entry.signal
    end = entry.common
    if any(pin.role == "feed" for pin in part.pins) and isinstance(entry, SwitchedControl) and entry.feed:
        end = entry.feed
    edges = [
        *(_Edge(wire.near, wire.far, wire) for wire in circuit.wires),
        *(_Edge(link.a, link.b, None) for link in circuit.links),
        _Edge(part.pins[0].terminal, part.pins[1].terminal, part),
    ]
    outside = part.kind in (PartKind.HIGH_SIDE, PartKind.LOGIC, PartKind.ANALOG_SOURCE)
    ends = Terminal(BlockKind.DRIVE, start, part.drive), Terminal(BlockKind.DRIVE, end, part.drive)
    return tuple(
        Loop(*ends, wires, terminals, passed, "controller" if outside else "drive")
        for wires, terminals, passed in _ways(edges, *ends)
    )


def _part_of(circuit: Circuit, control: str, entry: object) -> Part | None:
    """Return the part that acts for a control; one that two controls share is noted under the first."""
    own = next(
        (part for part in circuit.parts if part.control == control and part.kind in _SWITCHES), None
    ) or next((part for part in circuit.parts if part.control == control), None)
    if own is not None or not isinstance(entry, SwitchedControl):
        return own
    near = {wire.near for wire in circuit.wires if control in wire.controls}
    return next(
        (
            part
            for part in circuit.parts
            if part.kind in _SWITCHES and {pin.terminal for pin in part.pins} <= near
        ),
        None,
    )


def _ways(
    edges: list[_Edge], start: Terminal, end: Terminal
) -> Iterator[tuple[tuple[Wire, ...], tuple[Terminal, ...], Part | None]]:
    """Yield every simple way from `start` to `end`: its wires, its terminals, the part it passes."""
    touching: dict[Terminal, list[_Edge]] = {}
    for edge in edges:
        touching.setdefault(edge.a, []).append(edge)
        touching.setdefault(edge.b, []).append(edge)
    stack: list[tuple[tuple[Terminal, ...], tuple[_Edge, ...]]] = [((start,), ())]
    while stack:
        passed, taken = stack.pop()
        here = passed[-1]
        if here == end:
            wires = tuple(edge.by for edge in taken if isinstance(edge.by, Wire))
            part = next((edge.by for edge in taken if isinstance(edge.by, Part)), None)
            yield wires, passed, part
            continue
        for edge in touching.get(here, ()):
            there = edge.b if edge.a == here else edge.a
            if there not in passed:
                stack.append(((*passed, there), (*taken, edge)))
